"""Press-brake practice beyond the published figures: series, arrays, limits of the tables, refusals."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from formparts import forming
from formparts.errors import InputError
from formparts.materials import Material, known_materials, material
from formparts.sources import is_known
from tests.house.docstrings import docstring_faults

R10 = [10 ** (step / 10) for step in range(6, 27)]
"""Exact preferred numbers of the series R10, 10^(n/10) (ISO 3, from memory), from 4 to 400."""


@pytest.mark.parametrize("name", [name for name in forming.__all__ if not name.isupper()])
def test_forming_keeps_its_contract(name: str) -> None:
    """Parameters are the signature's, numbers have units, what is raised is listed, formulas are sourced."""
    assert docstring_faults(name, getattr(forming, name)) == []


def test_the_dies_are_preferred_numbers() -> None:
    """ISO 3: every opening is within 6 % of its number of R10 (the coarsest rounding, 6 for 6.31), none left out."""
    assert len(forming.DIE_SERIES) == len(R10)
    rounded = {"1", "1.2", "1.25", "1.5", "1.6", "2", "2.5", "3", "3.15", "3.2", "4", "5", "6", "6.3", "8"}
    for opening, exact in zip(forming.DIE_SERIES, R10, strict=True):
        assert abs(opening / exact - 1) < 0.06
        assert f"{opening / 10 ** math.floor(math.log10(opening)):g}" in rounded  # R10, R'10 and R''10


@pytest.mark.parametrize("thickness", [0.5, 0.8, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20])
def test_the_die_is_the_first_that_is_wide_enough(thickness: float) -> None:
    """From the rule of the chart up to the next of the series, and never narrower than six thicknesses."""
    die = forming.die_opening(thickness)
    wanted = forming.die_band(thickness).thicknesses * thickness
    assert die in forming.DIE_SERIES
    assert die >= 0.98 * wanted - 1e-6  # 63 is the opening for 8 t of 8 mm (common practice, no source)
    assert all(other < wanted for other in forming.DIE_SERIES if other < die)
    least, most = forming.die_opening_range(thickness)
    assert least <= die
    assert (least, most) == (6 * thickness, 12 * thickness)


def test_eight_millimetres_take_the_opening_of_63() -> None:
    """Common practice, no source: 8 t of an 8 mm sheet is the standard opening of 63."""
    assert forming.die_opening(8) == 63
    assert forming.die_band(8).thicknesses == 8
    assert forming.die_opening(8.01) == 80


def test_a_large_radius_asks_for_a_wider_die() -> None:
    """By hand: R 10 in 2 mm at 90 deg has its outer tangent lines 2 x 12 x sin 45 = 16.97 apart: a die of 20."""
    assert forming.die_opening(2, 10) == 20
    assert forming.die_opening(2, 10, 30) == 12  # 2 x 12 x sin 15 = 6.2: the sheet decides
    assert forming.die_opening(2, 10, 90, (16.0, 17.0, 18.0)) == 17


def test_springback_and_its_inverse_undo_each_other() -> None:
    """Exact mathematics, from a sharp bend to one that is nearly elastic."""
    for grade in (material("S235JR"), material("6061-T6"), material("Ti-6Al-4V")):
        bent = (2.0, grade.yield_strength, grade.modulus)
        elastic = grade.modulus * 2.0 / (2 * grade.yield_strength)
        for radius in (1e-6, 0.5, 2, 10, 0.5 * elastic, 0.9 * elastic):
            released = forming.released_radius(radius, *bent)
            assert released > radius
            assert forming.radius_under_load(released, *bent) == pytest.approx(radius, rel=1e-9)
    assert forming.radius_under_load(0.0, 2, 235, 210000) == 0.0


