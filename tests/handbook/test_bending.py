"""Every published figure on bends that we know of is a row; rows can fail; what is left out is counted."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import pytest

from formparts import bending
from tests.handbook.figures import FIGURES, WRONG, worked_out
from tests.handbook.rows import Row, agrees, by_formula, faults, left_out, number, read_rows

SOURCES = (
    "din_6935",
    "din_6935_table",
    "exact",
    "faa",
    "groover",
    "hems",
    "k_table",
    "lecture",
    "machinerys_handbook",
    "navy",
    "offset",
    "workbook",
)
ROWS = [row for source in SOURCES for row in read_rows(source)]

# Angles, radii, thicknesses that the identities below are asked at; not one of them at 90 degrees alone.
BENDS = [
    (angle, radius, thickness)
    for angle in (0.5, 14.9, 15, 37, 60, 90, 117.25, 165, 179)
    for radius, thickness in ((0.5, 1), (2, 2), (1, 3), (11, 2), (2.4, 1.2), (0.6, 0.3))
]
RULES = ("K 0.44", "K 0.3", "Groover", "Machinery's Handbook hard", "aircraft handbook")


@pytest.mark.parametrize("row", [row for row in ROWS if not by_formula(row)], ids=lambda row: row.id)
def test_published_figure(row: Row) -> None:
    """Our figure is the printed one, to the printed digits."""
    assert agrees(worked_out(row), row), (
        f"{worked_out(row)!r} is not {row.expected} +- {row.tol}: {row.source}"
    )


@pytest.mark.parametrize("source", SOURCES)
def test_a_table_that_is_the_formula_worked_out_is_one_check(source: str) -> None:
    """Rows that were worked out from the published formula, or are its figures rounded, agree all together."""
    assert faults([row for row in read_rows(source) if by_formula(row)], worked_out) == []


def test_the_comparison_tells_the_printed_digits() -> None:
    """Half a unit of the last printed digit is the whole allowance, to either side."""
    row = Row("X-1", "", {}, 3.74, 0.005, "printed with two decimals", "by hand", "seen")
    assert agrees(3.7449, row)
    assert agrees(3.7351, row)
    assert not any(agrees(wrong, row) for wrong in (3.746, 3.734, -3.74, math.nan, math.inf))


@pytest.mark.parametrize("confusion", WRONG)
def test_classic_confusion_misses_a_row(confusion: str) -> None:
    """Each wrong formula that people do use is caught by a published figure."""
    bench = WRONG[confusion]
    missed = [row.id for row in ROWS if not agrees(worked_out(row, bench), row)]
    assert missed, f"no row can tell that this is wrong: {confusion}"


def test_confusions_of_angle_and_fibre_are_caught_where_they_show() -> None:
    """Rows at 90 degrees cannot see a mixed-up angle, rows at K = 1/2 not a fibre from the wrong face."""
    by_angle, by_fibre = WRONG["opening angle for bend angle"], WRONG["fibre counted from outside"]
    right_angles = [row for row in ROWS if row.inputs.get("angle") == "90"]
    halves = [row for row in ROWS if row.inputs.get("rule") == "K 0.5"]
    assert right_angles
    assert halves
    assert all(agrees(worked_out(row, by_angle), row) for row in right_angles)
    assert all(agrees(worked_out(row, by_fibre), row) for row in halves)
    assert sum(not agrees(worked_out(row, by_angle), row) for row in ROWS) >= 20
    assert sum(not agrees(worked_out(row, by_fibre), row) for row in ROWS) >= 20


def test_there_are_many_rows_each_with_its_source_and_reason() -> None:
    """A row says where it is from, how it was read, and why its tolerance is what it is."""
    assert len(ROWS) >= 60
    assert len({row.id for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert row.tol > 0, row
        assert min(len(row.tol_reason), len(row.source)) > 4, row
        assert re.match(
            r"seen|from memory|computed|EXACT|inputs seen, answer computed|formula, rounded", row.provenance
        ), row


def test_every_kind_of_figure_is_asked() -> None:
    """No way of working out a figure is kept that no row asks for."""
    assert {row.figure for row in ROWS} == set(FIGURES)


def test_every_check_value_is_a_row_or_left_out_with_a_reason() -> None:
    """From 1 to the last number of each series, each is a row or in left_out.csv, and never in both."""
    rows, reasons = {row.id.split(".")[0] for row in ROWS}, left_out()
    assert not rows & reasons.keys()
    numbers = defaultdict(set)
    for known in rows | reasons.keys():
        series, number = known.split("-")
        numbers[series].add(int(number))
    for series, found in numbers.items():
        assert found == set(range(1, max(found) + 1)), series
    assert all(len(reason) > 10 for reason in reasons.values())


def test_left_out_rows_are_counted() -> None:
    """So many are left out, for these reasons; a change of the count is a decision."""
    kinds = defaultdict(int)
    for reason in left_out().values():
        kinds[reason.split(":")[0]] += 1
    assert dict(kinds) == {
        "no such row in the list of check values": 10,
        "property": 9,
        "gate C": 7,
        "another room": 12,
    }
    text = Path(__file__).read_text(encoding="utf-8")
    for reason in left_out().values():
        if reason.startswith("property"):
            assert f"def {reason.removeprefix('property: ')}(" in text


@pytest.mark.parametrize("rule", [*RULES, "DIN 6935"])
def test_both_roads_to_the_flat_agree(rule: str) -> None:
    """BA-08: mould lines less deductions are the straights plus the allowances (exact mathematics)."""
    for angle, radius, thickness in BENDS:
        allowance = bending.bend_rule(rule).allowance(angle, radius, thickness)
        setback = bending.outside_setback(angle, radius, thickness)
        legs = (setback + 7, setback + 11)
        flat = sum(legs) - bending.bend_deduction(angle, radius, thickness, allowance)
        assert flat == pytest.approx(18 + allowance, rel=1e-12)


def test_a_vanishing_bend_takes_nothing() -> None:
    """BA-09: allowance and deduction go to 0 with the angle; with K = 1/2 the deduction goes as A t/2."""
    for angle in (1e-2, 1e-4, 1e-6):
        allowance = bending.bend_allowance(angle, 3, 2, 0.5)
        deduction = bending.bend_deduction(angle, 3, 2, allowance)
        assert 0 < deduction < allowance < 0.1 * angle
        # 2 (R + t) tan(A/2) - A (R + t/2) = A t/2 + O(A^3), by hand.
        assert deduction == pytest.approx(math.radians(angle) * 1.0, rel=1e-6)


@pytest.mark.parametrize("rule", RULES)
def test_every_bend_takes_from_the_mould_lines(rule: str) -> None:
    """FAA-06: a flat longer than its mould lines is a mistake (FAA-H-8083-31, chapter 4, U-channel)."""
    for angle, radius, thickness in BENDS:
        allowance = bending.bend_rule(rule).allowance(angle, radius, thickness)
        assert bending.bend_deduction(angle, radius, thickness, allowance) > 0


def test_din_branches_meet_at_90_degrees() -> None:
    """DIN-14: legs to the tangent line and legs to the mould line are the same at 90 degrees (tan 45 = 1)."""
    for _, radius, thickness in BENDS:
        below = bending.din_6935_compensation(90, radius, thickness)
        above = bending.din_6935_compensation(90 + 1e-11, radius, thickness)
        assert above == pytest.approx(below, rel=1e-11)


def test_din_compensation_at_90_degrees_is_a_deduction() -> None:
    """DIN-19: at 90 degrees v is the bend deduction with K = k/2 (exact mathematics)."""
    for _, radius, thickness in BENDS:
        k_factor = bending.din_6935_factor(radius, thickness) / 2
        allowance = bending.bend_allowance(90, radius, thickness, k_factor)
        deduction = bending.bend_deduction(90, radius, thickness, allowance)
        assert bending.din_6935_compensation(90, radius, thickness) == pytest.approx(deduction, rel=1e-12)


def test_an_opening_angle_of_120_is_a_bend_of_60(tmp_path: Path) -> None:
    """FAA-05: flanges at 120 degrees to each other are bent by 60 from flat (FAA-H-8083-31, chapter 4)."""
    table = tmp_path / "bends.csv"
    table.write_text("thickness [mm],inside_radius [mm],opening_angle [deg],allowance [mm]\n1,2,120,2.5\n")
    assert bending.allowance_table(table).allowance(60, 2, 1) == 2.5


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.figure == "flat by mould lines"], ids=lambda row: row.id
)
def test_blank_of_a_strip_and_back(row: Row) -> None:
    """The published flats come out of `blank_length`, and each strip's last leg comes back from its blank."""
    legs = [number(leg) for leg in row.inputs["legs"].split("+")]
    bend = [number(row.inputs[name]) for name in ("angle", "inside_radius", "thickness")]
    rule = bending.bend_rule(row.inputs["rule"])
    flat = bending.blank_length(legs, *bend, rule)
    assert agrees(flat, row)
    assert bending.missing_mould_length(flat, legs[:-1], *bend, rule) == pytest.approx(legs[-1], rel=1e-12)
    back = bending.mould_lengths(bending.mould_straights(legs, *bend), *bend)
    assert back == pytest.approx(legs, rel=1e-12)


