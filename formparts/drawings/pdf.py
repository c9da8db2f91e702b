"""A drawing as PDF with its font embedded: 100 mm on the page are 100 mm, the same drawing gives the same bytes.

The file, its pages and its font are reportlab's. Circles and ellipses are drawn as arcs of an eighth of a
turn: one Bezier curve deviates from such an arc by four millionths of the radius.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from formparts.drawings.curves import Conic, Filled, PenLine, Straight, Words, flattened
from formparts.drawings.letter_widths import CAPITAL, font_file, lacking
from formparts.drawings.sheet import Drawing
from formparts.errors import InputError
from formparts.outline import Point
from formparts.tolerances import ROUNDING

POINTS = 72.0 / 25.4
"""Points of PDF in a millimetre: 72 in an inch of 25.4 mm."""
_FONT = "sans"


def pdf_bytes(drawing: Drawing, date: datetime) -> bytes:
    """Return the file; a character that the font lacks is refused, as an empty box would look like part of the name."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped] # it brings no types
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped] # it brings no types
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped] # it brings no types

    for words in (drawing.name, *(mark.text for mark in drawing.marks if isinstance(mark, Words))):
        _check_letters(words)
    # Registered anew each time: a font keeps the characters that earlier files used.
    pdfmetrics.registerFont(TTFont(_FONT, str(font_file())))
    out = io.BytesIO()
    canvas = Canvas(
        out,
        [side * POINTS for side in drawing.size],
        invariant=True,
        pageCompression=1,
        initialFontName=_FONT,
    )
    canvas.setTitle(f"{drawing.name}: drawing")
    canvas.setCreator("formparts")
    canvas.setProducer("formparts")
    for page in drawing.pages:
        canvas.setLineJoin(1)
        for mark in flattened(page):
            _draw(canvas, mark)
        canvas.showPage()
    canvas.save()
    return _dated(out.getvalue(), date)


def _dated(data: bytes, date: datetime) -> bytes:
    """Replace the fixed date that makes the file repeatable with the given date of the same length."""
    wanted = b"(D:%s+00'00')" % date.strftime("%Y%m%d%H%M%S").encode("ascii")
    return re.sub(rb"\(D\x3a[0-9]{14}[+-][0-9]{2}'[0-9]{2}'\)", wanted, data)


def _check_letters(words: str) -> None:
    foreign = lacking(words)
    if foreign:
        codes = ", ".join(f"U+{ord(letter):04X}" for letter in foreign[:4])
        fix = (
            "draw it as DXF or SVG (--as dxf,svg), which take every letter, or name it in letters of the font"
        )
        raise InputError("drawing", "text", words, f"the font of the PDF lacks {codes}", fix)


def _draw(canvas: Any, mark: PenLine | Words | Filled) -> None:
    if isinstance(mark, Words):
        _words(canvas, mark)
        return
    path = canvas.beginPath()
    if isinstance(mark, Filled):
        _through(path, mark.corners)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
        return
    # Dashed lines have square ends, others round ones.
    canvas.setLineWidth(mark.pen.width * POINTS)
    canvas.setDash([length * POINTS for length in mark.pattern])
    canvas.setLineCap(0 if mark.pen.pattern else 1)
    curve = mark.curve
    if isinstance(curve, Conic):
        path.moveTo(*_at(curve.at(curve.start)))
        for one, two, end in _beziers(curve):
            path.curveTo(*_at(one), *_at(two), *_at(end))
    else:
        _through(path, [curve.start, curve.end] if isinstance(curve, Straight) else curve.corners)
    canvas.drawPath(path)


def _through(path: Any, corners: Sequence[Point]) -> None:
    path.moveTo(*_at(corners[0]))
    for corner in corners[1:]:
        path.lineTo(*_at(corner))


def _at(point: Point) -> Point:
    """Return a point of the paper [mm] in points."""
    return (point[0] * POINTS, point[1] * POINTS)


def _beziers(conic: Conic) -> Iterator[tuple[Point, Point, Point]]:
    """Return the conic in arcs of at most an eighth of a turn: two control points and an end for each."""
    count = max(1, math.ceil((conic.end - conic.start) / (math.pi / 4.0) - ROUNDING))
    step = (conic.end - conic.start) / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0)
    for number in range(count):
        first = conic.start + step * number
        last = first + step
        out, back = _slope(conic, first), _slope(conic, last)
        start, end = conic.at(first), conic.at(last)
        one = (start[0] + reach * out[0], start[1] + reach * out[1])
        two = (end[0] - reach * back[0], end[1] - reach * back[1])
        yield one, two, end


def _slope(conic: Conic, angle: float) -> Point:
    """Return the derivative of a point of the conic by its parameter."""
    mx, my = conic.major
    sin, cos = math.sin(angle), math.cos(angle) * conic.ratio
    return (-sin * mx - cos * my, -sin * my + cos * mx)


def _words(canvas: Any, words: Words) -> None:
    """Draw text in the embedded font."""
    size = words.height * 1000.0 / CAPITAL * POINTS
    canvas.setFont(_FONT, size)
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * canvas.stringWidth(
        words.text, _FONT, size
    )
    canvas.saveState()
    canvas.translate(*_at(words.at))
    canvas.rotate(90 if words.turned else 0)
    canvas.drawString(-back, 0, words.text)
    canvas.restoreState()
