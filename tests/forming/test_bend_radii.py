"""The smallest inside radii: each table whole, corrected figures, no cliffs, harder tempers no less."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product

import pytest

from formparts import forming
from formparts.forming.bend_radii import RISE_TO_180, RadiusTable, tables_for
from formparts.materials import Material, known_materials, material
from formparts.sources import is_known


def test_tables_of_radii_are_whole() -> None:
    """Bands leave no gap; radii do not fall with the thickness; the harder direction asks no less."""
    for table in forming.radius_tables():
        for band, after in pairwise(table.bands):
            assert band.to == after.over < after.to, table.name
            assert after.across >= band.across, table.name
            assert after.along >= band.along, table.name
        for band in table.bands:
            assert band.along >= band.across >= 0, table.name
            assert band.at_180 is None or (band.at_180[0] >= band.across and band.at_180[1] >= band.along), (
                table.name
            )
        assert is_known(table.source), table.source


def test_every_set_of_rules_is_reached_by_a_shipped_material() -> None:
    """No table is there in vain: each names materials of the table, and is the first for one of them."""
    names = {grade.name for grade in known_materials()}
    for table in forming.radius_tables():
        assert set(table.materials) <= names, table.name
    used = {
        forming.minimum_bend_radius(grade, thickness, angle).rule
        for grade in known_materials()
        for thickness in (0.5, 2)
        for angle in (90,)
    }
    assert used >= {table.name for table in forming.radius_tables()}


def test_a_grade_goes_by_its_own_table_before_its_family() -> None:
    """S355J2 has 470 MPa at the least and would fall in the middle class; its own row is that of the upper one."""
    assert forming.minimum_bend_radius("S355J2C", 2).rule == "EN 10025-2, S355 with suffix C"
    assert (
        forming.minimum_bend_radius("S355J2", 2).rule == "DIN 6935, tensile strength over 490 up to 640 MPa"
    )
    assert (
        forming.minimum_bend_radius("S355J2C", 0.9).rule
        == "DIN 6935, tensile strength over 490 up to 640 MPa"
    )
    assert forming.minimum_bend_radius("DC01", 2).rule == "DIN 6935, tensile strength up to 390 MPa"
    assert (
        forming.minimum_bend_radius("HC340LA", 2).rule == "DIN 6935, tensile strength over 390 up to 490 MPa"
    )
    assert forming.minimum_bend_radius("S420MC", 2).rule == "EN 10149-2, S420MC"
    assert forming.minimum_bend_radius("DC01 at 7800 kg/m3", 2) == forming.minimum_bend_radius("DC01", 2)


def test_without_a_table_an_estimate_says_that_it_is_one() -> None:
    """By hand: 45 % gives t (1/0.45 - 1)/2 = 0.6111 t; no published row, so a test strip decides."""
    found = forming.minimum_bend_radius(Material("shop steel", 7850.0, elongation=45.0), 2)
    assert found.radius == pytest.approx(2 * (1 / 0.45 - 1) / 2, rel=1e-12)
    assert not found.published
    assert "estimate" in found.rule
    assert "bend a test strip" in found.note
    assert "FAA memorandum" in found.source
    assert all(forming.minimum_bend_radius(grade, 0.5).published for grade in known_materials())


def test_beyond_the_end_of_a_table_an_estimate_is_never_less_than_one_thickness() -> None:
    """KME and Aurubis print rows of strip up to 0.5 mm; plate of copper and bronze is not bent to no radius at all."""
    for name, table_end in (("Cu-ETP R290", 0.5), ("CuSn6 R420", 0.5), ("CuZn37 R300", 3.0)):
        assert forming.minimum_bend_radius(name, table_end).published
        found = forming.minimum_bend_radius(name, 8.0)
        assert found.radius >= 8.0
        assert not found.published
        assert f"the table ends at {table_end:g} mm; beyond it an estimate" in found.note


def test_beyond_the_angle_of_a_table_the_radius_rises_by_a_factor_that_has_a_source() -> None:
    """By hand, half way from 90 to 180 deg: EN 485-2 has 1.5 t for 3003-H16 at 1 mm and 2.5 t at 180 deg; 6082-T6 has
    3.5 t at 2 mm and no row for 180 deg; EN 10149-2 tests S700MC through 180 deg round a mandrel of 2 t in diameter."""
    for name, thickness, expected, said, cited in (
        (
            "EN AW-3003-H16",
            1.0,
            2.0,
            "rises to that for 180 deg",
            "EN 485-2, table of EN AW-3003, bend radius",
        ),
        (
            "6082-T6",
            2.0,
            8.0,
            "one thickness up to 180 deg, an estimate",
            "; EN 485-2, bend radius, rise from 90",
        ),
        (
            "S700MC",
            2.0,
            3.0,
            "the same radius holds up to 180 deg",
            "; EN 10149-2, table 2, bend test through",
        ),
        ("Ti Grade 2", 1.0, 2.4, "one thickness up to 180 deg", "ASTM B265, bend test; EN 485-2"),
    ):
        found = forming.minimum_bend_radius(name, thickness, 135)
        assert found.radius == pytest.approx(expected, rel=1e-12), name
        assert said in found.note
        assert cited in found.source
        assert is_known(found.source)
        assert "deg" not in forming.minimum_bend_radius(name, thickness, 90).note


# EN 10149-2, table 2: least diameter of the mandrel in the bend test through 180 deg, in thicknesses (S600MC and S700MC
# from memory, the others seen).
MANDRELS = {"S315MC": 0, "S355MC": 0.5, "S420MC": 0.5, "S460MC": 1, "S500MC": 1, "S600MC": 1.5, "S700MC": 2}


@pytest.mark.parametrize("name", MANDRELS)
def test_the_bend_test_goes_round_no_more_than_the_recommended_radius(name: str) -> None:
    for thickness in (2, 4, 8):
        at_90, at_180 = (forming.minimum_bend_radius(name, thickness, angle).radius for angle in (90, 180))
        assert at_180 == at_90 >= MANDRELS[name] / 2 * thickness


def test_where_a_source_is_silent_on_the_rolling_direction_that_is_said() -> None:
    """Its figure stands for both directions then; DIN 6935 and the strip sheets tell them apart."""
    for name, told in (("S235JR", True), ("Cu-ETP R290", True), ("5754-H22", False), ("1.4301", False)):
        across, along = (forming.minimum_bend_radius(name, 0.5, along_rolling=way) for way in (False, True))
        assert (across.directions, along.directions) == (told, told)
        assert (along.radius > across.radius) == told
        assert ("does not tell the rolling directions apart" in along.note) == (not told)
        assert not across.note
    unknown = forming.minimum_bend_radius(Material("shop steel", 7850.0, elongation=45.0), 2, 90, True)
    assert "does not tell the rolling directions apart" in unknown.note


# Corrected figures: each was wrong once. Thickness [mm], angle [deg], smallest radius in thicknesses.
CORRECTED = [
    ("3003-H14", 1.0, 90, 0.0),  # Aluminum Design Manual, part VII, table 3-1
    ("3003-H14", 3.0, 90, 1.0),
    ("1050A-H14", 1.0, 90, 0.5),  # EN 485-2
    ("5083-H111", 1.0, 90, 1.0),  # EN 485-2
    ("5083-H111", 6.0, 90, 1.5),
    ("6082-T6", 2.0, 90, 3.5),  # EN 485-2
    ("S700MC", 3.0, 90, 1.5),  # EN 10149-2
    ("S315MC", 3.0, 90, 0.25),
    ("Ti Grade 1", 1.7, 105, 1.5),  # ASTM B265
    ("Ti Grade 1", 2.0, 90, 2.0),
    ("Ti Grade 2", 2.0, 90, 2.5),
    ("6061-T6", 0.063 * 25.4, 90, 1.5),  # nominal sheets of the Aluminum Association's columns
    ("6061-T6", 0.032 * 25.4, 90, 1.0),
    ("EN AW-6061-T6", 1.5, 90, 2.5),  # EN 485-2: the European grade by the European table
    ("EN AW-6061-T6", 2.0, 90, 3.5),
    ("EN AW-3003-H14", 1.0, 90, 1.0),
    ("EN AW-6061-T4", 0.8, 90, 1.0),
    ("EN AW-6061-O", 1.0, 90, 0.5),
    ("EN AW-2024-T3", 0.8, 90, 4.0),
    ("6061-T6", 0.190 * 25.4, 90, 3.0),
    ("5052-O", 0.125 * 25.4, 90, 0.5),
    ("1100-H14", 0.063 * 25.4, 90, 0.0),
    ("6061-T4", 0.063 * 25.4, 90, 1.0),
    ("Cu-ETP R290", 0.4, 180, 0.5),  # KME, Cu-ETP
    ("Cu-ETP R360", 0.4, 90, 1.0),
]


@pytest.mark.parametrize(("name", "thickness", "angle", "multiple"), CORRECTED)
def test_a_corrected_smallest_radius(name: str, thickness: float, angle: float, multiple: float) -> None:
    found = forming.minimum_bend_radius(name, thickness, angle)
    assert found.radius == pytest.approx(multiple * thickness, rel=1e-9, abs=1e-9)
    assert found.published


def test_the_rows_of_cold_flanging_are_for_suffix_c_alone() -> None:
    """EN 10025-2: along the rolling direction S275JRC at 2.5 mm has its own row; S275JR is bent by DIN 6935."""
    assert forming.minimum_bend_radius("S275JRC", 2.5, along_rolling=True).radius == 3.0
    assert forming.minimum_bend_radius("S275JR", 2.5, along_rolling=True).radius == 4.0
    for plain in ("S235JR", "S275JR", "S355J2"):
        assert "EN 10025" not in forming.minimum_bend_radius(plain, 3).rule
        assert "EN 10025" in forming.minimum_bend_radius(f"{plain}C", 3).rule


def of_each_set_of_tables() -> Iterator[tuple[Material, list[RadiusTable]]]:
    """Every material goes by a set of tables; one of each set has the radii of all."""
    sets: dict[tuple[str, ...], tuple[Material, list[RadiusTable]]] = {}
    for grade in known_materials():
        tables = tables_for(grade)
        sets.setdefault(tuple(table.name for table in tables), (grade, tables))
    assert sum(len(tables) for _, tables in sets.values()) >= len(forming.radius_tables())
    yield from sets.values()


@pytest.mark.parametrize(("thickness", "by_din"), [(1.5, 2.5), (2.0, 3.0), (3.0, 5.0)])
def test_grades_with_suffix_c_rise_to_din_6935_beyond_90_deg(thickness: float, by_din: float) -> None:
    """EN 10025-2 prints cold flanging for 90 deg or less; DIN 6935, along the rolling direction, holds to 120 deg."""
    at = {angle: forming.minimum_bend_radius("S235JRC", thickness, angle, True) for angle in (90, 105, 120)}
    assert at[120].radius == by_din
    assert at[105].radius == pytest.approx((at[90].radius + by_din) / 2.0)
    assert at[105].source.startswith("EN 10025-2")
    assert "DIN 6935" in at[105].source


@pytest.mark.parametrize("along", [False, True])
def test_the_smallest_radius_has_no_cliff_in_the_angle(along: bool) -> None:
    """It never falls, and rises by at most t/30 a degree, but for the step of DIN 6935 above 120 deg."""
    angles = (60, 89, 90, 91, 95, 104, 105, 106, 119, 120, 121, 150, 179, 180)
    for grade, _ in of_each_set_of_tables():
        for thickness in (0.5, 1, 1.5, 2, 3, 5, 8, 20, 30):
            found = [forming.minimum_bend_radius(grade, thickness, angle, along) for angle in angles]
            for (here, before), (there, after) in pairwise(zip(angles, found, strict=True)):
                assert after.radius >= before.radius - 1e-12, grade.name
                step = "10025" in after.rule or "DIN 6935" in after.rule
                if not (step and here == 120):
                    rise = after.radius - before.radius
                    assert rise <= (there - here) * thickness / 30 + 1e-12, (grade.name, thickness, there)


@pytest.mark.parametrize("along", [False, True])
def test_the_smallest_radius_has_no_cliff_in_the_thickness_but_the_tables_own(along: bool) -> None:
    """It never falls as the sheet grows, and jumps only where a band of its own tables ends."""
    for grade, tables in of_each_set_of_tables():
        ends = sorted(
            {end for table in tables for band in table.bands for end in (band.over, band.to)} - {0.0}
        )
        sheets = [0.2, *(end + step for end in ends for step in (-0.1, -0.001, 0.0, 0.001)), 2.0 * ends[-1]]
        found = [forming.minimum_bend_radius(grade, sheet, 90, along).radius for sheet in sorted(sheets)]
        for (thin, small), (thick, large) in pairwise(zip(sorted(sheets), found, strict=True)):
            assert large >= small - 1e-12, (grade.name, thick)
            if not any(thin <= end < thick for end in ends):
                assert large <= small * thick / thin + 1e-9, (grade.name, thick)


# From the softest to the hardest of an alloy, a product or a standard.
RISING = (
    ("DC06", "DC05", "DC04", "DC03", "DC01"),
    ("DD13", "DD12", "DD11"),
    ("DX57D+Z", "DX56D+Z", "DX54D+Z", "DX53D+Z", "DX52D+Z", "DX51D+Z"),
    ("S220GD+Z", "S250GD+Z", "S280GD+Z", "S320GD+Z", "S350GD+Z"),
    ("HX260LAD+Z", "HCT590X+Z"),
    ("HC260LA", "HC300LA", "HC340LA", "HC380LA", "HC420LA"),
    ("S315MC", "S355MC", "S420MC", "S460MC", "S500MC", "S550MC", "S600MC", "S650MC", "S700MC"),
    ("S235JR", "S275JR", "S355JR"),
    ("S235J0", "S275J0", "S355J0"),
    ("S235J2", "S275J2", "S355J2", "S355K2"),
    ("S235JRC", "S275JRC", "S355J2C"),
    ("S235J0C", "S275J0C", "S355J0C"),
    ("S235J2C", "S275J2C", "S355K2C"),
    ("A1008 DS-B", "A1008 CS-B", "A1008 HSLAS-50"),
    ("A1011 DS-B", "A1011 CS-B", "A1011 SS-36"),
    ("A1011 CS-B", "A1011 HSLAS-50"),
    ("A1008 CS-B", "A1011 CS-B", "A36", "1018"),
    ("steel", "C45", "C45E"),
    ("4130", "4130N"),
    ("1.4306", "1.4307", "1.4301", "1.4310", "1.4310+C1150", "1.4310+C1300"),
    ("1.4401", "1.4404", "1.4571"),
    ("1.4016", "1.4003"),
    ("1100-O", "1100-H12", "1100-H14", "1100-H16", "1100-H18"),
    ("3003-O", "3003-H12", "3003-H14", "3003-H16"),
    ("EN AW-3003-O", "EN AW-3003-H12", "EN AW-3003-H14", "EN AW-3003-H16"),
    ("5052-O", "5052-H32", "5052-H34"),
    ("EN AW-5052-O", "EN AW-5052-H32", "EN AW-5052-H34"),
    ("5083-O", "5083-H111"),
    ("5754-O", "5754-H111", "5754-H22"),
    ("6061-O", "6061-T4", "6061-T6"),
    ("EN AW-6061-O", "EN AW-6061-T4", "EN AW-6061-T6"),
    ("6082-T4", "6082-T6"),
    ("2024-O", "2024-T3"),
    ("2024-O", "EN AW-2024-T3"),
    ("7075-O", "7075-T6"),
    ("Cu-ETP R220", "Cu-ETP", "Cu-ETP R290", "Cu-ETP R360"),
    ("Cu-ETP R220", "Cu-DHP", "Cu-ETP R290"),
    ("CuZn37 R300", "CuZn37", "CuZn37 R410", "CuZn37 R480"),
    ("CuZn37 R300", "CuZn30", "CuZn37 R410"),
    ("CuSn6", "CuSn6 R420", "CuSn6 R500"),
    ("Ti Grade 1", "Ti Grade 2", "Ti-6Al-4V"),
)
ALONE = {"1.4541", "1050A-H14", "5005-H34", "EN AW-5005-H34"}
"""The only temper of their alloy in the table."""


def test_every_material_is_compared_within_a_family() -> None:
    compared = {name for rising in RISING for name in rising}
    assert compared | ALONE == {grade.name for grade in known_materials()}
    assert not compared & ALONE


@pytest.mark.parametrize("rising", RISING, ids=lambda rising: f"{rising[0]} to {rising[-1]}")
def test_within_a_family_the_radius_grows_with_strength_and_falls_with_elongation(
    rising: tuple[str, ...],
) -> None:
    """Facts of the trade: a harder temper of the same alloy is stronger, has a lower elongation, a larger radius."""
    for softer, harder in pairwise(map(material, rising)):
        strengths = [grade.tensile_strength_min or grade.tensile_strength_max for grade in (softer, harder)]
        assert strengths == sorted(strengths)
        assert softer.elongation >= harder.elongation
        for thickness, angle in product((0.5, 1.0, 2.0, 3.0, 6.0, 10.0), (90, 135, 180)):
            for along in (False, True):
                soft, hard = (
                    forming.minimum_bend_radius(grade, thickness, angle, along) for grade in (softer, harder)
                )
                if soft.published and hard.published:
                    assert soft.radius <= hard.radius + 1e-12, (harder.name, thickness, angle, along)


def test_most_rows_rise_by_one_thickness_at_most_from_90_to_180_degrees() -> None:
    """EN 485-2 has both angles for 50 sheets: the rise that is taken where nothing is published covers four in five."""
    rises = [
        band.at_180[0] - band.across
        for table in forming.radius_tables()
        if table.name.startswith("EN 485-2")
        for band in table.bands
        if band.at_180 is not None
    ]
    assert len(rises) >= 40
    assert sum(rise <= RISE_TO_180 for rise in rises) >= 0.8 * len(rises)
    assert max(rises) == 2.0


@pytest.mark.parametrize(
    ("grade", "thickness", "angle"),
    [("S355J2C", 20, 90), ("S235JR", 20, 90), ("S355J2", 20, 120), ("S235JR", 20, 130), ("S355MC", 3, 90)],
)
def test_beyond_its_table_a_material_needs_no_less_than_at_its_end(
    grade: str, thickness: float, angle: float
) -> None:
    """A thicker sheet, or a bend a degree sharper, never takes a smaller radius (fact of the trade)."""
    at_the_end = forming.minimum_bend_radius(grade, thickness, angle).radius
    assert forming.minimum_bend_radius(grade, 1.05 * thickness, angle).radius >= at_the_end
    assert forming.minimum_bend_radius(grade, thickness, angle + 1).radius >= at_the_end
    if thickness == 20:
        beyond = forming.minimum_bend_radius(grade, 21, 90)
        assert beyond.radius == pytest.approx(
            1.05 * forming.minimum_bend_radius(grade, 20, 90).radius, rel=1e-12
        )
        assert "the table ends at 20 mm" in beyond.note
