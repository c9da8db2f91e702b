"""The volume of the kernel's own mesh of a solid: a method for the audit independent of formparts' mesh."""

from __future__ import annotations

import math
from typing import Any, Final

from formparts.errors import KernelError
from formparts.kernel import guard
from formparts.solids import Solid
from formparts.tolerances import KERNEL_CHORD

_COARSEST_RAD: Final = 1.0
"""Greatest angle that one chord spans [rad]."""
_FINER: Final = (1.0, 1e-1, 1e-2, 1e-3)
"""Fractions of the chord that are tried in turn.

Chords coarser than a web cross each other, and its face gets no triangles.
"""
MOST_LOOPS: Final = 64
"""Largest number of loops of a face for the kernel's mesh, as its time grows with their square."""


def kernel_mesh_volume(solid: Solid, chord: float = KERNEL_CHORD) -> float | None:
    """
    Volume inside the kernel's own mesh of a solid [mm3]; None where a face has more than MOST_LOOPS loops.

    The solid itself stays without a mesh.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.BRepMesh import BRepMesh_IncrementalMesh

    if any(face.NbChildren() > MOST_LOOPS for face in solid.faces.values()):
        return None
    with guard(f"the kernel's mesh of {solid.name}"):
        for finer in _FINER:
            # A mesh stays with its shape and changes its bounding box; so a copy is meshed.
            copy = BRepBuilderAPI_Copy(solid.shape, True, False)
            BRepMesh_IncrementalMesh(
                copy.Shape(), chord * finer, False, _COARSEST_RAD * math.sqrt(finer), False
            )
            # The copy of a face comes back forward, whichever way the face lies in its solid.
            faces = [copy.ModifiedShape(face).Oriented(face.Orientation()) for face in solid.faces.values()]
            cones = [_cones(face) for face in faces]
            if None not in cones:
                return sum(filter(None, cones))
    raise KernelError(f"mesh of {solid.name}", "a face got no triangles")


def _cones(shape: Any) -> float | None:
    """Return the volume between the origin and a face's triangles, if any.

    Negative where they look towards it [mm3].
    """
    import numpy as np
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_REVERSED
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    face, location = TopoDS.Face_s(shape), TopLoc_Location()
    found = BRep_Tool.Triangulation_s(face, location)
    if found is None:
        return None
    move = location.Transformation()
    nodes = (found.Node(number).Transformed(move) for number in range(1, found.NbNodes() + 1))
    points = np.array([(node.X(), node.Y(), node.Z()) for node in nodes])
    corners = np.array([found.Triangle(number).Get() for number in range(1, found.NbTriangles() + 1)]) - 1
    a, b, c = (points[corners[:, i]] for i in range(3))
    volume = float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0
    return -volume if face.Orientation() == TopAbs_REVERSED else volume
