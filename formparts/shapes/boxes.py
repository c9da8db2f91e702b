"""Boxes and trays: walls round a polygon, and flanges turned in or out along their tops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, TypeAlias

from formparts.body import Bend, Body, Flat, Frame, Opening, Sheet, Side, developed_length
from formparts.errors import InputError
from formparts.outline import Outline, polygon
from formparts.outline.edges import Line, Motion, Point
from formparts.quantities import NOT_NEGATIVE, Limits, shown_value
from formparts.quantities import length as as_length
from formparts.shapes.box_corners import CORNERS, BoxCorner, CornerKind, CornerRelief, WallEnd, corner_angle
from formparts.shapes.naming import (
    all_tagged,
    at_least,
    checked_name,
    checked_outline,
    checked_sheet,
    named_flat,
    wall_of,
)
from formparts.shapes.openings import cut_in_blank
from formparts.shapes.plates import pierced
from formparts.tolerances import ANGLE_DEG, SHORTEST_EDGE

Turned: TypeAlias = Literal["in", "out"]
Notch: TypeAlias = tuple[float, float] | None
"""The notch beside the bend of a flange at a wall's top: where that bend ends, and the depth of the notch."""
_RIGHT = 90.0


def box(
    sheet: Sheet,
    outline: Outline,
    height: object,
    *,
    corner: CornerKind | Sequence[CornerKind] = "closed",
    gap: object = None,
    relief: CornerRelief | None = None,
    rim: object = None,
    rim_turned: Turned = "in",
    name: str = "box",
) -> Body:
    """
    A box or tray: a floor with walls bent up round it, its outline and heights to the outside.

    The lower face of the floor lies on z = 0, where the outline is drawn. No setback is computed by the user.

        open  |   |        closed  |  |       overlapping  |  |        mitred: as closed, and
              |   |               _|  |_                 __|__|        the bends with them
          ----'   '----       ----'    '----         ----'    '----

    Parameters
    ----------
    sheet : Sheet
        The stock.
    outline : Outline
        Outside of the walls, seen from above: straight edges and sharp corners [mm].
    height : length, or one for each edge [mm]
        Of the walls, from the lower face of the floor to their top; 0 for an edge without a wall. Edges go
        anticlockwise: front, right, back and left of a rectangle, from edge[1] of a polygon.
    corner : str, or one for each corner
        `open`: walls end where their bends end. `closed`: walls run on to each other. `overlapping`: the wall that
        comes first, anticlockwise, covers the end of the next one. `mitred`: closed, the bends with them. Corner n is
        where edge n begins. At corners that point inward both walls end at the bisector of the blank.
    gap : length or None [mm]
        Between two walls at a corner, where they are closest; when none is given half the thickness (common practice,
        no source), or what an open corner has.
    relief : CornerRelief or None
        In every corner: what `corner_relief` gives.
    rim : length or None [mm]
        Width of the flanges along the tops of all walls, from the outer face of the wall, mitred with the same gap.
    rim_turned : "in" or "out"
        Which way they are turned.
    name : str
        Name of the body and its floor; walls are `name.wall[1]`..., flanges along their tops `name.wall[1].rim`...

    Returns
    -------
    Body

    Raises
    ------
    InputError
        An edge is an arc, a wall is lower than its bend, a corner takes more of an edge than there is, or the gap of
        an open corner is narrower than its bends leave.

    Source
    ------
    Exact geometry: at an inside angle A two closed walls end t / tan(A/2) + gap / (2 sin(A/2)) from the corner.

    Examples
    --------
    >>> from formparts import Part, Sheet, rectangle
    >>> body = box(Sheet(1.5, 2), rectangle(120, 80), 40, gap=0.4)
    >>> Part(body).properties.envelope
    (120.0, 80.0, 40.0)
    """
    checked_name(name, "box")
    checked_sheet(sheet, name)
    edges = _edges(checked_outline(outline, name, "outline"), name)
    heights = _heights(height, len(edges), sheet, name)
    width = None if rim is None else as_length(rim, "rim", name, Limits(minimum=SHORTEST_EDGE))
    if rim_turned not in ("in", "out"):
        raise InputError(
            name, "rim_turned", shown_value(rim_turned), "is not a way to turn", 'give "in" or "out"'
        )
    corners = _corners(sheet, edges, heights, corner, gap, relief, name)
    made = _Box(sheet, name, edges, tuple(corners), heights, width, rim_turned)
    return made.body()


