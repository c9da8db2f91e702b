"""The one door to the unit library: exact factors by the names of units, loaded only when needed."""

from __future__ import annotations

import difflib
from fractions import Fraction
from functools import cache
from typing import Any

from formparts.quantities.kinds import KINDS, Kind
from formparts.quantities.text import Units, units_in

_NOT_UNITS = frozenset({"", "nan", "dimensionless"})

_USUAL = (
    ("mm", "cm", "m", "um", "inch", "in", "ft", "foot", "thou", "yard", "metre", "meter"),
    ("millimetre", "millimeter", "centimetre", "centimeter", "micrometre", "micrometer"),
    ("deg", "degree", "degrees", "rad", "radian", "radians", "mrad", "arcmin"),
    ("kg", "g", "mg", "lb", "oz", "tonne", "gram", "kilogram", "pound", "ounce"),
    ("kg/m3", "g/cm3", "kg/dm3", "lb/in3", "MPa", "GPa", "N/mm2", "psi", "ksi"),
    ("kN", "N", "newton", "kilonewton"),
    ("percent", "ppm", "mm2", "cm2", "m2", "mm3", "cm3", "m3"),
)

Root = frozenset[tuple[str, Fraction]]


@cache
def _registry() -> Any:
    """Our own registry, in exact fractions: an inch is 25.4 mm to the last digit."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def _root(name: str) -> tuple[Fraction, Root] | None:
    """One unit in root units; None when there is no such unit, or it is not a plain factor (decibels)."""
    if name in _NOT_UNITS:
        return None
    try:
        one = _registry().Quantity(Fraction(1), name).to_root_units()
    except (AttributeError, KeyError, TypeError, ValueError, AssertionError):
        return None
    return Fraction(one.magnitude), frozenset(
        (str(unit), Fraction(power)) for unit, power in one.unit_items()
    )


def _root_of(units: Units) -> tuple[Fraction, Root] | str:
    """A product of units in root units, or the name of the one that is not known."""
    factor, powers = Fraction(1), dict[str, Fraction]()
    for name, power in units:
        root = _root(name)
        if root is None:
            return name
        factor *= root[0] ** power
        for unit, exponent in root[1]:
            powers[unit] = powers.get(unit, Fraction(0)) + exponent * power
    return factor, frozenset((unit, power) for unit, power in powers.items() if power)


def _measured(root: Root) -> str:
    """Return what a unit measures, as a word if there is one here."""
    for kind in KINDS.values():
        house = _root_of(kind.units)
        if not isinstance(house, str) and house[1] == root:
            return f"measures {kind.name}" if kind.units else "is a plain ratio"
    return "measures something else"


def factor_to_house(units: Units, kind: Kind, text: str) -> Fraction | str:
    """The exact factor from a product of units (called `text`) to the house unit of a kind, or why not."""
    root, house = _root_of(units), _root_of(kind.units)
    if isinstance(root, str) or isinstance(house, str):
        return f"{root} is not a unit that is known here"
    if root[1] != house[1]:
        return f"{text} {_measured(root[1])}, and {kind.wanted} is wanted"
    return root[0] / house[0]


def near_unit(text: str, kind: Kind) -> str:
    """Return the usual unit of this kind with the most similar spelling; nothing if none is similar."""
    usual = {name.lower(): name for row in _USUAL for name in row}
    for near in difflib.get_close_matches(text.lower(), usual, n=6, cutoff=0.6):
        if isinstance(factor_to_house(units_in(usual[near]) or (), kind, near), Fraction):
            return usual[near]
    return ""
