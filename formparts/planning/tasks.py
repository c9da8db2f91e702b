"""The input of the search for a part: how each bend is formed, its punches, and the least penalty of every stop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from formparts.bending import outside_setback
from formparts.body import Body, Flat
from formparts.forming import HEM_ANGLE
from formparts.layout import Blank
from formparts.outline.edges import Line, Point
from formparts.planning.closing import LIP, ON_ROLLS, Closing, acute_shape, ending_of
from formparts.planning.feasible import Bending
from formparts.planning.moves import Setting, Task
from formparts.planning.radius import FormedRadius, acute_radius, formed_radius, under_load
from formparts.planning.search import blank_reaches, task_of
from formparts.planning.stand import PartModel, part_model, stand
from formparts.planning.stops import LEAST_EDGE, MARGIN
from formparts.planning.tools import Punch, ToolTable
from formparts.tolerances import SAME_DIRECTION, TURN_DEG

FORMED_FIRST = 90.0
"""A curl is begun by quarter turns: its motion in the tools is tested from this angle on [deg].

Common practice, no source.
"""


def radii_of(model: PartModel, table: ToolTable) -> tuple[FormedRadius, ...]:
    """Return the radius formed at each bend of the body; equal bends are computed once."""
    alike: dict[tuple[object, ...], FormedRadius] = {}
    found = []
    for number, mark in enumerate(model.blank.bends):
        reach, process = flange(model, number), model.body.bends[number].process
        figures = (round(each, 6) for each in (mark.angle, mark.inside_radius, mark.length, reach))
        key = (process, *figures)
        if key not in alike:
            alike[key] = _radius(model, table, number, reach)
        found.append(replace(alike[key], bend=mark.name))
    return tuple(found)


def _radius(model: PartModel, table: ToolTable, number: int, reach: float) -> FormedRadius:
    bend, mark, sheet = model.body.bends[number], model.blank.bends[number], model.body.sheet
    load = under_load(mark.angle, mark.inside_radius, sheet) or mark.angle
    ending = ending_of(bend, load, sheet.thickness)
    if not ending:
        return formed_radius(mark, sheet, reach, table)
    developed = min(_reaches(model, number)) + mark.allowance / 2.0
    return acute_radius(mark, ending, sheet, developed, table)


def searching(body: Body, blank: Blank, table: ToolTable) -> Task:
    """Return the input of the search for a part, with all punches."""
    model = part_model(body, blank)
    return task_with(model, table, radii_of(model, table))


def with_closings(model: PartModel, radii: Sequence[FormedRadius]) -> PartModel:
    """Return the part with its hems, and other bends begun in an acute V, as two operations each."""
    acute = {}
    for number, radius in enumerate(radii):
        if radius.ending and radius.ending not in ("curl", "roll"):
            open_to = HEM_ANGLE if radius.chosen is None else min(HEM_ANGLE, 180.0 - radius.chosen.die.angle)
            bend, allowance = model.body.bends[number], model.allowances[number]
            acute[number] = acute_shape(bend, open_to, model.body.sheet.thickness, allowance)
    return replace(model, acute=acute, memo={}) if acute else model


def task_with(model: PartModel, table: ToolTable, radii: Sequence[FormedRadius]) -> Task:
    """Return the same, with known radii."""
    whole = with_closings(model, radii)
    firsts = [_first(whole, table, radius, number) for number, radius in enumerate(radii)]
    closings = [_closing(whole, table, radii[number], number) for number in whole.acute]
    bendings = (*firsts, *closings)
    punches = tuple(
        _flat_punches(table) if bending.closing else _punches(table, radii[number], bending)
        for number, bending in zip(whole.bend_of, bendings, strict=True)
    )
    setting = Setting(whole, table.machine, bendings, punches, blank_reaches(whole))
    return task_of(setting, lambda group: _least_quality(whole, group))


def _first(model: PartModel, table: ToolTable, radius: FormedRadius, number: int) -> Bending:
    """Return the first operation of a bend: in a V, or a curl or a roll as a whole."""
    if radius.ending in ("curl", "roll"):
        return _closing(model, table, radius, number)
    return _bending(model, table, radius, number)


def _closing(model: PartModel, table: ToolTable, radius: FormedRadius, number: int) -> Bending:
    """Return how a hem is closed, or a rim rolled: the larger side of its line lies level on the block."""
    bend, thickness = model.body.bends[number], model.body.sheet.thickness
    at = stand(model, (number,))
    areas = {flat.name: flat.net.area for flat in model.body.flats}
    weights = {side: sum(areas[name] for name, its in at.sides.items() if its == side) for side in (1, -1)}
    side = 1 if weights[1] >= weights[-1] else -1
    reach = _reaches(model, number)[1 if side > 0 else 0]
    start = model.acute[number][0] if number in model.acute else min(FORMED_FIRST, bend.angle / 2.0)
    half = max(
        (abs(y) for punch in _flat_punches(table)[:1] for y, z in punch.outline if z == 0.0), default=15.0
    )
    distance = _distance(
        radius.ending, bend.inside_radius + thickness, reach, half, table.machine.stop_range[0]
    )
    closing = Closing(start, side, reach, distance, radius.ending)
    die = ON_ROLLS if radius.ending == "roll" else table.flat_dies[0]
    return Bending(bend.angle, bend.inside_radius, model.allowances[number], die, closing)


def _distance(ending: str, outside: float, reach: float, half: float, nearest: float) -> float:
    """Return the distance from the middle of the punch to the outside of a fold.

    The rim is under the punch, the loop of a teardrop is not.
    """
    if ending == "teardrop":
        return half + min(2.0 * outside, outside + reach - LIP)
    wide = 2.0 * outside if ending == "curl" else outside + reach
    return max(min(wide / 2.0, half), nearest)


def _flat_punches(table: ToolTable) -> tuple[Punch, ...]:
    return tuple(punch for punch in table.punches if punch.kind == "hemming")[:1]


def _bending(model: PartModel, table: ToolTable, radius: FormedRadius, number: int) -> Bending:
    """Return how a bend is formed; where no die fits, over the one with an opening nearest to eight thicknesses."""
    bend = model.body.bends[number]
    wanted = 8.0 * model.body.sheet.thickness
    whole, inside = model.acute.get(number, (radius.angle_under_load or bend.angle, bend.inside_radius))
    angle = min(whole, HEM_ANGLE)
    able = [die for die in table.dies if 180.0 - die.angle >= angle] or list(table.dies)
    die = radius.chosen.die if radius.chosen else min(able, key=lambda die: abs(die.opening - wanted))
    return Bending(min(angle, 180.0 - die.angle), inside, model.allowances[number], die)


def _punches(table: ToolTable, radius: FormedRadius, bending: Bending) -> tuple[Punch, ...]:
    """Return punches that reach the angle and form the radius, in both orientations, the table's first one first."""
    tip = radius.chosen.tip_radius if radius.chosen else 0.0
    pressed = radius.chosen is not None and radius.chosen.formed_radius == tip
    able = [
        punch
        for punch in table.punches
        if punch.kind != "hemming" and punch.angle <= 180.0 - bending.angle + TURN_DEG
    ]
    if pressed:
        fit = [punch for punch in able if punch.tip_radius == tip]
    else:
        fit = [punch for punch in able if punch.tip_radius <= max(radius.formed_radius, 0.0) + 0.25]
    found: list[Punch] = []
    for punch in fit or able[:1]:
        found += [punch] if punch.turned() is punch else [punch, punch.turned()]
    return tuple(found)


