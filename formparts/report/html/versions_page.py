"""Two parts, or two versions of one, on a page: side by side, overlaid, and every change as text."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from formparts.outline import Outline, cut
from formparts.report.html.blank_picture import blank_picture, drawn_path, framed
from formparts.report.html.shell import ALONE, asset, document, style
from formparts.report.html.tags import Markup, element, said, table
from formparts.report.summary import mass_text
from formparts.svg import path

if TYPE_CHECKING:
    from formparts.part import Part

_KINDS = {"gone": "gone", "added": "added", "found": "found", "cleared": "cleared"}
"""Colour of a change, by its kind; the colour of a modification for any other."""


class ChangeRow(NamedTuple):
    """One change: the flat, bend, opening or figure, what became of it, and a sentence."""

    what: str
    how: str
    words: str


def versions_page(before: Part, after: Part, names: tuple[str, str], changes: Sequence[ChangeRow]) -> str:
    """Return the file; `names` are the names of the two."""
    touched = frozenset(change.what for change in changes)
    pairs = tuple(zip(names, (before, after), strict=True))
    title = f"{names[0]} and {names[1]}"
    body = element(
        "main",
        element("h1", said(title)),
        element("p", said(_verdict(changes)), class_="verdict"),
        _section("The parts", *(_picture(name, part) for name, part in pairs)),
        _section("The blanks", *(_blank(name, part, touched) for name, part in pairs)),
        _laid_on_each_other(before, after, names),
        _section("Figures", _figures(pairs), kind=None),
        _section("Every change", _changes(changes), kind=None) if changes else "",
    )
    return document(f"{title}: compared", [body], [style(asset("page.css"), asset("versions.css"))], ALONE)


def _verdict(changes: Sequence[ChangeRow]) -> str:
    if not changes:
        return "No difference."
    return "1 change" if len(changes) == 1 else f"{len(changes)} changes"


def _section(title: str, *inside: str, kind: str | None = "versions") -> Markup:
    shown = element("div", *inside, class_=kind)
    return element("section", element("h2", said(title)), shown, aria_label=title)


def _figure(caption: str, picture: str) -> Markup:
    return element("figure", picture, element("figcaption", said(caption)))


def _picture(name: str, part: Part) -> Markup:
    data = b64encode(part.picture).decode()
    return _figure(name, f'<img alt="Shaded picture of {said(name)}" src="data:image/png;base64,{data}">')


def _blank(name: str, part: Part, touched: frozenset[str]) -> Markup:
    return _figure(name, blank_picture(part.body, part.numbered_blank, (), touched))


def _laid_on_each_other(before: Part, after: Part, names: tuple[str, str]) -> Markup:
    """Return both blanks from the same zero; what only one of them has is coloured."""
    one, two = before.blank.cut_outline, after.blank.cut_outline
    shapes = [
        *(_filled(piece, "only-before") for piece in cut(one, two)),
        *(_filled(piece, "only-after") for piece in cut(two, one)),
        _filled(one, "was"),
        _filled(two, "cut"),
    ]
    picture = framed(
        (before.blank, after.blank),
        f"Blank of {names[1]} laid on that of {names[0]}",
        [_filled(two, "flat"), *shapes],
    )
    keys = (
        ("only-before", f"only {names[0]}"),
        ("only-after", f"only {names[1]}"),
        ("changed", "changed piece"),
    )
    legend = [element("span", element("span", class_=f"key {kind}"), said(word)) for kind, word in keys]
    return _section("One blank on the other", picture, element("p", *legend, class_="legend"), kind=None)


def _filled(outline: Outline, kind: str) -> str:
    return path(drawn_path(outline), kind)


def _figures(pairs: Sequence[tuple[str, Part]]) -> Markup:
    """What a buyer compares, one part beside the other."""
    columns = [dict(_known(part)) for _, part in pairs]
    rows = [
        [
            said(name),
            *(said(column[name]) for column in columns),
            said("" if _same(columns, name) else "changed"),
        ]
        for name in columns[0]
    ]
    return table("Figures", ("figure", *(name for name, _ in pairs), "change"), rows)


def _same(columns: Sequence[dict[str, str]], name: str) -> bool:
    return columns[0][name] == columns[1][name]


def _known(part: Part) -> Iterator[tuple[str, Any]]:
    blank, found = part.blank, part.findings()
    yield "material", f"{part.sheet.material.name}, {part.sheet.thickness:g} mm"
    yield "mass", mass_text(part.mass)
    yield "envelope", " × ".join(f"{value:.2f}" for value in part.properties.envelope) + " mm"
    yield "blank", f"{blank.length:.2f} × {blank.width:.2f} mm"
    yield "cut length", f"{blank.cut_length:.1f} mm"
    yield "pierces", str(blank.pierces)
    yield "bends", str(len(part.bends))
    yield "errors of the checks", str(sum(each.severity == "error" for each in found))


def _changes(changes: Sequence[ChangeRow]) -> Markup:
    lines = [
        element("tr", element("td", said(change.words), class_=_KINDS.get(change.how, "changed")))
        for change in changes
    ]
    head = element("thead", element("tr", element("th", said("change"), scope="col")))
    inside = (element("caption", said("Features by their names, then the figures of the whole")), head)
    return element("div", element("table", *inside, element("tbody", *lines)), class_="wide")
