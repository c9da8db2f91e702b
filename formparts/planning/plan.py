"""The bend plan of a part: how each bend is formed, and every step with its tools, its stop and its turn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from formparts.arguments import takes
from formparts.bending import outside_setback
from formparts.blanks import blank as blank_of
from formparts.body import Body
from formparts.forming import HEM_ANGLE, bending_force
from formparts.layout import Blank
from formparts.outline.edges import Line
from formparts.planning.feasible import Bending, blocked, lower, upper
from formparts.planning.groups import steps_now
from formparts.planning.lengths import ToolLength
from formparts.planning.moves import Move, Setting
from formparts.planning.radius import FormedRadius, formed_radius
from formparts.planning.search import NOTHING, Cost, Found, Task, any_order, blank_reaches, search, task_of
from formparts.planning.stand import PartModel, part_model, spans, stand
from formparts.planning.stops import LEAST_EDGE, MARGIN, Stop
from formparts.planning.tools import Die, Punch, ToolTable, tool_table

CAUTIONS = (
    "Keep hands clear of punch, die and the part as it swings up: pinch points. Use the guards of the machine.",
    "Never load a tool beyond what is permitted for each metre, and short tools not beyond their own length.",
    "Forces, angles under load and radii are for planning: bend a test strip of the same coil first.",
    "The machine maker's limits, local codes and a qualified operator decide.",
)
"""What goes with every plan."""

FLANGES_NOTED = 0.1
"""A change of both flanges together by more than this is noted [mm]: half of the 0.2 mm that ISO 2768-1, class m,
allows from 6 to 30 mm (from memory)."""


@dataclass(frozen=True)
class PlanStep:
    """
    One step: bends that are made together.

    Parameters
    ----------
    number : int [-]
        Its place in the plan, from 1; the number of its bends on every paper.
    bends : tuple of str
        Names of the bends.
    turn : str
        What the operator does with the part before it.
    up : bool
        True when the upper side of the blank is up.
    back : float [deg]
        Which way on the blank goes to the back of the machine, from its x axis, seen from the upper side.
    die : Die
        The die.
    punch : Punch
        The punch, as it is mounted.
    punches, dies : tuple of ToolLength
        Sections of punch and die, along the line.
    spans : tuple of (float, float) [mm]
        Stretches that are bent, along the line from the start of the first bend.
    stop : Stop
        What rests against the stops.
    made : int [-]
        The bends that were made before it, as bits by their number in the body.
    force : float [kN], optional
        Of all bends of the step.
    angle_under_load : float [deg]
        Bend angle at the bottom.
    formed_radius : float [mm]
        Inside radius that comes out.
    notes : tuple of str
        What else must be known.
    """

    number: int
    bends: tuple[str, ...]
    turn: str
    up: bool
    back: float
    die: Die
    punch: Punch
    punches: tuple[ToolLength, ...]
    dies: tuple[ToolLength, ...]
    spans: tuple[tuple[float, float], ...]
    stop: Stop
    made: int
    force: float | None
    angle_under_load: float
    formed_radius: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class BendPlan:
    """
    How a part is bent on a press brake.

    Parameters
    ----------
    part : str
        Name of the part.
    model : PartModel
        The part and its blank, as the search has them.
    tools : ToolTable
        Tools and machine.
    radii : tuple of FormedRadius
        For each bend of the body the radius that it gets.
    steps : tuple of PlanStep
        In order; none when no order was found.
    cost, bound : (int, int, int, int, int) [-]
        Turn-overs, steps without a stop, turns, tool changes and points against the stops: of the plan, and the
        least of any plan.
    exact : bool
        True when no other order is cheaper.
    problem : str
        Why there is no plan; empty when there is one.
    left : tuple of str
        Bends that could not be made where the search came farthest.
    """

    part: str
    model: PartModel
    tools: ToolTable
    radii: tuple[FormedRadius, ...]
    steps: tuple[PlanStep, ...]
    cost: Cost
    bound: Cost
    exact: bool
    problem: str = ""
    left: tuple[str, ...] = ()

    @property
    def body(self) -> Body:
        """The part."""
        return self.model.body

    @property
    def blank(self) -> Blank:
        """Its blank."""
        return self.model.blank

    @property
    def found(self) -> bool:
        """True when there is a plan (of no steps at all, for a part without bends)."""
        return not self.problem

    @property
    def numbers(self) -> dict[str, int]:
        """By the bend's name, the step in which it is made."""
        return {name: step.number for step in self.steps for name in step.bends}


