"""What of a drawing runs through its words: found here by other means than the drawing finds its places by."""

from __future__ import annotations

from itertools import combinations

from shapely.geometry import LineString, box
from shapely.strtree import STRtree

from formparts.drawings import Drawing
from formparts.drawings.curves import DIMENSION, VISIBLE, Mark, PenLine, Words, flattened, mark_points, meet

_EDGE = 0.2
"""The box of letters is a little larger than they are [mm]."""


def faults(drawing: Drawing) -> list[tuple[int, str, str]]:
    """Sheet, words, and what runs through them."""
    return [
        (number, *each)
        for number, page in enumerate(drawing.pages, 1)
        for each in _on_page(tuple(flattened(page)))
    ]


def _on_page(page: tuple[Mark, ...]) -> list[tuple[str, str]]:
    words = [mark for mark in page if isinstance(mark, Words)]
    found = [(one.text, two.text) for one, two in combinations(words, 2) if meet(one.box, two.box)]
    pen_lines = [mark for mark in page if isinstance(mark, PenLine) and mark.pen in (DIMENSION, VISIBLE)]
    lines = [LineString(mark_points(pen_line)) for pen_line in pen_lines]
    tree = STRtree(lines)
    for word in words:
        area = box(*word.box).buffer(-_EDGE)
        found += [(word.text, pen_lines[at].pen.layer) for at in tree.query(area, predicate="intersects")[:1]]
    return found
