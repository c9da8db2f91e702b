"""Convert user input to a float in the house unit, or to a one-line error."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from formparts.errors import InputError, UnitsError
from formparts.quantities.kinds import PLAIN, Kind, Limits, broken, said, with_unit
from formparts.quantities.text import (
    LONGEST_TEXT,
    decimal_comma,
    exact,
    is_number,
    shown,
    split,
    units_in,
)


@dataclass(frozen=True)
class Asked:
    """What is being read: the value as given, its parameter, and its limits."""

    value: object
    kind: Kind
    parameter: str
    where: str
    limits: Limits

    def refusal(self, problem: str, way_out: str = "", error: type[InputError] = InputError) -> InputError:
        """Return the one-line error: subject, value, reason, limits, way out."""
        allowed = said(self.limits, self.kind.unit)
        # An example that breaks the limits would be no help: it is given only where there are none.
        free = f"give {self.kind.wanted}" + ("" if way_out else f", for instance {self.kind.example}")
        fix = "; ".join(filter(None, (f"{allowed} is allowed" if allowed else free, way_out)))
        value = _stated_value(self.value, self.kind.unit)
        return error(self.where, self.parameter, value, problem, fix, self.kind.unit)


def _stated_value(value: object, unit: str) -> float | str:
    """Return a plain number unchanged if six digits suffice, anything else as a short text."""
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return shown_value(value)
    try:
        figure = float(value)
    except OverflowError:
        return f"a number of {int(value).bit_length()} bits"
    # 4.9999999 must not be shown as 5 in an error that calls it smaller than 5.
    return figure if float(f"{figure:.6g}") == figure else f"{figure!r} {unit}".rstrip()


def shown_value(value: object) -> str:
    """A value as its user knows it; a quantity by its figure and unit."""
    if _is_quantity(value):
        return shown(f"{value.magnitude} {value.units}")  # type: ignore[attr-defined]  # _is_quantity has looked
    return shown(value)


def read(asked: Asked) -> float:
    """Convert to the house unit and hold against the limits."""
    value = _converted(asked)
    problem = broken(value, asked.limits, asked.kind.unit)
    if not problem:
        return value
    plain = is_number(asked.value) or asked.value == with_unit(value, asked.kind.unit)
    raise asked.refusal(problem if plain else f"{with_unit(value, asked.kind.unit)} is {problem}")


def _converted(asked: Asked) -> float:
    kind = type(asked.value)
    if kind is int or (kind is float and math.isfinite(asked.value)):  # type: ignore[arg-type]  # it is a float
        return _finite(asked.value, asked)  # type: ignore[arg-type]  # what nearly all are: nothing to convert
    if isinstance(asked.value, str):
        return _from_text(asked.value, asked)
    if is_number(asked.value):
        return _finite(exact(asked.value), asked)
    if _is_quantity(asked.value):
        return _from_quantity(asked)
    if asked.value is None:
        raise asked.refusal("nothing was given")
    raise asked.refusal(f"of type {type(asked.value).__name__}, so neither number nor quantity nor text")


def _finite(size: Fraction | float | None, asked: Asked) -> float:
    """Return the float, rounded once, at the very end."""
    try:
        return float(size)  # type: ignore[arg-type]  # None is caught below
    except (TypeError, OverflowError):
        raise asked.refusal("not a finite number") from None


def _from_text(text: str, asked: Asked) -> float:
    if len(text) > LONGEST_TEXT:
        raise asked.refusal(
            f"the text is {len(text)} characters long, more than the {LONGEST_TEXT} that are read"
        )
    if not text.strip():
        raise asked.refusal("nothing is written")
    plain = " ".join(text.split())
    parts = split(plain)
    if parts is None or "," in plain or not plain.isprintable():
        raise _not_read(plain, asked)
    size, unit = parts
    factor = dict(asked.kind.spellings).get(unit)
    return _finite(size * (_factor(unit, asked) if factor is None else factor), asked)


def _not_read(text: str, asked: Asked) -> InputError:
    """Return why text does not begin with a number; the decimal comma is the usual reason."""
    if "," in text and text.isprintable():
        meant = decimal_comma(text)
        way_out = f"write {meant}" if meant else "write a decimal point, and no mark between thousands"
        return asked.refusal("a comma is not read, neither as decimal point nor between thousands", way_out)
    wanted = asked.kind.wanted if asked.kind.spellings == PLAIN else "one number with one unit"
    return asked.refusal(f"cannot be read as {wanted}")


def _factor(unit: str, asked: Asked) -> Fraction:
    """The factor of a unit that is not a spelling of the house unit."""
    from formparts.quantities.units import factor_to_house, near_unit

    units = units_in(dict(asked.kind.marks).get(unit, unit))
    if units is None:
        raise asked.refusal(f"{shown(unit)} is not one unit", error=UnitsError)
    if asked.kind.spellings == PLAIN:
        raise asked.refusal(f"{asked.kind.wanted} has no unit", error=UnitsError)
    factor = factor_to_house(units, asked.kind, unit)
    if isinstance(factor, Fraction):
        return factor
    near = near_unit(unit, asked.kind)
    raise asked.refusal(factor, f"did you mean {near}?" if near else "", UnitsError)


def _is_quantity(value: object) -> bool:
    """A quantity of any unit registry, known by what it has and not by its class."""
    return all(hasattr(value, name) for name in ("magnitude", "units", "unit_items"))


def _from_quantity(asked: Asked) -> float:
    """Convert by figure and names of units: quantities of two registries must never meet."""
    from formparts.quantities.units import factor_to_house

    magnitude = asked.value.magnitude  # type: ignore[attr-defined]  # _is_quantity has looked
    items = asked.value.unit_items()  # type: ignore[attr-defined]  # the same
    if not is_number(magnitude):
        raise asked.refusal(f"its figure is of type {type(magnitude).__name__}, and one number is wanted")
    if any(power != int(power) for _, power in items):
        raise asked.refusal("its unit has a broken power", error=UnitsError)
    units = tuple((str(name), int(power)) for name, power in items)
    factor = factor_to_house(units, asked.kind, str(asked.value.units) or "its unit")  # type: ignore[attr-defined]  # the same
    if isinstance(factor, str):
        raise asked.refusal(factor, error=UnitsError)
    if not math.isfinite(magnitude):
        raise asked.refusal("not a finite number")
    return _finite((exact(magnitude) or Fraction(0)) * factor, asked)
