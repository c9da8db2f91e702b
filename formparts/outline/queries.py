"""Queries on outlines: edges in common, an edge under a segment, the smallest width. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise

from formparts.outline.arrangement import arrange
from formparts.outline.edges import Arc, Edge, Line, Point, is_left
from formparts.outline.regions import Outline
from formparts.tolerances import LENGTH, NOUGHT, SHORTEST_EDGE

_STEP_DEG = 2.0
_FEW = 80
"""Up to this many points every two of them are compared; the hull gives the same where there are no bulging arcs."""


def common_edges(first: Outline, second: Outline) -> float:
    """
    Length of the boundary that two outlines share from opposite sides, so without overlapping there.

    Parameters
    ----------
    first, second : Outline [mm]
        In any order.

    Returns
    -------
    float [mm]
        0 when they do not touch, or touch in points only.

    Source
    ------
    exact mathematics
    """
    loops = [
        ([loop.edges for loop in outline.loops], *ab) for outline, ab in ((first, (1, 0)), (second, (0, 1)))
    ]
    points, strands = arrange(loops, LENGTH)
    shared = [s for s in strands if s.a * s.b < 0]
    return math.fsum([_length(s.edge, points[s.start], points[s.end]) for s in shared])


def reaches_into(one: Outline, other: Outline) -> bool:
    """
    Whether a corner of one outline lies well inside another: then they overlap, which is known without laying them.

    Parameters
    ----------
    one, other : Outline [mm]
        The corners of the one are looked for in the other.

    Returns
    -------
    bool
        False says nothing: outlines without a corner in each other can overlap too.

    Source
    ------
    exact mathematics
    """
    return any(
        sum([loop.winds_round(corner) for loop in other.loops]) > 0
        and other.distance_to_edge(corner) > SHORTEST_EDGE
        for corner in one.outer.vertices
    )


def _length(edge: Edge, start: Point, end: Point) -> float:
    """Return the length of an edge between two of its points."""
    if isinstance(edge, Line):
        return math.dist(start, end)
    return Arc(start, end, edge.centre, edge.radius, edge.ccw).length


def minimal_width(outline: Outline) -> float:
    """
    Smallest distance between two parallel lines that hold the outline between them.

    Parameters
    ----------
    outline : Outline [mm]
        Holes take no part.

    Returns
    -------
    float [mm]
        Exact for a given direction; the best direction is sought square to every line between two vertices or
        arc centres, along it, and every 2 deg, and then narrowed down between its neighbours.

    Source
    ------
    exact mathematics
    """
    edges = outline.outer.edges
    arcs = [edge for edge in edges if isinstance(edge, Arc) and edge.ccw]
    vertices = [edge.start for edge in edges]
    headings = [math.radians(i * _STEP_DEG) for i in range(int(180.0 / _STEP_DEG))]
    for (ax, ay), (bx, by) in _held_together(vertices, [arc.centre for arc in arcs]):
        along = math.atan2(by - ay, bx - ax)
        headings += [along, along + math.pi / 2.0]
    best = min(headings, key=lambda heading: _extent(vertices, arcs, heading))
    return _narrowed(vertices, arcs, best)


def _held_together(vertices: list[Point], centres: list[Point]) -> list[tuple[Point, Point]]:
    """Return the pairs that give a direction: all of a few points, else the sides of the two convex hulls."""
    points = set(vertices + centres)
    if len(points) <= _FEW:
        return list(combinations(points, 2))
    return [pair for hull in (_hull(vertices), _hull(centres)) for pair in pairwise(hull)]


def _hull(points: list[Point]) -> list[Point]:
    """The corners of the convex hull, closed, by Andrew's monotone chain."""

    def chain(ordered: list[Point]) -> list[Point]:
        found: list[Point] = []
        for x, y in ordered:
            while len(found) > 1 and is_left(found[-2], found[-1], (x, y)) is False:
                found.pop()
            found.append((x, y))
        return found

    ordered = sorted(set(points))
    return [*chain(ordered)[:-1], *chain(ordered[::-1])]


def _narrowed(vertices: Sequence[Point], arcs: Sequence[Arc], heading: float) -> float:
    """Least extent within one step of a heading, by cutting the range in golden sections."""
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    low, high = heading - math.radians(_STEP_DEG), heading + math.radians(_STEP_DEG)
    least = _extent(vertices, arcs, heading)
    while high - low > NOUGHT:
        a, b = high - golden * (high - low), low + golden * (high - low)
        at_a, at_b = _extent(vertices, arcs, a), _extent(vertices, arcs, b)
        least = min(least, at_a, at_b)
        low, high = (low, b) if at_a < at_b else (a, high)
    return least


def _extent(vertices: Sequence[Point], arcs: Sequence[Arc], heading: float) -> float:
    """Extent of the outline along a heading."""
    ux, uy = math.cos(heading), math.sin(heading)
    reaches = [ux * x + uy * y for x, y in vertices]
    most, least = max(reaches), min(reaches)
    for arc in arcs:
        at, r = ux * arc.centre[0] + uy * arc.centre[1], arc.radius
        if _bulges(arc, ux, uy):
            most = max(most, at + r)
        if _bulges(arc, -ux, -uy):
            least = min(least, at - r)
    return most - least


def _bulges(arc: Arc, ux: float, uy: float) -> bool:
    """True when the arc's point in a direction from its centre belongs to the arc (it runs anticlockwise)."""
    (x0, y0), (x1, y1) = arc.start, arc.end
    px, py = arc.centre[0] + arc.radius * ux - x0, arc.centre[1] + arc.radius * uy - y0
    return (x1 - x0) * py - (y1 - y0) * px <= 0.0
