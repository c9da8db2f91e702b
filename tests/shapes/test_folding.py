"""Folding a drawn blank: by hand, back to the bodies that blanks came from, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.layout import BendMark
from formparts.outline import alike, disc, obround, polygon, rectangle
from formparts.shapes import FoldLine, fold, fold_line, pierced, shifted
from tests.parts import CAST
from tests.shapes.test_openings_across_bends import assert_agrees

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)
ALLOWANCE = math.pi / 2.0 * (3.0 + 0.44 * 2.0)
"""Of 90 deg at R 3, t 2, K 0.44: BA = A (R + K t), exact mathematics [mm]."""
BENT = [name for name, made in CAST.items() if made().bends and not blank(made()).overlaps]
PLATE = rectangle(100, 60)
FORKED = pierced(PLATE, shifted(rectangle(40, 8), 31, 0))


def test_an_angle_by_hand() -> None:
    """
    40 and 30 to the outside, 50 wide: flats of 35 and 25 to the tangent lines, the line half an allowance beyond 35.

    Volume: 50 x 2 x (35 + 25) and the bend pi/2 x 4 x 2 x 50, exact mathematics.
    """
    drawn = shifted(rectangle(60 + ALLOWANCE, 50), (60 + ALLOWANCE) / 2)
    x = 35 + ALLOWANCE / 2
    figures = properties(fold(SHEET, drawn, [fold_line((x, -25), (x, 25), 90)]))
    assert figures.volume == pytest.approx(6000 + math.pi / 2 * 4 * 100, rel=1e-12)
    assert figures.envelope == pytest.approx((40, 50, 30), abs=1e-9)


def test_a_tray_by_hand() -> None:
    """A cross with four lines: 80 x 60 x 20 outside, its walls 15 to the tangent lines, no corner closed."""
    x, y, reach = 35 + ALLOWANCE / 2, 25 + ALLOWANCE / 2, 15 + ALLOWANCE
    a, b = 35 + reach, 25 + reach
    cross = polygon([(-a, -25), (-35, -25), (-35, -b), (35, -b), (35, -25), (a, -25),
                     (a, 25), (35, 25), (35, b), (-35, b), (-35, 25), (-a, 25)])  # fmt: skip
    lines = [fold_line((sign * x, -25), (sign * x, 25)) for sign in (1, -1)]
    lines += [fold_line((-35, sign * y), (35, sign * y), name=f"long{sign:+d}") for sign in (1, -1)]
    body = fold(SHEET, cross, lines, root=(0, 0), name="tray")
    assert properties(body).envelope == pytest.approx((80, 60, 20), abs=1e-9)
    assert [bend.name for bend in body.bends] == ["tray.bend[1]", "tray.bend[2]", "long+1", "long-1"]
    assert_agrees(body)


def _line(mark: BendMark, process: Any) -> FoldLine:
    return fold_line(mark.start, mark.end, mark.angle, mark.side, mark.inside_radius, process=process)


@pytest.mark.parametrize("name", BENT)
def test_what_was_laid_flat_folds_back(name: str) -> None:
    """The blank of each body of the cast, folded along its bend lines: same volume, surface and blank."""
    body = CAST[name]()
    flat, wanted = blank(body), properties(body)
    lines = [_line(mark, bend.process) for mark, bend in zip(flat.bends, body.bends, strict=True)]
    made = fold(body.sheet, flat.outline, lines)
    figures = properties(made)
    assert figures.volume == pytest.approx(wanted.volume, rel=1e-9)
    assert figures.surface == pytest.approx(wanted.surface, rel=1e-9)
    assert alike(blank(made).outline, flat.outline, 1e-5)


@pytest.mark.parametrize(
    ("outline", "line"),
    [
        (
            pierced(PLATE, shifted(disc(12), 20, 0), shifted(obround(9, 5), -20)),
            fold_line((20, -30), (20, 30)),
        ),
        (PLATE, fold_line((10, -30), (30, 30), 60, "down")),
        (polygon([(0, 0), (100, 0), (80, 60), (20, 60)]), fold_line((7, 20), (93, 20), 120, inside_radius=1)),
        (PLATE, fold_line((12, -28), (12, 27.5))),
    ],
)
def test_every_method_agrees(outline: Any, line: FoldLine) -> None:
    """Windows across the bend, a slanted line, slanted ends, a line that ends a little inside the edge."""
    body = fold(SHEET, outline, [line])
    assert_agrees(body)
    assert alike(blank(body).outline, outline, 1e-6)


def test_a_line_with_a_gap_at_an_opening_is_one_bend() -> None:
    """Drawn in two segments, beside a window: the same part as with one line."""
    drawn = pierced(PLATE, shifted(disc(12), 20, 0))
    whole = fold(SHEET, drawn, [fold_line((20, -30), (20, 30))])
    parted = fold(SHEET, drawn, [fold_line((20, -30), (20, -6)), fold_line((20, 6), (20, 30))])
    assert len(parted.bends) == 1
    assert properties(parted) == properties(whole)


@pytest.mark.parametrize(
    ("outline", "lines", "message"),
    [
        (PLATE, [fold_line((0, -30), (0, 10))], r"part.bend\[1\]: line = \(0, -30\) to .* ends 20 mm inside the sheet"),
        (PLATE, [fold_line((80, -30), (80, 30))], "crosses no part of the sheet; move it onto the sheet"),
        (PLATE, [fold_line((49, -30), (49, 30))], "has no flat on its right; move it 3.04834 mm or more"),
        (PLATE, [fold_line((0, -30), (0, 30)), fold_line((4, -30), (4, 30))], "bend the same piece of sheet"),
        (PLATE, [fold_line((0, -30), (0, 30)), fold_line((-50, 0), (50, 0))], "bends that cross cannot be made"),
        (FORKED, [fold_line((10, -30), (10, 30))], "has 2 flats on its right; let the notch between the two run on"),
        (PLATE, [((0, 0), (1, 1))], "is not a fold line; give what fold_line returned"),
        (PLATE, [fold_line((0, -30), (0, 30), 175)], "angle = 175 deg"),
        (PLATE, [fold_line((0, -30), (0, 30), name="a"), fold_line((20, -30), (20, 30), name="a")], "name = a: is the"),
        ("drawing", [], "outline = drawing: is not an outline"),
    ],
)  # fmt: skip
def test_refusals(outline: Any, lines: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        fold(SHEET, outline, lines)


def test_other_refusals() -> None:
    with pytest.raises(InputError, match="its two ends are one"):
        fold_line((1, 1), (1, 1))
    with pytest.raises(InputError, match="ends = 3: is not a point"):
        fold_line(3, (1, 1))  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"root = \(0, 0\) mm: lies on no flat"):
        fold(SHEET, PLATE, [fold_line((0, -30), (0, 30))], root=(0, 0))
