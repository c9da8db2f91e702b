"""Can each bend be made? Radius, rolling direction, length and force of the press, crossing lines."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from formparts.bending import outside_setback
from formparts.bending.din_6935 import NEGLECTED_OPENING
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.errors import InputError
from formparts.forming import HEM_ANGLE, MinimumBendRadius, bending_force, die_opening, minimum_bend_radius
from formparts.layout import BendMark
from formparts.outline.edges import Line
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH, LIMIT_SLACK, ROUNDING

_ALONG = 45.0
"""A bend line nearer to the rolling direction than this counts as along it [deg]; common practice, no source."""

_ORDINARY, _DAILY_UP_TO = 510.0, 6.0
"""Ordinary steel has at most this least tensile strength [MPa], and is bent to R = t up to this thickness [mm]; common
practice, no source. 510 MPa is the least of S355 below 3 mm (EN 10025-2)."""

_MIDDLE = 0.5
"""K-factor of a neutral fibre in the middle of the sheet [-]."""
_FIBRE = "DIN 6935: its factor k is at most 1, a neutral fibre at t/2 from the inside"


def inside_radius(part: RuleInput) -> Iterator[Finding]:
    """
    An inside radius below the least for the material and thickness, bent across the rolling direction.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(inside_radius=value) for value in (2.5, 2.49))
    >>> [sum(found.code == "inside-radius-too-small" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    for mark in part.blank.bends:
        if mark.angle > HEM_ANGLE:
            continue  # a hem is squeezed, and has a rule of its own
        least = _least(part, mark, along=False)
        if mark.inside_radius < least.radius - LIMIT_SLACK:
            yield _radius_finding(part, mark, "inside-radius-too-small", least, "")


def neutral_fibre(part: RuleInput) -> Iterator[Finding]:
    """
    A developed length that puts the neutral fibre beyond the middle of the sheet, where no bend has it.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(bend_rule=value) for value in ("K 0.5", "K 0.501"))
    >>> [sum(found.code == "neutral-fibre-outside-middle" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    for mark in part.blank.bends:
        if _is_neglected(part, mark):
            continue
        factor = (mark.allowance / math.radians(mark.angle) - mark.inside_radius) / part.thickness
        if factor > _MIDDLE + LENGTH:
            middle = Line(mark.start, mark.end).middle
            message = (
                f"{mark.name} is developed with a K-factor of {factor:.3g}, and {_MIDDLE:g} is the most: the neutral "
                f"fibre lies in the middle of the sheet or nearer the inside"
            )
            yield Finding(
                "neutral-fibre-outside-middle", "warning", mark.name, message, factor, _MIDDLE, "", _FIBRE,
                "take K from a test strip, or a rule such as DIN 6935", middle, part.on_part(middle),
            )  # fmt: skip


def _is_neglected(part: RuleInput, mark: BendMark) -> bool:
    """True for a slight bend that DIN 6935 makes no correction for, and which is as long as to its mould line."""
    if mark.angle >= 180.0 - NEGLECTED_OPENING:
        return False  # not for slight bends; from 180 deg on there is no mould line
    to_mould_line = 2.0 * float(outside_setback(mark.angle, mark.inside_radius, part.thickness))
    return math.isclose(mark.allowance, to_mould_line, rel_tol=ROUNDING)


def rolling_direction(part: RuleInput) -> Iterator[Finding]:
    """
    A bend along a stated rolling direction with a radius that is enough only across it.

    Examples
    --------
    >>> from pathlib import Path
    >>> from formparts.checks import limit_profile
    >>> own = '[limit.rolling_direction]\\nvalue = 90\\nsource = "our coil runs along y"\\n'
    >>> size = Path("limits.toml").write_text(own)
    >>> given = {"material": "S235JR", "thickness": 4}
    >>> parts = [find_recipe("u_channel").part(**given, inside_radius=radius) for radius in (6, 5.9)]
    >>> inside, outside = (part.with_limits(limit_profile("limits.toml")) for part in parts)
    >>> [sum(found.code == "radius-too-small-along-grain" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    if part.profile.get("rolling_direction") is None:
        return
    for mark in part.blank.bends:
        across = _least(part, mark, along=False)
        least = _least(part, mark, along=True)
        if (
            _is_along(part, mark)
            and across.radius - LIMIT_SLACK <= mark.inside_radius < least.radius - LIMIT_SLACK
        ):
            yield _radius_finding(
                part, mark, "radius-too-small-along-grain", least, " along the rolling direction"
            )


def press_length(part: RuleInput) -> Iterator[Finding]:
    """
    A bend that is longer than the press.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(length=value) for value in (3000, 3000.5))
    >>> [sum(found.code == "press-length-exceeded" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    limit = part.profile.get("press_length")
    for mark in part.blank.bends:
        if limit is not None and mark.length > limit.at() + LIMIT_SLACK:
            middle = Line(mark.start, mark.end).middle
            message = f"{mark.name} is {mark.length:.5g} mm long, and the press {limit.at():g} mm"
            yield Finding(
                "press-length-exceeded", "error", mark.name, message, mark.length, limit.at(), "mm",
                part.source("press_length"), "make the bend shorter, or state a longer press in a limits file",
                middle, part.on_part(middle),
            )  # fmt: skip


def press_force(part: RuleInput) -> Iterator[Finding]:
    """
    A bend that needs more force than the press has, bent in air.

    Examples
    --------
    >>> thick = {"thickness": 5, "inside_radius": 6}
    >>> inside, outside = (find_recipe("u_channel").part(**thick, length=length) for length in (2601, 2602))
    >>> [sum(found.code == "press-force-exceeded" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    limit = part.profile.get("press_force")
    strength = _strength(part)
    for mark in part.blank.bends:
        opening = die_of(part, mark)
        if limit is None or strength is None or opening is None:
            continue
        force = float(bending_force(part.thickness, mark.length, opening, strength)) / 1000.0
        if force > limit.at() + LENGTH:
            middle = Line(mark.start, mark.end).middle
            message = (
                f"{mark.name} needs {force:.4g} kN over a die opening of {opening:g} mm, and the press has "
                f"{limit.at():g} kN"
            )
            yield Finding(
                "press-force-exceeded", "error", mark.name, message, force, limit.at(), "kN",
                part.source("press_force"),
                "make the bend shorter, take thinner sheet, or state a stronger press in a limits file",
                middle, part.on_part(middle),
            )  # fmt: skip


def bend_lines(part: RuleInput) -> Iterator[Finding]:
    """
    Two bend lines that cross on the blank.

    Examples
    --------
    >>> from formparts.layout import BendMark
    >>> from formparts.checks import blank_findings
    >>> along = BendMark("along", (-50, 0), (50, 0), 90, "up", 2.5, 5.0)
    >>> across = [BendMark("across", (0, start), (0, 30), 90, "up", 2.5, 5.0) for start in (1, -1)]
    >>> inside, outside = (Blank("by_hand", 2.0, rectangle(100, 60), (along, other)) for other in across)
    >>> [sum(f.code == "crossing-bend-lines" for f in blank_findings(each)) for each in (inside, outside)]
    [0, 1]
    """
    for one, two in combinations(part.blank.bends, 2):
        shared = meet(Line(one.start, one.end), Line(two.start, two.end), LENGTH)
        if shared:
            where = f"{one.name} and {two.name}"
            message = f"the bend lines of {where} cross {at_blank(part, shared[0])}"
            yield Finding(
                "crossing-bend-lines", "error", where, message, 1.0, 0.0, "-", "exact geometry",
                "move one of the two, or give the corner a relief", shared[0], part.on_part(shared[0]),
            )  # fmt: skip


def die_of(part: RuleInput, mark: BendMark) -> float | None:
    """Return the die opening for a bend; None when no die is wide enough."""
    try:
        return die_opening(part.thickness, mark.inside_radius, mark.angle)
    except InputError:
        return None


def _strength(part: RuleInput) -> float | None:
    """The greatest tensile strength that the material may have, for it must be overcome."""
    if part.material is None:
        return None
    return part.material.strength_to_bend


def _least(part: RuleInput, mark: BendMark, along: bool) -> MinimumBendRadius:
    """The least inside radius and its source; 0 where nothing is known of the material."""
    if part.profile.get("inside_radius") is not None:
        return MinimumBendRadius(part.limit("inside_radius"), "", part.source("inside_radius"))
    try:
        if part.material is not None:
            return minimum_bend_radius(part.material, part.thickness, mark.angle, along_rolling=along)
    except InputError:  # neither a table nor an elongation for it
        pass
    return MinimumBendRadius(0.0, "", "")


def _is_daily_work(part: RuleInput, mark: BendMark) -> bool:
    """True for ordinary steel bent to its own thickness or more, as every shop does; common practice, no source."""
    if part.material is None or part.material.family != "carbon steel" or part.thickness > _DAILY_UP_TO:
        return False
    strength = part.material.tensile_strength_min or part.material.tensile_strength_max or 0.0
    return 0.0 < strength <= _ORDINARY and mark.inside_radius >= part.thickness - LIMIT_SLACK


def _is_along(part: RuleInput, mark: BendMark) -> bool:
    """True when a bend line is nearer to the rolling direction than to the direction across it."""
    (x0, y0), (x1, y1) = mark.start, mark.end
    limit = part.profile.limits["rolling_direction"]
    off = (math.degrees(math.atan2(y1 - y0, x1 - x0)) - limit.value) % 180.0
    return min(off, 180.0 - off) < _ALONG


def _radius_finding(
    part: RuleInput, mark: BendMark, code: str, least: MinimumBendRadius, how: str
) -> Finding:
    middle = Line(mark.start, mark.end).middle
    material = part.material.name if part.material else "the sheet"
    message = (
        f"{mark.name} has an inside radius of {mark.inside_radius:.4g} mm, and {least.radius:.4g} mm is the least for "
        f"{part.thickness:g} mm of {material} bent by {mark.angle:.4g} deg{how}"
    ) + (f" ({least.note})" if least.note else "")
    daily = _is_daily_work(part, mark)
    if daily:
        message += "; R = t in ordinary steel is daily work, the table is on the safe side"
    source = f"{least.source} ({least.rule})" if least.rule else least.source
    fix = "take a larger inside radius, or a softer material"
    return Finding(
        code, "note" if daily or not least.published else "warning", mark.name, message, mark.inside_radius,
        least.radius, "mm", source, fix if least.published else f"bend a test strip; else {fix}",
        middle, part.on_part(middle),
    )  # fmt: skip
