"""Reads a STEP file with the kernel, in a process of its own: a broken file may crash the kernel or hang it."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

from formparts.child_process import FIX, answered
from formparts.errors import InputError
from formparts.kernel import guard, is_valid, own_process, settings, silence
from formparts.unfolder.bodies import SolidInFile, bodies_of, compound_of, repaired_solid
from formparts.unfolder.part21 import checked_text

LARGEST_PART = 1e5
"""No sheet part is longer than this [mm]: a file that says so has a wrong unit."""
_WIDE = re.compile(r"\\X2\\((?:[0-9A-F]{4})+)\\X0\\")


def main(arguments: list[str]) -> int:
    """Read a file, and write the shape beside a report; the report holds unit and names, or what is wrong."""
    report, path, shape_path = (Path(argument) for argument in arguments)
    answered(report, path, lambda: _found(path, shape_path))
    return 0


def _found(path: Path, shape_path: Path) -> dict[str, Any]:
    checked_text(path)
    with guard(path.name), silence(), settings(xstep_cascade_unit="MM"):
        return _read(path, shape_path)


def _read(path: Path, shape_path: Path) -> dict[str, Any]:
    """Read with the kernel, check, and write all solids in the kernel's own form, as one compound."""
    from OCP.BinTools import BinTools
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise InputError(path.name, "file", "unreadable", "cannot be read as a STEP file", FIX)
    unit = _unit(path, reader.Reader())
    document = TDocStd_Document(TCollection_ExtendedString("formparts"))
    if not reader.Transfer(document):
        raise InputError(path.name, "solids", 0, "nothing in the file can be built", FIX)
    bodies = bodies_of(path, document)
    for body in bodies:
        _require_size(path, body.shape, unit)
    _require_sound(path, bodies)
    names = [_face_names(reader.Reader(), body.shape) for body in bodies]
    BinTools.Write_s(compound_of([body.shape for body in bodies]), str(shape_path))
    said = [
        {"name": body.name, "count": body.count, "colour": body.colour, "notes": body.notes, "faces": faces}
        for body, faces in zip(bodies, names, strict=True)
    ]
    return {"unit": unit, "solids": said}


def _require_sound(path: Path, bodies: list[SolidInFile]) -> None:
    """Let the kernel repair what does not fit together; refuse what it cannot, when there is nothing else."""
    for body in bodies:
        if not is_valid(body.shape):
            repaired = repaired_solid(body.shape)
            if repaired is None and len(bodies) == 1:
                problem = "its faces, edges and corners do not fit together"
                raise InputError(path.name, "solid", "not valid", problem, FIX)
            if repaired is not None:
                body.shape, gap = repaired
                body.notes.append(
                    f"faces that did not fit were sewn together, across gaps of up to {gap:.2g} mm"
                )


def _unit(path: Path, reader: Any) -> str:
    """Name of the unit of length; a file that states none is refused, as an assumed one may be wrong 25.4 times."""
    from OCP.TColStd import TColStd_SequenceOfAsciiString

    lengths, angles, solids = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solids)
    units = sorted({lengths.Value(number).ToCString() for number in range(1, lengths.Length() + 1)})
    if len(units) != 1 or not units[0].strip():
        shown = ", ".join(units) or "none"
        raise InputError(
            path.name, "unit of length", shown, "the file must state one", "save it in mm or inch"
        )
    return str(units[0])


def _require_size(path: Path, shape: Any, unit: str) -> None:
    """Refuse a part of no size, or of one that shows a wrong unit."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    if box.IsVoid():
        raise InputError(path.name, "solids", 0, "there is nothing in the file", FIX)
    size = float(box.SquareExtent() ** 0.5)
    if not 1e-3 < size < LARGEST_PART:
        raise InputError(
            path.name,
            "size",
            size,
            f"is not the size of a sheet part; the file is written in {unit}",
            f"at most {LARGEST_PART:g} mm; save it with the right unit",
            "mm",
        )


def _face_names(reader: Any, shape: Any) -> list[str]:
    """The name of every face in the file, in the kernel's order; empty where it has none of its own."""
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, faces)
    transfer = reader.WS().TransferReader()
    items = (
        transfer.EntityFromShapeResult(faces.FindKey(number), 1) for number in range(1, faces.Extent() + 1)
    )
    return [decoded(item.Name().ToCString()) if hasattr(item, "Name") else "" for item in items]


def decoded(name: str) -> str:
    """A name with the wide characters of ISO 10303-21 written out."""
    return _WIDE.sub(lambda match: bytes.fromhex(match[1]).decode("utf-16-be", "replace"), name)


if __name__ == "__main__":
    sys.exit(own_process(lambda: main(sys.argv[1:])))
