"""The elements of a drawing: straight lines, conics, polylines, text and filled shapes, on paper [mm], y up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, overload

from formparts.drawings.letter_widths import CAPITAL, width_of
from formparts.outline import Arc, Edge, Loop, Point
from formparts.outline.edges import Bounds
from formparts.tolerances import LENGTH, ROUNDING


@dataclass(frozen=True)
class Straight:
    """A straight line."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    def points(self) -> list[Point]:
        """Return its two ends."""
        return [self.start, self.end]


@dataclass(frozen=True)
class Conic:
    """An arc of a circle (ratio 1) or an ellipse, anticlockwise from `start` to `end` [rad]."""

    centre: Point
    major: Point
    ratio: float
    start: float
    end: float

    @property
    def radius(self) -> float:
        return math.hypot(*self.major)

    @property
    def is_circle(self) -> bool:
        return self.ratio == 1.0

    @property
    def is_whole(self) -> bool:
        return self.end - self.start > math.tau - ROUNDING

    def at(self, angle: float) -> Point:
        """Return the point for a parameter of the curve [rad]."""
        (cx, cy), (mx, my) = self.centre, self.major
        cos, sin = math.cos(angle), math.sin(angle) * self.ratio
        return (cx + cos * mx - sin * my, cy + cos * my + sin * mx)

    def points(self) -> list[Point]:
        """Return points along it, close enough to test for free space, and its extreme points across and upwards."""
        count = max(2, math.ceil((self.end - self.start) / 0.1))
        angles = [self.start + (self.end - self.start) * i / count for i in range(count + 1)]
        return [self.at(angle) for angle in sorted([*angles, *self._farthest()])]

    def _farthest(self) -> Iterator[float]:
        """Return the parameters at which the curve is extreme along an axis [rad]."""
        mx, my = self.major
        for first in (math.atan2(-self.ratio * my, mx), math.atan2(self.ratio * mx, my)):
            turns = math.ceil((self.start - first) / math.pi)
            while first + turns * math.pi < self.end:
                yield first + turns * math.pi
                turns += 1


@dataclass(frozen=True)
class Polyline:
    """A curve of another kind, approximated by short straight segments."""

    corners: tuple[Point, ...]

    def points(self) -> list[Point]:
        """Return its vertices."""
        return list(self.corners)


Curve: TypeAlias = Straight | Conic | Polyline


@dataclass(frozen=True)
class Pen:
    """Width [mm] and pattern (line, gap, line, gap ... [mm]) of a line, and its layer in a DXF."""

    layer: str
    width: float
    pattern: tuple[float, ...] = ()


_WIDE, _NARROW = 0.5, 0.25
VISIBLE = Pen("visible", _WIDE)
ISOMETRIC = Pen("isometric", 0.35)
HIDDEN = Pen("hidden", _NARROW, (2.0, 0.75))
TANGENT = Pen("tangent", 0.13)
CENTRE = Pen("centre", _NARROW, (24 * _NARROW, 3 * _NARROW, 0.5 * _NARROW, 3 * _NARROW))
BEND_UP = Pen(
    "bend-up", _NARROW, (24 * _NARROW, 3 * _NARROW, 0.5 * _NARROW, 3 * _NARROW, 0.5 * _NARROW, 3 * _NARROW)
)
BEND_DOWN = Pen("bend-down", _NARROW, (12 * _NARROW, 3 * _NARROW))
HATCH = Pen("hatch", 0.13)
OUTSIDE = Pen(
    "outside", 0.13, (24 * _NARROW, 3 * _NARROW, 0.5 * _NARROW, 3 * _NARROW, 0.5 * _NARROW, 3 * _NARROW)
)
PLANE = Pen("plane", _WIDE)
DIMENSION = Pen("dimension", _NARROW)
LEADER = Pen("leader", _NARROW)
FRAME = Pen("frame", 0.7)
TABLE = Pen("table", _NARROW)
LETTERS = Pen("text", 0.25)
PENS = (
    VISIBLE,
    ISOMETRIC,
    HIDDEN,
    TANGENT,
    CENTRE,
    BEND_UP,
    BEND_DOWN,
    HATCH,
    OUTSIDE,
    PLANE,
    DIMENSION,
    LEADER,
    FRAME,
    TABLE,
    LETTERS,
)
"""Line group 0.5: wide 0.5, narrow 0.25; dashes 12 d (hidden edges 8 d, so that short ones look dashed), long dashes
24 d, gaps 3 d, dots 0.5 d for a width d. ISO 128-2
(line types 01.1, 01.2, 02.1, 04.1, 05.1; from memory). Bend lines on a blank: up long-dashed double-dotted, down dashed
(common practice, no source); the word is beside each."""


@dataclass(frozen=True)
class PenLine:
    """A curve drawn with a pen."""

    curve: Curve
    pen: Pen

    @property
    def pattern(self) -> tuple[float, ...]:
        """Return the pattern of its pen; a dashed straight line begins and ends with a dash, with at least one gap."""
        return tuple(self.stretch * part for part in self.pen.pattern)

    @property
    def stretch(self) -> float:
        """Return the factor by which the pattern of the pen is stretched [-]."""
        if len(self.pen.pattern) != 2 or not isinstance(self.curve, Straight) or self.curve.length < LENGTH:
            return 1.0
        dash, gap = self.pen.pattern
        dashes = max(2, round((self.curve.length + gap) / (dash + gap)))
        return self.curve.length / (dashes * dash + (dashes - 1) * gap)


