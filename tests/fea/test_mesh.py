"""The mesh is the part: its volume, faces, names and sets, on the whole cast."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.fea import FeaMesh, LoadCase, mesh_of, read_load, write_deck
from formparts.fea.deck_proof import keyword_blocks
from formparts.fea.decks import set_names
from formparts.fea.delaunay import triangulation
from formparts.fea.elements import NODES, rule, shares, volumes
from formparts.fea.loads import forces, node_sets
from formparts.fea.planar import planar_mesh
from formparts.fea.quality import quality
from formparts.outline import Motion, disc, rectangle
from formparts.recipe_functions import Recipe, recipes
from formparts.recipe_functions.shipped import shipped_folder
from formparts.shapes import pierced, plate, profile, run, up
from formparts.solids import solid
from tests.parts import CAST
from tests.shapes.test_openings_across_bends import CASES, with_opening

KINDS = ("shell", "solid", "bricks")


@cache
def made_of(name: str, kind: str) -> FeaMesh:
    return mesh_of(CAST[name](), kind, 6, 1)


def openings(body: Body) -> set[str]:
    return {opening.name for flat in body.flats for opening in flat.openings}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", CAST)
def test_mesh_is_the_part(name: str, kind: str) -> None:
    """It weighs what the part weighs, its faces close it, and every face of the solid has its set."""
    mesh = made_of(name, kind)
    weighs_the_same(mesh)
    has_every_name(mesh)
    if kind != "shell":
        is_closed(mesh)


LEFT_OUT = {
    "roof_purlin": "1.2 m long, at ten times the time; openings across bends are below",
    "chest_hinge": "countersinks are left out of meshes, which are heavier by them",
    "bench_drawer": "as corner_tray, at ten times the time",
    "gauge_case": "as corner_tray",
    "gauge_lid": "as corner_tray",
}
SHIPPED = {path.stem for path in shipped_folder().glob("*.py")} - set(LEFT_OUT)


@pytest.mark.parametrize("kind", ["shell", "bricks"])
@pytest.mark.parametrize(
    "recipe", [each for each in recipes() if each.name in SHIPPED], ids=lambda each: each.name
)
def test_shipped_recipe_and_its_deck(recipe: Recipe, kind: str, tmp_path: Path) -> None:
    """
    As above, and the deck has a set for every flat, bend, opening and face; its own proof holds its mass to 1e-6.

    At the default size the least scaled Jacobian of shells is 0.3 or more (common practice, no source); bricks are made
    from the same net. Far coarser elements than that go round small holes, and are worse.
    """
    mesh = mesh_of(recipe(), kind) if kind == "shell" else mesh_of(recipe(), kind, 20, 1)
    weighs_the_same(mesh)
    has_every_name(mesh)
    if kind == "shell":
        assert quality(mesh) >= 0.3
    else:
        is_closed(mesh)
    text = write_deck(mesh, LoadCase(), tmp_path / "part.inp").read_text(encoding="ascii")
    written = {options["NSET"]: rows for word, options, rows in keyword_blocks(text) if word == "NSET"}
    plain = set_names(node_sets(mesh))
    upper_and_lower = {f"{flat.name}.{side}" for flat in mesh.body.flats for side in ("upper", "lower")}
    wanted = {*mesh.body.names} | openings(mesh.body) | upper_and_lower
    assert all(written[plain[name]] for name in wanted)


ACROSS = ("a hole within the bend", "a hole across both tangent lines", "a slot askew", "a slanted end")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("case", ACROSS)
def test_openings_across_bends(case: str, kind: str) -> None:
    """As above, where openings leave one or several regions of a bend. Elements that are rolled up askew follow
    the cylinder to 1e-5 of the part; a wall of shells is their edge by the thickness, which on a slope is less true."""
    mesh = mesh_of(with_opening(*CASES[case]), kind, 6, 1)
    assert mesh.volume == pytest.approx(properties(mesh.body).volume, rel=1e-5)
    has_every_name(mesh, 0.02 if kind == "shell" else 1e-4)
    if kind != "shell":
        is_closed(mesh)


def weighs_the_same(mesh: FeaMesh) -> None:
    """Volume and mass by integration over the elements are the closed form, to 1e-9: curved edges enclose as much."""
    wanted = properties(mesh.body)
    assert mesh.volume == pytest.approx(wanted.volume, rel=1e-9)
    assert mesh.mass == pytest.approx(wanted.mass, rel=1e-9)


def is_closed(mesh: FeaMesh) -> None:
    """Faces of the solid's names point outward and close the mesh: normals add up to nothing, and hold its volume."""
    flux, volume, area = np.zeros(3), 0.0, 0.0
    for surface in solid(mesh.body).faces:
        for faces in mesh.surfaces[surface]:
            plain, normal = shares(mesh.nodes, faces)
            flux += normal.sum(axis=(0, 1))
            area += plain.sum()
            found, points = rule(faces.shape[1]), mesh.nodes[faces]
            ways = np.einsum("pnd,cnx->cpdx", found.slopes, points)
            out = np.cross(ways[:, :, 0], ways[:, :, 1])
            at = np.einsum("pn,cnx->cpx", found.values, points)
            volume += float(np.einsum("p,cpx,cpx->", found.weights, out, at)) / 3.0
    assert np.abs(flux).max() < 1e-9 * area
    assert volume == pytest.approx(mesh.volume, rel=1e-9)
    assert area == pytest.approx(
        properties(mesh.body).surface, rel=1e-5
    )  # parabolas for arcs: length off by 4e-6


