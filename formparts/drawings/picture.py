"""A part as a line picture: the visible edges of an isometric view, sized for a page."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.drawings.curves import TANGENT, VISIBLE, PenLine, placed
from formparts.drawings.svg import mark_as_svg
from formparts.drawings.views import isometric_view
from formparts.export.files import delivered
from formparts.export.svg import well_formed
from formparts.svg import picture

if TYPE_CHECKING:
    from formparts.solids import Solid

_SIZE, _MARGIN = 800.0, 12.0
"""Width of the picture and margin around the part [pixels]."""


def line_picture(solid: Solid) -> str:
    """
    Draw the visible edges of a solid, seen from a corner, as SVG 800 points wide.

    Parameters
    ----------
    solid : Solid
        The part; it is not changed.

    Returns
    -------
    str
        The whole file; lines are white on a dark page.

    Raises
    ------
    KernelError
        The solid kernel failed.
    """
    view = isometric_view(solid)
    x0, y0, x1, y1 = view.box
    scale = (_SIZE - 2.0 * _MARGIN) / (x1 - x0)
    by = (_MARGIN - x0 * scale, _MARGIN - y0 * scale)
    tall = (y1 - y0) * scale + 2.0 * _MARGIN
    pen_lines = [PenLine(placed(curve, scale, by), TANGENT) for curve in view.seen.tangent]
    pen_lines += [PenLine(placed(curve, scale, by), VISIBLE) for curve in view.seen.visible]
    style = (
        "path{fill:none;stroke:#111;stroke-linecap:round}.visible{stroke-width:2}.tangent{stroke-width:.7}"
        "@media (prefers-color-scheme:dark){path{stroke:#eee}}"
    )
    return picture(
        (mark_as_svg(mark, tall) for mark in pen_lines),
        (0.0, 0.0, _SIZE, tall),
        name=solid.name,
        rules=style,
        width=_SIZE,
        height=tall,
    )


def write_line_picture(solid: Solid, path: str | os.PathLike[str]) -> Path:
    """
    Write the line picture of a solid.

    Parameters
    ----------
    solid : Solid
        The part.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    FileProofError
        The file did not read back as well-formed; nothing was delivered.
    KernelError
        The solid kernel failed.
    """
    return delivered(path, line_picture(solid), well_formed)[0]
