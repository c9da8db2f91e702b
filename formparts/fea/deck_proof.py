"""Compare a written deck with the mesh: its text is read by other means than it was written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from formparts.errors import FileProofError
from formparts.fea.arrays import np
from formparts.fea.case import TONNES_PER_MM3, LoadCase, loaded
from formparts.fea.elements import shares, volumes
from formparts.fea.loads import couples
from formparts.fea.mesh import FeaMesh
from formparts.tolerances import MESH_REL, ROUNDING

_TYPES = {"S8R": 8, "S6": 6, "STRI65": 6, "C3D10": 10, "C3D15": 15, "C3D20R": 20}


def keyword_blocks(text: str) -> Iterator[tuple[str, dict[str, str], list[str]]]:
    """Return every keyword of a deck with its parameters and lines; comments are left out."""
    word, parameters, lines = "", dict[str, str](), list[str]()
    for line in text.splitlines():
        if line.startswith("**") or not line.strip():
            continue
        if line.startswith("*"):
            yield word, parameters, lines
            word, *rest = (part.strip() for part in line[1:].split(","))
            parameters = {
                name.strip(): value.strip() for name, _, value in (part.partition("=") for part in rest)
            }
            lines = []
        else:
            lines.append(line)
    yield word, parameters, lines


def prove_deck(path: Path, mesh: FeaMesh, case: LoadCase) -> None:
    """Prove that mass and total load of the file are those of the part."""
    where, blocks = str(path), list(keyword_blocks(path.read_text(encoding="ascii")))
    _prove_mass(where, blocks, mesh)
    total = np.zeros(6)
    for word, _, lines in blocks:
        if word == "CLOAD":
            for _, axis, force in read_numbers(lines, where):
                total[int(axis) - 1] += force
    wanted = np.hstack([loaded(mesh, case).sum(axis=0), couples(mesh, case.loads).sum(axis=0)])
    if not np.allclose(total, wanted, rtol=ROUNDING, atol=ROUNDING * (1.0 + float(np.abs(wanted).max()))):
        raise FileProofError(where, f"its loads add up to {total} N and Nmm, and not to {wanted}")


def _prove_mass(where: str, blocks: list[tuple[str, dict[str, str], list[str]]], mesh: FeaMesh) -> None:
    """Prove the mass from the file alone: its nodes, elements, thickness and density."""
    nodes: dict[int, list[float]] = {}
    volume, thickness, density = 0.0, 1.0, 0.0
    cells: list[tuple[str, list[list[float]]]] = []
    for word, parameters, lines in blocks:
        if word == "NODE":
            nodes |= {int(row[0]): row[1:] for row in read_numbers(lines, where)}
        elif word == "ELEMENT":
            cells.append((parameters["TYPE"], list(read_numbers(lines, where))))
        elif word in ("SHELL SECTION", "DENSITY"):
            (value,) = next(read_numbers(lines, where))
            thickness, density = (value, density) if word == "SHELL SECTION" else (thickness, value)
    points = np.zeros((max(nodes) + 1, 3))
    points[list(nodes)] = list(nodes.values())
    for kind, rows in cells:
        numbers = np.array(rows, dtype=np.int64)[:, 1:]
        if numbers.shape[1] != _TYPES[kind]:
            raise FileProofError(where, f"an element {kind} has {numbers.shape[1]} nodes")
        flat = _TYPES[kind] in (6, 8)
        volume += float(
            shares(points, numbers)[0].sum() * thickness if flat else volumes(points, numbers).sum()
        )
    mass, wanted = volume * density / TONNES_PER_MM3 * 1e-9, mesh.mass
    if not abs(mass - wanted) <= MESH_REL * wanted:
        raise FileProofError(where, f"it weighs {mass:.9g} kg, and not {wanted:.9g} kg")


def read_numbers(lines: Iterable[str], where: str) -> Iterator[list[float]]:
    """Return the numbers in the data lines of one keyword; a line that ends in a comma continues."""
    kept: list[float] = []
    for line in lines:
        try:
            kept += [float(part) for part in line.split(",") if part.strip()]
        except ValueError as error:
            raise FileProofError(where, f"the line {line!r} is not made of numbers") from error
        if not line.rstrip().endswith(","):
            yield kept
            kept = []
