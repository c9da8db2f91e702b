"""Find parameters: the value that gives a mass, blank or force, or the least of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from formparts.arguments import takes
from formparts.blanks import blank
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.families.figures import FIGURES, figures_of
from formparts.parameters import Parameter
from formparts.quantities import shown_value
from formparts.recipe_functions import Recipe
from formparts.short_repr import short_repr
from formparts.tolerances import CLOSE, MET_REL, NEAR_REL, NOUGHT, ROOT_REL, ROUNDING, SEARCHED_REL

TARGETS: Mapping[str, str] = MappingProxyType(
    {name.removesuffix(f"_{unit}") if unit else name: name for name, unit in FIGURES.items()}
)
"""Possible targets, by the name that the user gives: `mass`, `blank_length`, `bend_force`."""

SAMPLES = 32
"""Number of steps over the range before a root is searched for: figures jump, and some parts cannot be made."""


SEED = 1
GENERATIONS = 40
CROWD = 8
"""Generations, and points per parameter: three parameters take about 1,000 parts."""

Values = dict[str, Any]


@short_repr
@dataclass(frozen=True)
class Solution:
    """
    What was found.

    Parameters
    ----------
    reached : bool
        True when the goal is met.
    values : mapping of str to float or int [house unit]
        Of the parameters that were varied, at the best place that was found; none when no part can be made at all.
    figure : float [house unit]
        What was aimed at, there; not-a-number when there is none.
    text : str
        In words: what was found, or why not and how near it comes.
    others : tuple of float [house unit]
        Further values of the one parameter that meet the goal too.
    """

    reached: bool
    values: Mapping[str, Any]
    figure: float
    text: str
    others: tuple[float, ...] = ()


@dataclass
class _Part:
    """A recipe with some values fixed, evaluated at others; results are kept."""

    recipe: Recipe
    fixed: Mapping[str, object]
    seen: dict[tuple[tuple[str, Any], ...], Values | str] = field(default_factory=dict)

    def figures(self, values: Values) -> Values | str:
        """All figures there, or why there is no such part."""
        key = tuple(sorted(values.items()))
        if key not in self.seen:
            try:
                body = self.recipe(**{**self.fixed, **values})
                self.seen[key] = figures_of(body, properties(body), blank(body))
            except InputError as error:
                self.seen[key] = " ".join(str(error).split())
        return self.seen[key]

    def failing(self, values: Values) -> str:
        """Return what rules the part out there: why it cannot be made, or the first check that fails; else nothing."""
        try:
            body = self.recipe(**{**self.fixed, **values})
            found = findings(body, blank(body))
        except InputError as error:
            return " ".join(str(error).split())
        return next((f"{one.code}: {one.message}" for one in found if one.severity == "error"), "")

    def warned(self, values: Values) -> str:
        """Return the number of warnings at a point where nothing fails."""
        body = self.recipe(**{**self.fixed, **values})
        count = sum(one.severity == "warning" for one in findings(body, blank(body)))
        word = "warning stands" if count == 1 else "warnings stand"
        return f"{count} {word} at the last, as `check` lists them" if count else "nor a warning at the last"


@takes(recipe="Recipe", vary="Mapping", target="str")
def solve(
    recipe: Recipe, vary: Mapping[str, tuple[object, object]], target: str, value: float, /, **fixed: object
) -> Solution:
    """
    Find the value of one parameter at which a figure is what is wanted, on the closed forms.

    Parameters
    ----------
    recipe : Recipe
        What is made.
    vary : mapping of str to (least, most) [house unit]
        One parameter, and between what it may lie.
    target : str
        One of TARGETS.
    value : float [house unit]
        What it is to be.
    **fixed : object [house unit]
        Other parameters; the rest have their defaults.

    Returns
    -------
    Solution
        The smallest value that meets the target, or the one that comes nearest.

    Raises
    ------
    InputError
        There is no such figure or parameter, a value cannot be read, or the target is not finite.

    Examples
    --------
    >>> solution = solve(find_recipe("u_channel"), {"height": (20, 60)}, "mass", 0.5)
    >>> round(solution.values["height"], 3)
    31.809
    """
    figure = _figure(recipe, target)
    if not math.isfinite(value):
        raise InputError(recipe.name, target, value, "is not a finite number", "give a figure to aim at")
    if len(vary) != 1:
        raise InputError(
            recipe.name, "vary", ", ".join(vary) or "nothing", "a target takes one parameter", "name one"
        )
    ((name, (low, high)),) = _ranges(recipe, vary).items()
    part = _Part(recipe, fixed)

    def off(at: float) -> float | None:
        found = part.figures({name: at})
        return None if isinstance(found, str) or figure not in found else found[figure] - value

    scale = max(abs(value), ROUNDING)
    places = _places(recipe, name, low, high)
    seen = [(at, gap) for at in places if (gap := off(at)) is not None]
    if not seen:
        why = part.figures({name: places[0]})
        text = f"no part can be made between {low:.9g} and {high:.9g}"
        return Solution(False, {}, float("nan"), f"{text}; at the least: {why}")
    exact = [at for at, gap in seen if abs(gap) <= MET_REL * scale]
    if _is_count(recipe, name):
        found = exact
    else:
        found = sorted({*exact, *_roots(off, seen, scale)})
    if found:
        at = found[0]
        there = value + (off(at) or 0.0)
        text = f"{name} = {at:.9g} gives {target} = {there:.9g} {FIGURES[figure]}".rstrip()
        return Solution(True, {name: at}, there, text, tuple(found[1:]))
    return _nearest(recipe, name, off, seen, (target, value, FIGURES[figure]))


def to_hand(recipe: Recipe, exact: Solution, target: str, value: float, /, **fixed: object) -> Solution:
    """Return the same with a parameter of two decimals, as on a drawing, where that is within NEAR_REL."""
    ((name, at),) = exact.values.items()
    near, figure = round(at, 2), TARGETS[target]
    there = _Part(recipe, fixed).figures({name: near})
    round_already = math.isclose(near, at, rel_tol=MET_REL)
    if round_already or isinstance(there, str) or abs(there[figure] - value) > NEAR_REL * abs(value):
        return exact
    unit = f" {FIGURES[figure]}".rstrip()
    gives = f"{name} = {near:.2f} gives {target} = {there[figure]:.6g}{unit}"
    text = f"{gives} (exactly {value:.9g}{unit} at {at:.9g})"
    return Solution(True, {name: near}, there[figure], text, tuple(round(other, 2) for other in exact.others))


def _figure(recipe: Recipe, target: str) -> str:
    if target not in TARGETS:
        fix = f"one of {', '.join(TARGETS)}"
        raise InputError(recipe.name, "figure", shown_value(target), "there is no such figure", fix)
    return TARGETS[target]


def target_unit(target: str) -> str:
    """Unit of what can be aimed at."""
    return FIGURES[TARGETS[target]]


def _parameter(recipe: Recipe, name: str) -> Parameter:
    for parameter in recipe.parameters:
        if parameter.name == name and parameter.kind.base in (int, float):
            return parameter
    numbers = ", ".join(p.name for p in recipe.parameters if p.kind.base in (int, float))
    raise InputError(recipe.name, name, "varied", "there is no such number to vary", f"there are: {numbers}")


def _is_count(recipe: Recipe, name: str) -> bool:
    return _parameter(recipe, name).kind.base is int


def _ranges(recipe: Recipe, vary: Mapping[str, tuple[object, object]]) -> dict[str, tuple[float, float]]:
    """Every range in house units, inside the parameter's own limits."""
    found = {}
    for name, (least, most) in vary.items():
        kind = _parameter(recipe, name).kind
        low, high = kind.read(least, name, recipe.name), kind.read(most, name, recipe.name)
        if not low < high:
            raise InputError(
                recipe.name, name, f"{low:.9g} to {high:.9g}", "the range is empty", "least one first"
            )
        found[name] = (low, high)
    return found


