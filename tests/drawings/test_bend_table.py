"""The bend table of a drawing."""

from __future__ import annotations

import re

import pytest

from formparts import find_recipe
from formparts.drawings.blank_view import bend_table
from formparts.drawings.curves import Words
from formparts.drawings.numbers import Numbers
from formparts.drawings.plans import Style
from formparts.drawings.title import subject_of


def test_every_length_of_the_bend_table_is_in_the_unit_of_the_sheet() -> None:
    """Cell by cell, the table in inches times 25.4 (ISO 80000-3) is the table in millimetres."""
    part = find_recipe("pump_bracket").part()
    metric, inch = (
        [
            mark.text
            for mark in bend_table(part.body, part.numbered_blank, Style(2.5, Numbers(unit)))
            if isinstance(mark, Words)
        ]
        for unit in ("mm", "in")
    )
    lengths = 0
    for one, two in zip(metric, inch, strict=True):
        for a, b in zip(re.findall(r"\d+\.?\d*", one), re.findall(r"\d+\.?\d*", two), strict=True):
            if one != two:
                assert float(b) * 25.4 == pytest.approx(float(a), abs=0.015), (one, two)
                lengths += 1
    assert lengths == 3 * 5, "R, length, allowance, deduction and position of three bends"


def test_both_units_stand_at_every_length() -> None:
    """A bend line left of the zero has its minus sign at both figures."""
    part = find_recipe("pump_bracket").part()
    marks = bend_table(part.body, part.numbered_blank, Style(2.5, Numbers("in", both=True)))
    said = [mark.text for mark in marks if isinstance(mark, Words)]
    assert "x −0.403 [−10.25]" in said
    assert said[1].endswith("lengths in inches [mm]")
    subject = subject_of(part.body, part.properties, Numbers("in", both=True))
    assert subject.thickness == "0.1575 in [4 mm]"
