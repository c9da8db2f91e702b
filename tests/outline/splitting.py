"""Loops with more vertices than they need, for the tests."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.outline import Arc, Edge, Line, Loop, Point
from formparts.tolerances import LENGTH


def split_at(loop: Loop, points: Iterable[Point]) -> Loop:
    """The same shape with vertices at points on its edges; both halves of a split edge keep its tag."""
    for point in points:
        edges: list[Edge] = []
        for edge in loop.edges:
            ends = min(math.dist(point, edge.start), math.dist(point, edge.end))
            on = ends > LENGTH and edge.distance(point) <= LENGTH
            edges += halves(edge, point) if on else [edge]
        loop = Loop(tuple(edges))
    return loop


def halves(edge: Edge, point: Point) -> list[Edge]:
    if isinstance(edge, Line):
        return [Line(edge.start, point, edge.tag), Line(point, edge.end, edge.tag)]
    circle = (edge.centre, edge.radius, edge.ccw, edge.tag)
    return [Arc(edge.start, point, *circle), Arc(point, edge.end, *circle)]
