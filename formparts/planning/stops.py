"""The stop of a step: an edge or an upright flange along the bend line, and the positions of the fingers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from formparts.body import Flat
from formparts.body.frame import Frame, Vector
from formparts.outline.edges import Line, Point
from formparts.planning.cells import Cell, chords
from formparts.planning.collide import profile_of, stretches
from formparts.planning.feasible import MovedPart, free, pieces, placed, solid_cells
from formparts.planning.stand import Interval, PartModel, Stand, pose
from formparts.planning.tools import Machine
from formparts.short_repr import short_repr
from formparts.tolerances import ALONG

if TYPE_CHECKING:
    from formparts.planning.collide import Floats

LEAST_EDGE = 8.0
"""A straight edge shorter than this cannot rest against a stop [mm]; common practice, no source."""

MARGIN = 3.0
"""Distance of a finger from the end of an edge [mm]; common practice, no source."""

FINGER_HEIGHT = 6.0
"""Height of a finger's tip [mm]; common practice, no source."""

APART = 40.0
"""Two fingers nearer to each other than this do not hold the part square [mm]; common practice, no source."""


LEAST_LEAN = 0.2
"""A flat that leans from level by more than 78 deg has no edge to the stops but a face [-]: the cosine."""

FOLDED = 175.0
"""A finished bend of at least this angle is the edge of its flat [deg]."""

NO_STOP = 9
"""Quality of a step for which no edge was found [-]."""


@short_repr
@dataclass(frozen=True)
class Stop:
    """
    The edge or face against the stops in one step.

    Parameters
    ----------
    flat : str
        The flat whose edge or face it is; empty when there is no such edge.
    kind : str
        `edge` (of a level flat), `slanted edge`, `flange` (the outer face of an upright one), `fold` (of a hem that is
        closed), or `none`.
    distance : float [mm]
        From the bend line to the stops.
    fingers : tuple of float [mm]
        Positions of the fingers along the line, from the start of the first bend.
    height : float [mm]
        Height of the contact, from the top of the die.
    side : int
        The side of the line that goes to the back: 1 that of the first bend's parent, -1 the other.
    own : bool
        True when the flat is beside the bend line, so that the drawing measures it.
    """

    flat: str
    kind: str
    distance: float
    fingers: tuple[float, ...]
    height: float
    side: int
    own: bool

    @property
    def quality(self) -> int:
        """Penalty of the stop [-]: 0 for two fingers on an edge beside the bend line."""
        if self.kind == "none":
            return NO_STOP
        plain, standing = {True: 0, False: 2}[self.own], self.kind not in ("edge", "fold")
        return plain + standing + (len(self.fingers) < 2) + (abs(self.height) > FINGER_HEIGHT + 4.0)


def no_stop(side: int) -> Stop:
    """Return the stop of a step without an edge that the part could rest against."""
    return Stop("", "none", 0.0, (), 0.0, side, False)


def fold_stop(at: Stand, bent: Sequence[Interval], side: int, distance: float, height: float) -> Stop:
    """Return the fold of a hem against the stops while it is closed, so that its rim lies under the punch."""
    name = next(name for name, (its, _) in at.starts.items() if its == side)
    room = [(low + MARGIN, high - MARGIN) for low, high in bent if high - low >= LEAST_EDGE]
    if not room:
        return no_stop(side)
    return Stop(name, "fold", distance, _fingers(room), height, side, True)


def stop_for(
    model: PartModel, at: Stand, made: int, side: int, machine: Machine, die_opening: float, first: int
) -> Stop:
    """
    Return the best of all edges for a step, with one side of the line at the back.

    Parameters
    ----------
    model, at : PartModel, Stand
        The part, and the bends on the line.
    made : int
        The bends that are made, as bits.
    side : int
        The side that goes to the back.
    machine : Machine
        Its stops.
    die_opening : float [mm]
        The stops stay at least half of it away.
    first : int
        Number of the first bend, for its allowance.
    """
    key = ("stop", at.members, made, side, die_opening)
    if key not in model.memo:
        model.memo[key] = _best(model, at, made, side, machine, die_opening, first)
    known: Stop = model.memo[key]
    return known


def _best(
    model: PartModel, at: Stand, made: int, side: int, machine: Machine, die_opening: float, first: int
) -> Stop:
    """Return the best edge; edges that cannot beat the best so far are skipped."""
    lying = _Lying(model, at, made, model.allowances[first])
    hopes = [
        (_hope(edge), round(edge.y * side, 3), edge.flat, number, edge)
        for number, edge in enumerate(_candidates(model, at, made, side, model.allowances[first]))
    ]
    best = no_stop(side)
    for hope, distance, flat, _, edge in sorted(hopes, key=lambda each: each[:4]):
        if (hope, distance, flat) >= (best.quality, round(best.distance, 3), best.flat):
            break
        found = _touched(edge, lying, side, machine, die_opening)
        if found is not None and _rank(found) < _rank(best):
            best = found
    return best


