"""The distance from a point of the blank, in a direction, to the first edge."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.outline.edges import Edge, Line, Point
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH

_FAR = 1e5
"""Longer than any sheet [mm]."""
_START = 10.0 * LENGTH
"""An edge met nearer than this passes through the start."""


class Targets:
    """Edges that rays may meet: those that one may come near are found for all of them at once."""

    def __init__(self, edges: Iterable[Edge]) -> None:
        import numpy as np

        self._edges = tuple(edges)
        places = [_held(edge) for edge in self._edges]
        starts, ends, radii = zip(*places, strict=True) if places else ((), (), ())
        self._starts, self._ends = (np.array(points, dtype=float).reshape(-1, 2) for points in (starts, ends))
        self._radii = np.array(radii, dtype=float)

    def first_hit(self, start: Point, heading: Point, clear_of: Point | None = None) -> float:
        """
        Distance to the first edge that a ray meets, or infinity.

        An edge through its start, or through a point that is to be clear of it, does not count.
        """
        ray = Line(start, (start[0] + _FAR * heading[0], start[1] + _FAR * heading[1]))
        nearest = math.inf
        for least, number in self._ahead(start, heading):
            if least > nearest:
                break
            edge = self._edges[number]
            if clear_of is None or edge.distance(clear_of) > LENGTH:
                ways = [math.dist(start, point) for point in meet(ray, edge, LENGTH)]
                nearest = min([nearest, *(way for way in ways if way > _START)])
        return nearest

    def _ahead(self, start: Point, heading: Point) -> list[tuple[float, int]]:
        """Edges that the line of a ray passes and that are not behind its start, and how far it is to them at least."""
        import numpy as np

        hx, hy = heading
        one, two = self._starts - start, self._ends - start
        asides = one[:, 0] * hy - one[:, 1] * hx, two[:, 0] * hy - two[:, 1] * hx
        alongs = one[:, 0] * hx + one[:, 1] * hy, two[:, 0] * hx + two[:, 1] * hy
        reach = self._radii + LENGTH
        passed = (np.minimum(*asides) <= reach) & (np.maximum(*asides) >= -reach)
        passed &= np.maximum(*alongs) + reach > 0.0
        least = np.minimum(*alongs) - reach
        return sorted((float(least[number]), int(number)) for number in np.flatnonzero(passed))


def _held(edge: Edge) -> tuple[Point, Point, float]:
    """Two places and a radius: an edge goes from one to the other, or lies in a circle round both."""
    if isinstance(edge, Line):
        return edge.start, edge.end, 0.0
    left, low, right, high = edge.bounds
    middle = ((left + right) / 2.0, (low + high) / 2.0)
    return middle, middle, math.hypot(right - left, high - low) / 2.0
