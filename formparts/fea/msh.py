"""The mesh as an MSH file (version 2.2, text), its sets as physical groups by the body's names."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from formparts.arguments import takes
from formparts.errors import FileProofError
from formparts.export.files import delivered
from formparts.fea.arrays import Integers
from formparts.fea.mesh import FeaMesh

_ORDERS: Final[dict[int, tuple[int, int, tuple[int, ...]]]] = {
    3: (8, 1, (0, 2, 1)),
    6: (9, 2, tuple(range(6))),
    8: (16, 2, tuple(range(8))),
    10: (11, 3, (0, 1, 2, 3, 4, 5, 6, 7, 9, 8)),
    15: (18, 3, (0, 1, 2, 3, 4, 5, 6, 8, 12, 7, 13, 14, 9, 11, 10)),
    20: (17, 3, (0, 1, 2, 3, 4, 5, 6, 7, 8, 11, 16, 9, 17, 10, 18, 19, 12, 15, 13, 14)),
}
"""By the number of nodes: the format's type of element, its dimension, and its order of nodes from formparts' own."""


@takes(mesh="FeaMesh", path=("str", "os.PathLike"))
def write_msh(mesh: FeaMesh, path: str | os.PathLike[str]) -> Path:
    """
    Write a mesh as MSH 2.2, mm, with a physical group for every flat, bend, face and opening.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    FileProofError
        The file does not hold all nodes and elements.

    Source
    ------
    Gmsh reference manual, MSH file format version 2 and node ordering (from memory).
    """
    groups = list(_groups(mesh))
    text = "\n".join([*_head(groups), *_nodes(mesh), *_elements(groups), ""])
    return delivered(path, text, lambda draft: _prove(draft, mesh, sum(len(cells) for _, cells in groups)))[0]


def _groups(mesh: FeaMesh) -> Iterator[tuple[str, Integers]]:
    """Every set of elements, faces or edges, with its name."""
    for block in mesh.blocks:
        for owner in dict.fromkeys(block.owners):
            rows = [number for number, own in enumerate(block.owners) if own == owner]
            yield owner, block.cells[rows]
    # On shells the faces of flats and bends are the elements themselves; those are not written twice.
    for name, kinds in mesh.surfaces.items():
        for faces in kinds:
            if mesh.kind != "shell" or faces.shape[1] == 3:
                yield name, faces


def _names(groups: list[tuple[str, Integers]]) -> dict[tuple[int, str], int]:
    """A number for each name and dimension."""
    keys = dict.fromkeys((_ORDERS[cells.shape[1]][1], name) for name, cells in groups)
    return {key: number for number, key in enumerate(keys, 1)}


def _head(groups: list[tuple[str, Integers]]) -> Iterator[str]:
    names = _names(groups)
    yield "$MeshFormat\n2.2 0 8\n$EndMeshFormat"
    yield f"$PhysicalNames\n{len(names)}"
    for (dimension, name), number in names.items():
        yield f'{dimension} {number} "{name}"'
    yield "$EndPhysicalNames"


def _nodes(mesh: FeaMesh) -> Iterator[str]:
    yield f"$Nodes\n{len(mesh.nodes)}"
    yield from (f"{number} {x:.15g} {y:.15g} {z:.15g}" for number, (x, y, z) in enumerate(mesh.nodes, 1))
    yield "$EndNodes"


def _elements(groups: list[tuple[str, Integers]]) -> Iterator[str]:
    names = _names(groups)
    yield f"$Elements\n{sum(len(cells) for _, cells in groups)}"
    number = 0
    for name, cells in groups:
        kind, dimension, order = _ORDERS[cells.shape[1]]
        group = names[dimension, name]
        for cell in cells[:, list(order)]:
            number += 1
            yield f"{number} {kind} 2 {group} {group} {' '.join(str(node + 1) for node in cell)}"
    yield "$EndElements"


def _prove(path: Path, mesh: FeaMesh, elements: int) -> None:
    """Count what the file holds."""
    lines = path.read_text(encoding="utf-8").splitlines()
    nodes, cells = lines.index("$Nodes"), lines.index("$Elements")
    found = (lines.index("$EndNodes") - nodes - 2, lines.index("$EndElements") - cells - 2)
    if found != (len(mesh.nodes), elements):
        raise FileProofError(
            str(path), f"it holds {found} nodes and elements, and not {(len(mesh.nodes), elements)}"
        )
