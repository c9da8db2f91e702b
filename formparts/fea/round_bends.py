"""Bends as rows of quadrilaterals, and where a point of a bend's strip lies on the cylinder."""

from __future__ import annotations

import math
from collections.abc import Callable

from formparts.body import Bend, Body, Frame, front_first
from formparts.body.frame import Vector, bend_frame, combined
from formparts.fea.divisions import Divisions
from formparts.fea.net import GrowingNet, Triple
from formparts.outline.measures import segment_factor


def plain_bend(net: GrowingNet, bend: Bend, parent: Frame, body: Body, counts: Divisions) -> None:
    """Rows of quadrilaterals round a bend, from the parent's line to the child's."""
    near = net.lines[bend.name, bend.parent, 0]
    far = net.lines[bend.name, bend.child, 0][::-1]
    steps = counts.steps(bend)
    place = round_places(bend, parent, body.sheet.thickness)
    width = bend.width / (len(near) - 1)
    rows = [near]
    for step in range(1, steps):
        angle = math.radians(bend.angle) * step / steps
        rows.append([net.node(place(angle, column * width, None)) for column in range(len(near))])
    rows.append(far)
    for step in range(steps):
        half = math.radians(bend.angle) / steps / 2.0
        angle = math.radians(bend.angle) * (step + 0.5) / steps
        for column, (a, b) in enumerate(zip(rows[step], rows[step + 1], strict=True)):
            net.middle(a, b, place(angle, column * width, half))
        for column in range(len(near) - 1):
            a, b = rows[step][column : column + 2]
            d, c = rows[step + 1][column : column + 2]
            net.face(bend.name, (d, c, b, a))
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    first, last = ("start", "end") if front_first(body.frame, line.x) else ("end", "start")
    net.name(f"{bend.name}.{first}", [row[0] for row in rows])
    net.name(f"{bend.name}.{last}", [row[-1] for row in reversed(rows)])


def round_places(
    bend: Bend, parent: Frame, thickness: float
) -> Callable[[float, float, float | None], Triple]:
    """Places on a bend by the angle [rad] and along its line [mm]; nodes half-way between two others bulge a little
    more than the arc, so that the parabola through them has the length (mid-surface) and area (skins) of the arc."""
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    up = 1.0 if bend.side == "up" else -1.0
    middle = bend.inside_radius + thickness / 2.0
    radii = (middle + up * thickness / 2.0, middle, middle - up * thickness / 2.0)

    def place(angle: float, along: float, half: float | None) -> Triple:
        centre = line.point((along, 0.0), up * middle)

        def at(radius: float) -> Vector:
            out, onward = -up * radius * math.cos(angle), -radius * math.sin(angle)
            return combined(centre, (out, line.z), (onward, line.y))

        if half is None:
            return (at(radii[0]), at(radii[1]), at(radii[2]))
        area = math.cos(half) + 3.0 * segment_factor(2.0 * half) / (8.0 * math.sin(half))
        length = math.cos(half) + _rise_for_length(half)
        return (at(radii[0] * area), at(radii[1] * length), at(radii[2] * area))

    return place


def _rise_for_length(half: float) -> float:
    """Height, in radii, of the parabola over the chord of an arc of twice an angle [rad] that is as long as the arc."""
    chord = 2.0 * math.sin(half)

    def excess(rise: float) -> float:
        slope = 4.0 * rise / chord
        return chord / 2.0 * (math.hypot(1.0, slope) + math.asinh(slope) / slope) - 2.0 * half

    low, high = 0.9 * (1.0 - math.cos(half)), 1.1 * (1.0 - math.cos(half))
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if excess(middle) > 0.0 else (middle, high)
    return (low + high) / 2.0
