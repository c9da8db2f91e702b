"""The force of a step, and what a setter must know of it besides the figures."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.forming import bending_force, curl_force, hem_force
from formparts.general_tolerances import linear_tolerance
from formparts.planning.feasible import Bending
from formparts.planning.moves import Move, Task
from formparts.planning.radius import FormedRadius
from formparts.planning.stand import PartModel
from formparts.planning.tasks import flange
from formparts.planning.tools import FlatDie

SHARE_NOTED = 0.5
"""A change of both flanges together by more than this share of the shorter one's general tolerance is noted [-]."""


def force_of(model: PartModel, bending: Bending, length: float) -> float | None:
    """Return the force of a step [kN]: by Oehler in a V, by the tables of hems and curls between flat tools.

    None on rolls.
    """
    sheet, closing = model.body.sheet, bending.closing
    strength = sheet.material.strength_to_bend
    if strength is None or (closing is not None and closing.kind == "roll"):
        return None
    if closing is not None and closing.kind == "curl":
        return curl_force(sheet.thickness, length, strength) / 1000.0
    if closing is not None or isinstance(bending.die, FlatDie):
        closed = closing is not None and closing.kind == "closed"
        return hem_force(sheet.thickness, length, strength, closed) / 1000.0
    return float(bending_force(sheet.thickness, length, bending.die.opening, strength)) / 1000.0


def step_notes(
    task: Task, radius: FormedRadius, kind: str, move: Move, force: float | None, tolerance_class: str
) -> Iterator[str]:
    """Return the notes of a step: how it is closed, missing stops, flanges of other lengths, loads."""
    first = move.members[0]
    yield from _closing_notes(task, kind, first)
    if radius.chosen is None and kind in ("bend", "acute"):
        yield radius.why_none
    if kind != "roll":
        yield from _stop_notes(move)
        yield from _load_notes(task, move, force)
    yield from _flange_notes(radius, flange(task.model, task.model.bend_of[first]), tolerance_class)
    if any(length.horns != (0.0, 0.0) for length in move.punches):
        yield "end sections with horns reach under the flanges that stand inward"


def _flange_notes(radius: FormedRadius, size: float, tolerance_class: str) -> Iterator[str]:
    """Return the effect of the radius formed on the flanges, against the general tolerance of the shorter one."""
    off, allowed = 2.0 * radius.flange_change, linear_tolerance(size, tolerance_class)
    if allowed is not None and abs(off) > SHARE_NOTED * allowed:
        yield (
            f"the radius that forms changes both flanges together by {off:+.2f} mm, {100.0 * abs(off) / allowed:.0f} % "
            f"of the {allowed:g} mm of ISO 2768-1 {tolerance_class} for {size:.4g} mm: develop the blank for "
            f"R {radius.formed_radius:.2f} (--as-formed)"
        )


def _closing_notes(task: Task, kind: str, operation: int) -> Iterator[str]:
    """Return how a hem is closed, a curl formed, a radius rolled."""
    bend, thickness = task.model.bend(operation), task.model.body.sheet.thickness
    gap, across = 2.0 * bend.inside_radius, 2.0 * (bend.inside_radius + thickness)
    if kind in ("closed", "open", "teardrop", "pressed on"):
        yield "hold the part to the stops: the open fold slides out and pushes the tools sideways as it is closed"
    if kind == "open":
        yield f"lay a spacer of {gap:.4g} mm into the fold, so that it stays open"
    if kind == "teardrop":
        yield "keep the loop outside the tools and press its end alone; set the depth by a test piece"
    if kind == "pressed on":
        yield f"stop the ram where {bend.angle:.4g} deg are left after springback: set the depth by a test piece"
    if kind == "curl":
        yield (
            f"in three strokes in curling dies made for {across:.4g} mm outside: two form it, the third closes it; "
            "the clearance was looked at with flat tools in their place"
        )
    if kind == "roll":
        yield f"on bending rolls to R {bend.inside_radius:.4g}, by their own chart: no press brake's tools hold for it"


def _stop_notes(move: Move) -> Iterator[str]:
    if move.stop.kind == "none":
        yield "no edge to rest against: scribe the bend line, or pin the part by a locating hole"
    elif len(move.stop.fingers) < 2:
        yield "the edge holds one finger only: set the part square by hand"


def _load_notes(task: Task, move: Move, force: float | None) -> Iterator[str]:
    """Return what exceeds the permitted load of the tools or the machine."""
    if force is None:
        return
    die, machine = task.setting.bendings[move.members[0]].die, task.setting.machine
    carried = sum(length.length for length in move.punches) * min(move.punch.force, die.force) / 1000.0
    if force > carried:
        yield f"{force:.0f} kN is more than these tools may carry ({carried:.0f} kN)"
    if force > machine.force:
        yield f"{force:.0f} kN is more than the machine has ({machine.force:g} kN)"
