"""K from the shop's own test strips: against published flats, numpy's least squares and Student's table."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from formparts import bending
from formparts.bending import BentStrip, bent_strips, measured_k_factors, measured_table
from formparts.errors import InputError, UnitsError
from tests.house.docstrings import docstring_faults

EXAMPLE = Path(bending.__file__).parents[1] / "data" / "test_strips_example.csv"
STUDENT_95 = {1: 12.706, 2: 4.303, 3: 3.182, 4: 2.776, 5: 2.571}
"""Student's t for 95 % to both sides, by degrees of freedom (printed in every table of statistics)."""


@pytest.mark.parametrize(
    "name", ["BentStrip", "MeasuredKFactor", "bent_strips", "measured_k_factors", "measured_table"]
)
def test_test_strips_keep_their_contract(name: str) -> None:
    assert docstring_faults(name, getattr(bending, name)) == []


@pytest.mark.parametrize(
    ("strip", "k"),
    [
        (BentStrip(2, 2, 90, 96.523893, 60, 40), 0.44),  # exact mathematics: 60 and 40 outside, K 0.44
        # FAA-H-8083-31, chapter 4: BA (0.01743 R + 0.0078 T) N is K = 0.447; sheet-metal workbook: 120 deg, R 3/32.
        (BentStrip(0.063, 3 / 32, 120, 3.5871, 2.125, 1.75), 0.447),
        (BentStrip(0.048, 1 / 16, 45, 3.9743, 2.0, 2.0), 0.447),
        # Tabellenbuch Metall: DIN 6935 at r = s has k = 0.65, K = 0.325; a U of 30/50/30 halved: 102.325221.
        (BentStrip(2, 2, 90, 102.325221 / 2, 30, 25), 0.325),
    ],
)
def test_one_strip_gives_the_k_that_its_flat_was_published_with(strip: BentStrip, k: float) -> None:
    (found,) = measured_k_factors([strip])
    assert found.k == pytest.approx(k, abs=0.004)  # flats in inches are printed with four decimals
    assert (found.low, found.high, found.spread, found.strips) == (None, None, None, 1)


def test_k_and_its_range_agree_with_the_least_squares_of_numpy() -> None:
    """Two methods: the closed form of one unknown, and numpy's solver with its residual and Student's table."""
    strips = [strip for strip in bent_strips(EXAMPLE) if strip.thickness == 2]
    slopes = np.radians([strip.angle for strip in strips]) * 2
    setbacks = [(2 + 2) * math.tan(math.radians(strip.angle) / 2) for strip in strips]
    allowances = [
        s.flat_length - s.leg_1 - s.leg_2 + 2 * back for s, back in zip(strips, setbacks, strict=True)
    ]
    heights = np.array(allowances) - np.radians([strip.angle for strip in strips]) * 2
    (k,), (squares,), _, _ = np.linalg.lstsq(slopes[:, None], heights, rcond=None)
    found = measured_k_factors(strips)[0]
    assert found.k == pytest.approx(k, rel=1e-12)
    assert found.spread == pytest.approx(math.sqrt(squares / (len(strips) - 1)), rel=1e-9)
    half = STUDENT_95[len(strips) - 1] * found.spread / math.sqrt(float(slopes @ slopes))
    assert found.high - found.k == pytest.approx(half, rel=1e-3)
    assert found.k - found.low == pytest.approx(half, rel=1e-3)


def test_the_true_k_lies_in_the_range_in_95_of_100_shops() -> None:
    """1,000 shops that measure four strips each to 0.05 mm: about 950 of their ranges hold the true K (binomial)."""
    drawn = np.random.default_rng(24)
    held = 0
    for _ in range(1000):
        strips = []
        for angle in (90, 90, 60, 120):
            flat = 2 * 30 - bending.bend_deduction(angle, 3, 2, bending.bend_allowance(angle, 3, 2, 0.43))
            strips.append(BentStrip(2, 3, angle, flat + drawn.normal(0, 0.05), 30, 30))
        (found,) = measured_k_factors(strips)
        held += found.low <= 0.43 <= found.high
    assert 925 <= held <= 972


def test_the_table_of_test_strips_is_a_bend_rule() -> None:
    """It gives back what was measured, and interpolates between the angles."""
    found = measured_k_factors(bent_strips(EXAMPLE))
    table = measured_table(found)
    assert [(one.thickness, one.inside_radius, one.strips) for one in found] == [(2, 2, 6), (3, 4, 4)]
    for one in found:
        assert 0.41 < one.low < one.k < one.high < 0.45
        for angle in one.angles:
            length = table.allowance(angle, one.inside_radius, one.thickness)
            assert length == pytest.approx(math.radians(angle) * (one.inside_radius + one.k * one.thickness))
    assert table.allowance(75, 2, 2) == pytest.approx(
        (table.allowance(60, 2, 2) + table.allowance(90, 2, 2)) / 2
    )


HEAD = "thickness [mm],inside_radius [mm],angle [deg],flat_length [mm],leg_1 [mm],leg_2 [mm]\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEAD + "2,2,90,100,51\n", "has 5 cells"),
        (HEAD + "2,2,90,100,51,x\n", "leg_2 = 'x': is not a number"),
        (HEAD + "2,2,200,100,51,52\n", "angle = 200 deg"),
        (HEAD.replace("leg_2 [mm]", "leg_2"), "has no unit"),
        (HEAD.replace(",leg_2 [mm]", ""), "column = leg_2: is missing"),
        (HEAD, "there is nothing measured"),
        (HEAD + "2,2,90,110,51,52\n", "from 0 to 1; look whether the legs go to the outer mould line"),
    ],
)
def test_what_was_not_measured_is_refused_in_one_line(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "strips.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises((InputError, UnitsError)) as caught:
        measured_k_factors(bent_strips(path))
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_inches_and_opening_angles_are_read(tmp_path: Path) -> None:
    path = tmp_path / "strips.csv"
    path.write_text(
        "leg_2 [in],leg_1 [in],flat_length [in],opening_angle [deg],inside_radius [in],thickness [in]\n"
        "1.75,2.125,3.5871,60,0.09375,0.063\n"
    )
    (strip,) = bent_strips(path)
    assert strip == pytest.approx(
        (0.063 * 25.4, 0.09375 * 25.4, 120, 3.5871 * 25.4, 2.125 * 25.4, 1.75 * 25.4)
    )
