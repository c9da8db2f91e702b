"""Slower questions of the page: what a parameter changes, where it works, and the fixes of findings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

from formparts.body import Body
from formparts.checks import GENERAL, RuleInput, limit_profile, part_findings
from formparts.checks.rules import RULES
from formparts.errors import FormpartsError, InputError
from formparts.parameters import Parameter
from formparts.recipe_functions import Recipe
from formparts.report.html.finding_table import finding_table
from formparts.tolerances import NUDGE
from formparts.watch.part import Values, Watched, harmless, or_error

_REACH = 2.5
"""A slider runs from the default divided by this to the default times this, within the limits."""
_PLACES = 9
"""Number of slider positions that are tried."""
_HALVINGS = 5
"""Number of halvings between a position that works and one that does not."""
_QUICK = tuple(rule for rule in RULES if not rule.folds)
"""Checks that do not fold the part: the others take too long for every slider position."""


def slider_range(parameter: Parameter) -> tuple[float, float] | None:
    """Ends of a parameter's slider, round its default; none for what has no limits."""
    least, most = getattr(parameter.kind, "minimum", None), getattr(parameter.kind, "maximum", None)
    if least is None or most is None:
        return None
    value, whole = float(parameter.default), isinstance(parameter.default, int)
    low, high = sorted((value / _REACH, value * _REACH)) if value else (least, most)
    if whole:
        low, high = int(low), max(int(high), 4)
    return float(max(least, low)), float(min(most, high))


def told_of_moves(watched: Watched, values: Values, name: str) -> dict[str, Any]:
    """Return the flats and bends that a parameter changes, and a picture of the dimension that it is."""
    return or_error(watched, lambda: _moves(watched, values, name))


def told_of_range(watched: Watched, values: Values, name: str) -> dict[str, Any]:
    """The parts of a parameter's slider where the part can be made and no quick check finds an error."""
    return or_error(watched, lambda: _range(watched, values, name))


def told_of_fixes(watched: Watched, values: Values, name: str) -> dict[str, Any]:
    """Return the findings again, with their fixes."""
    del name
    return or_error(watched, lambda: _fixes(watched, values))


def _fixes(watched: Watched, values: Values) -> dict[str, Any]:
    part = watched.recipe.part(**harmless(watched.recipe, values))
    return {"findings": finding_table(part.findings_with_fixes())}


def _asked(watched: Watched, values: Values, name: str) -> tuple[Recipe, Parameter, dict[str, Any]]:
    """Recipe, the parameter of that name, and all values in house units; others than numbers are refused."""
    recipe = watched.recipe
    parameter = next((each for each in recipe.parameters if each.name == name), None)
    if parameter is None or parameter.kind.base not in (int, float):
        raise InputError(
            recipe.name, "parameter", name, "is not a number of this recipe", "name one with a slider"
        )
    return recipe, parameter, recipe.resolved(**harmless(recipe, values))


def _moves(watched: Watched, values: Values, name: str) -> dict[str, Any]:
    from formparts.comparison import touched_pieces
    from formparts.drawings import dimension_names
    from formparts.drawings.loose import loose_svg, named_picture

    recipe, parameter, resolved = _asked(watched, values, name)
    part = recipe.part(**resolved)
    value = resolved[name]
    step = 1 if isinstance(parameter.default, int) else NUDGE * max(1.0, abs(value))
    moved = _first(lambda other: recipe.built({**resolved, name: other}), (value + step, value - step))
    pieces = touched_pieces(part.body, moved) if moved is not None else ()
    found: dict[str, Any] = {"pieces": pieces, "picture": ""}
    if parameter.unit in ("mm", "deg"):
        names = dimension_names(lambda other: recipe.built({**resolved, **other}), {name: value})
        picture = named_picture(part.body, names, part.blank) if names else None
        if picture is not None:
            found["picture"] = loose_svg(picture, f"{name}: {picture.caption}")
    return found


def _first(make: Callable[[float], Body], values: tuple[float, ...]) -> Body | None:
    """The body of the first value that can be built."""
    for value in values:
        try:
            return make(value)
        except FormpartsError:
            continue
    return None


def _range(watched: Watched, values: Values, name: str) -> dict[str, Any]:
    recipe, parameter, resolved = _asked(watched, values, name)
    ends = slider_range(parameter)
    if ends is None:
        return {"low": 0.0, "high": 0.0, "works": []}
    low, high = ends
    whole = isinstance(parameter.default, int)
    tried: dict[float, str] = {}

    def trouble(value: float) -> str:
        if value not in tried:
            tried[value] = _trouble(recipe, {**resolved, name: int(value) if whole else value})
        return tried[value]

    for number in range(_PLACES):
        value = low + number * (high - low) / (_PLACES - 1)
        trouble(float(round(value)) if whole else value)
    places = sorted(tried)
    for one, two in pairwise(places):
        _narrowed(trouble, one, two, whole)
    return {"low": low, "high": high, "works": _runs(tried)}


def _narrowed(trouble: Callable[[float], str], one: float, two: float, whole: bool) -> None:
    """Halve the way between a place that works and one that does not."""
    works = not trouble(one)
    if works != bool(trouble(two)):
        return
    for _ in range(_HALVINGS):
        middle = (one + two) / 2.0
        if whole:
            middle = float(int(middle))
            if middle in (one, two):
                return
        if (not trouble(middle)) == works:
            one = middle
        else:
            two = middle


def _runs(tried: Mapping[float, str]) -> list[dict[str, Any]]:
    """From where to where it works, and what ends it on each side."""
    places, runs = sorted(tried), []
    for at, value in enumerate(places):
        if tried[value]:
            continue
        before = tried[places[at - 1]] if at else ""
        if at == 0 or before:
            runs.append({"from": value, "to": value, "below": before, "above": ""})
        runs[-1]["to"] = value
        runs[-1]["above"] = tried[places[at + 1]] if at + 1 < len(places) else ""
    return runs


def _trouble(recipe: Recipe, resolved: Mapping[str, Any]) -> str:
    """Return why a part fails: an error of building, or the first error of the quick checks; empty if it works."""
    try:
        part = recipe.part(**resolved)
        given = RuleInput(part.blank, part.material, limit_profile(GENERAL), part.body, ())
        wrong = next((each for each in part_findings(given, _QUICK) if each.severity == "error"), None)
    except FormpartsError as error:
        return " ".join(str(error).split())
    return wrong.message if wrong is not None else ""