def _edges(outline: Outline, name: str) -> list[Line]:
    """Return the edges of an outline in order, from the one that is named first."""
    if outline.holes:
        raise InputError(name, "outline", name, "has holes", "cut them afterwards: cut_opening")
    found = [edge for edge in outline.outer.edges if isinstance(edge, Line)]
    if len(found) != len(outline.outer.edges):
        fix = "draw sharp outside corners; nothing is bent along a curved line"
        raise InputError(name, "outline", name, "has round edges", fix)
    first = next((n for n, edge in enumerate(found) if edge.tag in ("front", "edge[1]")), 0)
    return found[first:] + found[:first]


def _heights(height: object, many: int, sheet: Sheet, name: str) -> tuple[float, ...]:
    given = list(height) if isinstance(height, (list, tuple)) else [height] * many
    if len(given) != many:
        what = f"are {len(given)} for {many} edges"
        raise InputError(name, "height", shown_value(height), what, "give one, or one for each edge")
    found = tuple(as_length(one, "height", name, NOT_NEGATIVE) for one in given)
    if not any(found):
        raise InputError(
            name, "height", shown_value(height), "leaves no wall", "give one more than 0; or a plate"
        )
    taken = sheet.inside_radius + sheet.thickness
    for one in found:
        if 0.0 < one < taken + SHORTEST_EDGE:
            fix = f"at least {at_least(taken)}, or a smaller inside radius"
            raise InputError(
                name, "height", one, f"lower than its bend, which takes {taken:.6g} mm", fix, "mm"
            )
    return found


def _corners(
    sheet: Sheet,
    edges: list[Line],
    heights: tuple[float, ...],
    kinds: object,
    gap: object,
    relief: object,
    name: str,
) -> list[BoxCorner]:
    many = len(edges)
    listed: list[Any] = list(kinds) if isinstance(kinds, (list, tuple)) else [kinds] * many
    if len(listed) != many:
        what = f"are {len(listed)} for {many} corners"
        raise InputError(name, "corner", shown_value(kinds), what, "give one, or one for each corner")
    for kind in listed:
        if kind not in CORNERS:
            known = ", ".join(CORNERS)
            raise InputError(name, "corner", shown_value(kind), "is not a kind of corner", f"one of {known}")
    if relief is not None and not isinstance(relief, CornerRelief):
        fix = 'give corner_relief("round", 6)'
        raise InputError(name, "relief", shown_value(relief), "is not a corner relief", fix)
    room = None if gap is None else as_length(gap, "gap", name, Limits(minimum=SHORTEST_EDGE))
    if relief is not None and relief.shape == "bend lines" and "mitred" in listed:
        fix = "take a round or a square one about the crossing of the tangent lines, or none"
        raise InputError(name, "relief", "bend lines", "lies in the slanted ends of mitred bends", fix)
    found = []
    for number, edge in enumerate(edges):
        angle = corner_angle(edges[number - 1], edge)
        if abs(angle - 180.0) < ANGLE_DEG:
            fix = "leave the point out: one wall stands on one straight edge"
            raise InputError(name, "outline", f"corner {number + 1}", "is a point of a straight edge", fix)
        walls = (heights[number - 1] > 0.0, heights[number] > 0.0)
        found.append(
            BoxCorner(
                number + 1, edge.start, angle, listed[number], room, relief, sheet.thickness,
                sheet.inside_radius, walls,
            )
        )  # fmt: skip
    return found


