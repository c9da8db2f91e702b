"""Decks for other solvers, read by an independent reader; sides of elements under every name; quality of meshes."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from formparts.fea import FeaMesh, LoadCase, mesh_of, read_load, write_deck
from formparts.fea.deck_proof import keyword_blocks
from formparts.fea.decks import deck
from formparts.fea.elements import shares
from formparts.fea.nastran import write_nastran
from formparts.fea.quality import WELL_SHAPED, quality
from formparts.fea.sides import _SOLID
from formparts.fea.studies import Study
from tests.parts import CAST

KINDS = ("shell", "solid", "bricks")
CASE = LoadCase(("wall.run[1].left",), (read_load("wall.run[3].upper=90N@0,0,-1"),))


@cache
def made(kind: str) -> FeaMesh:
    return mesh_of(CAST["pierced_wall"](), kind, 6, 1)


@pytest.mark.parametrize("kind", ["shell", "solid"])
def test_bulk_data_by_meshio(kind: str, tmp_path: Path) -> None:
    """meshio reads all nodes where they are, and as many elements of each number of nodes."""
    meshio = pytest.importorskip("meshio", reason="meshio comes with the extra `test`")
    mesh = made(kind)
    read = meshio.read(write_nastran(mesh, CASE, tmp_path / "wall.bdf"), file_format="nastran")
    assert read.points == pytest.approx(mesh.nodes, abs=1e-8)
    counts = {block.data.shape[1]: 0 for block in read.cells}
    for block in read.cells:
        counts[block.data.shape[1]] += len(block.data)
    assert counts == {block.cells.shape[1]: len(block.cells) for block in mesh.blocks}


def test_bulk_data_hold_the_load(tmp_path: Path) -> None:
    """The forces of the file add up to 90 N downwards, in fields of sixteen columns."""
    text = write_nastran(made("bricks"), CASE, tmp_path / "wall.bdf").read_text().splitlines()
    at = [number for number, line in enumerate(text) if line.startswith("FORCE*")]
    total = [sum(float(text[n + 1][8 + 16 * i : 24 + 16 * i]) for n in at) for i in range(3)]
    assert total == pytest.approx([0, 0, -90], abs=1e-6)
    assert max(map(len, text)) <= 72


@pytest.mark.parametrize("kind", KINDS)
def test_other_flavour_by_meshio(kind: str, tmp_path: Path) -> None:
    """meshio reads the deck of the other flavour: nodes, and the elements that it knows (not triangular shells)."""
    meshio = pytest.importorskip("meshio", reason="meshio comes with the extra `test`")
    mesh = mesh_of(CAST["angle"](), kind, 6, 1)
    case = LoadCase(("angle.run[1].left",), (read_load("angle.run[2].right=9N@0,0,1"),))
    read = meshio.read(write_deck(mesh, case, tmp_path / "angle.inp", "abaqus"), file_format="abaqus")
    assert read.points == pytest.approx(mesh.nodes, abs=1e-9)
    assert sum(len(block.data) for block in read.cells) == sum(len(block.cells) for block in mesh.blocks)


def test_where_flavours_differ() -> None:
    """What one solver reads and the other does not stays in its own deck."""
    ours, other = (deck(made("shell"), CASE, flavour) for flavour in ("calculix", "abaqus"))
    for word in ("OUTPUT=3D", "TYPE=S6"):
        assert word in ours
        assert word not in other
    for word in ("TYPE=STRI65", ", E1"):
        assert word in other
        assert word not in ours


@pytest.mark.parametrize("kind", KINDS)
def test_every_named_face_is_a_surface(kind: str) -> None:
    """The sides of elements under a name are those of its faces: as many, and of solids their areas as well."""
    mesh = made(kind)
    cells = [cell for block in mesh.blocks for cell in block.cells.tolist()]
    found = {}
    for word, parameters, rows in keyword_blocks(deck(mesh, LoadCase())):
        if word == "SURFACE":
            found[parameters["NAME"]] = [row.split(", ") for row in rows]
    assert len(found) == len(mesh.surfaces)
    for (name, kinds), rows in zip(mesh.surfaces.items(), found.values(), strict=True):
        assert len(rows) == sum(map(len, kinds)), name
        if kind != "shell":
            area = sum(_area(mesh, cells[int(number) - 1], int(side[1:])) for number, side in rows)
            assert area == pytest.approx(
                sum(float(shares(mesh.nodes, f)[0].sum()) for f in kinds), rel=0.05
            ), name


def _area(mesh: FeaMesh, cell: list[int], side: int) -> float:
    """Of a side with straight edges."""
    a, b, c, *more = (mesh.nodes[cell[corner]] for corner in _SOLID[len(cell)][side - 1])
    area = np.linalg.norm(np.cross(b - a, c - a)) / 2
    return float(area + (np.linalg.norm(np.cross(c - a, more[0] - a)) / 2 if more else 0.0))


@pytest.mark.parametrize("kind", ["shell", "bricks"])
def test_quality(kind: str) -> None:
    """The least scaled Jacobian is 0.3 or more."""
    assert quality(made(kind)) >= WELL_SHAPED
    assert not any("scaled Jacobian" in words for words in Study(made(kind), ()).cautions)


def test_elements_that_are_not_well_shaped_are_told() -> None:
    """Tetrahedra are cut from bricks that are longer than high, and are worse (the figure by the test's own hand: the
    volume at a corner, six times that of the tetrahedron, by its three edges)."""
    mesh = made("solid")
    (block,) = mesh.blocks
    worst = min(
        abs(np.linalg.det(edges := mesh.nodes[np.delete(cell[:4], corner)] - mesh.nodes[cell[corner]]))
        / np.prod(np.linalg.norm(edges, axis=1))
        for cell in block.cells
        for corner in range(4)
    ) * math.sqrt(2)
    (words,) = (words for words in Study(mesh, ()).cautions if "scaled Jacobian" in words)
    assert words.startswith(f"The worst element has a scaled Jacobian of {worst:.2g}, below 0.3: ")
    assert words.endswith("take bricks.")


def test_quality_sees_a_bad_element() -> None:
    """A cube has 1; drawn out to a sliver it has next to nothing."""
    mesh = mesh_of(CAST["angle"](), "bricks", 6, 1)
    assert quality(mesh) > 0.5
    mesh.nodes[:, 0] += 20 * mesh.nodes[:, 1]
    assert quality(mesh) < 0.1
