"""A figure as it is printed, read back with the unit beside it, and held against the hand's."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from tests.figures.hand import Hand


@cache
def _units() -> Any:
    import pint

    return pint.UnitRegistry()


def _plain(unit: str) -> str:
    """A unit as people write it, in the words of the library of units."""
    for sign, word in (
        ("²", "**2"),
        ("³", "**3"),
        ("°", "deg"),
        ("mm2", "mm**2"),
        ("mm3", "mm**3"),
        ("m3", "m**3"),
    ):
        unit = (
            re.sub(rf"(?<![*\d]){re.escape(sign)}(?!\*)", word, unit)
            if sign[0] == "m"
            else unit.replace(sign, word)
        )
    return unit.replace("MPA", "MPa")


def agrees(hand: Hand, fact: str, text: str, unit: str) -> str:
    """
    What is wrong with a printed figure; nothing when it is the hand's to half a unit of its last digit.

    The half is a whole where a digit 5 is cut off: the printed figure may be rounded either way.
    """
    value, known = hand[fact]
    number = float(text.replace(" ", ""))
    if bool(unit) != bool(known):
        return f"{fact}: unit {unit!r}, by hand {known!r}"
    factor = _units().Quantity(1, _plain(unit)).to(known).magnitude if unit else 1.0
    decimals = len(text.partition(".")[2]) if "e" not in text else 12
    close = max(0.5000001 * 10.0**-decimals * factor, 1e-9 * abs(value))
    found = number * factor
    return (
        ""
        if abs(found - value) <= close
        else f"{fact}: {text} {unit} is {found:g} {known}, by hand {value:g}"
    )


def keyed(key: str) -> tuple[str, str]:
    """Name and unit of a JSON key or a column: `mass_kg`, `force_n_per_mm`, `force [kN]`, `pierces`."""
    bracket = re.fullmatch(r"(.+?) \[(.+)\]", key)
    if bracket:
        return bracket[1], bracket[2]
    for end, unit in (
        ("_n_per_mm", "N/mm"), ("_kg_m3", "kg/m3"), ("_mm3", "mm3"), ("_mm2", "mm2"), ("_mm", "mm"), ("_deg", "deg"),
        ("_kg", "kg"), ("_kn", "kN"), ("_kN", "kN"), ("_mpa", "MPA"),
    ):  # fmt: skip
        if key.endswith(end):
            return key.removesuffix(end), unit
    return key, ""
