"""Tabs folded out of a flat: openings and heights by hand, in patterns, every output alike, and what is refused."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.drawings.curves import Words
from formparts.drawings.sheet import drawing
from formparts.errors import InputError
from formparts.outline import Motion, bolt_circle, disc, grid, rectangle
from formparts.part import Part
from formparts.shapes import add_flange, add_tab, cut_opening, hole, mirror, plate, tip
from tests.shapes.agreement import assert_all_methods_agree

T, R, K = 2.0, 3.0, 0.44
SHEET = Sheet(T, R, "DC01", K)
BASE = plate(SHEET, rectangle(120, 80), "base")

CASES: dict[str, Body] = {
    "one": add_tab(BASE, 20, 14, (0, 0)),
    "in a grid": add_tab(BASE, 16, 10, grid(3, 1, 35, 30), end="round", hole=hole(4), name="hook"),
    "round a middle": add_tab(BASE, 10, 8, [way.after(Motion.turn(-90)) for way in bolt_circle(None, 3, 50)]),
    "down, at 45 deg": add_tab(
        BASE, 15, 20, Motion.shift(0, -20).after(Motion.turn(180)), side="down", angle=45, inside_radius=1.5
    ),
    "a gusset": add_tab(BASE, 30, 30, (0, -20), end=(tip("chamfered", 30, 20), "square"), cut_width=0.3),
    "on a flange": add_tab(
        add_flange(BASE, "back", 60), 15, 12, (60, 15), flat="flange", relief_depth=0.5, bend_rule="DIN 6935"
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_all_methods_agree(case: str) -> None:
    assert_all_methods_agree(CASES[case])
    assert_all_methods_agree(mirror(CASES[case], "yz"))


def test_a_tab_by_hand() -> None:
    """
    20 high to its outside, R 3 in 2 mm: 15 are above the bend, which unfolds to pi/2 (3 + 0.88) = 6.0947.

    Cuts of 2 round it: the opening is 18 wide and 15 + 6.0947 + 2 long, two cuts run on for 5. The tab and the bend
    are put back: 14 x 15 and 14 wide over the mid-line of the bend, pi/2 (3 + 1).
    """
    body, developed = CASES["one"], math.pi / 2 * (R + K * T)
    cut_out = 18 * (15 + developed + 2) + 2 * 2 * 5
    flat = 120 * 80 - cut_out + 14 * 15
    assert properties(body).volume == pytest.approx(T * (flat + 14 * math.pi / 2 * (R + 1)), rel=1e-12)
    assert properties(body).envelope == pytest.approx((120, 80, 20))
    laid = blank(body)
    assert laid.area == pytest.approx(flat + 14 * developed, rel=1e-12)
    # Its outer face is at y = 0, so its tangent line at y = -5 and the end of its opening behind it.
    ends = [y for loop in body.flats[0].outline.holes for _, y in loop.vertices]
    assert (min(ends), max(ends)) == pytest.approx((-10, -5 + 15 + developed + 2))


@pytest.mark.parametrize(
    ("datum", "tangent"), [("outside", -5), ("inside", -3), ("mid-surface", -4), ("tangent line", 0)]
)
def test_what_stands_at_its_place(datum: Any, tangent: float) -> None:
    (bend,) = add_tab(BASE, 20, 14, (0, 0), place_at=datum).bends
    assert [y for _, y in bend.parent_line] == pytest.approx([tangent] * 2)


def test_the_checks_find_nothing_wrong_with_its_cuts() -> None:
    """Cuts as wide as the sheet is thick, beyond the bend by R + t: no relief is missing, narrow or shallow."""
    body = CASES["in a grid"]
    assert [one.code for one in findings(body, blank(body)) if "relief" in one.code] == []
    narrow = add_tab(BASE, 20, 14, (0, 0), cut_width=0.2, relief_depth=0.2)
    assert {"relief-too-narrow", "relief-too-shallow"} <= {
        one.code for one in findings(narrow, blank(narrow))
    }


def test_the_outputs_have_it(tmp_path: Path) -> None:
    """Two bends up on the DXF of the blank; bends and hole by name in the JSON; the drawing says it twice."""
    part = Part(add_tab(BASE, 20, 14, [(-30, 0), (30, 0)], hole=hole(5, 8), name="hook"))
    for ending in ("-blank.dxf", ".json"):
        part.write(tmp_path / f"part{ending}")
    lines = ezdxf.readfile(tmp_path / "part-blank.dxf").modelspace().query('LINE[layer=="bend-up"]')
    assert sorted(round(line.dxf.start.distance(line.dxf.end), 6) for line in lines) == [14.0, 14.0]
    data = json.loads((tmp_path / "part.json").read_text(encoding="utf-8"))
    assert sorted(bend["name"] for bend in data["bends"]) == ["hook[1].bend", "hook[2].bend"]
    assert sorted(one["name"] for one in data["openings"]) == ["hook[1].hole", "hook[2].hole"]
    words = {mark.text for mark in drawing(part.body).marks if isinstance(mark, Words)}
    assert {"2× Ø5", "2× 90° R3"} <= words


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: add_tab(BASE, 5, 14, (0, 0)), "height = 5 mm: lower than its bend, which takes 5 mm; at least 5.002"),
        (lambda: add_tab(BASE, 20, 0, (0, 0)), "width = 0 mm"),
        (lambda: add_tab(BASE, 20, 14, (0, 30)), "its opening runs out of base, or into another opening; move it"),
        (lambda: add_tab(BASE, 20, 14, [(0, 0), (12, 0)]), r"tab\[2\]: place = .* into another opening"),
        (lambda: add_tab(cut_opening(BASE, disc(9)), 20, 14, (0, 0)), "into another opening"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), angle=171), "angle = 171 deg"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), cut_width=0), "cut_width = 0 mm"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), relief_depth=-1), "relief_depth = -1 mm"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), side="in"), "side = 'in': is not a side"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), place_at="middle"), "datum = 'middle': is not a datum"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), flat="lid"), "lid"),
        (lambda: add_tab(BASE, 20, 14, "middle"), "is not a place; give"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), end=tip("chamfered", 9)), "chamfered tip = 9 mm: does not fit"),
        (lambda: add_tab(BASE, 20, 14, (0, 0), hole=hole(16, 8)), "hole diameter = 16 mm"),
        (lambda: add_tab("base", 20, 14, (0, 0)), "is not a body"),
        (lambda: add_tab(CASES["one"], 20, 14, (40, 0)), "tab: name = tab|is the name of more than one piece"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
