"""The range of every figure of bend mathematics and press-brake practice, in one table, and the check against it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, wraps
from inspect import signature
from typing import TYPE_CHECKING, Any, Final, NoReturn, ParamSpec, Protocol, cast, overload

from formparts.errors import InputError, UnitsError
from formparts.tolerances import ANGLE_DEG, LENGTH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

P = ParamSpec("P")
_PLAIN = frozenset({float, int})


class Elementwise(Protocol[P]):
    """A formula that takes plain numbers or numpy arrays: numbers give a number, any array an array."""

    @overload
    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> float: ...
    @overload
    def __call__(self, *args: Any, **kwargs: Any) -> NDArray[np.float64]: ...


def elementwise(formula: Callable[P, Any]) -> Elementwise[P]:
    """
    Let a formula take pint quantities too, and tell the type checker that it takes arrays.

    Plain numbers go straight through; quantities are brought to the house units first, so that the result is in
    the house unit, as always.
    """

    @wraps(formula)
    def bordered(*args: P.args, **kwargs: P.kwargs) -> Any:
        if _PLAIN.issuperset(map(type, args)) and _PLAIN.issuperset(map(type, kwargs.values())):
            return formula(*args, **kwargs)
        given = signature(formula).bind(*args, **kwargs)
        for name, value in given.arguments.items():
            given.arguments[name] = _in_house_unit(formula.__name__, name, value)
        return formula(*given.args, **given.kwargs)

    return cast("Elementwise[P]", bordered)


@cache
def _house_units() -> dict[str, str]:
    """The house unit of each figure, by what formulas call it."""
    called = {limit.parameter: limit.unit for limit in LIMITS.values()}
    return called | {"yield_strength": "MPa", "tensile_strength": "MPa", "released": "mm"}


def _in_house_unit(where: str, name: str, value: Any) -> Any:
    """A pint quantity, of a number or of an array, as a plain one in the house unit; anything else as it is."""
    if not hasattr(value, "magnitude"):
        return value
    unit = _house_units().get(name, "")
    try:
        return value.to({"%": "percent"}.get(unit, unit)).magnitude
    except (AttributeError, TypeError, ValueError) as error:
        wanted = f"a quantity in {unit} or of its kind is wanted" if unit else "a plain number is wanted"
        raise UnitsError(where, name, shortened(value), "measures something else", wanted) from error


@dataclass(frozen=True, slots=True)
class FigureRange:
    """The closed range of one figure, with its name and its text."""

    parameter: str
    low: float
    high: float
    unit: str
    allowed: str


_LONGEST: Final = 1e6
"""A kilometre [mm]: longer than any sheet, and far from where floating point overflows."""

LIMITS: Final = {
    limit_of: FigureRange(parameter, low, high, unit, allowed)
    for limit_of, parameter, low, high, unit, allowed in (
        ("angle", "angle", ANGLE_DEG, 180.0, "deg", "a bend turns by more than 0 and at most 180 deg"),
        # Near 180 degrees the two faces become parallel and their mould line runs away to infinity.
        ("mould_angle", "angle", ANGLE_DEG, 180.0 - 1e-6, "deg",
         "there is a mould line only between 0 and 180 deg; give runs to the tangent line instead"),
        ("opening_angle", "opening_angle", 0.0, 180.0 - ANGLE_DEG, "deg",
         "the opening angle is 180 deg less the bend angle: from 0 to less than 180 deg"),
        ("inside_radius", "inside_radius", 0.0, _LONGEST, "mm", "from 0 to 1e6 mm is allowed"),
        ("thickness", "thickness", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("k_factor", "k_factor", 0.0, 1.0, "", "the neutral fibre is in the sheet: from 0 (inside) to 1"),
        ("allowance", "allowance", math.ulp(0.0), 4 * math.pi * _LONGEST, "mm", "more than 0 is allowed"),
        ("deduction", "deduction", -4 * math.pi * _LONGEST, 1e15, "mm", "a finite length is allowed"),
        ("rise", "rise", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("slope_length", "slope_length", 0.0, _LONGEST, "mm", "from 0 to 1e6 mm is allowed"),
        ("straight", "straight", 0.0, _LONGEST, "mm", "from 0 to 1e6 mm is allowed"),
        ("length", "length", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("flat_length", "flat_length", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("leg_1", "leg_1", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("leg_2", "leg_2", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("die_opening", "die_opening", LENGTH, _LONGEST, "mm", "from 1e-6 to 1e6 mm is allowed"),
        ("force", "force", 0.0, 1e12, "N", "from 0 to 1e12 N is allowed"),
        ("stroke", "stroke", 0.0, _LONGEST, "mm", "from 0 to 1e6 mm is allowed"),
        ("strength", "strength", 1e-3, 1e5, "MPa", "metals have from 1e-3 to 1e5 MPa"),
        ("modulus", "modulus", 1.0, 1e7, "MPa", "metals have from 1 to 1e7 MPa"),
        ("section_area", "section_area", 1e-6, 1e12, "mm2", "from 1e-6 to 1e12 mm2 is allowed"),
        ("bends", "bends", 0.0, 1e6, "", "from 0 to 1e6 is allowed"),
        ("share", "share", 0.0, 1.0, "", "from 0 to 1 is allowed"),
        ("elongation", "elongation", 1e-3, 100.0, "%", "more than 0 and at most 100 % is allowed"),
        ("area_reduction", "area_reduction", 1e-3, 100.0, "%", "more than 0 and at most 100 % is allowed"),
    )
}  # fmt: skip


def figures(where: str, **values: Any) -> Any:
    """Check each figure against its range; give `math` if all are plain numbers, or else `numpy`."""
    space: Any = math
    for limit_of, value in values.items():
        limit = LIMITS[limit_of]
        if type(value) is not float and type(value) is not int:
            space = _array_figures(where, limit, value)
        elif not limit.low <= value <= limit.high:
            refuse(where, limit, value)
    return space


def either(condition: Any, yes: Any, no: Any) -> Any:
    """Choose by a condition: one of two numbers, or element by element."""
    if isinstance(condition, bool):
        return yes if condition else no
    import numpy

    return numpy.where(condition, yes, no)


def first_where(condition: Any, value: Any) -> float | None:
    """Return the first element of a figure for which a condition holds, or None."""
    if isinstance(condition, bool):
        return float(value) if condition else None
    import numpy

    condition, value = numpy.broadcast_arrays(condition, value)
    return float(value[condition].flat[0]) if condition.any() else None


def refuse(where: str, limit: FigureRange, value: object) -> NoReturn:
    """Raise the error for a figure outside its range."""
    problem = "is outside its range"
    if isinstance(value, int) and abs(value) > 1e300:
        value = math.inf  # so many digits would not go on one line
    if isinstance(value, float) and not math.isfinite(value):
        problem = "is not a finite number"
    raise InputError(where, limit.parameter, value, problem, limit.allowed, limit.unit)


def _array_figures(where: str, limit: FigureRange, value: Any) -> Any:
    """Check every element of an array; give `numpy`."""
    import numpy

    if getattr(getattr(value, "dtype", None), "kind", "") not in ("i", "u", "f"):
        problem = f"is a {type(value).__name__}, not a number"
        raise InputError(where, limit.parameter, shortened(value), problem, limit.allowed)
    outside = first_where(~((limit.low <= value) & (value <= limit.high)), value)
    if outside is not None:
        refuse(where, limit, outside)
    return numpy


def shortened(value: object) -> str:
    """Return a value on one short line."""
    shown = " ".join(repr(value).split())
    return shown if len(shown) <= 60 else shown[:57] + "..."