def test_overbend_is_more_for_wide_bends_and_hard_sheet() -> None:
    """Facts of the trade: springback grows with radius and strength; aluminium springs more than mild steel."""
    overbends = [forming.overbend(90, radius, 2, 235, 210000) for radius in (1, 2, 5, 10, 50)]
    assert overbends == sorted(overbends)
    assert forming.overbend(90, 5, 2, 276, 68900) > forming.overbend(90, 5, 2, 235, 210000) > 0
    # Angle times middle radius stays: the fibre in the middle keeps its length (exact mathematics).
    formed, radius = (
        forming.angle_under_load(75, 5, 2, 276, 68900),
        forming.radius_under_load(5, 2, 276, 68900),
    )
    assert formed * (radius + 1) == pytest.approx(75 * 6, rel=1e-12)


def test_arrays_give_what_numbers_give() -> None:
    """Element by element, in one call."""
    radii, thicknesses = np.array([0.0, 1, 2, 8]), np.array([1.0, 1.5, 2, 3])
    calls = [
        (forming.bending_force, (thicknesses, 100.0, 8 * thicknesses, 400.0)),
        (forming.force_per_length, (thicknesses, 8 * thicknesses, 400.0)),
        (forming.bending_work, (np.array([1.0, 2, 3, 4]), 10.0, 0.5)),
        (forming.minimum_flange, (8 * thicknesses, np.array([30.0, 60, 90, 120]))),
        (forming.springback_ratio, (radii, thicknesses, 235.0, 210000.0)),
        (forming.radius_under_load, (radii, thicknesses, 235.0, 210000.0)),
        (forming.angle_under_load, (90.0, radii, thicknesses, 235.0, 210000.0)),
        (forming.overbend, (90.0, radii, thicknesses, 235.0, 210000.0)),
        (forming.outer_fibre_strain, (radii, thicknesses)),
        (forming.radius_for_elongation, (np.array([5.0, 10, 20, 40]), thicknesses)),
        (forming.radius_for_area_reduction, (np.array([5.0, 25, 50, 80]), thicknesses)),
    ]
    for formula, arguments in calls:
        whole = formula(*arguments)
        assert whole.shape == (4,)
        for place in range(4):
            single = formula(*(float(a[place]) if isinstance(a, np.ndarray) else a for a in arguments))
            assert whole[place] == pytest.approx(single, rel=1e-14)


def test_bends_raise_the_yield_strength_of_a_section() -> None:
    """ORACLES MP-21 (EN 1993-1-3, eq. 3.1): 355 + 115 x 5 x 2 x 4/300 = 370.33; at the most 412.5; k = 7 in rolls."""
    assert forming.cold_worked_yield(355, 470, 300, 2, 2) == pytest.approx(370.33, abs=0.01)
    assert forming.cold_worked_yield(355, 470, 300, 2, 2, True) == pytest.approx(
        355 + 115 * 56 / 300, rel=1e-12
    )
    assert forming.cold_worked_yield(355, 470, 10, 2, 2) == 412.5
    both = forming.cold_worked_yield(355.0, 470.0, np.array([300.0, 10.0]), 2.0, 2.0)
    assert list(both) == pytest.approx([355 + 115 * 40 / 300, 412.5], rel=1e-12)
    with pytest.raises(InputError, match="section_area = 0"):
        forming.cold_worked_yield(355, 470, 0, 2, 2)


def test_released_radius_of_a_sharp_bend_is_sharp() -> None:
    """R = 0 stays 0, and its angle does not spring by this formula (X = 0)."""
    assert forming.released_radius(0.0, 2, 235, 210000) == 0
    assert forming.overbend(90, 0.0, 2, 235, 210000) == 0


