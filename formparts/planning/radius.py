"""The radius formed: the natural radius over each V, the V nearest to the drawing, and the resulting changes."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from formparts.bending import outside_setback
from formparts.body import Sheet
from formparts.errors import InputError
from formparts.forming import (
    AIR_BEND_SHARES,
    HEM_ANGLE,
    air_bend_radius,
    bending_force,
    die_opening,
    die_opening_range,
    minimum_flange,
)
from formparts.forming import under_load as springback
from formparts.layout import BendMark
from formparts.planning.tools import Die, Punch, ToolTable
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG, LENGTH

RIGHT_ANGLE = 90.0

GIVEN_BY_TOOLS = ("closed", "open", "curl", "roll")
"""Endings of a bend that press or roll it to the drawing's radius, whatever the V forms."""

ENDS_APART = 0.25
"""A punch whose tip is rounder than the natural radius by less than this does not press its own radius [mm]."""


@short_repr
@dataclass(frozen=True)
class RadiusOption:
    """
    The result of one die with one punch tip.

    Parameters
    ----------
    die : Die
        The die.
    natural_radius : float [mm], optional
        Inside radius of air bending over it; None where it is not known for the material.
    tip_radius : float [mm]
        Of the punch; it presses its own radius where that is larger than the natural one.
    formed_radius : float [mm]
        Inside radius formed.
    minimum_flange : float [mm]
        Minimum flange on the die, to the outer mould line.
    force : float [kN/m], optional
        Bending force for each metre.
    refused : str
        Why it cannot be used; empty when it can.
    """

    die: Die
    natural_radius: float | None
    tip_radius: float
    formed_radius: float
    minimum_flange: float
    force: float | None
    refused: str = ""


@short_repr
@dataclass(frozen=True)
class FormedRadius:
    """
    The radius formed at a bend, and the drawing's.

    Parameters
    ----------
    bend : str
        Name of the bend.
    drawing_radius : float [mm]
        Inside radius of the model.
    chosen : RadiusOption or None
        The nearest that force, flange and die allow; None when there is no die.
    options : tuple of RadiusOption
        Every die of the table that was considered.
    angle_under_load : float [deg], optional
        Bend angle at the bottom; None where the material's figures are not known.
    ending : str
        The operation besides air bending in a V: `closed`, `open`, `teardrop`, `pressed on`, `curl` or
        `roll`; empty when nothing is.
    allowance_change : float [mm]
        Developed length of the bend as formed less that of the model, by the sheet's bend rule.
    flange_change : float [mm]
        Increase of each of the two flanges, to the outer mould line; both together grow by twice this.
    """

    bend: str
    drawing_radius: float
    chosen: RadiusOption | None
    options: tuple[RadiusOption, ...]
    angle_under_load: float | None
    allowance_change: float
    flange_change: float
    ending: str = ""

    @property
    def formed_radius(self) -> float:
        """Radius formed [mm]; the drawing's where no die was found, and where it is pressed or rolled to it."""
        given = self.chosen is None or self.ending in GIVEN_BY_TOOLS
        return self.drawing_radius if given or self.chosen is None else self.chosen.formed_radius

    @property
    def why_none(self) -> str:
        """Return why no die was found: the reasons for dies of a usual width come first."""
        reasons = list(dict.fromkeys(option.refused for option in self.options if option.refused))
        usual = [reason for reason in reasons if not reason.startswith(("narrower", "wider"))]
        return f"no die of the table fits: {(usual or reasons or ['none reaches the angle'])[0]}"


def acute_radius(mark: BendMark, ending: str, sheet: Sheet, flange: float, table: ToolTable) -> FormedRadius:
    """
    Choose the acute die on which a bend is begun that is pressed on between flat tools; none for curls and rolls.

    The rim must reach the shoulder as far as a right angle; beyond that its end slides down the flank of the V (common
    practice, no source).
    """
    if ending in ("curl", "roll"):
        return FormedRadius(mark.name, mark.inside_radius, None, (), None, 0.0, 0.0, ending)
    acute = replace(mark, angle=HEM_ANGLE)
    options = tuple(_options(acute, sheet, flange, table, HEM_ANGLE, RIGHT_ANGLE))
    fit = [option for option in options if not option.refused]
    chosen = min(fit, key=lambda option: _rank(option, acute, sheet), default=None)
    allowance = 0.0
    if chosen is not None and ending not in GIVEN_BY_TOOLS:
        allowance, _ = changes(mark, sheet, chosen.formed_radius)
    return FormedRadius(mark.name, mark.inside_radius, chosen, options, None, allowance, 0.0, ending)


def formed_radius(mark: BendMark, sheet: Sheet, flange: float, table: ToolTable) -> FormedRadius:
    """
    Choose the die whose radius is nearest to the drawing's, and compute the effect of the difference.

    Parameters
    ----------
    mark : BendMark
        The bend.
    sheet : Sheet
        The stock.
    flange : float [mm]
        The shorter of its two flats, to the outer mould line.
    table : ToolTable
        The tools.

    Returns
    -------
    FormedRadius

    Source
    ------
    Natural radius by the shares of the opening of `air_bend_radius`; a wider V forms a larger radius, a punch rounder
    than that presses its own (common practice, no source). Changes of lengths are exact mathematics.
    """
    load = under_load(mark.angle, mark.inside_radius, sheet)
    options = tuple(_options(mark, sheet, flange, table, load or mark.angle))
    fit = [option for option in options if not option.refused]
    chosen = min(fit, key=lambda option: _rank(option, mark, sheet), default=None)
    if chosen is None:
        return FormedRadius(mark.name, mark.inside_radius, None, options, load, 0.0, 0.0)
    load = under_load(mark.angle, chosen.formed_radius, sheet)
    allowance, flange_change = changes(mark, sheet, chosen.formed_radius)
    return FormedRadius(mark.name, mark.inside_radius, chosen, options, load, allowance, flange_change)


