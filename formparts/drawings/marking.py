"""What is marked on a flat or formed in it, on a drawing: its lines, and its words with its place."""

from __future__ import annotations

import math
from collections.abc import Iterator

from formparts.body import Mark
from formparts.drawings.board import Board
from formparts.drawings.curves import DIMENSION, HIDDEN, PenLine, Polyline, of_loop, placed
from formparts.drawings.figures import Place
from formparts.drawings.leaders import leader
from formparts.drawings.numbers import Numbers
from formparts.outline import Motion


def draw_marks(board: Board, place: Place) -> None:
    """Draw the lines of what is marked or formed; what is on the far side is hidden."""
    for mark in place.drawn.measured.marks:
        board.add(_lines(mark, place))


def call_marks(board: Board, place: Place, numbers: Numbers, lift: float = 0.0) -> None:
    """Write the words of each mark at a leader, with its place from the zero of the view, so much below its own."""
    for mark in place.drawn.measured.marks:
        x, y = (value / place.scale for value in place.at(mark.middle))
        kind = f"marked {mark.words}" if mark.kind == "marking" else mark.words
        words = f"{kind}, at {numbers.length(x)} | {numbers.length(y + lift)}"
        leader(board, [place.at(mark.middle)], 0.0, words if mark.face == "upper" else f"{words}, far side")


def _lines(mark: Mark, place: Place) -> Iterator[PenLine]:
    pen = DIMENSION if mark.face == "upper" else HIDDEN
    origin, along = place.at((0.0, 0.0)), place.at((1.0, 0.0))
    turn = Motion.turn(math.degrees(math.atan2(along[1] - origin[1], along[0] - origin[0])))
    for loop in mark.loops:
        for curve in of_loop(loop.moved(turn)):
            yield PenLine(placed(curve, place.scale, origin), pen)
    for line in mark.lines:
        yield PenLine(Polyline(tuple(place.at(point) for point in line)), pen)
