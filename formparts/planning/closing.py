"""The position of a hem or a curl between flat tools: one side level on the block, the fold to the stops."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.body import Bend
from formparts.body.frame import Frame
from formparts.forming import HEM_ANGLE
from formparts.outline.edges import cos_deg, sin_deg
from formparts.planning.stand import Swing
from formparts.planning.tools import FlatDie, Punch
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG

LARGEST_STEP = 30.0
"""Largest step of the bend angle at which the moving part is tested [deg]."""


ROLLS = Punch("bending rolls", "rolls", 180.0, 0.0, 1.0, ((0.0, 0.0), (1.0, 1.0), (-1.0, 1.0)), (1.0,))
"""Represents the rolls of a large radius, which a tool table does not have."""

ON_ROLLS = FlatDie("bending rolls", 1.0, 1.0, 1.0, (1.0,))

SMALLEST_GAP = 0.1
"""A hem with a gap of at most this many thicknesses is a closed hem [-]."""

WIDE_SPRINGBACK = 20.0
"""A bend with more springback than this is rolled, not pressed on [deg]; common practice, no source."""

LIP = 3.0
"""Least length of a teardrop's end under the punch [mm]; common practice, no source."""


def ending_of(bend: Bend, load: float, thickness: float) -> str:
    """Return the operation on a bend besides air bending, by its name in `Closing`; empty if none."""
    if bend.process in ("curl", "roll"):
        return bend.process
    if load > min(180.0, max(HEM_ANGLE, bend.angle + WIDE_SPRINGBACK)) and bend.process == "air bend":
        return "roll"
    if bend.angle <= HEM_ANGLE and load <= HEM_ANGLE:
        return ""
    if bend.angle < 180.0 - ANGLE_DEG:
        return "pressed on"
    if bend.angle > 180.0 + ANGLE_DEG:
        return "teardrop"
    return "closed" if 2.0 * bend.inside_radius <= SMALLEST_GAP * thickness else "open"


def acute_shape(bend: Bend, angle: float, thickness: float, allowance: float) -> tuple[float, float]:
    """Return angle and inside radius of a bend that is closed later: its strip keeps its length."""
    half = thickness / 2.0
    return angle, _middle(angle, bend.angle, bend.inside_radius, thickness, allowance) - half


def _middle(angle: float, full: float, radius: float, thickness: float, allowance: float) -> float:
    half = thickness / 2.0
    longer = allowance * (1.0 / math.radians(angle) - 1.0 / math.radians(full))
    return max(radius + half + longer, half)


@short_repr
@dataclass(frozen=True)
class Closing:
    """The position of a hem or curl in the tools while it is closed.

    Parameters
    ----------
    start : float [deg]
        Bend angle at which the part is put in.
    side : int
        The side of the line that lies level on the die: 1 that of the first bend's parent, -1 the other.
    reach : float [mm]
        Length of the other side's flat from its tangent line to its end.
    distance : float [mm]
        From the middle of the punch back to the outside of the fold.
    kind : str
        `closed`, `open`, `teardrop`, `pressed on` (a bend that stays open by an angle), `curl` or `roll`.
    """

    start: float
    side: int
    reach: float
    distance: float
    kind: str


def closing_swings(
    closing: Closing, angle: float, radius: float, thickness: float, allowance: float
) -> tuple[Swing, ...]:
    """Return the moving part between flat tools, from where it is put in to its final angle."""
    count = max(1, math.ceil((angle - closing.start) / LARGEST_STEP))
    angles = (closing.start + (angle - closing.start) * place / count for place in range(count + 1))
    return tuple(closing_swing(closing, each, angle, radius, thickness, allowance) for each in angles)


def closing_swing(
    closing: Closing, angle: float, full: float, radius: float, thickness: float, allowance: float
) -> Swing:
    """
    Return a fold of `full` deg at an intermediate `angle`: one side level on the block, the punch on the highest point.

    The strip keeps its length; its radius decreases to the bend's own.
    """
    half, side = thickness / 2.0, closing.side
    middle = _middle(angle, full, radius, thickness, allowance)
    sin, cos = sin_deg(angle), cos_deg(angle)
    shift, centre = side * (radius + thickness - closing.distance), half + middle
    start = centre - middle * cos
    ends = [start, start + closing.reach * sin]
    tip = max(*(end + half * abs(cos) for end in ends), centre + middle + half if angle >= 180.0 else 0.0)
    level = Frame((0.0, shift, half))
    rim = Frame(
        (0.0, shift - side * middle * sin, start), (1.0, 0.0, 0.0), (0.0, cos, -side * sin), (0.0, side * sin, cos)
    )  # fmt: skip
    return Swing(angle, tip, {side: level, -side: rim})
