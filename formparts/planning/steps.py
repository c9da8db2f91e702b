"""The steps of a plan: from the result of the search to what the setter reads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from formparts.planning.feasible import Bending
from formparts.planning.lengths import ToolLength
from formparts.planning.moves import Move, Task
from formparts.planning.radius import FormedRadius
from formparts.planning.stand import spans, stand
from formparts.planning.step_notes import force_of, step_notes
from formparts.planning.stops import Stop
from formparts.planning.tools import Die, FlatDie, Punch
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class PlanStep:
    """
    One step: bends made together.

    Parameters
    ----------
    number : int [-]
        Its place in the plan, from 1; the number of its bends on every paper.
    bends : tuple of str
        Names of the bends.
    kind : str
        `bend`; `acute` for a bend begun in an acute V; then how it is closed: `closed`, `open`, `teardrop`,
        `pressed on`; `curl` or `roll`.
    turn : str
        How the operator turns the part before it.
    up : bool
        True when the upper side of the blank is up.
    back : float [deg]
        Direction on the blank to the back of the machine, from its x axis, seen from the upper side.
    die : Die or FlatDie
        The die.
    punch : Punch
        The punch, as it is mounted.
    punches, dies : tuple of ToolLength
        Sections of punch and die, along the line.
    spans : tuple of (float, float) [mm]
        Stretches that are bent, along the line from the start of the first bend.
    stop : Stop
        The edge or face against the stops.
    made : int [-]
        The bends that were made before it, as bits by their number in the body.
    force : float [kN], optional
        Force of all bends of the step.
    angle_under_load : float [deg]
        Bend angle at the bottom.
    formed_radius : float [mm]
        Inside radius formed.
    notes : tuple of str
        Further notes for the setter.
    bending : Bending
        How the part is bent or closed, for pictures.
    """

    number: int
    bends: tuple[str, ...]
    kind: str
    turn: str
    up: bool
    back: float
    die: Die | FlatDie
    punch: Punch
    punches: tuple[ToolLength, ...]
    dies: tuple[ToolLength, ...]
    spans: tuple[tuple[float, float], ...]
    stop: Stop
    made: int
    force: float | None
    angle_under_load: float
    formed_radius: float
    notes: tuple[str, ...]
    bending: Bending


def steps_of(
    task: Task, radii: Sequence[FormedRadius], moves: Sequence[Move], tolerance_class: str = "m"
) -> list[PlanStep]:
    """Return the steps, numbered."""
    steps: list[PlanStep] = []
    before: Move | None = None
    for number, move in enumerate(moves, 1):
        steps.append(_step(task, radii, number, move, turn_of(before, move), tolerance_class))
        before = move
    return [_with_closing(step, steps) for step in steps]


def _with_closing(step: PlanStep, steps: Sequence[PlanStep]) -> PlanStep:
    """Add to each bend begun in an acute V the step in which it is closed."""
    if step.kind != "acute":
        return step
    closed = {name: later.number for later in steps[step.number :] for name in later.bends}
    numbers = sorted({closed[name] for name in step.bends})
    words = " and ".join(map(str, numbers))
    return replace(step, notes=(f"closed between flat tools in step {words}", *step.notes))


def _step(
    task: Task, radii: Sequence[FormedRadius], number: int, move: Move, turn: str, tolerance_class: str
) -> PlanStep:
    model, first = task.model, move.members[0]
    bending, radius = task.setting.bendings[first], radii[model.bend_of[first]]
    stretches = tuple(spans(model, stand(model, move.members), move.made))
    force = force_of(model, bending, sum(high - low for low, high in stretches))
    names = tuple(model.bend(member).name for member in move.members)
    kind = bending.closing.kind if bending.closing else "acute" if first in model.acute else "bend"
    formed = radius.formed_radius
    if kind == "acute" and radius.chosen is not None:
        formed = radius.chosen.formed_radius
    notes = tuple(step_notes(task, radius, kind, move, force, tolerance_class))
    return PlanStep(
        number, names, kind, turn, move.up, move.back / 1000.0, bending.die, move.punch, move.punches, move.dies,
        stretches, move.stop, move.made, force, bending.angle, formed, notes, bending,
    )  # fmt: skip


def turn_of(before: Move | None, after: Move) -> str:
    """Return how the operator turns the part between two steps, seen from above."""
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
    """Return the turn about the vertical that brings another direction of the blank to the back."""
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
