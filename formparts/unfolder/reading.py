"""Convert one solid of the kernel to plain data; refuse anything but a single closed solid."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from formparts.errors import InputError
from formparts.kernel import close_volume, found_in, guard, mapped
from formparts.tolerances import LENGTH
from formparts.unfolder.solid_data import FINE, Edge, Face, SolidData
from formparts.unfolder.surfaces import curve_of, fineness, surface_of, xyz


def part_of(solid: Any, name: str | None = None, faces: Mapping[str, Any] | None = None) -> SolidData:
    """
    Read one solid.

    Parameters
    ----------
    solid : TopoDS_Shape, CadQuery object, or anything with a `shape` and `faces` by name
        What to read [mm].
    name : str, optional
        Name of the part, for messages.
    faces : dict of str to TopoDS_Face, optional
        Names of faces.

    Returns
    -------
    SolidData

    Raises
    ------
    InputError
        There is no solid, more than one, or the one is not closed.
    """
    where = name or getattr(solid, "name", None) or "solid"
    named = faces if faces is not None else getattr(solid, "faces", None)
    with guard(f"reading {where}"):
        shape = _single_solid(where, _shape(where, solid))
        return _read(where, shape, named if isinstance(named, Mapping) else {})


def only_solid(solid: Any) -> Any:
    """Return the one solid of the kernel in an object, without loose faces and wires beside it."""
    where = getattr(solid, "name", None) or "solid"
    return _single_solid(where, _shape(where, solid))


def has_free_form(shape: Any) -> bool:
    """True when a face is not a plane, cylinder or cone for the kernel, or an edge is not a line or circle."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
    from OCP.GeomAbs import (
        GeomAbs_Circle,
        GeomAbs_Cone,
        GeomAbs_Cylinder,
        GeomAbs_Line,
        GeomAbs_Plane,
    )
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopoDS import TopoDS

    surfaces, curves = (GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone), (GeomAbs_Line, GeomAbs_Circle)
    faces = (BRepAdaptor_Surface(TopoDS.Face_s(face), False) for face in found_in(shape, TopAbs_FACE))
    edges = (BRepAdaptor_Curve(TopoDS.Edge_s(edge)) for edge in found_in(shape, TopAbs_EDGE))
    return any(face.GetType() not in surfaces for face in faces) or any(
        edge.GetType() not in curves for edge in edges
    )


def _shape(where: str, solid: Any) -> Any:
    """Return the kernel's shape within an object."""
    from OCP.TopoDS import TopoDS_Shape

    if hasattr(solid, "val") and callable(solid.val):
        solid = solid.val()
    for attribute in ("shape", "wrapped"):
        if not isinstance(solid, TopoDS_Shape):
            solid = getattr(solid, attribute, solid)
    if isinstance(solid, TopoDS_Shape) and not solid.IsNull():
        return solid
    raise InputError(
        where,
        "solid",
        type(solid).__name__,
        "holds no shape",
        "give a TopoDS_Shape, a CadQuery object or a formparts solid",
    )


def _single_solid(where: str, shape: Any) -> Any:
    """Return the one solid in a shape."""
    from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID

    solids = found_in(shape, TopAbs_SOLID)
    if len(solids) > 1:
        raise InputError(
            where,
            "solids",
            len(solids),
            "a blank is cut for one part at a time",
            "give the solids one by one, or fuse them if they are one part",
        )
    if not solids:
        faces = len(found_in(shape, TopAbs_FACE))
        problem = f"{faces} faces, but no closed solid" if faces else "there is nothing in it"
        raise InputError(where, "solids", 0, problem, "save the part as a solid, not as surfaces")
    shells = found_in(solids[0], TopAbs_SHELL)
    if len(shells) != 1:
        raise InputError(
            where,
            "shells",
            len(shells),
            "a sheet has one closed skin and no hollow inside",
            "fill the hollow, or save the part anew",
        )
    return solids[0]


