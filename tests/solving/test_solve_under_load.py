"""Solving by finite elements, held against a beam by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

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
