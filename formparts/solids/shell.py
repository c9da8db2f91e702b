"""One closed shell of the kernel, from shared vertices and edges; every face has its name from when it is made."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from types import SimpleNamespace
from typing import Any

from formparts.body import Frame
from formparts.errors import KernelError
from formparts.tolerances import KERNEL_POINT

Use = tuple[Any, bool]
"""An edge of the kernel, and whether a face runs along it forwards, seen from outside the material."""


@cache
def kernel_names() -> SimpleNamespace:
    """Return the kernel's names for making a shell, looked up once, as they are used thousands of times for a part."""
    from OCP import BRep, Geom, Geom2d, TColgp, TColStd, TopAbs, TopLoc, TopoDS, gp

    names: dict[str, Any] = {}
    for module in (BRep, Geom, Geom2d, TColgp, TColStd, TopAbs, TopLoc, TopoDS, gp):
        names.update(vars(module))
    return SimpleNamespace(**names)


class Shell:
    """Makes vertices, edges and faces for one shell, and keeps the faces by name."""

    def __init__(self) -> None:
        self.k = kernel_names()
        self.make = self.k.BRep_Builder()
        self.faces: dict[str, Any] = {}
        self.forward, self.reversed = self.k.TopAbs_FORWARD, self.k.TopAbs_REVERSED
        self.shell = self.k.TopoDS_Shell()
        self.make.MakeShell(self.shell)

    def vertex(self, place: tuple[float, float, float]) -> Any:
        vertex = self.k.TopoDS_Vertex()
        self.make.MakeVertex(vertex, self.k.gp_Pnt(*place), KERNEL_POINT)
        return vertex

    def edge(self, curve: Any, length: float, first: Any, last: Any, begin: float = 0.0) -> Any:
        """An edge along a curve between two parameters, from 0 to its length when no other start is given."""
        edge = self.k.TopoDS_Edge()
        self.make.MakeEdge(edge, curve, KERNEL_POINT)
        self.make.Add(edge, first.Oriented(self.forward))
        self.make.Add(edge, last.Oriented(self.reversed))
        self.make.Range(edge, begin, length)
        return edge

    def line(self, first: Any, last: Any, start: Any, end: Any) -> Any:
        """A straight edge between two vertices whose places are given."""

        away = [b - a for a, b in zip(start, end, strict=True)]
        length = sum(value * value for value in away) ** 0.5
        return self.edge(self.k.Geom_Line(self.k.gp_Pnt(*start), self.k.gp_Dir(*away)), length, first, last)

    def arc(self, axes: Any, radius: float, sweep_rad: float, first: Any, last: Any) -> Any:

        return self.edge(self.k.Geom_Circle(axes, radius), sweep_rad, first, last)

    def plane(self, name: str, frame: Frame, loops: Sequence[Sequence[Use]]) -> None:
        """A plane face whose outward normal is the frame's z; loops run with the material to their left."""

        self._face(
            name,
            self.k.Geom_Plane(self.k.gp_Ax3(axes_of(frame.origin, frame.z, frame.x))),
            loops,
            outward=True,
        )

    def cylinder(
        self, name: str, axes: Any, radius: float, uses: Sequence[Use], pcurves: Sequence[Any], outward: bool
    ) -> None:
        """A face on a cylinder, with the flat curve of each edge on it; `outward`: the axis is in the material."""
        surface = self.k.Geom_CylindricalSurface(self.k.gp_Ax3(axes), radius)
        self.curved(name, surface, [list(zip(uses, pcurves, strict=True))], outward)

    def curved(
        self, name: str, surface: Any, loops: Sequence[Sequence[tuple[Use, Any]]], outward: bool
    ) -> None:
        """A face on any surface: loops of edges, each with its flat curve on the surface."""
        for loop in loops:
            for (edge, _), pcurve in loop:
                self.make.UpdateEdge(edge, pcurve, surface, self.k.TopLoc_Location(), KERNEL_POINT)
        self._face(name, surface, [[use for use, _ in loop] for loop in loops], outward)

    def _face(self, name: str, surface: Any, loops: Sequence[Sequence[Use]], outward: bool) -> None:
        """A face on a surface; `outward` tells whether the surface's normal points out of the material."""

        face = self.k.TopoDS_Face()
        self.make.MakeFace(face, surface, KERNEL_POINT)
        for uses in loops:
            wire = self.k.TopoDS_Wire()
            self.make.MakeWire(wire)
            for edge, along in uses:
                self.make.Add(wire, edge.Oriented(self.forward if along == outward else self.reversed))
            wire.Closed(True)
            self.make.Add(face, wire)
        if not outward:
            face.Orientation(self.reversed)
        self.faces[self._unused(name)] = face
        self.make.Add(self.shell, face)

    def _unused(self, name: str) -> str:
        """Return the name itself, or a numbered one when an edge of that name was cut in two."""
        if name not in self.faces:
            return name
        number = 2
        while f"{name}.{number}" in self.faces:
            number += 1
        return f"{name}.{number}"

    def closed(self) -> Any:
        """The solid inside the shell; every edge must have been used by two faces."""
        if not self.k.BRep_Tool.IsClosed_s(self.shell):
            raise KernelError("solid", "the shell is not closed")
        self.shell.Closed(True)
        made = self.k.TopoDS_Solid()
        self.make.MakeSolid(made)
        self.make.Add(made, self.shell)
        return made


def axes_of(origin: tuple[float, float, float], main: Any, x: Any) -> Any:
    k = kernel_names()
    return k.gp_Ax2(k.gp_Pnt(*origin), k.gp_Dir(*main), k.gp_Dir(*x))


def straight_on(u: float, v: float, du: float, dv: float) -> Any:
    """A straight curve on a surface, from (u, v) onwards."""
    k = kernel_names()
    return k.Geom2d_Line(k.gp_Pnt2d(u, v), k.gp_Dir2d(du, dv))
