"""
A sheet area on which each dimension is placed clear of what is already drawn, in paper coordinates [mm].

ISO 129-1: narrow continuous lines, closed filled arrow heads, figures above their line and readable from below or
from the right; running dimensions start at a circle and are written along their extension lines (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Literal, TypeAlias

from formparts.drawings.bands import DimensionBand, Side, runs_through, shrunk, spread_out
from formparts.drawings.curves import (
    CENTRE,
    DIMENSION,
    LEADER,
    OUTSIDE,
    TABLE,
    VISIBLE,
    Filled,
    Mark,
    Measure,
    PenLine,
    Plain,
    Words,
    box_of,
    circle,
    line,
    mark_points,
    meet,
    text_width,
)
from formparts.outline import Point
from formparts.outline.edges import Bounds

_BEYOND, _FIRST = 1.5, 8.0
"""How far an extension line runs past its dimension line; distance of the first dimension line from the part [mm]."""
_AWAY = tuple(_FIRST + 3.0 * n for n in range(12))
"""Largest distance of running figures from the part; the nearest position with no line in the way is taken [mm]."""
_FURTHER = (0.0, 3.0, 6.0, 10.0, 15.0, 21.0, 28.0, 36.0)
"""How far outside its usual position a figure may be placed, on a longer dimension line [mm]."""
_CLEAR = 0.6
"""Clearance between text and anything else [mm]."""
_SQUARE = 12.0
"""Side of the grid squares by which text boxes are indexed [mm]."""
_STEP = 0.5
"""Spacing of the points noted along lines [mm]."""
_CROSSED = 4.0
"""Cost to a leader of each outline or dimension line that it crosses; equal to five steps of its length."""

Span: TypeAlias = tuple[Point, Point, str]
"""The two ends of a plain dimension, and its figure."""
Slanted: TypeAlias = tuple[Point, Point, str, float]
"""The two ends of a slanted dimension, its figure, and how far to the left of it its line is."""


class Exact(str):
    """A theoretically exact figure, written in a frame (ISO 1101, from memory)."""

    __slots__ = ()


@dataclass(frozen=True)
class Item:
    """One position along a side of a view: its figure, its point, and the point for the opposite side."""

    words: str
    point: Point
    far: Point | None = None


class Board:
    """The marks on a sheet area, and the space that they take."""

    def __init__(self, height: float) -> None:
        self.height = height
        self.marks: list[Mark] = []
        self.words: dict[tuple[int, int], list[Bounds]] = {}
        """Boxes of text, by the grid squares that they overlap."""
        self.hard: set[tuple[int, int]] = set()
        self.soft: set[tuple[int, int]] = set()
        self.bounds: Bounds = (math.inf, math.inf, -math.inf, -math.inf)
        """The box of all marks, including those of a dimension still being collected."""

    @property
    def arrow(self) -> float:
        """Length of an arrow head."""
        return self.height

    @property
    def pitch(self) -> float:
        """Distance between running figures side by side."""
        return 1.45 * self.height

    def add(self, marks: Iterable[Plain], into: list[Plain] | None = None) -> None:
        """Put marks on the paper, or into the dimension that is being collected."""
        for mark in marks:
            (self.marks if into is None else into).append(mark)
            self.bounds = _joined(self.bounds, box_of([mark]))
            if isinstance(mark, Words):
                for square in _squares(mark.box):
                    self.words.setdefault(square, []).append(mark.box)
                if mark.framed:
                    (self.marks if into is None else into).extend(frame(mark.box))
                continue
            pen = mark.pen if isinstance(mark, PenLine) else DIMENSION
            cells = self.hard if pen in (VISIBLE, DIMENSION, LEADER, OUTSIDE) else self.soft
            for (x0, y0), (x1, y1) in pairwise(mark_points(mark)):
                count = max(1, math.ceil(math.dist((x0, y0), (x1, y1)) / _STEP))
                for i in range(count + 1):
                    cells.add((round(x0 + (x1 - x0) * i / count), round(y0 + (y1 - y0) * i / count)))

    def _words_about(self, box: Bounds) -> Iterator[Bounds]:
        """Return boxes of the text around a point; a box may be returned more than once."""
        for square in _squares(box):
            yield from self.words.get(square, ())

    # --- the cost of a position ---

    def cost(self, box: Bounds) -> float:
        """Return the cost of a position: 0 on empty paper, infinite over text.

        Outlines and dimension lines cost nearly as much as text.
        """
        if any(meet(box, other, _CLEAR) for other in self._words_about(box)):
            return math.inf
        x0, y0, x1, y1 = (round(v) for v in (box[0] - 0.9, box[1] - 0.9, box[2] + 0.9, box[3] + 0.9))
        cells = {(x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)}
        return 1000.0 * len(cells & self.hard) + 40.0 * len(cells & self.soft)

    def crossed(self, start: Point, end: Point) -> float:
        """Return the cost of a leader: a charge for each line that it crosses or covers, infinite over text."""
        (x0, y0), (x1, y1) = start, end
        about = (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        if any(runs_through(start, end, box, _CLEAR) for box in self._words_about(about)):
            return math.inf
        count = max(1, math.ceil(math.dist(start, end) / _STEP))
        dx, dy = (end[0] - start[0]) / count, (end[1] - start[1]) / count
        steps = [(round(start[0] + dx * i), round(start[1] + dy * i)) for i in range(count + 1)]
        hard, soft = ([cell in cells for cell in steps] for cells in (self.hard, self.soft))
        return _CROSSED * _runs(hard) + 0.3 * _STEP * sum(hard) + 0.2 * _CROSSED * _runs(soft)

    # --- dimensions ---

    def head(self, tip: Point, towards: Point) -> Filled:
        """Return an arrow head with its tip at a point, along a direction."""
        long = math.hypot(*towards)
        ux, uy = towards[0] / long, towards[1] / long
        x, y = tip[0] - self.arrow * ux, tip[1] - self.arrow * uy
        w = self.arrow / 6.0
        return Filled((tip, (x - w * uy, y + w * ux), (x + w * uy, y - w * ux)))

    def running(
        self, side: Side, edge: float, zero: float, items: Sequence[Item], inner: float = 0.0
    ) -> None:
        """Draw running dimensions from a zero along one side at a given edge.

        The part begins `inner` inside that edge.
        """
        if not items:
            return
        band = DimensionBand(side, edge)
        rows = sorted(items, key=lambda item: band.along(item.point))
        places = [zero, *(band.along(item.point) for item in rows)]
        order = sorted(range(len(places)), key=lambda n: (places[n], n))
        spread = dict(zip(order, spread_out([places[n] for n in order], self.pitch), strict=True))
        named = [Item("0", band.at(zero, 0.0)), *rows]
        rows_ = [(item.words, places[n], spread[n]) for n, item in enumerate(named)]
        away = next(far for far in _AWAY if far == _AWAY[-1] or self._is_free(band, rows_, far))
        self.add(
            [
                line(band.at(zero, 1.0 - inner), band.at(zero, away)),
                circle(band.at(zero, away), 0.8, DIMENSION),
            ]
        )
        self.add([line(band.at(min(places), away), band.at(max(places), away))])
        for n, item in enumerate(named):
            s, along = places[n], spread[n]
            group: list[Plain] = []
            if n:
                self.add([line(band.at(s, 1.0 - band.inside(item.point)), band.at(s, away))], group)
                if abs(s - zero) > 1.2 * self.arrow:
                    way = 1.0 if s > zero else -1.0
                    tip, tail = band.at(s, away), band.at(s - way, away)
                    self.add([self.head(tip, (tip[0] - tail[0], tip[1] - tail[1]))], group)
            self.add(self._figure(band, item.words, s, along, away), group)
            if n:
                self._gather(band.at(zero, -inner), item.point, band.at(s, away), band, item.words, group)
            else:
                self.marks += group

    def _gather(
        self, one: Point, two: Point, at: Point, band: DimensionBand, words: str, group: list[Plain]
    ) -> None:
        """Collect the marks of one dimension along a side."""
        self.marks.append(Measure(one, two, at, 0.0 if band.level else 90.0, words, tuple(group)))

    def _is_free(self, band: DimensionBand, rows: Sequence[tuple[str, float, float]], away: float) -> bool:
        """True when no line runs through the running figures, and none of their lines runs through text."""
        return all(
            self.cost(self._running_words(band, words, along, away).box) < 1000.0
            and self.crossed(band.at(s, away), band.at(along, away + 3.5)) < math.inf
            for words, s, along in rows
        )

    def _figure(
        self, band: DimensionBand, words: str, s: float, along: float, away: float
    ) -> Iterator[Plain]:
        yield line(band.at(s, away), band.at(along, away + 3.5))
        yield self._running_words(band, words, along, away)

    def _running_words(self, band: DimensionBand, words: str, along: float, away: float) -> Words:
        x, y = band.at(along, away + 4.2)
        if band.level:
            anchor: Literal["left", "right"] = "right" if band.side == "below" else "left"
            at = (x + 0.5 * self.height, y)
            return Words(words, at, self.height, anchor, turned=True, framed=isinstance(words, Exact))
        anchor = "right" if band.side == "left" else "left"
        return Words(words, (x, y - 0.5 * self.height), self.height, anchor, framed=isinstance(words, Exact))

    def spans(self, side: Side, edge: float, spans: Sequence[Span]) -> None:
        """Draw plain dimensions along one side of a view, the short ones nearest to it, no line through a figure."""
        band = DimensionBand(side, edge)
        away = max(_FIRST, self._taken_beyond(band) + 4.5)
        rows: list[list[tuple[float, float]]] = []
        drawn: list[tuple[Point, Point, float, str, list[Plain]]] = []
        for one, two, words in sorted(spans, key=lambda span: abs(band.along(span[0]) - band.along(span[1]))):
            low, high = sorted((band.along(one), band.along(two)))
            wide = text_width(words, self.height) + 2.0
            first, last = min(low, (low + high - wide) / 2.0), max(high, (low + high + wide) / 2.0)
            if high - low < wide + 2.0 * self.arrow + 2.0:
                first, last = low - 2.0 * self.arrow, high + 2.0 * self.arrow + wide + 1.0
            row = next(
                (n for n in range(len(rows)) if all(b < first - 2.0 or a > last + 2.0 for a, b in rows[n])),
                len(rows),
            )
            if row == len(rows):
                rows.append([])
            rows[row].append((first, last))
            at = away + row * 2.3 * self.height
            group: list[Plain] = []
            for point in (one, two):
                s = band.along(point)
                self.add([line(band.at(s, 1.0 - band.inside(point)), band.at(s, at + _BEYOND))], group)
            drawn.append((one, two, at, words, group))
        # All lines first, so that no figure is put where one of them will run.
        for one, two, at, words, group in drawn:
            low, high = sorted((band.along(one), band.along(two)))
            self._span_line(band, low, high, at, words, group)
        for one, two, at, words, group in drawn:
            low, high = sorted((band.along(one), band.along(two)))
            self._span_words(band, low, high, at, words, group)
            self._gather(one, two, band.at(low, at), band, words, group)

    def _taken_beyond(self, band: DimensionBand) -> float:
        if math.isinf(self.bounds[0]):
            return 0.0
        x0, y0, x1, y1 = self.bounds
        outer = {
            "below": band.edge - y0,
            "above": y1 - band.edge,
            "left": band.edge - x0,
            "right": x1 - band.edge,
        }
        return outer[band.side]

    def _has_room(self, long: float, words: str) -> bool:
        """True when the text and two arrow heads fit between the ends of a dimension."""
        return long > text_width(words, self.height) + 2.0 * self.arrow + 2.0

    def _span_line(
        self, band: DimensionBand, low: float, high: float, away: float, words: str, group: list[Plain]
    ) -> None:
        inside = self._has_room(high - low, words)
        ends = (low, high) if inside else (low - 2.0 * self.arrow, high + 2.0 * self.arrow)
        sign = 1.0 if inside else -1.0
        self.add([line(band.at(ends[0], away), band.at(ends[1], away))], group)
        for s, way in ((low, -sign), (high, sign)):
            tip, tail = band.at(s, away), band.at(s - way, away)
            self.add([self.head(tip, (tip[0] - tail[0], tip[1] - tail[1]))], group)

    def _span_words(
        self, band: DimensionBand, low: float, high: float, away: float, words: str, group: list[Plain]
    ) -> None:
        long, wide = high - low, text_width(words, self.height)
        inside = self._has_room(long, words)
        far = 0.0 if inside else 2.0 * self.arrow
        past = [far + 2.4 + wide / 2.0 + further for further in _FURTHER]
        outer = [s for out in past for s in (high + out, low - out)]
        shares = (0.0, 0.2, -0.2, 0.35, -0.35, 0.48, -0.48, 0.6, -0.6)
        middles = [(low + high) / 2.0 + share * (long - wide - 2.0 * self.arrow) for share in shares]
        costs = []
        for number, s in enumerate([*middles, *outer] if inside else outer):
            mark = self._span_figure(band, words, s, away)
            costs.append((self.cost(shrunk(mark.box, band)) + 0.1 * number, number, s, mark))
        _, _, s, mark = min(costs)
        if not low <= s <= high:
            near, end = (high, s + wide / 2.0) if s > high else (low, s - wide / 2.0)
            self.add([line(band.at(near, away), band.at(end, away))], group)
        self.add([mark], group)

    def _span_figure(self, band: DimensionBand, words: str, s: float, away: float) -> Words:
        """Return a figure on its dimension line, slightly higher when it is framed."""
        framed = isinstance(words, Exact)
        x, y = band.above(s, away)
        lift = 0.3 * self.height if framed else 0.0
        at = (x, y + lift) if band.level else (x - lift, y)
        return Words(words, at, self.height, "middle", turned=not band.level, framed=framed)

    def aligned_lines(self, spans: Sequence[Slanted]) -> list[tuple[Slanted, Point, Point, list[Plain]]]:
        """Draw the dimension lines along slanted directions; their figures follow when all lines are drawn."""
        return [(span, *self._aligned_lines(*span)) for span in spans]

    def aligned_figures(self, drawn: Sequence[tuple[Slanted, Point, Point, list[Plain]]]) -> None:
        """Write the figures of slanted dimensions level beside their lines."""
        for (one, two, words, offset), a, b, group in drawn:
            long = math.dist(one, two)
            ux, uy = (two[0] - one[0]) / long, (two[1] - one[1]) / long
            way = 1.0 if offset > 0 else -1.0
            shares = (0.5, 0.35, 0.65, 1.3, -0.3)
            targets = [(a[0] + (b[0] - a[0]) * s, a[1] + (b[1] - a[1]) * s) for s in shares]
            starts = [a if s < 0.0 else b if s > 1.0 else at for s, at in zip(shares, targets, strict=True)]
            self.beside(list(zip(starts, targets, strict=True)), words, (-way * uy, way * ux), group)
            self.marks.append(Measure(one, two, a, math.degrees(math.atan2(uy, ux)), words, tuple(group)))

    def _aligned_lines(
        self, one: Point, two: Point, words: str, offset: float
    ) -> tuple[Point, Point, list[Plain]]:
        """Draw the lines of a dimension along a slanted direction, and return the ends of its dimension line."""
        del words
        long = math.dist(one, two)
        ux, uy = (two[0] - one[0]) / long, (two[1] - one[1]) / long
        nx, ny = -uy, ux
        a, b = ((x + offset * nx, y + offset * ny) for x, y in (one, two))
        way = 1.0 if offset > 0 else -1.0
        group: list[Plain] = []
        for (x, y), (p, q) in ((one, a), (two, b)):
            if abs(offset) > 2.0:
                ends = ((x + way * nx, y + way * ny), (p + way * _BEYOND * nx, q + way * _BEYOND * ny))
                self.add([line(*ends)], group)
        if long < 2.4 * self.arrow:
            far = 2.0 * self.arrow
            self.add([line((a[0] - far * ux, a[1] - far * uy), (b[0] + far * ux, b[1] + far * uy))], group)
            self.add([self.head(a, (ux, uy)), self.head(b, (-ux, -uy))], group)
        else:
            self.add([line(a, b), self.head(a, (-ux, -uy)), self.head(b, (ux, uy))], group)
        return a, b, group

    def beside(
        self, targets: Sequence[tuple[Point, Point]], words: str, off: Point, group: list[Plain]
    ) -> None:
        """Write text near the end of one of some lines, in a direction if there is room, with a leader if it is far."""
        wide, best = text_width(words, self.height), None
        for number, (start, (x, y)) in enumerate(targets):
            for reach in (1.2, 3.0, 5.0, 8.0, 12.0, 18.0, 26.0, 36.0, 50.0):
                for turn in (0.0, 0.6, -0.6, 1.2, -1.2, 2.2, -2.2, math.pi):
                    cos, sin = math.cos(turn), math.sin(turn)
                    dx, dy = off[0] * cos - off[1] * sin, off[0] * sin + off[1] * cos
                    far = reach + wide / 2.0 * abs(dx) + self.height / 2.0 * abs(dy)
                    cx, cy = x + dx * far, y + dy * far
                    at, framed = (cx, cy - 0.5 * self.height), isinstance(words, Exact)
                    mark = Words(words, at, self.height, "middle", framed=framed)
                    cost = self.cost(mark.box) + 0.4 * reach + number + abs(turn)
                    if start != (x, y):
                        cost += math.inf if runs_through(start, (x, y), mark.box, 0.0) else 0.0
                        cost += 2.0 + self.crossed((x, y), start)
                    if reach > 3.0:
                        cost += self.crossed((x, y), (x + dx * (reach - 1.0), y + dy * (reach - 1.0))) + 2.0
                    if best is None or cost < best[0]:
                        end = (x + dx * (reach - 0.8), y + dy * (reach - 0.8))
                        best = (cost, mark, targets[number], end, reach)
        assert best is not None
        _, mark, (start, target), end, reach = best
        if start != target:
            self.add([line(start, target)], group)
        if reach > 3.0:
            steps = [
                (end[0] + (target[0] - end[0]) * n / 20.0, end[1] + (target[1] - end[1]) * n / 20.0)
                for n in range(20)
            ]
            end = next((at for at in steps if not meet((*at, *at), mark.box, _CLEAR)), target)
            if math.dist(end, target) > 1.0:
                self.add([line(target, end, LEADER)], group)
        self.add([mark], group)

    def centre_lines(self, centre: Point, radius: float) -> None:
        """Return crossed centre lines that extend a little beyond a circle."""
        (x, y), reach = centre, radius + 2.0
        self.add([line((x - reach, y), (x + reach, y), CENTRE), line((x, y - reach), (x, y + reach), CENTRE)])


def _squares(box: Bounds) -> Iterator[tuple[int, int]]:
    """Return the grid squares that a box overlaps, with the clearance of text added."""
    x0, y0, x1, y1 = (
        math.floor(at / _SQUARE)
        for at in (box[0] - _CLEAR, box[1] - _CLEAR, box[2] + _CLEAR, box[3] + _CLEAR)
    )
    return product(range(x0, x1 + 1), range(y0, y1 + 1))


def frame(box: Bounds) -> Iterator[PenLine]:
    """Return a rectangular frame around a box."""
    x0, y0, x1, y1 = box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    return (line(one, two, TABLE) for one, two in pairwise(corners))


def _runs(found: Sequence[bool]) -> int:
    """Count how often a sequence of booleans changes to true."""
    return sum(here and not before for before, here in pairwise([False, *found]))


def _joined(one: Bounds, two: Bounds) -> Bounds:
    return (min(one[0], two[0]), min(one[1], two[1]), max(one[2], two[2]), max(one[3], two[3]))
