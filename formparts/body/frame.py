"""The position of a flat in space: right-handed frames, and one flat's frame from another's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

from formparts.outline.edges import Motion, Point, cos_deg, sin_deg
from formparts.short_repr import short_repr
from formparts.tolerances import VOLUME_REL

Vector: TypeAlias = tuple[float, float, float]


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def opposite(vector: Vector) -> Vector:
    """Return the opposite direction."""
    return (-vector[0], -vector[1], -vector[2])


def combined(origin: Vector, *terms: tuple[float, Vector]) -> Vector:
    """Return the origin plus each factor times its vector."""
    x, y, z = origin
    for factor, (dx, dy, dz) in terms:
        x, y, z = x + factor * dx, y + factor * dy, z + factor * dz
    return (x, y, z)


@short_repr
@dataclass(frozen=True, slots=True)
class Frame:
    """
    Where a flat lies in space: an origin and three axes at right angles, right-handed.

    Parameters
    ----------
    origin : (x, y, z) [mm]
        Of the flat's own coordinates.
    x, y, z : (x, y, z) [-]
        Directions of length one; z points out of the upper face.
    """

    origin: Vector = (0.0, 0.0, 0.0)
    x: Vector = (1.0, 0.0, 0.0)
    y: Vector = (0.0, 1.0, 0.0)
    z: Vector = (0.0, 0.0, 1.0)

    @property
    def is_right_handed(self) -> bool:
        """Finite, with axes of length one at right angles, right-handed."""
        try:
            lengths, z = (dot(self.x, self.x), dot(self.y, self.y)), cross(self.x, self.y)
            off = max(*(abs(one - 1.0) for one in lengths), abs(dot(self.x, self.y)), math.dist(z, self.z))
            return off <= VOLUME_REL and all(map(math.isfinite, self.origin)) and len(self.origin) == 3
        except (TypeError, ValueError, IndexError):
            return False

    def point(self, point: Point, height: float = 0.0) -> Vector:
        """The place in space of a point of this frame's plane, raised by a height."""
        (u, v), (ox, oy, oz) = point, self.origin
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = self.x, self.y, self.z
        return (
            ox + u * ax + v * bx + height * cx,
            oy + u * ay + v * by + height * cy,
            oz + u * az + v * bz + height * cz,
        )

    def direction(self, x: float, y: float, z: float = 0.0) -> Vector:
        """The direction in space of a direction given in this frame."""
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = self.x, self.y, self.z
        return (
            0.0 + x * ax + y * bx + z * cx,
            0.0 + x * ay + y * by + z * cy,
            0.0 + x * az + y * bz + z * cz,
        )

    def local(self, place: Vector) -> Vector:
        """The coordinates in this frame of a place in space."""
        away = combined(place, (-1.0, self.origin))
        return (dot(away, self.x), dot(away, self.y), dot(away, self.z))

    def inside(self, outer: Frame) -> Frame:
        """Give this frame, which was stated within `outer`, in space."""
        origin = outer.point((self.origin[0], self.origin[1]), self.origin[2])
        return square_frame(origin, outer.direction(*self.x), outer.direction(*self.z))

    def moved_in_plane(self, motion: Motion) -> Frame:
        """Give the frame in which a point p lies where motion(p) lies in this one."""
        x = self.direction(motion.a, motion.c)
        z = opposite(self.z) if motion.turns_over else self.z
        return square_frame(self.point((motion.p, motion.q)), x, z)


def square_frame(origin: Vector, x: Vector, z: Vector) -> Frame:
    """
    The frame whose axes are at right angles and of length one to the last digit, next to a nearly such x and z.

    A length of 1 + e becomes 1 - 3/2 e^2, and an angle that is off by e loses all but e^2 and the rounding of this
    one step. So what a step adds (a few units of the last digit) is gone after the next one, however many there are;
    without it y = z x x doubles both errors at every bend. Axes that are exact stay exact.
    """
    z = _of_length_one(z)
    x = _of_length_one(combined(x, (-dot(x, z), z)))
    return Frame(origin, x, cross(z, x), z)


def _of_length_one(vector: Vector) -> Vector:
    """One step of Newton's for 1 / sqrt(v . v), from 1."""
    factor = 1.5 - 0.5 * dot(vector, vector)
    return (factor * vector[0], factor * vector[1], factor * vector[2])


def front_first(root: Frame, direction: Vector) -> bool:
    """
    True when a line in space runs from the front of a part to its back, as its root flat sees it.

    Along the root flat's y axis; a line across it from left to right, its x axis; an upright one upwards. So the same
    end of parallel bends has the same name, wherever in the part they are.
    """
    for axis in (root.y, root.x, root.z):
        along = dot(axis, direction)
        if abs(along) > VOLUME_REL:
            return along > 0.0
    return True


def mirror_frame(frame: Frame, through: Vector, normal: Vector) -> Frame:
    """
    The mirror image of a frame in a plane, made right-handed again by turning its y axis about.

    A point (u, v) of the old frame has its image at (u, -v) of the new one; up stays up.
    """

    def image(vector: Vector) -> Vector:
        return combined(vector, (-2.0 * dot(vector, normal), normal))

    away = combined(frame.origin, (-1.0, through))
    origin = combined(through, (1.0, image(away)))
    back = image(frame.y)
    return Frame(origin, image(frame.x), (-back[0], -back[1], -back[2]), image(frame.z))


def bend_frame(start: Point, end: Point) -> Motion:
    """The plane motion that lays the x axis along start-end, with its origin at start."""
    length = math.dist(start, end)
    cos, sin = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return Motion(cos, -sin, sin, cos, start[0], start[1])


def inverse(motion: Motion) -> Motion:
    """Undo a rigid plane motion."""
    back = Motion(motion.a, motion.c, motion.b, motion.d)
    p, q = back((motion.p, motion.q))
    return Motion(back.a, back.b, back.c, back.d, -p, -q)


def frame_across(
    parent: Frame,
    parent_line: tuple[Point, Point],
    child_line: tuple[Point, Point],
    angle: float,
    radius: float,
    up: bool,
) -> Frame:
    """
    Frame of the flat beyond a bend; `radius` [mm] is that of the mid-surface, `angle` [deg] from flat.

    The parent lies to the left of its line, the child to the right of its own.
    """
    at_line = parent.moved_in_plane(bend_frame(*parent_line))
    side = 1.0 if up else -1.0
    cos, sin = cos_deg(angle), sin_deg(angle)
    # The child leaves the line to its right, which is -y of the frame laid along the line.
    origin = combined(at_line.origin, (-radius * sin, at_line.y), (side * radius * (1.0 - cos), at_line.z))
    y = at_line.direction(0.0, cos, -side * sin)
    z = at_line.direction(0.0, side * sin, cos)
    beyond = Frame(origin, at_line.x, y, z)
    return beyond.moved_in_plane(inverse(bend_frame(*child_line)))
