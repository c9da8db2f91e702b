"""Faces of bends: two skins on cylinders, and an edge face along every edge without a flat.

The rims are drawn in developed coordinates. On a cylinder a line stays a line and a circle becomes an ellipse of the
parameters, exactly; in space such an edge is followed by a curve that is no further off than the last digits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from formparts.body import Bend, Body, Frame, StripEdge, front_first, strip_rims
from formparts.body.bends import TO_CHILD
from formparts.body.frame import Vector, combined
from formparts.outline.edges import Arc, Edge, Point
from formparts.solids.curves import Curve, ruled, smooth
from formparts.solids.flat_faces import Joints, RimCorner, RimJoint, frame_of_line, round_the_side
from formparts.solids.shell import Shell, Use, axes_of, kernel_names, straight_on
from formparts.tolerances import FIT


@dataclass(frozen=True, slots=True)
class _Turn:
    """A bend in space: angles from the parent's line about an axis, places along it from the start of the line."""

    line: Frame
    centre: Vector
    axis: Vector
    out: Vector
    sense: float
    per_mm: float
    radii: tuple[float, float]
    """Of the lower and the upper skin [mm]."""

    def angle(self, height: float) -> float:
        """Angle about the axis of a height of the strip [rad]."""
        return -height * self.per_mm

    def place(self, point: Point, skin: int) -> Vector:
        """Where a point of the strip lies on a skin (0 the lower one, 1 the upper one)."""
        turn, radius = self.angle(point[1]), self.radii[skin]
        return combined(
            self.centre,
            (radius * math.cos(turn), self.out),
            (-radius * math.sin(turn), self.line.y),
            (point[0], self.line.x),
        )

    def upward(self, height: float) -> Vector:
        """Direction from the lower to the upper skin."""
        turn = self.angle(height)
        cos, sin = self.sense * math.cos(turn), self.sense * math.sin(turn)
        return combined((0.0, 0.0, 0.0), (cos, self.out), (-sin, self.line.y))

    def onward(self, height: float) -> Vector:
        """Direction round the bend, away from the parent."""
        turn = self.angle(height)
        return combined((0.0, 0.0, 0.0), (-math.sin(turn), self.out), (-math.cos(turn), self.line.y))


def bend_faces(shell: Shell, bend: Bend, parent: Frame, joints: Joints, body: Body) -> None:
    """Make the faces of a bend; its joints exist already."""
    sweep, thickness = math.radians(bend.angle), body.sheet.thickness
    developed = bend.developed if bend.openings else sweep
    turn = _turn(bend, parent, joints, thickness, sweep / developed)
    for loops in strip_rims(bend, developed):
        made = [_Loop(shell, bend, turn, loop, joints, thickness, sweep) for loop in loops]
        for skin in (0, 1):
            _skin(shell, bend, turn, skin, [loop.skin(skin) for loop in made])
        for loop in made:
            loop.walls(_end_names(bend, front_first(body.frame, turn.line.x)))


def _end_names(bend: Bend, is_front_first: bool) -> dict[str, str]:
    """Return the names of the two ends of a bend: the start is in front, as the root flat sees it."""
    start, end = f"{bend.name}.start", f"{bend.name}.end"
    return {} if is_front_first else {start: end, end: start}


def _turn(bend: Bend, parent: Frame, joints: Joints, thickness: float, per_mm: float) -> _Turn:
    up = bend.side == "up"
    sense = -1.0 if up else 1.0  # the axis of the turn runs against the line when the bend goes up
    middle = bend.inside_radius + thickness / 2.0
    line = joints[bend.name, bend.parent, 0].line
    if bend.openings:
        line = frame_of_line(parent, *bend.parent_line)
    centre = line.point((0.0, 0.0), -sense * middle)
    hollow, full = bend.inside_radius, bend.inside_radius + thickness
    radii = (full, hollow) if up else (hollow, full)
    return _Turn(
        line, centre, line.direction(sense, 0.0), line.direction(0.0, 0.0, sense), sense, per_mm, radii
    )


def _skin(shell: Shell, bend: Bend, turn: _Turn, skin: int, loops: list[list[tuple[Use, Any]]]) -> None:
    """Return one skin of one region of a bend: the lower one is seen from below, so its loops run the other way."""
    hollow = turn.radii[skin] < turn.radii[1 - skin]
    if skin == 0:
        loops = [[((edge, not along), curve) for (edge, along), curve in reversed(loop)] for loop in loops]
    surface = shell.k.Geom_CylindricalSurface(
        shell.k.gp_Ax3(axes_of(turn.centre, turn.axis, turn.out)), turn.radii[skin]
    )
    shell.curved(f"{bend.name}.{'inside' if hollow else 'outside'}", surface, loops, outward=not hollow)


