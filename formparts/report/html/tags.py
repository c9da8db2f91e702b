"""Elements of a page as text: everything from outside is escaped here, and nowhere else."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from typing import Any, NewType

from formparts.svg import clean

Markup = NewType("Markup", str)
"""Text that is markup already."""

_INDEX = re.compile(r"_(\w+(?:\+1)?)")


def said(words: object) -> Markup:
    """Return any text, escaped."""
    return Markup(clean(str(words)))


def element(kind: str, *inside: str, **marks: object) -> Markup:
    """Return an element; `class_` is class, `data_x` is data-x; True has no value, False is left out."""
    shown = "".join(_mark(name, value) for name, value in marks.items())
    return Markup(f"<{kind}{shown}>{''.join(inside)}</{kind}>")


def _mark(name: str, value: object) -> str:
    if value is None or value is False:
        return ""
    key = name.rstrip("_").replace("_", "-")
    return f" {key}" if value is True else f' {key}="{said(value)}"'


def formula(words: str) -> Markup:
    """Return text with `_` before an index as a subscript."""
    return Markup(_INDEX.sub(r"<sub>\1</sub>", said(words)))


def table(
    caption: str,
    heading: Sequence[str],
    rows: Iterable[Sequence[str]],
    pieces: Sequence[str] = (),
    numbers: frozenset[int] = frozenset(),
    kind: str = "",
) -> Markup:
    """A table with a caption; cells are markup; `numbers` are the columns set right; `kind` is a class of the table."""
    top = element("tr", *(element("th", formula(word), scope="col") for word in heading))
    two = len(heading) == 2
    labels = (None, None) if two else heading
    lines = [_row(row, pieces[at] if pieces else None, numbers, labels) for at, row in enumerate(rows)]
    inside = (element("caption", said(caption)), element("thead", top), element("tbody", *lines))
    made = element("table", *inside, class_=f"{'two' if two else 'stacked'} {kind}".strip())
    # Tables that are too wide for a screen scroll by themselves, and by keyboard.
    return element("div", made, class_="wide", tabindex=0, role="region", aria_label=caption)


def _row(
    cells: Sequence[str], piece: str | None, numbers: frozenset[int], labels: Sequence[str | None]
) -> Markup:
    """Return a row; a narrow screen puts its cells below each other, each after the head of its column."""
    shown = [
        element("td", cell, class_="number" if at in numbers else None, data_label=labels[at])
        for at, cell in enumerate(cells)
    ]
    return element("tr", *shown, data_piece=piece)


def piece_button(name: str) -> Markup:
    """Return the name of a flat, bend or opening, to be picked by mouse, finger or keyboard."""
    return element("button", said(name), type="button", class_="piece", data_piece=name)


def data_block(name: str, data: Any) -> Markup:
    """Return data for the page's own script; no text in it can end the block."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    harmless = text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    return Markup(f'<script type="application/json" id="{name}">{harmless}</script>')
