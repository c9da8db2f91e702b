"""
Where a part is in the way of tools: the stretches of the bend line over which a profile would run into it.

Part and tools are convex cells. A tool is its profile carried along the bend line; a cell of the part meets
the endless profile over one stretch of the line, which is found exactly: its ends are where an edge of the
cell enters the profile, or a corner of the profile goes through a face of the cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from formparts.planning.cells import Cell
from formparts.tolerances import NO_LENGTH, NOUGHT

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TOUCH = 0.02
"""Up to this depth a contact with a tool only rests on it [mm]: a fifth of the tolerance of chords for its curves."""

_EDGES = ((0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7))
_FACES = ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))


@dataclass(frozen=True)
class Profile:
    """
    Convex cells of a tool in the plane across the bend line, prepared for the test against a part.

    Parameters
    ----------
    normals, limits : (t, 4, 2) and (t, 4) arrays
        Sides of each cell: inside where normal x place <= limit, drawn in by TOUCH.
    corners : (t, 4, 2) array [mm]
        Of each cell, drawn in by TOUCH.
    box : (4,) array [mm]
        Least and greatest y and z of the whole profile.
    """

    normals: Floats
    limits: Floats
    corners: Floats
    box: Floats


def profile_of(cells: Sequence[Cell], up: float = 0.0, touch: float = TOUCH) -> Profile:
    """Return the profile of a tool's cells, raised by a height."""
    import numpy as np

    points = np.array([[(y, z + up) for y, z in cell] for cell in cells], dtype=float).reshape(-1, 4, 2)
    along = np.roll(points, -1, axis=1) - points
    length = np.hypot(along[..., 0], along[..., 1])
    # Anticlockwise cells: outward is to the right of a side. Sides of zero length limit nothing.
    normals = (
        np.stack([along[..., 1], -along[..., 0]], axis=-1)
        / np.where(length > NO_LENGTH, length, 1.0)[..., None]
    )
    normals[length <= NO_LENGTH] = 0.0
    limits = (normals * points).sum(axis=-1) - touch
    limits[length <= NO_LENGTH] = 1e30
    middle = points.mean(axis=1, keepdims=True)
    away = points - middle
    far = np.maximum(np.hypot(away[..., 0], away[..., 1])[..., None], NO_LENGTH)
    corners = points - away / far * np.minimum(touch, far)
    box = np.array([points[..., 0].min(), points[..., 0].max(), points[..., 1].min(), points[..., 1].max()])
    return Profile(normals, limits, corners, box)


def bounds_of(vertices: Floats) -> tuple[Floats, Floats]:
    """Return least and greatest corner of the box around each cell."""
    return vertices.min(axis=1), vertices.max(axis=1)