class _Loop:
    """One loop around a region of a bend: its corners, its edges on both skins, and its edge faces."""

    def __init__(
        self,
        shell: Shell,
        bend: Bend,
        turn: _Turn,
        rim: tuple[StripEdge, ...],
        joints: Joints,
        thickness: float,
        sweep: float,
    ) -> None:
        self.shell, self.bend, self.turn, self.rim = shell, bend, turn, rim
        self.thickness, self.sweep = thickness, sweep
        self.joints = [joints[bend.name, one.flat, one.span] if one.flat else None for one in rim]
        self.corners = [self._corner(number) for number in range(len(rim))]
        self.edges: list[tuple[list[Use], list[Any]]] = [([], []) for _ in rim]
        self.curves: list[tuple[Curve, Curve] | None] = [None for _ in rim]

    def _corner(self, number: int) -> RimCorner:
        """The corner in which an edge begins: that of a flat where one is met, else one of its own."""
        here, before = self.joints[number], self.joints[number - 1]
        if here is not None:
            return here.last
        if before is not None:
            return before.first
        low, high = (self.turn.place(self.rim[number].edge.start, skin) for skin in (0, 1))
        below, above = self.shell.vertex(low), self.shell.vertex(high)
        return RimCorner(below, above, self.shell.line(below, above, low, high))

    def _ends(self, number: int) -> tuple[RimCorner, RimCorner]:
        return self.corners[number], self.corners[(number + 1) % len(self.rim)]

    def skin(self, skin: int) -> list[tuple[Use, Any]]:
        """The edges round the loop on one skin, each with its flat curve on the cylinder."""
        found = []
        for number, one in enumerate(self.rim):
            use, pcurve = self._edge(number, one.edge, skin)
            self.edges[number][0].append(use)
            found.append((use, pcurve))
        return found

    def _edge(self, number: int, edge: Edge, skin: int) -> tuple[Use, Any]:
        joint = self.joints[number]
        if joint is not None:
            return self._met(joint, edge, skin)
        ends = [corner.below if skin == 0 else corner.above for corner in self._ends(number)]
        (x0, y0), (x1, y1) = edge.start, edge.end
        if isinstance(edge, Arc) or (abs(x1 - x0) > FIT and abs(y1 - y0) > FIT):
            return self._slanted(number, edge, skin, ends)
        if abs(x1 - x0) <= FIT:
            return self._round(edge, skin, ends)
        turn, sense = self.turn, self.turn.sense
        first, last = ends
        made = self.shell.line(first, last, turn.place(edge.start, skin), turn.place(edge.end, skin))
        way = math.copysign(1.0, x1 - x0)
        return (made, True), straight_on(turn.angle(y0), sense * x0, 0.0, sense * way)

    def _met(self, joint: RimJoint, edge: Edge, skin: int) -> tuple[Use, Any]:
        """Return the existing edge of a flat: it runs as its flat does, against the bend."""
        turn = self.sweep if edge.tag == TO_CHILD else 0.0
        sense, (x0, x1) = self.turn.sense, (edge.end[0], edge.start[0])
        pcurve = straight_on(turn, sense * x0, 0.0, sense * math.copysign(1.0, x1 - x0))
        return (joint.lower if skin == 0 else joint.upper, False), pcurve

    def _round(self, edge: Edge, skin: int, ends: list[Any]) -> tuple[Use, Any]:
        """An edge straight round the bend, made in the sense of the turn."""
        forward = edge.end[1] < edge.start[1]
        first, last = (edge.start, edge.end) if forward else (edge.end, edge.start)
        begin, end = self.turn.angle(first[1]), self.turn.angle(last[1])
        turn = self.turn
        out = turn.out
        if begin != 0.0:
            cos, sin = math.cos(begin), math.sin(begin)
            out = combined((0.0, 0.0, 0.0), (cos, turn.out), (-sin, turn.line.y))
        centre = combined(turn.centre, (first[0], turn.line.x)) if first[0] != 0.0 else turn.centre
        vertices = ends if forward else ends[::-1]
        made = self.shell.arc(axes_of(centre, turn.axis, out), turn.radii[skin], end - begin, *vertices)
        return (made, forward), straight_on(begin, turn.sense * first[0], 1.0, 0.0)

    def _slanted(self, number: int, edge: Edge, skin: int, ends: list[Any]) -> tuple[Use, Any]:
        """Any other edge: exact on the cylinder, followed to the last digits in space."""
        forward, low, high, pcurve, point = _flat_curve(edge, self.turn)
        reach = abs(self.turn.angle(edge.bounds[3] - edge.bounds[1]))
        turned = max(reach, 0.0 if not isinstance(edge, Arc) else edge.sweep_rad)
        curve = smooth(lambda at: self.turn.place(point(at), skin), low, high, turned)
        first, last = ends if forward else ends[::-1]
        made = self.shell.edge(curve.geometry(self.shell.k), high, first, last, low)
        self.edges[number][1].append(curve)
        return (made, forward), pcurve

    def walls(self, called: dict[str, str]) -> None:
        """An edge face along every edge that meets no flat."""
        for number, one in enumerate(self.rim):
            if self.joints[number] is not None:
                continue
            ((below, along), (above, _)), curves = self.edges[number]
            first, last = self._ends(number)
            uses = round_the_side(below, above, first, last)
            if not along:
                uses = [(below, False), uses[1], (above, True), uses[3]]
            name = called.get(one.edge.tag, one.edge.tag) or f"{self.bend.name}.edge[{number + 1}]"
            if curves:
                self._ruled_wall(name, curves, uses, along)
            else:
                self.shell.plane(name, self._wall_frame(one.edge), [uses])

    def _wall_frame(self, edge: Edge) -> Frame:
        """Frame of a plane edge face: z out of the material."""
        turn, (x0, y0), (x1, y1) = self.turn, edge.start, edge.end
        if abs(x1 - x0) <= FIT:
            first = edge.start if y1 < y0 else edge.end
            way = math.copysign(1.0, y1 - y0)
            away = combined((0.0, 0.0, 0.0), (way, turn.line.direction(0.0, 1.0)))
            return Frame(turn.line.point((first[0], 0.0)), away, turn.line.z, turn.line.direction(way, 0.0))
        way = math.copysign(1.0, x1 - x0)
        middle = combined(turn.place(edge.start, 0), (0.0, turn.line.x))
        outward = combined((0.0, 0.0, 0.0), (way, turn.onward(y0)))
        return Frame(middle, turn.line.direction(way, 0.0), turn.upward(y0), outward)

    def _ruled_wall(self, name: str, curves: list[Any], uses: list[Use], along: bool) -> None:
        """Return an edge face square to the mid-surface, ruled between its two skins."""
        lower, upper = curves
        last, first = (lower.high, lower.low) if along else (lower.low, lower.high)
        pcurves = [
            straight_on(0.0, 0.0, 1.0, 0.0),
            straight_on(last, 0.0, 0.0, 1.0),
            straight_on(0.0, self.thickness, 1.0, 0.0),
            straight_on(first, 0.0, 0.0, 1.0),
        ]
        surface = ruled(self.shell.k, lower, upper, self.thickness)
        self.shell.curved(name, surface, [list(zip(uses, pcurves, strict=True))], outward=along)


