"""The two pictures of a step: from the end of the bend line, and from the operator's side."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from formparts.drawings.curves import (
    CENTRE,
    DIMENSION,
    HIDDEN,
    TABLE,
    TANGENT,
    VISIBLE,
    Filled,
    Mark,
    Pen,
    PenLine,
    Straight,
    Words,
    text_width,
)
from formparts.outline.edges import Bounds, Point
from formparts.planning import BendPlan, PlanStep
from formparts.planning.stops import FINGER_HEIGHT
from formparts.planning.words import finger_words
from formparts.setter_sheets.views import Loop, clipped, from_the_end, from_the_front, standing
from formparts.tolerances import NO_LENGTH

CORNER_PEN = Pen("visible", 0.25)
TEXT = 1.8
"""Height of letters in a picture [mm]."""

FINGER_LENGTH = 30.0
"""Length of a stop finger as drawn [mm]."""

LEAST_SEEN = 45.0
"""Least extent of punch and die shown above and below the sheet [mm]."""


@dataclass(frozen=True)
class Window:
    """A box on paper, and the position of the tools in it: one scale, a centre, nothing drawn outside."""

    paper: Bounds
    middle: Point
    scale: float

    def at(self, point: Point) -> Point:
        """Return the paper position of a point in the tools."""
        x0, y0, x1, y1 = self.paper
        return (
            (x0 + x1) / 2.0 + (point[0] - self.middle[0]) * self.scale,
            (y0 + y1) / 2.0 + (point[1] - self.middle[1]) * self.scale,
        )

    def lines(self, points: Sequence[Point], pen: Pen, closed: bool = True) -> Iterator[Mark]:
        """A row of points as lines, as far as they lie in the box."""
        placed = [self.at(point) for point in points]
        for start, end in pairwise([*placed, placed[0]] if closed else placed):
            seen = clipped(start, end, self.paper)
            if seen is not None and seen[0] != seen[1]:
                yield PenLine(Straight(*seen), pen)


def window(paper: Bounds, seen: Bounds) -> Window:
    """A window on paper that shows all of a box, at the largest scale."""
    x0, y0, x1, y1 = seen
    wide, tall = paper[2] - paper[0] - 2.0, paper[3] - paper[1] - 2.0
    scale = min(wide / max(x1 - x0, NO_LENGTH), tall / max(y1 - y0, NO_LENGTH))
    return Window(paper, ((x0 + x1) / 2.0, (y0 + y1) / 2.0), scale)


def _box(loops: Iterable[Loop]) -> Bounds:
    points = [point for loop in loops for point in loop]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _frame(paper: Bounds) -> Iterator[Mark]:
    x0, y0, x1, y1 = paper
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    yield from (PenLine(Straight(one, two), TABLE) for one, two in pairwise(corners))


def end_picture(plan: BendPlan, step: PlanStep, paper: Bounds) -> list[Mark]:
    """
    A step seen along the bend line, the operator on the left: the part level (dashed) and at the bottom, its stop.

    Parameters
    ----------
    plan, step : BendPlan, PlanStep
        Which step.
    paper : (x, y, x, y) [mm]
        Its position.
    """
    level, bottom = standing(plan, step, False), standing(plan, step, True)
    before, after = list(from_the_end(level)), [*from_the_end(bottom), *bottom.bends]
    seen = _seen([*before, *after, *_finger(step)], bottom.tip)
    shown = window(paper, seen)
    marks = list(_frame(paper))
    for loop in _tool_loops(plan, step, bottom.tip):
        marks += shown.lines(loop, TANGENT)
    for loop in [*before, *level.bends]:
        marks += shown.lines(loop, HIDDEN)
    for loop in after:
        marks += shown.lines(loop, VISIBLE)
    for loop in _finger(step):
        marks += shown.lines(loop, DIMENSION)
    return [*marks, *_distance(step, shown), *_corner(paper, "seen from the end, operator left")]


def _seen(loops: Sequence[Loop], tip: float) -> Bounds:
    """Return the part, and enough of the tools to recognise them."""
    x0, y0, x1, y1 = _box(loops)
    return min(x0, -20.0), min(y0, -LEAST_SEEN), max(x1, 20.0), max(y1, tip + LEAST_SEEN) + 4.0


def _tool_loops(plan: BendPlan, step: PlanStep, tip: float) -> Iterator[Loop]:
    machine, punch, die = plan.tools.machine, step.punch, step.die
    yield tuple((y, z + tip) for y, z in punch.corners)
    yield die.corners
    half, top = machine.ram_width / 2.0, tip + punch.height
    yield ((-half, top + 400.0), (-half, top), (half, top), (half, top + 400.0))
    half, low = machine.table_width / 2.0, -die.height
    yield ((-half, low - 400.0), (-half, low), (half, low), (half, low - 400.0))


def _finger(step: PlanStep) -> list[Loop]:
    if step.stop.kind == "none":
        return []
    y, z, half = step.stop.distance, step.stop.height, FINGER_HEIGHT / 2.0
    return [((y, z - half), (y + FINGER_LENGTH, z - half), (y + FINGER_LENGTH, z + half), (y, z + half))]


def _distance(step: PlanStep, shown: Window) -> Iterator[Mark]:
    """From the bend line to the stops, below the die's top."""
    if step.stop.kind == "none":
        return
    height = shown.paper[1] + 4.0
    left, right = shown.at((0.0, 0.0))[0], shown.at((step.stop.distance, 0.0))[0]
    for x in (left, right):
        yield PenLine(Straight((x, height - 1.0), (x, shown.at((0.0, 0.0))[1])), CENTRE)
    yield PenLine(Straight((left, height), (right, height)), DIMENSION)
    for x, way in ((left, 1.0), (right, -1.0)):
        yield Filled(((x, height), (x + way * 2.0, height + 0.35), (x + way * 2.0, height - 0.35)))
    middle = (left + right) / 2.0
    if right - left > 9.0:
        yield Words(f"{step.stop.distance:.2f}", (middle, height + 0.7), TEXT, "middle")
    else:
        yield Words(f"{step.stop.distance:.2f}", (right + 1.5, height - 0.9), TEXT, "left")


