"""Sections: hatching that is told from the sheet's own slopes, extension lines that begin where the part ends."""

from __future__ import annotations

import math

import pytest

from formparts import find_recipe
from formparts.drawings.curves import HATCH, Measure, PenLine, Straight, flattened
from formparts.drawings.numbers import Numbers
from formparts.drawings.plans import Style, planned
from formparts.drawings.section_views import section_view


@pytest.mark.parametrize(("recipe", "values", "slope"), [("stepped_seat", {}, 45.0), ("z_clip", {}, 90.0)])
def test_hatching_does_not_run_along_the_sheet(recipe: str, values: dict[str, float], slope: float) -> None:
    """ISO 128-50 (from memory): 45 degrees to the main outlines, another angle where they run so themselves."""
    plan = planned(find_recipe(recipe)(**values))
    marks = section_view(plan, plan.sections[0], 1.0, Style(2.5, Numbers()), "")
    lines = [mark.curve for mark in marks if isinstance(mark, PenLine) and mark.pen is HATCH]
    angles = {
        round(math.degrees(math.atan2(one.end[1] - one.start[1], one.end[0] - one.start[0])) % 180.0, 3)
        for one in lines
        if isinstance(one, Straight)
    }
    assert len(angles) == 1
    assert abs(angles.pop() - slope) > 14.0


def test_extension_lines_of_a_height_begin_at_the_end_of_the_face() -> None:
    """The hat's height is measured beside it: no line of the dimension runs left of the crown's end (ISO 129-1)."""
    plan = planned(find_recipe("hat_section")())
    section = plan.sections[0]
    marks = section_view(plan, section, 1.0, Style(2.5, Numbers()), "")
    (height,) = [mark for mark in marks if isinstance(mark, Measure) and "2× 30" in str(mark)]
    level = [mark.curve for mark in flattened([height]) if isinstance(mark, PenLine)]
    runs = [one for one in level if isinstance(one, Straight) and abs(one.start[1] - one.end[1]) < 1e-9]
    brim = max(x for area in section.cut.areas for x, _ in area)
    starts = sorted(min(one.start[0], one.end[0]) for one in runs)
    crown = brim - 22.0 - 30.0 / math.tan(math.radians(75))
    assert starts == pytest.approx([crown, brim], abs=4.0)  # within the bends, and the gap before a line
    assert starts[1] > brim
