"""Names of parameters at the dimensions that they move, and tolerances of parameters."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from formparts import Body, InputError, find_recipe
from formparts.cli import main
from formparts.drawings import dimension_list, dimension_names, drawing
from formparts.drawings.naming import key_of
from formparts.parameters.reading import checked_tolerance
from tests.drawings.test_sheet import said


def named(recipe_name: str, *parameters: str) -> dict[float, str]:
    """By the figure of a dimension, what it follows of some parameters."""
    recipe = find_recipe(recipe_name)
    base = recipe.resolved()

    def make(moved: Mapping[str, float]) -> Body:
        return recipe.built({**base, **moved})

    names = dimension_names(make, {name: base[name] for name in parameters})
    return {
        round(one.value, 6): names[key_of(one)]
        for one in dimension_list(make({})).dimensions
        if key_of(one) in names
    }


def test_names_of_the_riser_by_hand() -> None:
    """
    From the recipe: a lug bends first `lug_start` inward from the opening's edge, so 75 - 6 = 69 from its middle.

    The back is half the width away, the slots are in the middle of the ears, 240 + 28 apart; 240 is the length.
    """
    found = named("ring_riser", "length", "width", "opening", "lug_start", "ear_reach", "rise")
    assert found[69.0] == "opening/2 \u2212 lug_start"
    assert found[105.0] == "width/2"
    assert found[268.0] == "length + ear_reach"
    assert found[240.0] == "length"
    assert found[14.0] == "rise"


def test_what_does_not_move_in_proportion_is_said_so() -> None:
    """No dimension of a hat follows its angle but the angle itself: the wall's length is left to the rise."""
    found = named("hat_section", "bend_angle", "height")
    assert found == {75.0: "bend_angle", 30.0: "height"}


RECIPE = """from typing import Annotated
from formparts import Body, Length, Sheet, plate, rectangle, recipe


@recipe
def tag(long: Annotated[float, Length("length", 1, 500, tolerance=%r)] = 80) -> Body:
    \"\"\"A tag.\"\"\"
    return plate(Sheet(2, 2), rectangle(long, 50))
"""


def test_the_tolerance_of_a_parameter_stands_at_its_dimension(tmp_path: Path) -> None:
    """On all files of the command, beside the figure that is the parameter, and nowhere else."""
    file = tmp_path / "tag.py"
    file.write_text(RECIPE % "+0.2 -0", encoding="utf-8")
    assert main(["draw", f"{file}:tag", "--out", str(tmp_path / "out"), "--as", "svg"]) == 0
    text = (tmp_path / "out" / "tag-drawing.svg").read_text(encoding="utf-8")
    assert text.count(">80 +0.2 0<") == 1
    assert ">50<" in text


def test_the_command_writes_names(tmp_path: Path) -> None:
    """Every parameter of the clip that is a length in its own right is written at a figure."""
    assert main(["draw", "z_clip", "--names", "--out", str(tmp_path), "--as", "svg"]) == 0
    text = (tmp_path / "z_clip-drawing.svg").read_text(encoding="utf-8")
    for name in ("foot", "rise", "head", "width", "bend_angle", "foot_hole", "head_slot", "inside_radius"):
        assert f"[{name}]" in text, name


def test_without_names_none_are_written() -> None:
    """The names are for who learns a recipe; the shop's sheet has none."""
    assert not any("[" in text and "foot" in text for text in said(drawing(find_recipe("z_clip")())))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("±0.2", "±0.2"),
        ("+0.2 -0", "+0.2 0"),
        ("+0.3 +0.1", "+0.3 +0.1"),
        ("0 -0.5", "0 \u22120.5"),
        ("+0.2/-0.1", "+0.2 \u22120.1"),
    ],
)
def test_tolerances_as_they_are_written(text: str, wanted: str) -> None:
    """Upper deviation first (ISO 129-1, from memory)."""
    assert checked_tolerance(text, "rise", "part") == wanted


@pytest.mark.parametrize("text", ["H", "0.2", "+0.1 +0.3", "±", "+0.2 -0 mm", "-0.1 -0.1"])
def test_what_is_no_tolerance_is_refused(text: str) -> None:
    """One line that says how to write it."""
    with pytest.raises(InputError, match=r"tolerance of rise.*\+0.2 -0"):
        checked_tolerance(text, "rise", "part")


def test_describe_draws_the_names(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same drawing beside the manual page; an assembly has none."""
    file = tmp_path / "names.svg"
    assert main(["describe", "z_clip", "--picture", str(file)]) == 0
    assert "[rise]" in file.read_text(encoding="utf-8")
    assert str(file) in capsys.readouterr().out
    assert main(["describe", "riser_stack", "--picture", str(file)]) == 2
    assert "formparts draw riser_stack" in capsys.readouterr().err
