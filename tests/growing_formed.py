"""Steps of growth that form or drill: joggles along an edge, tabs, extruded holes, holes drilled in space, boxes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formparts.body import Body, Sheet, frames
from formparts.outline import Motion, rectangle
from formparts.shapes import Tip, add_joggle, add_tab, box, cut_opening, drill, extruded
from formparts.shapes.box_corners import CornerKind
from tests.growing import edge_of


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
        outside = rectangle(self.length + 3.0 * bend, self.width + 3.0 * bend)
        rim = None if self.rim is None else bend + self.rim
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
    """A hole drilled square to a flat, through all that stands behind and before it."""

    flat: int
    diameter: float
    place: tuple[float, float]

    def __call__(self, body: Body, name: str) -> Body:
        frame = frames(body)[body.flats[self.flat % len(body.flats)].name]
        return drill(body, self.diameter, frame.point(_at(body, self.flat, self.place)), frame.z, name)


def _at(body: Body, flat: int, share: tuple[float, float]) -> tuple[float, float]:
    x0, y0, x1, y1 = body.flats[flat % len(body.flats)].outline.bounds
    return x0 + share[0] * (x1 - x0), y0 + share[1] * (y1 - y0)
