"""Whether two bodies are one part: the same flats and bends at the same places in space, whatever they are called."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, dot
from formparts.outline import Outline
from formparts.outline.edges import Edge

ANGLES = 1e-5
"""Bend angles within this are one [deg]."""


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
    if abs(abs(dot(here.z, there.z)) - 1.0) > 1e-9 or abs(first.net.area - second.net.area) > tolerance * (
        first.net.perimeter
    ):
        return False
    return _lies_on(first.net, here, second.net, there, tolerance) and _lies_on(
        second.net, there, first.net, here, tolerance
    )


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
    """Every bend of one has its own in the other: place, angle, radius."""
    left = [_bend_in_space(other, bend) for bend in other.bends]
    for bend in one.bends:
        ends, angle, radius = _bend_in_space(one, bend)
        fit = next(
            (
                k
                for k, (places, turn, round_) in enumerate(left)
                if abs(turn - angle) <= ANGLES
                and abs(round_ - radius) <= tolerance
                and _same_places(ends, places, 10.0 * tolerance)
            ),
            None,
        )
        if fit is None:
            return False
        del left[fit]
    return True


def _bend_in_space(body: Body, bend: Bend) -> tuple[tuple[Vector, ...], float, float]:
    """Ends of both tangent lines, angle and radius."""
    at = frames(body)
    near = [at[bend.parent].point(place) for place in bend.parent_line]
    far = [at[bend.child].point(place) for place in bend.child_line]
    return (*near, *far), bend.angle, bend.inside_radius


def _same_places(one: Iterable[Vector], other: tuple[Vector, ...], tolerance: float) -> bool:
    return all(min(math.dist(place, there) for there in other) <= tolerance for place in one)
