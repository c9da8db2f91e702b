"""Integrals round and over an outline, by Gauss's rule on steps so short that no digits are lost."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import cache

from formparts.outline.edges import Edge, Line, Point
from formparts.outline.regions import Outline

_PLACES = 24
"""Points at which an arc of an eighth of a turn or less is integrated: exact to the last digit for smooth functions."""
_PIECE = math.pi / 4.0


@cache
def _rule() -> tuple[tuple[float, float], ...]:
    """Places from 0 to 1, and their weights."""
    from numpy.polynomial.legendre import leggauss

    places, weights = leggauss(_PLACES)
    return tuple(
        ((1.0 + place) / 2.0, weight / 2.0)
        for place, weight in zip(places.tolist(), weights.tolist(), strict=True)
    )


def stations(edge: Edge, turned: float = 0.0) -> Iterator[tuple[Point, Point, float]]:
    """
    Places along an edge with the way that it goes there, for an integral: place, way per step, weight.

    `turned` [rad] is by how much what is integrated turns along the whole edge, beside the edge's own turn.
    """
    turns = turned if isinstance(edge, Line) else max(turned, edge.sweep_rad)
    count = max(1, math.ceil(turns / _PIECE))
    for number in range(count):
        for place, weight in _rule():
            yield *_at(edge, (number + place) / count), weight / count


def _at(edge: Edge, share: float) -> tuple[Point, Point]:
    """A place on an edge, and how far it goes there for each whole step of the share."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    if isinstance(edge, Line):
        return (x0 + share * (x1 - x0), y0 + share * (y1 - y0)), (x1 - x0, y1 - y0)
    sweep = edge.sweep_rad if edge.ccw else -edge.sweep_rad
    cx, cy = edge.centre
    cos, sin = math.cos(share * sweep), math.sin(share * sweep)
    dx, dy = (x0 - cx) * cos - (y0 - cy) * sin, (x0 - cx) * sin + (y0 - cy) * cos
    return (cx + dx, cy + dy), (-sweep * dy, sweep * dx)


def over(outline: Outline, along_x: Callable[[Point], float], per_mm: float) -> float:
    """
    Integral over an outline of what `along_x` is the integral of, along x, at every y.

    `per_mm` [rad/mm] is how fast it turns along y. Source: Green's theorem.
    """
    total = []
    for edge in outline.edges:
        reach = per_mm * abs(edge.bounds[3] - edge.bounds[1])
        total += [weight * along_x(place) * way[1] for place, way, weight in stations(edge, reach)]
    return math.fsum(total)