@dataclass(frozen=True)
class _Box:
    """The parameters of a box; `s` is measured along the outer edge of a wall from the corner where it begins."""

    sheet: Sheet
    name: str
    edges: list[Line]
    corners: tuple[BoxCorner, ...]
    heights: tuple[float, ...]
    rim: float | None
    turned: Turned

    @property
    def setback(self) -> float:
        return self.sheet.inside_radius + self.sheet.thickness

    def beside(self, number: int) -> tuple[BoxCorner, BoxCorner]:
        """Return the corners at the start and end of an edge."""
        return self.corners[number], self.corners[(number + 1) % len(self.corners)]

    def body(self) -> Body:
        flats, bends = [self.floor()], []
        for number, height in enumerate(self.heights):
            if height > 0.0:
                for flat, bend in self.wall(number):
                    flats.append(flat)
                    bends.append(bend)
        frame = Frame((0.0, 0.0, self.sheet.thickness / 2.0))
        body = Body(self.name, self.sheet, tuple(flats), tuple(bends), frame)
        drilled = tuple(self.drilled())
        return cut_in_blank(body, body.flats[0], drilled, self.name) if drilled else body

    @property
    def developed(self) -> float:
        """Return the developed length of the bend of a wall."""
        line = ((0.0, 0.0), (1.0, 0.0))
        bend = Bend("wall", "", "", line, line, _RIGHT, "up", self.sheet.inside_radius)
        return developed_length(self.sheet, bend)

    def crossing(self, corner: BoxCorner) -> Point:
        """Return where the floor's edges cross in a corner."""
        edge = self.edges[corner.number - 1]
        back = self.setback if corner.has_walls[1] else 0.0
        return _inside(edge, corner.floor(True), back)

    def floor(self) -> Flat:
        tags = [edge.tag or f"edge[{number + 1}]" for number, edge in enumerate(self.edges)]
        numbered = {f"edge[{number + 1}]": tag for number, tag in enumerate(tags)}
        outline = polygon([self.crossing(corner) for corner in self.corners]).retagged(numbered)
        tools = [
            all_tagged(tool, f"relief[{corner.number}]")
            for corner in self.corners
            if corner.relief is not None and corner.relief.shape != "bend lines"
            if (tool := self.relief_at(corner)) is not None
        ]
        return named_flat(self.name, pierced(outline, *tools) if tools else outline, self.name)

    def relief_at(self, corner: BoxCorner) -> Outline | None:
        edge = self.edges[corner.number - 1]
        (x0, y0), (x1, y1) = edge.start, edge.end
        inward = Motion.turn(corner.angle / 2.0)(((x1 - x0) / edge.length, (y1 - y0) / edge.length))
        return corner.tool(self.crossing(corner), inward, self.developed)

    def drilled(self) -> list[Opening]:
        """Cut reliefs at the crossings of the bend lines through everything there on the blank."""
        return [
            wall_of(f"{self.name}.relief[{corner.number}]", tool)
            for corner in self.corners
            if corner.relief is not None and corner.relief.shape == "bend lines" and not corner.reentrant
            if (tool := self.relief_at(corner)) is not None
        ]

    def wall(self, number: int) -> list[tuple[Flat, Bend]]:
        """Return a wall with its bend, and the flange along its top."""
        called, edge = f"{self.name}.wall[{number + 1}]", self.edges[number]
        high = self.heights[number] - self.setback * (1.0 if self.rim is None else 2.0)
        if high < SHORTEST_EDGE:
            least = self.heights[number] - high
            what = f"leaves nothing between the bends of wall {number + 1}"
            raise InputError(
                self.name, "height", self.heights[number], what, f"at least {at_least(least)}", "mm"
            )
        before, after = self.beside(number)
        ends = (before.end(True, self.developed, high), after.end(False, self.developed, high))
        self.refuse_narrow(number, ends)
        low, top = ends[0].reach, edge.length - ends[1].reach
        line = (_inside(edge, low, self.setback), _inside(edge, top, self.setback))
        bend = self.bend(f"{called}.bend", self.name, called, line, "up", ends)
        if self.rim is None:
            return [(_strip(called, top, edge.length, ends, high), bend)]
        tips = self.rim_ends(number, ends)
        tops = [self.notch(end, tip, high) for end, tip in zip(ends, tips, strict=True)]
        wall = _strip(called, top, edge.length, ends, high, tops)
        return [(wall, bend), self.rim_of(number, called, high, top, tips)]

    def notch(self, wall: WallEnd, rim: WallEnd, high: float) -> Notch:
        """Return the notch that frees the bend of a rim where the wall continues beside it.

        None in a box without reliefs.
        """
        if self.corners[0].relief is None or rim.reach - wall.top < SHORTEST_EDGE:
            return None
        if high - self.setback - wall.lift < SHORTEST_EDGE:
            least = self.setback + wall.lift
            what = f"leaves {high:.6g} mm between its bends, and the reliefs take {least:.6g} mm"
            fix = f"at least {at_least(max(self.heights) - high + least)}, or no relief"
            raise InputError(self.name, "height", max(self.heights), what, fix, "mm")
        return rim.reach, self.setback

    def bend(
        self,
        name: str,
        parent: str,
        child: str,
        line: tuple[Point, Point],
        side: Side,
        ends: tuple[WallEnd, WallEnd],
    ) -> Bend:
        """A bend whose ends may be slanted: what it lacks of its rectangle is noted as openings."""
        wide, deep = math.dist(*line), self.developed
        shape = Bend(
            name, parent, child, line, ((wide, 0.0), (0.0, 0.0)), _RIGHT, side, self.sheet.inside_radius
        )
        lacking = [
            _wedge(f"{name}.end[{place + 1}]", end, deep, wide if place else None)
            for place, end in enumerate(ends)
            if abs(end.floor - end.bend) > SHORTEST_EDGE
        ]
        return replace(shape, openings=tuple(lacking), developed=deep) if lacking else shape

    @property
    def rim_taken(self) -> float:
        """Return how much of its width the bend of a rim takes."""
        return self.setback if self.turned == "in" else self.sheet.inside_radius

    def rim_ends(self, number: int, ends: tuple[WallEnd, WallEnd]) -> tuple[WallEnd, WallEnd]:
        assert self.rim is not None
        if self.rim - self.rim_taken < SHORTEST_EDGE:
            what = f"narrower than its bend, which takes {self.rim_taken:.6g} mm"
            raise InputError(self.name, "rim", self.rim, what, f"at least {at_least(self.rim_taken)}", "mm")
        deep = self.rim - self.rim_taken
        pairs = zip(self.beside(number), ends, strict=True)
        first, last = (self.rim_end(corner, end, self.rim_taken, deep) for corner, end in pairs)
        self.refuse_narrow(number, (first, last), "rim", self.rim)
        return first, last

    def rim_of(
        self, number: int, wall: str, high: float, origin: float, tips: tuple[WallEnd, WallEnd]
    ) -> tuple[Flat, Bend]:
        assert self.rim is not None
        long, called = self.edges[number].length, f"{wall}.rim"
        low, top = tips[0].reach, long - tips[1].reach
        line = ((origin - low, high), (origin - top, high))
        side: Side = "up" if self.turned == "in" else "down"
        bend = self.bend(f"{called}.bend", wall, called, line, side, tips)
        return _strip(called, top, long, tips, self.rim - self.rim_taken), bend

    def rim_end(self, corner: BoxCorner, wall: WallEnd, taken: float, deep: float) -> WallEnd:
        """Return the end of the flange along a top: mitred where a wall is beside it."""
        if not corner.both:
            return WallEnd(*[wall.top] * 4)
        if corner.reentrant:
            last = wall.top - (self.developed + deep) * corner.cot_half
            return WallEnd(*[last] * 4)
        if self.turned == "in":
            foot = max(corner.turned_in(taken), wall.top)
            begin = wall.top if corner.kind == "mitred" else foot
            return WallEnd(begin, foot, foot, corner.turned_in(taken + deep))
        bend = max(corner.turned_in(self.sheet.thickness), wall.top)
        lift = self.setback if corner.relief is not None and deep > self.setback + SHORTEST_EDGE else 0.0
        return WallEnd(bend, bend, corner.turned_in(-taken - lift), corner.turned_in(-taken - deep), lift)

    def refuse_narrow(
        self, number: int, ends: tuple[WallEnd, WallEnd], parameter: str = "outline", value: object = None
    ) -> None:
        """Refuse a wall or flange without width at some height."""
        long = self.edges[number].length
        for one, two in zip(_levels(ends[0]), _levels(ends[1]), strict=True):
            if long - one - two < SHORTEST_EDGE:
                shown = f"edge {number + 1} of {long:.6g} mm" if value is None else value
                what = f"its corners take {one:.6g} and {two:.6g} mm of edge {number + 1}, {long:.6g} mm long"
                fix = "make the edge longer, or gap, relief, radius or rim smaller"
                raise InputError(self.name, parameter, shown, what, fix, "" if value is None else "mm")


