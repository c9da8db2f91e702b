"""The feasible region of two parameters: where the part can be made, and which check bounds it on each side."""

from __future__ import annotations

import csv
import html
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formparts.blank import blank
from formparts.checks import findings
from formparts.errors import InputError
from formparts.export.files import cell_text, written
from formparts.family.gridding import axis
from formparts.quantities import shown_value
from formparts.recipe import Parameter, Recipe

CLOSE = 1e-3
"""Bounds are closed in on to this [mm or deg]."""

MOST_PLACES = 100_000
"""A map of more is a slip of the pen: it would take an hour, and nobody could see its places."""

END = "end of the range"
"""In the place of a check, where nothing was looked at beyond a bound."""
NOT_BUILT = "cannot be built"


@dataclass(frozen=True)
class Place:
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


@dataclass(frozen=True)
class Region:
    """
    A map of two parameters.

    Parameters
    ----------
    across, up : str
        Names of the two parameters.
    places : tuple of Place
        Row by row from the least value of the second.
    bounds : tuple of Bound
        Ends of every stretch that can be made, in each row.
    """

    across: str
    up: str
    places: tuple[Place, ...]
    bounds: tuple[Bound, ...]


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

    def at(x: float, y: float) -> Place:
        return Place(x, y, *_verdict(recipe, {**fixed, across: x, up: y}))

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
    name, texts = axis(text)
    kind = _named(recipe, name).kind
    values = sorted(kind.read(value, name, recipe.name) for value in texts)
    if len(values) < 2:
        raise InputError(recipe.name, name, shown_value(text), "one value is no axis", "give two or more")
    return name, values


def _verdict(recipe: Recipe, values: dict[str, Any]) -> tuple[str, str]:
    """The first check that fails, by code and in words; nothing when the part can be made."""
    try:
        body = recipe(**values)
        found = findings(body, blank(body))
    except InputError as error:
        return NOT_BUILT, " ".join(str(error).split())
    return next(((one.code, one.message) for one in found if one.severity == "error"), ("", ""))


def _bounds(row: Sequence[Place], at: Any, whole: bool) -> Iterator[Bound]:
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


def _edge(good: Place, bad: Place, at: Any, whole: bool) -> tuple[Place, Place]:
    """Close in on the edge between a place that can be made and one that cannot."""
    while not whole and abs(bad.across - good.across) > CLOSE:
        middle = at((good.across + bad.across) / 2.0, good.up)
        good, bad = (good, middle) if middle.failing else (middle, bad)
    return good, bad


def write_region(recipe: Recipe, found: Region, folder: Path) -> tuple[Path, Path, Path]:
    """Write the map as `region.csv`, its bounds as `region-bounds.csv`, and a picture of it as `region.svg`."""
    units = {p.name: f"{p.name} [{p.unit}]" if p.unit else p.name for p in recipe.parameters}
    across, up = units[found.across], units[found.up]
    places = [(p.across, p.up, "no" if p.failing else "yes", p.failing, p.why) for p in found.places]
    bounds = [(b.up, b.side, b.across, b.failing, b.why) for b in found.bounds]
    return (
        written(folder / "region.csv", _csv((across, up, "can be made", "check", "why"), places)),
        written(folder / "region-bounds.csv", _csv((up, "side", across, "check", "why"), bounds)),
        written(folder / "region.svg", _picture(recipe.name, found, across, up)),
    )