@takes(body="Body", blank=("Blank", "None"), tools=("ToolTable", "None"))
def plan_bends(body: Body, blank: Blank | None = None, tools: ToolTable | None = None) -> BendPlan:
    """
    Plan the bending of a part: tools, order, stops.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank, optional
        Its blank, when it is at hand.
    tools : ToolTable, optional
        Tools and machine; the shipped ones when none are given.

    Returns
    -------
    BendPlan

    Raises
    ------
    InputError
        The blank cannot be developed.

    Source
    ------
    Method after J. R. Duflou, J. Vancza and R. Aerens, Computer aided process planning for sheet metal bending: a
    state of the art, Computers in Industry 56 (2005); best first search as S. K. Gupta, D. A. Bourne, K. H. Kim and
    S. S. Krishnan, Automated process planning for sheet metal bending operations, J. Manufacturing Systems 17 (1998).
    """
    flat = blank_of(body) if blank is None else blank
    table = tools or tool_table()
    model = part_model(body, flat)
    radii = tuple(
        formed_radius(mark, body.sheet, _flange(model, n), table) for n, mark in enumerate(flat.bends)
    )
    empty = BendPlan(body.name, model, table, radii, (), NOTHING, NOTHING, False)
    if flat.overlaps:
        return replace(empty, problem="no plan was looked for: the part cannot be cut from one sheet")
    if not flat.bends:
        return replace(empty, exact=True)
    task = _task(model, table, radii)
    found = _searched(task)
    if found.moves is None:
        return replace(empty, problem=_problem(task, found), left=_left(model, found))
    steps = tuple(_steps(task, radii, found.moves))
    exact = found.whole or found.cost == found.bound
    return replace(empty, steps=steps, cost=found.cost, bound=found.bound, exact=exact)


def searching(body: Body, blank: Blank, table: ToolTable) -> Task:
    """What the search of a part works on, with all punches."""
    model = part_model(body, blank)
    marks = enumerate(blank.bends)
    return _task(
        model, table, [formed_radius(mark, body.sheet, _flange(model, n), table) for n, mark in marks]
    )


def what_blocks(body: Body, blank: Blank, tools: ToolTable | None = None) -> tuple[tuple[str, ...], str]:
    """
    Which bends cannot be made after the others, and what is in the way; nothing when there is an order.

    Only tools are looked at, no stops, so this takes a fraction of a plan's time.
    """
    task = searching(body, blank, tools or tool_table())
    for narrowed in (_with_plain(task), task):
        found = any_order(narrowed) if all(narrowed.setting.punches) else None
        if found is not None and found.moves is not None:
            return (), ""
    found = found or Found(None, NOTHING, NOTHING, 0, True, 0)
    return _left(task.model, found), _problem(task, found)


def _with_plain(task: Task) -> Task:
    """The same with the first straight punch alone."""
    plain = tuple(_plain(punches) for punches in task.setting.punches)
    return replace(task, setting=replace(task.setting, punches=plain))


def _searched(task: Task) -> Found:
    """With the first straight punch alone where there is such an order, else with all punches."""
    plain = _with_plain(task)
    if all(plain.setting.punches):
        found = search(plain)
        if found.moves is not None:
            return found
    return search(task)


def _plain(punches: Sequence[Punch]) -> tuple[Punch, ...]:
    return tuple(punch for punch in punches if punch.kind != "swan-neck")[:1]


def _task(model: PartModel, table: ToolTable, radii: Sequence[FormedRadius]) -> Task:
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


def _flange(model: PartModel, number: int) -> float:
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


def _steps(task: Task, radii: Sequence[FormedRadius], moves: Sequence[Move]) -> list[PlanStep]:
    steps: list[PlanStep] = []
    before: Move | None = None
    for number, move in enumerate(moves, 1):
        steps.append(_step(task, radii, number, move, turn_of(before, move)))
        before = move
    return steps


def _step(task: Task, radii: Sequence[FormedRadius], number: int, move: Move, turn: str) -> PlanStep:
    model, first = task.model, move.members[0]
    bending, sheet = task.setting.bendings[first], model.body.sheet
    stretches = tuple(spans(model, stand(model, move.members), move.made))
    length, strength = sum(high - low for low, high in stretches), sheet.material.strength_to_bend
    force = None
    if strength is not None:
        force = float(bending_force(sheet.thickness, length, bending.die.opening, strength)) / 1000.0
    names = tuple(model.body.bends[member].name for member in move.members)
    notes = tuple(_notes(task, radii[first], move, force))
    return PlanStep(
        number, names, turn, move.up, move.back / 1000.0, bending.die, move.punch, move.punches, move.dies, stretches,
        move.stop, move.made, force, bending.angle, radii[first].formed_radius, notes,
    )  # fmt: skip


