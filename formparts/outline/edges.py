"""Lines and arcs in the plane: the two kinds of edge that every outline is made of. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from typing import TypeAlias

from formparts.quantities import AngleLike, LengthLike, length
from formparts.quantities import angle as read_angle
from formparts.short_repr import short_repr
from formparts.tolerances import FIT, LENGTH

Point: TypeAlias = tuple[float, float]
Bounds: TypeAlias = tuple[float, float, float, float]


def cos_deg(angle: float) -> float:
    """Cosine of an angle in degrees, exact at every quarter turn."""
    return sin_deg(angle + 90.0)


def sin_deg(angle: float) -> float:
    """Sine of an angle in degrees, exact at every quarter turn."""
    quarter, rest = divmod(angle, 90.0)
    if rest == 0.0:
        return (0.0, 1.0, 0.0, -1.0)[int(quarter) % 4]
    return math.sin(math.radians(angle))


@short_repr
@dataclass(frozen=True, slots=True)
class Motion:
    """
    A rigid motion of the plane, with or without a turn-over: x' = a x + b y + p, y' = c x + d y + q.

    Parameters
    ----------
    a, b, c, d : float [-]
        The rotation, or rotation and mirror; of length one in rows and columns.
    p, q : float [mm]
        The shift.

    Examples
    --------
    >>> move = Motion.shift(10, 5).after(Motion.turn(90))
    >>> tuple(round(value, 6) for value in move((3, 0)))
    (10.0, 8.0)
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    p: float = 0.0
    q: float = 0.0

    @staticmethod
    def shift(x: LengthLike, y: LengthLike) -> Motion:
        """Move by x and y [mm]; what is not a length is refused with an InputError."""
        return Motion(p=length(x, "x", "shift"), q=length(y, "y", "shift"))

    @staticmethod
    def turn(angle: AngleLike) -> Motion:
        """Turn anticlockwise about the origin by an angle [deg]; what is not an angle is refused with an InputError."""
        turned_by = read_angle(angle, "angle", "turn")
        cos, sin = cos_deg(turned_by), sin_deg(turned_by)
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


