"""Shipped recipes run by a real solver: an angle bracket and a cantilever, held against beams and a published example.

The solver is CalculiX CrunchiX, Debian package calculix-ccx. The mesh sizes are stated with each figure.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from formparts.body import Sheet
from formparts.fea import LoadCase, mesh_of, read_load, solved, solver_there
from formparts.fea.mesh import FeaMesh
from formparts.materials import Material, material
from formparts.outline import rectangle
from formparts.recipe_functions import find_recipe
from formparts.sections import section
from formparts.shapes import plate

pytestmark = pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)
KINDS = ("shell", "solid", "bricks")


def moved(mesh: FeaMesh, case: LoadCase, *names: str) -> np.ndarray:
    """Mean displacement of what is named; the reaction is the load, or the solver's answer is refused."""
    answer = solved(mesh, case)
    groups = [faces.ravel() for name in names for faces in mesh.surfaces[name]]
    return np.asarray(answer.displacements[np.unique(np.concatenate(groups))].mean(axis=0))


@cache
def shelf(width: float, kind: str, size: float) -> float:
    """How far the end of the plain bracket's shelf sinks, as a share of what Castigliano's theorem says of a beam."""
    body = find_recipe("angle_bracket")(wall_slots=0, shelf_slots=0, width=width)
    case = LoadCase(
        ("angle_bracket.upright.right",), (read_load(f"angle_bracket.shelf.left={width}N@0,0,-1"),)
    )
    sinks = -moved(mesh_of(body, kind, size), case, "angle_bracket.shelf.left")[2]
    return float(sinks) / bracket_by_hand(width)


def bracket_by_hand(width: float) -> float:
    """
    Castigliano's theorem for 1 N on each mm of width: shelf, quarter of a ring, upright; with shear and thrust.

    Timoshenko, Strength of Materials, curved bars of small curvature (from memory): M is F x along the shelf,
    F (b + R sin) round the bend, F (b + R) in the upright.
    """
    steel = material("S235JR")
    assert steel.modulus is not None
    assert steel.poisson is not None
    b, a, mean = 90 - 7, 70 - 7, 4 + 1.5
    area, inertia = width * 3, width * 3**3 / 12
    bent = (
        b**3 / 3 + mean * (b * b * math.pi / 2 + 2 * b * mean + mean**2 * math.pi / 4) + (b + mean) ** 2 * a
    )
    sheared = 1.2 * (b + mean * math.pi / 4) * 2 * (1 + steel.poisson)
    return width / steel.modulus * (bent / inertia + (sheared + a + mean * math.pi / 4) / area)


@pytest.mark.parametrize("kind", KINDS)
def test_narrow_angle_bracket_is_a_beam(kind: str) -> None:
    """As narrow as it is thick, with elements of 6 mm: within 1 % of theory, and 3 mm is no farther from it."""
    coarse, fine = shelf(3, kind, 6), shelf(3, kind, 3)
    assert coarse == pytest.approx(1.0, rel=0.01)
    assert abs(fine - 1.0) <= abs(coarse - 1.0) + 0.001


def test_wide_angle_bracket_lies_between_beam_and_plane_strain() -> None:
    """At its own width of 60 mm: the kinds within 1 % of each other at 7.5 mm, stiffer than a beam, softer than a plate
    that cannot narrow (1 - 0.3^2 of it)."""
    found = {kind: shelf(60, kind, 7.5) for kind in KINDS}
    assert max(found.values()) / min(found.values()) < 1.01
    assert 0.91 < min(found.values()) < max(found.values()) < 1.0


@cache
def stiffener(kind: str, size: float) -> float:
    """How far the end of an 800 mm hat sinks under 100 N on its walls, as a share of a beam with shear in its walls."""
    hat = find_recipe("hat_section")(bend_angle=90, length=800)
    case = LoadCase(("hat_section.front",), (read_load("hat_section.wall_*.back=100N@0,0,-1"),))
    walls = ("hat_section.wall_left.back", "hat_section.wall_right.back")
    metal, inertia = hat.sheet.material, section(hat).inertia_u
    assert metal.modulus is not None
    assert metal.poisson is not None
    shear = 100 * 800 * 2 * (1 + metal.poisson) / metal.modulus / (2 * 30 * hat.sheet.thickness)
    beam = 100 * 800**3 / 3 / metal.modulus / inertia + shear
    return -float(moved(mesh_of(hat, kind, size, 2), case, *walls)[2]) / beam


def test_hat_section_as_a_cantilever() -> None:
    """P L^3 / 3 E I and the shear of two walls (Timoshenko, Strength of Materials, from memory), with the second moment
    of our own section: each kind within 1 % at 32 mm, shells and bricks within 3 % of each other."""
    found = {kind: stiffener(kind, 32) for kind in ("shell", "bricks")}
    assert all(share == pytest.approx(1.0, rel=0.01) for share in found.values()), found
    assert max(found.values()) / min(found.values()) < 1.03


def test_hat_section_converges() -> None:
    """From 64 to 32 mm the answer moves by less than a thousandth."""
    assert stiffener("shell", 64) == pytest.approx(stiffener("shell", 32), rel=1e-3)


def beam_metal(poisson: float) -> Material:
    return replace(material("S235JR"), modulus=1e7, poisson=poisson)


PUBLISHED = {"1,0,0": 3.0e-5, "0,1,0": 0.1081, "0,0,1": 0.4321}
"""R. H. MacNeal and R. L. Harder, A proposed standard set of problems to test finite element accuracy, Finite Elements
in Analysis and Design 1, 1985, pp. 3-20: straight cantilever 6 x 0.2 x 0.1, E 1e7, Poisson's ratio 0.30, load 1.
Not from the paper itself but as restated, with the same figures, in two solvers' published verification problems:
SS-V 1000 and OS-V 0720, both "Straight Cantilever Beam", on help.altair.com."""


@pytest.mark.parametrize("kind", ["shell", "bricks"])
@pytest.mark.parametrize("way", PUBLISHED)
def test_published_straight_cantilever(kind: str, way: str) -> None:
    """Stretched, bent in its plane and out of it, with elements of 0.2 (the published mesh has 1 x 0.2)."""
    beam = plate(Sheet(0.1, 0.1, beam_metal(0.30)), rectangle(6, 0.2), "beam")
    case = LoadCase(("beam.left",), (read_load(f"beam.right=1N@{way}"),))
    found = moved(mesh_of(beam, kind, 0.2), case, "beam.right")
    assert float(found @ np.array([float(part) for part in way.split(",")])) == pytest.approx(
        PUBLISHED[way], rel=0.01
    )
