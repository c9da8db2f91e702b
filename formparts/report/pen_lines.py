"""Lines on the picture: their visible points, and smooth pen lines along them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from formparts.report.raster import NOTHING, Planes

if TYPE_CHECKING:
    from formparts.report.arrays import Flags, Floats, Integers

_STEP = 0.6
"""Distance of the pen's dots along a line [samples]: close enough for an even line."""
_BIAS = 0.75
"""A line is hidden only by what lies more than this in front of it [samples], so never by its own faces."""


def dots(lines: Sequence[Floats]) -> Floats:
    """Points close together along projected polylines."""
    import numpy as np

    starts = [line[..., :-1, :].reshape(-1, 3) for line in lines if line.shape[-2] > 1]
    ends = [line[..., 1:, :].reshape(-1, 3) for line in lines if line.shape[-2] > 1]
    if not starts:
        return np.zeros((0, 3))
    start, end = np.concatenate(starts), np.concatenate(ends)
    length = np.hypot(end[:, 0] - start[:, 0], end[:, 1] - start[:, 1])
    count = np.ceil(length / _STEP).astype(np.int64) + 1
    piece = np.repeat(np.arange(len(start)), count)
    number = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    fraction = number / np.maximum(count - 1, 1)[piece]
    result: Floats = start[piece] + fraction[:, None] * (end - start)[piece]
    return result


def visible(points: Floats, seen: Integers, depth: Planes, near: Floats, far: Floats) -> tuple[Flags, Flags]:
    """
    Which points of lines are seen, and which of them border on the background.

    A point is compared with the planes of the triangles seen at the four samples around it, evaluated at the
    point itself, so neither a steep face nor a hollow corner hides its own edge.
    """
    import numpy as np

    height, width = seen.shape
    x, y, z = points[:, 0], points[:, 1], points[:, 2]
    shown, bordering = np.zeros(len(points), dtype=bool), np.zeros(len(points), dtype=bool)
    for column in (np.floor(x), np.floor(x) + 1.0):
        for row in (np.floor(y), np.floor(y) + 1.0):
            inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
            at = np.where(inside, row * width + column, 0.0).astype(np.int64)
            triangle = np.where(inside, seen.ravel()[at], NOTHING)
            empty = triangle == NOTHING
            front = np.clip(depth.at(triangle, x, y), far[triangle], near[triangle]) if len(near) else z
            shown |= empty | (z + _BIAS >= front)
            bordering |= empty
    return shown, bordering


def inked(
    points: Floats, width: float, samples: tuple[int, int], fine: int
) -> tuple[Integers, Integers, Floats]:
    """
    Ink of a round pen of a width [samples] that goes from point to point.

    Rows and columns of the picture points that it touches, of `fine` by `fine` samples each, and how much of each
    is covered, from 0 to 1.
    """
    import numpy as np

    columns, rows = samples
    half = width / 2.0 + 0.5
    reach = int(np.ceil(half))
    around = range(-reach, reach + 1)
    # A border takes the dots outside, so that no dot needs a test.
    wide, edge = columns + 4 * reach, 2 * reach
    ink = np.zeros((rows + 2 * edge) * wide, dtype=np.uint8)
    column, row = (
        np.clip(np.round(points[:, axis]), -reach, most + reach - 1) for axis, most in enumerate(samples)
    )
    aside, down = (
        [(whole - points[:, axis] + step) ** 2 for step in around] for axis, whole in enumerate((column, row))
    )
    place = ((row + edge) * wide + column + edge).astype(np.int64)
    for i, across in zip(around, aside, strict=True):
        for j, along in zip(around, down, strict=True):
            if np.hypot(max(abs(i) - 0.5, 0.0), max(abs(j) - 0.5, 0.0)) < half:  # a dot may reach so far
                cover = np.clip(half - np.sqrt(across + along), 0.0, 1.0)
                shade = np.round(cover * 255.0).astype(np.uint8)
                np.maximum.at(ink, place + (j * wide + i), shade)
    dark = np.flatnonzero(ink > 0)
    y, x = dark // wide - edge, dark % wide - edge
    inside = (y >= 0) & (y < rows) & (x >= 0) & (x < columns)
    point = (y // fine * (columns // fine) + x // fine)[inside]
    total = np.bincount(point, ink[dark[inside]], rows // fine * (columns // fine))
    touched = np.flatnonzero(total)
    return *np.divmod(touched, columns // fine), total[touched] / (255.0 * fine * fine)


def contours(triangles: Integers, groups: Integers, towards: Flags) -> Integers:
    """(k, 2): the triangle sides along which a curved face turns away from the viewer."""
    import numpy as np

    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    group, front = np.tile(groups, 3), np.tile(towards, 3)
    keys = np.column_stack([group, sides.min(axis=1), sides.max(axis=1)])
    order = np.lexsort(keys.T[::-1])
    keys, front = keys[order], front[order]
    same = (keys[1:] == keys[:-1]).all(axis=1)
    turns = same & (front[1:] != front[:-1])
    result: Integers = keys[1:][turns][:, 1:]
    return result
