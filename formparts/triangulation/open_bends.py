"""Triangles of a bend with openings: those of its developed strip, rolled up onto both skins."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from formparts.body import Bend, Frame, StripEdge, front_first
from formparts.body.frame import Vector, combined, cross
from formparts.body.strip_mesh import StripMesh, strip_meshes
from formparts.outline.edges import Arc, Point
from formparts.tolerances import FIT

if TYPE_CHECKING:
    from formparts.triangulation.body_facets import Made


def open_bend(made: Made, bend: Bend, line: Frame, steps: int, chords: Callable[[Arc], int]) -> None:
    """Enter the faces of a bend that openings cut into: its skins region by region, then the faces between them."""
    roll = _Roll(bend, line, made.half)
    for mesh in strip_meshes(bend, bend.developed, steps, chords):
        rows = [_rows(made, bend, mesh, roll, skin) for skin in (0, 1)]
        for skin in (0, 1):
            _skin(made, bend, mesh, roll, rows[skin], skin)
        for one, run in mesh.runs:
            _entered_lines(made, one, run, rows)
            if not one.flat:
                _wall(made, one, run, rows, roll, bend)


class _Roll:
    """From the developed strip to the two skins."""

    def __init__(self, bend: Bend, line: Frame, half: float) -> None:
        self.line, self.up = line, bend.side == "up"
        self.sense = -1.0 if self.up else 1.0
        self.per_mm = math.radians(bend.angle) / bend.developed
        self.centre = line.point((0.0, 0.0), -self.sense * (bend.inside_radius + half))
        hollow, full = bend.inside_radius, bend.inside_radius + 2.0 * half
        self.radii = (full, hollow) if self.up else (hollow, full)

    def place(self, point: Point, radius: float) -> Vector:
        turn = -point[1] * self.per_mm
        cos, sin = self.sense * math.cos(turn), math.sin(turn)
        return combined(
            self.centre, (radius * cos, self.line.z), (-radius * sin, self.line.y), (point[0], self.line.x)
        )

    def upward(self, height: float) -> Vector:
        """Direction from the lower to the upper skin."""
        turn = -height * self.per_mm
        return combined(
            (0.0, 0.0, 0.0), (math.cos(turn), self.line.z), (-self.sense * math.sin(turn), self.line.y)
        )

    def way(self, x: float, y: float, height: float) -> Vector:
        """A direction on the strip, as it runs in space at a height."""
        turn = -height * self.per_mm
        round_ = combined(
            (0.0, 0.0, 0.0), (-self.sense * math.sin(turn), self.line.z), (-math.cos(turn), self.line.y)
        )
        return combined((0.0, 0.0, 0.0), (x, self.line.x), (-y, round_))


def _rows(made: Made, bend: Bend, mesh: StripMesh, roll: _Roll, skin: int) -> list[int]:
    """The row of every point on one skin: those of the flats where they meet, new ones else."""
    shared: dict[int, int] = {}
    shift = made.count if skin else 0
    for one, run in mesh.runs:
        if one.flat:
            first, last = made.joints[bend.name, one.flat, one.span]
            # The flat's rim runs the other way.
            shared[run[0]], shared[run[-1]] = last + shift, first + shift
    found = []
    for number, point in enumerate(mesh.points):
        if number not in shared:
            shared[number] = made.entered([roll.place(point, roll.radii[skin])])
        found.append(shared[number])
    return found


def _skin(made: Made, bend: Bend, mesh: StripMesh, roll: _Roll, rows: list[int], skin: int) -> None:
    import numpy as np

    hollow = roll.radii[skin] < roll.radii[1 - skin]
    name = f"{bend.name}.{'inside' if hollow else 'outside'}"
    owner = made.face(name, roll.line.x, roll.centre, -1.0 if hollow else 1.0)
    triangles = np.array(rows)[np.array(mesh.triangles)]
    made.add(owner, triangles if skin else triangles[:, ::-1])


def _entered_lines(made: Made, one: StripEdge, run: list[int], rows: list[list[int]]) -> None:
    """The true edges along a rim; those along a flat are there already."""
    import numpy as np

    if one.flat:
        return
    for skin in (0, 1):
        ends = np.array([rows[skin][number] for number in run])
        made.lines.append(np.column_stack([ends[:-1], ends[1:]]))
        made.smooth.append(np.zeros(len(run) - 1, dtype=bool))


def _wall(made: Made, one: StripEdge, run: list[int], rows: list[list[int]], roll: _Roll, bend: Bend) -> None:
    """The edge face along a rim; a curved one is shaded as a cylinder about the middle of its arc."""
    import numpy as np

    low, high = (np.array([rows[skin][number] for number in run]) for skin in (0, 1))
    strip = np.concatenate(
        [np.column_stack([low[:-1], low[1:], high[1:]]), np.column_stack([low[:-1], high[1:], high[:-1]])]
    )
    made.add(made.face(_name(made, one, roll, bend), *_surface(one, roll)), strip)


def _name(made: Made, one: StripEdge, roll: _Roll, bend: Bend) -> str:
    """As in the solid: the start of a bend is in front, as the root flat sees it."""
    start, end = f"{bend.name}.start", f"{bend.name}.end"
    called = {} if front_first(made.root, roll.line.x) else {start: end, end: start}
    return called.get(one.edge.tag, one.edge.tag) or f"{bend.name}.edge"


def _surface(one: StripEdge, roll: _Roll) -> tuple[Any, ...]:
    edge = one.edge
    if isinstance(edge, Arc):
        _, height = edge.centre
        middle = sum(roll.radii) / 2.0
        return roll.upward(height), roll.place(edge.centre, middle), 1.0 if edge.ccw else -1.0
    (x0, y0), (x1, y1) = edge.start, edge.end
    height = (y0 + y1) / 2.0
    along = roll.way((x1 - x0) / edge.length, (y1 - y0) / edge.length, height)
    if abs(x1 - x0) <= FIT:
        return (roll.way(math.copysign(1.0, y1 - y0), 0.0, height),)
    return (cross(along, roll.upward(height)),)
