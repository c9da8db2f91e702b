"""
Body to solid: one closed shell, built by construction from shared vertices and edges.

No boolean, no fillet and no clean-up takes part. Planes are planes, bends are cylinders, and each face has its
name from the recipe's tree from the moment it is made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from formparts.body import Bend, Body, Frame, RimEdge, frames, front_first, rims
from formparts.errors import KernelError
from formparts.kernel import guard
from formparts.outline.edges import Arc, Point

if TYPE_CHECKING:
    from cadquery import Solid as CadquerySolid

Use = tuple[Any, bool]
"""An edge of the kernel, and whether a face runs along it forwards, seen from outside the material."""


@dataclass(frozen=True)
class Solid:
    """
    A body as one solid of the kernel, with the name of every face.

    Parameters
    ----------
    name : str
        Name of the part.
    shape : TopoDS_Solid
        The kernel's solid [mm].
    faces : dict of str to TopoDS_Face
        Every face, by its name.
    """

    name: str
    shape: Any
    faces: dict[str, Any]

    def to_cadquery(self) -> CadquerySolid:
        """Give the same solid as a CadQuery object."""
        from cadquery import Solid as CadquerySolid

        return CadquerySolid(self.shape)


def solid(body: Body) -> Solid:
    """
    Build the solid of a body.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    Solid
        One closed shell, volume positive; every face named.

    Raises
    ------
    InputError
        A bend does not lie on the edge of its flat.
    KernelError
        The kernel refused, or the shell is not closed.
    """
    edges_of = rims(body)
    with guard(f"solid of {body.name}", body):
        shell = Shell()
        corners = _flats(shell, body, edges_of)
        for bend in body.bends:
            _bend(shell, bend, corners, body)
        return Solid(body.name, shell.closed(), _numbered(shell.faces))


def _numbered(faces: dict[str, Any]) -> dict[str, Any]:
    """The first of several faces of one edge has its number too: the bare name means all of them."""
    return {f"{name}.1" if f"{name}.2" in faces else name: face for name, face in faces.items()}


@dataclass(frozen=True, slots=True)
class _Corner:
    """One corner of a flat's rim: its vertices below and above, and the upright edge between them."""

    below: Any
    above: Any
    upright: Any


@dataclass(frozen=True, slots=True)
class _Joint:
    """One end of a bend on the rim of a flat: the two skin edges along its line, and its two corners."""

    lower: Any
    upper: Any
    first: _Corner
    last: _Corner
    line: Frame


@cache
def _kernel() -> SimpleNamespace:
    """The kernel's names that a shell is made with, looked up once: there are thousands of calls to a part."""
    from OCP import BRep, Geom, Geom2d, TopAbs, TopLoc, TopoDS, gp

    names: dict[str, Any] = {}
    for module in (BRep, Geom, Geom2d, TopAbs, TopLoc, TopoDS, gp):
        names.update(vars(module))
    return SimpleNamespace(**names)


class Shell:
    """Makes vertices, edges and faces for one shell, and keeps the faces by name."""

    def __init__(self) -> None:
        self.k = _kernel()
        self.make = self.k.BRep_Builder()
        self.faces: dict[str, Any] = {}
        self.forward, self.reversed = self.k.TopAbs_FORWARD, self.k.TopAbs_REVERSED
        self.shell = self.k.TopoDS_Shell()
        self.make.MakeShell(self.shell)

    def vertex(self, place: tuple[float, float, float]) -> Any:
        vertex = self.k.TopoDS_Vertex()
        self.make.MakeVertex(vertex, self.k.gp_Pnt(*place), _PRECISION)
        return vertex

    def edge(self, curve: Any, length: float, first: Any, last: Any) -> Any:
        """An edge along a curve from parameter 0 to its length."""
        edge = self.k.TopoDS_Edge()
        self.make.MakeEdge(edge, curve, _PRECISION)
        self.make.Add(edge, first.Oriented(self.forward))
        self.make.Add(edge, last.Oriented(self.reversed))
        self.make.Range(edge, 0.0, length)
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
        for (edge, _), pcurve in zip(uses, pcurves, strict=True):
            self.make.UpdateEdge(edge, pcurve, surface, self.k.TopLoc_Location(), _PRECISION)
        self._face(name, surface, [uses], outward)

    def _face(self, name: str, surface: Any, loops: Sequence[Sequence[Use]], outward: bool) -> None:
        """A face on a surface; `outward` tells whether the surface's normal points out of the material."""

        face = self.k.TopoDS_Face()
        self.make.MakeFace(face, surface, _PRECISION)
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
        """The name itself, or with a running number when an edge of that name was cut in two."""
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