def _read(where: str, shape: Any, named: Mapping[str, Any]) -> SolidData:
    """Read all vertices, edges and faces of one solid."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_VERTEX
    from OCP.TopoDS import TopoDS

    vertices, edges, faces = (mapped(shape, kind) for kind in (TopAbs_VERTEX, TopAbs_EDGE, TopAbs_FACE))
    points = [
        xyz(BRep_Tool.Pnt_s(TopoDS.Vertex_s(vertices.FindKey(number))))
        for number in range(1, vertices.Extent() + 1)
    ]
    read = [_edge(edges.FindKey(number), vertices) for number in range(1, edges.Extent() + 1)]
    names = _names(faces, named)
    turned = _is_inside_out(shape)
    found = [
        _face(faces.FindKey(number + 1), edges, names[number], turned) for number in range(faces.Extent())
    ]
    for number, face in enumerate(found):
        for edge, _ in face.coedges:
            read[edge].faces.append(number)
    _require_closed(where, read, points)
    return SolidData(where, points, read, found, cache(lambda: close_volume(shape)))


def _edge(shape: Any, vertices: Any) -> Edge:
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_FORWARD
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS

    edge = TopoDS.Edge_s(shape.Oriented(TopAbs_FORWARD))
    start = vertices.FindIndex(TopExp.FirstVertex_s(edge, True)) - 1
    end = vertices.FindIndex(TopExp.LastVertex_s(edge, True)) - 1
    if BRep_Tool.Degenerated_s(edge):
        place = xyz(BRep_Tool.Pnt_s(TopExp.FirstVertex_s(edge, True)))
        return Edge(start, end, "line", 0.0, 1.0, None, lambda _: place, [])
    kind, first, last, circle, value = curve_of(edge)
    return Edge(start, end, kind, first, last, circle, value, [], fineness(edge) if kind == "other" else FINE)


def _names(faces: Any, named: Mapping[str, Any]) -> list[str]:
    """Return the name of every face by its number, where there is one."""
    names = [""] * faces.Extent()
    for name, face in named.items():
        number = faces.FindIndex(getattr(face, "wrapped", face))
        if number > 0:
            names[number - 1] = name
    return names


def _face(shape: Any, edges: Any, name: str, turned: bool) -> Face:
    """Read one face; `turned` when the whole solid is inside out."""
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FORWARD, TopAbs_REVERSED
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    face = TopoDS.Face_s(shape)
    surface = surface_of(face, (face.Orientation() == TopAbs_FORWARD) != turned)
    coedges = []
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = explorer.Current()
        orientation = edge.Orientation()
        if orientation in (TopAbs_FORWARD, TopAbs_REVERSED):
            coedges.append((edges.FindIndex(edge) - 1, (orientation == TopAbs_FORWARD) != turned))
        explorer.Next()
    return Face(name, surface, tuple(coedges))


def _is_inside_out(shape: Any) -> bool:
    """True when the faces of a solid point into it: a point far away then counts as inside."""
    from OCP.BRepClass3d import BRepClass3d_SolidClassifier
    from OCP.TopAbs import TopAbs_IN

    classifier = BRepClass3d_SolidClassifier(shape)
    classifier.PerformInfinitePoint(LENGTH)
    return bool(classifier.State() == TopAbs_IN)


def _require_closed(where: str, edges: list[Edge], points: list[tuple[float, float, float]]) -> None:
    """Refuse a shell with a gap: an edge without two faces."""
    from formparts.unfolder.space import shown

    for edge in edges:
        if len(edge.faces) != 2 and (edge.start != edge.end or edge.kind != "line"):
            what = "open" if len(edge.faces) < 2 else "not one sheet: more than two faces meet"
            raise InputError(
                where,
                "shell",
                what,
                f"the edge at {shown(edge.value((edge.first + edge.last) / 2.0))} has "
                f"{len(edge.faces)} face{'' if len(edge.faces) == 1 else 's'} instead of 2",
                "save the part as one closed solid, and move apart what only touches, as a hole and a free edge",
            )
    if not points or not edges:
        raise InputError(where, "shell", "empty", "it has no edges", "save the part as one closed solid")
