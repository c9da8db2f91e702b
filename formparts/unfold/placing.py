"""Where each piece of a skin lies on the blank: a map from space to the plane, handed on from hinge to hinge."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from formparts.errors import InputError
from formparts.unfold.limits import SAME_PLACE
from formparts.unfold.parts import Cone, Cylinder, Part, Plane
from formparts.unfold.pieces import Hinge, Net, Piece, Round, hinges_at
from formparts.unfold.space import Pair, Vector, cross, dot, minus, shown, times, unit

Allowance: TypeAlias = Callable[[float, float, float], float]
"""Developed length [mm] of a bend from its angle [deg], inside radius and thickness [mm]."""
LARGEST_ANGLE = 180.0
"""A rolled part that turns further is asked for in equal shares, since bend rules end here [deg]."""


@dataclass(frozen=True, slots=True)
class FlatMap:
    """A flat keeps its shape: blank = (P . x, P . y) + shift."""

    x: Vector
    y: Vector
    shift: Pair

    def __call__(self, place: Vector) -> Pair:
        return (dot(place, self.x) + self.shift[0], dot(place, self.y) + self.shift[1])


@dataclass(frozen=True, slots=True)
class BendMap:
    """A bend is rolled out: its axis runs along `way` on the blank, and angles become lengths across it."""

    point: Vector
    axis: Vector
    round: Round
    way: Pair
    stretch: float
    """Length on the blank per radian, to the left of `way` [mm/rad], negative when it runs to the right."""
    shift: Pair = (0.0, 0.0)

    def __call__(self, place: Vector) -> Pair:
        away = minus(place, self.point)
        return self.at(dot(away, self.axis), self.round.angle(away))

    def at(self, height: float, angle_rad: float) -> Pair:
        """Place on the blank of a height along the axis and an angle from the middle."""
        across = self.stretch * angle_rad
        (ex, ey), (px, py) = self.way, self.shift
        return (px + height * ex - across * ey, py + height * ey + across * ex)


@dataclass(frozen=True, slots=True)
class ConeMap:
    """A cone is rolled out round its apex: slant lengths become radii, and angles shrink by the sine of half its angle."""

    point: Vector
    axis: Vector
    round: Round
    half_angle_rad: float
    sense: float
    """1 when angles run anticlockwise on the blank, -1 when clockwise."""
    further: float
    """What the neutral fibre adds to the slant length [mm]."""
    way: Pair
    shift: Pair = (0.0, 0.0)

    def __call__(self, place: Vector) -> Pair:
        away = minus(place, self.point)
        slant = dot(away, self.axis) / math.cos(self.half_angle_rad) + self.further
        angle = self.sense * math.sin(self.half_angle_rad) * self.round.angle(away)
        cos, sin, (ex, ey) = math.cos(angle), math.sin(angle), self.way
        return (
            self.shift[0] + slant * (cos * ex - sin * ey),
            self.shift[1] + slant * (cos * ey + sin * ex),
        )


Map: TypeAlias = FlatMap | BendMap | ConeMap


@dataclass(frozen=True, slots=True)
class Side:
    """Which side of the sheet a skin is: 1 when it is seen on the blank, -1 when it lies below."""

    sign: int
    thickness: float
    allowance: Allowance


def figures(piece: Piece, thickness: float) -> tuple[float, float]:
    """Angle [deg] and inside radius [mm] of a bend; of a conical one, the radius where it is asked for is 0."""
    assert piece.round is not None or isinstance(piece.surface, Cylinder)
    surface = piece.surface
    angle = math.degrees(2.0 * piece.round.half_rad) if piece.round else 0.0
    if not isinstance(surface, Cylinder):
        return (angle, 0.0)
    inside = surface.radius - (thickness if surface.outward > 0 else 0.0)
    return (angle, max(inside, 0.0) if inside > SAME_PLACE else 0.0)


def developed(angle: float, inside_radius: float, side: Side) -> float:
    """Allowance of a bend [mm]; one of more than half a turn is made of equal shares."""
    shares = max(1, math.ceil(angle / LARGEST_ANGLE - 1e-9))
    return shares * float(side.allowance(angle / shares, inside_radius, side.thickness))


def is_upward(piece: Piece, side: Side) -> bool:
    """True when the flange beyond a bend comes towards the viewer of the blank: its hollow face is seen."""
    surface = piece.surface
    assert isinstance(surface, (Cylinder, Cone))
    return surface.outward * side.sign < 0


def placed(part: Part, net: Net, root: int, root_map: Map, side: Side) -> dict[int, Map]:
    """
    Hand the map on from the root to all pieces; pieces joined in a ring must come out where they began.

    Gives the pieces in the order in which they were reached.
    """
    maps, order, near = {root: root_map}, [root], hinges_at(net)
    for piece in order:
        for hinge in near.get(piece, []):
            beyond = hinge.beyond(piece)
            if beyond not in maps:
                maps[beyond] = across(part, net, hinge, piece, maps[piece], side)
                order.append(beyond)
            else:
                _require_met(part, hinge, maps)
    return maps


def _require_met(part: Part, hinge: Hinge, maps: dict[int, Map]) -> None:
    """Refuse a ring of flats and bends that does not close on the blank as it does in space."""
    edge = part.edges[hinge.edge]
    for place in (part.points[edge.start], part.points[edge.end]):
        gap = math.dist(maps[hinge.one](place), maps[hinge.other](place))
        if gap > 10.0 * SAME_PLACE:
            raise InputError(
                part.name, "bend line", shown(place),
                f"closes a ring of flats and bends that would have to tear open by {gap:.6g} mm to lie flat",
                "leave one seam of the ring open, of any width above 0",
            )


def across(part: Part, net: Net, hinge: Hinge, piece: int, known: Map, side: Side) -> Map:
    """The map of the piece beyond a hinge."""
    beyond = net.pieces[hinge.beyond(piece)]
    edge = part.edges[hinge.edge]
    start, end = part.points[edge.start], part.points[edge.end]
    axis = _axis_of(beyond) or _axis_of(net.pieces[piece]) or unit(minus(end, start))
    if isinstance(beyond.surface, Cone) or isinstance(net.pieces[piece].surface, Cone):
        axis = unit(minus(end, start))
    (x0, y0), (x1, y1) = known(start), known(end)
    reach = math.hypot(x1 - x0, y1 - y0)
    way = ((x1 - x0) / reach, (y1 - y0) / reach)
    if dot(axis, minus(end, start)) < 0.0:
        way = (-way[0], -way[1])
    way = _exact_way(known, axis) or way
    loose = _loose(beyond, axis, way, side, _round_of_sharp(part, net, hinge, piece, beyond))
    (u0, v0), (u1, v1) = loose(start), loose(end)
    return _shifted(loose, ((x0 + x1 - u0 - u1) / 2.0, (y0 + y1 - v0 - v1) / 2.0))


def _axis_of(piece: Piece) -> Vector | None:
    """The axis of a cylindrical bend: the one direction that both pieces at a hinge have in common."""
    return piece.surface.axis if isinstance(piece.surface, Cylinder) else None


def _exact_way(known: Map, axis: Vector) -> Pair | None:
    """The axis on the blank, from the directions of the known piece: the ends of a short hinge have fewer digits."""
    if isinstance(known, FlatMap):
        return _unit_pair((dot(axis, known.x), dot(axis, known.y)))
    if isinstance(known, BendMap):
        sense = 1.0 if dot(axis, known.axis) > 0.0 else -1.0
        return (sense * known.way[0], sense * known.way[1])
    return None


def _unit_pair(pair: Pair) -> Pair:
    size = math.hypot(*pair)
    return (pair[0] / size, pair[1] / size)


def _loose(piece: Piece, axis: Vector, way: Pair, side: Side, turned: Round | None) -> Map:
    """The map of a piece whose axis runs along `way`, before it is shifted to its place."""
    surface = piece.surface
    if isinstance(surface, Plane):
        return flat_map(times(float(side.sign), surface.normal), axis, way)
    if isinstance(surface, Cylinder):
        return bend_map(piece, way, side, turned)
    raise InputError("unfold", "surface", type(surface).__name__, "cannot be laid flat")


def flat_map(up: Vector, axis: Vector, way: Pair) -> FlatMap:
    """Map of a flat, seen from `up`, such that a direction in it comes to run along `way`."""
    left = cross(up, axis)
    (ex, ey) = way
    x = (ex * axis[0] - ey * left[0], ex * axis[1] - ey * left[1], ex * axis[2] - ey * left[2])
    y = (ey * axis[0] + ex * left[0], ey * axis[1] + ex * left[1], ey * axis[2] + ex * left[2])
    return FlatMap(x, y, (0.0, 0.0))


def bend_map(piece: Piece, way: Pair, side: Side, turned: Round | None = None) -> BendMap:
    """Map of a bend whose axis comes to run along `way`."""
    surface, measured = piece.surface, turned or piece.round
    assert isinstance(surface, Cylinder) and measured is not None
    known = Piece(piece.faces, surface, measured)
    angle, inside_radius = figures(known, side.thickness)
    per_radian = developed(angle, inside_radius, side) / (2.0 * measured.half_rad)
    # Seen from above, growing angles run to the right of the axis where it lies below the sheet.
    stretch = per_radian if is_upward(known, side) else -per_radian
    return BendMap(surface.point, surface.axis, measured, way, stretch)


def _shifted(loose: Map, by: Pair) -> Map:
    """The same map, moved on the blank."""
    if isinstance(loose, FlatMap):
        return FlatMap(loose.x, loose.y, by)
    if isinstance(loose, BendMap):
        return BendMap(loose.point, loose.axis, loose.round, loose.way, loose.stretch, by)
    return ConeMap(
        loose.point, loose.axis, loose.round, loose.half_angle_rad, loose.sense, loose.further, loose.way, by
    )


def _round_of_sharp(part: Part, net: Net, hinge: Hinge, piece: int, beyond: Piece) -> Round | None:
    del part, net, hinge, piece, beyond
    return None
