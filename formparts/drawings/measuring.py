"""A measured body: each flat in its own axes, with the sketch of its shape and the figures behind it.

The first flat has its axes along its longest edges; each other one has its u axis along the bend that leads to it and
its v axis away from that bend. Edges count as level, tangent or in line within LENGTH.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from formparts.body import Bend, Body, HoleFeature, Mark, bends_on, frames, rims
from formparts.body.frame import bend_frame, dot, inverse
from formparts.drawings.sketch import Carrier, Joint, Kind, SketchEdge
from formparts.outline import Arc, Edge, Line, Motion, Point
from formparts.tolerances import DRAWN, DRAWN_TURN, LENGTH, TURN_RAD, UNSEEN_CORNER

LONG = 1.25
"""A part at least this many times as high as it is wide is turned, to lie across the sheet."""


@dataclass(frozen=True)
class Axes:
    """Axes of a pattern: an origin in the axes of the flat, and the rotation from them [rad]."""

    origin: Point = (0.0, 0.0)
    turn: float = 0.0

    def local(self, point: Point) -> Point:
        """Return a point of the flat in these axes."""
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        x, y = point[0] - self.origin[0], point[1] - self.origin[1]
        return (x * cos + y * sin, y * cos - x * sin)

    def back(self, point: Point) -> Point:
        """Return a point of these axes in those of the flat."""
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        x, y = point
        return (self.origin[0] + x * cos - y * sin, self.origin[1] + x * sin + y * cos)


@dataclass(frozen=True)
class FlatEdge:
    """One edge of a flat in the flat's own axes, and the bend that it leads to."""

    edge: Edge
    bend: str = ""


@dataclass(frozen=True)
class Measured:
    """The loops of a flat in its own axes; those of a child begin with the edge of the bend that leads to it."""

    name: str
    bend: Bend | None
    loops: tuple[tuple[FlatEdge, ...], ...]
    motion: Motion
    """The motion from the coordinates of the body's flat to these axes."""
    features: Mapping[str, HoleFeature] = field(default_factory=dict)
    """Hole features, by the name of the opening's wall."""
    later: frozenset[str] = frozenset()
    """Names of the walls of openings that are drilled or cut after bending."""
    marks: tuple[Mark, ...] = ()
    """Marks and formed features."""
    across: str = ""
    """The bend whose axes these are, when this holds the openings in a bend instead of a flat."""

    @property
    def width(self) -> float:
        """Length of the bend that leads to it [mm]."""
        return self.bend.width if self.bend else 0.0

    def shifted(self, by: Point) -> Measured:
        """Return the same flat with the zero of its axes moved."""
        shift = Motion.shift(*by)
        loops = tuple(
            tuple(FlatEdge(side.edge.moved(shift), side.bend) for side in loop) for loop in self.loops
        )
        marks = tuple(mark.moved(shift) for mark in self.marks)
        return replace(self, loops=loops, motion=shift.after(self.motion), marks=marks)


def mirror(width: float) -> Motion:
    """Return the mirror image across the middle of a bend of that length, in the axes of the flat that it leads to."""
    return Motion(a=-1.0, p=width)


def measured_flats(body: Body) -> tuple[Measured, ...]:
    """Return every flat of a body in its own axes, in the order of the body."""
    edges_of, leading = rims(body), {bend.child: bend for bend in body.bends}
    found = []
    for flat in body.flats:
        bend = leading.get(flat.name)
        line = None
        if bend is None:
            motion = Motion.turn(-_main_direction(body))
        else:
            line = next(one for one in bends_on(body, flat.name) if one.name == bend.name).parent_line
            motion = inverse(bend_frame(*line))
        loops = []
        for rim in edges_of[flat.name]:
            sides = [FlatEdge(item.edge.moved(motion), item.bend.name if item.bend else "") for item in rim]
            first = next((i for i, side in enumerate(sides) if bend and side.bend == bend.name), 0)
            loops.append(tuple(sides[first:] + sides[:first]))
        own = [loop for loop in loops if bend and loop[0].bend == bend.name]
        others = [loop for loop in loops if loop not in own]
        features = {
            edge.tag: opening.feature
            for opening in flat.openings
            if opening.feature
            for edge in opening.outline.edges
        }
        later = frozenset(e.tag for one in flat.openings if one.after_bending for e in one.outline.edges)
        marks = tuple(mark.moved(motion) for mark in flat.marks)
        found.append(Measured(flat.name, bend, tuple(own + others), motion, features, later, marks))
    return tuple(found)


