"""Solids that formparts did not model: plain CadQuery, in the ways in which others draw sheet parts. Lengths in mm."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import cadquery as cq
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_NurbsConvert, BRepBuilderAPI_Sewing
from OCP.BRepFill import BRepFill
from OCP.BRepLib import BRepLib
from OCP.Geom import Geom_CylindricalSurface
from OCP.Geom2d import Geom2d_Line
from OCP.gp import gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TopoDS import TopoDS

from formparts.unfolder import Unfolded

K = 0.44
Spot = tuple[float, float]


def by_k(angle: float, inside_radius: float, thickness: float) -> float:
    """Developed length of a bend with the neutral fibre at 0.44 thicknesses: the arc's length, worked anew here."""
    return math.radians(angle) * (inside_radius + K * thickness)


def filleted_angle(
    t: float = 2.0, r: float = 3.0, a: float = 50.0, b: float = 30.0, w: float = 40.0
) -> cq.Workplane:
    """Extruded L with a fillet inside and one outside; legs a and b to the outside, width w along y."""
    section = (
        cq.Workplane("XZ").polyline([(0, 0), (a, 0), (a, t), (t, t), (t, b), (0, b)]).close().extrude(-w)
    )
    inner = section.edges(cq.selectors.NearestToPointSelector((t, w / 2, t))).fillet(r) if r else section
    return inner.edges(cq.selectors.NearestToPointSelector((0, w / 2, 0))).fillet(r + t)


def extruded(steps: list[tuple[float, ...]], t: float = 2.0, w: float = 30.0) -> cq.Workplane:
    """
    A section walked in x-z from the origin along +x, extruded to y = w.

    A step of one figure is a straight; one of two is a turn: angle (positive to the left, so up) and inside radius.
    The line that is walked is the lower (right) face.
    """
    right, left = [], []
    x, z, heading = 0.0, 0.0, 0.0
    for step in steps:
        if len(step) == 1:
            ends = [(x, z), (x + step[0] * math.cos(heading), z + step[0] * math.sin(heading))]
            right.append(ends)
            left.append([(px - t * math.sin(heading), pz + t * math.cos(heading)) for px, pz in ends])
        else:
            right.append(_turned(x, z, heading, step[0], step[1] + (t if step[0] > 0 else 0), 0.0))
            left.append(_turned(x, z, heading, step[0], step[1] + (t if step[0] > 0 else 0), t))
            heading += math.radians(step[0])
        x, z = right[-1][-1]
    rows = [
        *right,
        [right[-1][-1], left[-1][-1]],
        *(row[::-1] for row in left[::-1]),
        [left[0][0], right[0][0]],
    ]
    edges = [_edge(row) for row in rows if math.dist(row[0], row[-1]) > 1e-9]
    return cq.Workplane(cq.Solid.extrudeLinear(cq.Wire.assembleEdges(edges), [], cq.Vector(0, w, 0)))


def _turned(x: float, z: float, heading: float, angle: float, radius: float, height: float) -> list[Spot]:
    """Start, middle and end of an arc from a place and heading, a height to the left of the line that is walked."""
    sign = 1.0 if angle > 0 else -1.0
    cx, cz = x - sign * radius * math.sin(heading), z + sign * radius * math.cos(heading)
    turns = [heading + math.radians(angle) * share for share in (0.0, 0.5, 1.0)]
    own = radius - sign * height
    return [(cx + sign * own * math.sin(turn), cz - sign * own * math.cos(turn)) for turn in turns]


def _edge(row: list[Spot]) -> cq.Edge:
    places = [cq.Vector(x, 0, z) for x, z in row]
    return cq.Edge.makeLine(*places) if len(places) == 2 else cq.Edge.makeThreePointArc(*places)


def written_coarsely(shape: Any, path: Path, digits: int = 5) -> cq.Workplane:
    """A solid as it comes from a STEP file that gives all its points to so many decimal places of a mm."""
    cq.exporters.export(cq.Workplane(cq.Shape.cast(shape)), str(path))

    def rounded(point: re.Match[str]) -> str:
        return f"{point[1]}{','.join(f'{float(value):.{digits}f}' for value in point[2].split(','))}))"

    text = path.read_text(encoding="utf-8")
    path.write_text(
        re.sub(r"(CARTESIAN_POINT\('[^']*',\()([^)]*)\)\)", rounded, text),
        encoding="utf-8",
    )
    return cq.importers.importStep(str(path))


def mitred_box() -> cq.Workplane:
    """100 x 80 x 30, t 2, inside 2; its walls meet in mitres 0.2 wide, with no relief."""
    box = cq.Workplane().box(100, 80, 30, centered=False).edges("<Z").fillet(4)
    box = box.cut(cq.Workplane().box(96, 76, 30, centered=False).edges("<Z").fillet(2).translate((2, 2, 2)))
    for x, y, angle in ((0, 0, 45), (100, 80, 45), (100, 0, -45), (0, 80, -45)):
        slit = cq.Workplane().box(20, 0.2, 99).rotate((0, 0, 0), (0, 0, 1), angle)
        box = box.cut(slit.translate((x, y, 0)))
    return box


