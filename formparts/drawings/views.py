"""The views of a part: front, top, side and isometric."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from formparts.body import Frame
from formparts.body.frame import Vector, dot
from formparts.drawings.curves import (
    HIDDEN,
    ISOMETRIC,
    TANGENT,
    VISIBLE,
    Curve,
    Pen,
    PenLine,
    Plain,
    box_of,
    placed,
)
from formparts.drawings.hidden_lines import Seen, seen
from formparts.outline.edges import Bounds
from formparts.solids import Solid

Projection = Literal["first", "third"]


@dataclass(frozen=True)
class View:
    """One view: the projected part and the viewing direction [mm]; its zero is that of the first flat."""

    name: str
    right: Vector
    up: Vector
    seen: Seen
    box: Bounds


_A, _B = 1.0 / math.sqrt(2.0), 1.0 / math.sqrt(6.0)
_LOOKED = {
    "front": ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "top": ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    "left": ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
    "right": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "isometric": ((1.0, -1.0, 1.0), (_A, _A, 0.0), (-_B, _B, 2.0 * _B)),
}
"""For each view: towards the viewer, to the right, upwards, in the axes of the first flat."""


def views_of(solid: Solid, projection: Projection, axes: Frame) -> dict[str, View]:
    """Return front, top, side and isometric view; the side is the left in first-angle projection, else the right."""
    side = "left" if projection == "first" else "right"
    names = (("front", "front"), ("top", "top"), ("side", side), ("isometric", "isometric"))
    return {place: _view(solid, name, axes) for place, name in names}


def isometric_view(solid: Solid) -> View:
    """Return the part in isometric projection, all axes shortened alike."""
    return _view(solid, "isometric", Frame())


def _view(solid: Solid, name: str, axes: Frame) -> View:
    towards, right, up = (axes.direction(*each) for each in _LOOKED[name])
    by = (-dot(axes.origin, right), -dot(axes.origin, up))
    found = seen(solid, towards, right)
    moved = Seen(
        *(
            tuple(placed(curve, 1.0, by) for curve in each)
            for each in (found.visible, found.hidden, found.tangent)
        )
    )
    box = box_of(PenLine(curve, VISIBLE) for curve in (*moved.visible, *moved.tangent))
    return View(name, right, up, moved, box)


def pen_lines(view: View, scale: float) -> Iterator[Plain]:
    """Return the lines of a view; the isometric view is lighter and shows nothing hidden."""
    isometric = view.name == "isometric"
    groups: tuple[tuple[Sequence[Curve], Pen], ...] = (
        (view.seen.tangent, TANGENT), (() if isometric else view.seen.hidden, HIDDEN),
        (view.seen.visible, ISOMETRIC if isometric else VISIBLE),
    )  # fmt: skip
    for curves, pen in groups:
        yield from (PenLine(placed(curve, scale), pen) for curve in curves)


def scaled(box: Bounds, scale: float) -> Bounds:
    """Return a box on paper."""
    return (box[0] * scale, box[1] * scale, box[2] * scale, box[3] * scale)
