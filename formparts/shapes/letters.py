"""Letters of single lines, drawn for this library on a grid of four by six: for engraving and marking."""

from __future__ import annotations

from typing import Final

from formparts.errors import InputError
from formparts.outline import Point

_ADVANCE, _TALL = 6.0, 6.0
_O = "01 05 16 36 45 41 30 10 01"
_P = "00 06 36 45 44 33 03"
_GLYPHS: Final = {
    "A": "00 04 26 44 40/03 43", "B": f"{_P}/33 42 41 30 00", "C": "41 30 10 01 05 16 36 45",
    "D": "00 06 26 44 42 20 00", "E": "40 00 06 46/03 33", "F": "00 06 46/03 33",
    "G": "45 36 16 05 01 10 30 41 43 23", "H": "00 06/40 46/03 43", "I": "10 30/20 26/16 36",
    "J": "01 10 30 41 46", "K": "00 06/46 03 40", "L": "06 00 40", "M": "00 06 23 46 40", "N": "00 06 40 46",
    "O": _O, "P": _P, "Q": f"{_O}/22 40", "R": f"{_P}/23 40", "S": "01 10 30 41 42 33 13 04 05 16 36 45",
    "T": "06 46/20 26", "U": "06 01 10 30 41 46", "V": "06 20 46", "W": "06 10 23 30 46", "X": "00 46/06 40",
    "Y": "06 23 46/23 20", "Z": "06 46 00 40",
    "0": f"{_O}/11 35", "1": "14 26 20/10 30", "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01/13 33",
    "4": "30 36 02 42", "5": "46 06 04 34 43 41 30 10 01", "6": "45 36 16 05 01 10 30 41 42 33 13 02",
    "7": "06 46 10", "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "9": "01 10 30 41 45 36 16 05 04 13 33 44",
    " ": "", "-": "13 33", "_": "00 40", ".": "10 20 21 11 10", ",": "10 21", ":": "11 12/14 15", "/": "00 46",
    "+": "21 25/03 43", "=": "02 42/04 44", "(": "36 15 11 30", ")": "16 35 31 10", "#": "10 16/30 36/02 42/04 44",
    "Ø": f"{_O}/00 46",
}  # fmt: skip
"""The lines of each letter, separated by slashes; each point is its position across and up."""


def lines_of(text: str, height: float) -> tuple[tuple[Point, ...], ...]:
    """Return the lines of a row of text about its centre; small letters are written as capitals."""
    missing = sorted({letter for letter in text.upper() if letter not in _GLYPHS})
    if missing:
        known = "".join(sorted(_GLYPHS))
        fix = f"these there are: {known}"
        raise InputError(
            "lettering", "text", text, f"has letters that this alphabet lacks: {' '.join(missing)}", fix
        )
    scale, wide = height / _TALL, (len(text) * _ADVANCE - 2.0)
    found = []
    for number, letter in enumerate(text.upper()):
        left = number * _ADVANCE - wide / 2.0
        for line in filter(None, _GLYPHS[letter].split("/")):
            points = [(int(point[0]), int(point[1])) for point in line.split()]
            found.append(tuple((scale * (left + x), scale * (y - _TALL / 2.0)) for x, y in points))
    return tuple(found)
