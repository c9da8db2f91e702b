"""Read a STEP file with the kernel in a separate process: a broken file may crash the kernel or hang it."""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from formparts.child_process import FIX, answered
from formparts.errors import InputError
from formparts.kernel import guard, is_valid, own_process, settings, silence
from formparts.kernel_reader import as_written, plain_reader
from formparts.tolerances import SHORTEST_EDGE
from formparts.unfolder.bodies import SolidInFile, bodies_of, compound_of, repaired_solid
from formparts.unfolder.part21 import checked_text

LARGEST_PART = 1e5
"""No sheet part is longer than this [mm]: a larger one has a wrong unit."""


def main(arguments: list[str]) -> int:
    """Read a file, and write the shape beside a report; the report holds unit and names, or what is wrong."""
    report, path, shape_path = (Path(argument) for argument in arguments)
    answered(report, path, lambda: _found(path, shape_path))
    return 0


def _found(path: Path, shape_path: Path) -> dict[str, Any]:
    checked_text(path)
    with guard(path.name), silence(), settings(read_stepcaf_subshapes_name=1, xstep_cascade_unit="MM"):
        return _read(path, shape_path)


def _read(path: Path, shape_path: Path) -> dict[str, Any]:
    """Read with the kernel, check, and write all solids in the kernel's own form, as one compound."""
    from OCP.BinTools import BinTools

    unit, bodies = _sound_bodies(path)
    BinTools.Write_s(compound_of([body.shape for body in bodies]), str(shape_path))
    said = [
        {
            "name": body.name,
            "count": body.count,
            "colour": body.colour,
            "notes": body.notes,
            "faces": body.faces,
        }
        for body in bodies
    ]
    return {"unit": unit, "solids": said}


def _sound_bodies(path: Path) -> tuple[str, list[SolidInFile]]:
    """Return the unit of a file and its solids: as written, and healed by the kernel only where that is not sound.

    Healing takes time with the square of a face's openings, and few files need it.
    """
    with suppress(InputError):  # the healed file has the last word
        unit, bodies = _bodies(path, plain=True)
        if all(_is_sound(body.shape) for body in bodies):
            return unit, bodies
    unit, bodies = _bodies(path, plain=False)
    _require_sound(path, bodies)
    return unit, bodies


def _is_sound(shape: Any) -> bool:
    """True when a solid is consistent, and its faces look outward."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    inside = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, inside)
    return inside.Mass() > 0.0 and is_valid(shape)


def _bodies(path: Path, plain: bool) -> tuple[str, list[SolidInFile]]:
    """Read the file with the kernel, as it is written or healed."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    reader = plain_reader(colours=True)
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise InputError(path.name, "file", "unreadable", "cannot be read as a STEP file", FIX)
    unit = _unit(path, reader.Reader())
    document = TDocStd_Document(TCollection_ExtendedString("formparts"))
    if not (as_written(reader) if plain else reader).Transfer(document):
        raise InputError(path.name, "solids", 0, "nothing in the file can be built", FIX)
    bodies = bodies_of(path, document)
    for body in bodies:
        _require_size(path, body.shape, unit)
    return unit, bodies


def _require_sound(path: Path, bodies: list[SolidInFile]) -> None:
    """Let the kernel sew what does not fit after healing; refuse what it cannot, when there is nothing else."""
    for body in bodies:
        if not is_valid(body.shape):
            repaired = repaired_solid(body.shape)
            if repaired is None and len(bodies) == 1:
                problem = "its faces, edges and corners do not fit together"
                raise InputError(path.name, "solid", "not valid", problem, FIX)
            if repaired is not None:
                (body.shape, gap), body.faces = repaired, []
                body.notes.append(
                    f"faces that did not fit were sewn together, across gaps of up to {gap:.2g} mm"
                )


def _unit(path: Path, reader: Any) -> str:
    """Return the name of the unit of length; refuse a file without one, as an assumed unit may be wrong by 25.4."""
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
    """Refuse a part of zero size, or of a size that shows a wrong unit."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    if box.IsVoid():
        raise InputError(path.name, "solids", 0, "there is nothing in the file", FIX)
    size = float(box.SquareExtent() ** 0.5)
    if not SHORTEST_EDGE < size < LARGEST_PART:
        raise InputError(
            path.name,
            "size",
            size,
            f"is not the size of a sheet part; the file is written in {unit}",
            f"at most {LARGEST_PART:g} mm; save it with the right unit",
            "mm",
        )


if __name__ == "__main__":
    sys.exit(own_process(lambda: main(sys.argv[1:])))
