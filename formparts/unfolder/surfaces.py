"""Kernel surfaces and curves as plain ones; free-form ones that are planes, cylinders, lines or circles included."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any, Literal, TypeAlias

from formparts.tolerances import DRAWN_OUT, NOUGHT, RECOGNISED
from formparts.unfolder.limits import FARTHEST
from formparts.unfolder.solid_data import (
    FINE,
    FINE_SPAN,
    FINEST,
    Circle,
    Cone,
    Cylinder,
    Other,
    Plane,
    Surface,
)
from formparts.unfolder.space import Vector, along, cross, dot, evenly, length, minus, square_to, times, unit

Curve: TypeAlias = tuple[
    Literal["line", "circle", "other"], float, float, Circle | None, Callable[[float], Vector]
]
GRID = 7
"""Free-form surfaces are sampled on a grid of this many points each way."""
CURVE_PLACES = 29
"""Free curves are sampled at this many points."""


def xyz(thing: Any) -> Vector:
    """Return the coordinates of a point or direction of the kernel."""
    return (thing.X(), thing.Y(), thing.Z())


def surface_of(face: Any, outward: bool) -> Surface:
    """Surface of a face of the kernel; `outward` tells whether its own normal points out of the material."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane

    adaptor = BRepAdaptor_Surface(face, False)
    kind = adaptor.GetType()
    if kind == GeomAbs_Plane:
        return _plane(adaptor.Plane(), outward)
    if kind == GeomAbs_Cylinder:
        return _cylinder(adaptor.Cylinder(), outward)
    if kind == GeomAbs_Cone:
        return _cone(adaptor.Cone(), outward)
    return _free_form(face, adaptor, outward)


def _plane(plane: Any, outward: bool) -> Plane:
    axes = plane.Position()
    normal = cross(xyz(axes.XDirection()), xyz(axes.YDirection()))
    return Plane(xyz(axes.Location()), normal if outward else times(-1.0, normal))


def _cylinder(cylinder: Any, outward: bool) -> Cylinder:
    axes = cylinder.Position()
    sign = 1 if axes.Direct() == outward else -1
    return Cylinder(xyz(axes.Location()), xyz(axes.Direction()), cylinder.Radius(), sign)


def _cone(cone: Any, outward: bool) -> Cone:
    axes = cone.Position()
    half, axis = cone.SemiAngle(), xyz(axes.Direction())
    # The kernel's cone widens along its axis when the half angle is positive.
    axis = axis if half > 0.0 else times(-1.0, axis)
    sign = 1 if axes.Direct() == outward else -1
    return Cone(xyz(cone.Apex()), axis, abs(half), sign)


def _free_form(face: Any, adaptor: Any, outward: bool) -> Surface:
    """Return a plane or cylinder if the surface is one within RECOGNISED, else the surface with its kind as text."""
    samples = _sampled(face, adaptor, 1.0 if outward else -1.0)
    known = (_as_plane(samples) or _as_cylinder(samples)) if samples else None
    return known or _other(face, adaptor, outward, samples)


def _sampled(face: Any, adaptor: Any, sign: float) -> list[tuple[Vector, Vector]]:
    """Places on the surface within the bounds of the face, each with the normal out of the material, if it has one."""
    from OCP.BRepTools import BRepTools

    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
    grid = [_sample(adaptor, u, v, sign) for u in evenly(u0, u1, GRID) for v in evenly(v0, v1, GRID)]
    return [sample for sample in grid if sample is not None]


def _sample(adaptor: Any, u: float, v: float, sign: float) -> tuple[Vector, Vector] | None:
    """Place and outward normal at one parameter pair; none where the surface has no normal."""
    from OCP.gp import gp_Pnt, gp_Vec

    place, along_u, along_v = gp_Pnt(), gp_Vec(), gp_Vec()
    adaptor.D1(u, v, place, along_u, along_v)
    normal = cross(xyz(along_u), xyz(along_v))
    size = length(normal)
    return (xyz(place), times(sign / size, normal)) if size > NOUGHT else None


