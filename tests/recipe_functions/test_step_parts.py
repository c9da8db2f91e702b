"""A STEP file in the place of a recipe: every word of the command that takes a recipe takes it."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import pytest

from formparts.blanks import blank
from formparts.cli import main
from formparts.recipe_functions import find_recipe
from tests.unfolder.foreign import filleted_angle


@pytest.fixture
def step(tmp_path: Path) -> Path:
    """An angle of 50 x 30 x 40, t 2, inside radius 3."""
    path = tmp_path / "anybodys angle.step"
    cq.exporters.export(filleted_angle(), str(path))
    return path


def test_material_and_bend_rule_are_its_parameters(step: Path) -> None:
    """Developed by hand with K 0.33: 45 + 25 + pi/2 (3 + 0.66)."""
    found = find_recipe(str(step))
    assert found.name == "anybodys_angle"
    assert [parameter.name for parameter in found.parameters] == ["material", "bend_rule"]
    body = found(bend_rule="K 0.33", material="DC01")
    assert blank(body).area == pytest.approx(40 * (70 + math.pi / 2 * 3.66), rel=1e-9)
    assert body.sheet.material.name == "DC01"


def test_it_is_drawn_as_a_recipes_part_is(step: Path, tmp_path: Path) -> None:
    assert main(["draw", str(step), "--out", str(tmp_path / "out")]) == 0
    assert (tmp_path / "out" / "anybodys_angle-drawing.pdf").stat().st_size > 1000
