"""How far it is from a point of the blank, in a direction, to the first edge."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.outline.edges import Edge, Line, Point
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH

_FAR = 1e5
"""Longer than any sheet [mm]."""


def first_hit(edges: Iterable[Edge], start: Point, heading: Point) -> float:
    """Distance to the first edge that a ray meets, or infinity; an edge through its start does not count."""
    ray = Line(start, (start[0] + _FAR * heading[0], start[1] + _FAR * heading[1]))
    met = (edge for edge in edges if _comes_near(edge, start, heading))
    ways = [math.dist(start, point) for edge in met for point in meet(ray, edge, LENGTH)]
    return min((way for way in ways if way > 10.0 * LENGTH), default=math.inf)


def _comes_near(edge: Edge, start: Point, heading: Point) -> bool:
    """False when the whole of an edge lies to one side of the line of a ray."""

    def aside(point: Point) -> float:
        return (point[0] - start[0]) * heading[1] - (point[1] - start[1]) * heading[0]

    if isinstance(edge, Line):
        return (
            min(aside(edge.start), aside(edge.end)) <= LENGTH
            and max(aside(edge.start), aside(edge.end)) >= -LENGTH
        )
    return abs(aside(edge.centre)) <= edge.radius + LENGTH