def has_every_name(mesh: FeaMesh, rel: float = 1e-5) -> None:
    """Every face of the STEP file has its set, and it covers the same area; an edge that was cut has all its faces."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    for name, face in solid(mesh.body).faces.items():
        figures = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, figures)
        # Both skins of a bend of shells lie on its mid-surface.
        if mesh.kind != "shell" or not re.search(r"\.(inside|outside)(\.\d+)?$", name):
            assert area_of(mesh, name) == pytest.approx(figures.Mass(), rel=rel), name
        whole = re.sub(r"\.\d+$", "", name)
        parts = [other for other in mesh.surfaces if re.fullmatch(re.escape(whole) + r"\.\d+", other)]
        if name in parts:
            assert area_of(mesh, whole) == pytest.approx(sum(area_of(mesh, part) for part in parts))
    assert openings(mesh.body) <= set(mesh.surfaces)
    assert {*mesh.body.names} <= set(node_sets(mesh))


def area_of(mesh: FeaMesh, name: str) -> float:
    """Of a named face; an edge of shells stands for a face as high as the sheet is thick."""
    height = {3: mesh.body.sheet.thickness}
    kinds = mesh.surfaces[name]
    return sum(float(shares(mesh.nodes, faces)[0].sum()) * height.get(faces.shape[1], 1.0) for faces in kinds)


def test_sets_lie_where_their_names_say() -> None:
    """Nodes of the upper face lie on it, those of an opening on its rim, whatever the kind of mesh."""
    for kind, height in (("shell", 1.0), ("solid", 2.0), ("bricks", 2.0)):
        mesh = made_of("flat_plate", kind)
        sets = node_sets(mesh)
        upper = mesh.nodes[sets["flat_plate.upper"]]
        assert upper[:, 2] == pytest.approx(np.full(len(upper), height))
        rim = mesh.nodes[sets["round"]]
        assert np.hypot(rim[:, 0], rim[:, 1]) == pytest.approx(np.full(len(rim), 4.5), rel=1e-4)


def test_flats_that_allow_it_are_meshed_in_rows() -> None:
    """Nothing but quadrilaterals, as many as rows times columns."""
    body = profile(Sheet(2, 3), 50, run(40, "tangent line"), up(90), run(30, "tangent line"), name="angle")
    mesh = mesh_of(body, "shell", 5)
    assert [(block.type, len(block.cells)) for block in mesh.blocks] == [("S8R", 10 * 8 + 10 * 4 + 10 * 6)]


def test_layers_through_the_thickness() -> None:
    """Three layers are three times the elements and the same volume."""
    body = CAST["angle"]()
    one, three = mesh_of(body, "bricks", layers=1), mesh_of(body, "bricks", layers=3)
    assert sum(len(b.cells) for b in three.blocks) == 3 * sum(len(b.cells) for b in one.blocks)
    assert three.volume == pytest.approx(one.volume, rel=1e-12)


def test_narrow_web_is_followed_by_smaller_elements() -> None:
    """A web of a tenth of the element's size between two edges is meshed all the same."""
    body = plate(Sheet(1, 1), pierced(rectangle(20, 15), rectangle(19, 14)), "frame")
    mesh = mesh_of(body, "shell", 5)
    assert mesh.volume == pytest.approx(20 * 15 - 19 * 14, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("web", [0.3, 0.1, 0.02])
def test_the_bulge_of_an_arc_does_not_reach_across_a_narrow_web(web: float, kind: str) -> None:
    """A hole of 16 so near to an edge, in elements of 6: one with its side on the arc was turned over, and refused."""
    hole = disc(16).moved(Motion.shift(0, -19.5 + 8 + web))
    weighs_the_same(mesh_of(plate(Sheet(3, 3), pierced(rectangle(18, 39), hole), "web"), kind, 6))


def test_size_moves_the_number_of_elements() -> None:
    """Half the size, about four times the elements; the curved rim stays where it was."""
    body = plate(Sheet(1, 1), disc(100), "round")
    coarse, fine = (sum(len(b.cells) for b in mesh_of(body, "shell", size).blocks) for size in (12, 6))
    assert 3.3 < fine / coarse < 4.7


@pytest.mark.parametrize("nodes", NODES)
def test_shape_functions(nodes: int) -> None:
    """One at their own node, nought at the others, and one in sum anywhere; slopes add up to nothing."""
    found = rule(nodes)
    assert found.values.sum(axis=1) == pytest.approx(np.ones(len(found.values)))
    assert np.abs(found.slopes.sum(axis=1)).max() < 1e-12
    sizes = {3: 2.0, 6: 0.5, 8: 4.0, 10: 1 / 6, 15: 1.0, 20: 8.0}
    assert found.weights.sum() == pytest.approx(sizes[nodes], rel=1e-14)


def test_an_element_turned_inside_out_has_no_volume() -> None:
    """Two corners exchanged are seen."""
    points = np.array(NODES[10], dtype=float)
    assert volumes(points, np.arange(10)[None]) == pytest.approx([1 / 6])
    assert math.isnan(volumes(points, np.array([[1, 0, 2, 3, 4, 6, 5, 8, 7, 9]]))[0])


def test_no_circumcircle_holds_another_point() -> None:
    """The definition of Delaunay's triangles (1934), on random points."""
    points = np.random.default_rng(7).uniform(0, 10, (60, 2))
    net = triangulation(points.min(axis=0), points.max(axis=0))
    assert all(net.add(point) for point in points)
    centres, squares, double = net.circles(net.corners)
    away = ((net.points[: net.count, None] - centres) ** 2).sum(axis=2)
    assert (away >= squares * (1 - 1e-9)).all()
    assert (double > 0).all()
    assert len(net.corners) == 2 * 60 + 1  # Euler: 2 n - 2 - h with the three far corners as hull


def test_edges_too_coarse_for_what_is_beside_them() -> None:
    """An edge with points close to its middle on both sides cannot be kept, and is named by its number."""
    outer = np.array([(0, 0), (2, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
    slot = np.array([(0.2, 0.2), (0.2, 0.4), (2, 0.4), (3.8, 0.4), (3.8, 0.2)], dtype=float)
    assert planar_mesh([outer, slot], 4.0).missing == (9,)


@pytest.mark.parametrize(
    ("kind", "size", "layers", "said"),
    [
        ("cubes", 2, 1, "is not a kind of mesh"),
        ("shell", 1e-4, 1, "more than 1,000,000"),
        ("shell", float("nan"), 1, "size"),
        ("solid", 2, 0, "layers"),
    ],
)
def test_refusals(kind: str, size: float, layers: int, said: str) -> None:
    """One line that says what is allowed."""
    with pytest.raises(InputError, match=said):
        mesh_of(CAST["angle"](), kind, size, layers)


def test_pressing_load() -> None:
    """500 N on a face is 500 N against its normal; half of it goes to each of two equal faces."""
    body = profile(Sheet(2, 3), 50, run(40), up(90), run(40), name="angle")
    for kind in KINDS:
        mesh = mesh_of(body, kind, 8)
        total = forces(mesh, [read_load("angle.run[*].upper = 500 N")]).sum(axis=0)
        # The upper faces of an angle look up and, on the upright run, back over the first one.
        assert total == pytest.approx([250.0, 0.0, -250.0], abs=1e-9)
        turned = forces(mesh, [read_load("angle.run[2].*=0.5kN@0,3,4")]).sum(axis=0)
        assert turned == pytest.approx([0.0, 300.0, 400.0], abs=1e-9)


def test_a_uniform_load_on_a_quadratic_face() -> None:
    """Corners get -1/12 of the load on a quadrilateral of eight nodes and middles a third: K.-J. Bathe, Finite Element
    Procedures (from memory); a triangle's corners get nothing."""
    plain, _ = shares(np.array([(x, y, 0) for x, y in NODES[8]], dtype=float), np.arange(8)[None])
    assert plain[0] / 4 == pytest.approx([-1 / 12] * 4 + [1 / 3] * 4)
    plain, _ = shares(np.array([(x, y, 0) for x, y in NODES[6]], dtype=float), np.arange(6)[None])
    assert plain[0] * 2 == pytest.approx([0] * 3 + [1 / 3] * 3)


@pytest.mark.parametrize(
    "text", ["", "a", "a=", "a=5mm", "a=nanN", "a=0N", "a=5N@1,2", "a=5N@0,0,0", "a=5N@x,y,z"]
)
def test_what_is_no_load(text: str) -> None:
    """The error gives the way to write it."""
    with pytest.raises(InputError, match="write it as NAMES=FORCE"):
        read_load(text)


def test_loads_that_cannot_be() -> None:
    """No such name; an edge of a shell, which has no way to be pressed; a bend, which has many."""
    mesh = made_of("angle", "shell")
    for where, said in (("angle.run[9].upper", "names nothing"), ("angle.bend[1].inside", "say which way")):
        with pytest.raises(InputError, match=said):
            forces(mesh, [read_load(f"{where}=5N")])
    with pytest.raises(InputError, match="say which way"):
        forces(mesh, [read_load("angle.run[2].right=5N")])
    assert LoadCase().loads == ()
