"""Intersections of lines and circles: the plane geometry with which a sketch and its figures are solved."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.drawings.measuring import canonical
from formparts.outline import Point
from formparts.tolerances import ALONG, NO_LENGTH, NOUGHT


@dataclass(frozen=True)
class InfiniteLine:
    """All points p with n . p = c, for a unit vector n."""

    nx: float
    ny: float
    c: float

    @property
    def along(self) -> Point:
        """Return its canonical direction."""
        return canonical(-self.ny, self.nx)

    def off(self, point: Point) -> float:
        """Return how far a point lies to the left of it."""
        x, y = self.along
        foot = self.foot(point)
        return x * (point[1] - foot[1]) - y * (point[0] - foot[0])

    def foot(self, point: Point) -> Point:
        """Return the nearest point on it."""
        away = self.nx * point[0] + self.ny * point[1] - self.c
        return (point[0] - away * self.nx, point[1] - away * self.ny)

    def beside(self, distance: float) -> InfiniteLine:
        """Return the parallel at a distance to its left."""
        x, y = self.along
        sign = 1.0 if self.nx * -y + self.ny * x > 0 else -1.0
        return InfiniteLine(self.nx, self.ny, self.c + sign * distance)


@dataclass(frozen=True)
class Round:
    """A circle."""

    centre: Point
    radius: float


def through(one: Point, two: Point) -> InfiniteLine:
    """Return the line through two points."""
    long = math.dist(one, two)
    nx, ny = (one[1] - two[1]) / long, (two[0] - one[0]) / long
    return InfiniteLine(nx, ny, nx * one[0] + ny * one[1])


def meeting(one: InfiniteLine | Round, two: InfiniteLine | Round, pick: int) -> Point | None:
    """Return where two carriers meet, or None; of two points the one given by `pick`, as in `measuring`."""
    if isinstance(one, Round) and isinstance(two, Round):
        return _two_circles(one, two, pick)
    if isinstance(one, InfiniteLine) and isinstance(two, InfiniteLine):
        cross = one.nx * two.ny - one.ny * two.nx
        if abs(cross) < NOUGHT:
            return None
        return ((one.c * two.ny - two.c * one.ny) / cross, (one.nx * two.c - two.nx * one.c) / cross)
    line, circle = (one, two) if isinstance(one, InfiniteLine) else (two, one)
    assert isinstance(line, InfiniteLine)
    assert isinstance(circle, Round)
    foot = line.foot(circle.centre)
    reach = circle.radius**2 - math.dist(foot, circle.centre) ** 2
    if reach < -ALONG * circle.radius:
        return None
    x, y = line.along
    along = pick * math.sqrt(max(reach, 0.0))
    return (foot[0] + along * x, foot[1] + along * y)


def _two_circles(one: Round, two: Round, pick: int) -> Point | None:
    away = math.dist(one.centre, two.centre)
    if away < NO_LENGTH:
        return None
    ux, uy = (two.centre[0] - one.centre[0]) / away, (two.centre[1] - one.centre[1]) / away
    along = (away**2 + one.radius**2 - two.radius**2) / (2.0 * away)
    aside = pick * math.sqrt(max(one.radius**2 - along**2, 0.0))
    return (one.centre[0] + along * ux - aside * uy, one.centre[1] + along * uy + aside * ux)


def touching(one: InfiniteLine | Round, two: InfiniteLine | Round) -> Point | None:
    """Return where two tangent carriers touch."""
    if isinstance(one, InfiniteLine) and isinstance(two, Round):
        return one.foot(two.centre)
    if isinstance(one, Round) and isinstance(two, InfiniteLine):
        return two.foot(one.centre)
    assert isinstance(one, Round)
    assert isinstance(two, Round)
    away = math.dist(one.centre, two.centre)
    if away < NO_LENGTH:
        return None
    ux, uy = (two.centre[0] - one.centre[0]) / away, (two.centre[1] - one.centre[1]) / away
    sign = 1.0 if two.radius < one.radius or away > max(one.radius, two.radius) else -1.0
    return (one.centre[0] + sign * one.radius * ux, one.centre[1] + sign * one.radius * uy)


def centre_of(start: Point, end: Point, radius: float, ccw: bool, large: bool) -> Point:
    """Return the centre of an arc from its ends."""
    chord = math.dist(start, end)
    away = math.sqrt(max(radius**2 - chord**2 / 4.0, 0.0))
    nx, ny = (start[1] - end[1]) / chord, (end[0] - start[0]) / chord
    sign = 1.0 if ccw != large else -1.0
    return ((start[0] + end[0]) / 2.0 + sign * away * nx, (start[1] + end[1]) / 2.0 + sign * away * ny)


def turned(point: Point, centre: Point, turn: float) -> Point:
    """Return a point rotated about a centre [rad]."""
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = point[0] - centre[0], point[1] - centre[1]
    return (centre[0] + x * cos - y * sin, centre[1] + x * sin + y * cos)
