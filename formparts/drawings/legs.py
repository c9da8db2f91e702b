"""Where the legs of a profile begin and end, in the view along its bends: their mould lines and free edges."""

from __future__ import annotations

import math
from collections.abc import Iterator

from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, bend_frame, dot
from formparts.outline import Motion, Point

_ALONG = 1.0 - 1e-9
"""Cosine from which a bend is taken as seen along its axis."""
_SQUARE = 90.0
"""Up to this rotation lengths go to the mould line [deg]."""


def is_profile(body: Body, towards: Vector) -> bool:
    """True when a direction runs along all bends, so that a view from there shows every leg on edge."""
    placed = frames(body)
    axes = (_bend_line(bend, placed).x for bend in body.bends)
    return bool(body.bends) and all(abs(dot(axis, towards)) > _ALONG for axis in axes)


def leg_points(
    body: Body, towards: Vector, right: Vector, up: Vector
) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """
    The ends of all legs on their outer faces, in a view along the bends: what is measured across, and upwards.

    A leg ends where its outer face meets that of the next one: at the mould line. Beyond 90 degrees the two would
    meet far off the part, and it ends at the outermost line of the bend (DIN 6935, from memory: lengths to the
    mould line up to a rotation of 90 degrees, to the tangent of the outer face beyond). Of a part that is no profile
    those legs are given that the view shows on edge, but not the steps of offsets: these have their levels. Both are
    empty where the view is along no bend.
    """
    placed = frames(body)
    bends = [bend for bend in body.bends if abs(dot(_bend_line(bend, placed).x, towards)) > _ALONG]
    if len(bends) < len(body.bends):
        offsets = _offset_bends(body)
        bends = [bend for bend in bends if bend.name not in offsets]
    ends = [place for bend in bends for place in _ends(body, bend, placed)]

    def measured(along: Vector) -> tuple[Point, ...]:
        most = [place for bend in bends for place in _outermost(body, bend, placed, along)]
        return tuple((dot(place, right), dot(place, up)) for place in (*ends, *most))

    return measured(right), measured(up)


def _offset_bends(body: Body) -> set[str]:
    """Bends that go the other way than the one before them: a step, whose flats lie parallel again."""
    before = {bend.child: bend for bend in body.bends}
    steps = [(before[bend.parent], bend) for bend in body.bends if bend.parent in before]
    return {bend.name for first, second in steps if first.side != second.side for bend in (first, second)}


def _bend_line(bend: Bend, placed: dict[str, Frame]) -> Frame:
    """A frame on the tangent line of the parent, x along it, with the parent to its left."""
    return placed[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))


def _ends(body: Body, bend: Bend, placed: dict[str, Frame]) -> Iterator[Vector]:
    """The mould line of a bend, and the free edge of each leg that has no other bend."""
    thickness = body.sheet.thickness
    outer = -thickness / 2.0 if bend.side == "up" else thickness / 2.0
    if bend.angle <= _SQUARE:
        setback = (bend.inside_radius + thickness) * math.tan(math.radians(bend.angle) / 2.0)
        yield _bend_line(bend, placed).point((0.0, -setback), outer)
    for name, line in ((bend.parent, bend), (bend.child, bend.swapped())):
        if _count(body, name) == 1:
            yield _bend_line(line, placed).point((0.0, _reach(body.flat(name), line)), outer)


def _outermost(body: Body, bend: Bend, placed: dict[str, Frame], along: Vector) -> Iterator[Vector]:
    """Where the outer face of a bend of more than 90 degrees goes farthest along a direction, or against it."""
    if bend.angle <= _SQUARE:
        return
    line, side = _bend_line(bend, placed), 1.0 if bend.side == "up" else -1.0
    middle = side * (bend.inside_radius + body.sheet.thickness / 2.0)
    radius = bend.inside_radius + body.sheet.thickness
    for way in (1.0, -1.0):
        turn = math.atan2(-way * dot(line.y, along), -way * side * dot(line.z, along))
        if 0.0 < turn < math.radians(bend.angle):
            yield line.point((0.0, -radius * math.sin(turn)), middle - side * radius * math.cos(turn))


def _count(body: Body, flat: str) -> int:
    return sum(flat in (bend.parent, bend.child) for bend in body.bends)


def _reach(flat: Flat, line: Bend) -> float:
    """How far a flat goes from its tangent line, away from the bend."""
    turned = bend_frame(*line.parent_line)
    back = Motion(turned.a, turned.c, turned.b, turned.d, 0.0, 0.0)  # the inverse of a turn is its transpose
    return flat.outline.moved(back).bounds[3] - back(line.parent_line[0])[1]
