"""The letters of the sheet: an open font that ships in a package, its widths and what it holds."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from formparts.errors import InputError

CAPITAL = 729
"""Height of a capital, in thousandths of the letter size; DejaVu Sans, table OS/2 of the font itself."""
UNKNOWN = 800
"""Width of a letter that the font lacks, on the safe side."""


@cache
def font_file() -> Path:
    """The file of DejaVu Sans (a free licence of its own), as matplotlib ships it; matplotlib itself is not loaded."""
    found = find_spec("matplotlib")
    places = list(found.submodule_search_locations or ()) if found else []
    for place in places:
        file = Path(place) / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if file.exists():
            return file
    raise InputError("drawing", "font", "DejaVuSans.ttf", "is not installed", "pip install matplotlib")


@cache
def widths() -> dict[int, int]:
    """Width of each letter that the font holds, by its code, in thousandths of the letter size."""
    from reportlab.pdfbase.ttfonts import TTFontFace  # type: ignore[import-untyped] # it brings no types

    face = TTFontFace(str(font_file()))
    return {code: round(face.charWidths[code]) for code in face.charToGlyph if code in face.charWidths}


def width_of(text: str) -> int:
    """Width of a line of text, in thousandths of the letter size."""
    known = widths()
    return sum(known.get(ord(letter), UNKNOWN) for letter in text)


def lacking(text: str) -> str:
    """The letters of a text that the font does not hold, each once."""
    known = widths()
    return "".join(dict.fromkeys(letter for letter in text if ord(letter) not in known or ord(letter) < 32))
