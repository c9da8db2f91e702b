"""Find a parameter by finite elements: the thickness for a deflection, a stress or a natural frequency."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.families.under_load import UNDER_LOAD, figures_under_load
from formparts.quantities import shown_value
from formparts.recipe_functions import Recipe
from formparts.tolerances import MET_UNDER_LOAD_REL, TINIEST

if TYPE_CHECKING:
    from formparts.fea import FeaOrder

LOADED_TARGETS: Final[Mapping[str, str]] = {
    figure.rpartition("_")[0]: unit for figure, unit in UNDER_LOAD.items()
}
"""Possible targets and their units: deflection, stress, frequency."""
_FIGURES: Final = dict(zip(LOADED_TARGETS, UNDER_LOAD, strict=True))
_MOVED: Final = "deflection_mm"
_NEARLY_LARGE: Final = 0.25
"""Half the displacement, in thicknesses, up to which an answer is linear."""
_PLACES: Final = 5
_MOST_STEPS: Final = 12


@dataclass(frozen=True)
class Tried:
    """
    One value of the parameter that was tried.

    Parameters
    ----------
    value : float [house unit]
        Of the parameter.
    mass : float [kg]
        Of the part.
    figure : float [house unit]
        What was aimed at.
    """

    value: float
    mass: float
    figure: float


@dataclass(frozen=True)
class LoadedSolution:
    """
    What was found.

    Parameters
    ----------
    reached : bool
        True when the target is met.
    value : float [house unit]
        Of the parameter, or the one that comes nearest.
    tried : tuple of Tried
        All values that were tried, in order of the parameter.
    text : str
        In words.
    varied : str
        The parameter.
    target : str
        One of LOADED_TARGETS.
    wanted : float [house unit]
        What it was to be.
    """

    reached: bool
    value: float
    tried: tuple[Tried, ...]
    text: str
    varied: str
    target: str
    wanted: float

    def meets(self, row: Tried) -> bool:
        """True when a part that was tried does not move more, is not stressed more, or rings no lower than wanted."""
        over = math.log(max(row.figure, TINIEST) / self.wanted)
        return (-over if self.target == "frequency" else over) <= MET_UNDER_LOAD_REL


def solve_under_load(
    recipe: Recipe,
    vary: Mapping[str, tuple[object, object]],
    target: str,
    value: float,
    order: FeaOrder,
    /,
    **fixed: object,
) -> LoadedSolution:
    """
    Find the smallest value of one parameter at which a part under load has the figure that is wanted.

    Parameters
    ----------
    recipe : Recipe
        What is made.
    vary : mapping of str to (least, most) [house unit]
        One parameter, and between what it may lie.
    target : str
        `deflection`, `stress` or `frequency`.
    value : float [house unit]
        What it is to be: mm, MPa or Hz.
    order : FeaOrder
        Mesh and load case; the first case counts.
    **fixed : object [house unit]
        Other parameters; the rest have their defaults.

    Returns
    -------
    LoadedSolution

    Raises
    ------
    InputError
        There is no such figure or parameter, or a name or a load is wrong.
    """
    if target not in LOADED_TARGETS or not 0.0 < value < math.inf:
        fix = f"one of {', '.join(LOADED_TARGETS)}, and a value above nought"
        raise InputError(recipe.name, "target", shown_value((target, value)), "cannot be aimed at", fix)
    if len(vary) != 1:
        raise InputError(
            recipe.name, "vary", ", ".join(vary) or "nothing", "a target takes one parameter", "name one"
        )
    ((name, (least, most)),) = vary.items()
    kind = next((each.kind for each in recipe.parameters if each.name == name), None)
    if kind is None or kind.base is not float:
        raise InputError(
            recipe.name, "vary", name, "is not a length or an angle of the recipe", "name another"
        )
    low, high = (kind.read(end, name, recipe.name) for end in (least, most))
    search = _Search(recipe, name, target, value, order, fixed)
    return search.run(low, high)


class _Search:
    """Values that were tried, and where to look next."""

    def __init__(
        self,
        recipe: Recipe,
        name: str,
        target: str,
        value: float,
        order: FeaOrder,
        fixed: Mapping[str, object],
    ) -> None:
        self.recipe, self.name, self.target, self.value = recipe, name, target, value
        self.order, self.fixed = order, fixed
        self.tried: dict[float, Tried] = {}
        self.moved: dict[float, float] = {}
        """Largest displacement by thickness."""

    def run(self, low: float, high: float) -> LoadedSolution:
        places = [low + (high - low) * step / (_PLACES - 1) for step in range(_PLACES)]
        seen = [(at, gap) for at in places if (gap := self.gap(at)) is not None]
        if not seen:
            raise InputError(
                self.recipe.name, self.name, f"{low:g} to {high:g}", "makes no part", "give another range"
            )
        for (a, first), (b, second) in pairwise(seen):
            ends = self._alike(a, first, b, second)
            if ends[1] * ends[3] <= 0.0:
                return self._close_in(*ends)
        return self._reported(min(seen, key=lambda pair: abs(pair[1]))[0])

    def gap(self, at: float) -> float | None:
        """Return the logarithm of the figure over the target; None where no part can be made."""
        try:
            body = self.recipe(**{**self.fixed, self.name: at})
        except InputError:
            return None
        figure = _FIGURES[self.target]
        figures = figures_under_load(
            body, self.order, {figure} if self.target == "frequency" else {figure, _MOVED}
        )
        found = figures.get(figure)
        if found is None:
            problem = f"has no {self.target} to aim at: nothing is loaded, or nothing is held"
            raise InputError(self.recipe.name, "load", "nothing", problem, "give --fix and --load")
        self.moved[at] = figures.get(_MOVED, 0.0) / body.sheet.thickness
        self.tried[at] = Tried(at, properties(body).mass, found)
        return math.log(max(found, TINIEST) / self.value)

    def _alike(self, a: float, first: float, b: float, second: float) -> tuple[float, float, float, float]:
        """Use large displacements at both ends when one of them requires them, or nearly.

        Linear on one side and large on the other, the figure would jump between them.
        """
        case, moved = self.order.cases[0], (self.moved[a], self.moved[b])
        if case.large or max(moved) < _NEARLY_LARGE or min(moved) > 2.0 * _NEARLY_LARGE:
            return a, first, b, second
        plain, self.order = self.order, replace(self.order, cases=(replace(case, large=True),))
        one, other = self.gap(a), self.gap(b)
        assert one is not None
        assert other is not None
        if one * other > 0.0:
            self.order = plain
        return a, one, b, other

    def _close_in(self, a: float, first: float, b: float, second: float) -> LoadedSolution:
        """Regula falsi on the logarithms, which for a power of the parameter needs few steps (Illinois rule)."""
        for _ in range(_MOST_STEPS):
            at = math.exp((math.log(a) * second - math.log(b) * first) / (second - first))
            gap = self.gap(at)
            if gap is None or abs(gap) <= MET_UNDER_LOAD_REL:
                return self._reported(at if gap is not None else a)
            if gap * second < 0.0:
                a, first = b, second
            else:
                first /= 2.0
            b, second = at, gap
        return self._reported(b)

    def _reported(self, at: float) -> LoadedSolution:
        found, unit = self.tried[at], LOADED_TARGETS[self.target]
        reached = abs(math.log(max(found.figure, TINIEST) / self.value)) <= MET_UNDER_LOAD_REL
        text = f"{self.name} = {at:.6g} gives {self.target} = {found.figure:.5g} {unit}, mass {found.mass:.5g} kg"
        text += ", with large displacements" if self.order.cases[0].large else ""
        if not reached:
            text = f"{self.target} = {self.value:g} {unit} cannot be reached in that range: the nearest is {text}"
        rows = tuple(self.tried[key] for key in sorted(self.tried))
        return LoadedSolution(reached, at, rows, text, self.name, self.target, self.value)
