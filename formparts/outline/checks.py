"""Numbers at the door of the outline builders: finite, and inside their range, or a clear refusal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from formparts.errors import InputError
from formparts.outline.edges import Point
from formparts.tolerances import SHORTEST_EDGE


def number(where: str, name: str, value: Any, least: float = -math.inf, unit: str = "mm") -> float:
    """Give a finite number of at least `least`, or refuse it."""
    if isinstance(value, bool) or not hasattr(value, "__float__"):
        raise InputError(where, name, repr(value), "not a number", f"give a number in {unit}")
    figure = float(value)
    if not math.isfinite(figure):
        raise InputError(where, name, figure, "not a finite number", f"give a finite number in {unit}", unit)
    if figure < least:
        raise InputError(where, name, figure, "too small", f"at least {least:.6g} {unit}", unit)
    return figure


def positive(where: str, name: str, value: Any) -> float:
    """Give a length that is at least the shortest edge of a part, or refuse it."""
    return number(where, name, value, least=SHORTEST_EDGE)


def count_of(where: str, name: str, value: Any) -> int:
    """Give a whole number of at least 1, or refuse it."""
    figure = number(where, name, value, unit="pieces")
    if figure != int(figure) or figure < 1:
        raise InputError(where, name, value, "not a number of pieces", "give a whole number, at least 1")
    return int(figure)


def pair(where: str, name: str, value: Any) -> Point:
    """Give a point of two finite numbers, or refuse it."""
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != 2:
        raise InputError(where, name, repr(value), "not a point", "give x and y in mm")
    return (number(where, f"{name}.x", value[0]), number(where, f"{name}.y", value[1]))
