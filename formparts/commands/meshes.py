"""`make --mesh`: the part as triangles, for printing, rendering and looking at."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from formparts.errors import InputError
from formparts.tolerances import MESH_CHORD

if TYPE_CHECKING:
    from formparts.body import Body

FORMATS: Final = ("glb", "stl", "3mf")
"""Binary glTF in metres; STL and 3MF in millimetres."""


def add_options(made: argparse.ArgumentParser) -> None:
    """The options of `make` that are about triangles."""
    group = made.add_argument_group("triangles")
    group.add_argument(
        "--mesh", metavar="FORMAT", action="append", default=[], help="also as glb, stl or 3mf"
    )
    group.add_argument("--chord", metavar="LENGTH", help="greatest distance from the true surface (0.05 mm)")


def check_options(options: argparse.Namespace) -> None:
    """Refuse what is no format, before anything is made."""
    for kind in options.mesh:
        if kind not in FORMATS:
            raise InputError(
                "make", "--mesh", kind, "is no format that is written", f"choose {', '.join(FORMATS)}"
            )
    if options.chord and not options.mesh:
        raise InputError("make", "--chord", options.chord, "means nothing without --mesh", "add --mesh glb")
    if options.chord:  # else nothing need be loaded to look at it
        _chord(options)


def _chord(options: argparse.Namespace) -> float:
    from formparts.export.meshing import checked_chord

    return checked_chord(options.chord or MESH_CHORD, "formparts make", "--chord")


def written_meshes(body: Body, stem: str, options: argparse.Namespace) -> list[str]:
    """Write the files; give the line that says so."""
    from formparts.export import write_3mf, write_glb, write_stl

    chord = _chord(options)
    folder = Path(options.out)
    paths = []
    for kind in dict.fromkeys(options.mesh):
        path = folder / f"{stem}.{kind}"
        if kind == "glb":
            paths.append(write_glb(body, path, body.sheet.material.colour, chord))
        else:
            paths.append((write_stl if kind == "stl" else write_3mf)(body, path, chord))
    return [f"  triangles  within {chord:g} mm, {folder}/: {', '.join(path.name for path in paths)}"]
