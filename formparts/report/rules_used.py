"""Every rule and figure that is used for a part, each with its citation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formparts.body import Sheet
from formparts.checks import Finding, Limit, LimitProfile
from formparts.deviations import thickness_deviation
from formparts.errors import InputError
from formparts.forming import (
    AIR_BEND_SHARES,
    FORCE_RULES,
    HEM_ANGLE,
    air_bend_radius,
    die_band,
    die_opening,
    minimum_bend_radius,
    under_load,
)
from formparts.layout import BendMark, Blank
from formparts.sources import is_common_practice, source_of


@dataclass(frozen=True, slots=True)
class UsedRule:
    """
    One rule or figure that a part's papers are made from.

    Parameters
    ----------
    use : str
        What it is used for.
    figure : str
        The rule, or the figure with its unit.
    citation : str
        Where it is from: publication, clause or table; or that it is common practice.
    """

    use: str
    figure: str
    citation: str

    @property
    def publication(self) -> str:
        """The publications that the citation names, in full; empty for common practice and mathematics."""
        found = (source_of(part.strip()) for part in self.citation.split(";"))
        return "; ".join(source.reference for source in found if source is not None)


def rules_used(
    sheet: Sheet, blank: Blank, findings: Sequence[Finding] = (), profile: LimitProfile | None = None
) -> tuple[UsedRule, ...]:
    """
    List every rule and figure that is used for a part, once each.

    Parameters
    ----------
    sheet : Sheet
        What the part is made of.
    blank : Blank
        Its blank, with the bends.
    findings : sequence of Finding
        What the checks found; each names the rule that it is from.
    profile : LimitProfile, optional
        The limits that the part was held against.

    Returns
    -------
    tuple of UsedRule
    """
    rules = [
        *_of_material(sheet),
        UsedRule("developed length", sheet.bend_rule.name, sheet.bend_rule.source),
        *(rule for mark in blank.bends for rule in _of_bend(sheet, mark)),
        *(_of_limits(blank, profile) if profile else ()),
        *(UsedRule(f"check: {found.code}", _limit(found), found.source) for found in findings),
    ]
    return tuple(dict.fromkeys(rules))


def _of_limits(blank: Blank, profile: LimitProfile) -> Iterator[UsedRule]:
    """Return the limits of the profile that the checks use, for the features on the blank."""
    there = {
        "opening": len(blank.outline.loops) > 1,
        "hem": any(mark.angle > HEM_ANGLE for mark in blank.bends),
        "formed": bool(blank.features),
        "under": bool(blank.features),
        **dict.fromkeys(("offset", "press", "relief", "inside", "rolling"), bool(blank.bends)),
    }
    for name, limit in profile.limits.items():
        if there.get(name.partition("_")[0], True):
            yield UsedRule(f"limit: {name.replace('_', ' ')}", _formula(limit), limit.source)


def _formula(limit: Limit) -> str:
    """Return a formula as text: `1.5 t + 1 R`, `1 t, at least 1 mm`."""
    counted = (
        (limit.thicknesses, " t"), (limit.radii, " R"), (limit.diameters, " d"), (limit.die_openings, " V"),
        (limit.value, f" {limit.unit}"),
    )  # fmt: skip
    parts = " + ".join(f"{count:.4g}{unit}" for count, unit in counted if count)
    return f"{parts or 0}, at least {limit.least:g} {limit.unit}" if limit.least else parts or "0"


def _limit(found: Finding) -> str:
    return f"limit {found.limit:.4g} {found.unit}".rstrip(" -")


_USES = {
    "density": ("mass", "kg/m3"),
    "modulus": ("springback, stiffness", "MPa"),
    "yield_strength": ("springback", "MPa"),
}


def _of_material(sheet: Sheet) -> Iterator[UsedRule]:
    grade = sheet.material
    sources = grade.sources
    for name, (use, unit) in _USES.items():
        value = getattr(grade, name)
        if value is not None:
            said = f"{name.replace('_', ' ')} of {grade.name}: {value:g} {unit}"
            yield UsedRule(use, said, sources.get(name, "the user's own"))
    if grade.strength_to_bend is not None:
        end = "greatest" if grade.tensile_strength_max else "least, as the standard sets no greatest one"
        said = f"tensile strength of {grade.name}: {grade.strength_to_bend:g} MPa ({end})"
        yield UsedRule("bending force", said, sources.get("tensile_strength", "the user's own"))
    try:
        off = thickness_deviation(grade, sheet.thickness)
    except InputError:  # no table that can be cited
        return
    said = f"{sheet.thickness:g} mm +- {off.value:.3g} mm, sheet 1250 mm wide"
    yield UsedRule("thickness of the sheet", said, off.source)


def _of_bend(sheet: Sheet, mark: BendMark) -> Iterator[UsedRule]:
    grade, thickness = sheet.material, sheet.thickness
    bend = f"{mark.angle:.4g} deg, R {mark.inside_radius:.4g} mm"
    try:
        least = minimum_bend_radius(grade, thickness, mark.angle)
        note = f"; {least.note}" if least.note else ""
        said = f"{least.radius:.4g} mm at {mark.angle:.4g} deg ({least.rule}{note})"
        yield UsedRule("smallest inside radius", said, least.source)
    except InputError:  # neither a table nor an elongation is known
        pass
    try:
        load = under_load(grade, mark.angle, mark.inside_radius, thickness)
        yield UsedRule("angle under load", f"{load.angle:.1f} deg for {bend} ({load.rule})", load.source)
    except InputError:  # no yield strength or modulus is known
        pass
    try:
        die = die_opening(thickness, mark.inside_radius, mark.angle)
    except InputError:  # no die of the series is wide enough
        return
    band = die_band(thickness)
    yield UsedRule("die opening", f"V {die:g} mm for {bend}, {band.thicknesses:g} t or wider", band.source)
    if grade.family in AIR_BEND_SHARES:
        natural = air_bend_radius(die, grade.family)
        yield UsedRule(
            "natural radius", f"{natural:.4g} mm over V {die:g} mm", AIR_BEND_SHARES[grade.family][1]
        )
    if grade.strength_to_bend is not None:
        yield UsedRule("bending force", "(1 + 4 t/V) S l t^2 / V", FORCE_RULES["Oehler"].source)


def cited(rule: UsedRule) -> str:
    """Return what a reader can look up: the publication in full, or that there is none."""
    if rule.publication:
        return rule.publication
    return "common practice" if is_common_practice(rule.citation) else ""
