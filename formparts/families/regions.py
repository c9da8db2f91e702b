"""The feasible region of two parameters: where the part can be made, and which check bounds it on each side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from formparts.arguments import listed, takes
from formparts.blanks import blank
from formparts.checks import findings
from formparts.errors import InputError
from formparts.families.gridding import axis
from formparts.parameters import Parameter
from formparts.quantities import shown_value
from formparts.recipe_functions import Recipe
from formparts.short_repr import short_repr
from formparts.tolerances import CLOSE

MOST_PLACES = 100_000
"""A larger map is a mistake: it would take an hour, and its points could not be seen."""

END = "end of the range"
"""In place of a check, where nothing was examined beyond a bound."""
NOT_BUILT = "cannot be built"


@short_repr
@dataclass(frozen=True)
class MapPoint:
    """
    One point of the map.

    Parameters
    ----------
    across, up : float [house unit]
        Values of the two parameters.
    failing : str
        Code of the first check that fails, `cannot be built`, or nothing.
    why : str
        The same in words.
    """

    across: float
    up: float
    failing: str
    why: str


@short_repr
@dataclass(frozen=True)
class Bound:
    """
    Where the region ends along the first parameter, at one value of the second.

    Parameters
    ----------
    up : float [house unit]
        Value of the second parameter.
    side : "least" or "most"
        Which end.
    across : float [house unit]
        The last value that can be made.
    failing : str
        Code of the check that fails beyond it, or `end of the range`.
    why : str
        The same in words.
    """

    up: float
    side: str
    across: float
    failing: str
    why: str


@short_repr
@dataclass(frozen=True)
class Region:
    """
    A map of two parameters.

    Parameters
    ----------
    across, up : str
        Names of the two parameters.
    places : tuple of MapPoint
        Row by row from the least value of the second.
    bounds : tuple of Bound
        Ends of every stretch that can be made, in each row.
    """

    across: str
    up: str
    places: tuple[MapPoint, ...]
    bounds: tuple[Bound, ...]


@takes(recipe="Recipe", grid=listed("str", "Sequence"))
def region(recipe: Recipe, grid: Sequence[str], /, **fixed: object) -> Region:
    """
    Map where a part can be made, over two of its parameters, on the closed forms and all checks.

    Parameters
    ----------
    recipe : Recipe
        What is made.
    grid : sequence of str
        Two axes, as `rise=10..60mm:2` and `lug_count=2..9:1`.
    **fixed : object [house unit]
        Other parameters.

    Returns
    -------
    Region

    Raises
    ------
    InputError
        There are not two axes, or a value cannot be read.
    """
    if len(grid) != 2:
        raise InputError(
            "region", "grid", f"{len(grid)} axes", "a map has two", "as rise=10..60mm:2 lug_count=2..9:1"
        )
    (across, xs), (up, ys) = (_axis(recipe, text) for text in grid)
    if across == up:
        raise InputError("region", "grid", across, "given twice", "name two parameters")
    if len(xs) * len(ys) > MOST_PLACES:
        size, problem = f"{len(xs)} x {len(ys)} places", f"is more than the {MOST_PLACES} of a map"
        raise InputError("region", "grid", size, problem, "take larger steps")

    def at(x: float, y: float) -> MapPoint:
        return MapPoint(x, y, *_verdict(recipe, {**fixed, across: x, up: y}))

    rows = [[at(x, y) for x in xs] for y in ys]
    whole = _named(recipe, across).kind.base is int
    bounds = [bound for row in rows for bound in _bounds(row, at, whole)]
    return Region(across, up, tuple(place for row in rows for place in row), tuple(bounds))


def _named(recipe: Recipe, name: str) -> Parameter:
    for parameter in recipe.parameters:
        if parameter.name == name and parameter.kind.base in (int, float):
            return parameter
    numbers = ", ".join(p.name for p in recipe.parameters if p.kind.base in (int, float))
    raise InputError(recipe.name, name, "on the map", "there is no such number", f"there are: {numbers}")


def _axis(recipe: Recipe, text: str) -> tuple[str, list[float]]:
    """Name and values of an axis, in house units, rising."""
    name, texts = axis(text, MOST_PLACES)
    kind = _named(recipe, name).kind
    values = sorted(kind.read(value, name, recipe.name) for value in texts)
    if len(values) < 2:
        raise InputError(recipe.name, name, shown_value(text), "one value is not an axis", "give two or more")
    return name, values


def _verdict(recipe: Recipe, values: dict[str, Any]) -> tuple[str, str]:
    """The first check that fails, by code and in words; nothing when the part can be made."""
    try:
        body = recipe(**values)
        found = findings(body, blank(body))
    except InputError as error:
        return NOT_BUILT, " ".join(str(error).split())
    return next(((one.code, one.message) for one in found if one.severity == "error"), ("", ""))


def _bounds(row: Sequence[MapPoint], at: Any, whole: bool) -> Iterator[Bound]:
    """Both ends of every stretch of a row that can be made."""
    for number, place in enumerate(row):
        if place.failing:
            continue
        for side, step in (("least", -1), ("most", 1)):
            beyond = number + step
            if not 0 <= beyond < len(row):
                yield Bound(place.up, side, place.across, END, "nothing was looked at beyond it")
            elif row[beyond].failing:
                good, bad = _edge(place, row[beyond], at, whole)
                yield Bound(place.up, side, good.across, bad.failing, bad.why)


def _edge(good: MapPoint, bad: MapPoint, at: Any, whole: bool) -> tuple[MapPoint, MapPoint]:
    """Narrow down the edge between a point that can be made and one that cannot; whole numbers to neighbours."""
    while abs(bad.across - good.across) > (1.0 if whole else CLOSE):
        between = (good.across + bad.across) / 2.0
        middle = at(math.floor(between) if whole else between, good.up)
        good, bad = (good, middle) if middle.failing else (middle, bad)
    return good, bad
