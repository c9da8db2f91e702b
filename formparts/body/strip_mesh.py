"""Triangles of what openings leave of a bend, on its developed strip, in bands narrow enough for the cylinder."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from formparts.body.bends import Bend
from formparts.body.edges_beside_bends import StripEdge, strip_rims
from formparts.errors import KernelError
from formparts.outline.edges import Arc, Edge, Point
from formparts.tolerances import FIT


@dataclass
class StripMesh:
    """
    One connected region of a bend's developed strip.

    `runs` has the numbers of the points along every edge, its first and its last among them.
    """

    points: list[Point] = field(default_factory=list)
    triangles: list[tuple[int, int, int]] = field(default_factory=list)
    runs: list[tuple[StripEdge, list[int]]] = field(default_factory=list)


def strip_meshes(bend: Bend, developed: float, steps: int, chords: Callable[[Arc], int]) -> list[StripMesh]:
    """
    Triangles of every region of a bend, anticlockwise from above; none reaches over more than one of `steps` bands.

    `chords` says by how many chords an arc is followed; points on the rims lie in the same places on both skins.
    """
    levels = [-developed * step / steps for step in range(1, steps)]
    return [_mesh(bend.name, loops, levels, chords) for loops in strip_rims(bend, developed)]


def _mesh(
    name: str, loops: Sequence[Sequence[StripEdge]], levels: list[float], chords: Callable[[Arc], int]
) -> StripMesh:
    made = StripMesh()
    rims = []
    for loop in loops:
        begin = len(made.points)
        for one in loop:
            first = len(made.points)
            made.points += _followed(one.edge, levels, chords)
            made.runs.append((one, list(range(first, len(made.points) + 1))))
        made.runs[-1][1][-1] = begin
        rims.append(list(range(begin, len(made.points))))
    corners = [[made.points[number] for number in rim] for rim in rims]
    splitter = _Bands(made.points, levels)
    for triangle in _between(name, corners):
        made.triangles += splitter.split(triangle)
    return made


def _followed(edge: Edge, levels: list[float], chords: Callable[[Arc], int]) -> list[Point]:
    """Points along an edge but its last: the ends of its chords, and where it crosses a level."""
    count = chords(edge) if isinstance(edge, Arc) else 1
    shares = {number / count for number in range(count)}
    for level in levels:
        shares |= {share for share in _crossings(edge, level) if 0.0 < share < 1.0}
    found: list[Point] = []
    for share in sorted(shares):
        x, y = edge.start if share == 0.0 else edge.point_at(share)
        level = min(levels, key=lambda one: abs(one - y), default=math.inf)
        point = (x, level if abs(level - y) <= FIT else y)
        if not found or math.dist(found[-1], point) > FIT:
            found.append(point)
    if len(found) > 1 and math.dist(found[-1], edge.end) <= FIT:
        found.pop()
    return found


def _crossings(edge: Edge, level: float) -> list[float]:
    """The shares of an edge at which it crosses a level."""
    (_, y0), (_, y1) = edge.start, edge.end
    if not isinstance(edge, Arc):
        return [] if abs(y1 - y0) <= FIT else [(level - y0) / (y1 - y0)]
    height = (level - edge.centre[1]) / edge.radius
    if abs(height) >= 1.0:
        return []
    begin = math.atan2(y0 - edge.centre[1], edge.start[0] - edge.centre[0])
    sense, up = (1.0 if edge.ccw else -1.0), math.asin(height)
    return [(sense * (angle - begin)) % math.tau / edge.sweep_rad for angle in (up, math.pi - up)]


def _between(name: str, loops: list[list[Point]]) -> list[tuple[int, int, int]]:
    """Triangles between loops, the outer one anticlockwise; every point of them is a corner."""
    import manifold3d
    import numpy as np

    found = np.asarray(manifold3d.triangulate([np.array(loop) for loop in loops]), dtype=np.int64)
    wanted = sum(map(len, loops)) + 2 * len(loops) - 4
    if len(found) != wanted:
        raise KernelError(f"mesh of {name}", f"{len(found)} triangles between its rims, and not {wanted}")
    return [(a, b, c) for a, b, c in found.tolist()]


class _Bands:
    """Cuts triangles at levels; a side that two of them share is cut in the same points."""

    def __init__(self, points: list[Point], levels: list[float]) -> None:
        self.points, self.levels = points, levels
        self.known: dict[tuple[int, int, float], int] = {}

    def split(self, triangle: tuple[int, int, int]) -> list[tuple[int, int, int]]:
        pieces: list[list[int]] = [list(triangle)]
        low = min(self.points[n][1] for n in triangle)
        high = max(self.points[n][1] for n in triangle)
        for level in self.levels:
            if low < level < high:
                pieces = [part for piece in pieces for part in self._halves(piece, level)]
        return [(p[0], p[n], p[n + 1]) for p in pieces for n in range(1, len(p) - 1)]

    def _halves(self, piece: list[int], level: float) -> list[list[int]]:
        """Split a convex polygon above and below a level."""
        above: list[int] = []
        below: list[int] = []
        for here, there in zip(piece, piece[1:] + piece[:1], strict=True):
            y0, y1 = self.points[here][1], self.points[there][1]
            if y0 >= level:
                above.append(here)
            if y0 <= level:
                below.append(here)
            if (y0 - level) * (y1 - level) < 0.0:
                cut = self._cut(here, there, level)
                above.append(cut)
                below.append(cut)
        return [part for part in (above, below) if len(part) > 2]

    def _cut(self, here: int, there: int, level: float) -> int:
        key = (min(here, there), max(here, there), level)
        if key not in self.known:
            (x0, y0), (x1, y1) = self.points[key[0]], self.points[key[1]]
            self.known[key] = len(self.points)
            self.points.append((x0 + (x1 - x0) * (level - y0) / (y1 - y0), level))
        return self.known[key]
