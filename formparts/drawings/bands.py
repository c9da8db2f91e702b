"""The sides of a view along which dimensions are placed, and the boxes of the text beside them, on paper [mm]."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from formparts.outline import Point
from formparts.outline.edges import Bounds

Side = Literal["below", "above", "left", "right"]


@dataclass(frozen=True)
class DimensionBand:
    """One side of a view: converts a coordinate `s` along it and a distance `d` away from it into x and y."""

    side: Side
    edge: float

    @property
    def level(self) -> bool:
        """True for the sides below and above."""
        return self.side in ("below", "above")

    def along(self, point: Point) -> float:
        """Return the coordinate of a point along the side."""
        return point[0] if self.level else point[1]

    def inside(self, point: Point) -> float:
        """Return how far inside the side, towards the part, a point lies."""
        across = point[1] if self.level else point[0]
        return across - self.edge if self.side in ("below", "left") else self.edge - across

    def at(self, s: float, d: float) -> Point:
        """Return the point at `s` along the side and `d` away from it."""
        if self.side == "below":
            return (s, self.edge - d)
        if self.side == "above":
            return (s, self.edge + d)
        return (self.edge - d, s) if self.side == "left" else (self.edge + d, s)

    def above(self, s: float, d: float) -> Point:
        """Return the position of a figure on its dimension line."""
        x, y = self.at(s, d)
        return (x, y + 0.8) if self.level else (x - 0.8, y)


def runs_through(start: Point, end: Point, box: Bounds, clear: float) -> bool:
    """True when a straight line passes closer to a box than the clearance of text."""
    x0, y0, x1, y1 = box[0] - clear, box[1] - clear, box[2] + clear, box[3] + clear
    (ax, ay), (bx, by) = start, end
    if max(ax, bx) < x0 or min(ax, bx) > x1 or max(ay, by) < y0 or min(ay, by) > y1:
        return False
    sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x in (x0, x1) for y in (y0, y1)]
    return min(sides) <= 0.0 <= max(sides)


def shrunk(box: Bounds, band: DimensionBand) -> Bounds:
    """Return the box of a figure without the strip that its own dimension line takes."""
    x0, y0, x1, y1 = box
    return (x0, y0 + 2.2, x1, y1) if band.level else (x0, y0, x1 - 2.2, y1)


def spread_out(places: Sequence[float], pitch: float) -> list[float]:
    """Move sorted positions apart as little as possible, so that neighbours are at least one pitch apart."""
    groups: list[list[float]] = []  # sum of the preferred starts, number of members
    for number, place in enumerate(places):
        groups.append([place - number * pitch, 1.0])
        while len(groups) > 1 and groups[-2][0] / groups[-2][1] > groups[-1][0] / groups[-1][1]:
            total, count = groups.pop()
            groups[-1][0] += total
            groups[-1][1] += count
    starts = [total / count for total, count in groups for _ in range(int(count))]
    return [start + number * pitch for number, start in enumerate(starts)]
