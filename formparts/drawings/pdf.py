"""A drawing as PDF, written by ourselves: 100 mm on the page are 100 mm, and the same drawing gives the same bytes.

Source: ISO 32000-1 (file structure, path and text operators, the base fonts; from memory). A quarter of a circle or
less is one Bezier curve; at an eighth of a turn it is off by four millionths of the radius.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator
from datetime import datetime
from unicodedata import category

from formparts.drawings.curves import Conic, Filled, Mark, Straight, Stroke, Words
from formparts.drawings.letter_widths import CAPITAL, UNKNOWN, WIDTHS
from formparts.drawings.sheet import Drawing
from formparts.errors import InputError
from formparts.outline import Point

POINTS = 72.0 / 25.4
"""Points of PDF in a millimetre: 72 in an inch of 25.4 mm."""


def pdf_bytes(drawing: Drawing, date: datetime) -> bytes:
    """The whole file; a letter that the base fonts have not is refused, as a question mark would pass for the name."""
    for words in (drawing.name, *(mark.text for mark in drawing.marks if isinstance(mark, Words))):
        _check_letters(words)
    content = zlib.compress("\n".join(_content(drawing)).encode("cp1252"), 9)
    width, height = (_number(side * POINTS) for side in drawing.size)
    objects = (
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width} {height}] /Contents 4 0 R "
        f"/Resources << /Font << /F 5 0 R >> >> >>".encode("ascii"),
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(content), content),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
        b"<< /Title %s /Producer (formparts) /CreationDate (D:%s+00'00') >>"
        % (_title(f"{drawing.name}: drawing"), date.strftime("%Y%m%d%H%M%S").encode("ascii")),
    )
    return _file(objects)


def _file(objects: tuple[bytes, ...]) -> bytes:
    """Objects one after the other, and the table that says where each begins."""
    out = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
    starts = []
    for number, inside in enumerate(objects, 1):
        starts.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, inside)
    table = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    for start in starts:
        out += b"%010d 00000 n \n" % start
    out += b"trailer\n<< /Size %d /Root 1 0 R /Info %d 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1, len(objects), table,
    )  # fmt: skip
    return bytes(out)


def _check_letters(words: str) -> None:
    foreign = "".join(dict.fromkeys(letter for letter in words if not _is_set(letter)))
    if foreign:
        codes = ", ".join(f"U+{ord(letter):04X}" for letter in foreign[:4])
        problem = f"the letters of a PDF's base fonts hold no {codes}"
        fix = "draw it as DXF or SVG (--as dxf,svg), which take every letter, or name it in Latin letters"
        raise InputError("drawing", "text", words, problem, fix)


def _is_set(letter: str) -> bool:
    """True for a letter of the base encoding that is no control character."""
    try:
        return category(letter) != "Cc" and len(letter.encode("cp1252")) == 1
    except UnicodeEncodeError:
        return False


def _text(words: str) -> bytes:
    """A string of the file, in the letters of the base encoding."""
    safe = words.encode("cp1252")
    return b"(" + safe.replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)") + b")"


def _title(words: str) -> bytes:
    """A string about the file: it has an encoding of its own, so that what is not plain ASCII goes as UTF-16."""
    return _text(words) if words.isascii() else b"<FEFF%s>" % words.encode("utf-16-be").hex().upper().encode()


def _number(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _at(point: Point) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _content(drawing: Drawing) -> Iterator[str]:
    """All marks in millimetres, under one scale."""
    yield f"{POINTS:.12f} 0 0 {POINTS:.12f} 0 0 cm 1 j"
    for mark in drawing.marks:
        yield from _mark(mark)


def _mark(mark: Mark) -> Iterator[str]:
    if isinstance(mark, Words):
        yield _words(mark)
    elif isinstance(mark, Filled):
        first, *others = (_at(corner) for corner in mark.corners)
        yield f"{first} m {' '.join(f'{corner} l' for corner in others)} h f"
    else:
        yield from _stroke(mark)


def _stroke(mark: Stroke) -> Iterator[str]:
    """Pen, dashes and path; dashed lines have square ends, others round ones."""
    dashes = " ".join(_number(value) for value in mark.pen.pattern)
    yield f"{_number(mark.pen.width)} w [{dashes}] 0 d {0 if dashes else 1} J"
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


def _words(words: Words) -> str:
    size = words.height * 1000.0 / CAPITAL
    wide = sum(WIDTHS.get(letter, UNKNOWN) for letter in words.text) / 1000.0 * size
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor] * wide
    x, y = words.at
    turn, place = ("0 1 -1 0", (x, y - back)) if words.turned else ("1 0 0 1", (x - back, y))
    return f"BT /F {_number(size)} Tf {turn} {_at(place)} Tm {_text(words.text).decode('cp1252')} Tj ET"
