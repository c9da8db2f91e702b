"""Boxes: blank and gaps by hand, the gap of the solid measured by the kernel, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.checks import findings
from formparts.clash import clashes
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Outline, cos_deg, disc, polygon, rectangle, sin_deg
from formparts.shapes import CornerRelief, box, corner_relief, fold, fold_line, pierced
from formparts.solids import solid
from tests.shapes.agreement import assert_all_methods_agree

T, R, K = 1.5, 2.0, 0.44
SHEET = Sheet(T, R, "DC01", K)
OBLONG = rectangle(120, 80)
HEXAGON = polygon([(50 * cos_deg(60 * n), 50 * sin_deg(60 * n)) for n in range(6)])
TRIANGLE = polygon([(0, 0), (120, 0), (0, 90)])
ELL = polygon([(0, 0), (160, 0), (160, 60), (80, 60), (80, 120), (0, 120)])
DEVELOPED = math.pi / 2 * (R + K * T)
"""Of every bend, by hand: 90 deg at the neutral fibre."""


def walls_apart(body: Body, first: int, second: int) -> float:
    """Least distance between the flats of two walls, by the kernel [mm]."""
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    faces = [
        [face for name, face in solid(body).faces.items() if name.startswith(f"{body.name}.wall[{number}].")
         and ".bend" not in name and ".rim" not in name]
        for number in (first, second)
    ]  # fmt: skip
    return min(BRepExtrema_DistShapeShape(one, two).Value() for one in faces[0] for two in faces[1])


def test_the_blank_of_a_box_by_hand() -> None:
    """The floor to its tangent lines 120 - 2 x 3.5, either wall 40 - 3.5, and two bends."""
    flat = blank(box(SHEET, OBLONG, 40, gap=0.4))
    assert flat.length == pytest.approx(113 + 2 * (36.5 + DEVELOPED), abs=1e-9)
    assert flat.width == pytest.approx(73 + 2 * (36.5 + DEVELOPED), abs=1e-9)


def test_volume_of_a_closed_box_by_hand() -> None:
    """
    Floor 113 x 73, bends of those lengths, walls 36.5 high: 120 and 80 less 2 (1.5 + 0.4 / sqrt 2) at their ends.

    At right angles two square ends whose inner edges are 0.4 apart are 0.4 / sqrt 2 from the inner corner each.
    """
    less = 2 * (T + 0.4 / math.sqrt(2))
    ring = math.pi / 4 * ((R + T) ** 2 - R**2)
    by_hand = 113 * 73 * T + 2 * (113 + 73) * ring + 2 * (120 - less + 80 - less) * 36.5 * T
    made = box(SHEET, OBLONG, 40, gap=0.4)
    assert properties(made).volume == pytest.approx(by_hand, rel=1e-12)
    assert properties(made).envelope == pytest.approx((120, 80, 40), abs=1e-12)


@pytest.mark.parametrize(
    ("outline", "kind", "gap", "by_hand"),
    [
        # Open: the walls end with their bends, at R from the inner corner each: R sqrt 2 apart.
        (OBLONG, "open", None, R * math.sqrt(2)),
        (OBLONG, "open", 7.0, 7.0),
        (OBLONG, "closed", 0.4, 0.4),
        (OBLONG, "closed", None, T / 2),
        (OBLONG, "overlapping", 0.3, 0.3),
        (OBLONG, "mitred", 0.4, 0.4),
        # At 120 deg the inner corner is T / tan 60 deg from the outer one, the tangent lines cross R + T that far.
        (HEXAGON, "open", None, R / math.tan(math.radians(60)) * 2 * math.sin(math.radians(60))),
        (HEXAGON, "closed", 1.0, 1.0),
        (HEXAGON, "overlapping", 0.2, 0.2),
        (HEXAGON, "mitred", 0.5, 0.5),
        (TRIANGLE, "closed", 0.4, 0.4),
        (TRIANGLE, "overlapping", 0.4, 0.4),
    ],
)
def test_the_gap_of_the_solid_is_the_gap_asked_for(
    outline: Outline, kind: Any, gap: float | None, by_hand: float
) -> None:
    body = box(SHEET, outline, 30, corner=kind, gap=gap)
    for first, second in ((1, 2), (2, 3)):
        assert walls_apart(body, first, second) == pytest.approx(by_hand, abs=1e-9)


ROUND = corner_relief("round", 5)
CASES: dict[str, Body] = {
    "open": box(SHEET, OBLONG, 40, corner="open", relief=ROUND),
    "rim in": box(SHEET, OBLONG, 40, gap=0.4, relief=ROUND, rim=12),
    "rim out": box(SHEET, OBLONG, 40, gap=0.4, relief=corner_relief("square", 5), rim=12, rim_turned="out"),
    "mitred": box(SHEET, OBLONG, 40, corner="mitred", gap=0.4, rim=12),
    "about the bend lines": box(SHEET, HEXAGON, 30, corner="overlapping", relief=corner_relief("bend lines")),
    "three walls": box(SHEET, OBLONG, (40, 25, 40, 0), gap=0.4, relief=ROUND),
    "mixed": box(SHEET, TRIANGLE, 30, corner=("open", "closed", "overlapping"), rim=15),
    "pointing inward": box(SHEET, ELL, 25, corner="mitred", relief=ROUND),
}


@pytest.mark.parametrize("case", CASES)
def test_all_methods_agree(case: str) -> None:
    body = CASES[case]
    assert_all_methods_agree(body)
    assert blank(body).overlaps == ()
    assert clashes(body) == ()


@pytest.mark.parametrize("case", ["open", "rim in", "rim out", "about the bend lines"])
def test_boxes_with_reliefs_have_no_findings(case: str) -> None:
    """Reliefs reach R + T into walls beside their rims (Bralla), and 1/32 in behind where tangent lines cross (FAA)."""
    assert findings(CASES[case], blank(CASES[case])) == ()


def test_a_wall_may_be_missing() -> None:
    """By hand: the left edge without a wall is the floor's own; the front and back walls end flush with it."""
    body = CASES["three walls"]
    assert len(body.bends) == 3
    assert properties(body).envelope == pytest.approx((120, 80, 40), abs=1e-12)