def _levels(end: WallEnd) -> tuple[float, ...]:
    return end.floor, end.bend, end.foot, end.top


def _inside(edge: Line, along: float, back: float) -> Point:
    """Return a point at a distance along an edge and a distance inside it."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    ux, uy = (x1 - x0) / edge.length, (y1 - y0) / edge.length
    return (x0 + along * ux - back * uy, y0 + along * uy + back * ux)


def _strip(
    name: str,
    origin: float,
    long: float,
    ends: tuple[WallEnd, WallEnd],
    high: float,
    tops: Sequence[Notch] = (None, None),
) -> Flat:
    """Return a wall or flange in its own coordinates: x against the edge, from `origin`; y away from its bend."""
    sides = [_side(end, high, top) for end, top in zip(ends, tops, strict=True)]
    right = [(origin - s, y) for s, y in sides[0]]
    left = [(origin - long + s, y) for s, y in reversed(sides[1])]
    return named_flat(name, polygon(right + left).retagged(_tags(len(right), len(left))), name)


def _side(end: WallEnd, high: float, notch: Notch) -> list[Point]:
    """Return one end of a wall, from its bend to its top: (distance from the corner, height)."""
    side = [(end.bend, 0.0), (end.bend, end.lift)] if end.lift else []
    side.append((end.foot, end.lift))
    if notch is None:
        return [*side, (end.top, high)]
    begin, deep = notch
    share = (high - deep - end.lift) / (high - end.lift)
    return [
        *side,
        (end.foot + share * (end.top - end.foot), high - deep),
        (begin, high - deep),
        (begin, high),
    ]


def _tags(right: int, left: int) -> dict[str, str]:
    """Names of the edges of a strip: up its right side, along its end, down its left side, back along its foot."""
    names = ["right_side"] * (right - 1) + ["end"] + ["left_side"] * (left - 1) + ["foot"]
    return {f"edge[{number}]": name for number, name in enumerate(names, 1)}


def _wedge(name: str, end: WallEnd, developed: float, wide: float | None) -> Opening:
    """Return what a slanted end of a bend lacks of its rectangle, in developed coordinates."""
    over, sense = abs(end.floor - end.bend), -1.0 if wide is not None else 1.0
    at = 0.0 if wide is None else wide
    inner = (0.0 if end.floor > end.bend else -developed, -developed if end.floor > end.bend else 0.0)
    corners = [
        (at + sense * over, inner[0]),
        (at, inner[1]),
        (at - sense * developed, inner[1]),
        (at - sense * developed, inner[0]),
    ]
    return wall_of(name, polygon(corners))
