"""Triangles to samples: the visible triangle at each sample of the picture, row by row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from formparts.report.arrays import Floats, Integers

_TRIANGLE_BITS = 22
"""Low bits of a depth word: the triangle; the bits above hold its depth."""
_DEPTH_BITS = 40
_AT_ONCE = 1_000_000
"""Samples handled at once: limits the memory, without effect on the result."""

BAND = 96
"""Rows of samples that are processed together: few enough for the processor's cache."""

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
    if not len(corners):
        return np.full((height, width), NOTHING, dtype=np.int32)
    spans = _spans(corners, samples)
    found, shared = _laid(spans, width * height)
    steps = _DepthSteps.over(corners[:, :, 2])
    for first in range(0, width * height, BAND * width):
        band = found[first : first + BAND * width]
        nearest = np.full(len(band), NOTHING, dtype=np.int64)
        for where, word in _fragments(_within(shared, first, len(band)), spans, depth, steps, width):
            np.maximum.at(nearest, where - first, word)
        where = np.flatnonzero(nearest >= 0)
        band[where] = nearest[where] & (LARGEST_MESH - 1)
    return found.reshape(height, width)


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
        """Return depth and triangle in one number: the larger one is seen."""
        import numpy as np

        whole = np.clip((depth - self.low) * self.scale, 0, (1 << _DEPTH_BITS) - 1).astype(np.int64)
        return (whole << _TRIANGLE_BITS) | triangle


class _Spans(NamedTuple):
    """Rows of samples in triangles: triangle, first sample and the one behind the last, counted through all rows."""

    triangle: Integers
    start: Integers
    end: Integers


class _Pieces(NamedTuple):
    """Segments of spans: the span, first sample and number of samples; in the order of their first samples."""

    span: Integers
    start: Integers
    length: Integers


def _laid(spans: _Spans, samples: int) -> tuple[Integers, _Pieces]:
    """
    The triangle at each sample that it has alone, NOTHING elsewhere; and the segments of spans that several share.

    Spans are cut where any of them begins or ends: between two cuts the number of triangles is the same, and so is
    the sum of their numbers, which is the number of the one that is alone.
    """
    import numpy as np

    triangle, start, end = spans
    cuts = np.concatenate([[0], start, end])
    order = np.argsort(cuts, kind="stable")
    cuts = cuts[order]
    one = np.ones(len(start), dtype=np.int64)
    count = np.cumsum(np.concatenate([[0], one, -one])[order])
    total = np.cumsum(np.concatenate([[0], triangle, -triangle])[order])
    length = np.diff(cuts, append=samples)
    found = np.repeat(np.where(count == 1, total, NOTHING).astype(np.int32), length)
    shared = np.flatnonzero((count > 1) & (length > 0))
    first, last = (np.searchsorted(cuts[shared], place) for place in (start, end))
    span = np.repeat(np.arange(len(start)), last - first)
    piece = shared[np.arange(len(span)) - np.repeat(np.cumsum(last - first) - last, last - first)]
    order = np.argsort(piece, kind="stable")
    return found, _Pieces(span[order], cuts[piece[order]], length[piece[order]])


def _within(pieces: _Pieces, first: int, count: int) -> _Pieces:
    """Return the segments in a number of samples from a first one, at which a row begins."""
    low, high = pieces.start.searchsorted((first, first + count))
    return _Pieces(*(column[low:high] for column in pieces))


def _fragments(
    pieces: _Pieces, spans: _Spans, depth: Planes, steps: _DepthSteps, width: int
) -> Iterator[tuple[Integers, Integers]]:
    """Return every sample of some segments: its place, and its depth word."""
    import numpy as np

    triangle, begin = spans.triangle[pieces.span], spans.start[pieces.span]
    first, slope = depth.at(triangle, begin % width, begin // width), depth.x[triangle]
    ends = np.cumsum(pieces.length)
    total = int(ends[-1]) if len(ends) else 0
    cuts = np.unique(np.searchsorted(ends, np.arange(_AT_ONCE, total + _AT_ONCE, _AT_ONCE)))
    for part in np.split(np.arange(len(ends)), cuts):
        if len(part):
            count = pieces.length[part]
            piece = np.repeat(part, count)
            where = np.arange(len(piece)) + np.repeat(pieces.start[part] - np.cumsum(count) + count, count)
            near = first[piece] + slope[piece] * (where - begin[piece])
            yield where, steps.words(near, triangle[piece])


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
    # Each side is followed from its upper end down, so that both its triangles compute the same point.
    upper = row < y[triangle, 1]
    long_side = _crossing(x, y, triangle, row, 0, 2)
    short_side = np.where(upper, _crossing(x, y, triangle, row, 0, 1), _crossing(x, y, triangle, row, 1, 2))
    start = np.clip(np.ceil(np.minimum(long_side, short_side)), 0, width).astype(np.int64)
    end = np.clip(np.ceil(np.maximum(long_side, short_side)), 0, width).astype(np.int64)
    some = end > start
    before = row[some] * width
    return _Spans(triangle[some], before + start[some], before + end[some])


def _crossing(x: Floats, y: Floats, triangle: Integers, row: Integers, upper: int, lower: int) -> Floats:
    """Return where the side between two corners crosses a row; the result for a level side is not used."""
    import numpy as np

    fall = y[:, lower] - y[:, upper]
    slope = (x[:, lower] - x[:, upper]) / np.where(fall > 0.0, fall, 1.0)
    place: Floats = x[triangle, upper] + (row - y[triangle, upper]) * slope[triangle]
    return place
