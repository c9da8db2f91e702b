"""Frame, title block, projection symbol and notes: a plain design of our own."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from formparts.body import Body
from formparts.closed_forms import Properties
from formparts.drawings.curves import (
    CENTRE,
    FRAME,
    TABLE,
    VISIBLE,
    Mark,
    Words,
    circle,
    line,
    text_width,
)
from formparts.drawings.general_tolerances import CLASSES, excerpt
from formparts.drawings.legs import is_profile
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.records import CAUTIONS

SHEETS: Final = {
    "A4": (297.0, 210.0), "A3": (420.0, 297.0), "A2": (594.0, 420.0), "A1": (841.0, 594.0), "A0": (1189.0, 841.0),
}  # fmt: skip
"""Trimmed sheets, lying [mm]; ISO 216, ISO 5457."""

_BINDING, _MARGIN = 20.0, 10.0
"""Left margin and the others [mm]; ISO 5457."""
WIDE, _ROW = 180.0, 8.5
"""Width of the title block (ISO 7200) and height of its rows [mm]."""
TALL = 5 * _ROW
_HEIGHTS = (5.0, 3.5, 2.5, 1.8)


@dataclass(frozen=True)
class Told:
    """What the title block says besides what the part itself says."""

    sheet: str
    scale: str
    projection: str
    tolerance: str
    date: str


def frame_box(sheet: str) -> Bounds:
    """The drawing area of a sheet."""
    width, height = SHEETS[sheet]
    return (_BINDING, _MARGIN, width - _MARGIN, height - _MARGIN)


def frame_marks(sheet: str) -> Iterator[Mark]:
    """The frame, and the centring marks across it."""
    x0, y0, x1, y1 = frame_box(sheet)
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    for start, end in pairwise(corners):
        yield line(start, end, FRAME)
    for start, end in _centring(sheet):
        yield line(start, end, FRAME)


def _centring(sheet: str) -> tuple[tuple[Point, Point], ...]:
    """From the edge of the sheet a little into the frame, in the middle of each side; ISO 5457."""
    x0, y0, x1, y1 = frame_box(sheet)
    width, height = SHEETS[sheet]
    return (
        ((0.0, height / 2), (x0 + 3.0, height / 2)), ((x1 - 3.0, height / 2), (width, height / 2)),
        ((width / 2, 0.0), (width / 2, y0 + 3.0)), ((width / 2, y1 - 3.0), (width / 2, height)),
    )  # fmt: skip


def kept_free(sheet: str) -> Bounds:
    """Where the title block stands."""
    _, y0, x1, _ = frame_box(sheet)
    return (x1 - WIDE, y0, x1, y0 + TALL)


def title_block(body: Body, figures: Properties, told: Told) -> list[Mark]:
    """The block, its lower right corner at the origin."""
    sheet = body.sheet
    mass = f"{figures.mass:.3f} kg" if figures.mass >= 1.0 else f"{1000.0 * figures.mass:.4g} g"
    largest = max(figures.envelope)
    material = " ".join(word for word in (sheet.material.name, sheet.material.standard_number) if word)
    drawn = ", ".join(filter(None, ("formparts", told.date)))
    rows: tuple[tuple[tuple[str, str, float], ...], ...] = (
        (("title", body.name, 130.0), ("document", "part drawing", 50.0)),
        (("drawn", drawn, 60.0), ("checked", "", 60.0), ("released", "", 60.0)),
        (("material", material, 90.0), ("sheet", f"t = {sheet.thickness:g} mm", 45.0), ("mass", mass, 45.0)),
        (
            (
                f"general tolerances ISO 2768-{told.tolerance} ({CLASSES[told.tolerance]}), lengths [mm]",
                excerpt(largest, told.tolerance), 180.0,
            ),
        ),
        (
            ("scale", told.scale, 40.0), (f"projection: {told.projection} angle", "", 60.0), ("size", told.sheet, 30.0),
            ("lengths", "mm", 25.0), ("sheet", "1 / 1", 25.0),
        ),
    )  # fmt: skip
    marks: list[Mark] = []
    for number, row in enumerate(rows):
        marks += _row(row, TALL - number * _ROW)
    marks += [line((-WIDE, 0.0), (-WIDE, TALL), FRAME), line((-WIDE, TALL), (0.0, TALL), FRAME)]
    return [*marks, *_symbol((-WIDE + 40.0 + 42.0, _ROW / 2.0), told.projection == "first")]


def _row(cells: Sequence[tuple[str, str, float]], top: float) -> Iterator[Mark]:
    """Cells side by side; each has a small label above its words."""
    left = -WIDE
    yield line((left, top), (0.0, top), TABLE)
    for label, words, width in cells:
        yield Words(label, (left + 1.0, top - 2.4), 1.8)
        if words:
            yield fitted(words, (left + 1.0, top - _ROW + 1.6), width - 2.0, 3.5)
        left += width
        if left < -1e-6:
            yield line((left, top), (left, top - _ROW), TABLE)


def fitted(words: str, at: Point, width: float, tallest: float) -> Words:
    """Words as tall as fits the width; what does not fit at the smallest height is cut with dots."""
    for height in _HEIGHTS:
        if height <= tallest and text_width(words, height) <= width:
            return Words(words, at, height)
    while len(words) > 4 and text_width(f"{words}...", _HEIGHTS[-1]) > width:
        words = words[:-1]
    return Words(f"{words}...", at, _HEIGHTS[-1])


def _symbol(at: Point, first: bool) -> Iterator[Mark]:
    """
    A truncated cone in two views, after ISO 5456-2.

    Its narrow end is to the left. Seen from there both circles are visible: in first-angle projection that view
    stands on the right of the cone, in third-angle on the left.
    """
    x, y = at
    small, large, long = 1.25, 2.5, 5.0
    cone, ring = (x - 6.5, x + 4.5) if first else (x + 0.5, x - 4.5)
    corners = ((cone, y - small), (cone + long, y - large), (cone + long, y + large), (cone, y + small))
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield line(start, end, VISIBLE)
    yield circle((ring, y), small, VISIBLE)
    yield circle((ring, y), large, VISIBLE)
    yield line((cone - 1.5, y), (cone + long + 1.5, y), CENTRE)
    yield line((ring - large - 1.0, y), (ring + large + 1.0, y), CENTRE)
    yield line((ring, y - large - 1.0), (ring, y + large + 1.0), CENTRE)


LEGS = (
    "Legs of the section are given on their outer faces: to mould lines, beyond 90° to the outermost line of "
    "the bend."
)


def _is_profile(body: Body) -> bool:
    """True when a view shows all legs on edge."""
    return any(is_profile(body, axis) for axis in ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))


def notes(body: Body) -> list[Mark]:
    """What else must be known, as lines below each other; the upper left corner is at the origin."""
    bent = (
        f"Inside radius of bends R{body.sheet.inside_radius:g} unless listed otherwise.",
        "Bend angles are rotations from flat. Positions of bend lines are those of their middles on the blank.",
        f"Developed by: {body.sheet.bend_rule.name}.",
    )
    said = (*(bent if body.bends else ()), *([LEGS] if _is_profile(body) else []), *CAUTIONS)
    marks: list[Mark] = []
    for number, sentence in enumerate(said, 1):
        for at, part in enumerate(textwrap.wrap(sentence, 66)):
            y = -4.0 * (len(marks) + 1)
            marks.append(Words(f"{number}  {part}" if at == 0 else f"    {part}", (0.0, y), 2.5))
    return marks
