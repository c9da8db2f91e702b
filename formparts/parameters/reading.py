"""What is the same for all kinds of parameters: tolerances, limits and names as they are written."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from formparts.errors import InputError
from formparts.quantities import (
    shown_value,
    with_unit,
)

_TOLERANCE = re.compile(r"\s*(?:±\s*(\d*\.?\d+)|([+−-]?)\s*(\d*\.?\d+)[\s/]+([+−-]?)\s*(\d*\.?\d+))\s*")


def checked_tolerance(text: str, parameter: str, where: str) -> str:
    """Return a tolerance as written on a drawing: `±0.2`, or an upper and a lower deviation, the upper one first."""
    if not text:
        return ""
    found = _TOLERANCE.fullmatch(text)
    fix = "write it as ±0.2, or upper and lower deviation as +0.2 -0"
    if found is None:
        raise InputError(where, f"tolerance of {parameter}", shown_value(text), "is not a tolerance", fix)
    if found[1]:
        return f"±{found[1]}"
    signs = [-1.0 if sign in ("-", "−") else 1.0 for sign in (found[2], found[4])]
    upper, lower = signs[0] * float(found[3]), signs[1] * float(found[5])
    if upper <= lower:
        raise InputError(where, f"tolerance of {parameter}", shown_value(text), "has no width", fix)
    return " ".join(f"{value:+g}".replace("-", "−") if value else "0" for value in (upper, lower))


def _bounds(kind: Any, reader: Callable[..., float], parameter: str, where: str) -> tuple[float, float]:
    """Both limits of a kind in house units; a recipe that leaves one out, or swaps them, is refused."""
    for word in ("minimum", "maximum"):
        if getattr(kind, word) is None:
            fix = f"write {type(kind).__name__}(..., minimum=..., maximum=...)"
            raise InputError(where, parameter, type(kind).__name__, f"its {word} is missing", fix)
    least = reader(kind.minimum, f"{parameter} (minimum)", where)
    most = reader(kind.maximum, f"{parameter} (maximum)", where)
    if least > most:
        problem = f"its minimum is greater than its maximum, {with_unit(most, kind.unit)}"
        raise InputError(where, parameter, least, problem, "swap them", kind.unit)
    return least, most


def _by_name(find: Callable[[Any], Any], value: object, parameter: str, where: str) -> str:
    """
    The name by which a thing is found again: its own, or else the text that was given.

    What cannot be found again by any text could not be written down with the part, and is refused.
    """
    try:
        found = find(value)
    except InputError as error:
        raise InputError(where, parameter, shown_value(value), error.problem, error.fix) from error
    for name in (found.name, value.strip() if isinstance(value, str) else ""):
        if name and _finds(find, name, found):
            return str(name)
    problem = "it is your own, and no name leads to it"
    raise InputError(where, parameter, shown_value(found.name), problem, "give one that has a name")


def _finds(find: Callable[[Any], Any], name: str, wanted: object) -> bool:
    try:
        return bool(find(name) == wanted)
    except InputError:
        return False


def _one_of(words: Any) -> str:
    return f"one of these is allowed: {', '.join(word or 'none' for word in words)}"