def test_a_bend_is_a_piece_of_a_ring() -> None:
    """GE-01: Pappus and the difference of two sectors give the same volume (exact mathematics)."""
    for angle, radius, thickness in BENDS:
        by_pappus = bending.bend_allowance(angle, radius, thickness, 0.5) * thickness
        by_sectors = math.radians(angle) * ((radius + thickness) ** 2 - radius**2) / 2
        assert by_pappus == pytest.approx(by_sectors, rel=1e-12)


def test_setbacks_differ_by_thickness_times_tangent() -> None:
    """GE-12: outer less inner setback is t tan(A/2), and the one of the mid-surface is their mean."""
    for angle, radius, thickness in BENDS:
        outer, inner = (
            bending.outside_setback(angle, radius, thickness),
            bending.inside_setback(angle, radius),
        )
        assert outer - inner == pytest.approx(thickness * math.tan(math.radians(angle) / 2), rel=1e-12)
        assert bending.mid_setback(angle, radius, thickness) == pytest.approx((outer + inner) / 2, rel=1e-12)


@pytest.mark.parametrize("rule", ["DIN 6935", "Groover"])
def test_k_factor_grows_with_the_radius_to_one_half(rule: str) -> None:
    """KF-11: K does not fall as R/t grows, is above 0, at most 1/2, and ends at 1/2 (all sources agree)."""
    ratios = [0.06 * 1.1**step for step in range(80)]
    allowances = [bending.bend_rule(rule).allowance(100, ratio, 1) for ratio in ratios]
    factors = [
        bending.k_factor_from_allowance(100, ratio, 1, allowance)
        for ratio, allowance in zip(ratios, allowances, strict=True)
    ]
    assert all(later >= earlier - 1e-12 for earlier, later in pairwise(factors))
    assert factors[0] > 0
    assert factors[-1] == pytest.approx(0.5, abs=1e-9)
