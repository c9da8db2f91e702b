"""Place each flat and bend of a skin on the blank: a map from space to the plane, passed on from hinge to hinge."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from formparts.errors import InputError
from formparts.tolerances import SAME_PLACE
from formparts.unfolder.pieces import AngleRange, Hinge, Net, UnfoldedPiece, facing, hinges_at
from formparts.unfolder.solid_data import Cone, Cylinder, Plane, SolidData
from formparts.unfolder.space import Pair, Vector, along, cross, dot, minus, shown, times, unit

Allowance: TypeAlias = Callable[[float, float, float], float]
"""Developed length [mm] of a bend from its angle [deg], inside radius and thickness [mm]."""


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
    """The development of a bend: its axis runs along `way` on the blank, and angles become lengths across it."""

    point: Vector
    axis: Vector
    round: AngleRange
    way: Pair
    stretch: float
    """Length on the blank per radian, to the left of `way` [mm/rad], negative when it runs to the right."""
    shift: Pair = (0.0, 0.0)

    def __call__(self, place: Vector) -> Pair:
        away = minus(place, self.point)
        return self.at(dot(away, self.axis), self.round.angle(away))

    def at(self, height: float, angle_rad: float) -> Pair:
        """Return the point on the blank of a height along the axis and an angle from the middle."""
        across = self.stretch * angle_rad
        (ex, ey), (px, py) = self.way, self.shift
        return (px + height * ex - across * ey, py + height * ey + across * ex)


@dataclass(frozen=True, slots=True)
class ConeMap:
    """The development of a cone about its apex: slants become radii, angles shrink by the sine of half its angle."""

    point: Vector
    axis: Vector
    round: AngleRange
    half_angle_rad: float
    sense: float
    """1 when angles run anticlockwise on the blank, -1 when clockwise."""
    further: float
    """Addition of the neutral fibre to the slant length [mm]."""
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
class SkinSide:
    """Which side of the sheet a skin is: 1 when it is seen on the blank, -1 when it lies below."""

    sign: int
    thickness: float
    allowance: Allowance
    close: float = SAME_PLACE
    """Points closer than this are one [mm]."""
    own: Mapping[int, Allowance] = field(default_factory=dict)
    """By face of a skin: the rule of a bend that has one of its own."""


def figures(piece: UnfoldedPiece, thickness: float) -> tuple[float, float]:
    """Return angle [deg] and inside radius [mm] of a bend; the radius of a conical one is its mean."""
    surface = piece.surface
    assert piece.round is not None
    assert isinstance(surface, (Cylinder, Cone))
    wall = thickness if surface.outward > 0 else 0.0
    if isinstance(surface, Cone):
        wall *= math.cos(surface.half_angle_rad)
    inside = piece.radius - wall
    return (math.degrees(2.0 * piece.round.half_rad), inside if inside > SAME_PLACE else 0.0)


def developed(piece: UnfoldedPiece, side: SkinSide) -> float:
    """Return the allowance of a bend [mm]."""
    angle, inside_radius = figures(piece, side.thickness)
    rule = next((side.own[face] for face in piece.faces if face in side.own), side.allowance)
    return rule(angle, inside_radius, side.thickness)


def is_upward(piece: UnfoldedPiece, side: SkinSide) -> bool:
    """True when the flange beyond a bend comes towards the viewer of the blank: its hollow face is seen."""
    surface = piece.surface
    assert isinstance(surface, (Cylinder, Cone))
    return surface.outward * side.sign < 0


def placed(part: SolidData, net: Net, root: int, root_map: Map, side: SkinSide) -> dict[int, Map]:
    """
    Pass the map on from the root to all flats and bends; around a closed ring it must return to its start.

    Returns flats and bends in the order in which they were reached.
    """
    maps, order, near = {root: root_map}, [root], hinges_at(net)
    for piece in order:
        for hinge in near.get(piece, []):
            beyond = hinge.beyond(piece)
            if beyond not in maps:
                maps[beyond] = _across(part, net, hinge, piece, maps[piece], side)
                order.append(beyond)
            else:
                _require_met(part, net, hinge, maps, side)
    return maps


def spot(net: Net, piece: int, known: Map, place: Vector, neighbour: int) -> Pair:
    """Return where a flat or bend has a point of its hinge; the hinge of a crease is at the angle of its neighbour."""
    if net.pieces[piece].faces or not isinstance(known, BendMap):
        return known(place)
    surface, own = net.pieces[neighbour].surface, net.pieces[piece].surface
    assert isinstance(surface, Plane)
    assert isinstance(own, Cylinder)
    height = dot(minus(place, known.point), known.axis)
    return known.at(height, facing(own, known.round, surface))


def _require_met(part: SolidData, net: Net, hinge: Hinge, maps: dict[int, Map], side: SkinSide) -> None:
    """Refuse a ring of flats and bends that does not close on the blank as it does in space."""
    edge = part.edges[hinge.edge]
    for place in (part.points[edge.start], part.points[edge.end]):
        here = spot(net, hinge.one, maps[hinge.one], place, hinge.other)
        there = spot(net, hinge.other, maps[hinge.other], place, hinge.one)
        gap = math.dist(here, there)
        if gap > 10.0 * side.close:
            raise InputError(
                part.name,
                "bend line",
                shown(place),
                f"closes a ring of flats and bends that would have to tear open by {gap:.6g} mm to lie flat",
                "leave one seam of the ring open, of any width above 0",
            )


def _across(part: SolidData, net: Net, hinge: Hinge, piece: int, known: Map, side: SkinSide) -> Map:
    """Return the map of the flat or bend beyond a hinge."""
    number = hinge.beyond(piece)
    beyond = net.pieces[number]
    edge = part.edges[hinge.edge]
    start, end = part.points[edge.start], part.points[edge.end]
    known_start, known_end = (spot(net, piece, known, place, number) for place in (start, end))
    axis = _hinge_axis(net.pieces[piece], beyond, minus(end, start))
    way = _exact_way(known, axis) or _chord(known_start, known_end, dot(axis, minus(end, start)) < 0.0)
    loose = _loose(beyond, axis, way, side, start)
    loose_start, loose_end = (spot(net, number, loose, place, piece) for place in (start, end))
    (x, y), (u, v) = _mean(known_start, known_end), _mean(loose_start, loose_end)
    return replace(loose, shift=(x - u, y - v))


def _mean(first: Pair, second: Pair) -> Pair:
    return ((first[0] + second[0]) / 2.0, (first[1] + second[1]) / 2.0)


def _hinge_axis(piece: UnfoldedPiece, beyond: UnfoldedPiece, chord: Vector) -> Vector:
    """Return the direction of a hinge: the axis of a cylindrical bend has more digits than the ends of a short edge."""
    for surface in (beyond.surface, piece.surface):
        if isinstance(surface, Cylinder):
            return surface.axis
    outward = next(s.axis for s in (beyond.surface, piece.surface) if isinstance(s, Cone))
    return unit(chord) if dot(chord, outward) > 0.0 else times(-1.0, unit(chord))


def _chord(start: Pair, end: Pair, backwards: bool) -> Pair:
    """Return the direction on the blank between two points, reversed when the axis runs the other way."""
    reach = math.dist(start, end) * (-1.0 if backwards else 1.0)
    return ((end[0] - start[0]) / reach, (end[1] - start[1]) / reach)


def _exact_way(known: Map, axis: Vector) -> Pair | None:
    """Return the direction on the blank of a direction in space, from the directions of the known flat or bend."""
    if isinstance(known, FlatMap):
        x, y = dot(axis, known.x), dot(axis, known.y)
        size = math.hypot(x, y)
        return (x / size, y / size)
    if isinstance(known, BendMap):
        sense = 1.0 if dot(axis, known.axis) > 0.0 else -1.0
        return (sense * known.way[0], sense * known.way[1])
    return None


def _loose(piece: UnfoldedPiece, axis: Vector, way: Pair, side: SkinSide, place: Vector) -> Map:
    """Return the map of a flat or bend whose hinge through a point runs along `way`, before its shift."""
    surface = piece.surface
    if isinstance(surface, Plane):
        return flat_map(times(float(side.sign), surface.normal), axis, way)
    return bend_map(piece, way, side) if isinstance(surface, Cylinder) else cone_map(piece, way, side, place)


def flat_map(up: Vector, axis: Vector, way: Pair) -> FlatMap:
    """Return the map of a flat, seen from `up`, such that a direction in it runs along `way`."""
    left = cross(up, axis)
    (ex, ey) = way
    x = along(times(ex, axis), -ey, left)
    y = along(times(ey, axis), ex, left)
    return FlatMap(x, y, (0.0, 0.0))


def bend_map(piece: UnfoldedPiece, way: Pair, side: SkinSide) -> BendMap:
    """Return the map of a bend whose axis runs along `way`."""
    surface, measured = piece.surface, piece.round
    assert isinstance(surface, Cylinder)
    assert measured is not None
    per_radian = (developed(piece, side) - 2.0 * piece.setback) / (2.0 * measured.half_rad)
    # Seen from above, growing angles run to the left of the axis when it lies above the sheet.
    stretch = per_radian if is_upward(piece, side) else -per_radian
    return BendMap(surface.point, surface.axis, measured, way, stretch)


def cone_map(piece: UnfoldedPiece, way: Pair, side: SkinSide, place: Vector) -> ConeMap:
    """Return the map of a conical bend whose ruling through a point runs along `way`, away from the apex."""
    surface, measured = piece.surface, piece.round
    assert isinstance(surface, Cone)
    assert measured is not None
    half = surface.half_angle_rad
    angle, inside_radius = figures(piece, side.thickness)
    # The neutral fibre lies this far from the inside face, and so from this one, away from the axis.
    fibre = developed(piece, side) / math.radians(angle) - inside_radius
    offset = fibre if surface.outward < 0 else fibre - side.thickness
    sense = 1.0 if is_upward(piece, side) else -1.0
    turned = -sense * math.sin(half) * measured.angle(minus(place, surface.point))
    cos, sin = math.cos(turned), math.sin(turned)
    middle = (cos * way[0] - sin * way[1], cos * way[1] + sin * way[0])
    return ConeMap(surface.point, surface.axis, measured, half, sense, offset / math.tan(half), middle)
