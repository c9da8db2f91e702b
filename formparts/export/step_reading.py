"""Reading STEP files: one solid, with its name, its face names and its unit."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formparts.child_process import SMALL, require_size, require_whole
from formparts.errors import InputError
from formparts.export.step_links import misled
from formparts.kernel import guard, settings, silence
from formparts.kernel_reader import as_written, name_of, plain_reader


@dataclass(frozen=True)
class StepPart:
    """The contents of a STEP file of one part.

    Parameters
    ----------
    name : str
        Name of the product.
    shape : TopoDS_Solid
        The kernel's solid [mm].
    faces : dict of str to TopoDS_Face
        Those of its faces that have a name.
    unit : str
        Unit of length that the file is written in.
    """

    name: str
    shape: Any
    faces: dict[str, Any]
    unit: str


def read_step_solid(path: str | os.PathLike[str]) -> Any:
    """
    Read the one solid of a STEP file.

    In this process: it is for files of your own, for a damaged one may bring the solid kernel down, or hang it.

    Parameters
    ----------
    path : path
        A STEP file in any unit.

    Returns
    -------
    TopoDS_Solid
        The kernel's solid [mm].

    Raises
    ------
    InputError
        There is no such file, it is not STEP, or it does not hold exactly one solid.
    """
    return read_step(path).shape


def read_step(path: str | os.PathLike[str]) -> StepPart:
    """
    Read the one part of a STEP file, with names and unit.

    In this process: it is for files of your own, for a damaged one may bring the solid kernel down, or hang it.

    Parameters
    ----------
    path : path
        A STEP file in any unit.

    Returns
    -------
    StepPart

    Raises
    ------
    InputError
        There is no such file, it is not STEP, or it does not hold exactly one solid.
    """
    check_readable(path)
    with guard(f"reading {path}"), silence():
        document, unit = _transferred(path)
        labels = _free_labels(document)
        solids = [(label, shape) for label in labels for shape in _solids_under(label)]
        if len(solids) != 1:
            raise _refused(path, f"holds {len(solids)} solids", "give a file of exactly one solid")
        label, shape = solids[0]
        return StepPart(name_of(label), shape, named_faces(label), unit)


def check_readable(path: str | os.PathLike[str], foreign: bool = False) -> None:
    """Refuse what the kernel cannot open: it gives no reason, and may crash on an incomplete file."""
    try:
        size = require_size(Path(path)) if foreign else 0
        content = Path(path).read_bytes()
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refused(path, f"cannot be read: {reason.lower()}", "") from error
    if not content.lstrip().startswith(b"ISO-10303-21;"):
        raise _refused(path, "is not a STEP file", "give one that begins with ISO-10303-21")
    if b"END-ISO-10303-21;" not in content:
        raise _refused(path, "is a STEP file that was cut short", "write it anew")
    require_whole(Path(path), content)
    if size > SMALL:
        return  # it is looked through when it is read, by a process that may not take more than its share of memory
    bare = re.sub(r"'(?:[^']|'')*'|/\*.*?(?:\*/|\Z)", "", content.decode("latin-1"), flags=re.DOTALL)
    missing = _undefined(bare)
    if missing:
        raise _refused(path, f"is not whole: entity #{missing} is referred to and not there", "write it anew")
    wrong = misled(bare)
    if wrong:
        raise _refused(path, f"is damaged: entity #{wrong} refers to what it may not", "write it anew")


def _undefined(bare: str) -> int | None:
    """Return the first entity that others refer to and that is missing."""
    there = set(re.findall(r"#(\d+)\s*=", bare))
    # A longer number than Python reads is none that a file can hold.
    spoken = {number[:18] for number in re.findall(r"#(\d+)", bare)}
    return min(map(int, spoken - there), default=None)


def _refused(path: str | os.PathLike[str], problem: str, fix: str) -> InputError:
    return InputError("STEP", "path", str(Path(path)), problem, fix)


def _transferred(path: str | os.PathLike[str]) -> tuple[Any, str]:
    """The file as a document of the kernel, and its unit of length."""
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    with settings(read_stepcaf_subshapes_name=1, xstep_cascade_unit="MM"):
        reader = plain_reader()
        if reader.ReadFile(str(path)) != IFSelect_RetDone or not as_written(reader).Transfer(document):
            raise _refused(path, "is not a STEP file that can be read", "write it anew")
        return document, _unit_of(reader.ChangeReader())


def _unit_of(reader: Any) -> str:
    """Return the units of length in the file, once each."""
    from OCP.TColStd import TColStd_SequenceOfAsciiString

    lengths, angles, solid_angles = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    names = {lengths.Value(number).ToCString() for number in range(1, lengths.Length() + 1)}
    return ", ".join(sorted(names))


def _free_labels(document: Any) -> list[Any]:
    """Labels of the shapes that belong to no other."""
    from OCP.TDF import TDF_LabelSequence
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    labels = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(labels)
    return [labels.Value(number) for number in range(1, labels.Length() + 1)]


def _solids_under(label: Any) -> Iterator[Any]:
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    explorer = TopExp_Explorer(XCAFDoc_ShapeTool.GetShape_s(label), TopAbs_SOLID)
    while explorer.More():
        yield TopoDS.Solid_s(explorer.Current())
        explorer.Next()


def named_faces(label: Any) -> dict[str, Any]:
    """The faces that have a name; a name that occurs twice gets a number."""
    from OCP.TDF import TDF_LabelSequence
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopoDS import TopoDS
    from OCP.XCAFDoc import XCAFDoc_ShapeTool

    labels = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetSubShapes_s(label, labels)
    faces: dict[str, Any] = {}
    for number in range(1, labels.Length() + 1):
        shape, name = XCAFDoc_ShapeTool.GetShape_s(labels.Value(number)), name_of(labels.Value(number))
        if name and shape.ShapeType() == TopAbs_FACE:
            faces[name if name not in faces else f"{name} ({number})"] = TopoDS.Face_s(shape)
    return faces
