"""Faces of flats: both skins, and a side face along every edge without a bend."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, TypeAlias

from formparts.body import Body, Frame, RimEdge, frames
from formparts.outline.edges import Arc, Point
from formparts.solids.shell import Shell, Use, axes_of, straight_on
from formparts.solids.sunk_faces import sunk_rim


@dataclass(frozen=True, slots=True)
class RimCorner:
    """One corner of a flat's rim: its vertices below and above, and the upright edge between them."""

    below: Any
    above: Any
    upright: Any


@dataclass(frozen=True, slots=True)
class RimJoint:
    """Where a bend meets the rim of a flat: the two skin edges along its line, and the two corners."""

    lower: Any
    upper: Any
    first: RimCorner
    last: RimCorner
    line: Frame


Joints: TypeAlias = dict[tuple[str, str, int], RimJoint]
"""By bend, flat, and number along the bend's line as the flat sees it."""


def flat_faces(shell: Shell, body: Body, edges_of: dict[str, Any]) -> Joints:
    """Make the faces of all flats; return the joints for the bends."""
    joints: Joints = {}
    thickness = body.sheet.thickness
    placed = frames(body)
    for flat in body.flats:
        frame = placed[flat.name]
        skins: list[tuple[list[Use], list[Use]]] = []
        for rim in edges_of[flat.name]:
            sink = flat.sink_round([item.edge for item in rim])
            if sink is not None:
                skins.append(sunk_rim(shell, rim, frame, thickness, sink))
                continue
            skins.append(_rim(shell, flat.name, rim, frame, thickness, joints))
        half = thickness / 2.0
        above = Frame(frame.point((0.0, 0.0), half), frame.x, frame.y, frame.z)
        back = frame.direction(0.0, 0.0, -1.0)
        below = Frame(frame.point((0.0, 0.0), -half), frame.x, frame.direction(0.0, -1.0), back)
        shell.plane(f"{flat.name}.upper", above, [upper for _, upper in skins])
        shell.plane(f"{flat.name}.lower", below, [lower for lower, _ in skins])
    return joints


def _rim(
    shell: Shell,
    flat: str,
    rim: tuple[RimEdge, ...],
    frame: Frame,
    thickness: float,
    joints: Joints,
) -> tuple[list[Use], list[Use]]:
    """Make the edges round one loop and its side faces; give the loop on the lower and on the upper skin."""
    corners = [corner(shell, frame, item.edge.start, thickness) for item in rim]
    lower: list[Use] = []
    upper: list[Use] = []
    for number, item in enumerate(rim):
        first, last = corners[number], corners[(number + 1) % len(rim)]
        name = item.edge.tag or f"{flat}.edge[{number + 1}]"
        side = _curved_side if isinstance(item.edge, Arc) else _straight_side
        below, above = side(shell, name, item, frame, thickness, first, last)
        lower.insert(0, (below, False))
        upper.append((above, True))
        if item.bend is not None:
            along = frame_of_line(frame, item.edge.start, item.edge.end)
            joints[item.bend.name, flat, item.span] = RimJoint(below, above, first, last, along)
    return lower, upper


def corner(shell: Shell, frame: Frame, point: Point, thickness: float) -> RimCorner:
    low, high = frame.point(point, -thickness / 2.0), frame.point(point, thickness / 2.0)
    below, above = shell.vertex(low), shell.vertex(high)
    return RimCorner(below, above, shell.line(below, above, low, high))


def frame_of_line(frame: Frame, start: Point, end: Point) -> Frame:
    """Frame with its origin at the start, x along the line, -y away from the flat, z up."""
    length = math.dist(start, end)
    cos, sin = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return Frame(frame.point(start), frame.direction(cos, sin), frame.direction(-sin, cos), frame.z)


def round_the_side(below: Any, above: Any, first: RimCorner, last: RimCorner) -> list[Use]:
    """The four edges of a side face, anticlockwise from outside."""
    return [(below, True), (last.upright, True), (above, False), (first.upright, False)]


def _straight_side(
    shell: Shell, name: str, item: RimEdge, frame: Frame, thickness: float, first: RimCorner, last: RimCorner
) -> tuple[Any, Any]:
    """The two skin edges along a straight rim edge, and its side face unless a bend starts there."""
    half = thickness / 2.0
    start, end = item.edge.start, item.edge.end
    below = shell.line(first.below, last.below, frame.point(start, -half), frame.point(end, -half))
    above = shell.line(first.above, last.above, frame.point(start, half), frame.point(end, half))
    if item.bend is None:
        along = frame_of_line(frame, start, end)
        outward = along.direction(0.0, -1.0)
        face = Frame(along.origin, along.x, along.z, outward)
        shell.plane(name, face, [round_the_side(below, above, first, last)])
    return below, above


def _curved_side(
    shell: Shell, name: str, item: RimEdge, frame: Frame, thickness: float, first: RimCorner, last: RimCorner
) -> tuple[Any, Any]:
    """The two skin arcs along a rim arc, and the cylinder between them."""
    arc = item.edge
    assert isinstance(arc, Arc)
    half, sweep = thickness / 2.0, arc.sweep_rad
    turn = 1.0 if arc.ccw else -1.0
    main = frame.direction(0.0, 0.0, turn)
    outwards = ((arc.start[0] - arc.centre[0]) / arc.radius, (arc.start[1] - arc.centre[1]) / arc.radius)
    x = frame.direction(*outwards)
    low = axes_of(frame.point(arc.centre, -half), main, x)
    below = shell.arc(low, arc.radius, sweep, first.below, last.below)
    above = shell.arc(
        axes_of(frame.point(arc.centre, half), main, x), arc.radius, sweep, first.above, last.above
    )
    uses = round_the_side(below, above, first, last)
    pcurves = [
        straight_on(0.0, 0.0, 1.0, 0.0),
        straight_on(sweep, 0.0, 0.0, turn),
        straight_on(0.0, turn * thickness, 1.0, 0.0),
        straight_on(0.0, 0.0, 0.0, turn),
    ]
    shell.cylinder(name, low, arc.radius, uses, pcurves, outward=arc.ccw)
    return below, above