def is_left(start: Point, end: Point, point: Point) -> bool:
    """True when the point is left of start-end; a point on the line counts as slightly further right, then up."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    side = dx * (point[1] - start[1]) - dy * (point[0] - start[0])
    return side > 0.0 or (side == 0.0 and (dy < 0.0 or (dy == 0.0 and dx > 0.0)))


def boxes_meet(one: Bounds, two: Bounds, gap: float = LENGTH) -> bool:
    """True when two boxes overlap, or come no farther apart than the gap."""
    return (
        one[0] <= two[2] + gap
        and two[0] <= one[2] + gap
        and one[1] <= two[3] + gap
        and two[1] <= one[3] + gap
    )


def near_pairs(boxes: Sequence[Bounds]) -> Iterator[tuple[int, int]]:
    """Return all pairs of boxes that meet, the later one first: sorted along x, so that most are never compared."""
    held: list[tuple[Bounds, int]] = []
    for box, i in sorted(zip(boxes, range(len(boxes)), strict=True)):
        left, low, high = box[0] - LENGTH, box[1] - LENGTH, box[3] + LENGTH
        held = [each for each in held if each[0][2] >= left]
        for other, j in held:
            if other[1] <= high and other[3] >= low:
                yield (i, j) if i > j else (j, i)
        held.append((box, i))


_LONG = 64
"""A box that reaches into more cells of a grid than this is compared with all others."""


def pairs_within(boxes: Sequence[Bounds], gap: float) -> list[tuple[int, int]]:
    """Return all pairs of boxes within a gap of each other, in order, the earlier one first, by the cells of a grid."""
    sides = sorted(max(box[2] - box[0], box[3] - box[1]) for box in boxes)
    cell = (sides[len(sides) // 2] + gap if sides else 0.0) or 1.0
    cells: dict[tuple[int, int], list[int]] = {}
    long: list[int] = []
    for number, (left, low, right, high) in enumerate(boxes):
        across = range(math.floor((left - gap) / cell), math.floor(right / cell) + 1)
        along = range(math.floor((low - gap) / cell), math.floor(high / cell) + 1)
        if len(across) * len(along) > _LONG:
            long.append(number)
            continue
        for place in product(across, along):
            cells.setdefault(place, []).append(number)
    found = {
        pair
        for held in cells.values()
        for pair in combinations(held, 2)
        if boxes_meet(*_of(boxes, pair), gap)
    }
    for one in long:
        found |= {
            (min(one, other), max(one, other))
            for other, box in enumerate(boxes)
            if other != one and boxes_meet(boxes[one], box, gap)
        }
    return sorted(found)


def _of(boxes: Sequence[Bounds], pair: tuple[int, int]) -> tuple[Bounds, Bounds]:
    return boxes[pair[0]], boxes[pair[1]]


def chord_crossing(start: Point, end: Point, point: Point) -> int:
    """Count how start-end crosses the ray from the point to the right: +1 upward, -1 downward, 0 not."""
    upward = start[1] <= point[1]
    if upward == (end[1] <= point[1]) or is_left(start, end, point) != upward:
        return 0
    return 1 if upward else -1


def arc_crossing(start: Point, end: Point, arc: Arc, point: Point) -> int:
    """Count the same for a part start-end of an arc: its chord, and one more in between chord and arc."""
    count = chord_crossing(start, end, point)
    if math.dist(point, arc.centre) < arc.radius and is_left(start, end, point) != arc.ccw:
        return count + (1 if arc.ccw else -1)
    return count


def arc_middle(start: Point, end: Point, arc: Arc) -> Point:
    """Return the point half-way along a part start-end of an arc."""
    cx, cy = arc.centre
    turn = arc.radius if arc.ccw else -arc.radius
    # The arc is to the right of its chord when it runs anticlockwise; this holds its digits at half a turn.
    dx, dy = (start[0] - cx) + (end[0] - cx), (start[1] - cy) + (end[1] - cy)
    chord_x, chord_y = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(chord_x, chord_y)
    if math.hypot(dx, dy) < chord:
        return (cx + turn * chord_y / chord, cy - turn * chord_x / chord)
    scale = arc.radius / math.hypot(dx, dy)
    return (cx + scale * dx, cy + scale * dy)


def fitted(arc: Arc) -> Arc:
    """
    A short arc with both of its ends on its circle, whose centre is moved for it; a longer one as it is.

    Ends that were put together with others may be off it by LENGTH: that would leave a gap in the rim of a solid,
    which the kernel's integrals show many times over. Near half a turn the centre would not be well determined.
    """
    chord = math.dist(arc.start, arc.end)
    off = max(abs(math.dist(end, arc.centre) - arc.radius) for end in (arc.start, arc.end))
    if off <= FIT or not LENGTH < chord < arc.radius:
        return arc
    mx, my = (arc.start[0] + arc.end[0]) / 2.0, (arc.start[1] + arc.end[1]) / 2.0
    nx, ny = (arc.start[1] - arc.end[1]) / chord, (arc.end[0] - arc.start[0]) / chord
    away = math.sqrt(max(arc.radius**2 - chord**2 / 4.0, 0.0))
    side = math.copysign(away, (arc.centre[0] - mx) * nx + (arc.centre[1] - my) * ny)
    return Arc(arc.start, arc.end, (mx + side * nx, my + side * ny), arc.radius, arc.ccw, arc.tag)


@short_repr
@dataclass(frozen=True, slots=True)
class Line:
    """
    A straight edge.

    Parameters
    ----------
    start, end : (x, y) [mm]
        Its two ends.
    tag : str
        Name of the face that the edge will become; takes no part in comparison.
    """

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
        return Line(self.start, self.end, tag)

    @property
    def middle(self) -> Point:
        return ((self.start[0] + self.end[0]) / 2.0, (self.start[1] + self.end[1]) / 2.0)

    @property
    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y."""
        (x0, y0), (x1, y1) = self.start, self.end
        if x0 > x1:
            x0, x1 = x1, x0
        return (x0, y0, x1, y1) if y0 <= y1 else (x0, y1, x1, y0)

    def distance(self, point: Point) -> float:
        """Distance of a point from the edge."""
        (x0, y0), (x1, y1) = self.start, self.end
        dx, dy = x1 - x0, y1 - y0
        square = dx * dx + dy * dy
        along = (point[0] - x0) * dx + (point[1] - y0) * dy
        if square == 0.0 or along <= 0.0:
            return math.dist(point, self.start)
        if along >= square:
            return math.dist(point, self.end)
        return abs((point[1] - y0) * dx - (point[0] - x0) * dy) / math.sqrt(square)

    def crossing(self, point: Point) -> int:
        """Count how the edge crosses the ray from the point to the right."""
        return chord_crossing(self.start, self.end, point)

    def point_at(self, fraction: float) -> Point:
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + fraction * (x1 - x0), y0 + fraction * (y1 - y0))


