"""`make --mesh`: the part as triangles, for printing, rendering and looking at."""

from __future__ import annotations

import argparse
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


def require_place(options: argparse.Namespace, stem: str) -> None:
    """Refuse, before anything is made, what stands in the way of the files."""
    from formparts.export import require_free

    require_free(options.out, "make", _names(options, stem), options.overwrite)


def _names(options: argparse.Namespace, stem: str) -> list[str]:
    return [f"{stem}.{kind}" for kind in dict.fromkeys(options.mesh)]


def _chord(options: argparse.Namespace) -> float:
    from formparts.export.meshing import checked_chord

    return checked_chord(options.chord or MESH_CHORD, "formparts make", "--chord")


def written_meshes(body: Body, stem: str, options: argparse.Namespace) -> list[str]:
    """Write the files; give the line that says so."""
    from formparts.export import delivery, write_3mf, write_glb, write_stl

    chord = _chord(options)
    names = _names(options, stem)
    with delivery(options.out, "make", names, options.overwrite) as drafts:
        for name in names:
            if name.endswith(".glb"):
                write_glb(body, drafts / name, body.sheet.material.colour, chord)
            else:
                (write_stl if name.endswith(".stl") else write_3mf)(body, drafts / name, chord)
    return [f"  triangles  within {chord:g} mm, {options.out}/: {', '.join(names)}"]
