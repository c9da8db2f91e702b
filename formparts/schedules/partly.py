"""A part with some of its bends made and the others still flat, and the room that the punch needs in it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise

from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector, bend_frame
from formparts.outline import Outline
from formparts.outline.edges import Line, Point, cos_deg, sin_deg
from formparts.tolerances import LENGTH

STILL_FLAT = 1e-3
"""Angle [deg] that stands for a bend that is not made yet: over 1 m it lifts the sheet by 0.02 mm."""

STRIP = 30.0
"""A bend is looked at in level strips of this angle at most, where the punch might meet it [deg]."""

CHORDS = 24
"""So many chords stand for an arc when it is looked at where the punch meets a flat."""


def partly_folded(body: Body, made: frozenset[str], allowances: Mapping[str, float]) -> Body:
    """
    The part with only some of its bends made.

    A bend that is not made yet is a very large arc as long as its allowance, so that every flat is as far from
    the next as on the blank.
    """
    half = body.sheet.thickness / 2.0

    def flattened(bend: Bend) -> Bend:
        radius = allowances[bend.name] / math.radians(STILL_FLAT) - half
        return bend.uncut(angle=STILL_FLAT, inside_radius=radius, process="air bend")

    bends = (bend if bend.name in made else flattened(bend) for bend in body.bends)
    return replace(body, bends=tuple(bends))


def in_the_way_of_the_punch(partly: Body, names: tuple[str, ...]) -> str | None:
    """
    A flat or another bend that stands where the punch is at the end of a step, or None.

    The punch is a thin plate as long as the bend line and of any height. It stands in the plane that halves the
    bend, on its hollow side; flats and bends are taken by the middle of the sheet.
    """
    placed = frames(partly)
    pieces = [(flat.name, _flat_rows(flat.net, placed[flat.name])) for flat in partly.flats]
    pieces += [
        (bend.name, list(_bend_rows(bend, placed[bend.parent], partly.sheet.thickness)))
        for bend in partly.bends
        if bend.name not in names
    ]
    for bend in partly.bends:
        if bend.name in names:
            at = _line_frame(bend, placed[bend.parent])
            for name, rows in pieces:
                if any(_meets_punch(loops, bend, at, partly.sheet.thickness) for loops in rows):
                    return name
    return None


Row = list[Vector]
"""A closed row of places in space [mm]."""


def _flat_rows(outline: Outline, frame: Frame) -> list[list[Row]]:
    """The loops of a flat, together."""
    return [[[frame.point(point) for point in loop] for loop in _followed(outline)]]


def _bend_rows(bend: Bend, parent: Frame, thickness: float) -> Iterator[list[Row]]:
    """The middle of a bend as level strips between its tangent lines, each by itself."""
    at, sense = _line_frame(bend, parent), 1.0 if bend.side == "up" else -1.0
    radius, count = bend.inside_radius + thickness / 2.0, math.ceil(bend.angle / STRIP)
    places = [
        (-radius * sin_deg(angle), sense * radius * (1.0 - cos_deg(angle)))
        for angle in (bend.angle * step / count for step in range(count + 1))
    ]
    for (y0, z0), (y1, z1) in pairwise(places):
        first, last = at.point((0.0, y0), z0), at.point((0.0, y1), z1)
        yield [[first, at.point((bend.width, y0), z0), at.point((bend.width, y1), z1), last, first]]


def _line_frame(bend: Bend, parent: Frame) -> Frame:
    """At the tangent line on the parent: x along the line, y into the parent, z out of its upper face."""
    return parent.moved_in_plane(bend_frame(*bend.parent_line))


def _meets_punch(loops: list[Row], bend: Bend, at: Frame, thickness: float) -> bool:
    """True when a piece crosses the punch over more than a point."""
    sense = 1.0 if bend.side == "up" else -1.0
    sin, cos = sin_deg(bend.angle / 2.0), sense * cos_deg(bend.angle / 2.0)
    axis = sense * (bend.inside_radius + thickness / 2.0)

    def seen(place: Vector) -> Vector:
        """Along the bend line, up the punch from the axis of the bend, and out of its plane."""
        x, y, z = at.local(place)
        return x, y * sin + (z - axis) * cos, y * cos - (z - axis) * sin

    crossings = sorted(crossing for loop in loops for crossing in _crossings([seen(place) for place in loop]))
    pairs = zip(crossings[::2], crossings[1::2], strict=True)
    return any(_within_punch(start, end, bend.width) for start, end in pairs)


def _followed(outline: Outline) -> Iterator[list[Point]]:
    """Each loop as a closed row of points."""
    for loop in outline.loops:
        points = [loop.edges[0].start]
        for edge in loop.edges:
            if not isinstance(edge, Line):
                points += [edge.point_at(step / CHORDS) for step in range(1, CHORDS)]
            points.append(edge.end)
        yield points


def _crossings(points: Row) -> Iterator[tuple[float, float]]:
    """Where a closed row of points goes through the plane of the punch: along the line, and up the punch."""
    for (x0, up0, out0), (x1, up1, out1) in pairwise(points):
        # Points in the plane itself count as behind it, so that the crossings of a loop are always even.
        if (out0 > LENGTH) != (out1 > LENGTH):
            share = (LENGTH - out0) / (out1 - out0)
            yield x0 + share * (x1 - x0), up0 + share * (up1 - up0)


def _within_punch(start: tuple[float, float], end: tuple[float, float], width: float) -> bool:
    """True when a stretch of the plane of the punch has more than a point in the punch."""
    (x0, up0), (x1, up1) = start, end
    low, high = 0.0, 1.0
    inside = ((x0, x1), (width - x0, width - x1), (up0, up1))
    for first, last in ((one - LENGTH, other - LENGTH) for one, other in inside):
        if first <= 0.0 and last <= 0.0:
            return False
        if first < 0.0 or last < 0.0:
            share = first / (first - last)
            low, high = (max(low, share), high) if first < 0.0 else (low, min(high, share))
    return low < high
