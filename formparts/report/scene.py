"""From a solid of the kernel to triangles and lines, on a copy: the solid itself stays without a mesh."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from formparts.errors import KernelError
from formparts.kernel import guard
from formparts.report.arrays import Mesh, Polyline

if TYPE_CHECKING:
    from formparts.report.arrays import Floats, Integers
    from formparts.solid import Solid

_ANGLE_RAD = math.radians(4.0)
"""Greatest turn from one facet to the next."""
_CHORD_PART = 1.0 / 4000.0
"""Greatest distance of a facet from the true surface, in lengths of the part: a quarter of a point."""
_SAME_NORMAL = 1e-4
"""Unit normals that differ by less belong to two faces that run into each other without a corner."""


@dataclass(frozen=True, eq=False)
class _Facets:
    """One face in triangles: corners [mm], outward normals there, triangles anticlockwise from outside."""

    nodes: Floats
    normals: Floats
    triangles: Integers
    triangulation: Any
    location: Any


def scene(solid: Solid) -> tuple[Mesh, list[Polyline]]:
    """Follow a solid with triangles, each face a group of its own, and its edges with polylines."""
    with guard(f"picture of {solid.name}"):
        shape = _meshed_copy(solid.shape)
        faces = _indexed(shape)
        facets = [_facets(faces.FindKey(number)) for number in range(1, faces.Extent() + 1)]
        return _joined(facets), list(_edges(shape, faces, facets))


def _meshed_copy(shape: Any) -> Any:
    """A copy of a shape, with triangles on it: the kernel keeps them with the shape they were made of."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    copy = BRepBuilderAPI_Copy(shape, True, False).Shape()
    box = Bnd_Box()
    BRepBndLib.Add_s(copy, box)
    chord = math.sqrt(box.SquareExtent()) * _CHORD_PART
    BRepMesh_IncrementalMesh(copy, chord, False, _ANGLE_RAD, False)
    return copy


def _indexed(shape: Any) -> Any:
    """The faces of a shape, each once, by number."""
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, faces)
    return faces


def _facets(shape: Any) -> _Facets:
    """Read the triangles of a face, turned so that they look outwards."""
    import numpy as np
    from OCP.BRep import BRep_Tool
    from OCP.BRepLib import BRepLib_ToolTriangulatedShape
    from OCP.TopAbs import TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    face, location = TopoDS.Face_s(shape), TopLoc_Location()
    mesh = BRep_Tool.Triangulation_s(face, location)
    if mesh is None:
        raise KernelError("picture", "a face was left without triangles")
    BRepLib_ToolTriangulatedShape.ComputeNormals_s(face, mesh)
    move, count = location.Transformation(), range(1, mesh.NbNodes() + 1)
    nodes = np.array([_xyz(mesh.Node(i).Transformed(move)) for i in count])
    normals = np.array([_xyz(mesh.Normal(i).Transformed(move)) for i in count])
    triangles = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)]) - 1
    # The kernel gives a face the triangles of its surface, whichever side of that the material is on.
    if face.Orientation() == TopAbs_REVERSED:
        triangles = triangles[:, ::-1]
    return _Facets(nodes, _outward(nodes, normals, triangles), triangles, mesh, location)


def _outward(nodes: Floats, normals: Floats, triangles: Integers) -> Floats:
    """Nodal normals on the side from which the triangles run anticlockwise."""
    import numpy as np

    a, b, c = (nodes[triangles[:, i]] for i in range(3))
    agreement = float((np.cross(b - a, c - a) * normals[triangles[:, 0]]).sum())
    return normals if agreement > 0.0 else -normals


def _xyz(place: Any) -> tuple[float, float, float]:
    return (place.X(), place.Y(), place.Z())


def _joined(facets: list[_Facets]) -> Mesh:
    """One mesh of all faces; each keeps corners of its own."""
    import numpy as np

    counts = [len(face.nodes) for face in facets]
    starts = np.cumsum([0, *counts[:-1]])
    sizes = [len(face.triangles) for face in facets]
    return Mesh(
        np.concatenate([face.nodes for face in facets]),
        np.concatenate([face.triangles + start for face, start in zip(facets, starts, strict=True)]),
        np.repeat(np.arange(len(facets)), sizes),
        np.concatenate([face.normals[face.triangles] for face in facets]),
    )


def _edges(shape: Any, faces: Any, facets: list[_Facets]) -> Iterator[Polyline]:
    """Every edge of a shape as the polyline that its faces' triangles follow."""
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

    owners = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, owners)
    for number in range(1, owners.Extent() + 1):
        edge = TopoDS.Edge_s(owners.FindKey(number))
        on = [facets[faces.FindIndex(face) - 1] for face in owners.FindFromIndex(number)]
        rows = [_rows_along(edge, face) for face in on]
        # A seam and the tip of a cone are edges of the kernel, not of the part.
        if len(on) == 2 and on[0] is not on[1] and len(rows[0]) > 1:
            yield Polyline(on[0].nodes[rows[0]], _runs_on(on, rows))


def _rows_along(edge: Any, face: _Facets) -> list[int]:
    """The rows of a face's nodes that lie along an edge, in the direction of the edge's curve."""
    from OCP.BRep import BRep_Tool

    polygon = BRep_Tool.PolygonOnTriangulation_s(edge, face.triangulation, face.location)
    return [] if polygon is None else [polygon.Node(i) - 1 for i in range(1, polygon.NbNodes() + 1)]


def _runs_on(on: list[_Facets], rows: list[list[int]]) -> bool:
    """True when the two faces have the same normal all along their edge."""
    import numpy as np

    first, second = (face.normals[along] for face, along in zip(on, rows, strict=True))
    return first.shape == second.shape and bool(np.abs(first - second).max() < _SAME_NORMAL)
