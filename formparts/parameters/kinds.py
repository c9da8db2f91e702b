"""What a parameter of a recipe can be: length, angle, count, number, choice, material, yes or no.

Each kind is frozen data with the same few answers: `checked` gives it with its own limits in house units,
`read` converts and holds a value against them, `limits` and `shown` say limits and a value in words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any, ClassVar, Protocol

from formparts.bending import bend_rule
from formparts.errors import InputError
from formparts.materials import material
from formparts.parameters.reading import _bounds, _by_name, _one_of, checked_tolerance
from formparts.quantities import (
    FREE,
    KINDS,
    Limits,
    angle,
    count,
    length,
    number,
    quantity,
    said,
    shown_value,
    with_unit,
)
from formparts.short_repr import short_repr

_WORDS: Mapping[str, bool] = MappingProxyType(
    {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}
)


class ParameterKind(Protocol):
    """The interface of every kind of parameter."""

    base: ClassVar[type]

    @property
    def text(self) -> str: ...
    @property
    def unit(self) -> str: ...
    @property
    def limits(self) -> str: ...
    def checked(self, parameter: str, where: str) -> ParameterKind: ...
    def read(self, value: object, parameter: str, where: str) -> Any: ...
    def shown(self, value: Any) -> str: ...


@short_repr
@dataclass(frozen=True)
class Length:
    """
    A length, given in mm, as text or as a pint quantity.

    Parameters
    ----------
    text : str
        What it is, as it should be read after the parameter's name.
    minimum, maximum : object [mm]
        The least and the greatest that is allowed; both must be given.
    tolerance : str
        The tolerance written at its dimension on a drawing, `±0.2` or `+0.2 -0`; empty when the general
        tolerances hold.

    Examples
    --------
    >>> Length("of the plate", 40, 500)
    Length(text='of the plate', minimum=40, maximum=500, tolerance='')
    """

    text: str
    minimum: Any = None
    maximum: Any = None
    tolerance: str = ""
    base: ClassVar[type] = float
    unit: ClassVar[str] = "mm"

    @property
    def limits(self) -> str:
        return said(Limits(self.minimum, self.maximum), self.unit)

    def checked(self, parameter: str, where: str) -> Length:
        least, most = _bounds(self, length, parameter, where)
        tolerance = checked_tolerance(self.tolerance, parameter, where)
        return replace(self, minimum=least, maximum=most, tolerance=tolerance)

    def read(self, value: object, parameter: str, where: str) -> float:
        return length(value, parameter, where, Limits(self.minimum, self.maximum))

    def shown(self, value: float) -> str:
        return with_unit(value, self.unit)


@short_repr
@dataclass(frozen=True)
class Angle:
    """
    An angle, given in deg, as text or as a pint quantity.

    Parameters
    ----------
    text : str
        What it is, as it should be read after the parameter's name.
    minimum, maximum : object [deg]
        The least and the greatest that is allowed; both must be given.
    tolerance : str
        The tolerance written at its dimension on a drawing, `±0.2` or `+0.2 -0`; empty when the general
        tolerances hold.

    Examples
    --------
    >>> Angle("of the lugs", 15, 90)
    Angle(text='of the lugs', minimum=15, maximum=90, tolerance='')
    """

    text: str
    minimum: Any = None
    maximum: Any = None
    tolerance: str = ""
    base: ClassVar[type] = float
    unit: ClassVar[str] = "deg"

    @property
    def limits(self) -> str:
        return said(Limits(self.minimum, self.maximum), self.unit)

    def checked(self, parameter: str, where: str) -> Angle:
        least, most = _bounds(self, angle, parameter, where)
        tolerance = checked_tolerance(self.tolerance, parameter, where)
        return replace(self, minimum=least, maximum=most, tolerance=tolerance)

    def read(self, value: object, parameter: str, where: str) -> float:
        return angle(value, parameter, where, Limits(self.minimum, self.maximum))

    def shown(self, value: float) -> str:
        return with_unit(value, self.unit)


@short_repr
@dataclass(frozen=True)
class Count:
    """
    A whole number of things.

    Parameters
    ----------
    text : str
        What is counted.
    minimum, maximum : object [-]
        The least and the greatest that is allowed; both must be given.

    Examples
    --------
    >>> Count("lugs round the opening", 1, 60)
    Count(text='lugs round the opening', minimum=1, maximum=60)
    """

    text: str
    minimum: Any = None
    maximum: Any = None
    base: ClassVar[type] = int
    unit: ClassVar[str] = ""

    @property
    def limits(self) -> str:
        return said(Limits(self.minimum, self.maximum))

    def checked(self, parameter: str, where: str) -> Count:
        least, most = _bounds(self, count, parameter, where)
        return replace(self, minimum=least, maximum=most)

    def read(self, value: object, parameter: str, where: str) -> int:
        return count(value, parameter, where, Limits(self.minimum, self.maximum))

    def shown(self, value: int) -> str:
        return str(value)


@short_repr
@dataclass(frozen=True)
class Number:
    """
    A number that is neither length, angle nor count: plain, or in one of the other house units.

    Parameters
    ----------
    text : str
        What it is, as it should be read after the parameter's name.
    minimum, maximum : object [house unit]
        The least and the greatest that is allowed; both must be given.
    unit : str
        None for a plain number, or `kg`, `kg/m3`, `MPa`, `kN`, `mm2` or `mm3`.

    Examples
    --------
    >>> Number("share of the width", 0, 1)
    Number(text='share of the width', minimum=0, maximum=1, unit='')
    """

    text: str
    minimum: Any = None
    maximum: Any = None
    unit: str = ""
    base: ClassVar[type] = float

    @property
    def limits(self) -> str:
        return said(Limits(self.minimum, self.maximum), self.unit)

    def checked(self, parameter: str, where: str) -> Number:
        units = sorted(kind.unit for kind in KINDS.values())
        if self.unit not in units:
            raise InputError(
                where, parameter, shown_value(self.unit), "not a unit of the house", _one_of(units)
            )
        least, most = _bounds(self, self._number, parameter, where)
        return replace(self, minimum=least, maximum=most)

    def read(self, value: object, parameter: str, where: str) -> float:
        return self._number(value, parameter, where, Limits(self.minimum, self.maximum))

    def shown(self, value: float) -> str:
        return with_unit(value, self.unit)

    def _number(self, value: object, parameter: str, where: str, limits: Limits = FREE) -> float:
        if not self.unit:
            return number(value, parameter, where, limits)
        name = next(kind.name for kind in KINDS.values() if kind.unit == self.unit)
        return quantity(value, name, parameter, where, limits)


@short_repr
@dataclass(frozen=True)
class Choice:
    """
    One of a few words.

    Parameters
    ----------
    text : str
        What is chosen.
    options : tuple of str
        The words, in the order in which they are shown.

    Examples
    --------
    >>> Choice("which way it is bent", ("up", "down"))
    Choice(text='which way it is bent', options=('up', 'down'))
    """

    text: str
    options: tuple[str, ...] = ()
    base: ClassVar[type] = str
    unit: ClassVar[str] = ""

    @property
    def limits(self) -> str:
        return " | ".join(self.options)

    def checked(self, parameter: str, where: str) -> Choice:
        words = self.options if isinstance(self.options, tuple) else ()
        if not words or not all(isinstance(word, str) and word for word in words):
            raise InputError(
                where, parameter, shown_value(self.options), "no words to choose from", "name them"
            )
        return self

    def read(self, value: object, parameter: str, where: str) -> str:
        if isinstance(value, str) and value in self.options:
            return value
        near = get_close_matches(str(value), self.options, n=1)
        hint = f"did you mean {near[0]}? " if near else ""
        fix = hint + _one_of(self.options)
        raise InputError(where, parameter, shown_value(value), "there is no such choice", fix)

    def shown(self, value: str) -> str:
        return value


@short_repr
@dataclass(frozen=True)
class MaterialName:
    """
    A material of the table by one of its names, or a density by hand (`7850 kg/m3`, `DC01 at 7800 kg/m3`).

    Parameters
    ----------
    text : str
        What is made of it.

    Examples
    --------
    >>> MaterialName("of the sheet")
    MaterialName(text='of the sheet')
    """

    text: str
    base: ClassVar[type] = str
    unit: ClassVar[str] = ""

    @property
    def limits(self) -> str:
        return "a material's name, or a density"

    def checked(self, parameter: str, where: str) -> MaterialName:  # noqa: ARG002  one shape for all kinds
        return self

    def read(self, value: object, parameter: str, where: str) -> str:
        return _by_name(material, value, parameter, where)

    def shown(self, value: str) -> str:
        return value


@short_repr
@dataclass(frozen=True)
class BendRuleName:
    """
    A bend rule by its name (`DIN 6935`), a K-factor (`K 0.44`, `0.44`), or the path of your own table (CSV).

    Parameters
    ----------
    text : str
        What it gives.

    Examples
    --------
    >>> BendRuleName("that gives the developed length of a bend")
    BendRuleName(text='that gives the developed length of a bend')
    """

    text: str
    base: ClassVar[type] = str
    unit: ClassVar[str] = ""

    @property
    def limits(self) -> str:
        return "a K-factor, a rule's name, or a CSV file"

    def checked(self, parameter: str, where: str) -> BendRuleName:  # noqa: ARG002  one shape for all kinds
        return self

    def read(self, value: object, parameter: str, where: str) -> str:
        given = value
        if isinstance(value, bool):  # which would pass for a K-factor of 0 or 1
            given = str(value)
        elif isinstance(value, (int, float)):
            given = f"K {value}"
        name = _by_name(bend_rule, given, parameter, where)
        return given.strip() if isinstance(given, str) else name

    def shown(self, value: str) -> str:
        return value


@short_repr
@dataclass(frozen=True)
class Yes:
    """
    A yes or a no.

    Parameters
    ----------
    text : str
        What is so if it is yes.

    Examples
    --------
    >>> Yes("with a drain hole")
    Yes(text='with a drain hole')
    """

    text: str
    base: ClassVar[type] = bool
    unit: ClassVar[str] = ""

    @property
    def limits(self) -> str:
        return "yes | no"

    def checked(self, parameter: str, where: str) -> Yes:  # noqa: ARG002  one shape for all kinds
        return self

    def read(self, value: object, parameter: str, where: str) -> bool:
        if isinstance(value, bool):
            return value
        if isinstance(value, str) and value.strip().lower() in _WORDS:
            return _WORDS[value.strip().lower()]
        raise InputError(where, parameter, shown_value(value), "neither yes nor no", "yes or no is allowed")

    def shown(self, value: bool) -> str:
        return "yes" if value else "no"


ALL_KINDS = (Length, Angle, Count, Number, Choice, MaterialName, BendRuleName, Yes)
