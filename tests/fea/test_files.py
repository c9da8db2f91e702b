"""The written files, read by others: MSH by Gmsh, VTU by VTK, the deck by a reader of another make than its writer."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from formparts.errors import FileProofError, InputError
from formparts.fea import (
    Answer,
    FeaMesh,
    LoadCase,
    mesh_of,
    read_load,
    write_deck,
    write_deflected,
    write_msh,
    write_vtu,
)
from formparts.fea.deck_proof import keyword_blocks, prove_deck
from formparts.fea.decks import deck, set_names
from formparts.fea.loads import node_sets
from formparts.fea.mode_picture import between, scaled
from formparts.fea.picture import beside_rest, deflected, exaggeration
from tests.parts import CAST
from tests.referees import gmsh_session

KINDS = ("shell", "solid", "bricks")


@cache
def made(kind: str) -> FeaMesh:
    """A part with an opening on a wall, a bend down and a slot."""
    return mesh_of(CAST["pierced_wall"](), kind, 6)


def gmsh_volume(gmsh: Any, dimension: int) -> float:
    """Volume (area) by Gmsh's own shape functions and integration points."""
    total = 0.0
    for kind in gmsh.model.mesh.getElementTypes(dimension):
        places, weights = gmsh.model.mesh.getIntegrationPoints(kind, "Gauss8")
        _, stretch, _ = gmsh.model.mesh.getJacobians(kind, places)
        total += float((stretch.reshape(-1, len(weights)) @ weights).sum())
    return total


@pytest.mark.parametrize("kind", KINDS)
def test_msh(kind: str, tmp_path: Path) -> None:
    """Gmsh reads every node, finds the volume (of a shell the area), and each name as a group of its dimension."""
    mesh = made(kind)
    path = write_msh(mesh, tmp_path / "wall.msh")
    with gmsh_session() as gmsh:
        gmsh.open(str(path))
        dimension = 2 if kind == "shell" else 3
        groups = {(d, gmsh.model.getPhysicalName(d, tag)): tag for d, tag in gmsh.model.getPhysicalGroups()}
        assert (dimension, "wall.run[2]") in groups
        numbers, _ = gmsh.model.mesh.getNodesForPhysicalGroup(dimension - 1, groups[dimension - 1, "eye[1]"])
        assert {int(n) - 1 for n in numbers} == set(node_sets(mesh)["eye[1]"].tolist())
        assert len(gmsh.model.mesh.getNodes()[0]) == len(mesh.nodes)
        wanted = mesh.volume / (mesh.body.sheet.thickness if kind == "shell" else 1.0)
        assert gmsh_volume(gmsh, dimension) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_vtu(kind: str, tmp_path: Path) -> None:
    """VTK itself finds the same volume (area of a shell), from the same numbering of the nodes."""
    vtk = pytest.importorskip("vtk", reason="VTK comes with the solid kernel")
    mesh = made(kind)
    moved = Answer(np.tile([1.0, 2.0, 3.0], (len(mesh.nodes), 1)), (0.0, 0.0, 0.0), ())
    reader = vtk.vtkXMLUnstructuredGridReader()
    reader.SetFileName(str(write_vtu(mesh, tmp_path / "wall.vtu", moved)))
    reader.Update()
    grid = reader.GetOutput()
    assert grid.GetPointData().GetArray("displacement").GetTuple(5) == (1.0, 2.0, 3.0)
    fields = grid.GetFieldData()
    pieces = {fields.GetArrayName(i) for i in range(fields.GetNumberOfArrays())}
    assert pieces == {flat.name for flat in mesh.body.flats} | {bend.name for bend in mesh.body.bends}
    skin, triangles = vtk.vtkDataSetSurfaceFilter(), vtk.vtkTriangleFilter()
    skin.SetInputData(grid)
    triangles.SetInputConnection(skin.GetOutputPort())
    figures = vtk.vtkMassProperties()
    figures.SetInputConnection(triangles.GetOutputPort())
    figures.Update()
    # VTK draws curved cells with flat facets through their nodes.
    if kind == "shell":
        assert figures.GetSurfaceArea() == pytest.approx(mesh.volume / mesh.body.sheet.thickness, rel=0.003)
        return
    assert volume_of_cells(vtk, grid) == pytest.approx(mesh.volume, rel=0.003)
    # Which way round a wedge is depends on the version of VTK, so that older ones see faces within bricks.
    if kind != "bricks" or vtk.vtkVersion().GetVTKVersion() >= "9.4":
        assert figures.GetVolume() == pytest.approx(mesh.volume, rel=0.003)


