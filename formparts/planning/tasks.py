"""What the search of a part works on: how each bend is formed, its punches, and the least of every stop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from formparts.bending import outside_setback
from formparts.body import Body
from formparts.forming import HEM_ANGLE
from formparts.layout import Blank
from formparts.outline.edges import Line
from formparts.planning.feasible import Bending
from formparts.planning.moves import Setting
from formparts.planning.radius import FormedRadius, formed_radius
from formparts.planning.search import Task, blank_reaches, task_of
from formparts.planning.stand import PartModel, part_model
from formparts.planning.stops import LEAST_EDGE, MARGIN
from formparts.planning.tools import Punch, ToolTable


def radii_of(model: PartModel, table: ToolTable) -> tuple[FormedRadius, ...]:
    """For each bend of the body the radius that it gets; bends that are alike are looked at once."""
    alike: dict[tuple[float, ...], FormedRadius] = {}
    found = []
    for number, mark in enumerate(model.blank.bends):
        reach = flange(model, number)
        key = tuple(round(each, 6) for each in (mark.angle, mark.inside_radius, mark.length, reach))
        if key not in alike:
            alike[key] = formed_radius(mark, model.body.sheet, reach, table)
        found.append(replace(alike[key], bend=mark.name))
    return tuple(found)


def searching(body: Body, blank: Blank, table: ToolTable) -> Task:
    """What the search of a part works on, with all punches."""
    model = part_model(body, blank)
    return task_with(model, table, radii_of(model, table))


def task_with(model: PartModel, table: ToolTable, radii: Sequence[FormedRadius]) -> Task:
    """The same, with radii that are known."""
    bendings = tuple(_bending(model, table, radius, number) for number, radius in enumerate(radii))
    punches = tuple(_punches(table, radius, bending) for radius, bending in zip(radii, bendings, strict=True))
    setting = Setting(model, table.machine, bendings, punches, blank_reaches(model))
    return task_of(setting, lambda group: _least_quality(model, group))


def _bending(model: PartModel, table: ToolTable, radius: FormedRadius, number: int) -> Bending:
    """How a bend is formed; where no die fits, over the one whose opening is nearest to eight thicknesses."""
    bend = model.body.bends[number]
    wanted = 8.0 * model.body.sheet.thickness
    angle = min(radius.angle_under_load or bend.angle, HEM_ANGLE)
    able = [die for die in table.dies if 180.0 - die.angle >= angle] or list(table.dies)
    die = radius.chosen.die if radius.chosen else min(able, key=lambda die: abs(die.opening - wanted))
    return Bending(min(angle, 180.0 - die.angle), bend.inside_radius, model.allowances[number], die)


def _punches(table: ToolTable, radius: FormedRadius, bending: Bending) -> tuple[Punch, ...]:
    """Punches that reach the angle and form the radius, each both ways round, the table's first one first."""
    tip = radius.chosen.tip_radius if radius.chosen else 0.0
    pressed = radius.chosen is not None and radius.chosen.formed_radius == tip
    able = [
        punch
        for punch in table.punches
        if punch.kind != "hemming" and punch.angle <= 180.0 - bending.angle + 1e-6
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
    """The shorter of the two flats at a bend, to the outer mould line [mm]."""
    bend = model.body.bends[number]
    flats = {flat.name: flat for flat in model.body.flats}
    reaches = []
    for name, (start, end), sign in (
        (bend.parent, bend.parent_line, 1.0),
        (bend.child, bend.child_line, -1.0),
    ):
        ux, uy = (end[0] - start[0]) / bend.width, (end[1] - start[1]) / bend.width
        corners = [
            point
            for loop in flats[name].net.loops
            for edge in loop.edges
            for point in (edge.start, edge.middle)
        ]
        reaches.append(max(sign * (ux * (y - start[1]) - uy * (x - start[0])) for x, y in corners))
    setback = (
        outside_setback(bend.angle, bend.inside_radius, model.body.sheet.thickness)
        if bend.angle < 180.0
        else 0.0
    )
    return min(reaches) + float(setback)


def _least_quality(model: PartModel, group: Sequence[int]) -> int:
    """The least that can count against the stop of a group, whatever is made: by straight edges beside its lines."""
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
    """Lines of other bends on the two flats of a bend, each with the bend's own line there."""
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
    return abs(ex * (y1 - y0) - ey * (x1 - x0)) <= 1e-5 * edge.length * math.dist(*line)
