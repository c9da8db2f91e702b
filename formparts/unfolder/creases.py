"""Bends drawn without radii: edges that represent the inside of a bend, or both of its sides."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.tolerances import SAME_DIRECTION
from formparts.unfolder.families import Families
from formparts.unfolder.solid_data import Cylinder, Edge, Plane, SolidData
from formparts.unfolder.space import Vector, along, cross, dot, length, minus, times, unit

LARGEST_CREASE_RAD = math.radians(150.0)
"""A corner that turns by more is not taken for a bend: with any radius its flats would overlap."""


@dataclass(frozen=True, slots=True)
class Crease:
    """An edge that represents one side of a bend, with the missing cylinder.

    The flats on both sides end at the mould line, not at the tangent lines: by the setback they are too long.
    """

    surface: Cylinder
    setback: float
    assumed: bool


def creases_of(
    part: SolidData, families: Families, thickness: float, outsides: list[Cylinder], radius: float | None
) -> dict[int, Crease]:
    """Return the creases of a part by the number of their edge.

    An edge on the axis of a round outside has an inside radius of 0. Where both sides are edges a radius is assumed:
    the one given, else one thickness (common practice, no source).
    """
    straight = [n for n, edge in enumerate(part.edges) if _is_between_planes(part, edge)]
    found = {
        number: crease
        for number in straight
        if (crease := _round_outside(part, number, outsides, families.close))
    }
    inside = thickness if radius is None else radius
    hollow = [n for n in straight if n not in found and _bulge(part, part.edges[n]) < 0.0]
    full = [n for n in straight if n not in found and _bulge(part, part.edges[n]) > 0.0]
    by_face: dict[int, list[int]] = {}
    for number in full:
        for face in part.edges[number].faces:
            by_face.setdefault(face, []).append(number)
    for inner in hollow:
        for outer in _opposite(part, families, thickness, inner, by_face):
            found[inner] = _crease(part, inner, inside, -1)
            found[outer] = _crease(part, outer, inside + thickness, 1)
    return found


def _is_between_planes(part: SolidData, edge: Edge) -> bool:
    """True for a straight edge between two planes that are not parallel."""
    if edge.kind != "line" or len(edge.faces) != 2 or edge.start == edge.end:
        return False
    one, other = (part.faces[face].surface for face in edge.faces)
    return (
        isinstance(one, Plane)
        and isinstance(other, Plane)
        and length(cross(one.normal, other.normal)) > 20.0 * SAME_DIRECTION
    )


def _round_outside(part: SolidData, number: int, outsides: list[Cylinder], close: float) -> Crease | None:
    """Return the inside of a bend whose outside is a cylinder around this edge."""
    edge = part.edges[number]
    ends = (part.points[edge.start], part.points[edge.end])
    for outside in outsides:
        if all(off_axis(outside, place) <= close for place in ends):
            return Crease(Cylinder(outside.point, outside.axis, 0.0, -1), 0.0, False)
    return None


def off_axis(cylinder: Cylinder, place: Vector) -> float:
    """Return the distance of a point from the axis of a cylinder."""
    away = minus(place, cylinder.point)
    return length(along(away, -dot(away, cylinder.axis), cylinder.axis))


def _bulge(part: SolidData, edge: Edge) -> float:
    """Return a positive value for a ridge along an edge between two planes, a negative one for a groove."""
    one, other = (part.faces[face] for face in edge.faces)
    assert isinstance(one.surface, Plane)
    assert isinstance(other.surface, Plane)
    number = next(n for n, _ in one.coedges if part.edges[n] is edge)
    forward = next(sense for n, sense in one.coedges if n == number)
    way = minus(part.points[edge.end], part.points[edge.start])
    inward = cross(one.surface.normal, way if forward else times(-1.0, way))
    return -dot(inward, other.surface.normal)


def _opposite(
    part: SolidData, families: Families, thickness: float, inner: int, by_face: dict[int, list[int]]
) -> list[int]:
    """Return the ridges opposite a groove across the sheet: those of the faces below its two."""
    edge = part.edges[inner]
    below = [set(families.partners(face, thickness)) for face in edge.faces]
    one, other = (part.faces[face].surface for face in edge.faces)
    assert isinstance(one, Plane)
    assert isinstance(other, Plane)
    turn = math.acos(max(-1.0, min(1.0, dot(one.normal, other.normal))))
    if turn > LARGEST_CREASE_RAD:
        return []
    reach = thickness / math.cos(turn / 2.0)
    near = {number for face in below[0] for number in by_face.get(face, [])}
    return sorted(
        number
        for number in near
        if not below[1].isdisjoint(part.edges[number].faces)
        and _across(part, edge, part.edges[number], reach, families.close)
    )


def _across(part: SolidData, one: Edge, other: Edge, reach: float, close: float) -> bool:
    """True when two edges are parallel, a distance apart, and run beside each other."""
    start, end = part.points[one.start], part.points[one.end]
    way = unit(minus(end, start))
    steps = []
    for place in (part.points[other.start], part.points[other.end]):
        away = minus(place, start)
        steps.append(dot(away, way))
        if abs(length(along(away, -steps[-1], way)) - reach) > 10.0 * close:
            return False
    return min(steps) < math.dist(start, end) and max(steps) > 0.0


def _crease(part: SolidData, number: int, radius: float, outward: int) -> Crease:
    """Return the crease on an edge whose bend is to have a radius on this side."""
    edge = part.edges[number]
    one, other = (part.faces[face].surface for face in edge.faces)
    assert isinstance(one, Plane)
    assert isinstance(other, Plane)
    turn = math.acos(max(-1.0, min(1.0, dot(one.normal, other.normal))))
    towards = unit(along(one.normal, 1.0, other.normal))
    point = along(part.points[edge.start], -outward * radius / math.cos(turn / 2.0), towards)
    axis = unit(minus(part.points[edge.end], part.points[edge.start]))
    return Crease(Cylinder(point, axis, radius, outward), radius * math.tan(turn / 2.0), True)
