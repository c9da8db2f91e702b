"""The solids of a STEP document, each once: name, count and colour; shells that belong together are sewn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from formparts.child_process import FIX
from formparts.errors import InputError
from formparts.kernel import found_in
from formparts.kernel_reader import name_of
from formparts.tolerances import HEALED, LENGTH


@dataclass
class SolidInFile:
    """One solid at its first occurrence in the document, and its count; used while reading only."""

    shape: Any
    name: str
    colour: str = ""
    count: int = 1
    notes: list[str] = field(default_factory=list)
    faces: list[str] = field(default_factory=list)
    """The name of every face in the file, in the kernel's order; empty where it has none of its own."""


def bodies_of(path: Path, document: Any) -> list[SolidInFile]:
    """Return all solids of a document, each once; if there is none, sew shells to solids."""
    from OCP.TDF import TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    labels = TDF_LabelSequence()
    tool.GetFreeShapes(labels)
    placed = [
        found for number in range(1, labels.Length() + 1) for found in _shapes(labels.Value(number), None, 0)
    ]
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    bodies: list[SolidInFile] = []
    for label, shape in placed:
        _add(bodies, label, shape, colours)
    bodies = bodies or _sewn_bodies(path, [shape for _, shape in placed])
    if not bodies:
        raise InputError(path.name, "solids", 0, "nothing in the file can be built", FIX)
    return bodies


def _shapes(label: Any, where: Any, depth: int) -> Iterator[tuple[Any, Any]]:
    """Return the parts of an assembly, with their shapes in position."""
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    if depth > 30:  # a damaged file may contain an assembly in itself
        return
    if XCAFDoc_ShapeTool.IsAssembly_s(label):
        parts = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetComponents_s(label, parts, False)
        for number in range(1, parts.Length() + 1):
            part, referred = parts.Value(number), TDF_Label()
            if XCAFDoc_ShapeTool.GetReferredShape_s(part, referred):
                own = XCAFDoc_ShapeTool.GetLocation_s(part)
                yield from _shapes(referred, own if where is None else where.Multiplied(own), depth + 1)
        return
    shape = XCAFDoc_ShapeTool.GetShape_s(label)
    if shape is not None and not shape.IsNull():
        yield label, shape if where is None else shape.Moved(where)


def _add(bodies: list[SolidInFile], label: Any, shape: Any, colours: Any) -> None:
    """Add the solids of one part, or count those that are already known."""
    from OCP.TopAbs import TopAbs_SOLID

    solids = found_in(shape, TopAbs_SOLID)
    name = name_of(label).strip()
    for number, solid in enumerate(solids, start=1):
        known = next((body for body in bodies if body.shape.IsPartner(solid)), None)
        if known is not None:
            known.count += 1
            continue
        own = name if len(solids) == 1 else f"{name or 'solid'}[{number}]"
        colour, faces = _colour(colours, solid, label), _face_names(label, solid)
        bodies.append(SolidInFile(solid, own, colour, faces=faces))


def _face_names(label: Any, solid: Any) -> list[str]:
    """Return the names that a part gives the faces of one of its solids, in the kernel's order; none without names."""
    from OCP.TDF import TDF_LabelSequence
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopTools import TopTools_IndexedMapOfShape
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    labels, faces, names = TDF_LabelSequence(), TopTools_IndexedMapOfShape(), [""]
    XCAFDoc_ShapeTool.GetSubShapes_s(label, labels)
    for number in range(1, labels.Length() + 1):
        shape, name = (
            XCAFDoc_ShapeTool.GetShape_s(labels.Value(number)),
            name_of(labels.Value(number)).strip(),
        )
        if name and shape.ShapeType() == TopAbs_FACE and faces.Add(_bare(shape)) == len(names):
            names.append(name)
    if len(names) == 1:
        return []
    return [names[faces.FindIndex(_bare(face))] for face in found_in(solid, TopAbs_FACE)]


def _bare(shape: Any) -> Any:
    """Return a shape in its own coordinates, without its position in the assembly."""
    from OCP.TopLoc import TopLoc_Location

    return shape.Located(TopLoc_Location())


def _colour(colours: Any, solid: Any, label: Any) -> str:
    """Return the colour of a solid as #rrggbb, if it has one."""
    from OCP.Quantity import Quantity_Color
    from OCP.XCAFDoc import XCAFDoc_ColorGen, XCAFDoc_ColorSurf, XCAFDoc_ColorTool

    colour = Quantity_Color()
    for kind in (XCAFDoc_ColorSurf, XCAFDoc_ColorGen):
        if colours.GetColor(solid, kind, colour) or XCAFDoc_ColorTool.GetColor_s(label, kind, colour):
            return f"#{Quantity_Color.ColorToHex_s(colour).ToCString().lstrip('#').lower()}"
    return ""


def _sewn_bodies(path: Path, shapes: list[Any]) -> list[SolidInFile]:
    """Return solids sewn from loose shells and faces."""
    from OCP.TopAbs import TopAbs_FACE

    faces = [face for shape in shapes for face in found_in(shape, TopAbs_FACE)]
    found = sewn_solids(faces)
    if not found:
        problem = f"{len(faces)} faces, but no closed solid: they do not meet within {HEALED:g} mm"
        raise InputError(path.name, "solids", 0, problem, "save the part as a solid, not as surfaces")
    bodies = []
    for number, (solid, gap) in enumerate(found, start=1):
        said = "the file holds a closed shell and no solid: taken as a solid"
        if gap > LENGTH:
            said += f"; its faces were sewn together across gaps of up to {gap:.2g} mm"
        bodies.append(SolidInFile(solid, "" if len(found) == 1 else f"solid[{number}]", notes=[said]))
    return bodies


def sewn_solids(faces: list[Any]) -> list[tuple[Any, float]]:
    """Return closed solids from faces that meet within HEALED, each with the widest gap that was closed [mm]."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepLib import BRepLib
    from OCP.TopAbs import TopAbs_SHELL
    from OCP.TopoDS import TopoDS

    sewing = BRepBuilderAPI_Sewing(HEALED)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    found = []
    for shell in found_in(sewing.SewedShape(), TopAbs_SHELL):
        if TopoDS.Shell_s(shell).Closed():
            solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(shell)).Solid()
            BRepLib.OrientClosedSolid_s(solid)
            if BRepCheck_Analyzer(solid).IsValid():
                found.append((solid, _widest(solid)))
    return found


def _widest(shape: Any) -> float:
    """Return the widest gap that an edge or corner of a shape bridges [mm]."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopoDS import TopoDS

    return max(float(BRep_Tool.Tolerance_s(TopoDS.Edge_s(edge))) for edge in found_in(shape, TopAbs_EDGE))


def repaired_solid(shape: Any) -> tuple[Any, float] | None:
    """Return a solid from the faces of an invalid one, and the widest gap that was closed [mm]."""
    from OCP.TopAbs import TopAbs_FACE

    found = sewn_solids(found_in(shape, TopAbs_FACE))
    return found[0] if len(found) == 1 else None


def compound_of(shapes: list[Any]) -> Any:
    """Return all shapes in one compound."""
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for shape in shapes:
        builder.Add(compound, shape)
    return compound
