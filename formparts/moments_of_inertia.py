"""Mass moments of inertia of a body in closed form; no solid is needed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from formparts.body import Bend, Body, Flat, Frame, Sink, frames
from formparts.body.frame import Vector, bend_frame
from formparts.outline.edges import Point
from formparts.outline.integrals import over as integral
from formparts.short_repr import short_repr

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


@short_repr
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
    Exact mathematics: second moments of a flat's area through its thickness, and of a sector of a ring.
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
    found = thickness * area, thickness * np.array([sx, sy, 0.0]), thickness * second
    for sink in flat.sinks:
        found = _less(found, _of_sink(sink, thickness))
    return found


def _less(one: Moments, other: Moments) -> Moments:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def _of_sink(sink: Sink, thickness: float) -> Moments:
    """The ring that is sunk beside a hole, in the coordinates of its flat."""
    import numpy as np

    (x, y), volume = sink.centre, sink.volume
    first, second, across = sink.heights(thickness)
    about = np.array(
        [
            [x * x * volume + across, x * y * volume, x * first],
            [x * y * volume, y * y * volume + across, y * first],
            [x * first, y * first, second],
        ]
    )
    return volume, np.array([x * volume, y * volume, first]), about


def _of_bend(bend: Bend, half: float) -> Moments:
    """
    A bend in the frame of its first tangent line: x along the line, the child to the right of it.

    A place at radius p and turn f lies at y = -p sin f and, bent up, at z = r - p cos f; r is the mid-surface's radius.
    """
    import numpy as np

    inner, r = bend.inside_radius, bend.inside_radius + half
    p0, p1, p2 = (((inner + 2.0 * half) ** n - inner**n) / n for n in (2, 3, 4))
    over = _over_strip(bend)
    up = 1.0 if bend.side == "up" else -1.0
    area, x, xx = p0 * over(0, "1"), p0 * over(1, "1"), p0 * over(2, "1")
    y, xy = -p1 * over(0, "sin"), -p1 * over(1, "sin")
    z, xz = up * (r * area - p1 * over(0, "cos")), up * (r * x - p1 * over(1, "cos"))
    yy, yz = p2 * over(0, "sin sin"), up * (r * y + p2 * over(0, "sin cos"))
    zz = r * r * area - 2.0 * r * p1 * over(0, "cos") + p2 * over(0, "cos cos")
    second = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
    return area, np.array([x, y, z]), second


Over: TypeAlias = "Callable[[int, str], float]"
"""Integral, over the length of the line and the turn of a bend, of a power of x times a product of sine and cosine."""

_WAVES: Mapping[str, Callable[[float], float]] = {
    "1": lambda _: 1.0,
    "sin": math.sin,
    "cos": math.cos,
    "sin sin": lambda turn: math.sin(turn) ** 2,
    "sin cos": lambda turn: math.sin(turn) * math.cos(turn),
    "cos cos": lambda turn: math.cos(turn) ** 2,
}
_INTEGRALS: Mapping[str, Callable[[float], float]] = {
    "1": lambda turn: turn,
    "sin": lambda turn: 2.0 * math.sin(turn / 2.0) ** 2,
    "cos": math.sin,
    "sin sin": lambda turn: turn / 2.0 - math.sin(2.0 * turn) / 4.0,
    "sin cos": lambda turn: math.sin(turn) ** 2 / 2.0,
    "cos cos": lambda turn: turn / 2.0 + math.sin(2.0 * turn) / 4.0,
}


def _over_strip(bend: Bend) -> Over:
    """In closed form; where openings cut into the strip, along the edges of what is left, by Green's theorem."""
    turn = math.radians(bend.angle)
    if not bend.openings:
        return lambda power, wave: bend.width ** (power + 1) / (power + 1) * _INTEGRALS[wave](turn)
    per_mm = turn / bend.developed

    def along_edges(power: int, wave: str) -> float:
        g = _WAVES[wave]

        def along_x(at: Point) -> float:
            return float(at[0] ** (power + 1) / (power + 1) * g(-per_mm * at[1]))

        return per_mm * math.fsum(integral(net, along_x, 2.0 * per_mm) for net in bend.nets)

    return along_edges


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