def _csv(header: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    text = io.StringIO(newline="")
    safe = [[cell_text(cell) if isinstance(cell, str) else cell for cell in row] for row in (header, *rows)]
    csv.writer(text).writerows(safe)
    return "\ufeff" + text.getvalue()


COLOURS = ("#b23a48", "#c77d2e", "#7a5195", "#2f6690", "#8d6e63", "#5c677d", "#a63d8f", "#6b7a1e")
GOOD = "#3a9d5d"
LEFT, TOP, WIDE, HIGH = 90.0, 64.0, 480.0, 360.0


def _picture(title: str, found: Region, across: str, up: str) -> str:
    """The map as SVG: a cell for each place, its colour by the check that fails, and a key."""
    xs, ys = sorted({p.across for p in found.places}), sorted({p.up for p in found.places})
    failing = [*(place.failing for place in found.places), *(bound.failing for bound in found.bounds)]
    checks = sorted({*failing} - {"", END})
    colour = {"": GOOD, **{check: COLOURS[n % len(COLOURS)] for n, check in enumerate(checks)}}
    wide, high = WIDE / len(xs), HIGH / len(ys)
    parts = [
        _rectangle(LEFT + xs.index(p.across) * wide, TOP + HIGH - (ys.index(p.up) + 1) * high, wide, high,
                   colour[p.failing], f"{p.across:g}, {p.up:g}: {p.why or 'can be made'}")
        for p in found.places
    ]  # fmt: skip
    parts += [
        _text(LEFT, 24, title, 16),
        _text(LEFT + WIDE / 2, TOP + HIGH + 44, across),
        _text(8, TOP - 12, up),
    ]
    parts += [_text(LEFT + (n + 0.5) * wide - 8, TOP + HIGH + 18, f"{xs[n]:g}") for n in _few(len(xs))]
    parts += [_text(LEFT - 46, TOP + HIGH - (n + 0.5) * high + 4, f"{ys[n]:g}") for n in _few(len(ys))]
    parts += _bound_marks(found, colour, xs, ys)
    for number, (check, shade) in enumerate(colour.items()):
        parts.append(_rectangle(LEFT + WIDE + 20, TOP + 22 * number, 14, 14, shade, ""))
        parts.append(_text(LEFT + WIDE + 40, TOP + 22 * number + 12, _said(found, check)))
    size = f'viewBox="0 0 {LEFT + WIDE + 340:g} {max(TOP + HIGH + 60, TOP + 22 * len(colour)):g}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="sans-serif">'
    return "\n".join([head, *parts, "</svg>", ""])


def _bound_marks(found: Region, colour: dict[str, str], xs: list[float], ys: list[float]) -> list[str]:
    """A bar at each end of a row of the region, in the colour of the check that ends it; it says where and why."""
    wide, high = WIDE / len(xs), HIGH / len(ys)
    marks = []
    for bound in found.bounds:
        if bound.failing in colour:
            # The last place of the grid at or before the bound: the cell that the bar stands at.
            inside = [
                n
                for n, x in enumerate(xs)
                if (x >= bound.across if bound.side == "least" else x <= bound.across)
            ]
            cell = inside[0] if bound.side == "least" else inside[-1] + 1
            said = f"{found.up} {bound.up:g}: {found.across} at {bound.side} {bound.across:.6g}, by {bound.failing}"
            top = TOP + HIGH - (ys.index(bound.up) + 1) * high
            marks.append(_bar(LEFT + cell * wide, top, high, colour[bound.failing], said))
    return marks


def _said(found: Region, check: str) -> str:
    """What the key says of a colour: the check, and the sides of the region that it bounds."""
    sides = sorted({bound.side for bound in found.bounds if bound.failing == check})
    where = f": bounds {found.across} at its {' and '.join(sides)}" if check and sides else ""
    return f"{check}{where}" or "can be made"


def _few(count: int) -> range:
    """Which ticks have room for their figure."""
    return range(0, count, max(1, math.ceil(count / 10)))


def _rectangle(x: float, y: float, wide: float, high: float, colour: str, said: str) -> str:
    title = f"<title>{html.escape(said)}</title>" if said else ""
    place = f'x="{x:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{high:.2f}"'
    return f'<rect {place} fill="{colour}" stroke="#fff" stroke-width="0.5">{title}</rect>'


def _bar(x: float, top: float, high: float, colour: str, said: str) -> str:
    place = f'x1="{x:.2f}" y1="{top:.2f}" x2="{x:.2f}" y2="{top + high:.2f}"'
    return f'<line {place} stroke="{colour}" stroke-width="6"><title>{html.escape(said)}</title></line>'


def _text(x: float, y: float, text: str, size: int = 12) -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size}">{html.escape(text)}</text>'
