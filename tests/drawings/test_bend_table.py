"""The bend table of a drawing."""

from __future__ import annotations

import re

import pytest

from formparts import find_recipe
from formparts.drawings.blank_view import bend_table
from formparts.drawings.curves import Words
from formparts.drawings.numbers import Numbers
from formparts.drawings.plans import Style


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