_PRECISION = 1e-7
"""What the kernel takes for one point [mm]."""


def axes_of(origin: tuple[float, float, float], main: Any, x: Any) -> Any:
    k = _kernel()
    return k.gp_Ax2(k.gp_Pnt(*origin), k.gp_Dir(*main), k.gp_Dir(*x))


def straight_on(u: float, v: float, du: float, dv: float) -> Any:
    """A straight curve on a surface, from (u, v) onwards."""
    k = _kernel()
    return k.Geom2d_Line(k.gp_Pnt2d(u, v), k.gp_Dir2d(du, dv))


def _flats(shell: Shell, body: Body, edges_of: dict[str, Any]) -> dict[tuple[str, str], _Joint]:
    """Make the faces of all flats; give the joints that bends will be hung on, by bend and flat."""
    joints: dict[tuple[str, str], _Joint] = {}
    thickness = body.sheet.thickness
    placed = frames(body)
    for flat in body.flats:
        frame = placed[flat.name]
        skins: list[tuple[list[Use], list[Use]]] = []
        for rim in edges_of[flat.name]:
            skins.append(_rim(shell, flat.name, rim, frame, thickness, joints))
        half = thickness / 2.0
        above = Frame(frame.point((0.0, 0.0), half), frame.x, frame.y, frame.z)
        back = frame.direction(0.0, 0.0, -1.0)
        below = Frame(frame.point((0.0, 0.0), -half), frame.x, frame.direction(0.0, -1.0), back)
        shell.plane(f"{flat.name}.upper", above, [upper for _, upper in skins])
        shell.plane(f"{flat.name}.lower", below, [lower for lower, _ in skins])
    return joints


def _rim(
    shell: Shell,
    flat: str,
    rim: tuple[RimEdge, ...],
    frame: Frame,
    thickness: float,
    joints: dict[tuple[str, str], _Joint],
) -> tuple[list[Use], list[Use]]:
    """Make the edges round one loop and its side faces; give the loop on the lower and on the upper skin."""
    corners = [_corner(shell, frame, item.edge.start, thickness) for item in rim]
    lower: list[Use] = []
    upper: list[Use] = []
    for number, item in enumerate(rim):
        first, last = corners[number], corners[(number + 1) % len(rim)]
        name = item.edge.tag or f"{flat}.edge[{number + 1}]"
        side = _curved_side if isinstance(item.edge, Arc) else _straight_side
        below, above = side(shell, name, item, frame, thickness, first, last)
        lower.insert(0, (below, False))
        upper.append((above, True))
        if item.bend is not None:
            along = _frame_of_line(frame, item.edge.start, item.edge.end)
            joints[item.bend.name, flat] = _Joint(below, above, first, last, along)
    return lower, upper


def _corner(shell: Shell, frame: Frame, point: Point, thickness: float) -> _Corner:
    low, high = frame.point(point, -thickness / 2.0), frame.point(point, thickness / 2.0)
    below, above = shell.vertex(low), shell.vertex(high)
    return _Corner(below, above, shell.line(below, above, low, high))


def _frame_of_line(frame: Frame, start: Point, end: Point) -> Frame:
    """Frame with its origin at the start, x along the line, -y away from the flat, z up."""
    length = math.dist(start, end)
    cos, sin = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return Frame(frame.point(start), frame.direction(cos, sin), frame.direction(-sin, cos), frame.z)


def _round_the_side(below: Any, above: Any, first: _Corner, last: _Corner) -> list[Use]:
    """The four edges of a side face, anticlockwise from outside."""
    return [(below, True), (last.upright, True), (above, False), (first.upright, False)]


def _straight_side(
    shell: Shell, name: str, item: RimEdge, frame: Frame, thickness: float, first: _Corner, last: _Corner
) -> tuple[Any, Any]:
    """The two skin edges along a straight rim edge, and its side face unless a bend starts there."""
    half = thickness / 2.0
    start, end = item.edge.start, item.edge.end
    below = shell.line(first.below, last.below, frame.point(start, -half), frame.point(end, -half))
    above = shell.line(first.above, last.above, frame.point(start, half), frame.point(end, half))
    if item.bend is None:
        along = _frame_of_line(frame, start, end)
        outward = along.direction(0.0, -1.0)
        face = Frame(along.origin, along.x, along.z, outward)
        shell.plane(name, face, [_round_the_side(below, above, first, last)])
    return below, above


