"""The kinds of quantity that cross the border, each with its house unit, and the limits set to a value."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pint import Quantity

LengthLike: TypeAlias = "float | str | Quantity"
"""A length as a user gives it: a bare number in mm, text such as `3 mm` or `1/8 in`, or a pint quantity."""
AngleLike: TypeAlias = "float | str | Quantity"
"""An angle as a user gives it: a bare number in deg, text such as `75 deg`, or a pint quantity."""
PointLike: TypeAlias = "Sequence[LengthLike]"
"""x and y of a point, each a length as a user gives it."""

Spellings = tuple[tuple[str, Fraction], ...]
Marks = tuple[tuple[str, str], ...]

_ONE = Fraction(1)
_SHOP_LENGTHS: Marks = (
    *((mark, "inch") for mark in '"″”'),
    *((mark, "foot") for mark in "'′’"),
    # To the unit library a mil is an angle; of a length it is a thousandth of an inch.
    *((mark, "thou") for mark in ("mil", "mils")),
)
_DEGREE: Marks = (("°", "degree"), ("º", "degree"))


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: its house unit, and how that is written (spellings) and given to pint (units)."""

    name: str
    wanted: str
    unit: str
    units: tuple[tuple[str, int], ...]
    spellings: Spellings
    example: str
    marks: Marks = ()


def _spelt(*texts: str) -> Spellings:
    """House-unit spellings: these need no unit library."""
    return tuple((text, _ONE) for text in ("", *texts))


def _powers(unit: str, power: int) -> Spellings:
    """The ways to write a power of a unit."""
    return _spelt(*(unit + sign + str(power) for sign in ("", "^", "**")), unit + "²³"[power - 2])


PLAIN = _spelt()
_PERCENT: Spellings = (*PLAIN, ("%", Fraction(1, 100)), ("percent", Fraction(1, 100)))

KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            Kind(
                "length",
                "a length",
                "mm",
                (("millimeter", 1),),
                _spelt("mm"),
                "3 mm or 1/8 in",
                _SHOP_LENGTHS,
            ),
            Kind("angle", "an angle", "deg", (("degree", 1),), _spelt("deg", "°"), "75 deg", _DEGREE),
            Kind("mass", "a mass", "kg", (("kilogram", 1),), _spelt("kg"), "0.86 kg"),
            Kind(
                "density",
                "a density",
                "kg/m3",
                (("kilogram", 1), ("meter", -3)),
                _powers("kg/m", 3),
                "7850 kg/m3",
            ),
            Kind("stress", "a stress", "MPa", (("megapascal", 1),), _spelt("MPa", "N/mm2"), "235 MPa"),
            Kind("force", "a force", "kN", (("kilonewton", 1),), _spelt("kN"), "40 kN"),
            Kind("area", "an area", "mm2", (("millimeter", 2),), _powers("mm", 2), "1200 mm2"),
            Kind("volume", "a volume", "mm3", (("millimeter", 3),), _powers("mm", 3), "5000 mm3"),
            Kind("fraction", "a plain number or a percentage", "", (), _PERCENT, "0.5% or 0.005"),
        )
    }
)


@dataclass(frozen=True)
class Limits:
    """Permitted values in house units: from minimum to maximum, or more than `above`, or less than `below`.

    Parameters
    ----------
    minimum, maximum : float [house unit]
        The least and the greatest value that is allowed.
    above, below : float [house unit]
        Bounds that are not allowed themselves.
    """

    minimum: float = -math.inf
    maximum: float = math.inf
    above: float = -math.inf
    below: float = math.inf


FREE = Limits()
POSITIVE = Limits(above=0.0)
NOT_NEGATIVE = Limits(minimum=0.0)


def with_unit(value: float, unit: str) -> str:
    """Return a figure as text, with as many digits as it needs and no more."""
    return f"{value:.12g} {unit}".rstrip()


def said(limits: Limits, unit: str = "") -> str:
    """Return the limits as text: `5 to 2000 mm`, `more than 0 mm`, or nothing."""
    if math.isfinite(limits.minimum) and math.isfinite(limits.maximum):
        return f"{limits.minimum:.12g} to {with_unit(limits.maximum, unit)}"
    bounds = (
        ("more than", limits.above),
        ("at least", limits.minimum),
        ("less than", limits.below),
        ("at most", limits.maximum),
    )
    return " and ".join(f"{word} {with_unit(bound, unit)}" for word, bound in bounds if math.isfinite(bound))


def broken(value: float, limits: Limits, unit: str = "") -> str:
    """Return the limit that a value violates; nothing when it keeps them all."""
    if value < limits.minimum:
        return f"smaller than the least, {with_unit(limits.minimum, unit)}"
    if value > limits.maximum:
        return f"larger than the greatest, {with_unit(limits.maximum, unit)}"
    if value <= limits.above:
        return f"not more than {with_unit(limits.above, unit)}"
    if value >= limits.below:
        return f"not less than {with_unit(limits.below, unit)}"
    return ""
