"""Openings that run into each other are named, however many there are; webs that no cut leaves are errors."""

from __future__ import annotations

import time

import pytest

from formparts import Motion, Sheet, cut_opening, disc, grid, obround, plate, profile, rectangle, run, up
from formparts.blanks import blank
from formparts.body import Body
from formparts.checks import findings
from formparts.checks.finding import Finding
from formparts.checks.merged_openings import _meetings
from formparts.errors import InputError
from formparts.outline import Outline

SHEET = Sheet(2, 2.5, "DC01")
PLATE = plate(SHEET, rectangle(400, 100), "plate")


def row(count: int, pitch: float) -> Body:
    """Holes of 6.6 mm along the plate."""
    return cut_opening(PLATE, disc(6.6), places=[(pitch * n - 100, 0) for n in range(count)], name="hole")


def merged(body: Body) -> list[Finding]:
    return [found for found in findings(body, blank(body)) if found.code == "merged-openings"]


def test_four_holes_that_overlap_are_one_finding_with_their_names() -> None:
    """6.6 mm at a pitch of 6 overlap by 0.6 mm, by hand."""
    (found,) = merged(row(4, 6.0))
    assert found.severity == "error"
    assert found.where == "hole[1] and hole[2]"
    assert found.measured == pytest.approx(0.6, abs=1e-6)
    assert "overlap by 0.6 mm and become one opening with hole[3], hole[4]" in found.message


def test_two_hundred_holes_at_a_pitch_of_one_are_told_quickly() -> None:
    body, start = row(200, 1.0), time.process_time()
    (found,) = merged(body)
    assert "hole[3], hole[4], hole[5] and 195 more" in found.message
    assert time.process_time() - start < 10.0


def test_thousands_of_holes_apart_are_looked_at_quickly() -> None:
    sheet = plate(SHEET, rectangle(1300, 1300), "plate")
    body = cut_opening(sheet, disc(8), places=grid(55, 55, 20, 20), name="hole")
    start = time.process_time()
    assert list(_meetings(body)) == []
    assert time.process_time() - start < 2.0


def test_holes_that_just_touch_are_refused_where_they_are_cut() -> None:
    with pytest.raises(
        InputError, match=r"hole: place = on plate: plate could not be cut: .* touches another hole"
    ):
        row(2, 6.6)


@pytest.mark.parametrize(
    ("first", "second", "depth"),
    [
        (disc(20), disc(4), 4.0),  # one within the other
        (rectangle(30, 6), rectangle(6, 30), 6.0),  # a cross
        (obround(30, 8), disc(10), 8.0),
    ],
)
def test_openings_of_any_shape(first: Outline, second: Outline, depth: float) -> None:
    body = cut_opening(cut_opening(PLATE, first, name="one"), second, name="two")
    (found,) = merged(body)
    assert found.where == "one and two"
    assert found.measured == pytest.approx(depth, abs=1e-6)


def test_openings_across_a_bend_are_told_once() -> None:
    """Both go through two flats and the bend between them."""
    angle = profile(SHEET, 60, run(40), up(90), run(30))
    body = cut_opening(
        angle, obround(30, 8), places=[Motion.shift(38, 25), Motion.shift(38, 30)], name="slot", on="blank"
    )
    (found,) = merged(body)
    assert found.where == "slot[1] and slot[2]"


def test_what_overlaps_beside_the_sheet_is_no_matter() -> None:
    """Two discs over the plate's edge meet outside it only: their lens ends 8 mm above their middles."""
    body = cut_opening(PLATE, disc(20), places=[(-9.6, 49), (9.6, 49)], name="notch")
    assert [found.where for found in merged(body)] == ["notch[1] and notch[2]"]
    body = cut_opening(PLATE, disc(20), places=[(-9.6, 54), (9.6, 54)], name="notch")
    assert merged(body) == []


def test_a_web_narrower_than_the_cut_is_an_error() -> None:
    """Laser cut of 0.3 mm (common practice, no source): 0.31 mm between two holes is a warning, 0.29 mm an error."""
    for pitch, severity in ((6.91, "warning"), (6.89, "error"), (6.6 + 2e-6, "error")):
        body = row(2, pitch)
        found = [one.severity for one in findings(body, blank(body)) if one.code == "opening-near-opening"]
        assert found == [severity]
