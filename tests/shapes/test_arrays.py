"""Copies side by side and perforations: counts, masses and open areas by hand, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Sheet
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Outline, closed_path, cut, disc, obround, polygon, rectangle, ring
from formparts.shapes import (
    array_along,
    array_in_rows,
    cut_opening,
    fuse,
    mirror,
    perforation,
    plate,
    shifted,
    tongue,
    translate,
)
from formparts.shapes.gaps import gap
from tests.shapes.agreement import assert_all_methods_agree

SHEET = Sheet(2.0, 2.0, "DC01", 0.44)
PAD = plate(SHEET, rectangle(10, 10), "pad")
LUG = translate(tongue(SHEET, 20, 10, "square", name="lug"), (30, -20, 0))


def places(outline: Outline, *given: Any) -> list[tuple[float, float]]:
    return [(round(x, 9), round(y, 9)) for x, y in (way((0.0, 0.0)) for way in perforation(outline, *given))]


def test_a_comb_by_hand() -> None:
    """60 x 50 and three lugs of 20 x 10, 2 thick: 7200 mm3; the lugs at y = -20, 0 and 20, named one by one."""
    comb = fuse(plate(SHEET, rectangle(60, 50)), array_along(LUG, 3, (0, "20 mm", 0)))
    assert properties(comb).volume == pytest.approx(7200.0, abs=1e-9)
    ends = [edge for edge in comb.flats[0].outline.edges if edge.tag.endswith(".end")]
    assert [(edge.tag, (edge.start[1] + edge.end[1]) / 2) for edge in ends] == [
        ("lug[1].end", -20.0), ("lug[2].end", 0.0), ("lug[3].end", 20.0)
    ]  # fmt: skip
    assert_all_methods_agree(comb)


def test_rows_stand_one_by_one() -> None:
    origins = [pad.frame.origin for pad in array_in_rows(PAD, 2, 3, (15, 0, 0), (1, 20, 0))]
    wanted = [(15 * column + row, 20 * row, 1) for row in range(3) for column in range(2)]
    assert [pytest.approx(one) for one in wanted] == origins


def test_a_perforated_field_by_hand() -> None:
    """
    A field of 100 x 60 at pitch 10, openings of 6, margin 5: middles from 8 mm inside, so over 84 x 44.

    Square: nine in a row (80 <= 84), five rows (40 <= 44). Staggered: rows 8.660 apart, six of them over 43.3 <= 44,
    9 and 8 in them by turns: 51.
    """
    assert len(places(rectangle(100, 60), disc(6), 10, 5, "square")) == 45
    assert len(places(rectangle(100, 60), disc(6), 10, 5)) == 51
    inside = places(rectangle(100, 60), disc(6), 10, 5)
    assert max(abs(x) for x, _ in inside) <= 42
    assert max(abs(y) for _, y in inside) <= 22
    nearest = [sorted(math.dist(one, other) for other in inside)[1] for one in inside]
    assert nearest == pytest.approx([10.0] * len(inside))


@pytest.mark.parametrize(("pattern", "share"), [("staggered", 90.69), ("square", 78.54)])
def test_the_open_area_of_perforated_plate(pattern: Any, share: float) -> None:
    """DIN 24041, from memory: open by 90.69 (w / p)^2 % at 60 deg, 78.54 (w / p)^2 % square; here w / p = 0.6.

    Each opening has a cell of its own, between it, the next of its row and the nearest of the row behind.
    """
    middles = [way((0.0, 0.0)) for way in perforation(rectangle(60, 60), disc(3), 5, 0, pattern)]
    x0, y0 = min(middles, key=lambda one: math.hypot(*one))
    beside, behind = (
        (x0 + 5, y0),
        min((m for m in middles if m[1] > y0 + 1), key=lambda m: math.dist(m, (x0, y0))),
    )
    assert min(math.dist(beside, one) for one in middles) < 1e-9
    cell = (beside[0] - x0) * (behind[1] - y0)
    assert 100 * disc(3).area / cell == pytest.approx(share * 0.36, abs=0.005)


@pytest.mark.parametrize("pattern", ["staggered", "square"])
@pytest.mark.parametrize(
    "outline",
    [
        disc(80),
        ring(90, 30),
        polygon([(0, 0), (70, 0), (40, 30), (70, 60), (0, 60)]),
        shifted(rectangle(80, 50), 20, 7, 30),
        closed_path((0, 0), (80, 0), (80, 20), (30, 20), (30, 70), (0, 70)),
    ],
)
def test_the_margin_is_kept_and_nothing_more_fits(outline: Outline, pattern: Any) -> None:
    """Slots in outlines of all kinds: each the margin inside; every other place of the same pattern is too near."""
    slot, margin = obround(8, 4), 3.0
    found = {
        (round(x, 6), round(y, 6))
        for x, y in (way((0.0, 0.0)) for way in perforation(outline, slot, 12, margin, pattern))
    }
    x0, y0 = min(found)
    up, aside = (12 * math.sqrt(3) / 2, 6) if pattern == "staggered" else (12, 0)
    every = [(x0 + 12 * i + aside * (j % 2), y0 + up * j) for i in range(-10, 11) for j in range(-10, 11)]
    fitting = set()
    for x, y in every:
        there = shifted(slot, x, y)
        if not cut(there, outline) and gap(there, outline) >= margin - 1e-6:
            fitting.add((round(x, 6), round(y, 6)))
    assert len(found) > 3
    assert sorted(found) == [pytest.approx(one, abs=1e-5) for one in sorted(fitting)]


def test_a_perforated_tray_floor_agrees() -> None:
    """What is in the flat already keeps its margin: the net is filled. Volume by hand, every method alike."""
    base = cut_opening(plate(SHEET, rectangle(80, 50), "floor"), disc(15), name="drain")
    found = perforation(base.flat("floor").net, disc(4), 8, 4)
    body = cut_opening(base, disc(4), "floor", found, "hole")
    assert min(math.hypot(*way((0.0, 0.0))) for way in found) >= 7.5 + 4 + 2 - 1e-6
    holes = math.pi * (7.5**2 + len(found) * 2.0**2)
    assert properties(body).volume == pytest.approx(2 * (4000 - holes), rel=1e-12)
    assert [one for one in findings(body, blank(body)) if one.severity == "error"] == []
    assert_all_methods_agree(body)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: array_along(PAD, 0, (1, 0, 0)), "copies = 0"),
        (lambda: array_along(PAD, 2, (0, 0, 0)), "would put them all in one place; give how far"),
        (lambda: array_along(PAD, 2, (1, 0)), "is not three figures"),
        (lambda: array_along("pad", 2, (1, 0, 0)), "is not a body"),
        (lambda: array_in_rows(PAD, 2.5, 1, (1, 0, 0), (0, 1, 0)), "columns = 2.5"),
        (lambda: array_in_rows(PAD, 200, 200, (1, 0, 0), (0, 1, 0)), "gives 40000 bodies; at most 10000"),
        (lambda: array_in_rows(PAD, 1, 2, (1, 0, 0), (0, 0, 0)), "row_step"),
        (lambda: perforation(rectangle(9, 9), disc(4), 5, 3), "leaves no room for an opening in an outline of 9 x 9"),
        (lambda: perforation(rectangle(90, 90), disc(4), 3.9, 3), "neighbouring openings overlap; give a larger pitch"),
        (lambda: perforation(rectangle(90, 90), disc(4), 0, 3), "pitch = 0 mm"),
        (lambda: perforation(rectangle(90, 90), disc(4), 8, -1), "margin = -1 mm"),
        (lambda: perforation(rectangle(90, 90), disc(4), 8, 3, "hexagonal"), "is not a pattern"),
        (lambda: perforation(rectangle(9000, 9000), disc(4), 8, 3), "would give about 1.46e.06 openings; at most"),
        (lambda: perforation("floor", disc(4), 8, 3), "is not an outline"),
        (lambda: perforation(rectangle(90, 90), 4, 8, 3), "is not an outline"),
        (
            lambda: fuse(PAD, mirror(PAD, "yz", (20, 0, 0))),
            "does not meet the other body of that name: .*; give one of the two a name of its own",
        ),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