@pytest.mark.parametrize("kind", KINDS)
def test_vtu_by_meshio(kind: str, tmp_path: Path) -> None:
    """meshio reads points, cells and displacements, and finds the cells of a flat by its name; without wedges of 15
    nodes, of which meshio 5.3.5 does not know that they are solid."""
    meshio = pytest.importorskip("meshio", reason="meshio comes with the extra `test`")
    mesh = mesh_of(CAST["angle"](), kind, 6)
    moved = Answer(np.tile([1.0, 2.0, 3.0], (len(mesh.nodes), 1)), (0.0, 0.0, 0.0), ())
    read = meshio.read(write_vtu(mesh, tmp_path / "wall.vtu", moved))
    assert read.points == pytest.approx(mesh.nodes, abs=1e-12)
    assert read.point_data["displacement"][5] == pytest.approx([1.0, 2.0, 3.0])
    number = int(read.field_data["angle.run[2]"][0])
    found = sum(int((values == number).sum()) for values in read.cell_data["feature"])
    assert found == sum(owner == "angle.run[2]" for block in mesh.blocks for owner in block.owners) > 0


def volume_of_cells(vtk: Any, grid: Any) -> float:
    """Volume of the tetrahedra that VTK cuts its cells into, whichever way round they are."""
    found = 0.0
    for number in range(grid.GetNumberOfCells()):
        numbers, places = vtk.vtkIdList(), vtk.vtkPoints()
        grid.GetCell(number).Triangulate(0, numbers, places)
        corners = np.array([places.GetPoint(i) for i in range(places.GetNumberOfPoints())]).reshape(-1, 4, 3)
        a, b, c = (corners[:, i] - corners[:, 0] for i in (1, 2, 3))
        found += abs(float(np.einsum("ij,ij->", np.cross(a, b), c))) / 6.0
    return found


def test_deck_holds_sets_thickness_and_material(tmp_path: Path) -> None:
    """Element types, a set for every name, thickness, modulus and density in the deck's units: t/mm3."""
    mesh = made("shell")
    case = LoadCase(("wall.run[1].left",), (read_load("wall.run[3].upper=90N"),))
    text = write_deck(mesh, case, tmp_path / "wall.inp").read_text()
    blocks = list(keyword_blocks(text))
    words = [word for word, _, _ in blocks]
    assert {parameters["TYPE"] for word, parameters, _ in blocks if word == "ELEMENT"} == {"S8R", "S6"}
    assert blocks[words.index("SHELL SECTION")][2] == ["2"]
    assert blocks[words.index("ELASTIC")][2] == ["210000, 0.3"]
    assert blocks[words.index("DENSITY")][2] == ["7.85e-09"]
    sets = {parameters["NSET"]: lines for word, parameters, lines in blocks if word == "NSET"}
    plain = set_names(node_sets(mesh))
    assert {plain[name] for name in mesh.body.names} <= set(sets)
    eye = [int(part) for line in sets[plain["eye[1]"]] for part in line.split(",") if part.strip()]
    assert eye == [int(n) + 1 for n in node_sets(mesh)["eye[1]"]]
    assert "** eye[1]" in text
    assert max(len(line.split(",")) for line in text.splitlines() if not line.startswith("*")) <= 16


def test_set_names_are_plain_and_no_two_alike() -> None:
    """Letters beyond ASCII, brackets and a clash: every solver of the family takes what comes out."""
    made = set_names(["lug[1].tip", "lug.1.tip", "Träger 3 µm", "1st", "ALL", "µ"])
    assert len(set(made.values())) == 6
    assert all(
        name.isascii() and name.replace("_", "").isalnum() and name[0].isalpha() for name in made.values()
    )


def test_the_proof_of_a_deck_can_fail(tmp_path: Path) -> None:
    """A node moved, a force left out, a density in another unit: each is seen."""
    mesh, case = made("bricks"), LoadCase(("wall.run[1].left",), (read_load("wall.run[3].upper=90N"),))
    text = deck(mesh, case)
    force = text.split("*CLOAD\n")[1].split("\n")[0]
    thousandfold = text.replace("7.85e-09", "7.85e-06")
    for spoilt in (text.replace("\n1, ", "\n1, 9"), text.replace(force + "\n", "", 1), thousandfold):
        path = tmp_path / "spoilt.inp"
        path.write_text(spoilt)
        with pytest.raises(FileProofError):
            prove_deck(path, mesh, case)


def test_same_bytes(tmp_path: Path) -> None:
    """The same part, the same deck and mesh file."""
    case = LoadCase(("wall.run[1].left",), (read_load("wall.run[3].upper=90N"),))
    first, second = (
        [
            write_deck(mesh, case, tmp_path / "wall.inp").read_bytes(),
            write_msh(mesh, tmp_path / "wall.msh").read_bytes(),
        ]
        for mesh in (mesh_of(CAST["pierced_wall"](), "solid", 12) for _ in range(2))
    )
    assert first == second


