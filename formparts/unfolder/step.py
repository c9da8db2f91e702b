"""STEP files in: one solid in mm, the names of its faces, and the unit of the file; one line for all that is broken."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from formparts.child_process import SMALL, TIME_LIMIT, asked
from formparts.kernel import guard
from formparts.unfolder.part21 import checked_text, required_text

CHILD = "formparts.unfolder.step_child"
"""The module that reads with the kernel."""


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


def read_solid(path: str | os.PathLike[str], *, time_limit: float = TIME_LIMIT) -> StepSolid:
    """
    Read the one solid of a STEP file, in whatever unit it is written.

    Parameters
    ----------
    path : path
        A STEP file (ISO 10303-21).
    time_limit : float [s]
        How long the kernel may take, in a process of its own.

    Returns
    -------
    StepSolid
        Shape in mm, named faces, unit of the file.

    Raises
    ------
    InputError
        The file is missing, empty, cut short, broken, without a unit, or not to be read in time, or it holds
        no solid or several.
    """
    place = Path(path)
    # A large file is looked through by the other process alone, which may not take more than its share of memory.
    if required_text(place) <= SMALL:
        checked_text(place)
    with TemporaryDirectory(prefix="formparts_") as folder:
        shape_path = Path(folder, "shape")
        found = asked(CHILD, place, (str(shape_path),), time_limit)
        shape = _shape(place, shape_path)
    return StepSolid(place.stem, shape, _named_faces(shape, found["names"]), found["unit"])


def _shape(path: Path, shape_path: Path) -> Any:
    """The shape that the other process left behind."""
    from OCP.BinTools import BinTools
    from OCP.TopoDS import TopoDS_Shape

    shape = TopoDS_Shape()
    with guard(path.name):
        BinTools.Read_s(shape, str(shape_path))
    return shape


def _named_faces(shape: Any, names: list[str]) -> dict[str, Any]:
    """The faces that have a name of their own, the first of each name."""
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    faces = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, faces)
    named: dict[str, Any] = {}
    for number, name in enumerate(names, start=1):
        if name.strip() and name.upper() != "NONE":
            named.setdefault(name, faces.FindKey(number))
    return named
