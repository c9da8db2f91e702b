"""What of a drawing runs through its words: found here by other means than the drawing finds its places by."""

from __future__ import annotations

from itertools import combinations

from shapely.geometry import LineString, box
from shapely.strtree import STRtree

from formparts.drawings import Drawing
from formparts.drawings.curves import (
    HATCH,
    LEADER,
    VISIBLE,
    Mark,
    PenLine,
    Straight,
    Words,
    flattened,
    mark_points,
    meet,
)

_EDGE = 0.2
"""The box of letters is a little larger than they are [mm]."""
_END, _APART = 0.8, 0.3
"""What lies nearer to a leader's ends is what it points at, and places nearer to each other are one [mm]."""


def faults(drawing: Drawing) -> list[tuple[int, str, str]]:
    """Sheet, words, and what runs through them."""
    return [
        (number, *each)
        for number, page in enumerate(drawing.pages, 1)
        for each in _on_page(tuple(flattened(page)))
    ]


def crossings(drawing: Drawing) -> list[tuple[int, str, int]]:
    """Sheet, words, and how many outlines a leader crosses, where that is more than the one about its feature."""
    found = []
    for number, page in enumerate(drawing.pages, 1):
        marks = list(flattened(page))
        outlines = STRtree(
            [_line(mark) for mark in marks if isinstance(mark, PenLine) and mark.pen == VISIBLE]
        )
        for at, mark in enumerate(marks):
            if isinstance(mark, PenLine) and mark.pen == LEADER and isinstance(mark.curve, Straight):
                count = _crossed(_line(mark), outlines)
                words = next((each.text for each in marks[at:] if isinstance(each, Words)), "")
                found += [(number, words, count)] if count > 1 else []
    return found


def _line(mark: PenLine) -> LineString:
    return LineString(mark_points(mark))


def _crossed(leader: LineString, outlines: STRtree) -> int:
    """How many outlines a leader crosses off its ends; those of both sides of a sheet on edge count as one."""
    met = [
        outlines.geometries[at].intersection(leader) for at in outlines.query(leader, predicate="intersects")
    ]
    places = sorted(leader.project(each.centroid) for each in met)
    places = [place for place in places if _END < place < leader.length - _END]
    return sum(two - one > _APART for one, two in zip([-_APART - 1.0, *places], places, strict=False))


def _on_page(page: tuple[Mark, ...]) -> list[tuple[str, str]]:
    words = [mark for mark in page if isinstance(mark, Words)]
    found = [(one.text, two.text) for one, two in combinations(words, 2) if meet(one.box, two.box)]
    pen_lines = [mark for mark in page if isinstance(mark, PenLine) and mark.pen != HATCH]
    lines = [LineString(mark_points(pen_line)) for pen_line in pen_lines]
    tree = STRtree(lines)
    for word in words:
        area = box(*word.box).buffer(-_EDGE)
        found += [(word.text, pen_lines[at].pen.layer) for at in tree.query(area, predicate="intersects")]
    return found
