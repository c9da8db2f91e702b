"""Many openings in a table: places by hand, labels at the openings, and nothing written twice."""

from __future__ import annotations

from functools import cache

import pytest

from formparts import Body, Motion, Sheet, cut_opening, disc, obround, plate, rectangle
from formparts.drawings import Drawing, TitleData, drawing, missing, rebuilt
from formparts.drawings.curves import PenLine
from formparts.drawings.hole_tables import MOST_AT_THE_VIEW
from tests.drawings.clear import faults
from tests.drawings.test_list import assert_same_part
from tests.drawings.test_sheet import said, words

PLACES = [(7.0 + 9.0 * n, 11.0 + (13.0 * n) % 47) for n in range(MOST_AT_THE_VIEW + 1)]
"""From the lower left corner of a plate of 120 x 70; in no row and on no circle."""


def pierced_plate(count: int) -> Body:
    body = plate(Sheet(2, 2), rectangle(120, 70), "base")
    for n, (x, y) in enumerate(PLACES[:count]):
        size = disc(6.5) if n % 2 else disc(4)
        body = cut_opening(body, size, "base", [Motion.shift(x - 60, y - 35)], f"hole{n}")
    return body


@cache
def drawn() -> Drawing:
    return drawing(pierced_plate(len(PLACES)))


def test_every_opening_has_a_row_and_a_label() -> None:
    """Places as they were drawn from the corner; A is the first size, and numbers run from left to right."""
    texts = [each.text for each in words(drawn())]
    small = [place for n, place in enumerate(PLACES) if n % 2 == 0]
    for number, (x, y) in enumerate(small, 1):
        at = texts.index(f"A{number}", texts.index("opening"))
        assert texts[at : at + 4] == [f"A{number}", f"{x:g}", f"{y:g}", "Ø4"]
        assert texts.count(f"A{number}") >= 2  # in its row and at the opening; A3 is also the sheet
    assert {f"B{n}" for n in range(1, 6)} <= set(texts)
    assert faults(drawn()) == []


def test_what_the_table_says_is_not_said_at_the_view() -> None:
    """No callout of a size, and of the running dimensions only those of the plate."""
    of_blank = len(drawn().pages) - 1
    texts = [
        each.text
        for page in drawn().pages[:of_blank] or drawn().pages
        for each in page
        if hasattr(each, "text")
    ]
    assert not any("× Ø4" in text and "(" not in text for text in texts)


def test_few_openings_stand_at_the_view() -> None:
    found = said(drawing(pierced_plate(MOST_AT_THE_VIEW)))
    assert "opening" not in found
    assert "5× Ø4" in found


def test_the_part_follows_from_the_list() -> None:
    """The table is a picture of the list, which is whole."""
    found = drawn().dimensions
    assert missing(found) == ()
    assert_same_part(pierced_plate(len(PLACES)), rebuilt(found))


@pytest.mark.parametrize("turn", [90.0, 30.0])
def test_a_turned_slot_says_so_in_its_row(turn: float) -> None:
    """A slot of 12 x 5 that is upright or slanted."""
    place = Motion.shift(45, 20).after(Motion.turn(turn))
    body = cut_opening(pierced_plate(len(PLACES)), obround(12, 5), "base", [place], "slot")
    wanted = "slot 5 × 12, upright" if turn == 90.0 else "slot 5 × 12, turned 30°"
    assert wanted in said(drawing(body))


def test_openings_turned_alike_are_said_once() -> None:
    """Two slots turned by 20 degrees: one angle, for both."""
    base = plate(Sheet(2, 2), rectangle(120, 70), "base")
    places = [Motion.shift(x, 0).after(Motion.turn(20)) for x in (-30, 25)]
    found = drawing(cut_opening(base, obround(20, 6), "base", places, "slot")).dimensions
    angles = [one for one in found.dimensions if one.what == "angle"]
    assert [(one.value, one.count, len(one.targets)) for one in angles] == [(pytest.approx(20.0), 2, 2)]


def test_coordinates_of_openings_with_a_tolerance_of_position_are_framed() -> None:
    """ISO 1101 (from memory): exact figures are framed, in a table too; the others of the table do not."""
    small = ", ".join(f"hole{n} 0.3" for n in range(0, len(PLACES), 2))
    of = drawing(pierced_plate(len(PLACES)), title=TitleData(position=small))
    framed = sorted(float(each.text) for each in words(of) if each.framed)
    assert framed == sorted(figure for n, place in enumerate(PLACES) for figure in place if n % 2 == 0)
    lines = [each.curve.points() for each in of.marks if isinstance(each, PenLine)]
    ends = {(round(x, 6), round(y, 6)) for line in lines for x, y in line}
    boxes = [[round(side, 6) for side in each.box] for each in words(of) if each.framed]
    assert all({(x0, y0), (x1, y1)} <= ends for x0, y0, x1, y1 in boxes)
    assert faults(of) == []
