"""A solid viewed from one side: visible, hidden and tangent edges as lines, arcs and ellipses, by the kernel."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from formparts.drawings.carriers import left_over, united
from formparts.drawings.curves import Conic, Curve, Polyline, Straight
from formparts.kernel import guard
from formparts.outline import Point
from formparts.tolerances import LENGTH, MEETING

if TYPE_CHECKING:
    from formparts.solids import Solid

Vector = tuple[float, float, float]

_PIECES = 24
"""Number of straight segments of a curve that is neither line nor conic."""


@dataclass(frozen=True)
class Seen:
    """The projected edges of a solid: visible, hidden, and visible tangent edges [mm]."""

    visible: tuple[Curve, ...]
    hidden: tuple[Curve, ...]
    tangent: tuple[Curve, ...]


def seen(solid: Solid, towards: Vector, right: Vector) -> Seen:
    """Project a solid, viewed from the direction `towards` the viewer, with `right` to the right."""
    with guard(f"drawing of {solid.name}"):
        shapes = _projected(solid.shape, towards, right)
        visible = united([*_curves(shapes.VCompound()), *_curves(shapes.OutLineVCompound())])
        hidden = [*_curves(shapes.HCompound()), *_curves(shapes.OutLineHCompound())]
        tangent = [*_curves(shapes.Rg1LineVCompound()), *_curves(shapes.RgNLineVCompound())]
    # Of overlapping lines the visible one is drawn first, then the tangent one, then the hidden one.
    shown = left_over(tangent, visible)
    return Seen(tuple(visible), tuple(left_over(hidden, [*visible, *shown])), tuple(shown))


def _projected(shape: Any, towards: Vector, right: Vector) -> Any:
    """Run the kernel's exact hidden-line removal on a copy with its tangent edges marked."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    copy = BRepBuilderAPI_Copy(shape, True, False).Shape()
    BRepLib.EncodeRegularity_s(copy, LENGTH)
    work = HLRBRep_Algo()
    work.Add(copy)
    work.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*towards), gp_Dir(*right))))
    work.Update()
    work.Hide()
    return HLRBRep_HLRToShape(work)


def _curves(compound: Any) -> Iterator[Curve]:
    """Return the edges of a projected shape as plane curves."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    if compound is None or compound.IsNull():
        return
    BRepLib.BuildCurves3d_s(compound)
    walk = TopExp_Explorer(compound, TopAbs_EDGE)
    while walk.More():
        found = _curve(BRepAdaptor_Curve(TopoDS.Edge_s(walk.Current())))
        if found is not None:
            yield found
        walk.Next()


def _curve(adaptor: Any) -> Curve | None:
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line

    first, last, kind = adaptor.FirstParameter(), adaptor.LastParameter(), adaptor.GetType()
    if kind == GeomAbs_Line:
        return _straight([_flat(adaptor.Value(first)), _flat(adaptor.Value(last))])
    if kind == GeomAbs_Circle:
        found = adaptor.Circle()
        return _conic(found.Position(), found.Radius(), 1.0, first, last)
    if kind == GeomAbs_Ellipse:
        found = adaptor.Ellipse()
        return _conic(
            found.Position(), found.MajorRadius(), found.MinorRadius() / found.MajorRadius(), first, last
        )
    points = [_flat(adaptor.Value(first + (last - first) * i / _PIECES)) for i in range(_PIECES + 1)]
    return _straight(points) if _is_straight(points) else Polyline(tuple(points))


def _flat(point: Any) -> Point:
    return (point.X(), point.Y())


def _straight(points: list[Point]) -> Straight | None:
    """Return a straight line; a circle seen edge-on runs to and fro, so its ends are the farthest points."""
    first, second = points[0], points[-1]
    ux, uy = max(((x - first[0], y - first[1]) for x, y in points), key=lambda d: math.hypot(*d))
    along = [(x * ux + y * uy, (x, y)) for x, y in points]
    first, second = min(along)[1], max(along)[1]
    return Straight(first, second) if math.dist(first, second) > MEETING else None


def _is_straight(points: list[Point]) -> bool:
    x0, y0 = points[0]
    ux, uy = max(((x - x0, y - y0) for x, y in points), key=lambda d: math.hypot(*d))
    long = math.hypot(ux, uy)
    return long <= MEETING or all(abs(ux * (y - y0) - uy * (x - x0)) <= MEETING * long for x, y in points)


def _conic(position: Any, radius: float, ratio: float, first: float, last: float) -> Conic:
    """Return a circle or ellipse, anticlockwise; the kernel's may run clockwise about a downward axis."""
    centre, x = position.Location(), position.XDirection()
    major = (radius * x.X(), radius * x.Y())
    if position.Direction().Z() < 0.0:
        first, last = -last, -first
    if ratio == 1.0:
        turn = math.atan2(major[1], major[0])
        major, first, last = (radius, 0.0), first + turn, last + turn
    start = first % math.tau
    return Conic((centre.X(), centre.Y()), major, ratio, start, start + min(last - first, math.tau))