@pytest.mark.parametrize(
    ("fix", "loads", "said"),
    [
        (("nothing",), (), "names nothing"),
        ((), ("wall.run[3].upper=5N",), "not held"),
        (("wall.run[3].upper",), ("wall.run[3].upper=5N",), "acts on what is fixed"),
    ],
)
def test_cases_that_cannot_be(fix: tuple[str, ...], loads: tuple[str, ...], said: str) -> None:
    """A name that is not there, a part that would fly away, a force on a support."""
    with pytest.raises(InputError, match=said):
        deck(made("shell"), LoadCase(fix, tuple(map(read_load, loads))))


@pytest.mark.parametrize("kind", KINDS)
def test_picture_of_the_deflected_shape(kind: str, tmp_path: Path) -> None:
    """A PNG; the part moved as a whole is drawn moved, by a round exaggeration of about a twentieth of its length."""
    mesh = made(kind)
    answer = Answer(np.tile([0.0, 0.0, 0.01], (len(mesh.nodes), 1)), (0.0, 0.0, 0.0), ())
    scale = exaggeration(mesh, answer)
    longest = float(np.ptp(mesh.nodes, axis=0).max())
    assert 0.4 * 0.05 * longest < 0.01 * scale <= 0.05 * longest
    still, moved = (deflected(mesh, answer, factor)[0].vertices for factor in (0.0, scale))
    assert moved - still == pytest.approx(np.tile([0.0, 0.0, 0.01 * scale], (len(still), 1)))
    light = np.concatenate([line.points for line in beside_rest(mesh, answer, scale)[1] if line.tangent])
    # Where the part rests is drawn as well: the edges of a part between z = 0 and its top, unmoved.
    assert (light.min(axis=0), light.max(axis=0)) == (
        pytest.approx(still.min(axis=0)), pytest.approx(still.max(axis=0)),
    )  # fmt: skip
    path, _ = write_deflected(mesh, answer, tmp_path / "moved.png")
    assert path.read_bytes().startswith(b"\x89PNG")


def test_picture_of_a_shell_in_rows(tmp_path: Path) -> None:
    """A part of rectangles has no triangular element at all, and is drawn like any other."""
    mesh = mesh_of(CAST["angle"](), "shell", 6)
    assert [block.type for block in mesh.blocks] == ["S8R"]
    answer = Answer(np.tile([0.0, 0.0, 0.01], (len(mesh.nodes), 1)), (0.0, 0.0, 0.0), ())
    assert write_deflected(mesh, answer, tmp_path / "rows.png")[0].read_bytes().startswith(b"\x89PNG")


def test_a_mode_moves_to_either_side() -> None:
    """A mode that moves all by one: drawn by a twentieth of the longest side, as far back as forth, at rest between."""
    mesh = mesh_of(CAST["angle"](), "shell", 6)
    shape = np.tile([0.0, 0.0, 7.0], (len(mesh.nodes), 1))
    twentieth = 0.05 * float(np.ptp(mesh.nodes, axis=0).max())
    assert scaled(mesh, shape)[:, 2] == pytest.approx(twentieth)
    answer = Answer(scaled(mesh, shape), (0.0, 0.0, 0.0), ())
    rest, far = (deflected(mesh, answer, share) for share in (0.0, 1.0))
    count = len(rest[0].vertices)
    for share in (1.0, 0.0, -1.0):
        moved, edges = between(rest, far, share)
        assert moved.vertices[:count] - rest[0].vertices == pytest.approx(
            np.tile([0.0, 0.0, share * twentieth], (count, 1))
        )
        assert edges[0].points[:, 2] - rest[1][0].points[:, 2] == pytest.approx(share * twentieth)


def test_a_face_of_two_kinds_of_element_has_one_outline() -> None:
    """Bricks and wedges side by side: no line of a picture lies inside a named face, where no other face is."""
    mesh = made("bricks")
    answer = Answer(np.zeros_like(mesh.nodes), (0.0, 0.0, 0.0), ())
    name = next(name for name, kinds in mesh.surfaces.items() if name.endswith(".upper") and len(kinds) == 2)
    bricks, wedges = (set(kind.ravel().tolist()) for kind in mesh.surfaces[name])
    others = {
        int(n) for other, kinds in mesh.surfaces.items() if other != name for kind in kinds for n in kind.flat
    }
    inside = mesh.nodes[sorted((bricks & wedges) - others)]
    drawn = np.concatenate([line.points for line in deflected(mesh, answer, 0.0)[1]])
    assert len(inside) > 0
    assert min(np.linalg.norm(drawn - place, axis=1).min() for place in inside) > 0.1