def _curved_side(
    shell: Shell, name: str, item: RimEdge, frame: Frame, thickness: float, first: _Corner, last: _Corner
) -> tuple[Any, Any]:
    """The two skin arcs along a rim arc, and the cylinder between them."""
    arc = item.edge
    assert isinstance(arc, Arc)
    half, sweep = thickness / 2.0, arc.sweep_rad
    turn = 1.0 if arc.ccw else -1.0
    main = frame.direction(0.0, 0.0, turn)
    outwards = ((arc.start[0] - arc.centre[0]) / arc.radius, (arc.start[1] - arc.centre[1]) / arc.radius)
    x = frame.direction(*outwards)
    low = axes_of(frame.point(arc.centre, -half), main, x)
    below = shell.arc(low, arc.radius, sweep, first.below, last.below)
    above = shell.arc(
        axes_of(frame.point(arc.centre, half), main, x), arc.radius, sweep, first.above, last.above
    )
    uses = _round_the_side(below, above, first, last)
    pcurves = [
        straight_on(0.0, 0.0, 1.0, 0.0),
        straight_on(sweep, 0.0, 0.0, turn),
        straight_on(0.0, turn * thickness, 1.0, 0.0),
        straight_on(0.0, 0.0, 0.0, turn),
    ]
    shell.cylinder(name, low, arc.radius, uses, pcurves, outward=arc.ccw)
    return below, above


def _bend(shell: Shell, bend: Bend, joints: dict[tuple[str, str], _Joint], body: Body) -> None:
    """The four faces of a bend: two skins on cylinders, and a plane at either end."""
    near, far = joints[bend.name, bend.parent], joints[bend.name, bend.child]
    width, sweep, thickness = bend.width, math.radians(bend.angle), body.sheet.thickness
    up = bend.side == "up"
    sense = -1.0 if up else 1.0  # the axis of the turn runs against the line when the bend goes up
    middle = bend.inside_radius + thickness / 2.0
    line = near.line
    centre = line.point((0.0, 0.0), -sense * middle)
    axis, out = line.direction(sense, 0.0), line.direction(0.0, 0.0, sense)
    axes = (axes_of(centre, axis, out), axes_of(line.point((width, 0.0), -sense * middle), axis, out))
    # On the rim of the child the line runs the other way: its last corner is opposite our first.
    ends = ((near.first, far.last), (near.last, far.first))
    skins = {}
    for skin in ("lower", "upper"):
        hollow = (skin == "upper") == up
        radius = bend.inside_radius + (0.0 if hollow else thickness)
        arcs = [shell.arc(axes[i], radius, sweep, *(_of(corner, skin) for corner in ends[i])) for i in (0, 1)]
        skins[skin] = arcs
        uses = [(getattr(near, skin), False), (arcs[0], True), (getattr(far, skin), False), (arcs[1], False)]
        pcurves = [
            straight_on(0.0, 0.0, 0.0, sense),
            straight_on(0.0, 0.0, 1.0, 0.0),
            straight_on(sweep, sense * width, 0.0, -sense),
            straight_on(0.0, sense * width, 1.0, 0.0),
        ]
        if skin == "lower":
            uses = [(edge, not along) for edge, along in reversed(uses)]
            pcurves.reverse()
        name = f"{bend.name}.{'inside' if hollow else 'outside'}"
        shell.cylinder(name, axes[0], radius, uses, pcurves, outward=not hollow)
    names = ("start", "end") if front_first(body.frame, line.x) else ("end", "start")
    _bend_ends(shell, [f"{bend.name}.{name}" for name in names], line, width, ends, skins)


def _of(corner: _Corner, skin: str) -> Any:
    return corner.below if skin == "lower" else corner.above


def _bend_ends(
    shell: Shell,
    names: Sequence[str],
    line: Frame,
    width: float,
    ends: Sequence[Sequence[_Corner]],
    skins: dict[str, list[Any]],
) -> None:
    """The plane face at either end of a bend."""
    back = line.direction(-1.0, 0.0)
    away = line.direction(0.0, -1.0)
    (near, far), (near_last, far_last) = ends
    start = [
        (skins["lower"][0], True),
        (far.upright, True),
        (skins["upper"][0], False),
        (near.upright, False),
    ]
    shell.plane(names[0], Frame(line.origin, away, line.z, back), [start])
    end = [
        (skins["lower"][1], False),
        (near_last.upright, True),
        (skins["upper"][1], True),
        (far_last.upright, False),
    ]
    towards = line.direction(0.0, 1.0)
    shell.plane(names[1], Frame(line.point((width, 0.0)), towards, line.z, line.x), [end])