def _rank(stop: Stop) -> tuple[int, float, str]:
    return stop.quality, round(stop.distance, 3), stop.flat


def _hope(edge: _Edge) -> int:
    """Return a lower bound of the penalty of an edge."""
    two = edge.along[1] - edge.along[0] - 2.0 * MARGIN >= 2.0 * LEAST_EDGE
    fingers = (0.0, 0.0) if two else (0.0,)
    return Stop(edge.flat, edge.kind, edge.y, fingers, edge.height, 1, edge.own).quality


@dataclass(frozen=True)
class _Edge:
    """A straight edge facing the stops: y, height, and extent along the line."""

    flat: str
    kind: str
    y: float
    height: float
    along: Interval
    own: bool


def _wing(side: int, allowance: float, thickness: float) -> Frame:
    """The position of a side of the line while the sheet is level on the die."""
    return Frame((0.0, side * allowance / 2.0, thickness / 2.0))


@dataclass(frozen=True)
class _Lying:
    """A part level on the die, with some bends made; each flat and bend is visited once."""

    model: PartModel
    at: Stand
    made: int
    allowance: float

    def cells(self, piece: MovedPart) -> Floats:
        """Its cells, in position."""
        model = self.model
        wing = _wing(self.at.sides[piece.flat], self.allowance, model.body.sheet.thickness)
        return placed(solid_cells(model, self.at, piece, self.made), wing)

    def box(self, piece: MovedPart) -> tuple[Vector, Vector]:
        """Return the box around the flat or bend."""
        key = ("lying", self.at.members, piece.name, self.made & piece.mask)
        if key not in self.model.memo:
            points = self.cells(piece).reshape(-1, 3)
            self.model.memo[key] = tuple(points.min(axis=0).tolist()), tuple(points.max(axis=0).tolist())
        found: tuple[Vector, Vector] = self.model.memo[key]
        return found

    def behind(self, near: Sequence[MovedPart], band: Cell) -> list[Interval]:
        """Return the stretches over which flats and bends lie in a band."""
        import numpy as np

        if not near:
            return []
        cells = np.concatenate([self.cells(piece) for piece in near])
        first, last, _ = stretches(cells, profile_of((band,)))
        return list(zip(first.tolist(), last.tolist(), strict=True))


def _candidates(model: PartModel, at: Stand, made: int, side: int, allowance: float) -> Iterator[_Edge]:
    """Return edges and faces of all flats on a side that could rest against the stops."""
    sides, masks = at.sides, at.masks
    yield from _folds(model, at, made, side, allowance)
    for flat in model.body.flats:
        if sides[flat.name] == side:
            key = ("edges", at.members, flat.name, made & masks[flat.name])
            if key not in model.memo:
                model.memo[key] = tuple(_of_flat(model, at, flat, made, side, allowance))
            yield from model.memo[key]


def _folds(model: PartModel, at: Stand, made: int, side: int, allowance: float) -> Iterator[_Edge]:
    """Return hems that were closed before, on a level flat: their folds are straight edges."""
    half = model.body.sheet.thickness / 2.0
    for link in at.links:
        shape = model.shape(link.bend, made)
        if link.side != side or link.bend in at.bends or shape is None or shape[0] < FOLDED:
            continue
        frame = pose(model, at, link.before, made).inside(_wing(side, allowance, 2.0 * half))
        if abs(abs(frame.z[2]) - 1.0) >= ALONG:
            continue
        line = link.way.parent_line if link.before == link.way.parent else link.way.child_line
        start, end = (frame.point(point) for point in line)
        if abs(start[1] - end[1]) <= ALONG * link.way.width:
            up = 1.0 if (link.way.side == "up") == (frame.z[2] > 0.0) else -1.0
            outside, height = shape[1] + 2.0 * half, start[2] + up * (shape[1] + half)
            along = (min(start[0], end[0]), max(start[0], end[0]))
            own = link.before in at.starts
            yield _Edge(link.flat, "fold", start[1] + side * outside, height, along, own)


def _of_flat(
    model: PartModel, at: Stand, flat: Flat, made: int, side: int, allowance: float
) -> Iterator[_Edge]:
    thickness, own = model.body.sheet.thickness, flat.name in at.starts
    frame = pose(model, at, flat.name, made).inside(_wing(side, allowance, thickness))
    if abs(abs(frame.z[2]) - 1.0) < ALONG:
        yield from _edges(flat.name, flat.net.outer.edges, frame, side, own)
    elif abs(abs(frame.z[1]) - 1.0) < ALONG:
        beside = own or any(link.flat == flat.name and link.before in at.starts for link in at.links)
        yield from _faces(flat.name, chords(flat.net.outer.edges), frame, side, thickness, beside)
    elif abs(frame.z[0]) < ALONG:
        yield from _slanted(flat.name, flat.net.outer.edges, frame, side, thickness)


