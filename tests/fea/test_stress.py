"""Stress, reactions, frequencies and buckling by a real solver, held against theory; supports and loads of practice."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from formparts.body import Body, Sheet
from formparts.errors import InputError
from formparts.fea import FeaOrder, LoadCase, mesh_of, read_cases, read_load, solved, solver_there, study
from formparts.fea.case import loose_motions
from formparts.fea.convergence import extrapolated
from formparts.fea.loads import forces, node_sets
from formparts.fea.peaks import stressed_most
from formparts.fea.stress import principal, von_mises
from formparts.fea.supports import read_support
from formparts.materials import Material, material
from formparts.outline import disc, polygon, rectangle
from formparts.shapes import Turn, down, pierced, plate, profile, run, up

needs_solver = pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)


def metal(poisson: float = 0.0) -> Material:
    """E = 200 GPa, as the worked examples have it."""
    return replace(material("S235JR"), modulus=200000.0, poisson=poisson)


def strip(length: float = 100, width: float = 40, thickness: float = 3, poisson: float = 0.0) -> Body:
    return plate(Sheet(thickness, 3, metal(poisson)), rectangle(length, width), "strip")


@needs_solver
@pytest.mark.parametrize("kind", ["shell", "bricks"])
def test_stress_and_reaction_of_a_cantilever(kind: str) -> None:
    """ME-01: 6 F L / b t^2 = 83.3333 MPa at the clamp, tension above; the support turns the beam back by F L."""
    mesh = mesh_of(strip(), kind, 20, 1)
    answer = solved(mesh, LoadCase(("strip.left",), (read_load("strip.right=50N@0,0,-1"),)))
    assert answer.stress[..., 0].max() == pytest.approx(83.3333, rel=1e-4)
    assert answer.stress[..., 0].min() == pytest.approx(-83.3333, rel=1e-4)
    peak = stressed_most(mesh, answer)
    assert peak is not None
    assert "strip.left" in peak.place.names
    assert peak.von_mises == pytest.approx(83.3333, rel=1e-3)
    assert peak.place.skin == {"shell": "lower", "bricks": ""}[kind] or peak.place.skin == "upper"
    (reaction,) = answer.reactions
    assert reaction.force == pytest.approx((0, 0, 50), abs=1e-4)
    assert reaction.moment == pytest.approx((0, -5000, 0), abs=0.05)


def test_measures_of_stress() -> None:
    """Pure shear of 1: von Mises sqrt(3), principal -1, 0, 1; hydrostatic pressure has no von Mises stress."""
    shear = np.array([0, 0, 0, 1.0, 0, 0])
    assert von_mises(shear) == pytest.approx(math.sqrt(3))
    assert principal(shear) == pytest.approx([-1, 0, 1])
    assert von_mises(np.array([5.0, 5, 5, 0, 0, 0])) == pytest.approx(0)


@needs_solver
@pytest.mark.parametrize(("ratio", "factor"), [(1.0, 1.29254), (2.0, 1.15544)])
def test_inner_fibre_of_a_tight_bend(ratio: float, factor: float) -> None:
    """ME-11 (Golovin): a bend of R/t under a moment has so many times 6 M / b t^2 at its inner fibre. The layers that
    a bend gets unasked are within 3 %; one layer misses by a fifth at R = t."""
    sheet = Sheet(4, 4 * ratio, metal())
    body = profile(sheet, 4, run(30, "tangent line"), up(90), run(30, "tangent line"), name="angle")

    def found(layers: int | None) -> float:
        mesh = mesh_of(body, "bricks", 1.5, layers)
        case = LoadCase(("angle.run[1].left",), (read_load("angle.run[2].right=1Nm@0,1,0"),))
        answer = solved(mesh, case)
        inner = np.unique(np.concatenate([faces.ravel() for faces in mesh.surfaces["angle.bend[1].inside"]]))
        return float(np.abs(principal(answer.stress[inner, 0])).max()) / (6 * 1000 / (4 * 4**2))

    assert found(None) == pytest.approx(factor, rel=0.03)
    if ratio == 1.0:
        assert found(1) < 0.8 * factor


@needs_solver
@pytest.mark.parametrize("bend", [up, down])
@pytest.mark.parametrize(("ratio", "factor"), [(1.0, 1.29254), (2.0, 1.15544)])
def test_inner_fibre_of_a_shell(ratio: float, factor: float, bend: Callable[[float], Turn]) -> None:
    """ME-11 on shells, which a moment on their straight edge bends: the factor applies on the inside of the bend,
    whichever skin that is, and nowhere else; half of it where the flats begin."""
    sheet = Sheet(4, 4 * ratio, metal())
    body = profile(sheet, 8, run(30, "tangent line"), bend(90), run(30, "tangent line"), name="angle")
    mesh = mesh_of(body, "shell", 2)
    answer = solved(mesh, LoadCase(("angle.run[1].left",), (read_load("angle.run[2].right=1Nm@0,1,0"),)))
    (reaction,) = answer.reactions
    assert reaction.moment == pytest.approx((0, -1000, 0), abs=0.01)
    stress = np.abs(principal(answer.stress)).max(axis=-1) / (6 * 1000 / (8 * 4**2))
    inner, outer = (1, 0) if bend is up else (0, 1)
    assert stress[:, inner].max() == pytest.approx(factor, rel=0.015)
    assert stress[:, outer].max() == pytest.approx(1.0, rel=1e-3)
    line = np.isin(np.arange(len(mesh.nodes)), node_sets(mesh)["angle.run[1]"])
    line &= np.isin(np.arange(len(mesh.nodes)), node_sets(mesh)["angle.bend[1]"])
    assert stress[line, inner].mean() == pytest.approx((1 + factor) / 2, rel=0.015)


@needs_solver
@pytest.mark.parametrize(("ratio", "size"), [(20.0, 4.0), (50.0, 4.0)])
def test_tetrahedra_do_not_lock_in_wide_bends(ratio: float, size: float) -> None:
    """Castigliano for an angle with a wide bend, as ME-04, with elements that are asked to be four thicknesses long."""
    body = profile(
        Sheet(1, ratio, metal()), 5, run(20, "tangent line"), up(90), run(20, "tangent line"), name="angle"
    )
    mesh = mesh_of(body, "solid", size)
    answer = solved(mesh, LoadCase(("angle.run[1].left",), (read_load("angle.run[2].right=1N@1,0,0"),)))
    end = np.unique(np.concatenate([faces.ravel() for faces in mesh.surfaces["angle.run[2].right"]]))
    arm, mean, bending = 20.0, ratio + 0.5, 200000 * 5 / 12
    round_bend = mean * (math.pi * arm**2 / 2 + 2 * arm * mean + math.pi * mean**2 / 4)
    wanted = (arm**3 / 3 + round_bend + arm * (arm + mean) ** 2) / bending
    assert answer.displacements[end, 0].mean() == pytest.approx(wanted, rel=0.01)


@needs_solver
def test_a_free_strip() -> None:
    """Free at both ends: six rigid motions at nothing, then (4.73004 / L)^2 sqrt(E I / rho A) / 2 pi = 1552 Hz
    (Timoshenko, Vibration Problems in Engineering, from memory); shear and turning take less than 1 %."""
    answer = solved(mesh_of(strip(), "shell", 10), LoadCase((), (), 7))
    wanted = 4.730041**2 / 100**2 * math.sqrt(200000 * 3**2 / 12 / 7850e-12) / math.tau
    assert max(answer.frequencies[:6]) < 1e-4 * wanted
    assert answer.frequencies[6] == pytest.approx(wanted, rel=0.01)
    assert len(answer.modes) == 7


@needs_solver
def test_euler_strip() -> None:
    """Held at one end and pressed at the other: pi^2 E I / 4 L^2 (Euler), as a factor on 1 N."""
    answer = solved(
        mesh_of(strip(width=10), "shell", 5),
        LoadCase(("strip.left",), (read_load("strip.right=1N@-1,0,0"),), buckling=1),
    )
    assert answer.buckling[0] == pytest.approx(math.pi**2 * 200000 * 10 * 3**3 / 12 / 4 / 100**2, rel=0.005)


@needs_solver
def test_weight_and_pressure() -> None:
    """The support carries mass times 9.80665 m/s2, and pressure times area."""
    mesh = mesh_of(strip(), "bricks", 20, 1)
    answer = solved(mesh, LoadCase(("strip.left",), (), gravity=(0, 0, -1)))
    assert answer.reaction[2] == pytest.approx(100 * 40 * 3 * 7850e-9 * 9.80665, rel=1e-5)
    answer = solved(mesh, LoadCase(("strip.left",), (read_load("strip.upper=0.01MPa"),)))
    assert answer.reaction[2] == pytest.approx(40.0, rel=1e-5)


@needs_solver
@pytest.mark.parametrize("kind", ["shell", "bricks"])
@pytest.mark.parametrize("thickness", [4.47, 4.493, 4.5])
def test_a_strip_as_wide_as_an_element(kind: str, thickness: float) -> None:
    """P L^3 / 3 E I. A strip one element wide can move without stress when elements are integrated at few points: it
    deflected 1.6 to 20 times too much. It is meshed two elements wide."""
    mesh = mesh_of(strip(width=10, thickness=thickness), kind, 10, 1)
    answer = solved(mesh, LoadCase(("strip.left",), (read_load("strip.right=20N@0,0,-1"),)))
    beam = 20 * 100**3 / 3 / 200000 / (10 * thickness**3 / 12)
    assert -float(answer.displacements[:, 2].min()) == pytest.approx(beam, rel=0.005)


@needs_solver
def test_simply_supported_and_moved() -> None:
    """A beam on two knife edges under its middle third's... ends: w = 5 q L^4 / 384 E I; and an end that is moved by
    0.5 mm answers with 3 E I w / L^3."""
    mesh = mesh_of(strip(), "shell", 10)
    case = LoadCase(("strip.left@xyz", "strip.right@z"), (read_load("strip.upper=40N"),))
    sag = -float(solved(mesh, case).displacements[:, 2].min())
    assert sag == pytest.approx(5 * 0.4 * 100**4 / 384 / 200000 / 90, rel=0.005)
    moved = solved(mesh, LoadCase(("strip.left", "strip.right@z=-0.5mm")))
    force = 3 * 200000 * 90 * 0.5 / 100**3
    assert moved.reactions[1].force[2] == pytest.approx(-force, rel=0.005)


def wall_of(body: Body) -> str:
    """Name of the wall of a plate's one hole."""
    return body.flats[0].net.loops[1].edges[0].tag


