"""Lines and arcs in the plane: the two kinds of edge that every outline is made of. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]


def cos_deg(angle: float) -> float:
    """Cosine of an angle in degrees, exact at every quarter turn."""
    return sin_deg(angle + 90.0)


def sin_deg(angle: float) -> float:
    """Sine of an angle in degrees, exact at every quarter turn."""
    quarter, rest = divmod(angle, 90.0)
    if rest == 0.0:
        return (0.0, 1.0, 0.0, -1.0)[int(quarter) % 4]
    return math.sin(math.radians(angle))


@dataclass(frozen=True, slots=True)
class Motion:
    """A rigid motion of the plane, with or without a turn-over: x' = a x + b y + p, y' = c x + d y + q."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    p: float = 0.0
    q: float = 0.0

    @staticmethod
    def shift(x: float, y: float) -> Motion:
        """Move by x and y [mm]."""
        return Motion(p=x, q=y)

    @staticmethod
    def turn(angle: float) -> Motion:
        """Turn anticlockwise about the origin by an angle [deg]."""
        cos, sin = cos_deg(angle), sin_deg(angle)
        return Motion(cos, -sin, sin, cos)

    @staticmethod
    def turn_over() -> Motion:
        """Mirror in the x axis: y changes its sign."""
        return Motion(d=-1.0)

    def __call__(self, point: Point) -> Point:
        x, y = point
        return (self.a * x + self.b * y + self.p, self.c * x + self.d * y + self.q)

    @property
    def turns_over(self) -> bool:
        """True when the motion mirrors, so that an anticlockwise arc becomes a clockwise one."""
        return self.a * self.d - self.b * self.c < 0

    def after(self, first: Motion) -> Motion:
        """Give the motion that does `first` and then this one."""
        p, q = self((first.p, first.q))
        return Motion(
            self.a * first.a + self.b * first.c,
            self.a * first.b + self.b * first.d,
            self.c * first.a + self.d * first.c,
            self.c * first.b + self.d * first.d,
            p,
            q,
        )


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge from start to end; `tag` is the name of the face it will become."""

    start: Point
    end: Point
    tag: str = field(default="", compare=False)

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    def reversed(self) -> Line:
        return Line(self.end, self.start, self.tag)

    def moved(self, motion: Motion) -> Line:
        return Line(motion(self.start), motion(self.end), self.tag)

    def tagged(self, tag: str) -> Line:
        return replace(self, tag=tag)

    def point_at(self, fraction: float) -> Point:
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + fraction * (x1 - x0), y0 + fraction * (y1 - y0))


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece of a circle of at most half a turn, from start to end, anticlockwise if `ccw`."""

    start: Point
    end: Point
    centre: Point
    radius: float
    ccw: bool
    tag: str = field(default="", compare=False)

    @property
    def sweep_rad(self) -> float:
        """Angle turned through, positive, at most pi [rad]."""
        ax, ay = self.start[0] - self.centre[0], self.start[1] - self.centre[1]
        bx, by = self.end[0] - self.centre[0], self.end[1] - self.centre[1]
        # atan2 keeps its digits at half a turn, where an arc sine of the chord loses half of them.
        return math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)

    @property
    def length(self) -> float:
        return self.radius * self.sweep_rad

    def reversed(self) -> Arc:
        return Arc(self.end, self.start, self.centre, self.radius, not self.ccw, self.tag)

    def moved(self, motion: Motion) -> Arc:
        ccw = self.ccw != motion.turns_over
        return Arc(motion(self.start), motion(self.end), motion(self.centre), self.radius, ccw, self.tag)

    def tagged(self, tag: str) -> Arc:
        return replace(self, tag=tag)

    def point_at(self, fraction: float) -> Point:
        angle = self.sweep_rad * fraction * (1.0 if self.ccw else -1.0)
        cos, sin = math.cos(angle), math.sin(angle)
        dx, dy = self.start[0] - self.centre[0], self.start[1] - self.centre[1]
        return (self.centre[0] + cos * dx - sin * dy, self.centre[1] + sin * dx + cos * dy)


Edge: TypeAlias = Line | Arc