def _slanted(
    name: str, edges: Sequence[object], frame: Frame, side: int, thickness: float
) -> Iterator[_Edge]:
    """Return straight edges of a flat that slants up or down to the back: the corner farthest back touches."""
    corner = thickness / 2.0 * (1.0 if frame.z[1] * side > 0.0 else -1.0)
    for edge in edges:
        if isinstance(edge, Line):
            start, end = frame.point(edge.start, corner), frame.point(edge.end, corner)
            out = frame.direction(
                (edge.end[1] - edge.start[1]) / edge.length, (edge.start[0] - edge.end[0]) / edge.length
            )
            if abs(start[1] - end[1]) <= ALONG * edge.length and out[1] * side > LEAST_LEAN:
                along = (min(start[0], end[0]), max(start[0], end[0]))
                yield _Edge(name, "slanted edge", start[1], start[2], along, False)


def _edges(name: str, edges: Sequence[object], frame: Frame, side: int, own: bool) -> Iterator[_Edge]:
    """Return straight edges of a level flat along the line, the material on the line's side of them."""
    for edge in edges:
        if isinstance(edge, Line):
            start, end = frame.point(edge.start), frame.point(edge.end)
            if abs(start[1] - end[1]) <= ALONG * edge.length and _faces_back(start[0] - end[0], frame, side):
                along = (min(start[0], end[0]), max(start[0], end[0]))
                yield _Edge(name, "edge", start[1], start[2], along, own)


def _faces_back(run: float, frame: Frame, side: int) -> bool:
    """True when the material is to the left of an edge, seen from above; reversed on a flat lying upside down."""
    return run * side * frame.z[2] > 0.0


def _faces(
    name: str, corners: Sequence[Point], frame: Frame, side: int, thickness: float, own: bool
) -> Iterator[_Edge]:
    """Return the outer face of an upright flange, at the middle of its height."""
    places = [frame.point(corner) for corner in corners]
    heights = [place[2] for place in places]
    height = max(min(heights), min((min(heights) + max(heights)) / 2.0, FINGER_HEIGHT))
    y = places[0][1] + side * thickness / 2.0
    crossings = sorted(
        a[0] + (b[0] - a[0]) * (height - a[2]) / (b[2] - a[2])
        for a, b in zip(places, (*places[1:], places[0]), strict=True)
        if (a[2] > height) != (b[2] > height)
    )
    for low, high in zip(crossings[::2], crossings[1::2], strict=True):
        yield _Edge(name, "flange", y, height, (low, high), own)


def _touched(edge: _Edge, lying: _Lying, side: int, machine: Machine, die_opening: float) -> Stop | None:
    """Return the stop at an edge, if fingers reach it; nothing may lie behind it at their height."""
    distance = edge.y * side
    low, high = machine.stop_range
    inside = max(low, die_opening / 2.0) <= distance <= high
    inside = inside and machine.stop_height[0] <= edge.height <= machine.stop_height[1]
    if not inside or edge.along[1] - edge.along[0] < LEAST_EDGE:
        return None
    half = machine.finger_width / 2.0
    room = [
        (start + min(half, MARGIN), end - min(half, MARGIN))
        for start, end in _open(lying, edge, side, half)
        if end - start >= LEAST_EDGE
    ]
    if not room:
        return None
    fingers = _fingers(room)
    return Stop(edge.flat, edge.kind, distance, fingers, edge.height, side, edge.own)


def _open(lying: _Lying, edge: _Edge, side: int, half: float) -> list[Interval]:
    """Return stretches of an edge behind which no part of the sheet is in a finger's way."""
    near, far = edge.y + side * 0.1, edge.y + side * 3000.0
    y0, y1 = min(near, far), max(near, far)
    z0, z1 = edge.height - FINGER_HEIGHT / 2.0, edge.height + FINGER_HEIGHT / 2.0
    band: Cell = ((y0, z0), (y1, z0), (y1, z1), (y0, z1))
    beside = [
        piece for piece in pieces(lying.model, lying.at) if _meets(lying.box(piece), (y0, y1), (z0, z1))
    ]
    taken = lying.behind(beside, band)
    return free(edge.along[0], edge.along[1], [(low - half, high + half) for low, high in taken])


def _meets(box: tuple[Vector, Vector], across: Interval, up: Interval) -> bool:
    (_, low_y, low_z), (_, high_y, high_z) = box
    return low_y < across[1] and high_y > across[0] and low_z < up[1] and high_z > up[0]


def _fingers(room: Sequence[Interval]) -> tuple[float, ...]:
    """Return two fingers as far apart as the edge allows, or one in the middle of the longest stretch."""
    low, high = room[0][0], room[-1][1]
    if high - low >= APART:
        return low, high
    longest = max(room, key=lambda stretch: stretch[1] - stretch[0])
    if longest[1] - longest[0] >= LEAST_EDGE * 2.0:
        return longest
    return ((longest[0] + longest[1]) / 2.0,)
