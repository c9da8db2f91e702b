"""Compare two bodies: the same flats and bends at the same places in space, whatever their names."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, dot
from formparts.outline import Outline
from formparts.outline.edges import Edge
from formparts.tolerances import REDRAWN, ROUNDING


def same_part(one: Body, other: Body, tolerance: float) -> bool:
    """
    True when two bodies are the same part in the same place.

    Parameters
    ----------
    one, other : Body
        Any two.
    tolerance : float [mm]
        How far outlines may lie off each other.

    Returns
    -------
    bool
    """
    if abs(one.sheet.thickness - other.sheet.thickness) > tolerance:
        return False
    if (len(one.flats), len(one.bends)) != (len(other.flats), len(other.bends)):
        return False
    here, there = frames(one), frames(other)
    left = [(flat, there[flat.name]) for flat in other.flats]
    for flat in one.flats:
        fit = next(
            (k for k, held in enumerate(left) if _same_flat((flat, here[flat.name]), held, tolerance)), None
        )
        if fit is None:
            return False
        del left[fit]
    return _bends_match(one, other, tolerance)


def _same_flat(one: tuple[Flat, Frame], other: tuple[Flat, Frame], tolerance: float) -> bool:
    """True when two flats lie in one plane and have one outline."""
    (first, here), (second, there) = one, other
    if abs(abs(dot(here.z, there.z)) - 1.0) > ROUNDING or abs(
        first.net.area - second.net.area
    ) > tolerance * (first.net.perimeter):
        return False
    same = _lies_on(first.net, here, second.net, there, tolerance) and _lies_on(
        second.net, there, first.net, here, tolerance
    )
    return same and _same_features(_features(first, here), _features(second, there), tolerance)


MadeHole = tuple[Vector, Vector, str, tuple[float, ...]]
"""Centre, a point 1 mm out of the face, kind with its thread or pressed part, and its figures."""


def _features(flat: Flat, frame: Frame) -> list[MadeHole]:
    """Return countersinks, threads, pressed parts and collars at the holes of a flat, in space."""
    found: list[MadeHole] = []
    for opening in flat.openings:
        feature, circle = opening.feature, opening.outline.outer.circle
        if feature is not None and circle is not None:
            out = 1.0 if feature.face == "upper" else -1.0
            kind = feature.kind if feature.depth else feature.callout
            sizes = (feature.diameter, feature.floor, feature.depth, feature.height, feature.pitch)
            found.append((frame.point(circle[0]), frame.point(circle[0], out), kind, sizes))
    return found


def _same_features(one: list[MadeHole], other: list[MadeHole], tolerance: float) -> bool:
    """True when each has an equal among the others."""

    def alike(a: MadeHole, b: MadeHole) -> bool:
        near = max(math.dist(a[0], b[0]), math.dist(a[1], b[1]), math.dist(a[3], b[3]))
        return a[2] == b[2] and near <= 10.0 * tolerance

    return len(one) == len(other) and all(any(alike(a, b) for b in other) for a in one)


def _lies_on(one: Outline, here: Frame, other: Outline, there: Frame, tolerance: float) -> bool:
    """True when all corners and middles of one outline lie on the other."""
    x0, y0, x1, y1 = other.bounds
    for place in _places(one.edges):
        x, y, height = there.local(here.point(place))
        if abs(height) > tolerance or not x0 - 1.0 < x < x1 + 1.0 or not y0 - 1.0 < y < y1 + 1.0:
            return False
        if other.distance_to_edge((x, y)) > tolerance:
            return False
    return True


def _places(edges: Iterable[Edge]) -> Iterable[tuple[float, float]]:
    for edge in edges:
        yield edge.start
        yield edge.middle


def same_outline(one: Outline, other: Outline, tolerance: float) -> bool:
    """True when two outlines of one plane are one."""
    level = Frame()
    near = abs(one.area - other.area) <= tolerance * one.perimeter
    return (
        near
        and _lies_on(one, level, other, level, tolerance)
        and _lies_on(other, level, one, level, tolerance)
    )


def _bends_match(one: Body, other: Body, tolerance: float) -> bool:
    """True when every bend of one has an equal in the other: position, angle, radius, and what openings leave."""
    left = [_bend_in_space(other, bend) for bend in other.bends]
    for bend in one.bends:
        ends, angle, radius, middle = _bend_in_space(one, bend)
        fit = next(
            (
                k
                for k, (places, turn, round_, there) in enumerate(left)
                if abs(turn - angle) <= REDRAWN
                and abs(round_ - radius) <= tolerance
                and _same_places(ends, places, 10.0 * tolerance)
                and math.dist(middle, there) <= 10.0 * tolerance
            ),
            None,
        )
        if fit is None:
            return False
        del left[fit]
    return True


BendInSpace = tuple[tuple[Vector, ...], float, float, tuple[float, ...]]


def _bend_in_space(body: Body, bend: Bend) -> BendInSpace:
    """Ends of both tangent lines, angle, radius, and the middle of what its openings leave, with its area per mm."""
    at = frames(body)
    near = [at[bend.parent].point(place) for place in bend.parent_line]
    far = [at[bend.child].point(place) for place in bend.child_line]
    return (*near, *far), bend.angle, bend.inside_radius, _middle(bend, near, far)


def _middle(bend: Bend, near: list[Vector], far: list[Vector]) -> tuple[float, ...]:
    """By its shares along the bend and round it, between the four ends: the same whichever flat is the parent."""
    if not bend.openings:
        return (0.0,) * 4
    area = math.fsum(net.area for net in bend.nets)
    x, y = (math.fsum(net.first_moments[axis] for net in bend.nets) / area for axis in (0, 1))
    along, round_ = x / bend.width, -y / bend.developed
    first, last = (
        tuple((1.0 - along) * a + along * b for a, b in zip(*ends, strict=True)) for ends in (near, far)
    )
    middle = tuple((1.0 - round_) * a + round_ * b for a, b in zip(first, last, strict=True))
    return (*middle, area / bend.width)


def _same_places(one: Iterable[Vector], other: tuple[Vector, ...], tolerance: float) -> bool:
    return all(min(math.dist(place, there) for there in other) <= tolerance for place in one)
