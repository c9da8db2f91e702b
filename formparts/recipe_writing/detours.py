"""Projections and notches of an edge: the part of a loop between two edges of one line or circle."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from formparts.outline import Arc, Line
from formparts.outline.edges import Edge, Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.outlines import merged
from formparts.tolerances import LENGTH

LONGEST = 12
"""Largest number of edges of a detour."""


@dataclass(frozen=True)
class Detour:
    """Edges that leave a line or circle and come back to it, in the order of the loop, the sheet on their left."""

    carrier: Edge
    edges: tuple[Edge, ...]

    @property
    def start(self) -> Point:
        return self.edges[0].start

    @property
    def end(self) -> Point:
        return self.edges[-1].end


@dataclass(frozen=True)
class Chain:
    """A closed row of edges, the sheet on their left; an arc may be more than a half turn, or a whole circle."""

    edges: tuple[Edge, ...]

    @property
    def circle(self) -> tuple[Point, float, bool] | None:
        """Centre, radius and sense where all of it is one circle."""
        first = self.edges[0]
        if isinstance(first, Arc) and all(on_one(first, edge) for edge in self.edges):
            return first.centre, first.radius, first.ccw
        return None


def on_one(one: Edge, other: Edge) -> bool:
    """True when two edges run along one line, the same way, or along one circle in the same sense."""
    if isinstance(one, Arc) and isinstance(other, Arc):
        near = (
            math.dist(one.centre, other.centre) < 10 * LENGTH and abs(one.radius - other.radius) < 10 * LENGTH
        )
        return near and one.ccw == other.ccw
    if isinstance(one, Line) and isinstance(other, Line):
        (x0, y0), (x1, y1) = one.start, one.end
        ux, uy = (x1 - x0) / one.length, (y1 - y0) / one.length
        beside = max(abs((x - x0) * uy - (y - y0) * ux) for x, y in (other.start, other.end))
        along = (other.end[0] - other.start[0]) * ux + (other.end[1] - other.start[1]) * uy
        return beside < 10 * LENGTH and along > 0.0
    return False


def stripped(loop: Loop, wanted: Callable[[Detour], bool]) -> tuple[Chain, list[Detour]]:
    """Return a loop without the wanted detours, and these."""
    edges: list[Edge] = list(merged(loop))
    found: list[Detour] = []
    while True:
        cut = next((d for d in _detours(edges) if wanted(d[2])), None)
        if cut is None:
            return Chain(tuple(edges)), found
        first, length, detour = cut
        found.append(detour)
        count = len(edges)
        turned = [edges[(first + k) % count] for k in range(count)]
        edges = [_bridged(turned[0], turned[(length + 1) % count]), *turned[length + 2 :]]


def _detours(edges: Sequence[Edge]) -> Iterator[tuple[int, int, Detour]]:
    """Yield detours, short ones first: number of the edge before, how many edges it has, and itself."""
    count = len(edges)
    for length in range(1, min(LONGEST, count - 1) + 1):
        for first in range(count):
            one, other = edges[first], edges[(first + length + 1) % count]
            if one is other and isinstance(one, Line):
                continue
            if on_one(one, other) and _leads_on(one, other):
                inner = tuple(edges[(first + 1 + k) % count] for k in range(length))
                yield first, length, Detour(one, inner)


def _leads_on(one: Edge, other: Edge) -> bool:
    """True when, on a line, the second edge begins where the first has ended or further on."""
    if isinstance(one, Arc):
        return True
    (x0, y0), (x1, y1) = one.start, one.end
    ahead = (other.start[0] - x1) * (x1 - x0) + (other.start[1] - y1) * (y1 - y0)
    return ahead > 0.0


def _bridged(one: Edge, other: Edge) -> Edge:
    """Return one edge from the start of the first to the end of the second."""
    if isinstance(one, Arc):
        return Arc(
            one.start, one.start if one is other else other.end, one.centre, one.radius, one.ccw, one.tag
        )
    return Line(one.start, other.end, one.tag)


def outward_frame(detour: Detour) -> tuple[Point, Point, Point]:
    """Return the middle of the foot of a detour, the direction away from the sheet, and that along the edge."""
    (x0, y0), (x1, y1) = detour.start, detour.end
    long = math.dist(detour.start, detour.end)
    along = ((x1 - x0) / long, (y1 - y0) / long)
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0), (along[1], -along[0]), along
