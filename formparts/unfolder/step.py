"""Read STEP files: solids in mm, the names of their faces, and the file's unit; errors are one line each."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from formparts.arguments import takes
from formparts.child_process import SMALL, TIME_LIMIT, asked
from formparts.errors import InputError
from formparts.kernel import guard
from formparts.short_repr import short_repr
from formparts.unfolder.part21 import checked_text, required_text

CHILD = "formparts.unfolder.step_child"
"""The module that reads with the kernel."""


@short_repr
@dataclass(frozen=True)
class StepSolid:
    """
    One solid of a STEP file.

    Parameters
    ----------
    name : str
        Name of the file without its suffix; in a file of several solids, the name that the file gives.
    shape : TopoDS_Shape
        The solid [mm].
    faces : dict of str to TopoDS_Face
        The faces that have a name of their own.
    unit : str
        Unit of length in which the file is written, such as `millimetre` or `INCH`.
    count : int [-]
        How often it occurs in the file.
    colour : str
        As #rrggbb; empty where the file gives none.
    notes : tuple of str
        What was repaired on reading.
    """

    name: str
    shape: Any
    faces: dict[str, Any] = field(default_factory=dict)
    unit: str = "millimetre"
    count: int = 1
    colour: str = ""
    notes: tuple[str, ...] = ()


@takes(path=("str", "os.PathLike"), solid=("str", "None"))
def read_solid(
    path: str | os.PathLike[str], *, solid: str | None = None, time_limit: float = TIME_LIMIT
) -> StepSolid:
    """
    Read one solid of a STEP file, in whatever unit it is written.

    Parameters
    ----------
    path : path
        A STEP file (ISO 10303-21).
    solid : str, optional
        Name of the solid, where the file holds several.
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
        no solid, several of which none was named, or none of the name.
    """
    found = read_solids(path, time_limit=time_limit)
    return chosen(Path(path), found, solid)


def chosen(path: Path, found: Sequence[StepSolid], solid: str | None) -> StepSolid:
    """Return the one solid of a file, or the one that was named."""
    if solid is None and len(found) == 1:
        return found[0]
    names = ", ".join(each.name for each in found)
    if solid is None:
        problem = "a blank is cut for one part at a time"
        raise InputError(path.name, "solids", len(found), problem, f"name one of {names}")
    named = [each for each in found if each.name == solid]
    if not named:
        raise InputError(path.name, "solid", solid, "there is no solid of that name", f"there are: {names}")
    return named[0]


def read_solids(path: str | os.PathLike[str], *, time_limit: float = TIME_LIMIT) -> tuple[StepSolid, ...]:
    """
    Read all solids of a STEP file, a part or an assembly, each once.

    Parameters
    ----------
    path : path
        A STEP file (ISO 10303-21).
    time_limit : float [s]
        How long the kernel may take, in a process of its own.

    Returns
    -------
    tuple of StepSolid
        Shapes in mm, named faces, count of each, unit of the file.

    Raises
    ------
    InputError
        The file is missing, empty, cut short, broken, without a unit, or not to be read in time, or it holds no solid.
    """
    place = Path(path)
    # A large file is read by the other process alone, whose memory is limited.
    if required_text(place) <= SMALL:
        checked_text(place)
    with TemporaryDirectory(prefix="formparts_") as folder:
        shape_path = Path(folder, "shape")
        found = asked(CHILD, place, (str(shape_path),), time_limit)
        shape = _shape(place, shape_path)
    return solids_from(place.stem, shape, found)


def solids_from(stem: str, shape: Any, found: dict[str, Any]) -> tuple[StepSolid, ...]:
    """Return the solids of a compound with the facts reported on them."""
    from OCP.TopoDS import TopoDS_Iterator

    shapes, iterator = [], TopoDS_Iterator(shape)
    while iterator.More():
        shapes.append(iterator.Value())
        iterator.Next()
    names = _own_names(stem, [row["name"] for row in found["solids"]])
    return tuple(
        StepSolid(
            name,
            solid,
            _named_faces(solid, row["faces"]),
            found["unit"],
            row["count"],
            row["colour"],
            tuple(row["notes"]),
        )
        for name, solid, row in zip(names, shapes, found["solids"], strict=True)
    )


def _own_names(stem: str, names: list[str]) -> list[str]:
    """Return a name for every solid: that of the file if there is one, else its own, numbered where two are equal."""
    if len(names) == 1:
        return [stem]
    used: dict[str, int] = {}
    found = []
    for number, name in enumerate(names, start=1):
        own = name or f"solid[{number}]"
        used[own] = used.get(own, 0) + 1
        found.append(own if used[own] == 1 else f"{own}.{used[own]}")
    return found


def _shape(path: Path, shape_path: Path) -> Any:
    """Return the shape that the other process wrote."""
    from OCP.BinTools import BinTools
    from OCP.TopoDS import TopoDS_Shape

    shape = TopoDS_Shape()
    with guard(path.name):
        BinTools.Read_s(shape, str(shape_path))
    return shape


def _named_faces(shape: Any, names: list[str]) -> dict[str, Any]:
    """Return the faces with a name of their own, the first of each name."""
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
