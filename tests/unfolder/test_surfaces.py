"""Surfaces and curves as they are read from the kernel, whichever way its axes, parameters and faces run."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.Geom import Geom_BSplineCurve, Geom_CylindricalSurface, Geom_RectangularTrimmedSurface
from OCP.GeomConvert import GeomConvert
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt
from OCP.TColgp import TColgp_Array1OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_IN, TopAbs_ON, TopAbs_OUT

from formparts.unfolder import space
from formparts.unfolder.families import families_of
from formparts.unfolder.measures import area, cylinder_area
from formparts.unfolder.reading import part_of
from formparts.unfolder.solid_data import (
    Circle,
    Cone,
    Cylinder,
    Edge,
    Face,
    Other,
    Plane,
    SolidData,
    normal_of,
    swept,
)
from formparts.unfolder.surfaces import curve_of, surface_of
from tests.unfolder.foreign import as_splines, cone, filleted_angle, revolved

ASKEW = cq.Plane((3, -4, 5), (0.6, 0.0, 0.8), (0.48, 0.6, -0.36))


def tube() -> cq.Workplane:
    """Hollow, so that one cylinder is round its material and the other within."""
    return cq.Workplane(ASKEW).circle(9).circle(6).extrude(12)


SOLIDS = {
    "box": lambda: cq.Workplane(ASKEW).box(3, 4, 5).val(),
    "tube": lambda: tube().val(),
    "tube, mirrored": lambda: tube().val().mirror("XZ", (1, 2, 3)),
    "half tube": lambda: revolved(180.0).val(),
    "cone": lambda: cone().val(),
    "cone, mirrored": lambda: cone().val().mirror("XY", (0, 0, 7)),
    "spike": lambda: cq.Solid.makeCone(8, 0, 12, cq.Vector(1, 2, 3), cq.Vector(1, 2, 2)),
    "ring": lambda: cq.Solid.makeTorus(10, 3),
    "ball": lambda: cq.Solid.makeSphere(7, angleDegrees1=-90),
    "angle as splines": lambda: as_splines(filleted_angle()),
    "half tube as splines": lambda: as_splines(revolved(180.0)),
    "ring as splines": lambda: as_splines(cq.Workplane(cq.Solid.makeTorus(10, 3))),
}


@pytest.mark.parametrize("kind", SOLIDS)
def test_normals_point_out_of_the_material(kind: str) -> None:
    """A hair along the normal is outside, a hair against it inside: the kernel's classifier is the referee."""
    solid = SOLIDS[kind]()
    sides = BRepClass3d_SolidClassifier(solid.wrapped)
    for face in solid.Faces():
        surface = surface_of(face.wrapped, face.wrapped.Orientation() == TopAbs_FORWARD)
        places = [place for place in spread(face) if state(sides, place) == TopAbs_ON][:2]
        assert places
        for place in places:
            normal = normal_of(surface, place)
            assert space.length(normal) == pytest.approx(1.0, abs=1e-9)
            for step, expected in ((0.01, TopAbs_OUT), (-0.01, TopAbs_IN)):
                assert state(sides, space.along(place, step, normal)) == expected


def state(sides: Any, place: space.Vector) -> Any:
    """In, on or out, by the kernel."""
    sides.Perform(gp_Pnt(*place), 1e-7)
    return sides.State()


def spread(face: cq.Face) -> list[space.Vector]:
    """Places all over the range of a face's surface; some may lie beyond the face."""
    shares = (0.07, 0.31, 0.53, 0.79, 0.96)
    return [at(face, u, v) for u in shares for v in shares]


def at(face: cq.Face, u: float, v: float) -> space.Vector:
    """Place at shares of the range of a face's own surface."""
    u0, u1, v0, v1 = face._uvBounds()
    spot = face._geomAdaptor().Value(u0 + u * (u1 - u0), v0 + v * (v1 - v0))
    return (spot.X(), spot.Y(), spot.Z())