@needs_solver
def test_plate_with_a_hole() -> None:
    """Howland 1930: a strip with a central hole of half its width, stretched: 2.16 times the mean stress beside the
    hole (Peterson's Stress Concentration Factors gives the same from there; both from memory)."""
    body = plate(Sheet(1, 1, metal(0.3)), pierced(rectangle(160, 40), disc(20)), "tab")
    mesh = mesh_of(body, "shell", 4, local=((wall_of(body), 1.0),))
    answer = solved(mesh, LoadCase(("tab.left",), (read_load("tab.right=4000N@1,0,0"),)))
    ring = np.hypot(*mesh.nodes[:, :2].T) < 10.01
    assert von_mises(answer.stress[ring]).max() / (4000 / 20) == pytest.approx(2.16, rel=0.01)


@pytest.mark.parametrize("kind", ["shell", "solid"])
def test_moment_and_bearing_load(kind: str) -> None:
    """Forces of a moment have no sum and turn as they should; a bolt presses one way, on its half of the hole."""
    body = plate(Sheet(3, 3, metal()), pierced(rectangle(60, 40), disc(12)), "lug")
    mesh = mesh_of(body, kind, 3)
    turned = forces(mesh, [read_load("lug.upper=2Nm@0,0,1")])
    assert turned.sum(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)
    assert np.cross(mesh.nodes, turned).sum(axis=0) == pytest.approx([0, 0, 2000], abs=1e-6)
    bolt = forces(mesh, [read_load(f"{wall_of(body)}=300N@bearing:1,0,0")])
    assert bolt.sum(axis=0) == pytest.approx([300, 0, 0], abs=1e-9)
    assert np.abs(bolt[mesh.nodes[:, 0] < -1]).max() < 0.02 * np.abs(bolt).max()


