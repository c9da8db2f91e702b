"""Frame, title block, revision table, projection symbol and notes: a plain design of our own with ISO 7200's fields."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from formparts.body import Body, rules_text
from formparts.closed_forms import Properties
from formparts.drawings.curves import CENTRE, FRAME, TABLE, VISIBLE, Mark, Words, circle, line, text_width
from formparts.drawings.numbers import Numbers
from formparts.general_tolerances import CLASSES, angular_excerpt, excerpt
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.records import CAUTIONS
from formparts.tolerances import LENGTH

SHEETS: Final = {
    "A4": (297.0, 210.0), "A3": (420.0, 297.0), "A2": (594.0, 420.0), "A1": (841.0, 594.0), "A0": (1189.0, 841.0),
}  # fmt: skip
"""Trimmed sheets, lying [mm]; ISO 216, ISO 5457."""

_BINDING, _MARGIN = 20.0, 10.0
"""Left margin and the others [mm]; ISO 5457."""
WIDE, _ROW = 180.0, 8.6
"""Width of the title block (ISO 7200) and height of its rows [mm], for letters of 2.5 mm; it grows with them."""
_ROWS = 6
LETTERS: Final = {"A4": 2.5, "A3": 2.5, "A2": 2.5, "A1": 3.5, "A0": 3.5}
"""Height of letters by sheet [mm]; ISO 3098 has 2.5 and 3.5 among its heights (from memory)."""


@dataclass(frozen=True)
class Revision:
    """
    One row of the revision table.

    Parameters
    ----------
    revision : str
        Its letter or number.
    change : str
        What changed.
    date, by : str
        When, and who changed it.
    """

    revision: str
    change: str
    date: str = ""
    by: str = ""


@dataclass(frozen=True)
class TitleData:
    """The title block's contents that do not come from the part itself; every field may be empty.

    Parameters
    ----------
    number, revision, date : str
        Identification number, revision index and date of issue.
    owner, author, checked, released : str
        Legal owner; who drew, checked and released it.
    title : str
        In place of the part's name.
    finish, burr_side, grain, quantity : str
        Surface, side of the burr, direction of the grain, how many.
    tolerancing : str
        A note on general geometrical tolerancing, `ISO 22081` for example.
    position : str
        Tolerances of position: names of openings, each with the diameter of its zone [mm], as `foot_hole 0.4`, with
        commas between them.
    general : tuple of (float, float) [mm]
        Your own table of general tolerances: up to a length, plus and minus a value.
    revisions : tuple of Revision
        The latest last.
    """

    number: str = ""
    revision: str = ""
    date: str = ""
    owner: str = ""
    author: str = ""
    checked: str = ""
    released: str = ""
    title: str = ""
    finish: str = ""
    burr_side: str = ""
    grain: str = ""
    quantity: str = ""
    tolerancing: str = ""
    position: str = ""
    general: tuple[tuple[float, float], ...] = ()
    revisions: tuple[Revision, ...] = ()


@dataclass(frozen=True)
class Told:
    """Further contents of the title block, from neither the part nor the title data."""

    sheet: str
    scale: str
    projection: str
    tolerance: str
    date: str
    page: int
    pages: int
    unit: str = "mm"


def letters(sheet: str) -> float:
    """Return the height of letters on a sheet [mm]."""
    return LETTERS[sheet]


def frame_box(sheet: str) -> Bounds:
    """Return the drawing area of a sheet."""
    width, height = SHEETS[sheet]
    return (_BINDING, _MARGIN, width - _MARGIN, height - _MARGIN)


def frame_marks(sheet: str) -> Iterator[Mark]:
    """Draw the frame, and the centring marks across it; ISO 5457."""
    x0, y0, x1, y1 = frame_box(sheet)
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    for start, end in pairwise(corners):
        yield line(start, end, FRAME)
    for start, end in _centring(sheet):
        yield line(start, end, FRAME)


def _centring(sheet: str) -> tuple[tuple[Point, Point], ...]:
    """Draw centring marks from the sheet's edges a little into the frame, or up to the title block."""
    x0, y0, x1, y1 = frame_box(sheet)
    width, height = SHEETS[sheet]
    low = y0 if kept_free(sheet)[0] < width / 2 else y0 + 3.0
    return (
        ((0.0, height / 2), (x0 + 3.0, height / 2)), ((x1 - 3.0, height / 2), (width, height / 2)),
        ((width / 2, 0.0), (width / 2, low)), ((width / 2, y1 - 3.0), (width / 2, height)),
    )  # fmt: skip


