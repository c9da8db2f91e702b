"""Openings, and marks and formed features of a flat, on the drawing: their lines, and text with their position."""

from __future__ import annotations

import math
from collections.abc import Iterator

from formparts.body import Mark
from formparts.drawings.board import Board
from formparts.drawings.curves import (
    DIMENSION,
    HIDDEN,
    VISIBLE,
    Conic,
    PenLine,
    Polyline,
    circle,
    of_loop,
    placed,
)
from formparts.drawings.flats_in_view import FlatInView
from formparts.drawings.leaders import leader
from formparts.drawings.numbers import Numbers
from formparts.outline import Motion, Point


def draw_marks(board: Board, place: FlatInView) -> None:
    """Draw the lines of marks and formed features; those on the far side are hidden."""
    for mark in place.drawn.measured.marks:
        board.add(_lines(mark, place))


def call_marks(board: Board, place: FlatInView, numbers: Numbers, lift: float = 0.0) -> None:
    """Write the text of each mark at a leader, with its position from the zero of the view.

    `lift` is how far that zero is below the zero of the axes.
    """
    for mark in place.drawn.measured.marks:
        x, y = (value / place.scale for value in place.at(mark.middle))
        kind = f"marked {mark.words}" if mark.kind == "marking" else mark.words
        words = f"{kind}, at {numbers.length(x)} | {numbers.length(y + lift)}"
        leader(board, [place.at(mark.middle)], 0.0, words if mark.face == "upper" else f"{words}, far side")


def hole_centres(place: FlatInView) -> Iterator[tuple[Point, float]]:
    """Return the centres of the openings of a flat on the paper, and half their least width."""
    for hole in place.drawn.sketch.holes:
        middle = (place.drawn.figures[f"{hole.name}.u"], place.drawn.figures[f"{hole.name}.v"])
        size = place.drawn.figures.get(f"{hole.size}.d") or place.drawn.figures[f"{hole.size}.b"]
        yield place.at(middle), size / 2.0 * place.scale


def thread_marks(place: FlatInView) -> Iterator[PenLine]:
    """Return threads seen from above: three quarters of a narrow circle around the tapping drill."""
    for hole, (centre, _) in zip(place.drawn.sketch.holes, hole_centres(place), strict=True):
        if hole.feature and hole.feature.kind == "tapped":
            radius = hole.feature.diameter / 2.0 * place.scale
            yield PenLine(Conic(centre, (radius, 0.0), 1.0, math.radians(100), math.radians(370)), DIMENSION)


def sunk_marks(place: FlatInView) -> Iterator[PenLine]:
    """Return the rims of countersinks and counterbores, hidden on the far side."""
    for hole, (centre, _) in zip(place.drawn.sketch.holes, hole_centres(place), strict=True):
        if hole.feature and hole.feature.depth:
            pen = VISIBLE if hole.feature.face == "upper" else HIDDEN
            yield circle(centre, hole.feature.diameter / 2.0 * place.scale, pen)


def _lines(mark: Mark, place: FlatInView) -> Iterator[PenLine]:
    pen = DIMENSION if mark.face == "upper" else HIDDEN
    origin, along = place.at((0.0, 0.0)), place.at((1.0, 0.0))
    turn = Motion.turn(math.degrees(math.atan2(along[1] - origin[1], along[0] - origin[0])))
    for loop in mark.loops:
        for curve in of_loop(loop.moved(turn)):
            yield PenLine(placed(curve, place.scale, origin), pen)
    for line in mark.lines:
        yield PenLine(Polyline(tuple(place.at(point) for point in line)), pen)
