"""Compare a written STEP file with the intended solid."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from formparts.errors import FileProofError, InputError
from formparts.export.step_reading import StepPart, read_step
from formparts.kernel import guard, has_ruled_faces, is_valid
from formparts.solids import Solid
from formparts.tolerances import INTEGRATED_REL, LENGTH, VOLUME_REL

_KINDS = ("plane", "cylinder", "cone", "bsplinesurface")
"""Faces that a part has: skins and most edge faces are planes and cylinders; across a bend they are ruled."""


@dataclass(frozen=True)
class StepFigures:
    """The figures of a STEP file, measured on the file.

    Parameters
    ----------
    volume : float [mm3]
        Of its one solid.
    area : float [mm2]
        Surface of the solid.
    centroid : (x, y, z) [mm]
        Of the volume.
    faces : int [-]
        How many faces the solid has.
    """

    volume: float
    area: float
    centroid: tuple[float, float, float]
    faces: int


def proved_step(path: str | os.PathLike[str], solid: Solid, volume: float) -> StepFigures:
    """
    Read a STEP file back and prove that it is this solid.

    Parameters
    ----------
    path : path
        The written file.
    solid : Solid
        What it is to hold: name, faces with their names and kinds.
    volume : float [mm3]
        Closed form of its volume; the file has to agree to tolerances.VOLUME_REL.

    Returns
    -------
    StepFigures
        As measured on the file.

    Raises
    ------
    FileProofError
        It differs; the message says in what, with both figures.
    """
    try:
        part = read_step(path)
    except InputError as error:
        raise FileProofError(str(path), error.problem) from error
    with guard(f"proof of {path}"):
        figures = _measured(part.shape)
        for found in _faults(part, figures, solid, volume):
            raise FileProofError(str(path), found)
        return figures


def _measured(shape: Any) -> StepFigures:
    """What the kernel measures on a solid."""
    within = _properties(shape, "VolumeProperties_s", closely=has_ruled_faces(shape))
    centre = within.CentreOfMass()
    area = float(_properties(shape, "SurfaceProperties_s").Mass())
    centroid = (centre.X(), centre.Y(), centre.Z())
    return StepFigures(float(within.Mass()), area, centroid, len(_all_faces(shape)))


def _faults(part: StepPart, figures: StepFigures, solid: Solid, volume: float) -> Iterator[str]:
    """Return the differences, the plainest first; later ones are only sought when there is none before."""
    if part.unit.lower() not in ("mm", "millimetre", "millimeter"):
        yield f"its unit of length is {part.unit or 'not said'}, and not the millimetre"
    if part.name != solid.name:
        yield f"its product is called {part.name!r}, and not {solid.name!r}"
    yield from _face_faults(part, figures.faces, solid)
    for count in _faces_at_edges(part.shape):
        if count != 2:
            yield f"an edge lies in {count} faces, and not in 2"
    if not is_valid(part.shape):
        yield "its solid is not valid"
    slack = _widest_tolerance(part.shape)
    if slack > LENGTH:
        yield f"a point or an edge lies {slack:.6g} mm off the faces that meet there"
    if not abs(figures.volume - volume) <= VOLUME_REL * abs(volume):
        yield f"volume {figures.volume:.12g} mm3, and not {volume:.12g} mm3"
    if figures.volume <= 0.0:
        yield f"its volume is not positive: {figures.volume:.6g} mm3"


def _face_faults(part: StepPart, count: int, solid: Solid) -> Iterator[str]:
    """Number, names and kinds of the faces."""
    if count != len(solid.faces):
        yield f"{count} faces, and not {len(solid.faces)}"
    for name in sorted(solid.faces.keys() - part.faces.keys()):
        yield f"no face is called {name!r}"
    for name in sorted(part.faces.keys() - solid.faces.keys()):
        yield f"a face is called {name!r}, which the solid has not"
    for name, face in part.faces.items():
        read, meant = kind_of(face), kind_of(solid.faces[name])
        if read != meant:
            yield f"the face {name!r} is a {read}, and not a {meant}"
        if read not in _KINDS:
            yield f"the face {name!r} is a {read}: neither plane nor cylinder nor cone nor ruled from skin to skin"
        yield from _place_faults(name, face, solid.faces[name])


def _place_faults(name: str, face: Any, meant: Any) -> Iterator[str]:
    """Return differences of area or centre, which show a name on the wrong face."""
    free = _free_length(meant)
    there, here = (_properties(one, "SurfaceProperties_s", closely=free > 0.0) for one in (face, meant))
    off = there.CentreOfMass().Distance(here.CentreOfMass())
    if off > LENGTH:
        yield f"the middle of the face {name!r} is {off:.6g} mm from its place"
    missed = abs(there.Mass() - here.Mass())
    # The area of a sliver has no more digits than its width, which is as exact as the places of its corners. Edges
    # across a bend are drawn anew on its cylinder by the reader, 6e-7 mm off where they are a metre long.
    slack = LENGTH / 1000.0 * _round_about(meant) + LENGTH * free
    if not (missed <= VOLUME_REL * here.Mass() or missed <= slack):
        yield f"the face {name!r} has {there.Mass():.9g} mm2, and not {here.Mass():.9g} mm2"


def _round_about(face: Any) -> float:
    """Return the length of all edges of a face [mm]."""
    return float(_properties(face, "LinearProperties_s").Mass())


def _free_length(face: Any) -> float:
    """Length of the edges of a face that are neither lines nor circles [mm]."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    walk, total = TopExp_Explorer(face, TopAbs_EDGE), 0.0
    while walk.More():
        edge = TopoDS.Edge_s(walk.Current())
        if BRepAdaptor_Curve(edge).GetType() not in (GeomAbs_Line, GeomAbs_Circle):
            total += _round_about(edge)
        walk.Next()
    return total


def kind_of(face: Any) -> str:
    """`plane`, `cylinder`, or the kernel's own word for any other surface."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    return str(BRepAdaptor_Surface(face).GetType().name).removeprefix("GeomAbs_").lower()


def _all_faces(shape: Any) -> list[Any]:
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, found)
    return [found.FindKey(number) for number in range(1, found.Extent() + 1)]


def _faces_at_edges(shape: Any) -> Iterator[int]:
    """For every edge, in how many faces it lies."""
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

    found = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, found)
    for number in range(1, found.Extent() + 1):
        yield found.FindFromIndex(number).Extent()


def _widest_tolerance(shape: Any) -> float:
    """Return the greatest deviation of points and edges from their faces [mm], which the reader hides in tolerances."""
    from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

    return float(ShapeAnalysis_ShapeTolerance().Tolerance(shape, 1))


def volume_of(shape: Any) -> float:
    """Volume by the kernel [mm3], negative when the solid is inside out."""
    return float(_properties(shape, "VolumeProperties_s", closely=has_ruled_faces(shape)).Mass())


def _properties(shape: Any, kind: str, closely: bool = False) -> Any:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    flags = (False,) * (2 if kind.startswith("Volume") else 1)
    getattr(BRepGProp, kind)(shape, found, *((INTEGRATED_REL, *flags) if closely else ()))
    return found
