"""Validation of figures for the outline builders: in house units and inside their range, or a clear error."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.errors import InputError
from formparts.quantities import count, length, shown_value
from formparts.quantities.kinds import Limits
from formparts.tolerances import SHORTEST_EDGE

_NOT_NEGATIVE = Limits(minimum=0.0)
_A_LENGTH = Limits(minimum=SHORTEST_EDGE)
_AT_LEAST_ONE = Limits(minimum=1.0)


def not_negative(where: str, name: str, value: object) -> float:
    """Give a length of 0 or more, or refuse it."""
    return length(value, name, where, _NOT_NEGATIVE)


def positive(where: str, name: str, value: object) -> float:
    """Give a length that is at least the shortest edge of a part, or refuse it."""
    return length(value, name, where, _A_LENGTH)


def count_of(where: str, name: str, value: object) -> int:
    """Give a whole number of at least 1, or refuse it."""
    return count(value, name, where, _AT_LEAST_ONE)


def pair(where: str, name: str, value: object) -> tuple[float, float]:
    """Give a point of two lengths, or refuse it."""
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) != 2:
        raise InputError(where, name, shown_value(value), "not a point", "give x and y in mm")
    return (length(value[0], f"{name}.x", where), length(value[1], f"{name}.y", where))