def under_load(angle: float, radius: float, sheet: Sheet) -> float | None:
    """Return the bend angle at the bottom, where the figures of the material are known [deg]."""
    try:
        return springback(sheet.material, angle, radius, sheet.thickness).angle
    except InputError:  # the material's yield strength or modulus is unknown
        return None


def changes(mark: BendMark, sheet: Sheet, radius: float) -> tuple[float, float]:
    """Return the effect of another inside radius on the developed length of a bend, and on each flange [mm]."""
    rule, thickness = sheet.bend_rule, sheet.thickness
    try:
        new = float(rule.allowance(mark.angle, radius, thickness))
        old = float(rule.allowance(mark.angle, mark.inside_radius, thickness))
    except InputError:  # the rule holds for another radius
        new, old = (math.radians(mark.angle) * r for r in (radius, mark.inside_radius))
    if mark.angle >= HEM_ANGLE:
        return new - old, 0.0
    setback = [outside_setback(mark.angle, r, thickness) for r in (radius, mark.inside_radius)]
    return new - old, float(setback[0] - setback[1]) - (new - old) / 2.0


def _rank(option: RadiusOption, mark: BendMark, sheet: Sheet) -> tuple[float, float, float]:
    """Return the order of preference: nearest to the drawing, then usual opening for the sheet, then sharper punch."""
    off, usual = abs(option.formed_radius - mark.inside_radius), 8.0 * sheet.thickness
    with contextlib.suppress(InputError):  # too thick for every die of the usual series
        usual = die_opening(sheet.thickness, mark.inside_radius, min(mark.angle, HEM_ANGLE))
    return round(off, 6), abs(option.die.opening - usual), option.tip_radius


def _options(
    mark: BendMark, sheet: Sheet, flange: float, table: ToolTable, load: float, rests_to: float = HEM_ANGLE
) -> Iterator[RadiusOption]:
    bottom = min(load, HEM_ANGLE)
    strength = sheet.material.strength_to_bend
    for die in table.dies:
        if 180.0 - die.angle < bottom or (die.angle < 60.0 and bottom <= 180.0 - 85.0):
            continue  # too open for the bend, or an acute one where none is needed
        natural = _natural(die, sheet)
        force = None
        if strength is not None:
            force = float(bending_force(sheet.thickness, 1000.0, die.opening, strength)) / 1000.0
        for tip in tips(table.punches, bottom):
            formed = _formed(natural, tip, mark.inside_radius)
            least = float(minimum_flange(die.opening, min(mark.angle, rests_to)))
            option = RadiusOption(die, natural, tip, formed, least, force)
            refused = _refused(option, mark, sheet, flange, table)
            yield RadiusOption(die, natural, tip, formed, least, force, refused)


def tips(punches: Sequence[Punch], bottom: float) -> list[float]:
    """Return the tip radii of the punches that reach an angle."""
    return sorted(
        {p.tip_radius for p in punches if p.kind != "hemming" and p.angle <= 180.0 - bottom + ANGLE_DEG}
    )


def _natural(die: Die, sheet: Sheet) -> float | None:
    family = sheet.material.family
    return float(air_bend_radius(die.opening, family)) if family in AIR_BEND_SHARES else None


def _formed(natural: float | None, tip: float, drawn: float) -> float:
    """Return the radius formed: the tip presses its own where it is larger than the natural one."""
    if natural is None:
        return max(drawn, tip)
    return tip if tip > natural + ENDS_APART else natural


def _refused(option: RadiusOption, mark: BendMark, sheet: Sheet, flange: float, table: ToolTable) -> str:
    """Return why a die cannot be used for a bend."""
    die, thickness = option.die, sheet.thickness
    narrowest, widest = die_opening_range(thickness)
    round_ = max(option.formed_radius, mark.inside_radius)
    shoulders = 2.0 * (round_ + thickness) * math.sin(math.radians(min(mark.angle, 180.0)) / 2.0)
    if die.opening < narrowest - LENGTH:
        return f"narrower than {narrowest:.4g} mm, 6 thicknesses"
    if die.opening < shoulders - LENGTH:
        return f"the bend needs {shoulders:.4g} mm between the shoulders"
    if die.opening > max(widest, 1.6 * shoulders) + LENGTH:
        return f"wider than {max(widest, 1.6 * shoulders):.4g} mm"
    if option.minimum_flange > flange + LENGTH:
        return f"the flange of {flange:.4g} mm does not reach its shoulder ({option.minimum_flange:.4g} mm)"
    if option.force is not None and option.force > die.force:
        return f"{option.force:.4g} kN/m, and it may carry {die.force:g} kN/m"
    if option.force is not None and option.force * mark.length / 1000.0 > table.machine.force:
        return f"{option.force * mark.length / 1000.0:.4g} kN, and the machine has {table.machine.force:g} kN"
    return ""
