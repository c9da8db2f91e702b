"""Redraw a body: every flat in the coordinates that its builder gives it, the root in the file's position."""

from __future__ import annotations

import math
from dataclasses import replace

from formparts.body import Bend, Body, Flat, Frame, bends_on
from formparts.body.frame import bend_frame, cross, dot, inverse
from formparts.outline.edges import Line, Motion, Point
from formparts.shapes import rooted
from formparts.tolerances import UPRIGHT

QUARTERS = (0.0, 90.0, 180.0, 270.0)


def redrawn(body: Body, motions: dict[str, Motion]) -> Body:
    """The same part with each flat drawn in other coordinates: `motions` lead from the old to the new ones."""
    flats = tuple(_flat(flat, motions.get(flat.name, Motion())) for flat in body.flats)
    bends = tuple(_bend(bend, motions) for bend in body.bends)
    frame = body.frame.moved_in_plane(inverse(motions.get(body.flats[0].name, Motion())))
    return Body(body.name, body.sheet, flats, bends, frame)


def _flat(flat: Flat, motion: Motion) -> Flat:
    return Flat(flat.name, flat.outline.moved(motion), tuple(one.moved(motion) for one in flat.openings))


def _bend(bend: Bend, motions: dict[str, Motion]) -> Bend:
    near, far = motions.get(bend.parent, Motion()), motions.get(bend.child, Motion())
    (a, b), (c, d) = bend.parent_line, bend.child_line
    return replace(bend, parent_line=(near(a), near(b)), child_line=(far(c), far(d)))


def as_flanges(body: Body) -> Body:
    """Every flat but the root in the coordinates of a flange: x along its bend from the left end, y away from it."""
    return redrawn(
        body, {bend.child: inverse(bend_frame(bend.child_line[1], bend.child_line[0])) for bend in body.bends}
    )


def largest_first(body: Body) -> Body:
    """The part hung on its largest flat."""
    return rooted(body, max(body.flats, key=lambda flat: (round(flat.net.area, 3), flat.name)).name)


def squared(body: Body) -> Body:
    """The root with its longest bend line, else edge, along x or y; x as near as may be to that of the file."""
    root = body.flats[0]
    lines = [bend.parent_line for bend in bends_on(body, root.name)]
    lines = lines or [(edge.start, edge.end) for edge in root.net.edges if isinstance(edge, Line)]
    turn = 0.0
    if lines:
        (x0, y0), (x1, y1) = max(lines, key=lambda line: round(math.dist(*line), 6))
        turn = -math.degrees(math.atan2(y1 - y0, x1 - x0))
    best = max(
        (redrawn(body, {root.name: Motion.turn(turn + quarter)}) for quarter in QUARTERS), key=_upright
    )
    return best


def _upright(body: Body) -> tuple[float, float, float]:
    """Return how far x is parallel to x of the file; else to y, else to z."""
    x, y, z = body.frame.x
    return (round(x, 6), round(y, 6), round(z, 6))


def shifted_to(body: Body, origin: Point) -> Body:
    """The root drawn with a point of its plane as the origin."""
    return redrawn(body, {body.flats[0].name: Motion.shift(-origin[0], -origin[1])})


def turn_of(frame: Frame) -> tuple[tuple[float, float, float], float]:
    """Axis and angle [deg] of the turn from the axes of space to those of a frame."""
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = frame.x, frame.y, frame.z
    away = (yz - zy, zx - xz, xy - yx)
    size = math.sqrt(dot(away, away))
    angle = math.degrees(math.atan2(size, xx + yy + zz - 1.0))
    if size > UPRIGHT:
        return (away[0] / size, away[1] / size, away[2] / size), angle
    if angle < 90.0:
        return (0.0, 0.0, 1.0), 0.0
    # A half turn: every column of the matrix + 1 is a multiple of the axis.
    columns = [(xx + 1.0, xy, xz), (yx, yy + 1.0, yz), (zx, zy, zz + 1.0)]
    axis = max(columns, key=lambda column: dot(column, column))
    long = math.sqrt(dot(axis, axis))
    return (axis[0] / long, axis[1] / long, axis[2] / long), 180.0


__all__ = ["as_flanges", "cross", "largest_first", "redrawn", "shifted_to", "squared", "turn_of"]