def mitred_channel() -> cq.Workplane:
    """60 wide and 50 high outside, t 2, inside 2; one end cut at 45 deg, at 300 on one wall and at 240 on the other."""
    outside = cq.Workplane().box(60, 300, 50, centered=False).edges("|Y and <Z").fillet(4)
    inside = cq.Workplane().box(56, 300, 50, centered=False).edges("|Y and <Z").fillet(2)
    wedge = cq.Workplane().polyline([(0, 300), (60, 300), (60, 240)]).close().extrude(99)
    return outside.cut(inside.translate((2, 0, 2))).cut(wedge)


def tapered_flange() -> cq.Workplane:
    """An angle, cut straight down along a slanted line through its long leg and its bend."""
    wedge = cq.Workplane().polyline([(-5, -1), (30, -1), (-5, 24)]).close().extrude(100, both=True)
    return filleted_angle().cut(wedge)


def bored_strip() -> cq.Workplane:
    """Rolled by 150 deg to 100 inside, t 2, 60 wide, with a bore of 16 through it across the roll."""
    strip = cq.Workplane("XZ").moveTo(100, 0).rect(2, 60, centered=False).revolve(150, (0, 0), (0, 1))
    return strip.cut(cq.Workplane("XZ").center(0, 30).circle(8).extrude(-150))


def tray() -> cq.Workplane:
    """A shelled box, its bottom edges rounded, its corners cut away: 100 x 60 x 40 outside, t 2, inside radius 3."""
    box = (
        cq.Workplane()
        .box(100, 60, 40, centered=(True, True, False))
        .edges("<Z")
        .fillet(5)
        .faces(">Z")
        .shell(-2)
    )
    corners = cq.Workplane().rect(100, 60, forConstruction=True).vertices().rect(20, 20).extrude(50)
    return box.cut(corners)


def revolved(turn: float = 300.0, inside: float = 40.0, t: float = 2.0, w: float = 25.0) -> cq.Workplane:
    """A strip revolved about z."""
    return cq.Workplane("XZ").moveTo(inside, 0).rect(t, w, centered=False).revolve(turn, (0, 0), (0, 1))


def cone(turn: float = 180.0, t: float = 1.5) -> cq.Workplane:
    """A slanted strip revolved about z: a right cone of half angle 30 deg, inner slant from 40 to 100."""
    sin, cos = 0.5, math.sqrt(0.75)
    inner = [(40 * sin, 40 * cos), (100 * sin, 100 * cos)]
    outer = [(x + t * cos, z - t * sin) for x, z in inner]
    return (
        cq.Workplane("XZ")
        .polyline([inner[0], inner[1], outer[1], outer[0]])
        .close()
        .revolve(turn, (0, 0), (0, 1))
    )


def as_splines(solid: cq.Workplane) -> cq.Shape:
    """The same solid with every surface and curve a free-form one, as some exporters write them."""
    return cq.Shape.cast(BRepBuilderAPI_NurbsConvert(solid.val().wrapped, True).Shape())


def tapered_bend() -> cq.Shape:
    """
    A quarter-round bend alone, inside radius 4, t 2, whose side edges are helices: 30 wide at one end, 18 at the other.

    The wall between the two helices is ruled along the radius, so that it is square on both skins.
    """
    axes = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 1, 0), gp_Dir(0, 0, -1))
    quarter = math.pi / 2
    corners = [(0.0, 0.0), (quarter, 6.0), (quarter, 24.0), (0.0, 30.0)]
    rims = []
    faces: list[Any] = []
    for radius in (4.0, 6.0):
        surface = Geom_CylindricalSurface(axes, radius)
        edges = []
        for (u0, v0), (u1, v1) in zip(corners, corners[1:] + corners[:1], strict=True):
            size = math.hypot(u1 - u0, v1 - v0)
            line = Geom2d_Line(gp_Pnt2d(u0, v0), gp_Dir2d(u1 - u0, v1 - v0))
            edges.append(cq.Edge(_edge_on(line, surface, size)))
        rims.append(edges)
        faces.append(cq.Face(_face_on(surface, edges)))
    for one, other in zip(*rims, strict=True):
        faces.append(cq.Face(BRepFill.Face_s(one.wrapped, other.wrapped)))
    sewing = BRepBuilderAPI_Sewing(1e-6)
    for face in faces:
        sewing.Add(face.wrapped)
    sewing.Perform()
    made = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(sewing.SewedShape())).Solid()
    BRepLib.OrientClosedSolid_s(made)
    return cq.Shape.cast(made)


def _edge_on(line: Any, surface: Any, size: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge

    edge = BRepBuilderAPI_MakeEdge(line, surface, 0.0, size).Edge()
    BRepLib.BuildCurves3d_s(edge)
    return edge


def _face_on(surface: Any, edges: list[cq.Edge]) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    wire = cq.Wire.assembleEdges(edges)
    return BRepBuilderAPI_MakeFace(surface, wire.wrapped, True).Face()


def flat_size(found: Unfolded) -> list[float]:
    """Overall size of the blank, the smaller figure first."""
    return sorted((found.blank.length, found.blank.width))


def box_cutter(low: tuple[float, float, float], high: tuple[float, float, float]) -> cq.Workplane:
    """A box from corner to corner."""
    sizes = [b - a for a, b in zip(low, high, strict=True)]
    return cq.Workplane().box(*sizes, centered=False).translate(low)
