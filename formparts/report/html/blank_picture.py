"""The blank for the page: every flat, bend and opening can be picked, bends and findings are numbered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formparts.blanks import strips
from formparts.body import Body, laid_out
from formparts.checks import Finding
from formparts.export.svg_marks import balloon, balloons, overall_size, shown
from formparts.layout import Blank
from formparts.outline import Edge, Line, Outline
from formparts.outline.edges import Bounds
from formparts.report.grouping import grouped
from formparts.report.html.tags import Markup
from formparts.svg import circle, figure, line, loop_path, picture
from formparts.svg import path as path_of


@dataclass(frozen=True)
class _Page:
    """Height of the letters [mm], and the box of the whole picture."""

    height: float
    frame: Bounds


def blank_picture(
    body: Body, blank: Blank, findings: Sequence[Finding], changed: frozenset[str] = frozenset()
) -> Markup:
    """Draw the blank from its upper side, with its overall size; `changed` flats and bends have their own class."""
    page = _page(blank.outline.bounds)
    label = f"Blank of {body.name}, {shown(blank.length)} by {shown(blank.width)} mm, with its bend lines numbered"
    parts = [
        *_pieces(body, changed),
        path_of(drawn_path(blank.cut_outline), "cut"),
        *(line(mark.start, mark.end, f"bend-line {mark.side}") for mark in blank.bends),
        *overall_size(blank.outline.bounds, page.height),
        *_marks(page, blank, findings),
    ]
    return _svg(page, label, parts)


def framed(blanks: Sequence[Blank], label: str, shapes: Sequence[str]) -> Markup:
    """Shapes in a picture that has room for all of some blanks."""
    lows_and_highs = zip(*(blank.outline.bounds for blank in blanks), strict=True)
    x0, y0, x1, y1 = (best(values) for best, values in zip((min, min, max, max), lows_and_highs, strict=True))
    return _svg(_page((x0, y0, x1, y1)), label, shapes)


def _svg(page: _Page, label: str, parts: Sequence[str]) -> Markup:
    x0, y0, x1, y1 = page.frame
    looks = {
        "class_": "blank",
        "role": "img",
        "aria_label": label,
        "style": f"--letter:{figure(page.height)}px",
    }
    return Markup(picture(parts, (x0, -y1, x1 - x0, y1 - y0), **looks))


def _page(bounds: Bounds) -> _Page:
    xmin, ymin, xmax, ymax = bounds
    height = max(xmax - xmin, ymax - ymin) / 46.0
    frame = (xmin - 5.0 * height, ymin - 5.0 * height, xmax + 3.0 * height, ymax + 3.0 * height)
    return _Page(height, frame)


def drawn_path(outline: Outline) -> str:
    """An outline with its holes, for a path."""
    return " ".join(loop_path(loop) for loop in outline.loops)


def _pieces(body: Body, changed: frozenset[str]) -> Iterator[str]:
    for name, kind, outline in _laid(body):
        yield _piece(name, f"{kind} changed" if name in changed else kind, outline)


def _laid(body: Body) -> Iterator[tuple[str, str, Outline]]:
    """Return name, kind and outline of every flat, bend and opening on the blank."""
    laid = laid_out(body)
    for flat in body.flats:
        yield flat.name, "flat", flat.net.moved(laid[flat.name])
    for bend in body.bends:
        for piece in strips(body, bend, laid):
            yield bend.name, f"strip {bend.side}", piece
    for flat in body.flats:
        for opening in flat.openings:
            yield opening.name, "opening", opening.outline.moved(laid[flat.name])


def _piece(name: str, kind: str, outline: Outline) -> str:
    return path_of(drawn_path(outline), kind, name, data_piece=name)


def _marks(page: _Page, blank: Blank, findings: Sequence[Finding]) -> Iterator[str]:
    """A numbered balloon for each bend, then one for each place of a finding, with the number of its group."""
    lines = [Line(mark.start, mark.end) for mark in blank.bends]
    edges: list[Edge] = [*blank.outline.edges, *lines]
    numbers = blank.numbers.values()
    places = [
        (number, each.severity, each.on_blank)
        for number, group in enumerate(grouped(findings), 1)
        for each in group
        if each.on_blank is not None
    ]
    targets = [(str(number), bend.middle) for number, bend in zip(numbers, lines, strict=True)]
    targets += [(f"F{number}", place) for number, _, place in places]
    xmin, ymin, xmax, ymax = page.frame
    frame = (xmin + 3.0 * page.height, ymin + 3.0 * page.height, xmax, ymax)
    signs = balloons(targets, edges, page.height, frame)
    for sign in signs[: len(lines)]:
        yield from balloon(sign, "bend", page.height)
    for sign, (number, severity, _) in zip(signs[len(lines) :], places, strict=True):
        yield f'<g class="finding {severity}" data-finding="{number}">'
        yield from balloon(sign, severity, page.height)
        yield circle(sign.target, 0.2 * page.height, "spot")
        yield "</g>"
