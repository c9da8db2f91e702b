"""Faces of an arrangement: the order of edges round each vertex, the winding numbers beside each edge.

Half-edge 2k runs along strand k, half-edge 2k + 1 back; a face lies to the left of its half-edges.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from formparts.outline.arrangement import Strand
from formparts.outline.edges import Arc, Point, arc_crossing, chord_crossing
from formparts.outline.measures import segment_factor

Winding: TypeAlias = tuple[int, int]


class InconsistentFacesError(ArithmeticError):
    """Winding numbers do not agree round a face: edges cross somewhere that was not found. Never let out."""


@dataclass(slots=True)
class Faces:
    """What is left of each half-edge, and the outgoing half-edges round each vertex, anticlockwise."""

    points: list[Point]
    strands: list[Strand]
    fans: dict[int, list[int]]
    left: list[Winding]


def faces_of(points: list[Point], strands: list[Strand]) -> Faces:
    """Find the winding numbers on the left of every half-edge."""
    fans = _fans(points, strands)
    following = [0] * (2 * len(strands))
    for fan in fans.values():
        # Turning clockwise from the way back keeps the face on the left.
        for i, out in enumerate(fan):
            following[out ^ 1] = fan[i - 1]
    cycle_of, cycles = _cycles(following)
    areas = _areas(points, strands, cycles)
    left: list[Winding] = [(0, 0)] * len(following)
    groups = _groups(strands, cycle_of, cycles)
    for group in groups:
        outside = group[min(group, key=areas.__getitem__)]
        a, b = (0, 0) if len(groups) == 1 else _outside_winding(points, strands, cycle_of, cycles, group)
        for cycle, winding in group.items():
            total = (winding[0] - outside[0] + a, winding[1] - outside[1] + b)
            for half in cycles[cycle]:
                left[half] = total
    return Faces(points, strands, fans, left)


def _fans(points: list[Point], strands: list[Strand]) -> dict[int, list[int]]:
    """Outgoing half-edges of every vertex, in their true anticlockwise order."""
    fans: dict[int, list[int]] = {}
    for k, strand in enumerate(strands):
        fans.setdefault(strand.start, []).append(2 * k)
        fans.setdefault(strand.end, []).append(2 * k + 1)
    for fan in fans.values():
        if len(fan) > 2:
            chords = [math.dist(points[strands[h >> 1].start], points[strands[h >> 1].end]) for h in fan]
            reach = min(chords) / 2.0
            fan.sort(key={h: _heading_rad(points, strands[h >> 1], h & 1, reach) for h in fan}.__getitem__)
    return fans


def _heading_rad(points: list[Point], strand: Strand, back: int, reach: float) -> float:
    """Direction in which a half-edge crosses a small circle about its start, from 0 to a full turn."""
    here, there = points[strand.start], points[strand.end]
    if back:
        here, there = there, here
    edge = strand.edge
    if isinstance(edge, Arc):
        sense = 1.0 if edge.ccw != bool(back) else -1.0
        # The tangent is square to the radius; the chord to the small circle leans in by asin(reach / 2r).
        across = math.atan2(here[1] - edge.centre[1], here[0] - edge.centre[0])
        heading = across + sense * (math.pi / 2.0 + math.asin(min(reach / (2.0 * edge.radius), 1.0)))
    else:
        heading = math.atan2(there[1] - here[1], there[0] - here[0])
    return heading % math.tau


def _cycles(following: Sequence[int]) -> tuple[list[int], list[list[int]]]:
    """Closed walks of half-edges, and the number of the walk that each half-edge is on."""
    cycle_of = [-1] * len(following)
    cycles: list[list[int]] = []
    for first in range(len(following)):
        if cycle_of[first] >= 0:
            continue
        half, cycle = first, []
        while cycle_of[half] < 0:
            cycle_of[half] = len(cycles)
            cycle.append(half)
            half = following[half]
        cycles.append(cycle)
    return cycle_of, cycles


def _areas(points: list[Point], strands: list[Strand], cycles: list[list[int]]) -> list[float]:
    """Signed area of every closed walk."""
    spans = [_span(points, strand) for strand in strands]
    return [math.fsum([-spans[h >> 1] if h & 1 else spans[h >> 1] for h in cycle]) for cycle in cycles]


def _span(points: list[Point], strand: Strand) -> float:
    """Area between a strand and the first vertex of the arrangement."""
    rx, ry = points[0]
    (x0, y0), (x1, y1) = points[strand.start], points[strand.end]
    area = 0.5 * ((x0 - rx) * (y1 - ry) - (x1 - rx) * (y0 - ry))
    edge = strand.edge
    if not isinstance(edge, Arc):
        return area
    (cx, cy), r = edge.centre, edge.radius
    ax, ay, bx, by = x0 - cx, y0 - cy, x1 - cx, y1 - cy
    segment = 0.5 * r * r * segment_factor(math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by))
    return area + segment if edge.ccw else area - segment


def _groups(strands: list[Strand], cycle_of: list[int], cycles: list[list[int]]) -> list[dict[int, Winding]]:
    """Return connected walks, each with its winding numbers relative to the first of its group."""
    seen: set[int] = set()
    groups = []
    for seed in range(len(cycles)):
        if seed in seen:
            continue
        group: dict[int, Winding] = {seed: (0, 0)}
        queue = [seed]
        while queue:
            cycle = queue.pop()
            a, b = group[cycle]
            for half in cycles[cycle]:
                strand, sign = strands[half >> 1], (1 if half & 1 else -1)
                other, winding = cycle_of[half ^ 1], (a + sign * strand.a, b + sign * strand.b)
                known = group.get(other)
                if known is None:
                    group[other] = winding
                    queue.append(other)
                elif known != winding:
                    raise InconsistentFacesError(points_of(strand))
        seen.update(group)
        groups.append(group)
    return groups


def points_of(strand: Strand) -> str:
    return f"near the edge from {strand.edge.start} to {strand.edge.end}"


def _outside_winding(
    points: list[Point],
    strands: list[Strand],
    cycle_of: list[int],
    cycles: list[list[int]],
    group: dict[int, Winding],
) -> Winding:
    """Winding numbers just outside a group, from all strands that are not of it."""
    seed = cycles[next(iter(group))][0]
    point = points[strands[seed >> 1].start]
    a = b = 0
    for k, strand in enumerate(strands):
        if cycle_of[2 * k] in group:
            continue
        start, end = points[strand.start], points[strand.end]
        if isinstance(strand.edge, Arc):
            count = arc_crossing(start, end, strand.edge, point)
        else:
            count = chord_crossing(start, end, point)
        a += count * strand.a
        b += count * strand.b
    return (a, b)