@pytest.mark.parametrize("kind", SOLIDS)
def test_a_face_lies_on_its_surface(kind: str) -> None:
    """Places of the kernel are on the plane, cylinder or cone that was read: distances by hand from axis and apex."""
    for face in SOLIDS[kind]().Faces():
        surface = surface_of(face.wrapped, True)
        for u, v in ((0.2, 0.1), (0.5, 0.5), (0.9, 0.7)):
            if not isinstance(surface, Other):
                assert height_over(surface, np.array(at(face, u, v))) == pytest.approx(0.0, abs=1e-6)


def height_over(surface: Plane | Cylinder | Cone, place: Any) -> float:
    """Distance of a place from a surface, by numpy."""
    away = place - np.array(surface.point)
    if isinstance(surface, Plane):
        return float(away @ np.array(surface.normal))
    axis = np.array(surface.axis)
    height = float(away @ axis)
    radial = float(np.linalg.norm(away - height * axis))
    if isinstance(surface, Cylinder):
        return radial - surface.radius
    return math.atan2(radial, height) - surface.half_angle_rad


@pytest.mark.parametrize(
    ("kind", "kinds"),
    [
        ("angle as splines", {Plane, Cylinder}),
        ("half tube as splines", {Plane, Cylinder}),
        ("ring as splines", {Other}),
        ("ball", {Other}),
        ("cone", {Plane, Cone}),
    ],
)
def test_what_a_surface_is_found_to_be(kind: str, kinds: set[type]) -> None:
    assert {type(surface_of(face.wrapped, True)) for face in SOLIDS[kind]().Faces()} == kinds


@pytest.mark.parametrize("exchanged", [False, True])
@pytest.mark.parametrize("first", [0.0, 2.0, -1.5])
@pytest.mark.parametrize("radius", [7.0, 0.5])
def test_a_spline_is_a_cylinder_whatever_its_parameters(radius: float, first: float, exchanged: bool) -> None:
    """Over 1.2 rad from an angle on, heights 3 to 9; the parameters may be taken in either order."""
    axes = gp_Ax3(gp_Pnt(1, 2, 3), gp_Dir(1, 2, 2))
    piece = Geom_RectangularTrimmedSurface(
        Geom_CylindricalSurface(axes, radius), first, first + 1.2, 3.0, 9.0
    )
    spline = GeomConvert.SurfaceToBSplineSurface_s(piece)
    if exchanged:
        spline.ExchangeUV()
    found = surface_of(BRepBuilderAPI_MakeFace(spline, 1e-7).Face(), not exchanged)
    assert isinstance(found, Cylinder)
    assert (found.radius, found.outward) == (pytest.approx(radius, abs=1e-6), 1)
    assert abs(space.dot(found.axis, (1 / 3, 2 / 3, 2 / 3))) == pytest.approx(1.0, abs=1e-9)


def test_other_surfaces_are_named() -> None:
    """A torus, a sphere, and a free-form one that is neither plane nor cylinder."""
    kinds = [
        surface_of(SOLIDS[kind]().Faces()[0].wrapped, True) for kind in ("ring", "ball", "ring as splines")
    ]
    assert [found.kind for found in kinds if isinstance(found, Other)] == ["torus", "sphere", "free-form"]


@pytest.mark.parametrize("kind", ["box", "tube", "tube, mirrored", "half tube", "cone", "cone, mirrored"])
def test_areas_of_faces_are_those_of_the_kernel(kind: str) -> None:
    solid = SOLIDS[kind]()
    part: SolidData = part_of(cq.Workplane(solid))
    sweeps = [swept(part, edge) for edge in part.edges]
    found = sorted(area(part, face, sweeps) for face in part.faces)
    assert found == pytest.approx(sorted(face.Area() for face in solid.Faces()), rel=1e-9)


