"""A shaded picture of a solid, without graphics driver or display, the same bytes every time.

Parallel projection, z upright; visible edges dark, tangent edges light, hidden edges left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.body import Body
from formparts.errors import InputError
from formparts.report.arrays import EdgeLines, Mesh, Vector
from formparts.report.raster import LARGEST_MESH

if TYPE_CHECKING:
    from formparts.report.arrays import Bytes

VIEW: Vector = (0.62, -1.0, 0.78)
"""Direction from the part to the viewer: slightly off the diagonal, so that corners do not coincide."""
_LARGEST = 8000
"""Most pixels on a side: a larger picture would take too much memory."""


def picture(
    mesh: Mesh,
    edges: Sequence[EdgeLines],
    colour: Vector = (0.72, 0.75, 0.79),
    size: tuple[int, int] = (800, 600),
    view: Vector = VIEW,
    axes: bool = True,
) -> Bytes:
    """
    Draw a closed solid, shaded, on white, as large as the picture takes it with 28 white points around.

    Parameters
    ----------
    mesh : Mesh
        The skin of the solid [mm].
    edges : sequence of Polyline
        Its true edges [mm]; those hidden by the solid are left out.
    colour : (red, green, blue) [-]
        Colour of the part, each from 0 to 1.
    size : (width, height) [px]
        Picture points.
    view : (x, y, z) [-]
        Direction from the part to the viewer, of any length; z points up on the picture.
    axes : bool
        Draw small axes in a corner, with the true length of an arm below, if the picture has room.

    Returns
    -------
    (height, width, 3) array of uint8 [-]
        Red, green and blue, the top row first.

    Raises
    ------
    InputError
        There is nothing to draw, or the size, the colour or the direction makes no picture.

    Source
    ------
    Exact mathematics (parallel projection, depth buffer); the light is common practice, no source.
    """
    from formparts.report.paint import composed, drawn, lines, shaded

    _check(mesh, colour, size, view)
    sight, legend = drawn(mesh, size, view, axes)
    ink = lines(sight, mesh, edges, legend)
    return composed(shaded(sight, mesh, colour), ink)


def write_picture(
    body: Body,
    path: str | Path,
    colour: Vector,
    size: tuple[int, int] = (1000, 750),
    view: Vector = VIEW,
) -> Path:
    """
    Write a shaded picture of a part as a PNG file.

    Parameters
    ----------
    body : Body
        The part.
    path : path
        Where the file goes; what is there is replaced.
    colour : (red, green, blue) [-]
        Colour of the part, each from 0 to 1.
    size : (width, height) [px]
        Picture points.
    view : (x, y, z) [-]
        Direction from the part to the viewer, of any length; z points up on the picture.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        The size, the colour or the direction makes no picture, or the file cannot be written.
    KernelError
        A flat could not be triangulated.
    """
    from formparts.export.files import written

    return written(path, picture_png(body, colour, size, view))


def picture_png(
    body: Body, colour: Vector, size: tuple[int, int] = (1000, 750), view: Vector = VIEW
) -> bytes:
    """As `write_picture`, the bytes of the file."""
    from formparts.report.png_file import png
    from formparts.report.scene import scene

    mesh, edges = scene(body)
    return png(picture(mesh, edges, colour, size, view))


def _check(mesh: Mesh, colour: Vector, size: tuple[int, int], view: Vector) -> None:
    """Refuse input that makes no picture."""
    triangles = len(mesh.triangles)
    if not 0 < triangles < LARGEST_MESH:
        limit = f"a picture takes 1 to {LARGEST_MESH - 1} triangles"
        raise InputError("picture", "mesh", f"{triangles} triangles", "cannot be drawn", limit)
    if not _holds(size, 2, 1, _LARGEST) or not all(isinstance(side, int) for side in size):
        limit = f"width and height are whole numbers from 1 to {_LARGEST}, as (1000, 750)"
        raise InputError("picture", "size", size, "makes no picture", limit)
    if not _holds(colour, 3, 0.0, 1.0):
        limit = "red, green and blue are each from 0 to 1, as (0.72, 0.75, 0.79)"
        raise InputError("picture", "colour", colour, "is not a colour", limit)
    if not _holds(view, 3, -math.inf, math.inf) or not 0.0 < math.hypot(*view) < math.inf:
        limit = f"give x, y and z of a direction towards the viewer, as {VIEW}"
        raise InputError("picture", "view", view, "is not a direction", limit)


def _holds(value: object, count: int, low: float, high: float) -> bool:
    """True for this many numbers within limits; not-a-number is never within."""
    if not isinstance(value, (tuple, list)) or len(value) != count:
        return False
    return all(isinstance(part, (int, float)) and low <= part <= high for part in value)