@pytest.mark.parametrize(
    ("fix", "free"),
    [
        (("strip.left",), set()),
        (("strip.left@z", "strip.right@z"), {"move along x", "move along y", "turn about z"}),
        (("strip.left@xyz",), {"turn about y"}),
    ],
)
def test_what_supports_leave_free(fix: tuple[str, ...], free: set[str]) -> None:
    """Each rigid motion that is not hindered is named."""
    assert set(loose_motions(mesh_of(strip(), "shell", 20), LoadCase(fix))) == free


@pytest.mark.parametrize("text", ["a@", "a@w", "a@z=", "a@xy=1mm", "a@z=1kg"])
def test_supports_that_cannot_be_read(text: str) -> None:
    with pytest.raises(InputError, match="write it as"):
        read_support(text)


def test_richardson() -> None:
    """1 + h^2 at 3 sizes tends to 1 with order 2; what grows like h^-0.5 does not settle (exact mathematics)."""
    sizes = (9.0, 6.0, 4.0)
    smooth = extrapolated("deflection", "mm", sizes, [1 + h * h for h in sizes])
    assert (smooth.extrapolated, smooth.order) == (pytest.approx(1.0), pytest.approx(2.0))
    assert smooth.error == pytest.approx(16.0)
    assert not extrapolated("stress", "MPa", sizes, [h**-0.5 for h in sizes]).converges