def _places(recipe: Recipe, name: str, low: float, high: float) -> list[float]:
    """Where the range is looked at: every whole number of a count, else SAMPLES even steps."""
    if _is_count(recipe, name):
        return list(range(int(low), int(high) + 1))
    return [low + (high - low) * step / SAMPLES for step in range(SAMPLES)] + [high]


def _roots(
    off: Callable[[float], float | None], seen: Sequence[tuple[float, float]], scale: float
) -> list[float]:
    """Where the figure passes through its target between two places; jumps and gaps are not roots."""
    from scipy.optimize import brentq

    def sure(at: float) -> float:
        gap = off(at)
        if gap is None:
            raise ArithmeticError("a part in between cannot be made")
        return gap

    roots = []
    for (low, first), (high, second) in pairwise(seen):
        if first * second < 0.0:
            try:
                at = float(brentq(sure, low, high, xtol=NOUGHT, rtol=ROOT_REL))
            except ArithmeticError:
                continue
            if abs(sure(at)) <= MET_REL * scale:
                roots.append(at)
    return roots


def _nearest(
    recipe: Recipe,
    name: str,
    off: Callable[[float], float | None],
    seen: Sequence[tuple[float, float]],
    wanted: tuple[str, float, str],
) -> Solution:
    """The place that comes nearest: the best one seen, then between its neighbours."""
    from scipy.optimize import minimize_scalar

    target, value, unit = wanted
    best = min(range(len(seen)), key=lambda place: abs(seen[place][1]))
    at = seen[best][0]
    if not _is_count(recipe, name) and len(seen) > 1:
        around = (seen[max(0, best - 1)][0], seen[min(len(seen) - 1, best + 1)][0])

        def distance(place: float) -> float:
            gap = off(float(place))
            return float("inf") if gap is None else abs(gap)

        found = minimize_scalar(distance, bounds=around, method="bounded", options={"xatol": ROUNDING})
        at = float(found.x) if found.fun < abs(seen[best][1]) else at
    there = value + (off(at) or 0.0)
    text = (
        f"{target} = {value:.9g} {unit} cannot be reached between {seen[0][0]:.9g} and {seen[-1][0]:.9g} of {name}: "
        f"the nearest is {there:.9g} {unit}, at {name} = {at:.9g}, {abs(there - value):.4g} {unit} off"
    )
    return Solution(False, {name: at}, there, " ".join(text.split()))


