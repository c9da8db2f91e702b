"""The bend schedule: for each bend where it lies on the blank, the tools, the force and the overbend."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from formparts.arguments import takes
from formparts.bending import outside_setback
from formparts.body import Body, Process, Sheet
from formparts.errors import InputError
from formparts.forming import (
    AIR_BEND_SHARES,
    DIE_SERIES,
    HEM_ANGLE,
    air_bend_radius,
    bending_force,
    die_opening,
    die_opening_range,
    force_rule,
    minimum_flange,
    outer_fibre_strain,
    under_load,
)
from formparts.layout import BendMark, Blank
from formparts.materials import Material
from formparts.outline.edges import Point
from formparts.schedules.flanges import flange_reaches
from formparts.schedules.order import BendOrder, bend_order
from formparts.tolerances import LENGTH

CAUTIONS = (
    "Forces, dies and overbends are for planning: bend a test strip of the same coil first.",
    "The press maker's limits of force, step and tools, local codes and a qualified operator decide.",
    "Positions are those of the flat blank; once a bend is made the stop needs figures from the formed part.",
    "The order of bends is by a simple rule: die, back stop and the shape of the punch are not looked at.",
)
"""What goes with every schedule."""

WIDE_SPRINGBACK = 20.0
"""What springs back by more is not a hem to be closed, but a roll [deg]; common practice, no source."""

RADIUS_SHARE = 0.25
"""An air-bend radius farther off than this share of the drawing's is noted [-]; common practice, no source."""


@dataclass(frozen=True)
class Place:
    """
    Where a bend line lies on the blank, from its left and its front edge.

    Parameters
    ----------
    start, end : (x, y) [mm]
        Ends of the bend line, from the left and from the front edge.
    edge : "left", "front" or "oblique"
        The edge that the bend line is parallel to, if any.
    position : float [mm], optional
        Distance of the bend line from that edge.
    """

    start: Point
    end: Point
    edge: Literal["left", "front", "oblique"]
    position: float | None


@dataclass(frozen=True)
class Tools:
    """
    What a bend needs of the press brake. A figure that is not known is None.

    Parameters
    ----------
    die_opening : float [mm], optional
        V opening of the die.
    natural_radius : float [mm], optional
        Inside radius that comes of itself in air bending over that die.
    minimum_flange : float [mm], optional
        What rests on the die at the least, to the outer mould line.
    force_per_length : float [N/mm], optional
        Bending force for each millimetre.
    force : float [kN], optional
        Bending force in all.
    """

    die_opening: float | None = None
    natural_radius: float | None = None
    minimum_flange: float | None = None
    force_per_length: float | None = None
    force: float | None = None


@dataclass(frozen=True)
class UnderLoad:
    """
    What a bend is to be while the press holds it. A figure that is not known is None.

    Parameters
    ----------
    angle : float [deg], optional
        Bend angle, 0 for flat.
    overbend : float [deg], optional
        How far that is beyond the angle that is wanted.
    inside_radius : float [mm], optional
        Inside radius.
    """

    angle: float | None = None
    overbend: float | None = None
    inside_radius: float | None = None


@dataclass(frozen=True)
class ScheduledBend:
    """
    One bend of the schedule.

    Parameters
    ----------
    mark : BendMark
        Name, angle, side, inside radius, length, allowance.
    step : int [-], optional
        In which step of the order it is made, from 1.
    place : Place
        Where it lies on the blank.
    flange : float [mm]
        The shorter of its two flats, to the outer mould line.
    tools : Tools
        Die and force.
    under_load : UnderLoad
        Overbend.
    strain : float [-]
        Stretch of the outer fibre.
    notes : tuple of str
        What else must be known, and why a figure is missing.
    """

    mark: BendMark
    step: int | None
    place: Place
    flange: float
    tools: Tools
    under_load: UnderLoad
    strain: float
    notes: tuple[str, ...]

    @property
    def sight_line(self) -> float:
        """
        For a folding brake: from the bend line to the line that lies under the edge of the nose [mm].

        That is one inside radius from the tangent line of the flat that is clamped, into the bend; positive when it
        lies beyond the bend line. Source: FAA-H-8083-31, chapter 4, sight line (from memory).
        """
        return self.mark.inside_radius - self.mark.allowance / 2.0


@dataclass(frozen=True)
class Schedule:
    """
    The bend schedule of a part.

    Parameters
    ----------
    part : str
        Name of the part.
    material : str
        Name of the material.
    thickness : float [mm]
        Thickness of the sheet.
    force_rule : str
        The formula for the force, and its source.
    strength : float [MPa], optional
        The strength that the force is reckoned with: the greatest that is delivered, where that is known.
    bends : tuple of ScheduledBend
        In the order of the recipe.
    order : BendOrder
        An order that works, or why there is none.
    """

    part: str
    material: str
    thickness: float
    force_rule: str
    strength: float | None
    bends: tuple[ScheduledBend, ...]
    order: BendOrder