@needs_solver
def test_converge() -> None:
    """An L with a sharp re-entrant corner: its deflection converges, and its stress is reported not to."""
    body = plate(
        Sheet(2, 2, metal(0.3)), polygon([(0, 0), (40, 0), (40, 15), (15, 15), (15, 40), (0, 40)]), "ell"
    )
    top = next(edge.tag for edge in body.flats[0].net.edges if edge.start == (15, 40))
    side = next(edge.tag for edge in body.flats[0].net.edges if edge.start == (40, 0))
    case = LoadCase((top,), (read_load(f"{side}=100N@0,1,0"),))
    made = study(body, FeaOrder("shell", 6, (case,), True, converge=True))
    found = {item.figure: item for item in made.first.converged}
    assert found["largest displacement"].converges
    assert not found["von Mises stress away from supports"].converges
    assert any("re-entrant corner" in words for words in made.cautions)


CASES = """
[[case]]
name = "service"
fix = ["strip.left"]
load = ["strip.right=50N@0,0,-1"]

[[case]]
name = "transport"
fix = ["strip.left"]
gravity = [0, 0, -3]
"""


def test_cases(tmp_path: Path) -> None:
    """Two cases of a file, each as it is written; a typo is one line with the word that was meant."""
    path = tmp_path / "cases.toml"
    path.write_text(CASES)
    first, second = read_cases(path)
    assert (first.name, first.loads[0].amount, second.gravity) == ("service", 50.0, (0.0, 0.0, -3.0))
    for old, new, said in (
        ("gravity", "gravitiy", "did you mean gravity"),
        ("[0, 0, -3]", "[0, 0]", "is not x, y, z"),
        ('"transport"', '"service"', "two cases"),
        ("50N@", "50kg@", "NAMES=FORCE"),
        ("[[case]]\nname", "case = 1\nname", "cannot be read|holds no"),
    ):
        path.write_text(CASES.replace(old, new))
        with pytest.raises(InputError, match=said):
            read_cases(path)


@pytest.mark.parametrize("large", [False, True])
def test_a_load_on_what_is_held_in_another_direction(large: bool) -> None:
    """A strip clamped at one end; at the other 10 N act downwards where it may not move sideways. The clamp bears the
    10 N and the 4 N that act on itself, the other support nothing."""
    mesh = mesh_of(plate(Sheet(2, 2), rectangle(60, 20), "strip"), "shell", 10)
    loads = tuple(map(read_load, ("strip.right=10N@0,0,-1", "strip.left=4N@0,0,-1")))
    answer = solved(mesh, LoadCase(("strip.left", "strip.right@y"), loads, large=large))
    clamp, guide = answer.reactions
    assert clamp.force == pytest.approx((0, 0, 14), abs=1e-6)
    assert guide.force == pytest.approx((0, 0, 0), abs=1e-6)
