"""Mass moments of inertia of a body in closed form; no solid is needed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, bend_frame

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array: TypeAlias = NDArray[np.float64]
else:
    Array = Any

Tensor: TypeAlias = tuple[Vector, Vector, Vector]
Moments: TypeAlias = "tuple[float, Array, Array]"
"""Volume [mm3], first moments (3,) [mm4] and second moments (3, 3) [mm5] about an origin."""

CUBIC_MM_PER_CUBIC_M = 1e9


@dataclass(frozen=True)
class Inertia:
    """
    Mass moments of inertia of a part, along the axes of its coordinates.

    Parameters
    ----------
    about_centroid, about_origin : (3, 3) tensor [kg mm2]
        Moments on the diagonal; products of inertia beside it, with their minus sign.
    principal : (3,) [kg mm2]
        Principal moments about the centroid, the least first.
    axes : (3, 3) [-]
        Directions of the principal axes, right-handed, one a row.
    """

    about_centroid: Tensor
    about_origin: Tensor
    principal: Vector
    axes: Tensor


def inertia(body: Body) -> Inertia:
    """
    Work out the mass moments of inertia of a part.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    Inertia
        [kg mm2]

    Source
    ------
    Exact mathematics: second moments of a flat's area through its thickness, and of a piece of a ring.
    """
    import numpy as np

    placed, half = frames(body), body.sheet.thickness / 2.0
    pieces = [_moved(_of_flat(flat, 2.0 * half), placed[flat.name]) for flat in body.flats]
    for bend in body.bends:
        line = placed[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
        pieces.append(_moved(_of_bend(bend, half), line))
    volume = math.fsum(piece[0] for piece in pieces)
    first = np.sum([piece[1] for piece in pieces], axis=0)
    second = np.sum([piece[2] for piece in pieces], axis=0)
    density = body.sheet.material.density / CUBIC_MM_PER_CUBIC_M
    about_origin = _tensor(second) * density
    about_centroid = _tensor(second - np.outer(first, first) / volume) * density
    principal, axes = np.linalg.eigh(about_centroid)
    rows = axes.T * np.sign(np.linalg.det(axes))
    values = (float(principal[0]), float(principal[1]), float(principal[2]))
    return Inertia(_rows(about_centroid), _rows(about_origin), values, _rows(rows))


def _of_flat(flat: Flat, thickness: float) -> Moments:
    """A flat in its own coordinates: its area, from half a thickness below to half a thickness above."""
    import numpy as np

    area, sx, sy, sxx, syy, sxy = flat.net.moments
    upright = area * thickness**2 / 12.0
    second = np.array([[sxx, sxy, 0.0], [sxy, syy, 0.0], [0.0, 0.0, upright]])
    return thickness * area, thickness * np.array([sx, sy, 0.0]), thickness * second


def _of_bend(bend: Bend, half: float) -> Moments:
    """
    A bend in the frame of its first tangent line: x along the line, the child to the right of it.

    A place at radius p and turn f lies at y = -p sin f and, bent up, at z = r - p cos f; r is the mid-surface's radius.
    """
    import numpy as np

    turn, width, inner = math.radians(bend.angle), bend.width, bend.inside_radius
    r, outer = inner + half, inner + 2.0 * half
    p0, p1, p2 = ((outer**n - inner**n) / n for n in (2, 3, 4))
    sin, cos, twice = math.sin(turn), math.cos(turn), math.sin(2.0 * turn) / 4.0
    up = 1.0 if bend.side == "up" else -1.0
    area, y, z = p0 * turn, -p1 * (1.0 - cos), up * (r * p0 * turn - p1 * sin)
    yy, yz = p2 * (turn / 2.0 - twice), up * (p2 * sin * sin / 2.0 - r * p1 * (1.0 - cos))
    zz = r * r * p0 * turn - 2.0 * r * p1 * sin + p2 * (turn / 2.0 + twice)
    second = np.array(
        [
            [width**3 / 3.0 * area, width**2 / 2.0 * y, width**2 / 2.0 * z],
            [width**2 / 2.0 * y, width * yy, width * yz],
            [width**2 / 2.0 * z, width * yz, width * zz],
        ]
    )
    return width * area, np.array([width**2 / 2.0 * area, width * y, width * z]), second


def _moved(moments: Moments, frame: Frame) -> Moments:
    """Moments about the origin of space of what is given in a frame."""
    import numpy as np

    volume, first, second = moments
    origin, turned = np.array(frame.origin), np.array([frame.x, frame.y, frame.z]).T
    arm = turned @ first
    across = np.outer(origin, arm)
    moved = volume * np.outer(origin, origin) + across + across.T + turned @ second @ turned.T
    return volume, volume * origin + arm, moved


def _tensor(second: Array) -> Array:
    """Moments of inertia from second moments: the trace on the diagonal, less the second moments."""
    import numpy as np

    return np.asarray(np.trace(second) * np.eye(3) - second, dtype=np.float64)


def _rows(matrix: Array) -> Tensor:
    (a, b, c), (d, e, f), (g, h, i) = ((float(x), float(y), float(z)) for x, y, z in matrix)
    return (a, b, c), (d, e, f), (g, h, i)