def test_corners_cut_to_the_bend_lines_crossing_would_run_into_each_other() -> None:
    """
    Two bends parted by a slit along the bisector: on the inner face each is shorter than its developed length.

    At 45 deg the inner face is R sin 45 = 1.41 mm out from its tangent line, and pi/4 (R + K T) = 2.09 mm of
    developed length lie there: the two overlap. The clash is found although the ends of the bends are slanted.
    """
    far, deep = 60 + DEVELOPED + 20, 60 + DEVELOPED
    drawn = polygon([
        (0, 0), (far, 0), (far, deep), (deep + 0.01, deep), (60.01, 60), (60, 60.01), (deep, deep + 0.01), (deep, far),
        (0, far),
    ])  # fmt: skip
    line = 60.02 + DEVELOPED / 2
    ends = [fold_line((line, 0), (line, line - 0.01)), fold_line((line - 0.01, line), (0, line))]
    found = clashes(fold(SHEET, drawn, ends, root=(1, 1)))
    assert ("part.bend[1]", "part.bend[2]") in {(clash.first, clash.second) for clash in found}


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: box(SHEET, disc(50), 30), "outline = box: has round edges; draw sharp outside corners"),
        (lambda: box(SHEET, rectangle(50, 40, 3), 30), "has round edges"),
        (lambda: box(SHEET, pierced(OBLONG, disc(9)), 30), "has holes; cut them afterwards: cut_opening"),
        (lambda: box(SHEET, polygon([(0, 0), (40, 0), (80, 0), (80, 60)]), 30), "is a point of a straight edge"),
        (lambda: box(SHEET, OBLONG, 3.5), "height = 3.5 mm: lower than its bend, which takes 3.5 mm; at least 3.502"),
        (lambda: box(SHEET, OBLONG, 7, rim=8), "height = 7 mm: leaves nothing between .* wall 1; at .* 7.002"),
        (lambda: box(SHEET, OBLONG, 0), "height = 0: leaves no wall"),
        (lambda: box(SHEET, OBLONG, (30, 30)), "height = .*: are 2 for 4 edges"),
        (lambda: box(SHEET, OBLONG, 30, corner="welded"), "corner = welded: is not a kind of corner; one of open"),
        (lambda: box(SHEET, OBLONG, 30, corner=("open", "closed")), "corner = .*: are 2 for 4 corners"),
        (lambda: box(SHEET, OBLONG, 30, corner="open", gap=2), "gap = 2 mm: is narrower than an open .* 2.82843 mm"),
        (lambda: box(SHEET, OBLONG, 30, gap=0), "gap = 0 mm"),
        (lambda: box(SHEET, OBLONG, 30, gap=150), "its corners take .* of edge 1, 120 mm long; make the edge longer"),
        (lambda: box(SHEET, OBLONG, 30, relief="round"), 'relief = round: is not a corner relief; give corner_relief'),
        (lambda: box(SHEET, OBLONG, 30, corner="mitred", relief=corner_relief("bend lines")), "slanted ends of mitred"),
        (lambda: box(SHEET, OBLONG, 30, relief=corner_relief("bend lines", 3)), "size = 3 mm: does not reach .* 5.9"),
        (lambda: box(SHEET, OBLONG, 30, rim=3.5), "rim = 3.5 mm: narrower than its bend, .* at least 3.502 mm"),
        (lambda: box(SHEET, OBLONG, 30, rim=40), "rim = 40 mm: its corners take .* of edge 2, 80 mm long"),
        (lambda: box(SHEET, OBLONG, 30, rim=9, rim_turned="up"), "rim_turned = up: is not a way to turn"),
        (lambda: box(SHEET, OBLONG, 11, rim=9, relief=ROUND), "height = 11 mm: leaves 4 mm .* the reliefs take 6"),
        (lambda: box(SHEET, "square", 11), "outline = square: is not an outline"),
        (lambda: corner_relief("oval", 3), "shape = oval: is not a relief; one of round, square, bend lines"),
        (lambda: corner_relief("round"), "size = None"),
        (lambda: corner_relief("square", -1), "size = -1 mm"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()


def test_the_heights_that_are_proposed_can_be_made() -> None:
    assert isinstance(box(SHEET, OBLONG, 3.502), Body)
    assert isinstance(box(SHEET, OBLONG, 7.002, rim=8), Body)
    assert isinstance(box(SHEET, OBLONG, 13.002, rim=9, relief=ROUND), Body)
    assert isinstance(box(SHEET, OBLONG, 30, corner="open", gap=2.82843), Body)
    assert corner_relief("bend lines") == CornerRelief("bend lines")