@pytest.mark.parametrize("turn", [0.4, 1.3, math.pi, 4.0, 5.9, math.tau])
@pytest.mark.parametrize("splined", [False, True])
def test_an_arc_is_a_circle_in_whatever_form(turn: float, splined: bool) -> None:
    """Radius 7 about (3, -4, 5) in a plane askew: centre, axis, radius, and places in order along it."""
    edge = cq.Edge.makeCircle(7, ASKEW.origin, ASKEW.zDir, 20.0, 20.0 + math.degrees(turn))
    kind, first, last, circle, value = curve_of(spline_of(edge) if splined else edge.wrapped)
    assert kind == "circle"
    assert circle is not None
    assert last - first == pytest.approx(turn, abs=1e-6)
    assert circle.radius == pytest.approx(7.0, abs=1e-6)
    assert circle.centre == pytest.approx(ASKEW.origin.toTuple(), abs=1e-6)
    assert circle.axis == pytest.approx(ASKEW.zDir.toTuple(), abs=1e-6)
    for share in (0.0, 0.25, 0.9, 1.0):
        place = value(first + share * (last - first))
        assert place == pytest.approx(edge.positionAt(share).toTuple(), abs=1e-6)
        assert circle.point(first + share * (last - first)) == pytest.approx(place, abs=1e-6)


def test_a_very_small_circle_is_one_too() -> None:
    """A radius of 0.01, as of a nick."""
    kind, _, _, circle, _ = curve_of(spline_of(cq.Edge.makeCircle(0.01, angle1=0.0, angle2=200.0)))
    assert kind == "circle"
    assert circle is not None
    assert circle.radius == pytest.approx(0.01, abs=1e-6)


def spline_of(edge: cq.Edge) -> Any:
    """The same curve as a rational spline."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.Geom import Geom_TrimmedCurve

    first, last = edge._bounds()
    trimmed = Geom_TrimmedCurve(BRep_Tool.Curve_s(edge.wrapped, 0.0, 1.0), first, last)
    return BRepBuilderAPI_MakeEdge(GeomConvert.CurveToBSplineCurve_s(trimmed)).Edge()


def polyline(*places: tuple[float, float, float]) -> Any:
    """An edge of degree 1 through places."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge

    count = len(places)
    poles, knots, several = (
        TColgp_Array1OfPnt(1, count),
        TColStd_Array1OfReal(1, count),
        TColStd_Array1OfInteger(1, count),
    )
    for number, place in enumerate(places, start=1):
        poles.SetValue(number, gp_Pnt(*place))
        knots.SetValue(number, float(number))
        several.SetValue(number, 2 if number in (1, count) else 1)
    return BRepBuilderAPI_MakeEdge(Geom_BSplineCurve(poles, knots, several, 1)).Edge()


@pytest.mark.parametrize(
    ("places", "kind"),
    [
        (((0, 0, 0), (1, 2, 2), (3, 6, 6)), "line"),
        (((0, 0, 0), (3, 6, 6), (1, 2, 2)), "other"),
        (((0, 0, 0), (1, 2, 2.001), (3, 6, 6)), "other"),
        (((0, 0, 0), (5, 0, 0), (5, 5, 0), (0, 5, 0), (0, 0, 0)), "other"),
    ],
    ids=["straight", "there and back", "with a kink", "square"],
)
def test_a_spline_is_a_line_where_it_is_one(places: Any, kind: str) -> None:
    found, first, last, _, value = curve_of(polyline(*places))
    assert found == kind
    assert value(first) == pytest.approx(places[0])
    assert value(last) == pytest.approx(places[-1])


@pytest.mark.parametrize("edge", [cq.Edge.makeEllipse(8, 7.999), cq.Wire.makeHelix(0.01, 9, 5).Edges()[0]])
def test_what_is_nearly_a_circle_is_none(edge: cq.Edge) -> None:
    """An ellipse 0.001 flat, and a helix that climbs by 0.01 in a turn."""
    assert curve_of(edge.wrapped)[0] == "other"


def test_vectors_as_numpy_has_them() -> None:
    a, b = (1.0, -2.0, 4.0), (3.0, 5.0, -7.0)
    one, other = np.array(a), np.array(b)
    assert space.dot(a, b) == one @ other
    assert space.cross(a, b) == tuple(np.cross(one, other))
    assert space.minus(a, b) == tuple(one - other)
    assert space.along(a, 2.5, b) == tuple(one + 2.5 * other)
    assert space.middle(a, b) == tuple((one + other) / 2)
    assert space.length(a) == pytest.approx(np.linalg.norm(one))


