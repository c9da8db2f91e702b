"""Grids: every combination of some values of some parameters, as rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product

from formparts.arguments import listed, takes
from formparts.errors import InputError
from formparts.families.table import Row, repeated
from formparts.quantities import shown_value
from formparts.quantities.text import split

MOST_VARIANTS = 300_000
"""A larger grid is a mistake, and its rows would not fit into the memory of a small machine."""


@takes(texts=listed("str", "Sequence"))
def grid_rows(texts: Sequence[str]) -> Iterator[Row]:
    """
    Every combination of the values of a grid; the last parameter changes fastest.

    Parameters
    ----------
    texts : sequence of str
        `rise=20..60mm:5` (from, to, step; one unit for all) or `lug_count=3,4`.

    Returns
    -------
    iterator of Row
        Each named for its values.

    Raises
    ------
    InputError
        A text cannot be read, a parameter occurs twice, or there are too many combinations.

    Examples
    --------
    >>> rows = list(grid_rows(["width=20..40:10", "thickness=1,2"]))
    >>> len(rows), rows[0].values
    (6, {'width': '20', 'thickness': '1'})
    """
    axes: list[tuple[str, list[str]]] = []
    for text in texts:
        axes.append(axis(text, MOST_VARIANTS // math.prod(len(values) for _, values in axes)))
    names = [name for name, _ in axes]
    doubled = next(iter(repeated(names)), None)
    if doubled is not None:
        raise InputError(
            "--grid", doubled, "given twice", "a parameter has one axis", "put its values together"
        )
    return _combined(names, [values for _, values in axes])


def _combined(names: list[str], axes: list[list[str]]) -> Iterator[Row]:
    for number, values in enumerate(product(*axes), start=1):
        pairs = zip(names, values, strict=True)
        called = "_".join(f"{name}-{''.join(value.split())}" for name, value in pairs)
        yield Row(number, called, dict(zip(names, values, strict=True)))


def axis(text: str, most: int = MOST_VARIANTS) -> tuple[str, list[str]]:
    """Name and values of one axis, the values as text with their unit; too many are refused before they are made."""
    name, equals, values = (part.strip() for part in text.partition("="))
    if not equals or not name or not values:
        raise _unclear(text, "is not NAME=VALUES")
    if ".." in values:
        return name, _steps(values, text, most)
    listed = [value.strip() for value in values.split(",")]
    if not all(listed):
        raise _unclear(text, "has an empty value")
    doubled = next(iter(repeated(listed)), None)
    if doubled is not None:
        raise _unclear(text, f"has {shown_value(doubled)} twice")
    if len(listed) > most:
        raise _too_many(text, len(listed), most)
    return name, listed


def _steps(values: str, text: str, most: int) -> list[str]:
    """From a first value to a last one in steps; the last is there when a step falls on it."""
    first, _, rest = values.partition("..")
    last, colon, step = rest.rpartition(":")
    read = [split(part) for part in (first, last, step)]
    if not colon or None in read:
        raise _unclear(text, "is not FROM..TO:STEP")
    (start, *_), (end, *_), (by, *_) = sizes = [part for part in read if part is not None]
    units = {unit for _, unit in sizes if unit}
    if len(units) > 1:
        raise _unclear(text, f"has several units ({', '.join(sorted(units))})")
    if by <= 0 or end < start:
        raise _unclear(text, "does not go up")
    count = math.floor((end - start) / by) + 1
    if count > most:
        raise _too_many(text, count, most)
    unit = units.pop() if units else ""
    return [f"{_decimal(start + place * by)} {unit}".strip() for place in range(count)]


def _decimal(size: Fraction) -> str:
    return f"{float(size):.12g}"


def _too_many(text: str, count: int, most: int) -> InputError:
    size = f"{count} values" if count < 10**12 else "far too many values"
    problem = f"has {size}, more than {most} here: a grid has no more than {MOST_VARIANTS} variants"
    return InputError(
        "--grid", "values", shown_value(text), problem, "take larger steps, as in rise=20..60mm:5"
    )


def _unclear(text: str, problem: str) -> InputError:
    return InputError(
        "--grid", "values", shown_value(text), problem, "write rise=20..60mm:5 or lug_count=3,4"
    )
