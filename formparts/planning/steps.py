"""The steps of a plan: from what the search found to what the setter reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from formparts.forming import HEM_ANGLE, bending_force
from formparts.planning.lengths import ToolLength
from formparts.planning.moves import Move
from formparts.planning.radius import FormedRadius
from formparts.planning.search import Task
from formparts.planning.stand import spans, stand
from formparts.planning.stops import Stop
from formparts.planning.tools import Die, Punch

GENERAL_TOLERANCE = 0.2
"""What ISO 2768-1, class m, allows from 6 to 30 mm (from memory) [mm]."""

FLANGES_NOTED = 0.5 * GENERAL_TOLERANCE
"""A change of both flanges together by more than this is noted [mm]."""


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


def steps_of(task: Task, radii: Sequence[FormedRadius], moves: Sequence[Move]) -> list[PlanStep]:
    """The steps, numbered."""
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
        found.append(f"bent to {HEM_ANGLE:g} deg here; close it in a second step between flat tools")
    if radius.chosen is None:
        found.append(radius.why_none)
    if move.stop.kind == "none":
        found.append("no edge to rest against: scribe the bend line, or pin the part by a locating hole")
    elif len(move.stop.fingers) < 2:
        found.append("the edge holds one finger only: set the part square by hand")
    carried = sum(length.length for length in move.punches) * min(
        move.punch.force, task.setting.bendings[move.members[0]].die.force
    )
    off = 2.0 * radius.flange_change
    if abs(off) > FLANGES_NOTED:
        share = 100.0 * abs(off) / GENERAL_TOLERANCE
        found.append(
            f"the radius that forms changes both flanges together by {off:+.2f} mm, {share:.0f} % of the general "
            f"tolerance of {GENERAL_TOLERANCE:g} mm: develop the blank for R {radius.formed_radius:.2f} (--as-formed)"
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