def _main_direction(body: Body) -> float:
    """Return the direction parallel or square to most straight edges of the first flat [deg, below 90]."""
    found: dict[float, float] = {}
    for edge in body.flats[0].net.edges:
        if isinstance(edge, Line):
            angle = math.degrees(math.atan2(edge.end[1] - edge.start[1], edge.end[0] - edge.start[0])) % 90.0
            key = 0.0 if min(angle, 90.0 - angle) < DRAWN_TURN else round(angle, 7)
            found[key] = found.get(key, 0.0) + edge.length
    if not found:
        return 0.0
    most = max(found.values())
    return _across(body, min(angle for angle, length in found.items() if length > 0.999 * most))


def _across(body: Body, direction: float) -> float:
    """Return that direction or the one square to it.

    A long part lies across the sheet, where the views take less room.
    """
    standing = frames(body)
    root = standing[body.flats[0].name].moved_in_plane(Motion.turn(direction))
    corners = [
        standing[flat.name].point(corner)
        for flat in body.flats
        for corner in product(flat.net.bounds[::2], flat.net.bounds[1::2])
    ]
    wide, high = (
        max(along) - min(along)
        for along in ([dot(corner, axis) for corner in corners] for axis in (root.x, root.y))
    )
    return direction + 90.0 if high > LONG * wide else direction


def setback(angle: float, radius: float, thickness: float) -> float:
    """
    Return the distance from a tangent line to the outside of the bend beyond it [mm].

    Up to 90 degrees this is the distance to the mould line, above it to the outermost line of the bend (DIN
    6935, from memory).
    """
    if angle <= 90.0:
        return (radius + thickness) * math.tan(math.radians(angle) / 2.0)
    return radius + thickness


@dataclass
class Carriers:
    """The carriers of a flat, found edge by edge, with their figures in their axes."""

    axes: list[Axes]
    carriers: list[Carrier] = field(default_factory=list)
    figures: list[tuple[float, ...]] = field(default_factory=list)
    """The ordinate of a level or upright line, two points of a slanted one, centre and radius of a circle."""
    lengths: list[float] = field(default_factory=list)

    def of(self, edge: Edge, axes: int) -> int:
        """Return the number of the carrier of an edge."""
        kind, figures = self._figures(edge, axes)
        for number, (carrier, known) in enumerate(zip(self.carriers, self.figures, strict=True)):
            if carrier.kind == kind and carrier.axes == axes and _is_same(kind, known, figures):
                self.lengths[number] += edge.length
                if kind == "slanted":
                    self.figures[number] = _farthest(known, figures)
                return number
        self.carriers.append(Carrier(kind, axes))
        self.figures.append(figures)
        self.lengths.append(edge.length)
        return len(self.carriers) - 1

    def _figures(self, edge: Edge, axes: int) -> tuple[Kind, tuple[float, ...]]:
        local = self.axes[axes].local
        if isinstance(edge, Arc):
            return "circle", (*local(edge.centre), edge.radius)
        (u0, v0), (u1, v1) = local(edge.start), local(edge.end)
        if abs(v1 - v0) < LENGTH and abs(u1 - u0) > LENGTH:
            return "level", ((v0 + v1) / 2.0,)
        if abs(u1 - u0) < LENGTH:
            return "upright", ((u0 + u1) / 2.0,)
        return "slanted", (u0, v0, u1, v1)


