"""The mesh and a load case as bulk data, of the format that solvers of the Nastran family read."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from formparts.errors import FileProofError
from formparts.export.files import delivered
from formparts.fea.arrays import np
from formparts.fea.case import STANDARD_GRAVITY, TONNES_PER_MM3, LoadCase, loaded, refuse_loose, support_nodes
from formparts.fea.decks import elastic
from formparts.fea.loads import couples
from formparts.fea.mesh import FeaMesh
from formparts.tolerances import ROUNDING

_CARDS: Final[dict[int, tuple[str, tuple[int, ...]]]] = {
    6: ("CTRIA6", tuple(range(6))),
    8: ("CQUAD8", tuple(range(8))),
    10: ("CTETRA", tuple(range(10))),
    15: ("CPENTA", (0, 1, 2, 3, 4, 5, 6, 7, 8, 12, 13, 14, 9, 10, 11)),
    20: ("CHEXA", (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 16, 17, 18, 19, 12, 13, 14, 15)),
}
"""By the number of nodes: the card, and its order of nodes from formparts' own (quick reference guide, from memory)."""
_SETS: Final = 1


def write_nastran(mesh: FeaMesh, case: LoadCase, path: str | os.PathLike[str]) -> Path:
    """
    Write a mesh and a linear static case, or its natural frequencies, as bulk data: mm, N, MPa, tonnes, s.

    Parameters
    ----------
    mesh : FeaMesh
        Of the part.
    case : LoadCase
        What holds it and what loads it.
    path : path
        The file to write.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        A name is not one of the part, or the material has no modulus.
    FileProofError
        The file did not read back with all nodes and elements.
    """
    text = "\n".join([*_control(mesh, case), "BEGIN BULK", *_bulk(mesh), *_acting(mesh, case), "ENDDATA", ""])
    return delivered(path, text, lambda draft: _prove(draft, mesh))[0]


def _control(mesh: FeaMesh, case: LoadCase) -> Iterator[str]:
    yield "SOL 103" if case.frequencies else "SOL 101"
    yield f"CEND\nTITLE = {mesh.body.name.encode('ascii', 'replace').decode()}\nECHO = NONE"
    if case.fix:
        yield f"SPC = {_SETS}"
    if case.frequencies:
        yield f"METHOD = {_SETS}"
    elif case.acts:
        yield f"LOAD = {_SETS}"
    yield "DISPLACEMENT = ALL\nSPCFORCES = ALL\nSTRESS(CORNER) = ALL"


def _bulk(mesh: FeaMesh) -> Iterator[str]:
    modulus, poisson = elastic(mesh.body.sheet.material, mesh.body.name)
    density = mesh.body.sheet.material.density * TONNES_PER_MM3
    yield _card("MAT1", 1, modulus, "", poisson, density)
    if mesh.kind == "shell":
        yield _card("PSHELL", 1, 1, mesh.body.sheet.thickness, 1, "", 1)
    else:
        yield _card("PSOLID", 1, 1)
    for number, (x, y, z) in enumerate(mesh.nodes.tolist(), 1):
        yield _card("GRID", number, "", x, y, z)
    number = 0
    for block in mesh.blocks:
        name, order = _CARDS[block.cells.shape[1]]
        for cell in block.cells[:, list(order)].tolist():
            number += 1
            yield _short_card(name, number, 1, *(node + 1 for node in cell))


def _acting(mesh: FeaMesh, case: LoadCase) -> Iterator[str]:
    refuse_loose(mesh, case)
    for item, nodes in support_nodes(mesh, case):
        directions = range(6 if mesh.kind == "shell" else 3) if item.clamped else item.directions
        letters = "".join(str(axis + 1) for axis in directions)
        if item.displacement:
            for node in nodes.tolist():
                yield _card("SPC", _SETS, node + 1, letters, item.displacement)
        else:
            for node in nodes.tolist():
                yield _card("SPC1", _SETS, letters, node + 1)
    if case.frequencies:
        yield _card("EIGRL", _SETS, "", "", case.frequencies)
        return
    pushed = loaded(mesh, case)
    for node in np.flatnonzero(pushed.any(axis=1)).tolist():
        yield _card("FORCE", _SETS, node + 1, "", 1.0, *pushed[node].tolist())
    turned = couples(mesh, case.loads)
    for node in np.flatnonzero(turned.any(axis=1)).tolist():
        yield _card("MOMENT", _SETS, node + 1, "", 1.0, *turned[node].tolist())
    size = math.hypot(*case.gravity)
    if size:
        yield _card("GRAV", _SETS, "", size * STANDARD_GRAVITY, *(part / size for part in case.gravity))


def _card(name: str, *fields: object) -> str:
    """A card in fields of sixteen columns, four to a line, so that no figure loses digits."""
    texts = [_field(value) for value in fields]
    rows = [texts[start : start + 4] for start in range(0, len(texts), 4)]
    lines = [f"{'*' if number else f'{name}*':<8}" + "".join(row) for number, row in enumerate(rows)]
    if len(lines) % 2:  # long cards come in pairs of lines
        lines.append("*")
    return "\n".join(lines)


def _short_card(name: str, *numbers: int) -> str:
    """A card of whole numbers in fields of eight columns, eight to a line."""
    rows = [numbers[start : start + 8] for start in range(0, len(numbers), 8)]
    lines = [
        f"{'+' if n else name:<8}" + "".join(f"{number:8d}" for number in row) for n, row in enumerate(rows)
    ]
    return "\n".join(lines)


def _field(value: object) -> str:
    if isinstance(value, float):
        text = f"{value:.10G}"
        return f"{text if '.' in text or 'E' in text else text + '.'}".rjust(16)
    return str(value).rjust(16)


def _prove(path: Path, mesh: FeaMesh) -> None:
    """Count nodes and elements, and read the nodes' places back."""
    lines = path.read_text(encoding="ascii").splitlines()
    at = [number for number, line in enumerate(lines) if line.startswith("GRID*")]
    elements = sum(line.startswith(tuple(f"{name} " for name, _ in _CARDS.values())) for line in lines)
    if (len(at), elements) != (len(mesh.nodes), sum(len(block.cells) for block in mesh.blocks)):
        raise FileProofError(
            str(path), f"it holds {len(at)} nodes and {elements} elements, and not those of the mesh"
        )
    places = np.array([_places(lines[number], lines[number + 1]) for number in at])
    if not np.allclose(places, mesh.nodes, rtol=ROUNDING, atol=ROUNDING):
        raise FileProofError(str(path), "its nodes do not read back as those of the mesh")


def _places(first: str, second: str) -> Sequence[float]:
    return (float(first[40:56]), float(first[56:72]), float(second[8:24]))