def _corner(paper: Bounds, words: str) -> Iterator[Mark]:
    yield Words(words, (paper[0] + 1.0, paper[3] - 2.8), TEXT, "left")


def front_picture(plan: BendPlan, step: PlanStep, paper: Bounds) -> list[Mark]:
    """
    A step seen by the operator: the part at the bottom, sections of punch and die, and where the fingers touch.

    Parameters
    ----------
    plan, step : BendPlan, PlanStep
        Which step.
    paper : (x, y, x, y) [mm]
        Its position.
    """
    side = step.stop.side
    bottom = standing(plan, step, True)
    part = list(from_the_front(bottom))
    lines = [_span(low, high, side) for low, high in step.spans]
    x0, y0, x1, y1 = _box([*part, *lines])
    shown = window(
        paper,
        (
            x0 - 0.06 * (x1 - x0) - 4.0,
            min(y0, -40.0),
            x1 + 0.06 * (x1 - x0) + 4.0,
            max(y1, bottom.tip + 40.0) + 6.0,
        ),
    )
    marks = list(_frame(paper))
    for row, low, up in ((step.punches, bottom.tip, 30.0), (step.dies, 0.0, -30.0)):
        for length in row:
            marks += _sections(length.start, length.sections, low, up, side, shown)
    for loop in part:
        marks += shown.lines(loop, CORNER_PEN)
    for line in lines:
        marks += shown.lines(line, VISIBLE, closed=False)
    marks += _fingers(step, shown)
    return [*marks, *_corner(paper, "seen by the operator")]


def _span(low: float, high: float, side: int) -> Loop:
    return ((side * low, 0.0), (side * high, 0.0))


def _sections(
    start: float, sections: Sequence[float], low: float, up: float, side: int, shown: Window
) -> Iterator[Mark]:
    """Sections side by side, each as a box."""
    at = start
    for section in sections:
        ends = (side * at, side * (at + section))
        yield from shown.lines(
            ((ends[0], low), (ends[1], low), (ends[1], low + up), (ends[0], low + up)), TANGENT
        )
        at += section


def _fingers(step: PlanStep, shown: Window) -> Iterator[Mark]:
    """Where the fingers touch, as arrow heads from below, each with its distance from the left end of the bend."""
    foot, last = shown.paper[1] + 3.2, -math.inf
    for x, words in finger_words(step):
        across, up = shown.at((x, step.stop.height))
        if across - last < text_width(words, TEXT) + 1.0:  # too near to be beside the one before: below it
            foot -= TEXT + 0.4
        last = across
        yield PenLine(Straight((across, foot + 2.2), (across, max(up, foot + 3.0))), CENTRE)
        yield Filled(((across, up), (across - 0.6, up - 1.8), (across + 0.6, up - 1.8)))
        yield Words(words, (across, foot), TEXT, "middle")
