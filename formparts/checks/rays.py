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
    ways = [math.dist(start, point) for edge in edges for point in meet(ray, edge, LENGTH)]
    return min((way for way in ways if way > 10.0 * LENGTH), default=math.inf)