def test_springback_factors_come_out_as_they_are_printed() -> None:
    """Tabellenbuch Metall: the rows' own materials have the printed factors (18-8 at 1.3 t: 0.985, so +1.4 deg)."""
    for row, name in (("DC01", "DC01"), ("DC04", "DC04"), ("X12CrNi18-8", "1.4301"), ("EN AW-Al99.0", "1100-O"),
                      ("E-Cu R20", "Cu-ETP R220"), ("CuZn33 R29", "CuZn37 R300"), ("EN AW-AlSiMgMn", "6082-T4"),
                      ("EN AW-AlCuMg1", "2024-O")):  # fmt: skip
        for ratio, printed in forming.springback_factors()[row]:
            found = forming.under_load(name, 90, 2 * ratio, 2)
            assert found.factor == pytest.approx(printed, abs=1e-12)
            assert found.angle == pytest.approx(90 / printed, rel=1e-12)
            assert found.radius == pytest.approx(printed * (2 * ratio + 1) - 1, rel=1e-12)
    found = forming.under_load("1.4301", 90, 2.6, 2)
    assert found.factor == pytest.approx(0.985, abs=1e-12)
    assert found.overbend == pytest.approx(1.4, abs=0.05)


@pytest.mark.parametrize("ratio", [1, 1.3, 2, 4, 10, 30])
def test_families_spring_in_their_order(ratio: float) -> None:
    """Facts of the trade: stainless more than mild steel, hard aluminium than soft, strong steel than mild."""

    def overbend(name: str) -> float:
        return forming.under_load(name, 90, 2 * ratio, 2).overbend

    orders = (
        ("DC04", "DC01", "1.4301", "1.4310+C1150", "1.4310+C1300"),
        ("1100-O", "5754-O", "5754-H22", "6061-T6", "7075-T6"),
        ("2024-O", "2024-T3"),
        ("DC01", "S355MC", "S500MC", "S700MC"),
        ("CuZn37 R300", "CuZn37", "CuZn37 R410", "CuZn37 R480"),
        ("Ti Grade 1", "Ti Grade 2", "Ti-6Al-4V"),
    )
    for order in orders:
        found = [overbend(name) for name in order]
        assert found == sorted(found), order
    assert overbend("1.4301") > overbend("DC01") or ratio == 1  # both rows print 0.99 there
    assert overbend("7075-T6") > overbend("5754-O") > overbend("1100-O") > 0


def test_springback_grows_with_the_radius_without_a_jump() -> None:
    """Beyond the last column it is carried on by Gardiner's formula from the last printed factor."""
    for grade in known_materials():
        found = [forming.under_load(grade, 90, 0.25 * step * step, 2) for step in range(26)]
        overbends = [each.overbend for each in found]
        assert overbends == sorted(overbends), grade.name
        assert all(0 < each.factor < 1 for each in found)
    at_end = forming.under_load("1.4301", 90, 80, 2).factor
    assert forming.under_load("1.4301", 90, 80.001, 2).factor == pytest.approx(at_end, abs=1e-4)


def test_a_metal_of_no_known_family_springs_as_plain_steel() -> None:
    """Its row is that of DC01, carried over by its own strength and modulus."""
    own = Material("AZ31", 1770.0, modulus=45000.0, yield_strength=150.0, family="magnesium")
    assert "of DC01" in forming.under_load(own, 90, 4, 2).rule


def test_there_is_one_rule_for_springback_in_the_house() -> None:
    """Nobody outside this room asks Gardiner's formula, which knows no hardening, for the angle under load."""
    house = Path(forming.__file__).parents[1]
    for file in house.rglob("*.py"):
        if file.parent.name != "forming" and file.name != "__init__.py":
            text = file.read_text(encoding="utf-8")
            for name in ("angle_under_load", "radius_under_load", "released_radius", "springback_ratio"):
                assert f"{name}(" not in text, file.name


