"""The smallest change of one parameter that clears a finding: searched on the recipe itself, then proved on it."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

from formparts.arguments import takes
from formparts.blanks import blank
from formparts.body import frames
from formparts.checks import (
    GENERAL,
    RULES,
    Finding,
    LimitProfile,
    RuleInput,
    limit_profile,
    part_findings,
    rule_of,
)
from formparts.checks.finding import RANK
from formparts.checks.stock import thickness_series
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.expect import Expectation, compared
from formparts.fix_grid import Grid, State, nearest
from formparts.forming import HEM_ANGLE
from formparts.materials import standard_thicknesses
from formparts.parameters import Parameter
from formparts.short_repr import short_repr
from formparts.tolerances import JUST_MET, ROUNDING

if TYPE_CHECKING:
    from formparts.recipe_functions import Recipe

Key: TypeAlias = tuple[str, str]
"""Code of a finding and the names in it, without their numbers: what one change clears together."""

NONE_FOUND: Final = "no change of one parameter alone was found to fix this"
_MOST: Final = 3
_BEYOND: Final = (0.02, 0.05, 0.1, 0.25)
"""How far beyond a fix its validity is tested, as a share of the value."""
_PROBE: Final = 0.1
"""Relative change of a parameter that tests whether it affects the finding at all."""


_QUICK_FIRST: Final = tuple(sorted(RULES, key=lambda rule: rule.folds))
"""All rules, those that fold the part last: most unsuitable values are rejected before."""


@short_repr
@dataclass(frozen=True)
class Fix:
    """
    A change of one parameter that clears a finding, proved by making the part again.

    Parameters
    ----------
    parameter : str
        Its name in the recipe.
    bound : str
        `at most`, `at least`, or `=` when more and less are both wrong, or a sheet is to be one that is sold.
    value : float or int [house unit]
        The nearest one that clears the finding, to the last digit shown.
    text : str
        The two with the unit, as `lug_width at most 12.8 mm`.
    """

    parameter: str
    bound: Literal["at most", "at least", "="]
    value: float
    text: str

    def __str__(self) -> str:
        return self.text


@takes(recipe="Recipe", values="Mapping", finding="Finding", profile=("LimitProfile", "None"))
def suggested_fixes(
    recipe: Recipe,
    values: Mapping[str, Any],
    finding: Finding,
    profile: LimitProfile | None = None,
    expect: tuple[Expectation, ...] = (),
) -> tuple[Fix, ...]:
    """
    The changes of one parameter that clear a finding, the smallest first.

    Each numeric parameter in turn is moved away from its value within its limits, until the finding and all of
    its kind are gone, and the nearest such value is then sought between. A change counts only when the part,
    made again with it, has no new finding as bad.

    Parameters
    ----------
    recipe : Recipe
        What made the part.
    values : mapping of str to object [house unit]
        All parameters in house units, as `recipe.resolved` gives them.
    finding : Finding
        What is to be cleared.
    profile : LimitProfile, optional
        What the part is held against; `thin sheet general` when none is given.
    expect : tuple of Expectation
        Figures of the drawing.

    Returns
    -------
    tuple of Fix
        At most three; none when no single parameter clears it.

    Raises
    ------
    InputError
        The part cannot be built with the values.
    """
    limits = profile or limit_profile(GENERAL)
    found = tuple(part_findings(_part(recipe, values, limits, expect), RULES))
    return _fixes(_Search(recipe, values, finding, limits, expect, found))


def with_fixes(
    recipe: Recipe,
    values: Mapping[str, Any],
    findings: tuple[Finding, ...],
    profile: LimitProfile | None = None,
    expect: tuple[Expectation, ...] = (),
    worst_only: bool = False,
    budget: float = math.inf,
) -> tuple[Finding, ...]:
    """
    The same findings, each with the changes that would clear it.

    Parameters
    ----------
    recipe : Recipe
        What made the part.
    values : mapping of str to object [house unit]
        All parameters in house units.
    findings : tuple of Finding
        The findings of the part.
    profile : LimitProfile, optional
        What the part was held against; `thin sheet general` when none is given.
    expect : tuple of Expectation
        Figures of the drawing.
    worst_only : bool
        For errors only.
    budget : float [s]
        Processor time that the search takes at most; what it did not come to says so.

    Returns
    -------
    tuple of Finding
        Notes stay as they are.

    Raises
    ------
    InputError
        The part cannot be built with the values.
    """
    limits = profile or limit_profile(GENERAL)
    wanted = ("error",) if worst_only else ("error", "warning")
    if not any(found.severity in wanted for found in findings):
        return findings
    first = {_key(found): found for found in reversed(findings) if found.severity in wanted}
    deadline = time.process_time() + budget
    said = {}
    for key, found in first.items():
        try:
            said[key] = fix_text(_fixes(_Search(recipe, values, found, limits, expect, findings, deadline)))
        except RanOutError:
            said[key] = f"the search for a fix was ended after {budget:g} s; --fix-budget gives it longer"
    return tuple(replace(found, fix=said.get(_key(found), found.fix)) for found in findings)


def fix_text(found: tuple[Fix, ...]) -> str:
    """Fixes in one line, as `lug_count at most 8, or lug_width at most 12.8 mm`."""
    return ", or ".join(fix.text for fix in found) if found else NONE_FOUND


def _part(
    recipe: Recipe, values: Mapping[str, Any], profile: LimitProfile, expect: tuple[Expectation, ...]
) -> RuleInput:
    body = recipe(**values)
    flat = blank(body)
    figures = compared(expect, properties(body), flat) if expect else ()
    return RuleInput(flat, body.sheet.material, profile, body, figures)


class RanOutError(Exception):
    """The time for the search is over."""


@dataclass(frozen=True)
class _Search:
    """One finding on one recipe, the limits and figures of the part, and all results so far."""

    recipe: Recipe
    values: Mapping[str, Any]
    finding: Finding
    profile: LimitProfile
    expect: tuple[Expectation, ...]
    found: tuple[Finding, ...]
    deadline: float = math.inf

    @cached_property
    def kind(self) -> tuple[int, int]:
        """Openings and hems of the part as it is."""
        return _kind(_part(self.recipe, self.values, self.profile, ()))

    def part(self, name: str, value: float) -> RuleInput | None:
        """The part with one parameter changed, or None when it cannot be built so."""
        if time.process_time() > self.deadline:
            raise RanOutError
        try:
            return _part(self.recipe, {**self.values, name: value}, self.profile, self.expect)
        except InputError:
            return None


def _state(search: _Search, name: str, value: float) -> tuple[State, float]:
    """What becomes of the finding, and by how much its limits are missed in all."""
    part = search.part(name, value)
    if part is None:
        return "not to be built", math.inf
    key = _key(search.finding)
    left = [found for found in rule_of(search.finding.code).function(part) if _key(found) == key]
    if not left:
        return "cleared", 0.0
    overshot = search.finding.code == "drawing-value-missed" and _is_over(left[0]) != _is_over(search.finding)
    return "overshot" if overshot else "as before", _missed(left)


def _proof(search: _Search, name: str, value: float) -> tuple[State, float]:
    """Cleared only when the part made with a value has lost the finding, gained none as bad, and is still the part."""
    part = search.part(name, value)
    if part is None:
        return "not to be built", math.inf
    if not isinstance(search.values[name], int) and _kind(part) != search.kind:
        return "as before", 1.0
    borne = {_key(found) for found in search.found} - {_key(search.finding)}
    rank = RANK[search.finding.severity]
    rules = tuple(rule for rule in _QUICK_FIRST if RANK[rule.worst] <= rank)
    for found in part_findings(part, rules):
        if RANK[found.severity] <= rank and _key(found) not in borne:
            return "as before", 1.0
    return "cleared", 0.0


def _kind(part: RuleInput) -> tuple[int, int]:
    """
    How many openings and hems a part has.

    Holes that run into each other or out through the edge, and a flange that has become a hem, are not fixes.
    """
    if part.body is None:
        return (0, 0)
    openings = sum(len(flat.net.holes) for flat in part.body.flats)
    return (openings, sum(bend.angle > HEM_ANGLE for bend in part.body.bends))


def each_fix(
    recipe: Recipe, values: Mapping[str, Any], finding: Finding, profile: LimitProfile, budget: float
) -> Iterator[Fix]:
    """
    The changes of one parameter that clear a finding, each as soon as it is found.

    Parameters
    ----------
    recipe : Recipe
        What made the part.
    values : mapping of str to object [house unit]
        All parameters in house units.
    finding : Finding
        What is to be cleared.
    profile : LimitProfile
        What the part is held against.
    budget : float [s]
        Processor time that the search takes at most.

    Raises
    ------
    InputError
        The part cannot be built with the values.
    RanOutError
        The time is over before all was tried.
    """
    deadline = time.process_time() + budget
    found = tuple(part_findings(_part(recipe, values, profile, ()), RULES))
    yield from _each(_Search(recipe, values, finding, profile, (), found, deadline))


def _each(search: _Search) -> Iterator[Fix]:
    """Parameters named like the flats and bends concerned come first; the others when none of them helps."""
    for group in _groups(search):
        found = False
        for parameter in group:
            fix = _fix(search, parameter)
            if fix is not None:
                found = True
                yield fix
        if found:
            return


def _fixes(search: _Search) -> tuple[Fix, ...]:
    """Return fixes: parameters named like the flats and bends concerned first, the others when none of them helps."""
    return tuple(sorted(_each(search), key=lambda fix: _change(search, fix))[:_MOST])


def _change(search: _Search, fix: Fix) -> float:
    """How large a change is, as a share of the value."""
    start = float(search.values[fix.parameter])
    return abs(fix.value - start) / max(abs(start), 1.0)


def _groups(search: _Search) -> tuple[list[Parameter], list[Parameter]]:
    """The numeric parameters that share a word with the flats and bends concerned, and the others."""
    numeric = [
        parameter
        for parameter in search.recipe.parameters
        if parameter.kind.base in (int, float) and not isinstance(search.values[parameter.name], bool)
    ]
    said = f"{search.finding.where} {search.finding.code}".lower()
    words = set(re.findall("[a-z]+", said)) - {"and", "bend", "near"}
    related = [parameter for parameter in numeric if words & set(parameter.name.lower().split("_"))]
    return related, [parameter for parameter in numeric if parameter not in related]


def _fix(search: _Search, parameter: Parameter) -> Fix | None:
    """The nearest value of one parameter that clears the finding."""
    grid = Grid(parameter, float(search.values[parameter.name]))
    ways = _ways(search, grid)
    places = [place for sign in ways if (place := _proved_place(search, grid, sign)) is not None]
    if not places and len(ways) == 1:
        # A hole moved into the next one misses its limit by far at once: then the other direction is right.
        other = _proved_place(search, grid, -ways[0])
        places = [] if other is None else [other]
    if not places:
        return None
    place = min(places, key=lambda place: abs(place - grid.middle))
    name, value = parameter.name, grid.value(place)
    code = search.finding.code
    if code in rule_of(code).yes_or_no and not _holds_beyond(search, grid, place):
        return None
    bound: Literal["at most", "at least", "="] = "at most" if value < grid.start else "at least"
    if search.finding.code == "drawing-value-missed":
        bound = "="
    elif (sold := _sold(search, name, value)) is not None:
        bound, value = "=", sold
    return Fix(name, bound, value, f"{name} {bound} {parameter.kind.shown(value)}")


def _holds_beyond(search: _Search, grid: Grid, place: int) -> bool:
    """True when the finding stays away farther on too, so that `at least` and `at most` are true."""
    sign = 1 if place >= grid.middle else -1
    farther = {grid.within(place + sign * grid.away(share)) for share in _BEYOND}
    states = (_proof(search, grid.parameter.name, grid.value(each))[0] for each in sorted(farther - {place}))
    return all(state in ("cleared", "not to be built") for state in states)


def _sold(search: _Search, name: str, value: float) -> float | None:
    """Where another thickness would fix it that no sheet has: the next one beyond it that does, and is sold."""
    part, start = search.part(name, value), float(search.values[name])
    if part is None or part.thickness != value or not any(thickness_series(part)):
        return None
    beyond = [
        each.thickness for each in standard_thicknesses() if (each.thickness - value) * (value - start) > 0.0
    ]
    nearest = sorted(beyond, key=lambda thickness: abs(thickness - value))[:_MOST]
    return next((each for each in nearest if _proof(search, name, each)[0] == "cleared"), None)


def _proved_place(search: _Search, grid: Grid, sign: int) -> int | None:
    """The nearest place one way at which the finding is gone and nothing as bad has come instead."""
    name = grid.parameter.name
    place = nearest(grid, grid.begin(sign), sign, lambda value: _state(search, name, value)[0])
    if place is None or _proof(search, name, grid.value(place))[0] == "cleared":
        return place
    return nearest(grid, place, sign, lambda value: _proof(search, name, value)[0])


def _ways(search: _Search, grid: Grid) -> tuple[int, ...]:
    """Return the direction in which the finding decreases; nothing when the parameter has no effect on it."""
    if search.finding.code in rule_of(search.finding.code).yes_or_no:
        return (1, -1) if _moves_features(search, grid) else ()
    before = _missed([found for found in search.found if _key(found) == _key(search.finding)])
    for sign in (1, -1):
        place = grid.within(grid.middle + sign * grid.away(_PROBE))
        state, missed = _state(search, grid.parameter.name, grid.value(place))
        if place != grid.middle and state != "not to be built" and abs(missed - before) > ROUNDING:
            return (sign,) if missed < before else (-sign,)
    return ()


def _moves_features(search: _Search, grid: Grid) -> bool:
    """True when a parameter changes the shape or the position of the flats and bends that a finding names."""
    before = _standing(search, grid, grid.start)
    places = (grid.within(grid.middle + sign * grid.away(_PROBE)) for sign in (1, -1))
    after = (_standing(search, grid, grid.value(place)) for place in places)
    return any(standing not in ((), before) for standing in after)


def _standing(search: _Search, grid: Grid, value: float) -> tuple[object, ...]:
    """Return positions and boxes of the flats and bends that a finding names; nothing when the part cannot be built."""
    part = search.part(grid.parameter.name, value)
    if part is None or part.body is None:
        return ()
    names = set(search.finding.where.split(" and "))
    for bend in part.body.bends:
        names |= {bend.parent, bend.child} if bend.name in names else set()
    placed = frames(part.body)
    flats = [flat for flat in part.body.flats if flat.name in names]
    boxes = [(placed[flat.name], flat.outline.bounds) for flat in flats]
    corners = [frame.point(corner) for frame, box in boxes for corner in (box[:2], box[2:])]
    return (part.thickness, *(tuple(round(figure, 6) for figure in corner) for corner in corners))


def _key(finding: Finding) -> Key:
    """Return what is cleared together: `lug[1].tip and lug[2].tip` is equal to `lug[2].tip and lug[3].tip`."""
    names = sorted(re.sub(r"\[\d+\]", "[]", name) for name in finding.where.split(" and "))
    return finding.code, " and ".join(names)


def _missed(found: Sequence[Finding]) -> float:
    """By how much limits are missed in all, as shares of them."""
    return sum(JUST_MET + abs(item.measured - item.limit) / max(abs(item.limit), 1.0) for item in found)


def _is_over(finding: Finding) -> bool:
    return finding.measured > finding.limit
