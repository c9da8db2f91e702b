"""Descriptions are complete and readable, and cost next to nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from formparts.recipe_functions import describe, find_recipe, listing, recipes_in

SAMPLES = Path(__file__).with_name("sample_parts.py")


def test_a_description_names_every_parameter_with_default_limits_and_meaning() -> None:
    recipe = find_recipe(f"{SAMPLES}:cover_strip")
    lines = describe(recipe).splitlines()
    assert lines[0] == "cover_strip: A flat strip that covers a slot."
    assert "Its weight is length x width x thickness x density." in lines
    for parameter in recipe.parameters:
        (row,) = (line for line in lines if line.startswith(f"{parameter.name} "))
        for word in (parameter.default_text, parameter.limits, parameter.text):
            assert f"  {word}" in row
    (row,) = (line for line in lines if line.startswith("width"))
    assert row.split("  ")[0] == "width"
    assert "40 mm" in row
    assert "5 to 500 mm" in row
    assert max(map(len, lines)) <= 110


def test_the_columns_of_the_table_stand_below_each_other() -> None:
    lines = describe(find_recipe(f"{SAMPLES}:long_tongue")).splitlines()
    table = lines[lines.index(next(line for line in lines if line.startswith("parameter"))) :]
    place = table[0].index("allowed")
    assert all(line[place - 2 : place] == "  " and line[place] != " " for line in table)
    assert len(table) == 3


def test_a_listing_has_one_line_for_each_recipe() -> None:
    assert listing(recipes_in(SAMPLES)).splitlines() == [
        "cover_strip  A flat strip that covers a slot.",
        "long_tongue  A tongue with a round end, which its builder refuses when it is wider than long.",
    ]
    assert listing(()) == ""


def test_describing_and_listing_load_neither_kernel_nor_unit_library() -> None:
    script = (
        "import sys; from formparts.recipe_functions import *\n"
        f"found = recipes_in({str(SAMPLES)!r}) + recipes()\n"
        "text = listing(found) + ''.join(map(describe, found)); found[0].resolved(length='30 mm')\n"
        "print(len(text) > 100, sorted({'OCP', 'cadquery', 'pint', 'ezdxf', 'trimesh'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "True []"