@pytest.mark.parametrize("direction", [(1.0, 0.0, 0.0), (0.1, -3.0, 0.2), (0.0, 0.1, 2.0), (1.0, 1.0, 1.0)])
def test_square_to_a_direction(direction: space.Vector) -> None:
    """Unit length, no part along the direction."""
    found = space.square_to(direction)
    assert (space.length(found), space.dot(found, direction)) == pytest.approx((1.0, 0.0), abs=1e-12)


def test_steps_of_a_spline_circle_turn_one_way() -> None:
    """A whole circle as a spline comes back to its start after one turn, not none and not two."""
    edge = cq.Edge.makeCircle(4)
    _, first, last, _, value = curve_of(spline_of(edge))
    places = [value(first + number / 12 * (last - first)) for number in range(13)]
    assert all(
        math.dist(a, b) == pytest.approx(8 * math.sin(math.pi / 12), abs=1e-6) for a, b in pairwise(places)
    )
    assert places[12] == pytest.approx(places[0], abs=1e-6)


@pytest.mark.parametrize("low_sense", [1.0, -1.0])
@pytest.mark.parametrize("high_sense", [1.0, -1.0])
@pytest.mark.parametrize("turn", [0.5, 3.0])
def test_area_on_a_cylinder_whichever_way_its_circles_run(
    low_sense: float, high_sense: float, turn: float
) -> None:
    """
    A face of radius 2 from height 1 to 4, over 0.5 or 3 rad: 3 x 2 x turn.

    Its two circles may have their axes along that of the cylinder or against it, and then run the other way.
    """
    axis, x, y = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    ends = [(2.0 * math.cos(angle), 2.0 * math.sin(angle)) for angle in (0.0, turn)]
    points = [(*ends[0], 1.0), (*ends[1], 1.0), (*ends[1], 4.0), (*ends[0], 4.0)]
    edges, coedges = [], []
    for number, (height, sense) in enumerate(((1.0, low_sense), (4.0, high_sense))):
        circle = Circle((0.0, 0.0, height), space.times(sense, axis), x, space.times(sense, y), 2.0)
        first, last = (0.0, turn) if sense > 0.0 else (-turn, 0.0)
        corners = ((0, 1), (3, 2))[number]
        start, end = corners if sense > 0.0 else corners[::-1]
        edges.append(Edge(start, end, "circle", first, last, circle, circle.point, []))
        coedges.append((number, (sense > 0.0) == (number == 0)))
    for number, (start, end) in enumerate(((1, 2), (3, 0)), start=2):
        edges.append(Edge(start, end, "line", 0.0, 1.0, None, lambda _: axis, []))
        coedges.append((number, True))
    surface = Cylinder((0.0, 0.0, 0.0), axis, 2.0, 1)
    face = Face("", surface, tuple(coedges))
    part = SolidData("half", points, edges, [face], lambda: 0.0)
    assert cylinder_area(part, face, surface) == pytest.approx(6.0 * turn, rel=1e-12)


def test_all_partners_at_one_height_are_found() -> None:
    """A board 3 thick with four feet of 2 below it: from above, four faces at 5 and the underside at 3."""
    feet = cq.Workplane().rect(60, 30, forConstruction=True).vertices().rect(8, 8).extrude(-2)
    part = part_of(cq.Workplane().box(100, 60, 3, centered=(True, True, False)).union(feet).val())
    families = families_of(part)
    (top,) = (number for number, face in enumerate(part.faces) if normal_of(face.surface, (0, 0, 3))[2] > 0.9)
    assert len(families.partners(top, 5.0)) == 4
    assert len(families.partners(top, 3.0)) == 1
    assert families.partners(top, 4.0) == []


def test_a_place_that_is_nought_to_three_places_is_shown_without_a_sign() -> None:
    assert space.shown((-0.0001, 0.0, -2.5)) == "(0, 0, -2.5) mm"