@takes(recipe="Recipe", vary="Mapping")
def solve_check(recipe: Recipe, vary: Mapping[str, tuple[object, object]], /, **fixed: object) -> Solution:
    """
    Find where the first check begins to fail when one parameter grows from its least to its most.

    Parameters
    ----------
    recipe : Recipe
        What is made.
    vary : mapping of str to (least, most) [house unit]
        One parameter, and between what it may lie.
    **fixed : object [house unit]
        Other parameters.

    Returns
    -------
    Solution
        The last value at which nothing fails, to a micrometre (a count: the last number), and the check that fails
        beyond it.

    Raises
    ------
    InputError
        There is no such parameter, or a value cannot be read.
    """
    if len(vary) != 1:
        raise InputError(
            recipe.name, "vary", ", ".join(vary) or "nothing", "a check takes one parameter", "name one"
        )
    ((name, (low, high)),) = _ranges(recipe, vary).items()
    part = _Part(recipe, fixed)
    good: float | None = None
    for at in _places(recipe, name, low, high)[:: 1 if _is_count(recipe, name) else 2]:
        why = part.failing({name: at})
        if why and good is None:
            return Solution(False, {name: at}, at, f"at {name} = {at:.9g} it fails already: {why}")
        if why:
            good, why = _edge(recipe, part, name, good or 0.0, at, why)
            return Solution(
                True, {name: good}, good, f"{name} = {good:.9g} is the last that holds; beyond it: {why}"
            )
        good = at
    text = f"no error between {low:.9g} and {high:.9g} of {name}; {part.warned({name: high})}"
    return Solution(False, {name: high}, high, text)


def _edge(recipe: Recipe, part: _Part, name: str, good: float, bad: float, why: str) -> tuple[float, str]:
    """Narrow down the edge between a value that passes and one that fails."""
    while not _is_count(recipe, name) and bad - good > CLOSE:
        middle = (good + bad) / 2.0
        found = part.failing({name: middle})
        if found:
            bad, why = middle, found
        else:
            good = middle
    # Limits are round figures: the roundest value between the two is the edge itself, if it holds.
    rounds = (round(bad, digits) for digits in range(4))
    nearest = next((at for at in rounds if good < at < bad), good)
    return (good, why) if nearest == good or part.failing({name: nearest}) else (nearest, why)


@takes(recipe="Recipe", vary="Mapping", target="str")
def optimise(
    recipe: Recipe,
    vary: Mapping[str, tuple[object, object]],
    target: str,
    /,
    maximise: bool = False,
    **fixed: object,
) -> Solution:
    """
    Find the parameters with the least (or the greatest) figure at which no check fails.

    Parameters
    ----------
    recipe : Recipe
        What is made.
    vary : mapping of str to (least, most) [house unit]
        One parameter or several, and between what they may lie.
    target : str
        One of TARGETS.
    maximise : bool
        Seek the greatest figure instead of the least.
    **fixed : object [house unit]
        Other parameters.

    Returns
    -------
    Solution
        The best that was found by seeded differential evolution; not proved to be the best there is.

    Raises
    ------
    InputError
        There is nothing to vary, no such figure or parameter, or a value cannot be read.
    """
    from scipy.optimize import differential_evolution

    figure, ranges, part = _figure(recipe, target), _ranges(recipe, vary), _Part(recipe, fixed)
    if not ranges:
        raise InputError(
            recipe.name, "vary", "nothing", "there is nothing to vary", "name a parameter or more"
        )
    names, sense = list(ranges), -1.0 if maximise else 1.0
    counts = [_is_count(recipe, name) for name in names]

    def named(place: Sequence[float]) -> Values:
        return {
            name: round(value) if count else float(value)
            for name, value, count in zip(names, place, counts, strict=True)
        }

    best: dict[str, Any] = {"cost": float("inf"), "values": {}}

    def cost(place: Sequence[float]) -> float:
        values = named(place)
        found = part.figures(values)
        if isinstance(found, str) or figure not in found:
            return float("inf")
        price = sense * found[figure]
        # Checks take the longest: a place that is no better than the best one needs none.
        if price >= best["cost"]:
            return float(price)
        if part.failing(values):
            return float("inf")
        best.update(cost=price, values=values)
        return float(price)

    differential_evolution(
        cost, list(ranges.values()), integrality=counts, rng=SEED, maxiter=GENERATIONS, popsize=CROWD, polish=False,
        init="sobol", tol=SEARCHED_REL,
    )  # fmt: skip
    if not best["values"]:
        text = "no place was found at which no check fails; widen the ranges"
        return Solution(False, {}, float("nan"), text)
    there = sense * best["cost"]
    word, shown = (
        "greatest" if maximise else "least",
        ", ".join(f"{k} = {v:.9g}" for k, v in best["values"].items()),
    )
    text = f"{shown} gives the {word} {target} that was found, {there:.9g} {FIGURES[figure]}".rstrip()
    return Solution(True, best["values"], there, text)
