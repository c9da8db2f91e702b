"""Vectors in space and points in the plane, as plain tuples: all that the unfolder needs of them."""

from __future__ import annotations

import math
from typing import TypeAlias

Vector: TypeAlias = tuple[float, float, float]
Pair: TypeAlias = tuple[float, float]


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def along(origin: Vector, factor: float, direction: Vector) -> Vector:
    """Origin plus a factor times a direction."""
    return (
        origin[0] + factor * direction[0],
        origin[1] + factor * direction[1],
        origin[2] + factor * direction[2],
    )


def times(factor: float, a: Vector) -> Vector:
    return (factor * a[0], factor * a[1], factor * a[2])


def length(a: Vector) -> float:
    return math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


def unit(a: Vector) -> Vector:
    size = length(a)
    return (a[0] / size, a[1] / size, a[2] / size)


def middle(a: Vector, b: Vector) -> Vector:
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0, (a[2] + b[2]) / 2.0)


def square_to(direction: Vector) -> Vector:
    """A unit vector at right angles to a direction: from the space axis that is the furthest from it."""
    sizes = [abs(value) for value in direction]
    axis = [0.0, 0.0, 0.0]
    axis[sizes.index(min(sizes))] = 1.0
    return unit(cross(direction, (axis[0], axis[1], axis[2])))


def evenly(first: float, last: float, count: int) -> list[float]:
    """Return a number of values at equal steps from the first to the last."""
    return [first + (last - first) * number / (count - 1) for number in range(count)]


def shown(place: Vector) -> str:
    """Return a point as written in a message."""
    x, y, z = (round(value, 3) + 0.0 for value in place)
    return f"({x:g}, {y:g}, {z:g}) mm"