@takes(body="Body", blank="Blank", rule="str")
def schedule(
    body: Body, blank: Blank, rule: str = "Oehler", series: tuple[float, ...] = DIE_SERIES
) -> Schedule:
    """
    The bend schedule of a part: position, tools, force and overbend of each bend, and an order of bends.

    The table itself does not depend on the order. Positions are from the left and the front edge of the blank as
    its drawing shows it: the least x and the least y of its outline.

    Parameters
    ----------
    body : Body
        The part.
    blank : Blank
        Its blank.
    rule : str
        Formula for the force, as of `bending_force`.
    series : tuple of float [mm]
        V openings to choose from, in rising order.

    Returns
    -------
    Schedule

    Raises
    ------
    InputError
        There is no such formula.

    Source
    ------
    As of `die_opening`, `bending_force`, `under_load` and `bend_order`.
    """
    by = force_rule(rule)
    sheet = body.sheet
    strength = _strength(sheet.material, by.strength)
    order, reaches = bend_order(body, blank), flange_reaches(body, blank)
    processes = {bend.name: bend.process for bend in body.bends}
    rows = []
    for mark in blank.bends:
        made, reach = processes[mark.name], min(reaches[mark.name].flats)
        if made == "air bend":
            tools, problem = _tools(mark, sheet, strength, by.name, series)
            flange = _flange(mark, sheet.thickness, reach)
            load = _under_load(mark, sheet)
            notes = (*([problem] if problem else []), *_notes(mark, sheet, flange, tools, strength, load))
        else:
            # To the outside of its bend, as a hem and a curl are dimensioned; no die and no force of an air bend.
            flange = reach - mark.allowance / 2.0 + mark.inside_radius + sheet.thickness
            tools, load, notes = Tools(), UnderLoad(), (OTHER_PROCESSES[made],)
        strain = outer_fibre_strain(mark.inside_radius, sheet.thickness)
        step, place = _step_of(order, mark.name), _place(blank, mark)
        rows.append(ScheduledBend(mark, step, place, flange, tools, load, strain, notes))
    words = f"{by.name}: {by.source}"
    return Schedule(body.name, sheet.material.name, sheet.thickness, words, strength, tuple(rows), order)


OTHER_PROCESSES: Final[dict[Process, str]] = {
    "hem": "a hem: bend it as far as the tools go, then press it between flat tools in a second step (common practice)",
    "roll": "rolled, or bent in many small steps: no air bend's die and force hold for it",
    "curl": "a curl: rolled round in a curling die or on a rotary machine; no air bend's die and force hold for it",
}


def _strength(grade: Material, kind: str) -> float | None:
    """The strength that a force rule asks for."""
    if kind == "yield_strength":
        return grade.yield_strength
    return grade.strength_to_bend


def _step_of(order: BendOrder, name: str) -> int | None:
    return next((number for number, step in enumerate(order.steps, 1) if name in step), None)


def _place(blank: Blank, mark: BendMark) -> Place:
    left, front, _, _ = blank.outline.bounds
    start, end = ((x - left, y - front) for x, y in (mark.start, mark.end))
    if abs(start[0] - end[0]) <= LENGTH:
        return Place(start, end, "left", (start[0] + end[0]) / 2.0)
    if abs(start[1] - end[1]) <= LENGTH:
        return Place(start, end, "front", (start[1] + end[1]) / 2.0)
    return Place(start, end, "oblique", None)


def _tools(
    mark: BendMark, sheet: Sheet, strength: float | None, rule: str, series: tuple[float, ...]
) -> tuple[Tools, str]:
    """Die and force, or why there is no die."""
    try:
        die = die_opening(sheet.thickness, mark.inside_radius, mark.angle, series)
    except InputError as error:
        return Tools(), f"no die: it {error.problem}; {error.fix}"
    family = sheet.material.family
    radius = air_bend_radius(die, family) if family in AIR_BEND_SHARES else None
    flange = minimum_flange(die, mark.angle)
    if strength is None:
        return Tools(die, radius, flange), ""
    force = bending_force(sheet.thickness, mark.length, die, strength, rule)
    return Tools(die, radius, flange, force / mark.length, force / 1000.0), ""


def _flange(mark: BendMark, thickness: float, reach: float) -> float:
    """From the outer mould line instead of the bend line."""
    return reach - mark.allowance / 2.0 + outside_setback(mark.angle, mark.inside_radius, thickness)


def _under_load(mark: BendMark, sheet: Sheet) -> UnderLoad:
    try:
        found = under_load(sheet.material, mark.angle, mark.inside_radius, sheet.thickness)
    except InputError:  # no yield strength or modulus is known
        return UnderLoad()
    return UnderLoad(found.angle, found.overbend, found.radius)


def _notes(
    mark: BendMark, sheet: Sheet, flange: float, tools: Tools, strength: float | None, load: UnderLoad
) -> Iterator[str]:
    """What else must be known of a bend."""
    shortest, radius = tools.minimum_flange or 0.0, tools.natural_radius
    # A hem is closed between flat tools, and needs no shoulder.
    if flange < shortest - LENGTH and mark.angle <= HEM_ANGLE:
        least = float(minimum_flange(die_opening_range(sheet.thickness)[0], mark.angle))
        narrow = flange >= least - LENGTH
        fix = "take a narrower die" if narrow else "no usual die is narrow enough, it needs a tool of its own"
        yield f"its flange of {flange:.4g} mm does not rest on the die ({shortest:.4g} mm): {fix}"
    if radius is not None and not math.isclose(radius, mark.inside_radius, rel_tol=RADIUS_SHARE):
        yield f"the die gives R {radius:.3g} mm of itself: take a punch, or a die, for R {mark.inside_radius:g} mm"
    if strength is None:
        yield f"no force: no strength is known of {sheet.material.name}"
    if load.angle is None:
        yield f"no overbend: no yield strength or modulus is known of {sheet.material.name}"
    elif load.angle > HEM_ANGLE and mark.angle > HEM_ANGLE - WIDE_SPRINGBACK:
        yield f"bent to {load.angle:.4g} deg: close it in a second step between flat tools"
    elif load.angle > HEM_ANGLE:
        yield f"it springs back from {load.angle:.4g} deg, which is farther than a press brake bends: roll it"
