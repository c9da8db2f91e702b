"""One drawing for a family: letters where sizes differ, one figure where they do not, a table of the sizes."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import find_recipe
from formparts.cli import main
from formparts.drawings.curves import Words
from formparts.part.drawn import drawn
from tests.drawings.clear import faults


def test_letters_stand_for_what_differs() -> None:
    """
    The table's figures are those that the recipe was given; its docstring's blank is 154.357 mm of 3 mm steel.

    By hand: legs of 70 and 90 on the outside, R4 t3: (67 - 4 + 87 - 4 + 90 deg at a mean radius of 5.5) x 60 x 3,
    less two slots of 18 x 9 in the wall and one in the shelf, 7.85 g/cm3.
    """
    recipe = find_recipe("angle_bracket")
    small, large = recipe.part(), recipe.part(upright=90, shelf=120)
    of = drawn(small, "A3", "first", "m", None, "mm", family={"small": small, "large": large})
    said = [mark.text for mark in of.marks if isinstance(mark, Words)]
    table = said[said.index("Each size has a blank of its own: see its own drawing") + 1 :]
    wide = table.index("small")
    rows = [table[at : at + wide] for at in (0, wide, 2 * wide)]
    columns = {head: (one, two) for head, one, two in zip(*rows, strict=True)}
    differing = {("90", "120"), ("70", "90")}
    assert differing <= set(columns.values())
    for head, pair in columns.items():
        if pair in differing:
            assert said.count(head) == 2  # at its dimension, and at the head of its column
    strips = 63 + 83 + 5.5 * 3.14159265 / 2
    slots = 3 * (9 * 9 + 3.14159265 * 4.5**2)
    assert columns["mass"][0] == f"{(strips * 60 - slots) * 3 * 7.85e-3:.4g} g"
    assert {"60", "slot 9 × 18", "2× slot 9 × 18", "90° R4", "3 mm"} <= set(said)  # the same for both
    assert faults(of) == []


def test_draw_family_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where all sizes can be made, exit 0; where one cannot, its name and the reason, and exit 1."""
    table = tmp_path / "sizes.csv"
    table.write_text("name,rise,head_slot\nlow,20,14\nhigh,30,14\n", encoding="utf-8")
    how = ["draw", "z_clip", "--family", str(table), "--out", str(tmp_path / "out"), "--as", "svg"]
    assert main(how) == 0
    assert capsys.readouterr().out.startswith("z_clip: 2 sizes on 1 sheet A3")
    assert {path.name for path in (tmp_path / "out").glob("[!.]*")} == {"z_clip-family-drawing.svg"}
    table.write_text("name,rise,head_slot\nlow,20,14\nwide,20,39.9\n", encoding="utf-8")
    assert main(how) == 1
    assert "  error: wide: 0.05 mm between head_slot" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("recipe", "rows", "more", "told"),
    [
        ("ring_riser", "lug_count\na,3\nb,4", [], "b: has other features than a"),
        ("ring_riser", "lug_width\na,10\nb,90", [], "row b: ring_riser"),
        ("z_clip", "rise\na,frog", [], "row 2 (a)"),
        ("z_clip", "rise", [], "holds no rows"),
        ("z_clip", "rise\na,20", ["--set", "rise=30"], "--set"),
        ("riser_stack", "rise\na,20", [], "is of a part, and this is an assembly"),
    ],
)
def test_bad_families_in_one_line(
    recipe: str, rows: str, more: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, out = tmp_path / "sizes.csv", tmp_path / "out"
    table.write_text(f"name,{rows}\n", encoding="utf-8")
    assert main(["draw", recipe, "--family", str(table), "--out", str(out), *more]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert told in said
    assert not out.exists()