def block_size(sheet: str) -> tuple[float, float]:
    """Return the width and height of the title block on a sheet [mm]."""
    k = letters(sheet) / 2.5
    return (k * WIDE, k * _ROWS * _ROW)


def kept_free(sheet: str) -> Bounds:
    """Return the area of the title block."""
    _, y0, x1, _ = frame_box(sheet)
    wide, tall = block_size(sheet)
    return (x1 - wide, y0, x1, y0 + tall)


Cell = tuple[str, str, float]
"""Label, text, and width as a share of the block's 180."""


@dataclass(frozen=True)
class Subject:
    """The title block's contents for the part or assembly itself."""

    name: str
    material: str
    thickness: str
    mass: str
    longest: float
    """Its longest side [mm]."""


def subject_of(body: Body, figures: Properties, numbers: Numbers) -> Subject:
    """Return the title block's contents for a part."""
    sheet = body.sheet
    standard, named = sheet.material.standard_number, sheet.material.name
    material = named if not standard or standard in named else f"{named} {standard}"
    thickness = f"{sheet.thickness:g} mm"
    if numbers.unit == "in":
        inches = f"{sheet.thickness / 25.4:.4g} in"
        thickness = f"{inches} [{thickness}]" if numbers.both else inches
    return Subject(body.name, material, thickness, mass_shown(figures.mass), max(figures.envelope))


def mass_shown(mass: float) -> str:
    """Return a mass [kg] as written in the block."""
    return f"{mass:.3f} kg" if mass >= 1.0 else f"{1000.0 * mass:.4g} g"


def title_block(subject: Subject, told: Told, data: TitleData) -> list[Mark]:
    """Draw the block, its lower right corner at the origin."""
    wide, tall = block_size(told.sheet)
    k = letters(told.sheet) / 2.5
    marks: list[Mark] = []
    rows = _cells(subject, told, data)
    for number, row in enumerate(rows):
        marks += _row(row, tall - number * k * _ROW, k, wide)
    marks += [line((-wide, 0.0), (-wide, tall), FRAME), line((-wide, tall), (0.0, tall), FRAME)]
    return [*marks, *_symbol((-8.5 * k, 0.5 * k * _ROW), told.projection == "first")]


def _cells(subject: Subject, told: Told, data: TitleData) -> tuple[tuple[Cell, ...], ...]:
    linear, angular = _tolerances(subject.longest, told, data)
    return (
        (("owner", data.owner, 55.0), ("title", data.title or subject.name, 85.0), ("number", data.number, 40.0)),
        (
            ("author", data.author, 36.0), ("checked", data.checked, 36.0), ("released", data.released, 36.0),
            ("date", data.date or told.date, 30.0), ("revision", data.revision, 21.0),
            ("sheet", f"{told.page} / {told.pages}", 21.0),
        ),
        (
            ("material", subject.material, 80.0), ("thickness", subject.thickness, 25.0), ("mass", subject.mass, 30.0),
            ("finish", data.finish, 45.0),
        ),
        (
            ("burr side", data.burr_side, 40.0), ("grain", data.grain, 40.0), ("quantity", data.quantity, 22.0),
            ("scale", told.scale, 30.0), ("size", told.sheet, 20.0), ("lengths in", told.unit, 28.0),
        ),
        (linear,),
        (angular, ("projection", f"{told.projection} angle", 42.0)),
    )  # fmt: skip


def _tolerances(largest: float, told: Told, data: TitleData) -> tuple[Cell, Cell]:
    name = f"ISO 2768-{told.tolerance} ({CLASSES[told.tolerance]})"
    if data.general:
        own = " | ".join(f"≤{end:g}: ±{value:g}" for end, value in data.general)
        linear = ("general tolerances of lengths, own table [mm]", own)
    else:
        linear = (f"general tolerances {name}, lengths [mm]", excerpt(largest, told.tolerance))
    angular = f"{angular_excerpt(largest, told.tolerance)}"
    label = f"angles, {name}, by the shorter leg [mm]"
    if data.tolerancing:
        label = f"{data.tolerancing} | {label}"
    return (*linear, 180.0), (label, angular, 138.0)


