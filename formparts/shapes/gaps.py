"""The position of flats to each other: in one plane or not, and the gaps between bodies."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from formparts.body import Body, Frame, frames
from formparts.body.frame import combined, cross, dot
from formparts.errors import InputError
from formparts.outline import Outline
from formparts.outline.edges import Arc, Edge, Motion, Point
from formparts.tolerances import DIRECTION, LENGTH

Placed: TypeAlias = list[tuple[str, Frame, list[Outline]]]
"""Flats of a part that is being joined: name, position, and the outlines that it is drawn from."""


def in_one_plane(one: Frame, two: Frame) -> bool:
    """True when two mid-surfaces lie in one plane, within LENGTH."""
    return parallel(one, two) and abs(height_over(one, two)) <= LENGTH


def parallel(one: Frame, two: Frame) -> bool:
    """True when two planes are parallel."""
    if abs(dot(one.z, two.z)) < 0.9:
        return False  # nearly all flats in other planes are far from it
    across = cross(one.z, two.z)
    return dot(across, across) < DIRECTION * DIRECTION


def height_over(one: Frame, two: Frame) -> float:
    """Return the height of the second's origin above the plane of the first."""
    return dot(one.z, combined(two.origin, (-1.0, one.origin)))


def laid_on(host: Frame, guest: Frame) -> Motion:
    """Return the motion from the coordinates of the guest's flat to those of the host's."""
    p, q, _ = host.local(guest.origin)
    return Motion(
        dot(host.x, guest.x), dot(host.x, guest.y), dot(host.y, guest.x), dot(host.y, guest.y), p, q
    )


def no_meeting(part: Placed, other: Body) -> InputError:
    """State why a body meets nothing: the least gap in one plane, or the least height between planes."""
    gaps, heights = [], []
    for flat, frame in frames(other).items():
        for host, at, drawn in part:
            if in_one_plane(at, frame):
                moved = other.flat(flat).outline.moved(laid_on(at, frame))
                gaps.append(_gap_text(host, flat, min(gap(one, moved) for one in drawn)))
            elif parallel(at, frame):
                high = height_over(at, frame)
                side = "above" if high > 0 else "below"
                heights.append((abs(high), f"{flat} lies {abs(high):.6g} mm {side} {host}"))
    nearest = min(gaps or heights or [(math.inf, "no flat of the one is parallel to a flat of the other")])
    alike = part[0][0] == other.name
    return InputError(
        "fuse",
        "bodies",
        other.name,
        f"does not meet {'the other body of that name' if alike else part[0][0]}: {nearest[1]}",
        "move it so that two flats lie in one plane and overlap, or touch along an edge"
        + ('; give one of the two a name of its own: name="other", or renamed' if alike else ""),
    )


def _gap_text(host: str, flat: str, wide: float) -> tuple[float, str]:
    if wide <= LENGTH:
        return wide, f"{flat} touches {host} only in a point"
    return wide, f"{flat} lies in the plane of {host}, {wide:.6g} mm away from it"


def gap(one: Outline, two: Outline) -> float:
    """Return the least distance between two outlines that do not overlap [mm]."""
    return min(_reach(one.edges, two), _reach(two.edges, one))


def _reach(edges: Sequence[Edge], other: Outline) -> float:
    """Return the least distance to an outline from the ends of edges, and from the nearest points of their arcs."""
    return min(
        other.distance_to_edge(point) for edge in edges for point in (edge.start, *_nearest(edge, other))
    )


def _nearest(edge: Edge, other: Outline) -> Iterator[Point]:
    """Return points of an arc whose normals meet an edge of the outline squarely."""
    if not isinstance(edge, Arc):
        return
    for towards in other.edges:
        target = towards.centre if isinstance(towards, Arc) else _foot(edge.centre, towards)
        away = math.dist(edge.centre, target)
        if away == 0.0:
            continue
        for share in (edge.radius / away, -edge.radius / away):
            point = (
                edge.centre[0] + share * (target[0] - edge.centre[0]),
                edge.centre[1] + share * (target[1] - edge.centre[1]),
            )
            if edge.distance(point) <= LENGTH:
                yield point


def _foot(point: Point, edge: Edge) -> Point:
    """Return the foot of the perpendicular from a point on the line through an edge."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    dx, dy = x1 - x0, y1 - y0
    share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / (dx * dx + dy * dy)
    return (x0 + share * dx, y0 + share * dy)
