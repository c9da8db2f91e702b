"""Dimension lines: plain ones, running ones from one datum, leaders, centre lines. On paper [mm].

ISO 129-1: narrow continuous lines, closed filled arrow heads, figures above their line and readable from below or
from the right; running dimensions start at a circle and stand along their extension lines (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from formparts.drawings.curves import (
    CENTRE,
    DIMENSION,
    Filled,
    Mark,
    Words,
    box_of,
    circle,
    line,
    mark_points,
    meet,
    text_width,
)
from formparts.export.svg_marks import shown
from formparts.outline import Point
from formparts.outline.edges import Bounds

HEIGHT = 2.5
"""Height of the figures [mm]; ISO 3098 knows 1.8, 2.5, 3.5, 5, 7."""
_ARROW, _PITCH, _BEYOND, _AWAY = 2.5, 3.6, 1.5, 8.0
"""Length of an arrow head, distance of running figures, how far an extension line goes on, and of the first
dimension line from the part [mm]."""

Side = Literal["below", "above", "left", "right"]


@dataclass(frozen=True)
class Band:
    """One side of a view: along it `s`, away from it `d`; turns these into x and y."""

    side: Side
    edge: float

    def at(self, s: float, d: float) -> Point:
        """The point that is `s` along and `d` away."""
        if self.side == "below":
            return (s, self.edge - d)
        if self.side == "above":
            return (s, self.edge + d)
        return (self.edge - d, s) if self.side == "left" else (self.edge + d, s)

    @property
    def level(self) -> bool:
        return self.side in ("below", "above")


def head(tip: Point, towards: Point) -> Filled:
    """An arrow head whose tip is at a point, pointing along a direction."""
    long = math.hypot(*towards)
    ux, uy = towards[0] / long, towards[1] / long
    x, y = tip[0] - _ARROW * ux, tip[1] - _ARROW * uy
    w = _ARROW / 6.0
    return Filled((tip, (x - w * uy, y + w * ux), (x + w * uy, y - w * ux)))


def plain(band: Band, first: Point, last: Point, words: str, away: float = _AWAY) -> Iterator[Mark]:
    """One dimension between two places (s, and how far inside the part its extension line starts)."""
    (s0, d0), (s1, d1) = sorted((first, last))
    for s, d in ((s0, d0), (s1, d1)):
        yield line(band.at(s, d + 1.0), band.at(s, away + _BEYOND))
    long, wide = s1 - s0, text_width(words, HEIGHT)
    inside = long > wide + 2.0 * _ARROW + 2.0
    sign = 1.0 if inside else -1.0
    ends = (s0, s1) if inside else (s0 - 2.0 * _ARROW, s1 + 2.0 * _ARROW)
    yield line(band.at(ends[0], away), band.at(ends[1], away))
    for s, way in ((s0, -sign), (s1, sign)):
        tip, tail = band.at(s, away), band.at(s - way, away)
        yield head(tip, (tip[0] - tail[0], tip[1] - tail[1]))
    s = (s0 + s1) / 2.0 if inside else s1 + 2.0 * _ARROW + 1.0 + wide / 2.0
    x, y = band.at(s, away)
    if band.level:
        yield Words(words, (x, y + 0.8), HEIGHT, "middle")
    else:
        yield Words(words, (x - 0.8, y), HEIGHT, "middle", turned=True)


def running(band: Band, datum: float, places: Sequence[tuple[float, float, float]]) -> Iterator[Mark]:
    """Running dimensions from a datum: for each its figure, its place along the side and where its line starts."""
    if not places:
        return
    items = sorted(places, key=lambda item: item[1])
    spread = spread_out([datum, *(s for _, s, _ in items)], _PITCH)
    last = items[-1][1]
    yield line(band.at(datum, 0.0 + 1.0), band.at(datum, _AWAY))
    yield circle(band.at(datum, _AWAY), 0.8, DIMENSION)
    yield line(band.at(datum, _AWAY), band.at(last, _AWAY))
    # Beside its line, as an overall dimension may carry this on.
    yield from _figure(band, "0", datum, spread[0] - 0.5 * _PITCH)
    for (value, s, d), along in zip(items, spread[1:], strict=True):
        yield line(band.at(s, d + 1.0), band.at(s, _AWAY))
        tip, tail = band.at(s, _AWAY), band.at(s - 1.0, _AWAY)
        if s - datum > 1.2 * _ARROW:
            yield head(tip, (tip[0] - tail[0], tip[1] - tail[1]))
        yield from _figure(band, shown(value), s, along)


def _figure(band: Band, words: str, s: float, along: float) -> Iterator[Mark]:
    """The figure of a running dimension, aside of its line where these stand close together."""
    yield line(band.at(s, _AWAY), band.at(along, _AWAY + 3.5))
    x, y = band.at(along, _AWAY + 4.2)
    if band.level:
        anchor: Literal["left", "right"] = "right" if band.side == "below" else "left"
        yield Words(words, (x + 0.5 * HEIGHT, y), HEIGHT, anchor, turned=True)
    else:
        anchor = "right" if band.side == "left" else "left"
        yield Words(words, (x, y - 0.5 * HEIGHT), HEIGHT, anchor)


def spread_out(places: Sequence[float], pitch: float) -> list[float]:
    """Move places apart as little as need be, so that neighbours are a pitch from each other; sorted ones stay so."""
    groups: list[list[float]] = []  # sum of wished-for starts, number
    for number, place in enumerate(places):
        groups.append([place - number * pitch, 1.0])
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            total, count = groups.pop()
            groups[-1][0] += total
            groups[-1][1] += count
    starts = [total / count for total, count in groups for _ in range(int(count))]
    return [start + number * pitch for number, start in enumerate(starts)]


def centre_lines(centre: Point, radius: float) -> Iterator[Mark]:
    """Crossed centre lines that go a little beyond a circle."""
    (x, y), reach = centre, radius + 2.0
    yield line((x - reach, y), (x + reach, y), CENTRE)
    yield line((x, y - reach), (x, y + reach), CENTRE)


class Taken:
    """What of the paper is taken: boxes of words, and the cells that lines run through."""

    def __init__(self, marks: Iterable[Mark]) -> None:
        self.boxes: list[Bounds] = []
        self.cells: set[tuple[int, int]] = set()
        drawn = list(marks)
        self.bounds = box_of(drawn)
        for mark in drawn:
            self.add(mark)

    def add(self, mark: Mark) -> None:
        """Take the place of a mark."""
        if isinstance(mark, Words):
            self.boxes.append(mark.box)
            return
        points = mark_points(mark)
        for (x0, y0), (x1, y1) in pairwise(points):
            count = max(1, math.ceil(math.dist((x0, y0), (x1, y1))))
            for i in range(count + 1):
                self.cells.add((round(x0 + (x1 - x0) * i / count), round(y0 + (y1 - y0) * i / count)))

    def cost(self, box: Bounds) -> float:
        """0 on empty paper; lines below words cost, and going beyond the view; other words are not to be hit."""
        if any(meet(box, other, 0.6) for other in self.boxes):
            return math.inf
        grown = max(
            self.bounds[0] - box[0],
            self.bounds[1] - box[1],
            box[2] - self.bounds[2],
            box[3] - self.bounds[3],
            0.0,
        )
        x0, y0, x1, y1 = (round(v) for v in (box[0] - 0.5, box[1] - 0.5, box[2] + 0.5, box[3] + 0.5))
        return 0.5 * grown + float(
            2 * sum((x, y) in self.cells for x in range(x0, x1 + 1) for y in range(y0, y1 + 1))
        )

    def crossed(self, start: Point, end: Point) -> float:
        """What a pointing line costs: one for each millimetre on another line; over words it is not to run."""
        count = max(1, math.ceil(math.dist(start, end)))
        steps = [
            (start[0] + (end[0] - start[0]) * i / count, start[1] + (end[1] - start[1]) * i / count)
            for i in range(count + 1)
        ]
        if any(meet((x, y, x, y), box, 0.6) for x, y in steps for box in self.boxes):
            return math.inf
        return float(sum((round(x), round(y)) in self.cells for x, y in steps))


_REACHES = (7.0, 10.0, 14.0, 19.0, 25.0, 33.0, 43.0, 56.0, 72.0, 90.0)
_HEADINGS = tuple(math.radians(angle) for angle in (45, 135, 315, 225, 65, 115, 295, 245, 25, 155, 335, 205))


def leader(target: Point, radius: float, words: str, taken: Taken) -> list[Mark]:
    """Words with a line and arrow to a circle of a radius about the target, where the paper is emptiest."""
    wide = text_width(words, HEIGHT)
    best: tuple[float, Point, float] | None = None
    for number, reach in enumerate(_REACHES):
        for heading in _HEADINGS:
            cos, sin = math.cos(heading), math.sin(heading)
            x, y = target[0] + (radius + reach) * cos, target[1] + (radius + reach) * sin
            left = x + 2.5 if cos > 0 else x - 2.5 - wide
            cost = taken.cost((left, y - 0.5 * HEIGHT, left + wide, y + 0.75 * HEIGHT)) + 0.8 * number
            if taken.crossed((x, y), (target[0] + radius * cos, target[1] + radius * sin)) == math.inf:
                cost = math.inf
            if best is None or cost < best[0]:
                best = (cost, (x, y), heading)
    assert best is not None
    return _drawn_leader(target, radius, words, best[1], best[2])


def _drawn_leader(target: Point, radius: float, words: str, elbow: Point, heading: float) -> list[Mark]:
    cos, sin = math.cos(heading), math.sin(heading)
    tip = (target[0] + radius * cos, target[1] + radius * sin)
    way = 1.0 if cos > 0 else -1.0
    at = (elbow[0] + way * 2.5, elbow[1] - 0.4 * HEIGHT)
    return [
        line(tip, elbow), line(elbow, (elbow[0] + way * 1.8, elbow[1])), head(tip, (-cos, -sin)),
        Words(words, at, HEIGHT, "left" if way > 0 else "right"),
    ]  # fmt: skip


_BALLOON = 2.7
"""Radius of the circle round a number [mm]."""
_EMPTY = 4.0
"""A place for a balloon that costs less is taken without looking at the next target: no line runs through it."""


def balloon(targets: Sequence[Point], words: str, taken: Taken, others: Sequence[Point] = ()) -> list[Mark]:
    """A number in a circle with a line to the first of the targets near which the paper is empty."""
    best: tuple[float, Point, Point] | None = None
    for place, target in enumerate(targets):
        for cost, at in _balloon_places(target, taken, others):
            if best is None or cost + place < best[0]:
                best = (cost + place, at, target)
        if best is not None and best[0] < _EMPTY:
            break
    assert best is not None
    _, (x, y), target = best
    size = _BALLOON
    share = size / math.dist(target, (x, y))
    start = (x + share * (target[0] - x), y + share * (target[1] - y))
    return [
        circle((x, y), size, DIMENSION), line(start, target), Words(words, (x, y - 0.5 * HEIGHT), HEIGHT, "middle"),
    ]  # fmt: skip


def _balloon_places(target: Point, taken: Taken, others: Sequence[Point]) -> Iterator[tuple[float, Point]]:
    """Places for a balloon about its target, each with its cost: far ones, and those on or across lines, cost more."""
    size = _BALLOON
    for number, reach in enumerate((5.5, 8.0, 11.0, 15.0, 20.0, 27.0)):
        for step in range(16):
            cos, sin = math.cos(step * math.pi / 8.0), math.sin(step * math.pi / 8.0)
            x, y = target[0] + reach * cos, target[1] + reach * sin
            near = any(math.dist((x, y), other) < size for other in others)
            # The line's last stretch is left out: it ends on its own bend line.
            crossed = taken.crossed((x, y), (target[0] + 1.5 * cos, target[1] + 1.5 * sin))
            cost = taken.cost((x - size, y - size, x + size, y + size)) + crossed
            yield cost + 0.6 * number + (50.0 if near else 0.0), (x, y)
