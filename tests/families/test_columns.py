"""Every column of a family has a name of its own, whatever a recipe calls its parameters."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from formparts import InputError, family, find_recipe
from formparts.families import as_array, as_table
from tests.families.helpers import SAMPLES, csv_rows
from tests.families.test_run import Page


def test_parameters_named_like_figures_are_told_apart(tmp_path: Path) -> None:
    """Parameters called bends and mass_kg: the table, the page and the rows hold both, each under its own name."""
    recipe = tmp_path / "odd.py"
    text = SAMPLES.read_text().replace(
        'length: Annotated[float, Length("of the strip"', 'bends: Annotated[float, Length("odd"'
    )
    text = text.replace("height: Annotated", "mass_kg: Annotated").replace(
        "rectangle(length, 20)", "rectangle(bends, 20)"
    )
    recipe.write_text(text.replace('"back", height', '"back", mass_kg'))
    rows: list[dict[str, object]] = [{"name": "a", "bends": 60}, {"name": "b", "bends": 70}]
    outcomes = list(family(find_recipe(f"{recipe}:strip"), rows, tmp_path / "out", only=()))
    for row, length in zip(as_table(outcomes), (60, 70), strict=True):
        mass = (length * (18 + 10) + length * 1.5 * math.pi / 2) * 7.85e-6
        assert (row["bends"], row["bends (parameter)"], row["mass_kg (parameter)"]) == (1, length, 12)
        assert row["mass_kg"] == pytest.approx(mass, rel=1e-12)
    assert as_array(outcomes)["bends (parameter)"].tolist() == [60.0, 70.0]
    table = csv_rows(tmp_path / "out")
    assert [(row["bends"], row["bends (parameter) [mm]"]) for row in table] == [("1", "60.0"), ("1", "70.0")]
    page = Page()
    page.feed((tmp_path / "out" / "family.html").read_text(encoding="utf-8"))
    data = json.loads(page.scripts[0])
    assert data["parameters"][0] == "bends (parameter)"
    assert [(row["bends"], row["bends (parameter)"]) for row in data["rows"]] == [(1, 60.0), (1, 70.0)]
    assert (data["units"]["bends"], data["units"]["bends (parameter)"]) == ("", "mm")


def test_a_parameter_called_name_is_refused(tmp_path: Path) -> None:
    """A row's column of that name is the variant's name: reported, and nothing is mixed up."""
    recipe = tmp_path / "odd.py"
    text = SAMPLES.read_text().replace("    height: Annotated", "    name: Annotated")
    recipe.write_text(text.replace('"back", height', '"back", name'))
    with pytest.raises(InputError, match="a row's column of that name is what its variant is called"):
        family(find_recipe(f"{recipe}:strip"), [{"name": "a"}])


def test_what_the_checks_refuse_is_not_counted_as_made_well(tmp_path: Path) -> None:
    """
    One strip is well, the flange of one is too short to be bent, and the third cannot be made: three counts, not one.

    Each card names the parameter in which the strips differ, with its unit.
    """
    rows = [{"name": "well"}, {"name": "short", "height": 3.5}, {"name": "not made", "length": 9}]
    recipe, how = find_recipe(f"{SAMPLES}:strip"), {"only": (), "all_checks": True, "keep_going": True}
    outcomes = list(family(recipe, rows, tmp_path, workers=1, **how))  # type: ignore[arg-type]
    assert sorted((outcome.name, outcome.state, outcome.well) for outcome in outcomes) == [
        ("not made", "failed", False), ("short", "made", False), ("well", "made", True),
    ]  # fmt: skip
    page = (tmp_path / "family.html").read_text(encoding="utf-8")
    assert "3 variants: 1 without errors, 1 with errors of the checks, 1 not made." in page
    assert page.count("height 3.5 mm") == 1
    assert page.count("height 12 mm") == 1
