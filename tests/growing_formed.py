"""
Steps of growth that form, drill or repeat: joggles along an edge, tabs, holes for screws and nuts, marks, arrays,
perforations and rounded corners; and bases that are boxes or drawn blanks folded along lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formparts.body import Body, Sheet, frames
from formparts.errors import InputError
from formparts.outline import Motion, Outline, disc, polygon, rectangle
from formparts.shapes import (
    MarkShape,
    RoundHole,
    Tip,
    Turn,
    add_flange,
    add_joggle,
    add_mark,
    add_tab,
    array_along,
    array_in_rows,
    box,
    cut_opening,
    drill,
    extruded,
    fold,
    fold_line,
    fuse,
    perforation,
    plate,
    round_corners,
)
from formparts.shapes.box_corners import CornerKind
from formparts.shapes.perforating import Pattern
from tests.growing import Guest, edge_of, laid


@dataclass(frozen=True)
class Boxed:
    """A base with walls: given by what is left inside its bends, so that it can be made."""

    length: float
    width: float
    above: float
    corner: CornerKind
    rim: float | None
    gap: float | None

    def __call__(self, sheet: Sheet, name: str) -> Body:
        bend = sheet.inside_radius + sheet.thickness
        rim = None if self.rim is None else bend + self.rim
        spare = 3.0 * bend + 2.0 * (rim or 0.0)  # what mitred rims take of an edge
        outside = rectangle(self.length + spare, self.width + spare)
        high = self.above + (2.0 if rim else 1.0) * bend
        return box(sheet, outside, high, corner=self.corner, rim=rim, gap=self.gap, name=name)


@dataclass(frozen=True)
class SetOff:
    """A joggle along the whole of a straight edge, by the thickness or a rise of so many."""

    flat: int
    edge: int
    lap: float
    rise: float | None
    side: Literal["up", "down"]
    within: bool

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = edge_of(body, self.flat, self.edge)
        rise = None if self.rise is None else self.rise * body.sheet.thickness
        return add_joggle(
            body, (edge.start, edge.end), self.lap, rise=rise, flat=flat.name, side=self.side, within=self.within,
            name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Tabbed:
    """A tab folded out of a flat: where is a share of the flat's box."""

    flat: int
    above: float
    width: float
    place: tuple[float, float]
    turned: float
    angle: float
    side: Literal["up", "down"]
    end: Tip | tuple[Tip, Tip]
    cuts: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        flat = body.flats[self.flat % len(body.flats)]
        way = Motion.shift(*_at(body, self.flat, self.place)).after(Motion.turn(self.turned))
        return add_tab(
            body, self.above, self.width, way, flat=flat.name, height_to="tangent line", place_at="tangent line",
            angle=self.angle, side=self.side, end=self.end, cut_width=self.cuts[0],
            relief_depth=self.cuts[1], name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Collared:
    """An extruded hole: its collar is a share of the sheet thinner than the sheet."""

    flat: int
    pierced: float
    place: tuple[float, float]
    face: Literal["upper", "lower"]

    def __call__(self, body: Body, name: str) -> Body:
        flat, thickness = body.flats[self.flat % len(body.flats)], body.sheet.thickness
        shape = extruded(self.pierced, 2.0 * self.pierced, 2.0 * thickness, face=self.face)
        return cut_opening(body, shape, flat.name, _at(body, self.flat, self.place), name)


@dataclass(frozen=True)
class Drilled:
    """A hole drilled square to a flat, through all that is behind and in front of it."""

    flat: int
    diameter: float
    place: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        frame = frames(body)[body.flats[self.flat % len(body.flats)].name]
        return drill(body, self.diameter, frame.point(_at(body, self.flat, self.place)), frame.z, name)


@dataclass(frozen=True)
class Folded:
    """
    A base that is a drawn blank, folded along lines across it: each as far beyond the one before as it needs.

    Where the blank has no room for them it stays a plate: a base is there in any case.
    """

    outline: Outline
    turns: tuple[tuple[float, Turn], ...]
    slant: float

    def __call__(self, sheet: Sheet, name: str) -> Body:
        x0, y0, _, y1 = self.outline.bounds
        lines, x = [], x0
        for step, turn in self.turns:
            radius = turn.inside_radius or sheet.inside_radius
            x += step + 2.0 * (radius + sheet.thickness)
            across = (x - self.slant, y0 - 1.0), (x + self.slant, y1 + 1.0)
            lines.append(fold_line(*across, turn.angle, turn.side, radius))
        try:
            return fold(sheet, self.outline, lines, name=name)
        except InputError:
            return plate(sheet, self.outline, name)


@dataclass(frozen=True)
class Shaped:
    """A flange of an outline of its own, as a drawing gives it: higher at one end than at the other."""

    flat: int
    edge: int
    heights: tuple[float, float]
    angle: float
    side: Literal["up", "down"]

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = edge_of(body, self.flat, self.edge)
        high, low = self.heights
        outline = polygon([(0.0, 0.0), (edge.length, 0.0), (edge.length, high), (0.0, low)])
        return add_flange(
            body, (edge.start, edge.end), outline=outline, flat=flat.name, edge_to="tangent line", angle=self.angle,
            side=self.side, name=name,
        )  # fmt: skip


@dataclass(frozen=True)
class Holed:
    """A hole for a screw, a nut or a thread: where is a share of the flat's box."""

    flat: int
    shape: RoundHole
    place: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        return cut_opening(body, self.shape, _flat(body, self.flat), _at(body, self.flat, self.place), name)


@dataclass(frozen=True)
class Pressed:
    """A mark of any kind: where is a share of the flat's box."""

    flat: int
    shape: MarkShape
    place: tuple[float, float]
    face: Literal["upper", "lower"]

    def __call__(self, body: Body, name: str) -> Body:
        return add_mark(
            body, self.shape, _flat(body, self.flat), _at(body, self.flat, self.place), name, self.face
        )


@dataclass(frozen=True)
class Perforated:
    """Openings that fill what a flat has left, with a margin."""

    flat: int
    diameter: float
    pitch: float
    margin: float
    pattern: Pattern

    def __call__(self, body: Body, name: str) -> Body:
        flat, opening = body.flats[self.flat % len(body.flats)], disc(self.diameter)
        places = perforation(flat.net, opening, self.diameter + self.pitch, self.margin, self.pattern)
        return cut_opening(body, opening, flat.name, places, name)


@dataclass(frozen=True)
class Arrayed:
    """Guests spread along a straight edge, or in two rows, each row so far inside the other."""

    flat: int
    edge: int
    guest: Guest
    inset: float
    columns: int
    rows: tuple[int, float]

    def __call__(self, body: Body, name: str) -> Body:
        flat, edge = edge_of(body, self.flat, self.edge)
        (x0, y0), (x1, y1) = edge.start, edge.end
        along = ((x1 - x0) / edge.length, (y1 - y0) / edge.length)
        away, (x, y) = (along[1], -along[0]), edge.point_at(0.5 / self.columns)
        start = (x - self.inset * away[0], y - self.inset * away[1])
        guest = laid(body, flat, self.guest(body.sheet, name), start, away, False)
        frame, (many, back) = frames(body)[flat.name], self.rows
        column = tuple(edge.length / self.columns * one for one in frame.direction(*along))
        if many == 1:
            return fuse(body, array_along(guest, self.columns, column), name=body.name)
        row = tuple(-back * one for one in frame.direction(*away))
        return fuse(body, array_in_rows(guest, self.columns, many, column, row), name=body.name)


@dataclass(frozen=True)
class Rounded:
    """All corners that are still sharp, rounded."""

    radius: float

    def __call__(self, body: Body, _: str) -> Body:
        return round_corners(body, self.radius)


def _flat(body: Body, flat: int) -> str:
    return body.flats[flat % len(body.flats)].name


def _at(body: Body, flat: int, share: tuple[float, float]) -> tuple[float, float]:
    x0, y0, x1, y1 = body.flats[flat % len(body.flats)].outline.bounds
    return x0 + share[0] * (x1 - x0), y0 + share[1] * (y1 - y0)
