"""The solid as a watertight mesh of triangles that share the vertices and edges of the solid's own faces."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from formparts.errors import FileProofError, KernelError
from formparts.export.files import delivered
from formparts.kernel import guard
from formparts.quantities import Limits, length
from formparts.solid import Solid
from formparts.tolerances import FINEST_CHORD, LONGEST, MESH_CHORD

if TYPE_CHECKING:
    from trimesh import Trimesh

Place = tuple[float, float, float]

_COARSEST_RAD: Final = 0.5
"""Greatest angle that one chord spans [rad]: it keeps very small arcs round; above a radius of 32 times the
chord tolerance that tolerance alone rules."""


def mesh(solid: Solid, chord: float = MESH_CHORD) -> Trimesh:
    """
    Mesh a solid; the solid itself stays as it was.

    Parameters
    ----------
    solid : Solid
        What is meshed.
    chord : float [mm]
        Greatest distance between the mesh and the true surface.

    Returns
    -------
    Trimesh
        Watertight; `face_attributes["face"]` gives the place of each triangle's face in `metadata["faces"]`.

    Raises
    ------
    InputError
        The chord tolerance is no length, or finer than tolerances.FINEST_CHORD.
    KernelError
        The kernel left a face without triangles, or the mesh is not closed.
    """
    import numpy as np
    from trimesh import Trimesh

    chord = checked_chord(chord, "mesh")
    with guard(f"mesh of {solid.name}"):
        points, triangles, owners = _gathered(solid, chord)
    made = Trimesh(
        points,
        triangles,
        process=False,
        face_attributes={"face": np.array(owners)},
        metadata={"name": solid.name, "faces": list(solid.faces)},
    )
    if not made.is_watertight or not made.is_winding_consistent or made.volume <= 0.0:
        raise KernelError(f"mesh of {solid.name}", f"at a chord of {chord:.6g} mm it is not closed")
    return made


def checked_chord(chord: object, where: str, parameter: str = "chord") -> float:
    """A chord tolerance that can be worked with [mm]."""
    return length(chord, parameter, where, Limits(minimum=FINEST_CHORD, maximum=LONGEST))


def write_stl(solid: Solid, path: str | os.PathLike[str], chord: float = MESH_CHORD) -> Path:
    """
    Write the mesh of a solid as binary STL; the format knows no unit, its figures are mm.

    Parameters
    ----------
    solid : Solid
        What is meshed.
    path : path
        Where the file is to stand.
    chord : float [mm]
        Greatest distance between the mesh and the true surface.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The chord tolerance is no length or too fine, or the file cannot be written there.
    KernelError
        The kernel left a face without triangles, or the mesh is not closed.
    FileProofError
        The file does not read back as the mesh.
    """
    made = mesh(solid, chord)
    content = bytes(made.export(file_type="stl"))
    return delivered(path, content, lambda draft: prove_triangles(draft, "stl", [made.triangles]))[0]


def prove_triangles(path: Path, kind: str, wanted: Sequence[Any]) -> None:
    """
    Refuse a file in which trimesh finds another number of triangles, or other bounds.

    `wanted` are arrays of corners, shape (N, 3, 3), in the unit and along the axes of the file. The formats keep places
    as single floats.
    """
    import numpy as np
    import trimesh

    read = trimesh.load(path, file_type=kind, force="mesh", process=False)
    corners = np.concatenate([each.reshape(-1, 3) for each in wanted])
    bounds = np.array([corners.min(axis=0), corners.max(axis=0)])
    if 3 * len(read.faces) != len(corners):
        raise FileProofError(str(path), f"it has {len(read.faces)} triangles, and not {len(corners) // 3}")
    if not np.allclose(
        read.bounds, bounds, rtol=0.0, atol=4.0 * np.finfo(np.float32).eps * np.abs(bounds).max()
    ):
        raise FileProofError(str(path), f"it reaches from {read.bounds[0]} to {read.bounds[1]}")


class _Numbers:
    """Gives every vertex, and every point of an edge, one number for all faces that share it."""

    def __init__(self) -> None:
        from OCP.TopTools import TopTools_IndexedMapOfShape

        self.shapes = TopTools_IndexedMapOfShape()
        self.known: dict[tuple[int, int], int] = {}
        self.points: list[Place] = []

    def new(self, place: Place) -> int:
        self.points.append(place)
        return len(self.points) - 1

    def shared(self, shape: Any, step: int, place: Place) -> int:
        """Number of the point at a step of an edge, or of a vertex (step 0)."""
        key = (self.shapes.Add(shape), step)
        if key not in self.known:
            self.known[key] = self.new(place)
        return self.known[key]


def _gathered(solid: Solid, chord: float) -> tuple[list[Place], list[tuple[int, int, int]], list[int]]:
    """Points, triangles, and the number of the face that each triangle belongs to."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    # A mesh stays with its shape and changes its bounding box; so a copy is meshed.
    copy = BRepBuilderAPI_Copy(solid.shape, True, False)
    BRepMesh_IncrementalMesh(copy.Shape(), chord, False, _COARSEST_RAD, False)
    numbers = _Numbers()
    triangles: list[tuple[int, int, int]] = []
    owners: list[int] = []
    for owner, (name, face) in enumerate(solid.faces.items()):
        # The copy of a face comes back forward, whichever way the face lies in its solid.
        copied = copy.ModifiedShape(face).Oriented(face.Orientation())
        own = list(_triangles(copied, numbers, name))
        triangles += own
        owners += [owner] * len(own)
    return numbers.points, triangles, owners


