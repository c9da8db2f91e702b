"""The blank as a picture in true mm: outline, bend lines with their directions, overlaps, overall size."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import Final
from xml.etree import ElementTree

from formparts.checks import Finding
from formparts.errors import FileProofError
from formparts.export.files import delivered
from formparts.export.layers import MARKED
from formparts.export.svg_marks import WIDE, Balloon, balloon, balloons, overall_size, shown
from formparts.layout import BendMark, Blank
from formparts.outline import Edge, Line, Point
from formparts.outline.edges import Bounds
from formparts.svg import (
    circle,
    element,
    figure,
    file_text,
    line,
    line_path,
    loop_path,
    path,
    picture,
    rectangle,
    text,
)

SIDE_WORDS: Final = {"up": "bend up, seen from the up side", "down": "bend down, seen from the up side"}
"""Written in full, so that nobody bends to the wrong side."""

_HEADINGS: Final = ("no.", "bend", "angle", "side", "inside radius", "bend line")


@dataclass(frozen=True, slots=True)
class _Page:
    """Height of the letters, the box of the drawing with its dimensions, and the whole page [mm]."""

    height: float
    drawing: Bounds
    rows: tuple[tuple[str, ...], ...]
    columns: tuple[float, ...]
    footer: tuple[str, ...]

    @property
    def line_step(self) -> float:
        return 1.6 * self.height

    @property
    def width(self) -> float:
        words = [WIDE * self.height * len(words) for words in self.footer]
        return max(self.drawing[2] - self.drawing[0], sum(self.columns), *words) + 2.0 * self.height

    @property
    def left(self) -> float:
        """Left end of the text; the drawing is in the middle of the page."""
        spare = self.width - 2.0 * self.height - (self.drawing[2] - self.drawing[0])
        return self.drawing[0] - spare / 2.0

    @property
    def depth(self) -> float:
        """Height of the whole page: drawing, legend, table and footer."""
        lines = 2.0 + len(self.rows) + len(self.footer) + (2.0 if self.rows else 0.0)
        return self.drawing[3] - self.drawing[1] + lines * self.line_step + self.height


def write_blank_svg(blank: Blank, path: str | os.PathLike[str], *, findings: Sequence[Finding] = ()) -> Path:
    """
    Draw a blank to scale, seen from its upper side: one mm of the drawing is one mm of the page.

    Parameters
    ----------
    blank : Blank
        What is cut and where it is bent [mm].
    path : path
        The file to write.
    findings : sequence of Finding
        What the checks say, to be drawn in a group of its own, numbered as they come; overlaps otherwise.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    FileProofError
        The file did not read back as well-formed; nothing was delivered.
    """
    return delivered(path, svg_text(blank, findings), well_formed)[0]


def well_formed(draft: Path) -> None:
    """Prove that a file is whole XML."""
    try:
        ElementTree.parse(draft)
    except ElementTree.ParseError as error:
        raise FileProofError(str(draft), f"not well-formed: {error}") from error


def svg_text(blank: Blank, findings: Sequence[Finding] = ()) -> str:
    """Return the file, identical for the same blank."""
    page = _page(blank, findings)
    x, y = page.left - page.height, page.drawing[3] + page.height / 2.0
    paper = rectangle((x, y), page.width, page.depth, "paper")
    inside = (paper, *_drawn(blank, findings, page), *_legend(page), *_table(page), *_footer(page))
    return file_text(
        picture(
            inside,
            (x, -y, page.width, page.depth),
            name=f"{blank.name}: blank",
            rules=_style(page.height),
            width=f"{figure(page.width)}mm",
            height=f"{figure(page.depth)}mm",
        )
    )


def _page(blank: Blank, findings: Sequence[Finding]) -> _Page:
    """Return the page, with letters a fiftieth of the picture high, readable at any size of the blank."""
    xmin, ymin, xmax, ymax = blank.outline.bounds
    height = max(blank.length, blank.width) / 44.0
    drawing = (xmin - 5.0 * height, ymin - 5.0 * height, xmax + 3.0 * height, ymax + 3.0 * height)
    rows = tuple(_row(number, mark) for number, mark in blank.numbered)
    table = [_HEADINGS, *rows] if rows else []
    columns = tuple((max(map(len, cells)) + 2) * WIDE * height for cells in zip(*table, strict=True))
    return _Page(height, drawing, rows, columns, tuple(_remarks(blank, findings)))


def _row(number: int, mark: BendMark) -> tuple[str, ...]:
    """Return the table row of one bend."""
    radius, length = mark.radius_words, shown(mark.length)
    return (str(number), mark.name, f"{mark.angle:.6g}°", SIDE_WORDS[mark.side], radius, length)


def _remarks(blank: Blank, findings: Sequence[Finding]) -> Iterator[str]:
    """Return the lines below: findings or overlaps first, then the figures of the whole."""
    for number, finding in enumerate(findings, 1):
        yield from wrap(f"!{number}  {finding}", 90, subsequent_indent="    ")
    for number, found in enumerate(() if findings else blank.overlaps, 1):
        x, y = found.place
        what = f"overlap {found.depth:.3g} mm deep" if found.depth > 0.0 else "touch"
        at = f"x = {shown(x)}, y = {shown(y)}"
        yield f"!{number}  {found.first} and {found.second} {what} at {at}: not to be cut from one sheet"
    for feature in blank.features:
        x, y = feature.centre
        how = "marked" if feature.kind == MARKED else "not cut"
        yield f"{how}: {feature.what}, at x = {shown(x)}, y = {shown(y)}"
    yield f"{blank.name}: blank of {round(blank.thickness, 4):g} mm sheet, seen from its upper side; lengths in mm"
    if blank.bends:
        yield blank.numbering
    pierces = "1 pierce" if blank.pierces == 1 else f"{blank.pierces} pierces"
    yield f"area {shown(blank.area)} mm², cut length {shown(blank.cut_length)} mm, {pierces}"


def _style(height: float) -> str:
    """Line widths and letters, all from the height of a letter."""
    thin, thick = figure(0.05 * height), figure(0.11 * height)
    dash_dot = " ".join(figure(part * height) for part in (0.9, 0.25, 0.12, 0.25))
    dashed = " ".join(figure(part * height) for part in (0.5, 0.3))
    return (
        f"text{{font-family:sans-serif;font-size:{figure(height)}px;fill:#222}}"
        ".middle{text-anchor:middle}.end{text-anchor:end}.head{fill:#666}.bad{fill:#c00000}"
        ".paper{fill:#fff}"
        f".sheet{{fill:#e8edf2;fill-rule:evenodd;stroke:#1a1a1a;stroke-width:{thick};stroke-linejoin:round}}"
        f".up,.down{{stroke-width:{thick};fill:none}}"
        f".up{{stroke:#0b5cad;stroke-dasharray:{dash_dot}}}"
        f".down{{stroke:#b3470b;stroke-dasharray:{dashed}}}"
        f".feature{{fill:none;stroke:#2e7d32;stroke-width:{thin}}}"
        f".leader,.dimension{{stroke:#555;stroke-width:{thin};stroke-dasharray:none}}"
        f".balloon{{fill:#fff;stroke-width:{thin};stroke-dasharray:none;stroke:#555}}"
        f".wrong{{fill:#ffe1e1;stroke:#c00000;stroke-width:{thick}}}"
        f".leader.wrong{{stroke-width:{thin}}}.spot{{fill:#c00000}}.arrow{{fill:#555}}"
    )


def _drawn(blank: Blank, findings: Sequence[Finding], page: _Page) -> Iterator[str]:
    """Outline, bend lines, overall size, then the balloons over them, those of findings in a group of their own."""
    yield path(" ".join(map(loop_path, blank.cut_outline.loops)), "sheet")
    for mark in blank.bends:
        yield line(mark.start, mark.end, mark.side)
    for feature in blank.features:
        paths = [loop_path(loop) for loop in feature.outlines] + [line_path(one) for one in feature.lines]
        yield path(" ".join(paths), "feature")
    yield from overall_size(blank.outline.bounds, page.height)
    wrong = _wrong(blank, findings)
    signs = _balloons(blank, wrong, page)
    for mark, sign in zip(blank.bends, signs, strict=False):
        yield from balloon(sign, mark.side, page.height)
    if wrong:
        spots = [circle(place, 0.18 * page.height, "spot") for _, place in wrong]
        signed = [mark for sign in signs[len(blank.bends) :] for mark in balloon(sign, "wrong", page.height)]
        yield element("g", *signed, *spots, id="findings")


def _wrong(blank: Blank, findings: Sequence[Finding]) -> list[tuple[str, Point]]:
    """Return number and place of each finding on the blank, or of each overlap when there are no findings."""
    if findings:
        places = [(number, finding.on_blank) for number, finding in enumerate(findings, 1)]
        return [(f"!{number}", place) for number, place in places if place is not None]
    return [(f"!{number}", found.place) for number, found in enumerate(blank.overlaps, 1)]


def _balloons(blank: Blank, wrong: list[tuple[str, Point]], page: _Page) -> list[Balloon]:
    """One for each bend, at the middle of its line, then one for each place where something is wrong."""
    lines = [Line(mark.start, mark.end) for mark in blank.bends]
    edges: list[Edge] = [*blank.outline.edges, *lines]
    numbers = blank.numbers.values()
    targets = [(str(number), bend.middle) for number, bend in zip(numbers, lines, strict=True)]
    targets += wrong
    xmin, ymin, xmax, ymax = page.drawing
    # The overall dimensions are below and to the left; balloons keep clear of them.
    frame = (xmin + 2.5 * page.height, ymin + 2.5 * page.height, xmax, ymax)
    return balloons(targets, edges, page.height, frame)


def _legend(page: _Page) -> Iterator[str]:
    """Return the meaning of the two kinds of line, each with a sample."""
    x, y = page.left, page.drawing[1] - page.line_step
    if not page.rows:
        yield text("no bends", (x, y))
        return
    for side, words in SIDE_WORDS.items():
        middle = y + 0.35 * page.height
        yield line((x, middle), (x + 4.0 * page.height, middle), side)
        yield text(words, (x + 4.6 * page.height, y))
        x += (6.5 + WIDE * len(words)) * page.height


def _table(page: _Page) -> Iterator[str]:
    """One line for each bend below its heading."""
    y = page.drawing[1] - 2.5 * page.line_step
    for number, cells in enumerate([_HEADINGS, *page.rows] if page.rows else []):
        yield from _cells(cells, page, y - number * page.line_step, "" if number else "head")


def _cells(cells: Sequence[str], page: _Page, y: float, kind: str) -> Iterator[str]:
    x = page.left
    for words, width in zip(cells, page.columns, strict=True):
        yield text(words, (x, y), kind)
        x += width


def _footer(page: _Page) -> Iterator[str]:
    """Remarks at the foot of the page, findings and overlaps in red."""
    y = page.drawing[1] - (2.2 + len(page.rows) + (1.8 if page.rows else 0.0)) * page.line_step
    for number, words in enumerate(page.footer):
        yield text(words, (page.left, y - number * page.line_step), "bad" if words[0] in "! " else "")
