"""The summary on the console names bends so that they are found again."""

from __future__ import annotations

from formparts.recipe_functions import find_recipe
from formparts.report.summary import bend_lines


def test_bends_of_one_line_stand_in_the_order_of_their_steps() -> None:
    """`1..4: lug[2, 4, 1, 3].bend[2]`: step 1 is the one named first, as in the plan."""
    part = find_recipe("ring_riser").part()
    (line,) = (line for line in bend_lines(part.numbered_blank) if " deg down " in line)
    names = [name for name in part.plan.numbers if name.endswith(".bend[2]")]
    by_step = sorted(names, key=lambda name: part.plan.numbers[name])
    lugs = ", ".join(name.removeprefix("lug[").partition("]")[0] for name in by_step)
    assert line.endswith(f": lug[{lugs}].bend[2]")
    # Names that differ in more than one number, or only two of them, are written out.
    tray = find_recipe("corner_tray").part()
    assert any(
        line.endswith("wall_right.bend and wall_left.bend") for line in bend_lines(tray.numbered_blank)
    )