def _is_same(kind: str, one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    if kind == "slanted":
        u0, v0, u1, v1 = _farthest(one, two)
        long = math.hypot(u1 - u0, v1 - v0)
        points = ((one[0], one[1]), (one[2], one[3]), (two[0], two[1]), (two[2], two[3]))
        return all(abs((u1 - u0) * (v - v0) - (v1 - v0) * (u - u0)) < 0.2 * LENGTH * long for u, v in points)
    return all(abs(a - b) < LENGTH for a, b in zip(one, two, strict=True))


def _farthest(one: tuple[float, ...], two: tuple[float, ...]) -> tuple[float, ...]:
    """Return the two of four points that are farthest from each other."""
    points = ((one[0], one[1]), (one[2], one[3]), (two[0], two[1]), (two[2], two[3]))
    first, last = max(((a, b) for a in points for b in points), key=lambda pair: math.dist(*pair))
    return (*first, *last)


def sketch_edge(here: FlatEdge, after: FlatEdge, number: int, following: int) -> SketchEdge:
    """Return the sketch of an edge, and of how it meets the next one."""
    edge, other = here.edge, after.edge
    joint, pick = _joint(edge, other, number == following)
    sweep = edge.sweep_rad if isinstance(edge, Arc) else 0.0
    return SketchEdge(
        number,
        ("ccw" if edge.ccw else "cw") if isinstance(edge, Arc) else "straight",
        joint,
        pick,
        here.bend,
        abs(sweep - math.pi) < DRAWN_TURN,
        sweep > math.pi,
        tag=edge.tag,
    )


def _joint(edge: Edge, other: Edge, same: bool) -> tuple[Joint, int]:
    if same:
        return "along", 0
    (ax, ay), (bx, by) = heading(edge, 1.0), heading(other, 0.0)
    sine = abs(ax * by - ay * bx)
    if sine > UNSEEN_CORNER:
        return "corner", _pick(edge, other)
    both_straight = isinstance(edge, Line) and isinstance(other, Line)
    return ("tangent" if sine < TURN_RAD and not both_straight else "along"), 0


def heading(edge: Edge, share: float) -> Point:
    """Return the direction of an edge at its start (0) or end (1), as a unit vector."""
    if isinstance(edge, Arc):
        at = edge.end if share else edge.start
        sense = 1.0 if edge.ccw else -1.0
        x, y = sense * (at[0] - edge.centre[0]), sense * (at[1] - edge.centre[1])
        return (-y / edge.radius, x / edge.radius)
    return ((edge.end[0] - edge.start[0]) / edge.length, (edge.end[1] - edge.start[1]) / edge.length)


def _pick(edge: Edge, other: Edge) -> int:
    """Return which of the two points where a circle meets the other carrier is the common end, from the turn there."""
    if isinstance(edge, Line) and isinstance(other, Line):
        return 0
    at = edge.end
    circle = other if isinstance(other, Arc) else edge
    assert isinstance(circle, Arc)
    if isinstance(edge, Arc) and isinstance(other, Arc):
        (cx, cy), (dx, dy) = edge.centre, other.centre
        side = (dx - cx) * (at[1] - cy) - (dy - cy) * (at[0] - cx)
        return 1 if side > 0 else -1
    line = edge if isinstance(edge, Line) else other
    assert isinstance(line, Line)
    ux, uy = canonical(
        (line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length
    )
    along = (at[0] - circle.centre[0]) * ux + (at[1] - circle.centre[1]) * uy
    return 1 if along > 0 else -1


def canonical(x: float, y: float) -> Point:
    """Return a direction or its opposite: the one to the right, or straight up."""
    return (-x, -y) if x < -DRAWN or (abs(x) <= DRAWN and y < 0) else (x, y)


def side_of_centre(line: Line, centre: Point) -> int:
    """Return the side of a line on which a point lies: 1 to the left of its canonical direction, else -1."""
    x, y = canonical((line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length)
    side = x * (centre[1] - line.start[1]) - y * (centre[0] - line.start[0])
    return 1 if side > 0 else -1


def carrier_points(sides: Sequence[FlatEdge]) -> list[Point]:
    """Return the ends of edges, in order."""
    return [side.edge.end for side in sides]
