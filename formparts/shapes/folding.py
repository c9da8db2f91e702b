"""Fold a drawn blank along its bend lines: from an existing flat drawing to the part."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import Bend, Body, Flat, Frame, Opening, Process, Sheet, Side, developed_length
from formparts.body.frame import bend_frame, inverse
from formparts.errors import InputError
from formparts.outline import Outline, cut, intersect
from formparts.outline.edges import Line, Motion, Point
from formparts.outline.meeting import meet
from formparts.outline.regions import Loop, outline_of
from formparts.quantities import AngleLike, LengthLike, length, shown_value
from formparts.shapes.flange import bend_figures
from formparts.shapes.naming import (
    checked_name,
    checked_outline,
    checked_sheet,
    named_flat,
    refuse_doubles,
    wall_of,
)
from formparts.shapes.openings import cut_in_blank
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, SHORTEST_EDGE

_SIDES = ("left", "right")
_BEYOND = ("to the left", "to the right")
"""Tags of the edges along which a zone meets its flats; names of edges that users draw have no blanks."""


@short_repr
@dataclass(frozen=True)
class FoldLine:
    """A bend line of a drawn blank, and the bend made there.

    Parameters
    ----------
    start, end : (x, y) [mm]
        Its ends, in the coordinates of the blank; it lies in the middle of the zone that becomes the bend.
    angle : angle [deg]
        Bend angle, 0 for flat.
    side : "up" or "down"
        Towards the viewer of the blank, or away.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    process : "air bend", "hem", "roll" or "curl"
        How the bend is made.
    bend_rule : BendRule or None
        For its developed length; that of the sheet when none is given.
    name : str
        Name of the bend; `part.bend[1]`, `part.bend[2]`... when none is given.
    """

    start: Point
    end: Point
    angle: AngleLike = 90.0
    side: Side = "up"
    inside_radius: LengthLike | None = None
    process: Process = "air bend"
    bend_rule: BendRule | None = None
    name: str = ""


def fold_line(
    start: tuple[object, object],
    end: tuple[object, object],
    angle: AngleLike = 90.0,
    side: Side = "up",
    inside_radius: LengthLike | None = None,
    *,
    process: Process = "air bend",
    bend_rule: BendRule | str | float | None = None,
    name: str = "",
) -> FoldLine:
    """Describe a bend line of a drawn blank, and the bend made there.

    Parameters
    ----------
    start, end : (x, y) [mm]
        Its ends, in the coordinates of the blank; it lies in the middle of the zone that becomes the bend.
    angle : angle [deg]
        Bend angle, 0 for flat.
    side : "up" or "down"
        Towards the viewer of the blank, or away.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    process : "air bend", "hem", "roll" or "curl"
        How the bend is made.
    bend_rule : BendRule, str, float or None [-]
        For its developed length; that of the sheet when none is given.
    name : str
        Name of the bend; `part.bend[1]`, `part.bend[2]`... when none is given.

    Returns
    -------
    FoldLine

    Raises
    ------
    InputError
        The ends are not two points apart, or the rule is not known.

    Examples
    --------
    >>> line = fold_line((10, -20), (10, 20), angle=60, side="down")
    >>> body = fold(Sheet(2, 2.5, "DC01"), rectangle(80, 40), [line])
    """
    ends = [_point(place, name or "fold line") for place in (start, end)]
    if math.dist(*ends) < SHORTEST_EDGE:
        raise InputError(
            name or "fold line", "end", shown_value(end), "its two ends are one", "give two points apart"
        )
    rule = None if bend_rule is None else as_bend_rule(bend_rule)
    return FoldLine(ends[0], ends[1], angle, side, inside_radius, process, rule, name)


def _point(place: object, where: str) -> Point:
    if not isinstance(place, (tuple, list)) or len(place) != 2:
        raise InputError(where, "ends", shown_value(place), "is not a point", "give (x, y)")
    return length(place[0], "x", where), length(place[1], "y", where)


def fold(
    sheet: Sheet,
    outline: Outline,
    lines: Iterable[FoldLine],
    *,
    root: tuple[object, object] | None = None,
    name: str = "part",
) -> Body:
    """
    Fold a drawn blank along its bend lines; the blank of the part is the drawn outline, to the last digit.

    Each line runs from edge to edge of the sheet, in the middle of its bend; what ends a little inside the edge (no
    farther than the developed length of the bend) is run on to it. Holes become openings, also where they cross a
    bend. Every flat keeps the coordinates of the drawing.

        +-----:---------:-----+
        |     :  (   )  :     |        :  bend lines
        +-----:---------:-----+

    Parameters
    ----------
    sheet : Sheet
        The stock.
    outline : Outline
        The drawn blank, seen from its upper side [mm].
    lines : iterable of FoldLine
        Where it is bent: what `fold_line` gives.
    root : (x, y) or None [mm]
        A point of the flat that stays where it is; the largest flat when none is given.
    name : str
        Name of the part; its flats are `name.flat[1]`..., the root first, its openings `name.opening[1]`...

    Returns
    -------
    Body

    Raises
    ------
    InputError
        A line ends inside the sheet, leaves no flat beside it, or crosses another one's bend.

    Examples
    --------
    >>> drawn = pierced(rectangle(80, 40), shifted(disc(10), x=-25))
    >>> line = fold_line((0, -20), (0, 20), 90, name="corner")
    >>> body = fold(Sheet(2, 2.5, "DC01"), drawn, [line], name="angle")
    >>> Part(body).blank.length
    80.0
    """
    checked_name(name, "fold")
    checked_sheet(sheet, name)
    checked_outline(outline, name, "outline")
    given = _checked_lines(lines, name)
    while True:
        inner = [hole for hole in outline.holes if _ends_at(given, hole)]
        shape = outline_of([outline.outer, *inner])
        zones = _zones(sheet, shape, given, name)
        _refuse_crossing(zones, name)
        pieces = cut(shape, *(zone.outline.moved(zone.at) for zone in zones)) if zones else (shape,)
        beside = [_neighbours(pieces, zone) for zone in zones]
        twins = _twins(zones, beside)
        if twins is None:
            break
        given = _joined(given, *twins)
    body = _grown(sheet, pieces, zones, beside, _root(pieces, root, name), name)
    holes = [outline_of([hole.reversed()]) for hole in outline.holes if hole not in inner]
    openings = tuple(wall_of(f"{name}.opening[{number}]", hole) for number, hole in enumerate(holes, 1))
    whole = cut_in_blank(body, body.flats[0], openings, name) if openings else body
    return refuse_doubles(whole, "fold")


def _checked_lines(lines: object, name: str) -> list[FoldLine]:
    found: list[Any] = list(lines) if isinstance(lines, Iterable) else [lines]
    for line in found:
        if not isinstance(line, FoldLine):
            fix = "give what fold_line returned: fold_line((40, 0), (40, 60), 90)"
            raise InputError(name, "lines", shown_value(line), "is not a fold line", fix)
    return found


def _ends_at(lines: Sequence[FoldLine], hole: Loop) -> bool:
    """True for a hole at which a bend ends: the bend zone reaches into it."""
    return any(hole.distance(end) <= SHORTEST_EDGE for line in lines for end in (line.start, line.end))


def _twins(zones: Sequence[_Zone], beside: Sequence[tuple[int, int]]) -> tuple[FoldLine, FoldLine] | None:
    """Two lines that bend the same two flats: one line, drawn with a gap where it crosses an opening."""
    for (one, first), (two, second) in combinations(zip(zones, beside, strict=True), 2):
        if {*first} == {*second} and one.line is not two.line:
            ends = (one.at((0.0, 0.0)), one.at((1.0, 0.0)))
            off = max(abs(inverse(one.at)(end)[1]) for end in (two.line.start, two.line.end))
            same = replace(two.line, start=ends[0], end=ends[1], name="")
            if off <= LENGTH and same == replace(one.line, start=ends[0], end=ends[1], name=""):
                return one.line, two.line
    return None


def _joined(lines: Sequence[FoldLine], one: FoldLine, two: FoldLine) -> list[FoldLine]:
    places = [one.start, one.end, two.start, two.end]
    start, end = max(combinations(places, 2), key=lambda pair: math.dist(*pair))
    whole = replace(one, start=start, end=end)
    return [whole if line is one else line for line in lines if line is not two]


@dataclass(frozen=True)
class _Zone:
    """The zone of a bend: its outline along the line (x, from its start) and to the left of it (y)."""

    line: FoldLine
    bend: Bend
    outline: Outline
    at: Motion
    half: float

    def beside(self, side: int) -> list[Point]:
        """Return points of the blank just beyond the zone, left (0) or right (1) of the line."""
        away = (self.half + SHORTEST_EDGE / 2.0) * (1.0, -1.0)[side]
        edges = [edge for edge in self.outline.edges if edge.tag == _BEYOND[side]]
        return [self.at((edge.middle[0], away)) for edge in edges]


def _zones(sheet: Sheet, shape: Outline, lines: Sequence[FoldLine], name: str) -> list[_Zone]:
    found = []
    for number, line in enumerate(lines, 1):
        called = line.name or f"{name}.bend[{number}]"
        checked_name(called, name)
        pieces = list(_crossed(sheet, shape, line, called))
        for place, (bend, outline, at, half) in enumerate(pieces, 1):
            own = called if len(pieces) == 1 else f"{called}[{place}]"
            found.append(_Zone(line, _cut_to(bend, own, outline, at, half), outline, at, half))
    return found


def _crossed(
    sheet: Sheet, shape: Outline, line: FoldLine, name: str
) -> Iterable[tuple[Bend, Outline, Motion, float]]:
    """Return the zones in which a line crosses the sheet, each with its bend as if it were a rectangle."""
    turn, radius = bend_figures(sheet, name, line.angle, line.side, line.inside_radius, line.process)
    long, at = math.dist(line.start, line.end), bend_frame(line.start, line.end)
    trial = Bend(
        name, "left", "right", ((0.0, 0.0), (long, 0.0)), ((0.0, 0.0), (long, 0.0)), turn, line.side, radius,
        line.process, line.bend_rule,
    )  # fmt: skip
    developed = developed_length(sheet, trial)
    half, local = developed / 2.0, shape.moved(inverse(at))
    x0, _, x1, _ = local.bounds
    band = _band(min(x0, 0.0) - 1.0, max(x1, long) + 1.0, half)
    pieces = [piece for piece in intersect(local, band) if _drawn(piece, long) > LENGTH]
    if not pieces:
        fix = f"move it onto the sheet, from edge to edge, {half:.6g} mm or more from a parallel edge"
        raise InputError(name, "line", _stated(line), "crosses no part of the sheet", fix)
    for piece in pieces:
        _refuse_short(piece, line, long, developed, name)
        _refuse_nothing_beside(piece, line, half, name)
        yield trial, piece, at, half


def _band(first: float, last: float, half: float) -> Outline:
    corners = [(first, -half), (last, -half), (last, half), (first, half)]
    tags = (_BEYOND[1], "", _BEYOND[0], "")
    sides = zip(corners, corners[1:] + corners[:1], tags, strict=True)
    return outline_of([Loop(tuple(Line(start, end, tag) for start, end, tag in sides))])


def _extent(piece: Outline) -> tuple[float, float]:
    """Return from where to where along the line itself the sheet reaches."""
    x0, _, x1, _ = piece.bounds
    across = Line((x0 - 1.0, 0.0), (x1 + 1.0, 0.0))
    found = [place[0] for edge in piece.edges for place in meet(across, edge, LENGTH)]
    return min(found, default=x0), max(found, default=x1)


def _drawn(piece: Outline, long: float) -> float:
    """Return how much of the drawn line lies in a flat."""
    first, last = _extent(piece)
    return min(last, long) - max(first, 0.0)


def _refuse_short(piece: Outline, line: FoldLine, long: float, developed: float, name: str) -> None:
    first, last = _extent(piece)
    over = max(-first, last - long)
    if over > developed:
        what = f"ends {over:.6g} mm inside the sheet"
        fix = (
            f"run it to the edge, or let the relief beside it reach {developed / 2.0:.6g} mm beyond the line"
        )
        raise InputError(name, "line", _stated(line), what, fix)


def _refuse_nothing_beside(piece: Outline, line: FoldLine, half: float, name: str) -> None:
    for side, tag in zip(_SIDES, _BEYOND, strict=True):
        if all(edge.tag != tag for edge in piece.edges):
            fix = f"move it {half + SHORTEST_EDGE:.6g} mm or more from the edge"
            raise InputError(name, "line", _stated(line), f"has no flat on its {side}", fix)


def _stated(line: FoldLine) -> str:
    (x0, y0), (x1, y1) = line.start, line.end
    return f"({x0:.6g}, {y0:.6g}) to ({x1:.6g}, {y1:.6g}) mm"


def _cut_to(bend: Bend, name: str, outline: Outline, at: Motion, half: float) -> Bend:
    """The bend over a zone; where the zone is not a rectangle, what it lacks is noted as openings at its ends."""
    x0, _, x1, _ = outline.bounds
    lines = [(at((x0, y)), at((x1, y))) for y in (half, -half)]
    developed = 2.0 * half
    lacking = cut(_band(x0 - developed, x1 + developed, half), outline)
    whole = _band(x0, x1, half)
    down = Motion.shift(-x0, -half)
    openings = tuple(
        Opening(f"{name}.end[{number}]", one.retagged(lambda _: f"{name}.end").moved(down))
        for number, one in enumerate(lacking, 1)
        if any(part.area > LENGTH * developed for part in intersect(whole, one))
    )
    return Bend(
        name, "left", "right", lines[0], lines[1], bend.angle, bend.side, bend.inside_radius, bend.process,
        bend.bend_rule, openings, developed if openings else 0.0,
    )  # fmt: skip


def _refuse_crossing(zones: Sequence[_Zone], name: str) -> None:
    laid = [(zone.bend.name, zone.outline.moved(zone.at)) for zone in zones]
    for (one, first), (two, second) in combinations(laid, 2):
        if intersect(first, second):
            fix = "move them apart: between two bends there is a flat, and bends that cross cannot be made"
            raise InputError(name, "lines", f"{one} and {two}", "bend the same piece of sheet", fix)


def _root(pieces: Sequence[Outline], root: tuple[object, object] | None, name: str) -> int:
    if root is None:
        return max(range(len(pieces)), key=lambda number: pieces[number].area)
    place = _point(root, name)
    found = _at(pieces, place)
    if found is None:
        fix = "give a point of the flat that stays, off the bends"
        raise InputError(name, "root", f"({place[0]:.6g}, {place[1]:.6g}) mm", "lies on no flat", fix)
    return found


def _at(pieces: Sequence[Outline], place: Point) -> int | None:
    return next((number for number, piece in enumerate(pieces) if piece.contains(place)), None)


def _neighbours(pieces: Sequence[Outline], zone: _Zone) -> tuple[int, int]:
    """Return the flats to the left and to the right of a zone."""
    found = []
    for side in (0, 1):
        met = {_at(pieces, place) for place in zone.beside(side)} - {None}
        if len(met) != 1:
            what = f"has {len(met) or 'no'} flat{'s' if len(met) > 1 else ''} on its {_SIDES[side]}"
            fix = f"move it {2.0 * zone.half + SHORTEST_EDGE:.6g} mm or more from the next line"
            if met:
                fix = "let the notch between the two run on through the bend, or bend each along its own line"
            raise InputError(zone.bend.name, "line", _stated(zone.line), what, fix)
        found.append(met.pop())
    left, right = found
    return int(left or 0), int(right or 0)


def _grown(
    sheet: Sheet,
    pieces: Sequence[Outline],
    zones: Sequence[_Zone],
    beside: Sequence[tuple[int, int]],
    root: int,
    name: str,
) -> Body:
    """Return the tree of flats from the root on; every flat is drawn in the coordinates of the blank."""
    order, bends = [root], []
    for here in order:  # grows during the loop
        for zone, pair in zip(zones, beside, strict=True):
            beyond = pair[1] if here == pair[0] else pair[0]
            if here in pair and beyond not in order:
                order.append(beyond)
                bends.append((zone.bend if here == pair[0] else zone.bend.swapped(), here, beyond))
    if len(order) < len(pieces) or len(bends) < len(zones):
        what = "join some flats in a ring, or leave some by themselves"
        fix = "cut the ring open: between two flats there is one way over bends"
        raise InputError(name, "lines", len(zones), what, fix)
    called = {piece: f"{name}.flat[{place}]" for place, piece in enumerate(order, 1)}
    flats = tuple(_flat(called[piece], pieces[piece], name) for piece in order)
    hung = tuple(replace(bend, parent=called[here], child=called[beyond]) for bend, here, beyond in bends)
    return Body(name, sheet, flats, hung, Frame((0.0, 0.0, sheet.thickness / 2.0)))


def _flat(name: str, piece: Outline, where: str) -> Flat:
    return named_flat(name, piece.retagged(lambda tag: "" if tag in _BEYOND else tag), where)