def _as_plane(samples: list[tuple[Vector, Vector]]) -> Plane | None:
    """The plane that all samples lie on, if there is one: square to the mean of their normals."""
    total = (0.0, 0.0, 0.0)
    for _, normal in samples:
        total = along(total, 1.0, normal)
    if length(total) < len(samples) / 2.0:
        return None
    plane = Plane(samples[0][0], unit(total))
    flat = all(abs(dot(minus(place, plane.point), plane.normal)) < RECOGNISED for place, _ in samples)
    return plane if flat else None


def _as_cylinder(samples: list[tuple[Vector, Vector]]) -> Cylinder | None:
    """The round cylinder that all samples lie on, if there is one: its normals are all square to its axis."""
    import numpy as np

    _, _, rows = np.linalg.svd(np.array([normal for _, normal in samples]))
    a, b, c = rows[-1].tolist()
    axis = unit((a, b, c))
    x = square_to(axis)
    y = cross(axis, x)
    flat = np.array([(dot(place, x), dot(place, y), 1.0) for place, _ in samples])
    # x^2 + y^2 = 2 a x + 2 b y + c, linear in the centre (a, b) and c.
    (a, b, _), *_ = np.linalg.lstsq(flat, flat[:, 0] ** 2 + flat[:, 1] ** 2, rcond=None)
    centre = (float(a) / 2.0, float(b) / 2.0)
    radii = [math.dist((px, py), centre) for px, py, _ in flat.tolist()]
    radius = math.fsum(radii) / len(radii)
    if max(radii) - min(radii) > 2.0 * RECOGNISED:
        return None
    point = along(times(centre[0], x), centre[1], y)
    place, normal = samples[0]
    return Cylinder(point, axis, radius, 1 if dot(minus(place, point), normal) > 0.0 else -1)


def _ruling(samples: list[tuple[Vector, Vector]]) -> Vector | None:
    """Return the direction that all normals are square to, if there is one: the direction of extrusion."""
    import numpy as np

    if not samples:
        return None
    _, sizes, rows = np.linalg.svd(np.array([normal for _, normal in samples]))
    a, b, c = rows[-1].tolist()
    return unit((a, b, c)) if sizes[-1] < DRAWN_OUT * sizes[0] else None


def _other(face: Any, adaptor: Any, outward: bool, samples: list[tuple[Vector, Vector]]) -> Other:
    """Return any other surface, with its normal by projection."""
    from OCP.BRep import BRep_Tool

    kind = str(adaptor.GetType()).rpartition("_")[2].lower()
    words = {
        "bsplinesurface": "free-form",
        "beziersurface": "free-form",
        "torus": "torus",
        "sphere": "sphere",
    }
    surface = BRep_Tool.Surface_s(face)
    sign = 1.0 if outward else -1.0

    def normal_at(place: Vector) -> Vector:
        from OCP.GeomAPI import GeomAPI_ProjectPointOnSurf
        from OCP.gp import gp_Pnt

        projection = GeomAPI_ProjectPointOnSurf(gp_Pnt(*place), surface)
        u, v = projection.LowerDistanceParameters()
        sample = _sample(adaptor, u, v, sign)
        return sample[1] if sample else (0.0, 0.0, 0.0)

    def flux(origin: Vector) -> float:
        from OCP.BRepGProp import BRepGProp_Domain, BRepGProp_Face, BRepGProp_Vinert
        from OCP.gp import gp_Pnt
        from OCP.TopAbs import TopAbs_FORWARD

        found = BRepGProp_Vinert(BRepGProp_Face(face), BRepGProp_Domain(face), gp_Pnt(*origin)).Mass()
        return float(found) if (face.Orientation() == TopAbs_FORWARD) == outward else -float(found)

    radius = _section_radius(kind, adaptor)
    return Other(words.get(kind, "free-form"), normal_at, flux, radius, _ruling(samples))


