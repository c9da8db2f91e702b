"""Details: features too small in the view from above, drawn again at a larger scale (ISO 128, from memory)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from formparts.drawings.board import Board
from formparts.drawings.curves import DIMENSION, Conic, Curve, PenLine, Polyline, Straight, circle
from formparts.drawings.dimension_writer import DimensionWriter
from formparts.drawings.flats_in_view import FlatInView
from formparts.drawings.leaders import leader
from formparts.drawings.plans import Group, Style, captioned
from formparts.drawings.sketch import Dimension
from formparts.drawings.views import View, pen_lines
from formparts.outline import Point

_SMALL, _SEEN = 1.6, 4.0
"""Radii smaller than this on paper are shown in a detail, and are at least this large there [mm]."""
_LETTERS = "ZYXW"
_STEPS = 400
"""Number of steps along a curve in which its entry into the circle is searched for."""


@dataclass(frozen=True)
class Detail:
    """A circle on the view from above, and the dimensions moved to the detail."""

    letter: str
    centre: Point
    """In the paper coordinates of the view [mm]."""
    reach: float
    larger: float
    """Magnification relative to the view."""
    dimensions: tuple[Dimension, ...]

    def holds(self, place: Point, scaled: float = 1.0) -> bool:
        """True for a point inside the circle, in a view at that magnification."""
        x, y = self.centre
        return math.dist(place, (x * scaled, y * scaled)) < 0.95 * self.reach * scaled


def details_of(
    place: FlatInView, dimensions: Sequence[Dimension], style: Style, scales: Sequence[float]
) -> Iterator[Detail]:
    """Return the details that a view of a flat needs: one for each small radius, with the short distances near it."""
    writer, letters = (
        DimensionWriter(Board(style.height), (0.0, 0.0, 0.0, 0.0), style.numbers),
        iter(_LETTERS),
    )
    made: list[Detail] = []
    for one in dimensions:
        spots = writer.spots(place, one) if one.what == "radius" and one.value * place.scale < _SMALL else []
        if not spots:
            continue
        known = next((each for each in made if any(map(each.holds, spots))), None)
        if known is not None:
            made[made.index(known)] = replace(known, dimensions=(*known.dimensions, one))
            continue
        letter, wanted = next(letters, ""), [s for s in scales if one.value * s >= _SEEN]
        if letter and wanted:
            reach = max(4.0, 4.0 * one.value * place.scale)
            made.append(Detail(letter, spots[0], reach, min(wanted) / place.scale, (one,)))
    for each in made:
        near = [
            one
            for one in dimensions
            if one.what == "distance" and (ends := writer.spots(place, one)) and all(map(each.holds, ends))
        ]
        yield replace(each, dimensions=(*each.dimensions, *near))


def mark_detail(board: Board, detail: Detail) -> None:
    """Draw the circle of a detail with its letter, on the view."""
    board.add([circle(detail.centre, detail.reach, DIMENSION)])
    leader(board, [detail.centre], detail.reach, detail.letter, "none")


def detail_view(view: View, place: FlatInView, detail: Detail, style: Style, caption: str) -> Group:
    """Draw what is inside the circle of a detail; `place` is the flat in the view, at the scale of the detail."""
    board, more = Board(style.height), detail.larger
    centre, reach = (detail.centre[0] * more, detail.centre[1] * more), detail.reach * more
    for mark in pen_lines(view, place.scale):
        if isinstance(mark, PenLine):
            board.add(PenLine(curve, mark.pen) for curve in clipped(mark.curve, centre, reach))
    board.add([circle(centre, reach, DIMENSION)])
    box = (centre[0] - reach, centre[1] - reach, centre[0] + reach, centre[1] + reach)
    writer = DimensionWriter(board, box, style.numbers)
    writer.write(place, detail.dimensions)
    inside = [
        ([at for at in targets if detail.holds(at, more)], radius, words)
        for targets, radius, words in writer.sorted.pointed
    ]
    writer.sorted.pointed = [each for each in inside if each[0]]
    writer.finish()
    captioned(board, caption, style)
    return board.marks


def clipped(curve: Curve, centre: Point, reach: float) -> Iterator[Curve]:
    """Return the parts of a curve inside a circle."""
    if isinstance(curve, Polyline):
        inside = tuple(corner for corner in curve.corners if math.dist(corner, centre) < reach)
        yield from [Polyline(inside)] if len(inside) > 1 else []
        return
    for low, high in _within(curve, centre, reach):
        if isinstance(curve, Straight):
            yield Straight(_at(curve, low), _at(curve, high))
        else:
            span = curve.end - curve.start
            yield replace(curve, start=curve.start + low * span, end=curve.start + high * span)


def _at(curve: Straight | Conic, share: float) -> Point:
    if isinstance(curve, Conic):
        return curve.at(curve.start + share * (curve.end - curve.start))
    (x0, y0), (x1, y1) = curve.start, curve.end
    return (x0 + share * (x1 - x0), y0 + share * (y1 - y0))


def _within(curve: Straight | Conic, centre: Point, reach: float) -> Iterator[tuple[float, float]]:
    """Return the parameter ranges, as fractions of a curve, in which it lies inside a circle."""

    def holds(share: float) -> bool:
        return math.dist(_at(curve, share), centre) <= reach

    def border(out: float, within: float) -> float:
        for _ in range(40):
            middle = (out + within) / 2.0
            out, within = (out, middle) if holds(middle) else (middle, within)
        return within

    steps = [at / _STEPS for at in range(_STEPS + 1)]
    begin: float | None = 0.0 if holds(0.0) else None
    for before, at in pairwise(steps):
        if holds(at) and begin is None:
            begin = border(before, at)
        elif not holds(at) and begin is not None:
            yield begin, border(at, before)
            begin = None
    if begin is not None and begin < 1.0:
        yield begin, 1.0
