"""The mesh and the solver's results as a VTU file for viewers."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

from formparts.arguments import takes
from formparts.errors import FileProofError
from formparts.export.files import delivered
from formparts.fea.arrays import Floats, np
from formparts.fea.mesh import FeaMesh
from formparts.fea.solver import Answer
from formparts.fea.stress import von_mises
from formparts.tolerances import WRITTEN_REL

_TYPES: Final = {6: 22, 8: 23, 10: 24, 15: 26, 20: 25}
"""
The format's type of a second-order cell, by the number of its nodes; its order of nodes is formparts' own.

Up to VTK 9.3 the first triangle of a wedge looked outward, since then it looks inward, as here: older viewers may show
faces between bricks and wedges.
"""


@takes(mesh="FeaMesh", path=("str", "os.PathLike"), answer=("Answer", "None"))
def write_vtu(mesh: FeaMesh, path: str | os.PathLike[str], answer: Answer | None = None) -> Path:
    """
    Write a mesh as VTU: mm, the number of the flat or bend of each cell as `feature`; field data of its name has it.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    path : path
        The file to write.
    answer : Answer, optional
        Displacements [mm], stresses [MPa] and shapes of modes to put on the nodes.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        The file cannot be written there.
    FileProofError
        The file does not read back with all nodes and cells.

    Source
    ------
    VTK file formats, XML unstructured grid (from memory).
    """
    text = "\n".join(_lines(mesh, answer))
    return delivered(path, text, lambda draft: _prove(draft, mesh))[0]


def _lines(mesh: FeaMesh, answer: Answer | None) -> Iterator[str]:
    cells = [cell for block in mesh.blocks for cell in block.cells.tolist()]
    owners = [owner for block in mesh.blocks for owner in block.owners]
    names = list(dict.fromkeys(owners))
    numbers = {name: number for number, name in enumerate(names)}
    yield '<?xml version="1.0"?>'
    yield '<VTKFile type="UnstructuredGrid" version="1.0" byte_order="LittleEndian"><UnstructuredGrid>'
    yield "<FieldData>"
    for name, number in numbers.items():
        yield f'<DataArray type="Int32" Name={quoteattr(name)} NumberOfTuples="1" format="ascii">{number}</DataArray>'
    yield "</FieldData>"
    yield f'<Piece NumberOfPoints="{len(mesh.nodes)}" NumberOfCells="{len(cells)}">'
    if answer is not None:
        yield "<PointData>"
        for name, values in _fields(answer):
            yield from _array(name, "Float64", values.tolist(), values.shape[1])
        yield "</PointData>"
    yield "<CellData>"
    yield from _array("feature", "Int32", [[numbers[owner]] for owner in owners])
    yield "</CellData><Points>"
    yield from _array("Points", "Float64", mesh.nodes.tolist(), 3)
    yield "</Points><Cells>"
    yield from _array("connectivity", "Int64", cells)
    yield from _array("offsets", "Int64", [[end] for end in np.cumsum([len(cell) for cell in cells])])
    yield from _array("types", "UInt8", [[_TYPES[len(cell)]] for cell in cells])
    yield "</Cells></Piece></UnstructuredGrid></VTKFile>"


def _fields(answer: Answer) -> Iterator[tuple[str, Floats]]:
    """Values at the nodes: displacements [mm], stress [MPa] of each skin, shapes of modes."""
    if len(answer.displacements):
        yield "displacement", answer.displacements
    skins = ("",) if answer.stress.shape[1] == 1 else ("_lower", "_upper")
    if len(answer.stress):
        for side, skin in enumerate(skins):
            yield f"stress{skin}", answer.stress[:, side]
            yield f"von_mises{skin}", von_mises(answer.stress[:, side])[:, None]
    for number, shape in enumerate(answer.modes, 1):
        yield f"mode_{number}", shape


def _array(
    name: str, kind: str, rows: list[list[float]] | list[list[int]], components: int = 1
) -> Iterator[str]:
    yield f'<DataArray type="{kind}" Name="{name}" NumberOfComponents="{components}" format="ascii">'
    yield from (" ".join(f"{value:.15g}" for value in row) for row in rows)
    yield "</DataArray>"


def _prove(path: Path, mesh: FeaMesh) -> None:
    """Read the places and the cells back."""
    whole = ElementTree.parse(path)
    array, types = whole.find(".//Points/DataArray"), whole.find(".//Cells/DataArray[@Name='types']")
    cells = len((types.text or "").split()) if types is not None else 0
    if cells != sum(len(block.cells) for block in mesh.blocks):
        raise FileProofError(str(path), f"{cells} cells read back, and not those of the mesh")
    places = np.array((array.text or "").split() if array is not None else [], dtype=float)
    if places.shape != (mesh.nodes.size,) or not np.allclose(
        places, mesh.nodes.ravel(), rtol=WRITTEN_REL, atol=WRITTEN_REL
    ):
        raise FileProofError(str(path), "its points do not read back as the nodes of the mesh")
