"""STEP files in: one solid in mm, the names of its faces, and the unit of the file; one line for all that is broken."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from formparts.errors import InputError, KernelError
from formparts.kernel import guard, settings
from formparts.unfold.part21 import REMEDY, checked_text

LARGEST_PART = 1e5
"""No sheet part is longer than this [mm]: a file that says so has a wrong unit."""
_WIDE = re.compile(r"\\X2\\((?:[0-9A-F]{4})+)\\X0\\")


@dataclass(frozen=True)
class StepSolid:
    """
    What was read from a STEP file.

    Parameters
    ----------
    name : str
        Name of the file without its suffix.
    shape : TopoDS_Shape
        The solid [mm].
    faces : dict of str to TopoDS_Face
        The faces that have a name of their own.
    unit : str
        Unit of length in which the file is written, such as `millimetre` or `INCH`.
    """

    name: str
    shape: Any
    faces: dict[str, Any] = field(default_factory=dict)
    unit: str = "millimetre"


def read_solid(path: str | os.PathLike[str]) -> StepSolid:
    """
    Read the one solid of a STEP file, in whatever unit it is written.

    Parameters
    ----------
    path : path
        A STEP file (ISO 10303-21).

    Returns
    -------
    StepSolid
        Shape in mm, named faces, unit of the file.

    Raises
    ------
    InputError
        The file is missing, empty, cut short, broken, without a unit, or holds no solid or several.
    """
    place = Path(path)
    checked_text(place)
    try:
        with guard(place.name), _silence(), settings(xstep_cascade_unit="MM"):
            return _read(place)
    except KernelError as error:
        raise InputError(place.name, "file", "unreadable", f"the kernel cannot read it ({error.cause})", REMEDY) from error


@contextmanager
def _silence() -> Iterator[None]:
    """Take the kernel's own reports off the terminal for a block."""
    from OCP.Message import Message

    messenger = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    for printer in printers:
        messenger.RemovePrinter(printer)
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)


def _read(path: Path) -> StepSolid:
    """Read with the kernel."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone:
        raise InputError(path.name, "file", "unreadable", "is no sound STEP file", REMEDY)
    unit = _unit(path, reader)
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        raise InputError(path.name, "solids", 0, "nothing in the file can be built", REMEDY)
    _require_size(path, shape, unit)
    return StepSolid(path.stem, shape, _named_faces(reader, shape), unit)


def _unit(path: Path, reader: Any) -> str:
    """Name of the unit of length; a file that states none is refused, for to guess is to be wrong 25.4 times."""
    from OCP.TColStd import TColStd_SequenceOfAsciiString

    lengths, angles, solids = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solids)
    units = sorted({lengths.Value(number).ToCString() for number in range(1, lengths.Length() + 1)})
    if len(units) != 1 or not units[0].strip():
        shown = ", ".join(units) or "none"
        raise InputError(path.name, "unit of length", shown, "the file must state one", "save it in mm or inch")
    return str(units[0])


def _require_size(path: Path, shape: Any, unit: str) -> None:
    """Refuse a part of no size, or of one that shows a wrong unit."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box)
    if box.IsVoid():
        raise InputError(path.name, "solids", 0, "there is nothing in the file", REMEDY)
    size = float(box.SquareExtent() ** 0.5)
    if not 1e-3 < size < LARGEST_PART:
        raise InputError(
            path.name, "size", size, f"is no size of a sheet part; the file is written in {unit}",
            f"at most {LARGEST_PART:g} mm; save it with the right unit", "mm",
        )


def _named_faces(reader: Any, shape: Any) -> dict[str, Any]:
    """The faces that have a name of their own in the file."""
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer

    transfer = reader.WS().TransferReader()
    faces: dict[str, Any] = {}
    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        item = transfer.EntityFromShapeResult(explorer.Current(), 1)
        name = decoded(item.Name().ToCString()) if item is not None and hasattr(item, "Name") else ""
        if name.strip() and name.upper() != "NONE":
            faces.setdefault(name, explorer.Current())
        explorer.Next()
    return faces


def decoded(name: str) -> str:
    """A name with the wide characters of ISO 10303-21 written out."""
    return _WIDE.sub(lambda match: bytes.fromhex(match[1]).decode("utf-16-be", "replace"), name)