def _section_radius(kind: str, adaptor: Any) -> float:
    """Radius of a sphere, or of the section of a torus; 0 for other surfaces [mm]."""
    if kind == "sphere":
        return float(adaptor.Sphere().Radius())
    return float(adaptor.Torus().MinorRadius()) if kind == "torus" else 0.0


def curve_of(edge: Any) -> Curve:
    """Curve of an edge of the kernel, run forwards: its kind, range, circle, and the place at a parameter."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line

    adaptor = BRepAdaptor_Curve(edge)
    kind = adaptor.GetType()
    first, last = adaptor.FirstParameter(), adaptor.LastParameter()

    def value(parameter: float) -> Vector:
        return xyz(adaptor.Value(parameter))

    if kind == GeomAbs_Line:
        return ("line", first, last, None, value)
    if kind == GeomAbs_Circle:
        return ("circle", first, last, _circle(adaptor.Circle()), value)
    return _free_curve(first, last, value)


def fineness(edge: Any) -> int:
    """Return the number of points over which a free-form edge of the kernel is summed: more for more spans."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_BSplineCurve

    adaptor = BRepAdaptor_Curve(edge)
    spans = adaptor.NbKnots() - 1 if adaptor.GetType() == GeomAbs_BSplineCurve else 1
    return min(max(FINE, FINE_SPAN * spans + 1), FINEST)


def _circle(circle: Any) -> Circle:
    axes = circle.Position()
    x, y = xyz(axes.XDirection()), xyz(axes.YDirection())
    return Circle(xyz(axes.Location()), cross(x, y), x, y, circle.Radius())


def _free_curve(first: float, last: float, value: Callable[[float], Vector]) -> Curve:
    """A line or circle if a free curve is one within RECOGNISED, else the curve itself."""
    places = [value(parameter) for parameter in evenly(first, last, CURVE_PLACES)]
    if _is_straight(places):
        return ("line", first, last, None, value)
    circle = _circle_through(places)
    if circle is None:
        return ("other", first, last, None, value)
    turned = math.fsum(_turn(circle, here, there) for here, there in pairwise(places))
    return ("circle", 0.0, turned, circle, circle.point)


def _is_straight(places: list[Vector]) -> bool:
    """True when all places lie between the first and the last, in order, on one line."""
    start, chord = places[0], minus(places[-1], places[0])
    size = length(chord)
    if size < RECOGNISED:
        return False
    axis = times(1.0 / size, chord)
    steps = [dot(minus(place, start), axis) for place in places]
    ordered = all(a <= b + RECOGNISED for a, b in pairwise(steps))
    return ordered and all(
        math.dist(place, along(start, step, axis)) < RECOGNISED
        for place, step in zip(places, steps, strict=True)
    )


def _circle_through(places: list[Vector]) -> Circle | None:
    """The circle that all places lie on, if there is one, run in their order, from the first of them."""
    third = len(places) // 3
    a, b, c = places[0], places[third], places[2 * third]
    ab, ac = minus(b, a), minus(c, a)
    normal = cross(ab, ac)
    square = dot(normal, normal)
    if square == 0.0:
        return None
    centre = along(
        along(a, dot(ab, ab) / (2.0 * square), cross(ac, normal)),
        -dot(ac, ac) / (2.0 * square),
        cross(ab, normal),
    )
    axis = unit(normal)
    radius = math.dist(a, centre)
    if radius > FARTHEST:
        return None
    for place in places:
        away = minus(place, centre)
        if abs(length(away) - radius) > RECOGNISED or abs(dot(away, axis)) > RECOGNISED:
            return None
    x = unit(minus(a, centre))
    return Circle(centre, axis, x, cross(axis, x), radius)


def _turn(circle: Circle, here: Vector, there: Vector) -> float:
    """Angle from one place to the next about the axis of a circle [rad]."""
    a, b = minus(here, circle.centre), minus(there, circle.centre)
    return math.atan2(dot(cross(a, b), circle.axis), dot(a, b))