def _row(cells: Sequence[Cell], top: float, k: float, wide: float) -> Iterator[Mark]:
    """Draw cells side by side; each has a small label above its text."""
    left, row = -wide, k * _ROW
    yield line((left, top), (0.0, top), TABLE)
    for label, words, share in cells:
        width = share * k
        yield fitted(label, (left + 1.0, top - 3.2 * k), width - 2.0, 2.5 * k, 2.5 * k)
        if words:
            tall = 3.0 * k if label in ("title", "number") else 2.5 * k
            yield fitted(words, (left + 1.0, top - row + 1.2 * k), width - 2.0, tall, 2.5 * k)
        left += width
        if left < -LENGTH:
            yield line((left, top), (left, top - row), TABLE)


def fitted(words: str, at: Point, width: float, tallest: float, least: float) -> Words:
    """Return text as tall as fits the width; what does not fit at the smallest height is cut with dots."""
    for height in (tallest, least):
        if text_width(words, height) <= width:
            return Words(words, at, height)
    while len(words) > 1 and text_width(f"{words}…", least) > width:
        words = words[:-1]
    return Words(f"{words}…", at, least)


_CHANGE = 70
"""A change longer than this continues in the next line of its row."""


def revision_table(data: TitleData, height: float) -> list[Mark]:
    """Draw the revisions, the latest on top, lower right corner at the origin; empty when there are none."""
    if not data.revisions:
        return []
    rows = [_revision_lines(one) for one in reversed(data.revisions)]
    rows.append([("rev.", "change", "date", "by")])
    widths = [max(text_width(line_[n], height) for row in rows for line_ in row) + 3.0 for n in range(4)]
    lefts = [-sum(widths[n:]) for n in range(5)]
    step, y, marks = 1.9 * height, 0.0, list[Mark]()
    for row in reversed(rows):
        marks.append(line((lefts[0], y), (0.0, y), TABLE))
        for cells in reversed(row):
            at = [(left + 1.5, y + 0.45 * height) for left in lefts]
            marks += [Words(words, spot, height) for words, spot in zip(cells, at, strict=False) if words]
            y += step
    marks.append(line((lefts[0], y), (0.0, y), TABLE))
    return [*marks, *(line((x, 0.0), (x, y), TABLE) for x in lefts)]


def _revision_lines(one: Revision) -> list[tuple[str, str, str, str]]:
    """Return the lines of a row, the first with all its cells."""
    first, *rest = textwrap.wrap(one.change, _CHANGE) or [""]
    return [(one.revision, first, one.date, one.by), *(("", words, "", "") for words in rest)]


def _symbol(at: Point, first: bool) -> Iterator[Mark]:
    """
    Draw a truncated cone in two views, after ISO 5456-2.

    Its narrow end is to the left. Seen from there both circles are visible: in first-angle projection that
    view is on the right of the cone, in third-angle on the left.
    """
    x, y = at
    small, large, long = 1.1, 2.2, 5.0
    cone, ring = (x - 6.5, x + 4.5) if first else (x + 0.5, x - 4.5)
    corners = ((cone, y - small), (cone + long, y - large), (cone + long, y + large), (cone, y + small))
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield line(start, end, VISIBLE)
    yield circle((ring, y), small, VISIBLE)
    yield circle((ring, y), large, VISIBLE)
    yield line((cone - 1.5, y), (cone + long + 1.5, y), CENTRE)
    yield line((ring - large - 0.7, y), (ring + large + 0.7, y), CENTRE)
    yield line((ring, y - large - 0.7), (ring, y + large + 0.7), CENTRE)


def notes(body: Body, height: float, more: Sequence[str] = ()) -> list[Mark]:
    """Return the notes as lines below each other; the upper left corner is at the origin."""
    bent = (
        "Bend angles count from flat (0° = flat); radii of bends are inside radii.",
        "Legs are given on their outer faces: to mould lines, beyond 90° to the outermost line of the bend.",
        f"Developed by: {rules_text(body)}. Figures in parentheses are for reference.",
    )
    return notes_of((*more, *(bent if body.bends else ()), *CAUTIONS), height)


def notes_of(said: Sequence[str], height: float) -> list[Mark]:
    """Return numbered sentences below each other; the upper left corner is at the origin."""
    marks: list[Mark] = []
    for number, sentence in enumerate(said, 1):
        for at, part in enumerate(textwrap.wrap(sentence, 60)):
            y = -1.7 * height * (len(marks) + 1)
            marks.append(Words(f"{number}  {part}" if at == 0 else f"    {part}", (0.0, y), height))
    return marks


def with_revision(data: TitleData, row: Revision) -> TitleData:
    """Return the title data with one more revision, which becomes the current one."""
    return replace(data, revision=row.revision, revisions=(*data.revisions, row))