def flange(model: PartModel, number: int) -> float:
    """Return the shorter of the two flats at a bend, to the outer mould line [mm]."""
    bend = model.body.bends[number]
    setback = 0.0
    if bend.angle < 180.0:
        setback = float(outside_setback(bend.angle, bend.inside_radius, model.body.sheet.thickness))
    return min(_reaches(model, number)) + setback


def _reaches(model: PartModel, number: int) -> tuple[float, float]:
    """Return how far parent and child of a bend extend from their tangent lines [mm]."""
    bend = model.body.bends[number]
    flats = {flat.name: flat for flat in model.body.flats}
    ends = ((bend.parent, bend.parent_line, 1.0), (bend.child, bend.child_line, -1.0))
    parent, child = (_reach(flats[name], line, bend.width, sign) for name, line, sign in ends)
    return parent, child


def _reach(flat: Flat, line: tuple[Point, Point], wide: float, sign: float) -> float:
    (x0, y0), (x1, y1) = line
    ux, uy = (x1 - x0) / wide, (y1 - y0) / wide
    edges = (edge for loop in flat.net.loops for edge in loop.edges)
    corners = (point for edge in edges for point in (edge.start, edge.middle))
    return max(sign * (ux * (y - y0) - uy * (x - x0)) for x, y in corners)


def _least_quality(model: PartModel, group: Sequence[int]) -> int:
    """Return the least penalty of a group's stop, whatever is made, from straight edges beside its lines."""
    if group[0] >= len(model.body.bends):
        return 0
    return min(_edge_quality(model, number) for number in group)


def _edge_quality(model: PartModel, number: int) -> int:
    bend, flats = model.body.bends[number], {flat.name: flat for flat in model.body.flats}
    best = 2
    for name, line in ((bend.parent, bend.parent_line), (bend.child, bend.child_line)):
        for edge in flats[name].net.outer.edges:
            if isinstance(edge, Line) and edge.length >= LEAST_EDGE and _parallel(edge, line):
                room = edge.length - 2.0 * MARGIN
                best = min(best, 0 if room >= 2.0 * LEAST_EDGE else 1)
    beside = any(_parallel(Line(*other), line) for line, other in _lines_beside(model, number))
    return min(best, 1) if beside else best


def _lines_beside(model: PartModel, number: int) -> list[tuple[tuple, tuple]]:  # type: ignore[type-arg]
    """Return lines of other bends on the two flats of a bend, each with the bend's own line there."""
    bend = model.body.bends[number]
    own = {bend.parent: bend.parent_line, bend.child: bend.child_line}
    return [
        (own[flat], line)
        for other in model.body.bends
        if other is not bend
        for flat, line in ((other.parent, other.parent_line), (other.child, other.child_line))
        if flat in own
    ]


def _parallel(edge: Line, line: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    (x0, y0), (x1, y1) = line
    ex, ey = edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]
    return abs(ex * (y1 - y0) - ey * (x1 - x0)) <= SAME_DIRECTION * edge.length * math.dist(*line)
