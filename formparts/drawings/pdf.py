"""
A drawing as PDF with its font embedded: 100 mm on the page are 100 mm, and the same drawing gives the same bytes.

Source: ISO 32000-1 (path operators; from memory). The file, its pages and its font are fpdf2's; the paths are written
as they stand, since circles and ellipses are to stay smooth: a piece of an eighth of a turn as one Bezier curve is off
by four millionths of the radius.
"""

from __future__ import annotations

import logging
import math
from collections.abc import Iterator
from datetime import datetime

from formparts.drawings.curves import Conic, Filled, Mark, Straight, Stroke, Words
from formparts.drawings.letter_widths import CAPITAL, font_file, lacking
from formparts.drawings.sheet import Drawing
from formparts.errors import InputError
from formparts.outline import Point

POINTS = 72.0 / 25.4
"""Points of PDF in a millimetre: 72 in an inch of 25.4 mm."""


def pdf_bytes(drawing: Drawing, date: datetime) -> bytes:
    """The whole file; a letter that the font has not is refused, as an empty box would pass for the name."""
    from fpdf import FPDF

    for words in (drawing.name, *(mark.text for mark in drawing.marks if isinstance(mark, Words))):
        _check_letters(words)
    logging.getLogger("fontTools.subset").setLevel(logging.WARNING)
    pdf = FPDF(unit="mm", format=drawing.size)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.add_font("sans", "", str(font_file()))
    pdf.set_title(f"{drawing.name}: drawing")
    pdf.set_producer("formparts")
    pdf.set_creation_date(date)
    for page in drawing.pages:
        pdf.add_page()
        pdf._out("1 j")
        for mark in page:
            _draw(pdf, mark, drawing.size[1])
    return bytes(pdf.output())


def _check_letters(words: str) -> None:
    foreign = lacking(words)
    if foreign:
        codes = ", ".join(f"U+{ord(letter):04X}" for letter in foreign[:4])
        fix = (
            "draw it as DXF or SVG (--as dxf,svg), which take every letter, or name it in letters of the font"
        )
        raise InputError("drawing", "text", words, f"the font of the PDF lacks {codes}", fix)


def _draw(pdf, mark: Mark, height: float) -> None:  # type: ignore[no-untyped-def]
    if isinstance(mark, Words):
        _words(pdf, mark, height)
    elif isinstance(mark, Filled):
        first, *others = (_at(corner) for corner in mark.corners)
        pdf._out(f"{first} m {' '.join(f'{corner} l' for corner in others)} h f")
    else:
        pdf._out(" ".join(_stroke(mark)))


def _number(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _at(point: Point) -> str:
    """A point of the paper [mm], y up, in points."""
    return f"{_number(point[0] * POINTS)} {_number(point[1] * POINTS)}"


def _stroke(mark: Stroke) -> Iterator[str]:
    """Pen, dashes and path; dashed lines have square ends, others round ones."""
    dashes = " ".join(_number(value * POINTS) for value in mark.pen.pattern)
    yield f"{_number(mark.pen.width * POINTS)} w [{dashes}] 0 d {0 if dashes else 1} J"
    curve = mark.curve
    if isinstance(curve, Conic):
        yield f"{_at(curve.at(curve.start))} m {' '.join(_beziers(curve))} {'s' if curve.is_whole else 'S'}"
    else:
        corners = [curve.start, curve.end] if isinstance(curve, Straight) else list(curve.corners)
        yield f"{_at(corners[0])} m {' '.join(f'{_at(corner)} l' for corner in corners[1:])} S"


def _beziers(conic: Conic) -> Iterator[str]:
    """The conic in pieces of at most an eighth of a turn."""
    count = max(1, math.ceil((conic.end - conic.start) / (math.pi / 4.0) - 1e-9))
    step = (conic.end - conic.start) / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0)
    for number in range(count):
        first = conic.start + step * number
        last = first + step
        out, back = _slope(conic, first), _slope(conic, last)
        start, end = conic.at(first), conic.at(last)
        one = (start[0] + reach * out[0], start[1] + reach * out[1])
        two = (end[0] - reach * back[0], end[1] - reach * back[1])
        yield f"{_at(one)} {_at(two)} {_at(end)} c"


def _slope(conic: Conic, angle: float) -> Point:
    """How a point of the conic moves with its parameter."""
    mx, my = conic.major
    sin, cos = math.sin(angle), math.cos(angle) * conic.ratio
    return (-sin * mx - cos * my, -sin * my + cos * mx)


def _words(pdf, words: Words, height: float) -> None:  # type: ignore[no-untyped-def]
    """Letters of the embedded font; fpdf2 counts y downwards."""
    pdf.set_font("sans", size=words.height * 1000.0 / CAPITAL * POINTS)
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * pdf.get_string_width(words.text)
    x, y = words.at
    if words.turned:
        with pdf.rotation(90, x, height - y):
            pdf.text(x - back, height - y, words.text)
    else:
        pdf.text(x - back, height - y, words.text)
