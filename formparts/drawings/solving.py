"""Solve one flat of a sketch from its figures alone: what is known of it, step by step, and what is not.

Each rule is one that a reader of the drawing uses: where two lines meet, where an arc touches, what is in
line, what repeats. No rule assumes anything; what follows from no figure stays unknown and is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from formparts.drawings.measuring import Axes
from formparts.drawings.places import InfiniteLine, Round, centre_of, meeting, through, touching
from formparts.drawings.repeating import copied_spots, follow_pattern, middle, place_hole
from formparts.drawings.sketch import SketchEdge, SketchFlat, SketchHole
from formparts.outline import Point
from formparts.tolerances import ALONG, NO_LENGTH, SAME_AXIS

Spot = tuple[int, int]
"""Loop and edge: the end of that edge, or the sharp corner that its arc rounds."""


@dataclass(frozen=True)
class Surroundings:
    """What a flat needs to know of the bends around it; all of it follows from other dimensions."""

    width: float = 0.0
    """Length of the bend that leads to it."""
    lift: float = 0.0
    """From the position that v is measured from to the tangent line of that bend."""
    setbacks: Mapping[str, float] | None = None
    """Of the bends on it, by name."""
    rise: Callable[[float], float] | None = None
    """From the rise of an offset to the length of its slope."""


class Solver:
    """What is known so far of one flat."""

    def __init__(self, flat: SketchFlat, figures: dict[str, float], around: Surroundings) -> None:
        self.flat, self.figures, self.around = flat, figures, around
        self.axes: dict[int, Axes] = {0: Axes()}
        self.lines: dict[int, InfiniteLine] = {}
        self.radii: dict[int, float] = {}
        self.centres: dict[int, Point] = {}
        self.points: dict[Spot, Point] = {}
        self.corners: dict[Spot, Point] = {}
        self.places: dict[str, Point] = {}
        self.turns: dict[str, float] = {}
        self.copies = {
            (loop, (first + n) % len(flat.loops[loop]))
            for pattern in flat.patterns
            if pattern.kind == "chain"
            for loop, first, count in pattern.edges[1:]
            for n in range(count)
        }
        self.holes = {hole.name: hole for hole in flat.holes}
        self.owned = {
            name: (pattern, at)
            for pattern in flat.patterns
            if pattern.kind != "chain"
            for at, name in enumerate(pattern.members)
        }
        self.uses: dict[int, list[Spot]] = {}
        for spot, edge in self._edges():
            self.uses.setdefault(edge.carrier, []).append(spot)
        if flat.bend:
            self.points[(0, len(flat.loops[0]) - 1)] = (0.0, 0.0)
            self.points[(0, 0)] = (around.width, 0.0)

    # --- queries ---

    def figure(self, key: str) -> float | None:
        """Return a figure of this flat, or None; what is at zero needs none."""
        if key in self.flat.zeros:
            return 0.0
        return self.figures.get(f"{self.flat.name}|{key}")

    def run(self) -> Solver:
        """Apply the rules while anything new follows."""
        while self._round():
            pass
        return self

    def unknown(self) -> Iterator[str]:
        """Return the keys of what does not follow from the figures."""
        for spot, edge in self._edges():
            if spot not in self.points:
                yield f"p{spot[0]}.{spot[1]}"
            if edge.sense != "straight" and self.circle(edge.carrier) is None:
                yield f"c{edge.carrier}"
        for hole in self.flat.holes:
            if hole.name not in self.places:
                yield hole.name
            if any(self.figure(f"{hole.size}.{part}") is None for part in size_parts(hole)):
                yield hole.size
            if hole.kind != "circle" and hole.name not in self.turns:
                yield f"{hole.name}.turn"
        for pattern in self.flat.patterns:
            for spot in copied_spots(self, pattern):
                if spot not in self.points:
                    yield f"p{spot[0]}.{spot[1]}"

    def circle(self, carrier: int) -> Round | None:
        """Return a circle with known centre and radius."""
        if carrier in self.centres and carrier in self.radii:
            return Round(self.centres[carrier], self.radii[carrier])
        return None

    def carrier(self, number: int) -> InfiniteLine | Round | None:
        """Return a carrier, if known."""
        return self.lines.get(number) or self.circle(number)

    def next(self, spot: Spot) -> Spot:
        """Return the edge after."""
        return (spot[0], (spot[1] + 1) % len(self.flat.loops[spot[0]]))

    def before(self, spot: Spot) -> Spot:
        """Return the edge before."""
        return (spot[0], (spot[1] - 1) % len(self.flat.loops[spot[0]]))

    def edge(self, spot: Spot) -> SketchEdge:
        """Return an edge of the sketch."""
        return self.flat.loops[spot[0]][spot[1]]

    def axes_at(self, spot: Spot) -> int:
        """Return the axes in which the end of an edge is dimensioned."""
        after = self.next(spot)
        other = 0 if after in self.copies else self.flat.carriers[self.edge(after).carrier].axes
        return max(self.flat.carriers[self.edge(spot).carrier].axes, other)

    def rounds(self, spot: Spot) -> bool:
        """True for an arc that rounds the corner of two lines that are not parallel."""
        edge, one, two = self.edge(spot), self.before(spot), self.next(spot)
        if edge.sense == "straight" or edge.half or edge.large or {one, two} & self.copies:
            return False
        joints = self.edge(one).joint == "tangent" == edge.joint
        return joints and self.edge(one).sense == "straight" == self.edge(two).sense

    # --- rules ---

    def _edges(self) -> Iterator[tuple[Spot, SketchEdge]]:
        for number, loop in enumerate(self.flat.loops):
            for at, edge in enumerate(loop):
                if (number, at) not in self.copies:
                    yield (number, at), edge

    def _round(self) -> bool:
        before = self._known()
        for pattern in self.flat.patterns:
            follow_pattern(self, pattern)
        for number, carrier in enumerate(self.flat.carriers):
            if carrier.kind == "circle":
                self._circle(number)
            elif number not in self.lines:
                self._line(number)
        for spot, edge in self._edges():
            self._point(spot, edge)
        for hole in self.flat.holes:
            place_hole(self, hole)
        return self._known() != before

    def _known(self) -> tuple[int, ...]:
        known = (self.axes, self.lines, self.radii, self.centres, self.points, self.corners, self.places)
        return (*(len(each) for each in known), len(self.turns))

    def _lift(self, axes: int) -> float:
        return self.around.lift if axes == 0 else 0.0

    def place(self, key: str, axes: int) -> tuple[float | None, float | None]:
        """Return the two given ordinates of a feature, in its axes."""
        u, v = self.figure(f"{key}.u"), self.figure(f"{key}.v")
        return u, None if v is None else v - self._lift(axes)

    def _line(self, number: int) -> None:
        carrier = self.flat.carriers[number]
        axes = self.axes.get(carrier.axes)
        if axes is None:
            return
        if carrier.kind == "slanted":
            points = list(self._points_on(number))
            pair = max(
                ((a, b) for a in points for b in points), key=lambda two: math.dist(*two), default=None
            )
            if pair is not None and math.dist(*pair) > NO_LENGTH:
                self.lines[number] = through(*pair)
            else:
                self._touching_line(number)
            return
        turn = axes.turn + (math.pi / 2.0 if carrier.kind == "level" else 0.0)
        nx, ny = math.cos(turn), math.sin(turn)
        if carrier.kind == "level" and carrier.axes == 0:
            nx, ny = 0.0, 1.0
        at = self._ordinate(number)
        if at is not None:
            self.lines[number] = InfiniteLine(nx, ny, at + nx * axes.origin[0] + ny * axes.origin[1])
            return
        point = next(self._points_on(number), None)
        if point is not None:
            self.lines[number] = InfiniteLine(nx, ny, nx * point[0] + ny * point[1])

    def _touching_line(self, number: int) -> None:
        """Return a line that touches a known circle at a known point."""
        for spot in self.uses.get(number, ()):
            for at, arc, joint in (
                (spot, self.next(spot), self.edge(spot).joint),
                (self.before(spot),) * 2 + ("",),
            ):
                if arc in self.copies or at not in self.points or self.edge(arc).sense == "straight":
                    continue
                circle = self.circle(self.edge(arc).carrier)
                if circle is not None and (joint or self.edge(at).joint) == "tangent":
                    nx, ny = ((self.points[at][n] - circle.centre[n]) / circle.radius for n in (0, 1))
                    self.lines[number] = InfiniteLine(
                        nx, ny, nx * self.points[at][0] + ny * self.points[at][1]
                    )
                    return

    def _ordinate(self, number: int) -> float | None:
        """Return the ordinate of a level or upright line in its axes, from its figure."""
        carrier, value = self.flat.carriers[number], self.figure(f"c{number}")
        if value is None:
            return None
        if number == self.flat.rise and self.around.rise is not None:
            return self.around.rise(value)
        if carrier.outside:
            setbacks = self.around.setbacks or {}
            if carrier.outside not in setbacks:
                return None
            value -= carrier.outward * setbacks[carrier.outside]
        return value - (self._lift(carrier.axes) if carrier.kind == "level" else 0.0)

    def _points_on(self, number: int) -> Iterator[Point]:
        """Return known points on a carrier."""
        for spot in self.uses.get(number, ()):
            for at in (spot, self.before(spot)):
                if at in self.points:
                    yield self.points[at]
            for arc in (self.before(spot), self.next(spot)):
                if arc in self.corners:
                    yield self.corners[arc]

    def _circle(self, number: int) -> None:
        if number not in self.radii:
            self._radius(number)
        if number not in self.centres:
            self._centre(number)

    def _radius(self, number: int) -> None:
        given = self.figure(f"c{number}.r")
        if given is not None:
            self.radii[number] = given
            return
        if number in self.centres:
            point = next(self._points_on(number), None)
            if point is not None:
                self.radii[number] = math.dist(point, self.centres[number])
                return
        for spot in self.uses.get(number, ()):
            one, two = self.before(spot), spot
            if self.edge(spot).half and one in self.points and two in self.points:
                self.radii[number] = math.dist(self.points[one], self.points[two]) / 2.0
                self.centres[number] = _middle(self.points[one], self.points[two])
                return
            lines = self._tangents(spot)
            if self.edge(spot).half and len(lines) == 2 and lines[0][1] != lines[1][1]:
                self.radii[number] = abs(lines[0][0].c - _same_way(lines[0][0], lines[1][0])) / 2.0
                return

    def _tangents(self, spot: Spot) -> list[tuple[InfiniteLine, int]]:
        """Return the known lines that an arc is tangent to, each with the side on which its centre lies."""
        edge, one, two = self.edge(spot), self.before(spot), self.next(spot)
        found = []
        if (
            one not in self.copies
            and self.edge(one).joint == "tangent"
            and self.edge(one).carrier in self.lines
        ):
            found.append((self.lines[self.edge(one).carrier], edge.before))
        if two not in self.copies and edge.joint == "tangent" and self.edge(two).carrier in self.lines:
            found.append((self.lines[self.edge(two).carrier], edge.after))
        return found

    def _centre(self, number: int) -> None:
        carrier = self.flat.carriers[number]
        axes = self.axes.get(carrier.axes)
        if carrier.concentric:
            found = middle(self, carrier.concentric)
            if found is not None:
                self.centres[number] = found
            return
        if axes is None:
            return
        u, v = self.place(f"c{number}", carrier.axes)
        lines = _ordinate_lines(axes, u, v)
        for spot in self.uses.get(number, ()):
            if number in self.radii:
                lines += [line.beside(side * self.radii[number]) for line, side in self._tangents(spot)]
        for one in lines:
            for two in lines:
                if abs(one.nx * two.ny - one.ny * two.nx) > SAME_AXIS:
                    at = meeting(one, two, 0)
                    assert at is not None
                    self.centres[number] = at
                    return
        for spot in self.uses.get(number, ()):
            start, end = self.points.get(self.before(spot)), self.points.get(spot)
            if number in self.radii and start and end and math.dist(start, end) > NO_LENGTH:
                edge = self.edge(spot)
                self.centres[number] = centre_of(
                    start, end, self.radii[number], edge.sense == "ccw", edge.large
                )
                return

    def _point(self, spot: Spot, edge: SketchEdge) -> None:
        after = self.next(spot)
        if spot not in self.points:
            found = self._end(spot, edge, None if after in self.copies else self.edge(after))
            if found is not None:
                self.points[spot] = found
        if spot not in self.corners and self.rounds(spot):
            lines = [self.lines.get(self.edge(at).carrier) for at in (self.before(spot), after)]
            if lines[0] is not None and lines[1] is not None:
                at = meeting(lines[0], lines[1], 0)
            else:
                known = next((line for line in lines if line is not None), None)
                at = self._given(f"q{spot[0]}.{spot[1]}", self.axes_at(spot), [known] if known else [], (0,))
            if at is not None:
                self.corners[spot] = at

    def _end(self, spot: Spot, edge: SketchEdge, after: SketchEdge | None) -> Point | None:
        """Return the end of an edge: where its carriers meet, or by its ordinates."""
        one = self.carrier(edge.carrier)
        two = self.carrier(after.carrier) if after else None
        circle = self.circle(edge.carrier)
        start = self.points.get(self.before(spot))
        if edge.half and circle and start:
            return (2.0 * circle.centre[0] - start[0], 2.0 * circle.centre[1] - start[1])
        other = self.circle(after.carrier) if after and after.half else None
        beyond = self.points.get(self.next(spot))
        if other and beyond:
            return (2.0 * other.centre[0] - beyond[0], 2.0 * other.centre[1] - beyond[1])
        if one and two and edge.joint == "corner":
            return meeting(one, two, edge.pick)
        if one and two and edge.joint == "tangent":
            return touching(one, two)
        return self._given(f"p{spot[0]}.{spot[1]}", self.axes_at(spot), [one, two], edge.spot)

    def _given(
        self, key: str, number: int, known: list[InfiniteLine | Round | None], spots: tuple[int, ...]
    ) -> Point | None:
        """Return a point by two ordinates, or by one and a carrier that it is on."""
        axes = self.axes.get(number)
        if axes is None:
            return None
        u, v = self.place(key, number)
        if u is not None and v is not None:
            return axes.back((u, v))
        lines = _ordinate_lines(axes, u, v)
        for carrier, spot in zip(known, spots, strict=False):
            if lines and carrier:
                way = 1 if spot & (2 if v is None else 1) else -1
                if isinstance(carrier, InfiniteLine):
                    cross = carrier.nx * lines[0].ny - carrier.ny * lines[0].nx
                    return meeting(carrier, lines[0], 0) if abs(cross) > ALONG else None
                x, y = lines[0].along
                wanted = axes.back((0.0, 1.0) if v is None else (1.0, 0.0))
                towards = (wanted[0] - axes.origin[0], wanted[1] - axes.origin[1])
                return meeting(lines[0], carrier, way if x * towards[0] + y * towards[1] > 0 else -way)
        return None


def size_parts(hole: SketchHole) -> tuple[str, ...]:
    """Return the figures of an opening's size: diameter, or length, width and, with round corners, radius."""
    if hole.kind == "circle":
        return ("d",)
    return ("a", "b", "r") if hole.rounded else ("a", "b")


def _ordinate_lines(axes: Axes, u: float | None, v: float | None) -> list[InfiniteLine]:
    """Return the lines on which ordinates put a point."""
    cos, sin = math.cos(axes.turn), math.sin(axes.turn)
    found = []
    for value, nx, ny in ((u, cos, sin), (v, -sin, cos)):
        if value is not None:
            found.append(InfiniteLine(nx, ny, value + nx * axes.origin[0] + ny * axes.origin[1]))
    return found


def _middle(one: Point, two: Point) -> Point:
    return ((one[0] + two[0]) / 2.0, (one[1] + two[1]) / 2.0)


def _same_way(one: InfiniteLine, two: InfiniteLine) -> float:
    """Return the figure of a parallel line, measured in the direction of another."""
    return two.c if one.nx * two.nx + one.ny * two.ny > 0 else -two.c