def _flat_curve(edge: Edge, turn: _Turn) -> tuple[bool, float, float, Any, Any]:
    """
    An edge in the parameters of the cylinder: whether it runs forwards, from where to where, and the curve.

    The last is the point of the strip at a parameter.
    """
    if isinstance(edge, Arc):
        return _ellipse(edge, turn)
    (x0, y0), (x1, y1) = edge.start, edge.end
    du, dv = turn.angle(y1 - y0), turn.sense * (x1 - x0)
    long = math.hypot(du, dv)

    def point(at: float) -> Point:
        return (x0 + at / long * (x1 - x0), y0 + at / long * (y1 - y0))

    return True, 0.0, long, straight_on(turn.angle(y0), turn.sense * x0, du / long, dv / long), point


def _ellipse(arc: Arc, turn: _Turn) -> tuple[bool, float, float, Any, Any]:
    """An arc of the strip: the angle about its centre is the parameter of an ellipse."""
    k, (cx, cy), radius = kernel_names(), arc.centre, arc.radius
    origin = arc.start if arc.ccw else arc.end
    low = math.atan2(origin[1] - cy, origin[0] - cx)
    round_ = radius * turn.per_mm
    centre = k.gp_Pnt2d(turn.angle(cy), turn.sense * cx)
    shift = 0.0
    if radius >= round_:
        axes = k.gp_Ax22d(centre, k.gp_Dir2d(0.0, turn.sense), k.gp_Dir2d(-1.0, 0.0))
    else:
        # The longer half axis comes first: a quarter of a turn later.
        axes, shift = k.gp_Ax22d(centre, k.gp_Dir2d(-1.0, 0.0), k.gp_Dir2d(0.0, -turn.sense)), -math.pi / 2.0
    low = (low + shift) % math.tau
    curve = k.Geom2d_Ellipse(axes, max(radius, round_), min(radius, round_))

    def point(at: float) -> Point:
        return (cx + radius * math.cos(at - shift), cy + radius * math.sin(at - shift))

    return arc.ccw, low, low + arc.sweep_rad, curve, point
