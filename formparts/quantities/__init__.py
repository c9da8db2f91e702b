"""Units at the border: quantities, text or bare numbers in; floats in mm, deg, kg inside.

Every reader takes a bare number in the house unit, text ("3 mm", "1 1/8 in", "75 deg", "0.86kg", "0.5%"),
or a pint quantity of any registry. House-unit text and bare numbers need no unit library.
"""

from __future__ import annotations

from formparts.errors import InputError
from formparts.quantities.kinds import (
    FREE,
    KINDS,
    NOT_NEGATIVE,
    PLAIN,
    POSITIVE,
    AngleLike,
    Kind,
    LengthLike,
    Limits,
    PointLike,
    said,
    with_unit,
)
from formparts.quantities.reading import Asked, read, shown_value

__all__ = [
    "FREE",
    "KINDS",
    "NOT_NEGATIVE",
    "POSITIVE",
    "AngleLike",
    "Kind",
    "LengthLike",
    "Limits",
    "PointLike",
    "angle",
    "count",
    "density",
    "fraction",
    "length",
    "mass",
    "number",
    "quantity",
    "said",
    "shown_value",
    "with_unit",
]

_NUMBER = Kind("number", "a plain number", "", (), PLAIN, "0.44")
_COUNT = Kind("count", "a whole number", "", (), PLAIN, "4")


def quantity(
    value: object, kind: str, parameter: str = "value", where: str = "quantity", limits: Limits = FREE
) -> float:
    """
    Read a quantity of a named kind.

    Parameters
    ----------
    value : object [house unit]
        Bare number in the house unit, text, or pint quantity.
    kind : str
        `length` [mm], `angle` [deg], `mass` [kg], `density` [kg/m3], `stress` [MPa], `force` [kN],
        `area` [mm2], `volume` [mm3] or `fraction` [-].
    parameter, where : str
        What the error line calls it.
    limits : Limits
        What it may be.

    Returns
    -------
    float [house unit]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits; or there is no such kind.
    UnitsError
        The unit is unknown, or measures something else.
    """
    if kind not in KINDS:
        raise InputError(
            where, "kind", shown_value(kind), "there is no such kind", f"there are: {', '.join(KINDS)}"
        )
    return read(Asked(value, KINDS[kind], parameter, where, limits))


def length(value: object, parameter: str = "length", where: str = "quantity", limits: Limits = FREE) -> float:
    """
    Read a length.

    Parameters
    ----------
    value : object [mm]
        Bare number in mm, text such as `3 mm`, `1 1/8 in` or `0.75"`, or pint quantity.
    parameter, where : str
        What the error line calls it.
    limits : Limits [mm]
        What it may be.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        The unit is unknown, or measures something else.

    Source
    ------
    International yard and pound agreement, 1959: 1 in = 25.4 mm, exactly.

    Examples
    --------
    >>> length("1/8 in")
    3.175
    """
    return read(Asked(value, KINDS["length"], parameter, where, limits))


def angle(value: object, parameter: str = "angle", where: str = "quantity", limits: Limits = FREE) -> float:
    """
    Read an angle.

    Parameters
    ----------
    value : object [deg]
        Bare number in deg, text such as `75 deg` or `1.3 rad`, or pint quantity.
    parameter, where : str
        What the error line calls it.
    limits : Limits [deg]
        What it may be.

    Returns
    -------
    float [deg]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        The unit is unknown, or measures something else; a quantity without unit is not an angle.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> angle("75 deg")
    75.0
    """
    return read(Asked(value, KINDS["angle"], parameter, where, limits))


def mass(value: object, parameter: str = "mass", where: str = "quantity", limits: Limits = FREE) -> float:
    """
    Read a mass.

    Parameters
    ----------
    value : object [kg]
        Bare number in kg, text such as `0.86kg` or `860 g`, or pint quantity.
    parameter, where : str
        What the error line calls it.
    limits : Limits [kg]
        What it may be.

    Returns
    -------
    float [kg]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        The unit is unknown, or measures something else.

    Source
    ------
    International yard and pound agreement, 1959: 1 lb = 0.45359237 kg, exactly.

    Examples
    --------
    >>> mass("860 g")
    0.86
    """
    return read(Asked(value, KINDS["mass"], parameter, where, limits))


def density(
    value: object, parameter: str = "density", where: str = "quantity", limits: Limits = FREE
) -> float:
    """
    Read a density.

    Parameters
    ----------
    value : object [kg/m3]
        Bare number in kg/m3, text such as `7850 kg/m3` or `7.85 g/cm3`, or pint quantity.
    parameter, where : str
        What the error line calls it.
    limits : Limits [kg/m3]
        What it may be.

    Returns
    -------
    float [kg/m3]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        The unit is unknown, or measures something else.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> density("7.85 g/cm3")
    7850.0
    """
    return read(Asked(value, KINDS["density"], parameter, where, limits))


def fraction(
    value: object, parameter: str = "fraction", where: str = "quantity", limits: Limits = FREE
) -> float:
    """
    Read a ratio that may be written as a percentage.

    Parameters
    ----------
    value : object [-]
        Bare number, text such as `0.5%` or `1/8`, or pint quantity without dimension.
    parameter, where : str
        What the error line calls it.
    limits : Limits [-]
        What it may be.

    Returns
    -------
    float [-]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        The unit is unknown, or measures something.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> fraction("0.5%")
    0.005
    """
    return read(Asked(value, KINDS["fraction"], parameter, where, limits))


def number(value: object, parameter: str = "number", where: str = "quantity", limits: Limits = FREE) -> float:
    """
    Read a plain number, which has no unit and is not a percentage.

    Parameters
    ----------
    value : object [-]
        Bare number or text.
    parameter, where : str
        What the error line calls it.
    limits : Limits [-]
        What it may be.

    Returns
    -------
    float [-]

    Raises
    ------
    InputError
        It is not one finite number, or it is outside its limits.
    UnitsError
        It has a unit.
    """
    return read(Asked(value, _NUMBER, parameter, where, limits))


def count(value: object, parameter: str = "count", where: str = "quantity", limits: Limits = FREE) -> int:
    """
    Read a whole number.

    Parameters
    ----------
    value : object [-]
        Whole number, or text of one.
    parameter, where : str
        What the error line calls it.
    limits : Limits [-]
        What it may be.

    Returns
    -------
    int [-]

    Raises
    ------
    InputError
        It is not a whole number, or it is outside its limits.
    UnitsError
        It has a unit.
    """
    asked = Asked(value, _COUNT, parameter, where, limits)
    read_value = read(asked)
    if not read_value.is_integer():
        raise asked.refusal("not a whole number")
    return int(read_value)
