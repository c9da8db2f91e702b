"""A picture of a solid that cannot be unfolded, with the face that the error names marked."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from formparts.errors import InputError
from formparts.kernel import found_in, guard
from formparts.report.arrays import EdgeLines, Mesh, Vector
from formparts.report.raster import LARGEST_MESH
from formparts.tolerances import FOLLOWED

if TYPE_CHECKING:
    from formparts.report.arrays import Bytes, Floats
    from formparts.unfolder.solid_data import SolidData

MARKED: Final[Vector] = (0.86, 0.2, 0.16)
PLAIN: Final[Vector] = (0.8, 0.82, 0.85)
SIZE, TRIED = (1000, 750), (200, 150)
CHORDS: Final = 0.002
"""Chords of the picture's mesh, as a part of the size of the solid [-]."""
_PLACE: Final = re.compile(r"\((-?[\d.e+-]+), (-?[\d.e+-]+), (-?[\d.e+-]+)\) mm")
_VIEWS: Final = tuple((x, y, z) for z in (0.78, -0.78) for x in (0.62, -0.62) for y in (-1.0, 1.0))
"""From the part to the viewer: all eight corners, that of every picture first."""


def refused_picture(solid: Any, refusal: InputError) -> bytes | None:
    """
    Draw a solid with the face marked that a refusal names by its place.

    Parameters
    ----------
    solid : TopoDS_Shape, or anything with a `shape`
        What was refused [mm].
    refusal : InputError
        Why it was.

    Returns
    -------
    bytes or None
        A PNG file, seen from the corner from which most of the face is seen; None where the refusal names no face.
    """
    from formparts.report.png_file import png
    from formparts.unfolder.reading import only_solid, part_of

    place = _PLACE.search(str(refusal))
    if place is None:
        return None
    part, shape = part_of(solid), only_solid(solid)
    face = named_face(part, (float(place[1]), float(place[2]), float(place[3])))
    with guard("drawing a refused solid"):
        mesh = _mesh(shape)
        return png(_drawn(mesh, list(_edges(part)), face)) if len(mesh.triangles) < LARGEST_MESH else None


def named_face(part: SolidData, place: Vector) -> int:
    """Return the face that a place in a message refers to: the one that it names, else the bend at the nearest edge."""
    from formparts.unfolder.solid_data import Plane

    named = [math.dist(part.place(number), place) for number in range(len(part.faces))]
    if min(named) < FOLLOWED:
        return named.index(min(named))
    edges = [math.dist(edge.middle, place) for edge in part.edges]
    beside = part.edges[edges.index(min(edges))].faces
    return max(beside, key=lambda number: not isinstance(part.faces[number].surface, Plane))


def _mesh(shape: Any) -> Mesh:
    """The kernel's triangles of all faces, by the number of their face."""
    import numpy as np
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_FACE

    faces = found_in(shape, TopAbs_FACE)
    BRepMesh_IncrementalMesh(shape, CHORDS, True, 0.3, False)
    points, corners, groups, first = [], [], [], 0
    for number, face in enumerate(faces):
        places, triangles = _triangles(face)
        points.append(places)
        corners.append(triangles + first)
        groups.append(np.full(len(triangles), number))
        first += len(places)
    return Mesh(np.concatenate(points), np.concatenate(corners), np.concatenate(groups))


def _triangles(face: Any) -> tuple[Any, Any]:
    """Corners and triangles of one face, anticlockwise from outside."""
    import numpy as np
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    location = TopLoc_Location()
    found = BRep_Tool.Triangulation_s(TopoDS.Face_s(face), location)
    if found is None:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=int)
    nodes = (found.Node(n).Transformed(location.Transformation()) for n in range(1, found.NbNodes() + 1))
    triangles = np.array([found.Triangle(n).Get() for n in range(1, found.NbTriangles() + 1)]) - 1
    turned = triangles[:, ::-1] if face.Orientation() == TopAbs_REVERSED else triangles
    return np.array([(node.X(), node.Y(), node.Z()) for node in nodes]), turned


def _edges(part: SolidData) -> Iterator[EdgeLines]:
    """The edges, light where faces run into each other."""
    import numpy as np

    from formparts.unfolder.skins import is_smooth

    for number, edge in enumerate(part.edges):
        count = 2 if edge.kind == "line" else 33
        smooth = len(edge.faces) == 2 and is_smooth(part, number, *edge.faces)
        yield EdgeLines(np.array(edge.places(count)), smooth)


def _drawn(mesh: Mesh, edges: list[EdgeLines], face: int) -> Bytes:
    """Return the picture in which most of a face is visible."""
    import numpy as np

    from formparts.report.paint import Sight, averaged, composed, drawn, lines, shaded

    def shown(sight: Sight) -> Floats:
        of = np.append(mesh.groups[sight.towards] == face, False)
        return averaged(of[sight.seen].astype(float))

    sizes = [round(float(shown(drawn(mesh, TRIED, view, axes=False)[0]).sum())) for view in _VIEWS]
    sight, small = drawn(mesh, SIZE, _VIEWS[sizes.index(max(sizes))], axes=True)
    share = shown(sight)[:, :, None]
    paint = shaded(sight, mesh, PLAIN) * (1.0 - share) + shaded(sight, mesh, MARKED) * share
    return composed(paint, lines(sight, mesh, edges, small))
