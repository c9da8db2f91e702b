"""A STEP file in the place of a recipe: every word of the command that takes a recipe takes it."""

from __future__ import annotations

import json
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


def test_its_sheet_is_what_can_be_changed(step: Path) -> None:
    """Developed by hand with K 0.33: 45 + 25 + pi/2 (3 + 0.66)."""
    found = find_recipe(str(step))
    assert found.name == "anybodys_angle"
    names = [parameter.name for parameter in found.parameters]
    assert names == ["material", "bend_rule", "thickness", "keep", "inside_radius"]
    body = found(bend_rule="K 0.33", material="DC01")
    assert blank(body).area == pytest.approx(40 * (70 + math.pi / 2 * 3.66), rel=1e-9)
    assert body.sheet.material.name == "DC01"


def test_another_thickness_is_a_parameter(step: Path) -> None:
    """50 x 30 outside in 1.5 with r 3: 45.5 + 25.5 + pi/2 (3 + 0.44 x 1.5); inside: 45 + 25 and the same bend."""
    bend = math.pi / 2 * (3 + 0.66)
    found = find_recipe(str(step))
    assert blank(found(thickness=1.5)).area == pytest.approx(40 * (71 + bend), rel=1e-9)
    assert blank(found(thickness=1.5, keep="inside")).area == pytest.approx(40 * (70 + bend), rel=1e-9)


def test_thickness_is_an_option(step: Path, tmp_path: Path) -> None:
    """--thickness 1.5 keeps the envelope of 50 x 40 x 30."""
    assert main(["make", str(step), "--thickness", "1.5", "--out", str(tmp_path / "out")]) == 0
    figures = json.loads((tmp_path / "out" / "anybodys_angle.json").read_text())
    assert figures["sheet"]["thickness_mm"] == 1.5
    assert figures["envelope_mm"] == pytest.approx([50, 40, 30])


def test_it_is_drawn_as_a_recipes_part_is(step: Path, tmp_path: Path) -> None:
    assert main(["draw", str(step), "--out", str(tmp_path / "out")]) == 0
    assert (tmp_path / "out" / "anybodys_angle-drawing.pdf").stat().st_size > 1000