def _triangles(shape: Any, numbers: _Numbers, name: str) -> Iterator[tuple[int, int, int]]:
    """Triangles of one face, seen anticlockwise from outside."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    face, location = TopoDS.Face_s(shape), TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face, location)
    if found is None:
        raise KernelError(f"mesh of {name}", "the face got no triangles")
    nodes = _nodes(face, found, location, numbers)
    for number in range(1, found.NbTriangles() + 1):
        a, b, c = (nodes[node] for node in found.Triangle(number).Get())
        yield (a, c, b) if face.Orientation() == TopAbs_REVERSED else (a, b, c)


def _nodes(face: Any, found: Any, location: Any, numbers: _Numbers) -> dict[int, int]:
    """Number of each node of a face's triangulation: shared along its edges, its own elsewhere."""
    motion = location.Transformation()
    places: dict[int, Place] = {}
    for node in range(1, found.NbNodes() + 1):
        point = found.Node(node).Transformed(motion)
        places[node] = (point.X(), point.Y(), point.Z())
    nodes: dict[int, int] = {}
    for edge in _edges(face):
        nodes |= _edge_nodes(edge, found, location, numbers, places)
    for node, place in places.items():
        if node not in nodes:
            nodes[node] = numbers.new(place)
    return nodes


def _edges(face: Any) -> Iterator[Any]:
    """Edges of a face, each in its own direction."""
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FORWARD
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        yield TopoDS.Edge_s(explorer.Current().Oriented(TopAbs_FORWARD))
        explorer.Next()


def _edge_nodes(
    edge: Any, found: Any, location: Any, numbers: _Numbers, places: dict[int, Place]
) -> Iterator[tuple[int, int]]:
    """The nodes of a face along one edge, which every face at that edge shares."""
    from OCP.BRep import BRep_Tool
    from OCP.TopExp import TopExp

    line = BRep_Tool.PolygonOnTriangulation_s(edge, found, location)
    last = line.NbNodes()
    for step in range(1, last + 1):
        node = line.Node(step)
        if step == 1:
            yield node, numbers.shared(TopExp.FirstVertex_s(edge), 0, places[node])
        elif step == last:
            yield node, numbers.shared(TopExp.LastVertex_s(edge), 0, places[node])
        else:
            yield node, numbers.shared(edge, step, places[node])
