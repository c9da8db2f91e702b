"""Triangles to samples: which triangle is seen at each sample of the picture, row by row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from formparts.report.arrays import Floats, Integers

_TRIANGLE_BITS = 22
"""Low bits of a depth word: the triangle; the bits above hold how near it is."""
_DEPTH_BITS = 40
_AT_ONCE = 1_000_000
"""Samples handled at once: it bounds the memory, and changes nothing else."""

BAND = 96
"""Rows of samples that are worked on together: so few that they stay in the processor's own memory."""

NOTHING = -1
"""The triangle seen where there is only background."""

LARGEST_MESH: int = 1 << _TRIANGLE_BITS


@dataclass(frozen=True, eq=False)
class Planes:
    """A quantity that is linear over each triangle of the picture: at x, y it is `x` x + `y` y + `base`."""

    x: Floats
    y: Floats
    base: Floats

    def at(self, triangle: Integers, x: Floats | Integers, y: Floats | Integers) -> Floats:
        """The quantity on given triangles at given samples."""
        return self.x[triangle] * x + self.y[triangle] * y + self.base[triangle]


def planes(corners: Floats, values: Floats) -> Planes:
    """The linear function over each projected triangle that takes three values at its corners."""
    ax, ay = corners[:, 0, 0], corners[:, 0, 1]
    bx, by = corners[:, 1, 0] - ax, corners[:, 1, 1] - ay
    cx, cy = corners[:, 2, 0] - ax, corners[:, 2, 1] - ay
    first, second, third = values[:, 0], values[:, 1] - values[:, 0], values[:, 2] - values[:, 0]
    area = bx * cy - by * cx
    x = (second * cy - third * by) / area
    y = (third * bx - second * cx) / area
    return Planes(x, y, first - x * ax - y * ay)


def seen(corners: Floats, depth: Planes, samples: tuple[int, int]) -> Integers:
    """
    The triangle that is nearest to the viewer at each sample, or NOTHING.

    A sample on an edge that two triangles share belongs to exactly one of them, so no sample is lost.
    """
    import numpy as np

    width, height = samples
    found = np.full((height, width), NOTHING, dtype=np.int32)
    if not len(corners):
        return found
    steps = _DepthSteps.over(corners[:, :, 2])
    spans = _spans(corners, samples)
    order = np.argsort(spans[1], kind="stable")
    spans = _Spans(*(column[order] for column in spans))
    for top in range(0, height, BAND):
        first, last = np.searchsorted(spans.row, (top, top + BAND))
        band = _Spans(*(column[first:last] for column in spans))
        nearest = np.full(width * min(BAND, height - top), NOTHING, dtype=np.int64)
        for where, word in _fragments(band, depth, steps, top, width):
            np.maximum.at(nearest, where, word)
        found[top : top + BAND] = np.where(nearest < 0, NOTHING, nearest & (LARGEST_MESH - 1)).reshape(
            -1, width
        )
    return found


@dataclass(frozen=True)
class _DepthSteps:
    """Depths as whole numbers that grow towards the viewer."""

    low: float
    scale: float

    @staticmethod
    def over(depths: Floats) -> _DepthSteps:
        low, high = float(depths.min()), float(depths.max())
        # A tenth of the range stays free at either end for the rounding of steep triangles.
        spread = max(high - low, 1.0)
        return _DepthSteps(low - 0.1 * spread, (1 << _DEPTH_BITS) / (1.2 * spread))

    def words(self, depth: Floats, triangle: Integers) -> Integers:
        """Depth and triangle in one number: the larger one is seen."""
        import numpy as np

        whole = np.clip((depth - self.low) * self.scale, 0, (1 << _DEPTH_BITS) - 1).astype(np.int64)
        return (whole << _TRIANGLE_BITS) | triangle


class _Spans(NamedTuple):
    """Rows of samples in triangles: triangle, row, first sample, number of samples."""

    triangle: Integers
    row: Integers
    start: Integers
    length: Integers


def _fragments(
    spans: _Spans, depth: Planes, steps: _DepthSteps, top: int, width: int
) -> Iterator[tuple[Integers, Integers]]:
    """Every sample of every triangle in a band: its place in the band, and its depth word."""
    import numpy as np

    triangle, row, start, length = spans
    first, slope = depth.at(triangle, start, row), depth.x[triangle]
    begin = (row - top) * width + start
    ends = np.cumsum(length)
    total = int(ends[-1]) if len(ends) else 0
    cuts = np.unique(np.searchsorted(ends, np.arange(_AT_ONCE, total + _AT_ONCE, _AT_ONCE)))
    for part in np.split(np.arange(len(ends)), cuts):
        if len(part):
            count = length[part]
            span = np.repeat(part, count)
            offset = np.arange(len(span)) - np.repeat(np.cumsum(count) - count, count)
            near = first[span] + slope[span] * offset
            yield begin[span] + offset, steps.words(near, triangle[span])


def _spans(corners: Floats, samples: tuple[int, int]) -> _Spans:
    """Every row of samples in every triangle."""
    import numpy as np

    width, height = samples
    order = np.argsort(corners[:, :, 1], axis=1, kind="stable")
    x = np.take_along_axis(corners[:, :, 0], order, axis=1)
    y = np.take_along_axis(corners[:, :, 1], order, axis=1)
    first = np.clip(np.ceil(y[:, 0]), 0, height).astype(np.int64)
    count = np.clip(np.ceil(y[:, 2]), 0, height).astype(np.int64) - first
    triangle = np.repeat(np.arange(len(corners)), count)
    row = np.arange(len(triangle)) - np.repeat(np.cumsum(count) - count - first, count)
    # Each side is followed from its upper end down: its two triangles find the very same place.
    upper = row < y[triangle, 1]
    long_side = _crossing(x, y, triangle, row, 0, 2)
    short_side = np.where(upper, _crossing(x, y, triangle, row, 0, 1), _crossing(x, y, triangle, row, 1, 2))
    start = np.clip(np.ceil(np.minimum(long_side, short_side)), 0, width).astype(np.int64)
    end = np.clip(np.ceil(np.maximum(long_side, short_side)), 0, width).astype(np.int64)
    some = end > start
    return _Spans(triangle[some], row[some], start[some], (end - start)[some])


def _crossing(x: Floats, y: Floats, triangle: Integers, row: Integers, upper: int, lower: int) -> Floats:
    """Where the side between two corners crosses a row; a level side is never asked in earnest."""
    import numpy as np

    fall = y[:, lower] - y[:, upper]
    slope = (x[:, lower] - x[:, upper]) / np.where(fall > 0.0, fall, 1.0)
    place: Floats = x[triangle, upper] + (row - y[triangle, upper]) * slope[triangle]
    return place