@short_repr
@dataclass(frozen=True, slots=True)
class Arc:
    """
    An arc of a circle, of at most half a turn.

    Parameters
    ----------
    start, end : (x, y) [mm]
        Its two ends.
    centre : (x, y) [mm]
        Of the circle.
    radius : float [mm]
        Of the circle.
    ccw : bool
        Whether it runs anticlockwise from start to end.
    tag : str
        Name of the face that the edge will become; takes no part in comparison.
    """

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
        return Arc(self.start, self.end, self.centre, self.radius, self.ccw, tag)

    @property
    def middle(self) -> Point:
        return arc_middle(self.start, self.end, self)

    @property
    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y, the arc's own extremes among them."""
        (x0, y0), (x1, y1), (cx, cy), r = self.start, self.end, self.centre, self.radius
        # An extreme of the circle belongs to the arc when it is on the arc's side of the chord.
        dx, dy = (x1 - x0, y1 - y0) if self.ccw else (x0 - x1, y0 - y1)
        base = dx * (cy - y0) - dy * (cx - x0)
        if x0 > x1:
            x0, x1 = x1, x0
        if y0 > y1:
            y0, y1 = y1, y0
        return (
            cx - r if base + dy * r < 0.0 else x0,
            cy - r if base - dx * r < 0.0 else y0,
            cx + r if base - dy * r < 0.0 else x1,
            cy + r if base + dx * r < 0.0 else y1,
        )

    def distance(self, point: Point) -> float:
        """Distance of a point from the edge."""
        px, py = point[0] - self.centre[0], point[1] - self.centre[1]
        ax, ay = self.start[0] - self.centre[0], self.start[1] - self.centre[1]
        bx, by = self.end[0] - self.centre[0], self.end[1] - self.centre[1]
        sense = 1.0 if self.ccw else -1.0
        if sense * (ax * py - ay * px) >= 0.0 and sense * (px * by - py * bx) >= 0.0:
            return abs(math.hypot(px, py) - self.radius)
        return min(math.dist(point, self.start), math.dist(point, self.end))

    def crossing(self, point: Point) -> int:
        """Count how the edge crosses the ray from the point to the right."""
        return arc_crossing(self.start, self.end, self, point)

    def point_at(self, fraction: float) -> Point:
        angle = self.sweep_rad * fraction * (1.0 if self.ccw else -1.0)
        cos, sin = math.cos(angle), math.sin(angle)
        dx, dy = self.start[0] - self.centre[0], self.start[1] - self.centre[1]
        return (self.centre[0] + cos * dx - sin * dy, self.centre[1] + sin * dx + cos * dy)


Edge: TypeAlias = Line | Arc