@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_every_material_has_a_least_radius_a_force_and_an_overbend(grade: Material) -> None:
    """No material of the table leaves a figure out, and the harder direction never asks for less."""
    for thickness in (0.5, 1, 2, 3, 6):
        across = forming.minimum_bend_radius(grade, thickness)
        along = forming.minimum_bend_radius(grade, thickness, along_rolling=True)
        assert 0 <= across.radius <= along.radius < 30 * thickness
        assert is_known(across.source)
    strength = grade.tensile_strength_max or grade.tensile_strength_min
    assert forming.bending_force(2, 100, 12, strength) > 0
    assert forming.under_load(grade, 90, 4, 2).overbend > 0


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (lambda: forming.die_opening(0), "thickness = 0 mm: is outside its range"),
        (lambda: forming.die_opening(60), "the widest of the series is 400 mm"),
        (lambda: forming.die_opening(2, series=()), "the widest of the series is 0 mm"),
        (lambda: forming.die_opening_range(-1), "thickness = -1"),
        (lambda: forming.air_bend_radius(12, "brass"), "one of carbon steel, stainless steel, aluminium"),
        (lambda: forming.air_bend_radius(0), "die_opening = 0"),
        (lambda: forming.minimum_flange(12, 180), "there is a mould line only between"),
        (lambda: forming.bending_force(2, 100, 12, 400, "guess"), "one of Oehler, Groover"),
        (lambda: forming.bending_force(2, 100, 12, math.nan), "strength = nan"),
        (lambda: forming.bending_force(2, -1, 12, 400), "length = -1"),
        (lambda: forming.bending_work(1, 1, 1.5), "share = 1.5"),
        (lambda: forming.bending_work(math.nan, 1), "force = nan"),
        (lambda: forming.springback_factor("steel", 2, 2), "one of DC04, DC01"),
        (lambda: forming.springback_factor("DC01", 69.001, 0.69), "the table has 1 to 100 thicknesses"),
        (lambda: forming.springback_factor("DC01", 1, 2), "the table has 1 to 100 thicknesses"),
        (lambda: forming.springback_factor("X12CrNi18-8", 100, 2), "the table has 1 to 40 thicknesses"),
        (lambda: forming.radius_for_elongation(0, 2), "elongation = 0"),
        (lambda: forming.radius_for_area_reduction(101, 2), "area_reduction = 101"),
        (
            lambda: forming.minimum_bend_radius("7850 kg/m3", 2),
            "neither a table of smallest radii nor an elongation",
        ),
        (lambda: forming.minimum_bend_radius("S235JR", 2, 200), "angle = 200"),
        (lambda: forming.minimum_bend_radius("nothing", 2), "there is no such material"),
        (lambda: forming.springback_ratio("2", 2, 235, 210000), "is a str, not a number"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(work: object, words: str) -> None:
    """The line says what, the value, and what is allowed."""
    with pytest.raises(InputError) as caught:
        work()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_table_of_springback_holds_up_to_its_ends() -> None:
    """100 thicknesses of 0.69 mm come out as 100.00000000000001 of them."""
    assert 100 * 0.69 / 0.69 != 100
    assert forming.springback_factor("DC01", 100 * 0.69, 0.69) == forming.springback_factor("DC01", 100, 1)


def test_hem_forces_are_those_of_the_table_and_between_its_rows_in_a_line() -> None:
    """S. D. Benson, Press Brake Technology, p. 138, in tonnes for each metre: 63 closed and 24 open at 1.6 mm; by hand
    45 at 1.1 mm, half of 0.6 mm's at 0.3 mm, four times 4.5 mm's at 9 mm; twice the strength, twice the force."""
    for thickness, closed, tonnes in (
        (1.6, True, 63),
        (1.6, False, 24),
        (1.1, True, 45),
        (0.3, True, 11.5),
        (9, True, 800),
    ):
        assert forming.hem_force(thickness, 1000, 414, closed) == pytest.approx(tonnes * 9806.65)
    assert forming.hem_force(1, 500, 828) == pytest.approx(40 * 9806.65)
    with pytest.raises(InputError, match="thickness = -1"):
        forming.hem_force(-1, 100, 400)
    with pytest.raises(InputError, match="length = 0"):
        forming.curl_force(1, 0, 400)
