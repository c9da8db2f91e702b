"""Findings that state the same of several flats or bends are one line of the summary, and none is lost."""

from __future__ import annotations

from formparts import find_recipe
from formparts.blanks import blank
from formparts.checks import Finding, findings
from formparts.report.grouping import grouped, message_of


def said(**values: object) -> list[tuple[int, str]]:
    return said_of("ring_riser", **values)


def said_of(recipe: str, **values: object) -> list[tuple[int, str]]:
    body = find_recipe(recipe)(**values)
    found = findings(body, blank(body))
    groups = grouped(found)
    assert sorted(map(str, (one for group in groups for one in group))) == sorted(map(str, found))
    return [(len(group), message_of(group)) for group in groups]


def test_equal_lugs_are_one_line() -> None:
    """Facts of the part: four lugs of two bends each, whose bends are the drawing's 1 to 8, then the flange's."""
    lugs, flange = [line for line in said(inside_radius=1) if "inside radius" in line[1]]
    assert lugs[0] == 8
    assert lugs[1].startswith("bend 1..8 (lug[1..4].bend[1..2]) has an inside radius of 1 mm, and ")
    assert lugs[1].endswith(" bent by 60 deg (8 places)")
    assert flange[0] == 1
    assert flange[1].startswith("bend 9 (flange.bend) has an inside radius of 1 mm")
    assert "places" not in flange[1]


def test_pairs_of_neighbours_are_one_line() -> None:
    """Eight lugs in a ring meet in eight pairs: 1 and 2 ... 7 and 8, and 1 and 8."""
    ((count, line),) = said(lug_count=8)
    assert count == 8
    assert line.startswith("blank: lug[1..7].tip and lug[2..8].tip overlap by ")
    assert line.endswith("(8 places)")


def test_bends_of_unlike_names_are_one_line() -> None:
    """A tray of 4 mm steel: what is wrong with the radius of one wall is wrong with all four of them."""
    said = said_of("corner_tray", thickness=4, material="S235JR")
    ((count, line),) = [each for each in said if "inside radius" in each[1]]
    assert count == 4
    assert line.startswith(
        "bend 1..4 (wall_front.bend ... wall_left.bend) has an inside radius of 2 mm, and "
    )
    assert line.endswith("(4 places)")


def near(measured: float, x: float, number: int) -> Finding:
    message = (
        f"{measured:.4g} mm between hole[{number}] and hole[{number + 1}], and 3.2 mm is the least, "
        f"at {x} mm from the left and 2 mm from the front of the blank"
    )
    fix = "move the opening"
    return Finding("opening-near-opening", "warning", "", message, measured, 3.2, "mm", "x", fix)


def test_many_that_differ_in_what_was_measured_are_one_line() -> None:
    """Three lines are listed one by one; a fourth makes them one, with the least and the most and the worst place."""
    found = [near(1.25, 10, 1), near(0.75, 30, 4), near(1.25, 20, 2), near(2.5, 40, 7)]
    assert [len(group) for group in grouped(found)] == [2, 1, 1]
    (group,) = grouped([*found, near(3.19, 50, 9)])
    assert len(group) == 5
    assert message_of(group) == (
        "0.75 to 3.19 mm between hole[1..2, 4, 7, 9] and hole[2..3, 5, 8, 10], and 3.2 mm is the least (5 places, "
        "the worst at 30 mm from the left and 2 mm from the front of the blank)"
    )
