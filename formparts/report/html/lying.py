"""The position of the part in front of the operator at each step of the plan, for the fold view."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from formparts.body import Bend
from formparts.body.frame import bend_frame
from formparts.planning import BendPlan, PlanStep


def lying(plan: BendPlan) -> Iterator[dict[str, Any]]:
    """Return the position of the part in each step.

    The keys are the flat that lies level (`flat`), the direction on it to the back (`back`), whether its
    upper side is up, whether both sides of the line swing up, how far the bends go (`to`), and the step as
    text.
    """
    number = {flat.name: at for at, flat in enumerate(plan.body.flats)}
    for step in plan.steps:
        bend = plan.body.bends[plan.model.number[step.bends[0]]]
        closing = step.bending.closing
        on_child = closing is not None and closing.side < 0
        back = _across(bend, on_child)
        yield {
            "flat": number[bend.child if on_child else bend.parent],
            "back": [round(step.stop.side * value, 9) for value in back],
            "side": step.stop.side,
            "up": step.up,
            "swings": closing is None,
            "to": _share(step, bend),
            "turn": step.turn,
            "how": f" to {step.angle_under_load:.0f}\N{DEGREE SIGN}" if step.kind == "acute" else "",
        }


def _across(bend: Bend, on_child: bool) -> tuple[float, float]:
    """Return the direction from the bend line to its parent, in the coordinates of one of its flats."""
    motion = bend_frame(*(bend.child_line if on_child else bend.parent_line))
    return motion.b, motion.d


def _share(step: PlanStep, bend: Bend) -> float:
    """Return how much of the angle is bent when the step is done [-]."""
    return step.angle_under_load / bend.angle if step.kind == "acute" else 1.0
