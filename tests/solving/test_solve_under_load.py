"""Solving by finite elements, held against a beam by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from scipy.optimize import brentq

from formparts.cli import main
from formparts.families import as_table, family
from formparts.fea import FeaOrder, LoadCase, read_load, solver_there
from formparts.recipe_functions import find_recipe
from formparts.solving_picture import search_picture
from formparts.solving_under_load import solve_under_load

needs_solver = pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)
STRIP = '''
from formparts import Length, Sheet, plate, recipe
from formparts.outline import rectangle
from typing import Annotated

@recipe
def blade(thickness: Annotated[float, Length(minimum="1 mm", maximum="10 mm", text="of the sheet")] = 3):
    """A plain strip, 100 long and 10 wide."""
    return plate(Sheet(thickness, thickness), rectangle(100, 10), "blade")
'''

METAL = """

from dataclasses import replace
from formparts import material
METAL = replace(material("S235JR"), modulus=210000.0, poisson=0.0)
"""


@needs_solver
def test_columns_of_a_family(tmp_path: Path) -> None:
    """P L^3 / 3 E I = 0.595 mm under 20 N at 4 mm of thickness, and 1.875104^2 / L^2 sqrt(E I / rho A) / 2 pi = 334 Hz
    (Timoshenko, Vibration Problems in Engineering, from memory), a little stiffer for the clamp, which keeps the strip
    from narrowing; without an order no such columns."""
    path = tmp_path / "blade.py"
    path.write_text(STRIP)
    recipe = find_recipe(f"{path}:blade")
    case = LoadCase(("blade.left",), (read_load("blade.right=20N@0,0,-1"),))
    rows = [{"name": "four", "thickness": 4}]
    (row,) = as_table(family(recipe, rows, fea=FeaOrder("shell", 10, (case,))))
    stiffness = 210000 * 10 * 4**3 / 12
    assert row["deflection_mm"] == pytest.approx(20 * 100**3 / 3 / stiffness, rel=0.02)
    # Of the beam: more than two thicknesses away from the clamp, less than at the clamp.
    assert 6 * 20 * 90 / 10 / 4**2 < row["stress_mpa"] < 6 * 20 * 100 / 10 / 4**2
    ringing = 1.875104**2 / 100**2 * math.sqrt(stiffness / (7850e-12 * 40)) / math.tau
    assert row["frequency_hz"] == pytest.approx(ringing, rel=0.015)
    assert "deflection_mm" not in as_table(family(recipe, rows))[0]


def sag_of_a_strip_between_walls(thickness: float, pressure: float) -> float:
    """
    The middle of a strip 100 long with built-in ends that cannot come nearer, under pressure; E 210 GPa, no narrowing.

    S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, bending of long rectangular plates to a
    cylindrical surface, built-in edges (from memory); u is half the length by the root of tension by rigidity.
    """

    def tension(u: float) -> float:
        first = -81 / (16 * u**7 * math.tanh(u)) - 27 / (16 * u**6 * math.sinh(u) ** 2)
        return first + 27 / (4 * u**8) + 9 / (8 * u**6) - 210000**2 * thickness**8 / (pressure**2 * 100**8)

    u = brentq(tension, 0.05, 20)
    less = 24 / u**4 * (u * u / 2 + u / math.sinh(u) - u / math.tanh(u))
    return float(pressure * 100**4 / 384 / (210000 * thickness**3 / 12) * less)


@needs_solver
def test_no_jump_where_displacements_become_large(tmp_path: Path) -> None:
    """A strip between two walls sags by half its thickness at 1.95 mm: a linear answer there is an eighth larger than
    one with large displacements, and either side of it is sought with those alone."""
    path = tmp_path / "blade.py"
    path.write_text(
        STRIP.replace("Sheet(thickness, thickness)", "Sheet(thickness, thickness, METAL)") + METAL
    )
    case = LoadCase(("blade.left", "blade.right"), (read_load("blade.upper=0.48MPa"),))
    order = FeaOrder("shell", 10, (case,))
    found = solve_under_load(
        find_recipe(f"{path}:blade"), {"thickness": (1.5, 2.5)}, "deflection", 0.87, order
    )
    assert found.reached
    assert found.text.endswith("with large displacements")
    assert sag_of_a_strip_between_walls(found.value, 0.48) == pytest.approx(0.87, rel=0.01)


@needs_solver
def test_thickness_for_a_deflection(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """P L^3 / 3 E I: 20 N on 10 mm of width deflect 0.5 mm at t = (4 P L^3 / E b w)^(1/3) = 4.239 mm as a beam, and at
    (1 - 0.3^2)^(1/3) of that where the strip cannot narrow (ME-01, ME-02)."""
    path = tmp_path / "blade.py"
    path.write_text(STRIP)
    case = LoadCase(("blade.left",), (read_load("blade.right=20N@0,0,-1"),))
    recipe = find_recipe(f"{path}:blade")
    found = solve_under_load(recipe, {"thickness": (1, 8)}, "deflection", 0.5, FeaOrder("shell", 10, (case,)))
    assert found.reached
    beam = (4 * 20 * 100**3 / 210000 / 10 / 0.5) ** (1 / 3)
    assert 0.969 * beam < found.value < beam
    assert found.value == pytest.approx(beam, rel=0.01)
    far = solve_under_load(recipe, {"thickness": (6, 8)}, "deflection", 0.5, FeaOrder("shell", 10, (case,)))
    assert not far.reached
    assert far.value == 6
    drawn = search_picture("blade", found)
    assert drawn.count("<circle") == len(found.tried)
    assert f"the least that meets it: thickness {found.value:.5g}" in drawn
    assert [found.meets(row) for row in found.tried] == [row.value >= found.value for row in found.tried]
    assert (
        main(["solve", f"{path}:blade", "--vary", "thickness=1..8", "--target", "mass=1", "--fea", "shell"])
        == 2
    )
    assert "deflection=0.5mm" in capsys.readouterr().err
