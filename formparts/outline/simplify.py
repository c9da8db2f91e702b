"""Join edges that are parts of one line or one circle, and compare outlines as shapes."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.kept import is_noted, note
from formparts.outline.edges import Arc, Edge, Line, Point, fitted
from formparts.outline.regions import Loop, Outline, same_circle
from formparts.tolerances import LENGTH, ROUNDING

_HALF_TURN = math.pi + ROUNDING
"""An arc may exceed half a turn by rounding [rad]: 1e-9 of any radius a part has is below LENGTH."""


_MERGED = "is merged"


def merged(loop: Loop, keep: frozenset[Point] = frozenset(), tolerance: float = LENGTH) -> Loop:
    """
    Join consecutive edges of one line or one circle; the first edge's tag, centre and radius are kept.

    Parameters
    ----------
    loop : Loop [mm]
        Any closed chain.
    keep : points [mm]
        Vertices that stay although they lie inside a line or an arc.
    tolerance : float [mm]
        How far a vertex may lie off the joined edge.

    Returns
    -------
    Loop [mm]
        Arcs of at most half a turn; a whole circle is two halves that start at 0 and 180 deg.
    """
    plain = not keep and tolerance == LENGTH
    if plain and is_noted(loop, _MERGED):
        return loop
    found = _merged(loop, keep, tolerance)
    if plain:
        note(found, _MERGED)  # outlines are laid over others again and again
    return found


def _merged(loop: Loop, keep: frozenset[Point], tolerance: float) -> Loop:
    edges = loop.edges
    corners = [i for i, e in enumerate(edges) if e.start in keep or not _joins([edges[i - 1]], e, tolerance)]
    if not corners:
        return _whole_circle(edges)
    if len(corners) == len(edges):
        return loop.started()
    runs: list[list[Edge]] = []
    stops = {edges[i].start for i in corners}
    for edge in edges[corners[0] :] + edges[: corners[0]]:
        if runs and edge.start not in stops and _joins(runs[-1], edge, tolerance):
            runs[-1].append(edge)
        else:
            runs.append([edge])
    return Loop(tuple([edge for run in runs for edge in _joined(run)])).started()


def _joins(run: list[Edge], edge: Edge, tolerance: float) -> bool:
    """True when an edge goes on along the line or the circle of the run before it."""
    first = run[0]
    if isinstance(first, Arc):
        return isinstance(edge, Arc) and first.ccw == edge.ccw and same_circle(first, edge, tolerance)
    if not isinstance(edge, Line):
        return False
    (ax, ay), (bx, by), (cx, cy) = first.start, edge.start, edge.end
    forward = (bx - ax) * (cx - bx) + (by - ay) * (cy - by) > 0.0
    slack = tolerance * math.hypot(cx - ax, cy - ay)
    ends = [each.end for each in run]
    return forward and all(abs((cx - ax) * (y - ay) - (cy - ay) * (x - ax)) <= slack for x, y in ends)


def _joined(run: list[Edge]) -> tuple[Edge, ...]:
    """One edge for a run; two when an arc would be more than half a turn."""
    first, last = run[0], run[-1]
    if len(run) == 1:
        return (first,)
    if isinstance(first, Line):
        return (Line(first.start, last.end, first.tag),)
    sweep = math.fsum([edge.sweep_rad for edge in run if isinstance(edge, Arc)])
    centre, radius, ccw, tag = first.centre, first.radius, first.ccw, first.tag
    if sweep <= _HALF_TURN:
        return (fitted(Arc(first.start, last.end, centre, radius, ccw, tag)),)
    middle = turned(first.start, centre, sweep / 2.0 if ccw else -sweep / 2.0)
    return (
        Arc(first.start, middle, centre, radius, ccw, tag),
        Arc(middle, last.end, centre, radius, ccw, tag),
    )


def turned(point: Point, centre: Point, angle_rad: float) -> Point:
    """Turn a point about a centre."""
    cos, sin = math.cos(angle_rad), math.sin(angle_rad)
    dx, dy = point[0] - centre[0], point[1] - centre[1]
    return (centre[0] + cos * dx - sin * dy, centre[1] + sin * dx + cos * dy)


def _whole_circle(edges: tuple[Edge, ...]) -> Loop:
    """Return two halves of the circle that all these edges lie on (a straight fold-back stays as it is)."""
    first = edges[0]
    if not isinstance(first, Arc):
        return Loop(edges)
    return circle_loop(first.centre, first.radius, first.ccw, first.tag)


def circle_loop(centre: Point, radius: float, ccw: bool = True, tag: str = "") -> Loop:
    """A whole circle as two halves, split at 0 and 180 deg."""
    right, left = (centre[0] + radius, centre[1]), (centre[0] - radius, centre[1])
    return Loop((Arc(left, right, centre, radius, ccw, tag), Arc(right, left, centre, radius, ccw, tag)))


def alike(first: Outline, second: Outline, tolerance: float = LENGTH) -> bool:
    """Return whether two outlines are one shape, whatever their first vertices and the vertices inside an edge.

    Parameters
    ----------
    first, second : Outline [mm]
        What is compared; tags take no part.
    tolerance : float [mm]
        How far vertices, and the middles of edges, may be apart.

    Returns
    -------
    bool
        True when they are the same.
    """
    if len(first.holes) != len(second.holes):
        return False
    left = [merged(hole, tolerance=tolerance) for hole in second.holes]
    for hole in first.holes:
        plain = merged(hole, tolerance=tolerance)
        match = next((i for i, other in enumerate(left) if _loops_alike(plain, other, tolerance)), None)
        if match is None:
            return False
        del left[match]
    outers = [merged(outline.outer, tolerance=tolerance) for outline in (first, second)]
    return _loops_alike(outers[0], outers[1], tolerance)


def _loops_alike(first: Loop, second: Loop, tolerance: float) -> bool:
    """True when some rotation of the second loop's edges lies on the first's."""
    mine, other = first.edges, second.edges
    if len(mine) != len(other):
        return False
    turns: Iterable[int] = range(len(other))
    return any(
        all(_edges_alike(e, other[(i + turn) % len(other)], tolerance) for i, e in enumerate(mine))
        for turn in turns
    )


def _edges_alike(first: Edge, second: Edge, tolerance: float) -> bool:
    """True when two edges start, end and pass at the same places."""
    return (
        isinstance(first, Arc) == isinstance(second, Arc)
        and math.dist(first.start, second.start) <= tolerance
        and math.dist(first.end, second.end) <= tolerance
        and math.dist(first.middle, second.middle) <= tolerance
    )
