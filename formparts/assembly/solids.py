"""The solids of an assembly's parts, and the position of each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from formparts.assembly.placing import Part
from formparts.assembly.turned import Turned, turned_mesh, turned_solid
from formparts.body import Frame
from formparts.export.meshing import checked_chord, closed_mesh, mesh
from formparts.solids import Solid, solid

if TYPE_CHECKING:
    from trimesh import Trimesh


def part_solid(part: Part) -> Solid:
    """The solid of a part, in its own coordinates."""
    return turned_solid(part) if isinstance(part, Turned) else solid(part)


def part_mesh(part: Part, chord: float) -> Trimesh:
    """The mesh of a part, in its own coordinates."""
    if isinstance(part, Turned):
        return closed_mesh(turned_mesh(part, checked_chord(chord, "mesh")))
    return mesh(part, chord)


def location(frame: Frame) -> Any:
    """A frame as a rigid motion of the kernel."""
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
    from OCP.TopLoc import TopLoc_Location

    motion = gp_Trsf()
    motion.SetTransformation(gp_Ax3(gp_Pnt(*frame.origin), gp_Dir(*frame.z), gp_Dir(*frame.x)), gp_Ax3())
    return TopLoc_Location(motion)