def _notes(task: Task, radius: FormedRadius, move: Move, force: float | None) -> list[str]:
    """What a setter must know beside the figures."""
    bend, found = task.model.body.bends[move.members[0]], []
    if bend.angle > HEM_ANGLE:
        found.append(f"bent to {HEM_ANGLE:g} deg here; close it in a second stroke between flat tools")
    if radius.chosen is None:
        found.append(
            "no die of the table fits: " + radius.options[0].refused if radius.options else "no die fits"
        )
    if move.stop.kind == "none":
        found.append("no edge to rest against: scribe the bend line, or pin the part by a locating hole")
    elif len(move.stop.fingers) < 2:
        found.append("the edge holds one finger only: set the part square by hand")
    carried = sum(length.length for length in move.punches) * min(
        move.punch.force, task.setting.bendings[move.members[0]].die.force
    )
    if 2.0 * abs(radius.flange_change) > FLANGES_NOTED:
        found.append(
            f"the radius that forms changes both flanges together by {2.0 * radius.flange_change:+.2f} mm, more than "
            f"half of the general tolerance of 0.2 mm: develop the blank for R {radius.formed_radius:.2f}"
        )
    if force is not None and force > carried / 1000.0:
        found.append(f"{force:.0f} kN is more than these tools may carry ({carried / 1000.0:.0f} kN)")
    if any(length.horns != (0.0, 0.0) for length in move.punches):
        found.append("end sections with horns reach under the flanges that stand inward")
    return found


def turn_of(before: Move | None, after: Move) -> str:
    """What the operator does with the part between two steps, seen from above."""
    side = "upper side up" if after.up else "upper side down"
    if before is None:
        return f"lay the blank with its {side}"
    if before.up == after.up:
        turned = _turned(before.back, after.back, after.up)
        return turned or "as it lies"
    if after.back == before.back:
        return "turn over, left to right"
    if (after.back - before.back) % 360_000 == 180_000:
        return "turn over, front to back"
    return f"turn over, left to right, then {_turned(before.back, after.back, after.up)}"


def _turned(before: int, after: int, up: bool) -> str:
    """The turn about the vertical that brings another way of the blank to the back."""
    turn = (before - after if up else after - before) % 360_000 / 1000.0
    if turn == 0.0:
        return ""
    if turn == 180.0:
        return "turn by 180 deg"
    return (
        f"turn by {turn:.4g} deg anticlockwise"
        if turn < 180.0
        else f"turn by {360.0 - turn:.4g} deg clockwise"
    )


def _left(model: PartModel, found: Found) -> tuple[str, ...]:
    return tuple(bend.name for n, bend in enumerate(model.body.bends) if not found.farthest >> n & 1)


def _problem(task: Task, found: Found) -> str:
    """Which bends block which, where the search came farthest."""
    lines = []
    for members in steps_now(task.model, task.groups, found.farthest):
        names = " and ".join(task.model.body.bends[number].name for number in members)
        what = _in_the_way(task, members, found.farthest)
        lines.append(f"{names}: {what}")
    shown = "; ".join(lines[:3]) + (f"; and {len(lines) - 3} more" if len(lines) > 3 else "")
    tried = "" if found.whole else f" in {found.looks} trials"
    return f"no order was found{tried} that the tools are clear in. Left: {shown}"


def _in_the_way(task: Task, members: tuple[int, ...], made: int) -> str:
    """What the tools run into at a step, with the punch that comes farthest."""
    model, machine, first = task.model, task.setting.machine, members[0]
    at, bending = stand(model, members), task.setting.bendings[first]
    hits = blocked(model, at, made, bending, lower(bending.die, machine))
    if not hits:
        tries = [
            blocked(model, at, made, bending, upper(punch, machine)) for punch in task.setting.punches[first]
        ]
        hits = min(tries, key=len, default=())
    if not hits:
        return "the part runs into itself"
    tool = {"foot": "punch"}.get(hits[0].tool, hits[0].tool)
    pieces = list(dict.fromkeys(hit.piece for hit in hits))
    return f"the {tool} meets {' and '.join(pieces[:2])}"
