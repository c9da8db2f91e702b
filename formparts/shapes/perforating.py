"""Perforations: positions of equal openings that fill an outline, staggered or square, with a margin."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, TypeAlias

from formparts.errors import InputError
from formparts.outline import Outline, cut, intersect
from formparts.outline.edges import Motion, Point
from formparts.quantities import NOT_NEGATIVE, LengthLike, Limits, length, shown_value
from formparts.shapes.gaps import gap
from formparts.shapes.moves import MOST_COPIES
from formparts.shapes.naming import checked_outline
from formparts.tolerances import LENGTH, SHORTEST_EDGE

Pattern: TypeAlias = Literal["staggered", "square"]
_HEIGHTS: dict[str, float] = {"staggered": math.sqrt(0.75), "square": 1.0}
"""Distance from one row to the next, in pitches."""
_ASIDE: dict[str, float] = {"staggered": 0.5, "square": 0.0}
"""Shift of every second row, in pitches."""


def perforation(
    outline: Outline, opening: Outline, pitch: LengthLike, margin: LengthLike, pattern: Pattern = "staggered"
) -> tuple[Motion, ...]:
    """
    Motions that fill an outline with equal openings, a margin left on all sides.

    Rows run along x and are symmetrical about the middle of the outline's box, an opening or a gap in the middle,
    whichever leaves room for more.

        staggered (60 deg)        square
         o   o   o   o            o   o   o   o
           o   o   o
         o   o   o   o            o   o   o   o

    Parameters
    ----------
    outline : Outline
        What is filled [mm]; `body.flat(name).net` is a flat less the openings that it has already.
    opening : Outline
        What will be placed, as it lies at the origin [mm].
    pitch : length [mm]
        From an opening to each of its nearest neighbours: six where staggered, four where square.
    margin : length [mm]
        Least distance from an opening to the edge of what is filled.
    pattern : "staggered" or "square"
        Every second row shifted by half a pitch, the middles of neighbours in triangles of 60 deg; or in line.

    Returns
    -------
    tuple of Motion [mm]
        Row by row from the front, each from the left: places for `cut_opening`.

    Raises
    ------
    InputError
        A length is out of its range, neighbours overlap, none fits, there would be too many, or the pattern is neither.

    Source
    ------
    Exact geometry. Of round openings d at pitch p an endless field is open by pi / (2 sqrt 3) (d / p)^2 staggered, and
    by pi / 4 (d / p)^2 square.

    Examples
    --------
    >>> from formparts import disc, rectangle
    >>> [place((0, 0)) for place in perforation(rectangle(30, 10), disc(4), 10, 3)]
    [(-10.0, 0.0), (0.0, 0.0), (10.0, 0.0)]
    >>> base = plate(Sheet(1, 1), rectangle(60, 40), "base")
    >>> pattern = {
    ...     kind: cut_opening(base, disc(4), "base", perforation(rectangle(60, 40), disc(4), 7, 4, kind), name="hole")
    ...     for kind in ("staggered", "square")
    ... }
    """
    where = "perforation"
    checked_outline(outline, where, "outline")
    checked_outline(opening, where, "opening")
    if not isinstance(pattern, str) or pattern not in _HEIGHTS:
        raise InputError(
            where, "pattern", shown_value(pattern), "is not a pattern", 'give "staggered" or "square"'
        )
    step = length(pitch, "pitch", where, Limits(minimum=SHORTEST_EDGE))
    free = length(margin, "margin", where, NOT_NEGATIVE)
    _refuse_overlap(opening, step, pattern)
    room = _Room(outline, opening, free)
    _refuse_many(room.filled, step, pattern)
    found = max((_filled(room, step, pattern, start) for start in _starts(step, pattern)), key=len)
    if not found:
        x0, y0, x1, y1 = outline.bounds
        what = f"leaves no room for an opening in an outline of {x1 - x0:.6g} x {y1 - y0:.6g} mm"
        raise InputError(where, "margin", free, what, "make it or the opening smaller", "mm")
    return found


def _starts(pitch: float, pattern: Pattern) -> tuple[Point, ...]:
    """Return possible offsets of an opening from the centre, for a pattern symmetrical about two axes."""
    half, high = pitch / 2.0, pitch * _HEIGHTS[pattern] / 2.0
    return ((0.0, 0.0), (half, 0.0), (0.0, high), (half - half * _ASIDE[pattern], high))


class _Room:
    """The area to fill, with a test of whether an opening fits at a position."""

    def __init__(self, filled: Outline, opening: Outline, margin: float) -> None:
        self.filled, self.opening, self.margin = filled, opening, margin
        x0, y0, x1, y1 = opening.bounds
        self.centre = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
        self.reach = math.hypot(x1 - x0, y1 - y0) / 2.0
        circle = opening.outer.circle
        if circle is not None:
            self.centre, self.reach = circle
        self.round = circle is not None

    def has(self, way: Motion) -> bool:
        """True when the opening lies inside, and keeps the margin to the edge."""
        middle = way(self.centre)
        if not self.filled.contains(middle):
            return False
        if self.filled.distance_to_edge(middle) >= self.reach + self.margin - LENGTH:
            return True
        if self.round:
            return False
        moved = self.opening.moved(way)
        return not cut(moved, self.filled) and gap(moved, self.filled) >= self.margin - LENGTH


def _filled(room: _Room, pitch: float, pattern: Pattern, start: Point) -> tuple[Motion, ...]:
    """Return all positions of a pattern with room, for an offset of one of them from the centre of the box."""
    return tuple(way for way in _ways(room.filled, pitch, pattern, start) if room.has(way))


def _ways(outline: Outline, pitch: float, pattern: Pattern, start: Point) -> Iterator[Motion]:
    x0, y0, x1, y1 = outline.bounds
    x, y, high = (x0 + x1) / 2.0 + start[0], (y0 + y1) / 2.0 + start[1], pitch * _HEIGHTS[pattern]
    rows, columns = math.ceil((y1 - y0) / high), math.ceil((x1 - x0) / pitch) + 1
    for row in range(-rows, rows + 1):
        aside = pitch * _ASIDE[pattern] * (row % 2)
        for column in range(-columns, columns + 1):
            yield Motion.shift(x + aside + column * pitch, y + row * high)


def _refuse_overlap(opening: Outline, pitch: float, pattern: Pattern) -> None:
    """Refuse neighbours that overlap: beside each other, and in the next row."""
    aside = pitch * _ASIDE[pattern]
    for x, y in ((pitch, 0.0), (aside, pitch * _HEIGHTS[pattern]), (-aside, pitch * _HEIGHTS[pattern])):
        if intersect(opening, opening.moved(Motion.shift(x, y))):
            fix = "give a larger pitch, or a smaller opening"
            raise InputError("perforation", "pitch", pitch, "neighbouring openings overlap", fix, "mm")


def _refuse_many(outline: Outline, pitch: float, pattern: Pattern) -> None:
    x0, y0, x1, y1 = outline.bounds
    many = (x1 - x0) * (y1 - y0) / (pitch * pitch * _HEIGHTS[pattern])
    if many > MOST_COPIES:
        what = f"would give about {many:.3g} openings"
        fix = f"at most {MOST_COPIES} are placed: give a larger pitch"
        raise InputError("perforation", "pitch", pitch, what, fix, "mm")
