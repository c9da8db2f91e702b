"""The expected spread of each dimension that a stop measures, with the share of every cause."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from formparts.arguments import takes
from formparts.bending import outside_setback
from formparts.deviations import thickness_deviation
from formparts.errors import InputError
from formparts.forming import HEM_ANGLE
from formparts.planning.plan import BendPlan
from formparts.planning.radius import FormedRadius
from formparts.planning.steps import PlanStep
from formparts.short_repr import short_repr

RADIUS_SCATTER = 0.01
"""The natural radius lies within this share of the opening to either side: practice gives 20 to 22 % for stainless
steel and 13 to 15 % for aluminium (common practice, no source); the same is taken for other families."""


@short_repr
@dataclass(frozen=True)
class Spread:
    """
    The possible deviation, to either side, of the dimension from the stop to the outer mould line of a bend.

    Parameters
    ----------
    step : int [-]
        Number of the step.
    nominal : float [mm]
        The dimension.
    shares : tuple of (str, float) [mm]
        The contributions of stop, angle, thickness and radius.
    unknown : str
        The contributions left out, and why; empty when all are included.
    """

    step: int
    nominal: float
    shares: tuple[tuple[str, float], ...]
    unknown: str = ""

    @property
    def total(self) -> float:
        """Sum of all shares, the worst case [mm]."""
        return sum(share for _, share in self.shares)


@takes(plan="BendPlan")
def spreads(plan: BendPlan) -> tuple[Spread, ...]:
    """
    For every step with a stop, the expected spread of the dimension that the stop measures.

    A dimension between two bends that neither stop measures has the spreads of both.

    Parameters
    ----------
    plan : BendPlan
        The result of `plan_bends`.

    Returns
    -------
    tuple of Spread

    Source
    ------
    Exact mathematics, linear: from the stop to the outer mould line is D + (R + t) tan(A/2) - (R + K t) A/2, and a
    share is its derivative times the deviation of A, t or R. Deviations: the machine of the tool table, the standard
    of the sheet (`thickness_deviation`), and `RADIUS_SCATTER`.
    """
    return tuple(_spread(plan, step) for step in plan.steps if _has_spread(plan, step))


def _has_spread(plan: BendPlan, step: PlanStep) -> bool:
    bend = next(bend for bend in plan.body.bends if bend.name == step.bends[0])
    return step.stop.kind != "none" and step.kind == "bend" and bend.angle < HEM_ANGLE


def _spread(plan: BendPlan, step: PlanStep) -> Spread:
    number = [bend.name for bend in plan.body.bends].index(step.bends[0])
    bend, mark, radius = plan.body.bends[number], plan.blank.bends[number], plan.radii[number]
    setback = float(outside_setback(bend.angle, bend.inside_radius, plan.body.sheet.thickness))
    off, unknown = _thickness_off(plan)
    if radius.chosen is None or radius.chosen.natural_radius is None:
        unknown = "; ".join(filter(None, (unknown, "radius: no natural radius is known")))
    shares = tuple(_shares(plan, radius, math.radians(bend.angle), mark.allowance, off))
    return Spread(step.number, step.stop.distance + setback - mark.allowance / 2.0, shares, unknown)


def _thickness_off(plan: BendPlan) -> tuple[float | None, str]:
    sheet = plan.body.sheet
    try:
        return thickness_deviation(sheet.material, sheet.thickness).value, ""
    except InputError as error:
        return None, f"thickness: {error.problem}"


def _shares(
    plan: BendPlan, radius: FormedRadius, angle: float, allowance: float, thickness_off: float | None
) -> Iterator[tuple[str, float]]:
    """Return derivatives of setback and half the allowance, times the deviations; the neutral line is the model's."""
    machine, thickness = plan.tools.machine, plan.body.sheet.thickness
    half, inside = angle / 2.0, radius.drawing_radius
    neutral = allowance / angle
    yield "stop", machine.stop_repeatability
    opening = (inside + thickness) / (2.0 * math.cos(half) ** 2) - neutral / 2.0
    yield "angle", abs(opening) * math.radians(machine.angle_repeatability)
    if thickness_off is not None:
        yield "thickness", abs(math.tan(half) - (neutral - inside) / thickness * half) * thickness_off
    if radius.chosen is not None and radius.chosen.formed_radius == radius.chosen.natural_radius:
        yield "radius", abs(math.tan(half) - half) * RADIUS_SCATTER * radius.chosen.die.opening
