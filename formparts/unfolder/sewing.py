"""Join traced edges to loops: chained by their vertices, simplified, and put in the one order of an outline."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from formparts.outline.edges import Arc, Edge, Line
from formparts.outline.regions import Loop, Outline
from formparts.tolerances import ALONG, FIT, IN_FLAT, LENGTH, RECOGNISED, ROUNDING
from formparts.unfolder.space import Pair


@dataclass(frozen=True, slots=True)
class BlankEdge:
    """One edge of a face as it lies on the blank, between two vertices of the solid, material to the left."""

    start: int
    end: int
    edge: int
    face: int
    piece: int
    traced: tuple[Edge, ...]
    exact: bool


def chained(runs: list[BlankEdge]) -> list[list[BlankEdge]]:
    """Return runs as closed chains: each is followed by one that starts at its end, of the same face if possible."""
    starting: dict[int, list[int]] = {}
    for number, run in enumerate(runs):
        starting.setdefault(run.start, []).append(number)
    used = [False] * len(runs)
    chains = []
    for first in range(len(runs)):
        if used[first]:
            continue
        chain, number = [], first
        while not used[number]:
            used[number] = True
            chain.append(runs[number])
            choices = [choice for choice in starting.get(runs[number].end, []) if not used[choice]]
            if not choices or runs[number].end == runs[first].start:
                break
            number = min(choices, key=lambda choice: runs[choice].face != chain[-1].face)
        chains.append(chain)
    return chains


def sewn(chain: list[BlankEdge]) -> Loop:
    """Return one loop from a chain: ends that differ by rounding are merged, wider gaps (sharp bends) are closed."""
    edges = [edge for run in chain for edge in run.traced]
    for number, edge in enumerate(edges):
        edges[number - 1], edges[number] = _trimmed(edges[number - 1], edge)
    joined: list[Edge] = []
    for edge in edges:
        if joined:
            joined.extend(_closing(joined[-1].end, edge.start))
        joined.append(_from(edge, joined[-1].end if joined else edge.start))
    joined.extend(_closing(joined[-1].end, joined[0].start))
    joined[-1] = _to(joined[-1], joined[0].start)
    return Loop(tuple(edge for edge in joined if edge.start != edge.end))


def _trimmed(before: Edge, after: Edge) -> tuple[Edge, Edge]:
    """Return two lines cut off where they meet, when the first runs past the start of the second."""
    gap = (after.start[0] - before.end[0], after.start[1] - before.end[1])
    if before is after or math.hypot(*gap) <= 10.0 * LENGTH:
        return (before, after)
    if not isinstance(before, Line) or not isinstance(after, Line):
        return (before, after)
    ahead = (before.end[0] - before.start[0], before.end[1] - before.start[1])
    onward = (after.end[0] - after.start[0], after.end[1] - after.start[1])
    size, other = math.hypot(*ahead), math.hypot(*onward)
    back = gap[0] * ahead[0] + gap[1] * ahead[1]
    if back >= -IN_FLAT * size * math.hypot(*gap):
        return (before, after)
    turn = ahead[0] * onward[1] - ahead[1] * onward[0]
    if abs(turn) <= ALONG * size * other:
        return (replace(before, end=after.start), after)
    share = (gap[0] * onward[1] - gap[1] * onward[0]) / turn
    place = (before.end[0] + share * ahead[0], before.end[1] + share * ahead[1])
    return (replace(before, end=place), replace(after, start=place))


def _closing(end: Pair, start: Pair) -> list[Edge]:
    """Return a line across a gap, if there is one."""
    return [Line(end, start)] if math.dist(end, start) > 10.0 * LENGTH else []


def _from(edge: Edge, start: Pair) -> Edge:
    return replace(edge, start=start)


def _to(edge: Edge, end: Pair) -> Edge:
    return replace(edge, end=end)


def straightened(loop: Loop) -> Loop:
    """Join collinear lines and arcs of one circle; a whole circle becomes two halves, from its left."""
    edges = loop.edges
    breaks = [number for number, edge in enumerate(edges) if not _runs_on([edges[number - 1]], edge)]
    if not breaks and isinstance(edges[0], Arc):
        return _circle(edges[0])
    first = breaks[0] if breaks else 0
    ordered = edges[first:] + edges[:first]
    groups: list[list[Edge]] = []
    for edge in ordered:
        if groups and _runs_on(groups[-1], edge):
            groups[-1].append(edge)
        else:
            groups.append([edge])
    return Loop(tuple(piece for group in groups for piece in _united(group)))


def _runs_on(group: list[Edge], edge: Edge) -> bool:
    """True when an edge continues all edges of a group: the same line onwards, or the same circle."""
    first = group[0]
    if isinstance(first, Arc) and isinstance(edge, Arc):
        apart = math.dist(first.centre, edge.centre) + abs(first.radius - edge.radius)
        return first.ccw == edge.ccw and apart <= 2.0 * RECOGNISED
    if isinstance(first, Arc) or isinstance(edge, Arc):
        return False
    (x0, y0), (x1, y1), (x2, y2) = first.start, edge.start, edge.end
    ahead = (x1 - x0) * (x2 - x1) + (y1 - y0) * (y2 - y1) > 0.0
    whole = Line(first.start, edge.end)
    return ahead and all(whole.distance(each.end) <= RECOGNISED for each in group)


def _united(group: list[Edge]) -> list[Edge]:
    """Return one line, or as few arcs of at most half a turn as possible, from edges that continue one another."""
    first, last = group[0], group[-1]
    if not isinstance(first, Arc):
        return [replace(first, end=last.end)]
    sweep = math.fsum(edge.sweep_rad for edge in group if isinstance(edge, Arc))
    whole = _seated(first, last.end)
    count = max(1, math.ceil(sweep / math.pi - ROUNDING))
    angle = math.atan2(whole.start[1] - whole.centre[1], whole.start[0] - whole.centre[0])
    step = (sweep if whole.ccw else -sweep) / count
    inner = [_on(whole, angle + step * number) for number in range(1, count)]
    places = [whole.start, *inner, last.end]
    return [replace(whole, start=here, end=there) for here, there in pairwise(places)]


def _seated(arc: Arc, end: Pair) -> Arc:
    """
    An arc on to an end, on a circle through both ends: its centre is moved along their chord, and the radius gives way.

    The points of a file have limited digits, and a contour that is cut must be connected.
    """
    chord = math.dist(arc.start, end)
    off = max(abs(math.dist(place, arc.centre) - arc.radius) for place in (arc.start, end))
    if off <= FIT or chord <= LENGTH:
        return arc
    (x0, y0), (x1, y1), (cx, cy) = arc.start, end, arc.centre
    ux, uy = (x1 - x0) / chord, (y1 - y0) / chord
    aside = (cx - (x0 + x1) / 2.0) * ux + (cy - (y0 + y1) / 2.0) * uy
    centre = (cx - aside * ux, cy - aside * uy)
    return replace(arc, centre=centre, radius=math.dist(centre, arc.start))


def _on(arc: Arc, angle_rad: float) -> Pair:
    return (
        arc.centre[0] + arc.radius * math.cos(angle_rad),
        arc.centre[1] + arc.radius * math.sin(angle_rad),
    )


def _circle(arc: Arc) -> Loop:
    """Return a whole circle, as two halves that start at its left and right."""
    (x, y), r = arc.centre, arc.radius
    left, right = (x - r, y), (x + r, y)
    return Loop((replace(arc, start=left, end=right), replace(arc, start=right, end=left)))


def spanned(edge: Edge, reference: Pair) -> float:
    """Return the area between an edge and a reference point, positive when it is seen anticlockwise [mm2]."""
    (x0, y0), (x1, y1), (rx, ry) = edge.start, edge.end, reference
    area = ((x0 - rx) * (y1 - ry) - (x1 - rx) * (y0 - ry)) / 2.0
    if isinstance(edge, Line):
        return area
    sweep = edge.sweep_rad
    segment = edge.radius**2 * (sweep - math.sin(sweep)) / 2.0
    return area + (segment if edge.ccw else -segment)


def area_of(edges: Iterable[Edge], reference: Pair) -> float:
    """Return the area inside closed chains of edges, whatever their order [mm2]."""
    return math.fsum(spanned(edge, reference) for edge in edges)


def outline_from(outer: Loop, holes: Iterable[Loop]) -> Outline:
    """
    The outline in the one order in which equal shapes are equal values (see outline.regions).

    All loops come with the material to their left, and keep that sense: a loop that crosses itself has none of its own.
    """
    started = sorted(
        map(_started, holes), key=lambda hole: [round(value, 6) for value in hole.edges[0].start]
    )
    return Outline(_started(outer), tuple(started))


def _started(loop: Loop) -> Loop:
    """Start at the lowest of the leftmost vertices."""
    left = min(edge.start[0] for edge in loop.edges) + LENGTH
    _, first = min((edge.start[1], n) for n, edge in enumerate(loop.edges) if edge.start[0] <= left)
    return Loop(loop.edges[first:] + loop.edges[:first])


def moved_edge(edge: Edge, x: float, y: float) -> Edge:
    """The edge, shifted."""
    start, end = (edge.start[0] + x, edge.start[1] + y), (edge.end[0] + x, edge.end[1] + y)
    if isinstance(edge, Line):
        return replace(edge, start=start, end=end)
    return replace(edge, start=start, end=end, centre=(edge.centre[0] + x, edge.centre[1] + y))
