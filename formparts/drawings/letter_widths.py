"""The font of the sheet: an open font shipped in a package, its character widths and the characters that it has."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from formparts.errors import InputError

CAPITAL = 729
"""Height of a capital, in thousandths of the font size; DejaVu Sans, table OS/2 of the font itself."""
UNKNOWN = 800
"""Width assumed for a character that the font lacks, on the safe side."""


@cache
def font_file() -> Path:
    """Return the file of DejaVu Sans (free licence), shipped by matplotlib; matplotlib itself is not loaded."""
    found = find_spec("matplotlib")
    places = list(found.submodule_search_locations or ()) if found else []
    for place in places:
        file = Path(place) / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if file.exists():
            return file
    raise InputError("drawing", "font", "DejaVuSans.ttf", "is not installed", "pip install matplotlib")


@cache
def widths() -> dict[int, int]:
    """Return the width of each character of the font, by code point, in thousandths of the font size."""
    from reportlab.pdfbase.ttfonts import TTFontFace  # type: ignore[import-untyped] # it has no type hints

    face = TTFontFace(str(font_file()))
    return {code: round(face.charWidths[code]) for code in face.charToGlyph if code in face.charWidths}


def width_of(text: str) -> int:
    """Return the width of a line of text, in thousandths of the font size."""
    known = widths()
    return sum(known.get(ord(letter), UNKNOWN) for letter in text)


def lacking(text: str) -> str:
    """Return the characters of a text that the font lacks, each once."""
    known = widths()
    return "".join(dict.fromkeys(letter for letter in text if ord(letter) not in known or ord(letter) < 32))
