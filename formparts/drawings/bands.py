"""Sides of a view, along which dimensions stand, and the boxes of words beside them. On paper [mm]."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from formparts.outline import Point
from formparts.outline.edges import Bounds

Side = Literal["below", "above", "left", "right"]


@dataclass(frozen=True)
class DimensionBand:
    """One side of a view: along it `s`, away from it `d`; turns these into x and y."""

    side: Side
    edge: float

    @property
    def level(self) -> bool:
        """True for the sides below and above."""
        return self.side in ("below", "above")

    def along(self, point: Point) -> float:
        """How far along the side a point is."""
        return point[0] if self.level else point[1]

    def inside(self, point: Point) -> float:
        """How far a point lies from the side, into the part."""
        across = point[1] if self.level else point[0]
        return across - self.edge if self.side in ("below", "left") else self.edge - across

    def at(self, s: float, d: float) -> Point:
        """The point that is `s` along and `d` away."""
        if self.side == "below":
            return (s, self.edge - d)
        if self.side == "above":
            return (s, self.edge + d)
        return (self.edge - d, s) if self.side == "left" else (self.edge + d, s)

    def above(self, s: float, d: float) -> Point:
        """Where a figure stands on its dimension line."""
        x, y = self.at(s, d)
        return (x, y + 0.8) if self.level else (x - 0.8, y)


def runs_through(start: Point, end: Point, box: Bounds, clear: float) -> bool:
    """True when a straight line comes nearer to a box than words are to be kept clear."""
    x0, y0, x1, y1 = box[0] - clear, box[1] - clear, box[2] + clear, box[3] + clear
    (ax, ay), (bx, by) = start, end
    if max(ax, bx) < x0 or min(ax, bx) > x1 or max(ay, by) < y0 or min(ay, by) > y1:
        return False
    sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x in (x0, x1) for y in (y0, y1)]
    return min(sides) <= 0.0 <= max(sides)


def shrunk(box: Bounds, band: DimensionBand) -> Bounds:
    """A figure's box without the strip in which its own dimension line runs."""
    x0, y0, x1, y1 = box
    return (x0, y0 + 2.2, x1, y1) if band.level else (x0, y0, x1 - 2.2, y1)


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
