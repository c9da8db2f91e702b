"""`make --mesh`: the part as triangles, for printing, rendering and looking at."""

from __future__ import annotations

import argparse
from typing import Final

from formparts.errors import InputError
from formparts.tolerances import MESH_CHORD

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
    """Refuse what is not a format, before anything is made."""
    for kind in options.mesh:
        if kind not in FORMATS:
            raise InputError(
                "make", "--mesh", kind, "is not a format that is written", f"choose {', '.join(FORMATS)}"
            )
    if options.chord and not options.mesh:
        raise InputError("make", "--chord", options.chord, "means nothing without --mesh", "add --mesh glb")
    if options.chord:  # else nothing need be loaded to look at it
        chord_of(options)


def chord_of(options: argparse.Namespace) -> float:
    """Greatest distance of the triangles from the true surface [mm]."""
    from formparts.export.meshing import checked_chord

    return checked_chord(options.chord or MESH_CHORD, "formparts make", "--chord")