def stretches(
    vertices: Floats, tool: Profile, bounds: tuple[Floats, Floats] | None = None
) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Return where cells of a part meet a profile.

    Parameters
    ----------
    vertices : (n, 8, 3) array [mm]
        Corners of the part's cells, in the frame of the tools.
    tool : Profile
        The profile.
    bounds : pair of (n, 3) arrays [mm], optional
        Boxes around the cells, if already known.

    Returns
    -------
    (k,) array, (k,) array, (k,) array
        Least and greatest x of each stretch, and which cell it is of.
    """
    import numpy as np

    none = np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.int64)
    if not len(vertices):
        return none
    low, high = bounds or bounds_of(vertices)
    near = (
        (low[:, 1] < tool.box[1])
        & (high[:, 1] > tool.box[0])
        & (low[:, 2] < tool.box[3])
        & (high[:, 2] > tool.box[2])
    )
    which = np.flatnonzero(near)
    if not len(which):
        return none
    found = vertices[which]
    first, last = _by_edges(found, tool)
    one, two = _by_corners(found, tool)
    first, last = np.minimum(first, one), np.maximum(last, two)
    hit = first <= last
    return first[hit], last[hit], which[hit]


def _by_edges(cells: Floats, tool: Profile) -> tuple[Floats, Floats]:
    """Return least and greatest x of the edges of each cell inside the profile."""
    import numpy as np

    edges = np.array(_EDGES)
    start, way = cells[:, edges[:, 0]], cells[:, edges[:, 1]] - cells[:, edges[:, 0]]
    n = tool.normals[None, None]
    off = start[:, :, None, None, 1] * n[..., 0] + start[:, :, None, None, 2] * n[..., 1] - tool.limits
    by = way[:, :, None, None, 1] * n[..., 0] + way[:, :, None, None, 2] * n[..., 1]
    parallel = np.abs(by) < NOUGHT
    share = -off / np.where(parallel, 1.0, by)
    enter = np.where(by < -NOUGHT, share, np.where(parallel & (off > 0.0), 2.0, 0.0)).max(axis=-1).clip(0.0)
    leave = np.where(by > NOUGHT, share, 1.0).min(axis=-1).clip(max=1.0)
    ends = start[:, :, None, None, 0] + np.stack([enter, leave], axis=-1) * way[:, :, None, None, 0]
    inside = (enter < leave)[..., None]
    first = np.where(inside, ends, np.inf).min(axis=(1, 2, 3))
    last = np.where(inside, ends, -np.inf).max(axis=(1, 2, 3))
    return first, last


def _by_corners(cells: Floats, tool: Profile) -> tuple[Floats, Floats]:
    """Return least and greatest x, inside each cell, of the lines through the corners of the profile."""
    import numpy as np

    normals, limits = _planes(cells)
    corner = tool.corners.reshape(-1, 2)
    room = (
        limits[:, None]
        - normals[:, None, :, 1] * corner[None, :, None, 0]
        - normals[:, None, :, 2] * corner[None, :, None, 1]
    )
    slope = np.broadcast_to(normals[:, None, :, 0], room.shape)
    parallel = np.abs(slope) < NOUGHT
    at = room / np.where(parallel, 1.0, slope)
    out = (parallel & (room < 0.0)).any(axis=-1)
    low = np.where(slope < -NOUGHT, at, -np.inf).max(axis=-1)
    high = np.where(slope > NOUGHT, at, np.inf).min(axis=-1)
    inside = ~out & (low < high)
    return np.where(inside, low, np.inf).min(axis=1), np.where(inside, high, -np.inf).max(axis=1)


def _planes(cells: Floats) -> tuple[Floats, Floats]:
    """Return outward normals of the six faces of each cell, and their limits; a face of zero size limits nothing."""
    import numpy as np

    faces = np.array(_FACES)
    a, b, c, d = (cells[:, faces[:, place]] for place in range(4))
    normals = np.cross(c - a, d - b)
    size = np.linalg.norm(normals, axis=-1, keepdims=True)
    normals = normals / np.where(size > NO_LENGTH, size, 1.0)
    normals[size[..., 0] <= NO_LENGTH] = 0.0
    middle = cells.mean(axis=1)[:, None]
    limits = (normals * (a + b + c + d) / 4.0).sum(axis=-1)
    turned = (normals * middle).sum(axis=-1) > limits
    normals = np.where(turned[..., None], -normals, normals)
    limits = np.where(turned, -limits, limits)
    limits[size[..., 0] <= NO_LENGTH] = 1e30
    return normals, limits


def prisms(cells: Sequence[Cell], low: float, high: float, along_x: bool = False) -> Floats:
    """Return plane cells as bodies with a thickness: (n, 8, 3); `along_x` for cells in the plane across x."""
    import numpy as np

    flat = np.array(cells, dtype=float).reshape(-1, 4, 2)
    ends = []
    for height in (low, high):
        other = np.full(flat.shape[:2], height)
        parts: tuple[Any, ...] = (
            (other, flat[..., 0], flat[..., 1]) if along_x else (flat[..., 0], flat[..., 1], other)
        )
        ends.append(np.stack(parts, axis=-1))
    found: Floats = np.concatenate(ends, axis=1)
    return found
