"""The part as triangles, for printing, rendering and looking at."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.tolerances import MESH_CHORD
from formparts.writers.table import writer

if TYPE_CHECKING:
    from formparts.part import Part


@writer(".glb", "glb", "triangles as binary glTF, in metres, with the colour", ("chord",), by_default=False)
def write_gltf(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write binary glTF."""
    from formparts.export import write_glb

    write_glb(part.body, path, part.material.colour, options.get("chord", MESH_CHORD))


@writer(".stl", "stl", "triangles as binary STL, in mm", ("chord",), by_default=False)
def write_triangles(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write binary STL."""
    from formparts.export import write_stl

    write_stl(part.body, path, options.get("chord", MESH_CHORD))


@writer(".3mf", "3mf", "triangles as 3MF, in mm", ("chord",), by_default=False)
def write_3mf_package(part: Part, path: Path, options: Mapping[str, Any]) -> None:
    """Write a 3MF package."""
    from formparts.export import write_3mf

    write_3mf(part.body, path, options.get("chord", MESH_CHORD))
