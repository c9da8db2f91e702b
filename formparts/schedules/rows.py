"""The bend schedule: the bends in the order of the plan, each with its tools, stop, force and overbend."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from formparts.arguments import takes
from formparts.body import Bend
from formparts.errors import InputError
from formparts.forming import force_rule, outer_fibre_strain, under_load
from formparts.layout import BendMark
from formparts.outline.edges import Point
from formparts.planning import BendPlan, FormedRadius, PlanStep, numbered
from formparts.planning.tasks import flange
from formparts.planning.words import radius_words
from formparts.short_repr import short_repr


@short_repr
@dataclass(frozen=True)
class UnderLoad:
    """Angle and radius of a bend while the press holds it. A figure that is not known is None.

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


@short_repr
@dataclass(frozen=True)
class ScheduledBend:
    """
    One bend of the schedule.

    Parameters
    ----------
    number : int [-]
        The step in which it is made, as on every paper; without a plan its place in the model.
    mark : BendMark
        Name, angle, side, inside radius, length, allowance.
    start, end : (x, y) [mm]
        Ends of the bend line, from the left and from the front edge of the blank.
    step : PlanStep or None
        Its step of the plan; None without one.
    radius : FormedRadius
        The radius that forms, the die and the punch for it.
    flange : float [mm]
        The shorter of its two flats, to the outer mould line.
    under_load : UnderLoad
        Overbend.
    strain : float [-]
        Stretch of the outer fibre.
    notes : tuple of str
        What else must be known, and why a figure is missing.
    """

    number: int
    mark: BendMark
    start: Point
    end: Point
    step: PlanStep | None
    radius: FormedRadius
    flange: float
    under_load: UnderLoad
    strain: float
    notes: tuple[str, ...]

    @property
    def die_opening(self) -> float | None:
        """V opening of the die [mm]; None where no die fits."""
        return None if self.radius.chosen is None else self.radius.chosen.die.opening

    @property
    def natural_radius(self) -> float | None:
        """Inside radius of air bending over that die [mm]."""
        return None if self.radius.chosen is None else self.radius.chosen.natural_radius

    @property
    def minimum_flange(self) -> float | None:
        """Minimum flange on the die, to the outer mould line [mm]."""
        return None if self.radius.chosen is None else self.radius.chosen.minimum_flange

    @property
    def force_per_length(self) -> float | None:
        """Bending force for each millimetre [N/mm]."""
        return None if self.radius.chosen is None else self.radius.chosen.force

    @property
    def force(self) -> float | None:
        """Bending force of the step, all its bends together; of this bend alone without a plan [kN]."""
        if self.step is not None:
            return self.step.force
        each = self.force_per_length
        return None if each is None else each * self.mark.length / 1000.0

    @property
    def sight_line(self) -> float:
        """
        For a folding brake: from the bend line to the line that lies under the edge of the nose [mm].

        That is one inside radius from the tangent line of the flat that is clamped, into the bend; positive when it
        lies beyond the bend line. Source: FAA-H-8083-31, chapter 4, sight line (from memory).
        """
        return self.mark.inside_radius - self.mark.allowance / 2.0


@short_repr
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
        In the order of the plan; in that of the model without one.
    plan : BendPlan
        The plan, or why there is none.
    numbering : str
        What the numbers mean, in words.
    """

    part: str
    material: str
    thickness: float
    force_rule: str
    strength: float | None
    bends: tuple[ScheduledBend, ...]
    plan: BendPlan
    numbering: str


@takes(plan="BendPlan")
def schedule(plan: BendPlan) -> Schedule:
    """
    The bend schedule of a part: its bends in the order of the plan, with tools, stop, force and overbend.

    Parameters
    ----------
    plan : BendPlan
        As `plan_bends` gives it.

    Returns
    -------
    Schedule

    Source
    ------
    As of `plan_bends`, `bending_force` and `under_load`.

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle")
    >>> [(bend.number, bend.mark.name, bend.mark.angle) for bend in schedule(Part(body).plan).bends]
    [(1, 'angle.bend[1]', 90.0)]
    """
    blank, sheet, by = numbered(plan.blank, plan), plan.body.sheet, force_rule("Oehler")
    strength = sheet.material.strength_to_bend
    places = {bend.name: place for place, bend in enumerate(plan.body.bends)}
    rows = tuple(_row(plan, places[mark.name], number, mark) for number, mark in blank.numbered)
    words = f"{by.name}: {by.source}"
    return Schedule(
        plan.part, sheet.material.name, sheet.thickness, words, strength, rows, plan, blank.numbering
    )


def _row(plan: BendPlan, place: int, number: int, mark: BendMark) -> ScheduledBend:
    left, front, _, _ = plan.blank.outline.bounds
    start, end = ((x - left, y - front) for x, y in (mark.start, mark.end))
    bend, radius = plan.body.bends[place], plan.radii[place]
    step = next((step for step in plan.steps if mark.name in step.bends), None)
    load = _under_load(plan, mark, radius) if bend.process == "air bend" else UnderLoad()
    strain = outer_fibre_strain(mark.inside_radius, plan.body.sheet.thickness)
    notes = tuple(_notes(plan, bend, radius, step, load))
    return ScheduledBend(
        number, mark, start, end, step, radius, flange(plan.model, place), load, strain, notes
    )


def _under_load(plan: BendPlan, mark: BendMark, radius: FormedRadius) -> UnderLoad:
    sheet = plan.body.sheet
    try:
        found = under_load(sheet.material, mark.angle, radius.formed_radius, sheet.thickness)
    except InputError:  # no yield strength or modulus is known
        return UnderLoad()
    return UnderLoad(found.angle, found.overbend, found.radius)


def _notes(
    plan: BendPlan, bend: Bend, radius: FormedRadius, step: PlanStep | None, load: UnderLoad
) -> Iterator[str]:
    """Return further notes on a bend."""
    yield from () if step is None else step.notes
    yield from (_later(other) for other in plan.steps if other is not step and bend.name in other.bends)
    if step is None and (radius.chosen is None or radius.ending):
        yield radius_words(radius)
    material = plan.body.sheet.material
    if bend.process != "air bend":
        return
    if material.strength_to_bend is None:
        yield f"no force: no strength is known of {material.name}"
    if load.angle is None:
        yield f"no overbend: no yield strength or modulus is known of {material.name}"
    elif radius.ending == "roll":
        yield f"it springs back from {load.angle:.4g} deg, which is farther than a press brake bends: roll it"


def _later(step: PlanStep) -> str:
    """Return the step that closes a bend begun in an acute V."""
    force = "" if step.force is None else f", {step.force:.0f} kN"
    return "; ".join((f"step {step.number}: {step.punch.name} on {step.die.name}{force}", *step.notes))
