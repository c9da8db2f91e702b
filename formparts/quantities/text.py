"""Parse a number and a unit from text, exactly, and show any value in one line."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from numbers import Integral, Real

LONGEST_TEXT = 60
"""Longest text that is parsed: no number with a unit is longer."""

LONGEST_SHOWN = 48
"""A longer value is cut short where it is shown."""

_WHOLE_AND_FRACTION = r"(?:(?P<whole>[0-9]{1,9})(?:\s+|-))?(?P<over>[0-9]{1,9})\s*/\s*(?P<under>[0-9]{1,9})"
_DECIMAL = r"(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?)"
_QUANTITY = re.compile(
    rf"\s*(?P<sign>[+\-−]?)\s*(?:{_WHOLE_AND_FRACTION}|{_DECIMAL})(?![0-9.]|[eE][+-]?[0-9])\s*(?P<unit>.*?)\s*"
)
_FACTOR = re.compile(r"(?P<by>[*/·⋅]?)\s*(?P<name>[^\W\d]+|[°%])(?:\s*(?:\^|\*\*)?\s*(?P<power>-?[1-4]))?\s*")
_SUPERSCRIPTS = str.maketrans("²³", "23")

Units = tuple[tuple[str, int], ...]


def split(text: str) -> tuple[Fraction, str] | None:
    """Split text into an exact number and the text of its unit; None when it does not begin with a number."""
    found = _QUANTITY.fullmatch(text) if len(text) <= LONGEST_TEXT else None
    if found is None or (found["under"] and not int(found["under"])):
        return None
    if found["decimal"]:
        size = Fraction(found["decimal"])
    else:
        size = int(found["whole"] or 0) + Fraction(int(found["over"]), int(found["under"]))
    return (-size if found["sign"] in ("-", "−") and found["sign"] else size), found["unit"]


def units_in(text: str) -> Units | None:
    """Read `kg/m3` as kg to the 1 and m to the -3; None when the text is not names, powers, `*` and `/`."""
    text, place = text.translate(_SUPERSCRIPTS), 0
    units: list[tuple[str, int]] = []
    while place < len(text):
        found = _FACTOR.match(text, place)
        if found is None or bool(found["by"]) != bool(units):
            return None
        power = int(found["power"] or 1)
        units.append((found["name"], -power if found["by"] == "/" else power))
        place = found.end()
    return tuple(units)


def exact(number: object) -> Fraction | None:
    """A finite real number as an exact fraction; None for anything else (a truth value is not a number)."""
    if isinstance(number, bool) or not isinstance(number, (Real, Decimal)):
        return None
    if isinstance(number, Integral):
        return Fraction(int(number))
    try:
        return Fraction(*number.as_integer_ratio())  # type: ignore[union-attr]  # all but Real itself have it
    except (ValueError, OverflowError):
        return None


def is_number(value: object) -> bool:
    """True for a real number, also one that is not finite."""
    return isinstance(value, (Real, Decimal)) and not isinstance(value, bool)


def shown(value: object) -> str:
    """Any value in one short printable line."""
    text = value if isinstance(value, str) and value.strip() and value.isprintable() else repr(value)
    text = " ".join(text.split())
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."


def decimal_comma(text: str) -> str | None:
    """Return the probable meaning of text with one comma in it; None when it is ambiguous."""
    if text.count(",") != 1 or split(text.replace(",", ".")) is None:
        return None
    pointed = text.replace(",", ".").strip()
    if re.search(r",[0-9]{3}(?![0-9])", text):
        return f"{text.replace(',', '').strip()} or {pointed}"
    return pointed