@dataclass(frozen=True)
class Words:
    """One line of text: its start, centre or end on its base line; `turned` text reads from the right."""

    text: str
    at: Point
    height: float = 2.5
    anchor: Literal["left", "middle", "right"] = "left"
    turned: bool = False
    framed: bool = False
    """Drawn in a frame, as an exact figure."""

    @property
    def width(self) -> float:
        return text_width(self.text, self.height)

    @property
    def box(self) -> Bounds:
        """Return the area that it covers on paper [mm], descenders included."""
        back = {"left": 0.0, "middle": 0.5, "right": 1.0}[self.anchor] * self.width
        low, high = -0.25 * self.height, 1.0 * self.height
        x, y = self.at
        rim = 0.3 * self.height if self.framed else 0.0
        if self.turned:
            return (x - high - rim, y - back - rim, x - low + rim, y - back + self.width + rim)
        return (x - back - rim, y + low - rim, x - back + self.width + rim, y + high + rim)


@dataclass(frozen=True)
class Filled:
    """A filled shape, such as an arrow head."""

    corners: tuple[Point, ...]


Plain: TypeAlias = PenLine | Words | Filled


@dataclass(frozen=True)
class Measure:
    """A dimension as one object: the points measured, its dimension line, and the marks that draw it."""

    one: Point
    two: Point
    at: Point
    """A point of the dimension line."""
    angle: float
    """Direction of the dimension line [deg]."""
    words: str
    marks: tuple[Plain, ...]


Mark: TypeAlias = Plain | Measure


def flattened(marks: Iterable[Mark]) -> Iterator[Plain]:
    """Return all marks, with dimensions split into their marks."""
    for mark in marks:
        if isinstance(mark, Measure):
            yield from mark.marks
        else:
            yield mark


def text_width(text: str, height: float) -> float:
    """Return the width of a line of text of a capital height [mm]; other common sans-serif fonts are narrower."""
    return width_of(text) / CAPITAL * height


def line(start: Point, end: Point, pen: Pen = DIMENSION) -> PenLine:
    """Return a straight pen line."""
    return PenLine(Straight(start, end), pen)


def circle(centre: Point, radius: float, pen: Pen) -> PenLine:
    """Return a whole circle."""
    return PenLine(Conic(centre, (radius, 0.0), 1.0, 0.0, math.tau), pen)


def of_edge(edge: Edge) -> Curve:
    """Return an edge of an outline as a curve of a drawing."""
    if not isinstance(edge, Arc):
        return Straight(edge.start, edge.end)
    first = edge.start if edge.ccw else edge.end
    angle = math.atan2(first[1] - edge.centre[1], first[0] - edge.centre[0])
    return Conic(edge.centre, (edge.radius, 0.0), 1.0, angle % math.tau, angle % math.tau + edge.sweep_rad)


def of_loop(loop: Loop) -> list[Curve]:
    """Return a loop as curves; a circle stays one curve."""
    found = loop.circle
    if found is not None:
        return [Conic(found[0], (found[1], 0.0), 1.0, 0.0, math.tau)]
    return [of_edge(edge) for edge in loop.edges]


def placed(curve: Curve, scale: float, by: Point = (0.0, 0.0)) -> Curve:
    """Return the same curve scaled about the origin, then shifted."""

    def to(point: Point) -> Point:
        return (point[0] * scale + by[0], point[1] * scale + by[1])

    if isinstance(curve, Straight):
        return Straight(to(curve.start), to(curve.end))
    if isinstance(curve, Conic):
        major = (curve.major[0] * scale, curve.major[1] * scale)
        return replace(curve, centre=to(curve.centre), major=major)
    return Polyline(tuple(to(point) for point in curve.corners))


@overload
def shifted(mark: Measure, by: Point) -> Measure: ...
@overload
def shifted(mark: Plain, by: Point) -> Plain: ...
def shifted(mark: Mark, by: Point) -> Mark:
    """The same mark elsewhere on the paper."""
    if isinstance(mark, PenLine):
        return PenLine(placed(mark.curve, 1.0, by), mark.pen)
    if isinstance(mark, Words):
        return replace(mark, at=(mark.at[0] + by[0], mark.at[1] + by[1]))
    if isinstance(mark, Measure):
        one, two, at = ((x + by[0], y + by[1]) for x, y in (mark.one, mark.two, mark.at))
        return Measure(one, two, at, mark.angle, mark.words, tuple(shifted(each, by) for each in mark.marks))
    return Filled(tuple((x + by[0], y + by[1]) for x, y in mark.corners))


def mark_points(mark: Mark) -> list[Point]:
    """Return points that span a mark."""
    if isinstance(mark, Measure):
        return [point for each in mark.marks for point in mark_points(each)]
    if isinstance(mark, PenLine):
        return mark.curve.points()
    if isinstance(mark, Words):
        x0, y0, x1, y1 = mark.box
        return [(x0, y0), (x1, y1)]
    return list(mark.corners)


def box_of(marks: Iterable[Mark]) -> Bounds:
    """Return the bounding box of marks."""
    points = [point for mark in marks for point in mark_points(mark)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs), min(ys), max(xs), max(ys))


def meet(one: Bounds, two: Bounds, gap: float = 0.0) -> bool:
    """True when two boxes are closer to each other than a gap."""
    return one[0] < two[2] + gap and two[0] < one[2] + gap and one[1] < two[3] + gap and two[1] < one[3] + gap
