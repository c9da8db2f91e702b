"""Sections, details, mirror images: hatching off the sheet's slopes, extension lines from where the part ends."""

from __future__ import annotations

import math

import pytest

from formparts import find_recipe
from formparts.drawings import dimension_list, drawing
from formparts.drawings.curves import HATCH, Conic, Measure, PenLine, Straight, Words, flattened
from formparts.drawings.cuts import clear_share
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


def test_a_small_radius_has_a_detail_with_its_letter() -> None:
    """The drawer's corner reliefs of R 1.5 are 0.75 mm on paper at 1 : 2: a circle, a letter, and a view at 5 : 1."""
    body = find_recipe("bench_drawer")()
    sheet = drawing(body)
    told = [mark for mark in sheet.marks if isinstance(mark, Words)]
    assert [mark.text for mark in told].count("4× R1.5") == 1
    caption = next(mark for mark in told if mark.text == "Z, 5 : 1")
    radius = next(mark for mark in told if mark.text == "4× R1.5")
    assert abs(caption.at[0] - radius.at[0]) < 80.0
    assert 0.0 < caption.at[1] - radius.at[1] < 80.0
    arcs = [
        mark.curve.radius
        for mark in sheet.marks
        if isinstance(mark, PenLine) and isinstance(mark.curve, Conic)
    ]
    assert any(arc == pytest.approx(1.5 * 5.0) for arc in arcs)


def test_a_mirror_image_is_drawn_once() -> None:
    """The gussets of the pump bracket: 70 high and 16 at the front, dimensioned once for both, with a symmetry line."""
    found = dimension_list(find_recipe("pump_bracket")())
    left = next(bend for bend in found.bends if bend.name == "gusset_left.bend")
    assert (left.same, left.mirrored) == ("gusset_right.bend", True)
    assert {(70.0, 2), (16.0, 2)} <= {(round(one.value, 6), one.count) for one in found.dimensions}


def test_a_section_stands_clear_of_openings_in_its_bend() -> None:
    """The middle drain slot of the purlin is 10 wide at 600; the section is cut where the bend is whole."""
    bend = next(one for one in find_recipe("roof_purlin")().bends if one.openings)
    assert all(abs(clear_share(bend) * bend.width - at) > 5.0 for at in (250, 600, 950))
