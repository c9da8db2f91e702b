"""The table of materials, against published figures and facts of the trade."""

from __future__ import annotations

import csv
import pickle
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pint
import pytest

from formparts.body import Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError, UnitsError
from formparts.materials import Material, figure, known_materials, material, material_of_density, with_density
from formparts.quantities import density
from formparts.shapes import profile, run, up
from formparts.sources import is_known

TABLE = Path(__file__).parents[1] / "handbook" / "materials.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
FIGURES = ("density", "modulus", "poisson", "yield_strength", "tensile_strength", "elongation")
NUMBERS = ("density", "modulus", "poisson", "yield_strength", "elongation")
STEELS = ("steel", "S235JR", "S275JR", "S355MC", "DC01", "DX51D+Z", "1.4301", "1.4404")
OTHERS = ("5754-H22", "5052-H32", "6061-T6", "Cu-ETP", "CuZn37")


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_a_figure_is_that_of_its_source(row: dict[str, str]) -> None:
    figure_of, _, sheet = row["figure"].partition(" at ")
    grade = material(row["material"])
    grade = grade.with_thickness(float(sheet.removesuffix(" mm"))) if sheet else grade
    found = getattr(grade, figure_of)
    assert abs(found - float(row["expected"])) <= float(row["tol"])


# Classic confusions of a material table: each must miss the row it would spoil.
CONFUSED = {
    "MP-01b": 210.0,  # GPa for MPa
    "MP-01a": 7.85,  # kg/dm3 for kg/m3
    "MP-02c": 560.0,  # the range of thicker sheet taken for all
    "MP-05a": 140.0,  # the least taken for the greatest
    "MP-08a": 8000.0,  # the United States figure taken for the European
    "MP-08f": 7850.0,  # stainless reckoned as plain carbon steel
    "MP-10c": 193.0,  # the typical taken for the least
    "MP-12c": 276.0,  # the same
    "MP-12d": 310.0,  # the same
}


@pytest.mark.parametrize("name", CONFUSED)
def test_the_classic_confusions_miss_their_row(name: str) -> None:
    row = next(row for row in ROWS if row["id"] == name)
    assert abs(CONFUSED[name] - float(row["expected"])) > float(row["tol"])


def test_every_grade_that_was_asked_for_is_there_and_has_rows() -> None:
    names = [grade.name for grade in known_materials()]
    assert {*STEELS, *OTHERS} <= set(names)
    assert len(set(names)) == len(names)
    assert len(names) >= 25
    # Issue 4: structural, cold-rolled, galvanised, stainless, aluminium, copper alloys, titanium.
    families = {grade.family for grade in known_materials()}
    assert families == {
        "carbon steel",
        "stainless steel",
        "aluminium",
        "copper",
        "brass",
        "bronze",
        "titanium",
    }
    assert {row["material"] for row in ROWS} <= set(names)
    assert all(row["source"] and row["tol_reason"] for row in ROWS)
    assert {row["provenance"] for row in ROWS} == {"seen", "from memory"}


@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_every_figure_names_its_source(grade: Material) -> None:
    assert set(grade.sources) == set(FIGURES)
    assert all(map(is_known, grade.sources.values()))
    assert not any("seen" in text or "memory" in text for text in grade.sources.values())


def test_materials_that_a_shop_meets_are_there() -> None:
    """Issue 24 names them; each is found by its usual name."""
    for name in (
        "2024-O", "7075-O", "7075-T6", "5083-O", "5754-O", "5754-H111", "6061-O", "6061-T4", "6082-T4", "1100-H14",
        "1100-O", "3003-O", "3003-H14", "4130", "1018", "A1011", "A1008", "1.4310", "1.4404", "1.4016", "S460MC",
        "S600MC", "HX260LAD", "DP600", "DX54D", "CuZn37 R410", "Cu-ETP R290", "Ti-6Al-4V", "S235JRC",
    ):  # fmt: skip
        grade = material(name)
        assert {band.figure for band in grade.bands} == {"yield_strength", "tensile_strength", "elongation"}
        assert all(band.gauge for band in grade.bands if band.figure == "elongation")


@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_figures_by_thickness_follow_each_other(grade: Material) -> None:
    """Rows leave no gap, and the plain figures are safe for each of the usual sheets."""
    for figure_of in ("yield_strength", "tensile_strength", "elongation"):
        rows = [band for band in grade.bands if band.figure == figure_of]
        assert all(one.to == two.over for one, two in pairwise(rows))
        assert all(band.over < band.to for band in rows)
    for thickness in (0.75, 1, 2, 2.6, 4, 10, 16):
        one = grade.with_thickness(thickness)
        assert one.name == grade.name
        assert one.elongation >= grade.elongation
        assert (one.tensile_strength_min or 0) >= (grade.tensile_strength_min or 0)
        assert (one.tensile_strength_max or 0) <= (grade.tensile_strength_max or 0)
        safe = one.yield_strength - grade.yield_strength
        assert safe <= 0 if grade.yield_is == "most" else safe >= 0
        assert one.with_thickness(thickness) == one


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("st37", "S235JR"), ("S355", "S355J2"), ("3.3535", "5754-H22"), ("3.2315", "6082-T6"),
        ("EN AW-6061-T6", "EN AW-6061-T6"), ("aluminium 5052", "5052-H32"), ("Aluminum 6061-T6", "6061-T6"),
        ("EN AW 5052 H32", "EN AW-5052-H32"),
        ("AISI-316L", "1.4404"), ("stainless 304", "1.4301"), ("W.Nr. 1.4404", "1.4404"), ("St52-3", "S355J2"),
        ("st 37-2", "S235JR"), ("V2A", "1.4301"), ("St 12", "DC01"), ("HCT600X", "HCT590X+Z"), ("type 430", "1.4016"),
        ("steel 1018", "1018"), ("ASTM A36", "A36"), ("alloy 7075", "7075-T6"), ("AL 5754", "5754-H22"),
        ("titanium grade 2", "Ti Grade 2"), ("2.0321", "CuZn37"), ("DX51D+Z", "DX51D+Z"),
        ("SS304", "1.4301"), ("SUS 304", "1.4301"), ("AISI316L", "1.4404"),
    ],
)  # fmt: skip
def test_a_material_is_found_by_loose_spelling_and_old_names(asked: str, name: str) -> None:
    assert material(asked).name == name


@pytest.mark.parametrize(
    ("asked", "members", "strange"),
    [
        ("stainless steel", {"1.4301", "1.4016", "1.4404"}, "DC01"),
        ("cold rolled steel", {"DC01", "HC340LA"}, "S235JR"),
        ("aluminum", {"5754-H22", "6082-T6"}, "Cu-ETP"),
        ("galvanized steel", {"DX51D+Z", "S250GD+Z"}, "DC01"),
    ],
)
def test_the_name_of_a_kind_is_answered_with_its_grades(asked: str, members: set[str], strange: str) -> None:
    with pytest.raises(InputError, match="no grade; name one:") as refused:
        material(asked)
    named = set(str(refused.value).partition("name one: ")[2].split(", "))
    assert members <= named
    assert strange not in named


@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_figures_are_those_of_a_metal(grade: Material) -> None:
    # Facts of the trade: metals that are bent lie between magnesium and copper; elasticity: 0 < nu < 1/2.
    assert all(isinstance(getattr(grade, name), float) for name in NUMBERS)
    assert 1700 < grade.density < 9000
    assert 60_000 < figure(grade, "modulus") < 225_000  # ferritic stainless steel has 220 GPa
    assert 0.25 < figure(grade, "poisson") < 0.4
    least, most = grade.tensile_strength_min, grade.tensile_strength_max
    assert least is not None or most is not None
    assert least is None or most is None or least < most
    # Only where the standard sets a greatest yield strength may it lie above the least tensile strength.
    assert figure(grade, "yield_strength") < (least or most) or grade.yield_is == "most"
    assert 1 <= figure(grade, "elongation") < 60
    assert len(grade.colour) == 3
    assert all(0 <= part <= 1 for part in grade.colour)


# Check values of section 9 that are not rows of the table, each with where it is held or why it is not.
ELSEWHERE = {
    18: "AISI 1018 cold drawn is bar, and no sheet",
    20: "test_the_modulus_agrees_with_the_torsion_tests_of_a_handbook",
    21: "tests/forming: test_bends_raise_the_yield_strength_of_a_section",
    22: "test_mass_of_an_angle_by_hand",
}


def test_every_check_value_is_a_row_or_held_elsewhere() -> None:
    rows = {int(found[1]) for row in ROWS if (found := re.match(r"MP-(\d+)", row["id"]))}
    assert not rows & ELSEWHERE.keys()
    assert rows | ELSEWHERE.keys() == set(range(1, 23))


def test_mass_of_an_angle_by_hand() -> None:
    # ORACLES MP-22, exact geometry: L 60 x 40 x 40 mm, t = R = 2: straights 56 and 36, a quarter ring of middle
    # radius 3: (92 + 3 pi/2) x 2 x 40 = 7736.991118 mm3, at 7850 kg/m3 60.735380 g.
    angle = profile(Sheet(2.0, 2.0, "S235JR"), 40, run(60), up(90), run(40))
    assert properties(angle).volume == pytest.approx(7736.991118, abs=1e-6)
    assert properties(angle).mass == pytest.approx(0.060735380, abs=1e-9)


# Names of EN 10027-1 carry the least yield strength in MPa: S for structural, HC and HX for high-yield.
@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_the_name_of_a_steel_says_its_least_yield_strength(grade: Material) -> None:
    said = re.fullmatch(r"(?:S|HC|HX)(\d{3})(?:JRC?|J0C?|J2C?|K2C?|MC|LA|LAD\+Z|GD\+Z)", grade.name)
    if said is None:
        assert not re.match(r"(S|HC|HX)\d", grade.name)
        return
    assert grade.yield_is == "least"
    assert figure(grade.with_thickness(3), "yield_strength") == float(said[1])


# Names of EN 1173 carry the least tensile strength in MPa: R350 is at least 350 MPa.
@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_the_name_of_a_copper_alloy_says_its_least_tensile_strength(grade: Material) -> None:
    names = (grade.name, *grade.aliases)
    said = [found[1] for name in names if (found := re.search(r" R(\d{3})$", name))]
    assert bool(said) == (grade.family in ("copper", "brass", "bronze"))
    for least in said:
        assert grade.tensile_strength_min == float(least)


# ASTM B265 states titanium in ksi (from memory); the metric figures are rounded to 5 MPa or less.
@pytest.mark.parametrize(
    ("name", "ksi_yield", "ksi_tensile"),
    [("Ti Grade 1", 20, 35), ("Ti Grade 2", 40, 50), ("Ti-6Al-4V", 120, 130)],
)
def test_titanium_in_ksi(name: str, ksi_yield: float, ksi_tensile: float) -> None:
    assert figure(material(name), "yield_strength") == pytest.approx(ksi_yield * 6.894757, abs=2.5)
    assert figure(material(name), "tensile_strength_min") == pytest.approx(ksi_tensile * 6.894757, abs=2.5)


# Handbook densities [kg/m3] of the families (facts of the trade, from memory): a figure in the wrong unit, or of the
# wrong metal, falls out.
DENSITIES = {
    "carbon steel": (7800, 7870),
    "stainless steel": (7650, 8050),
    "aluminium": (2640, 2820),
    "copper": (8900, 8960),
    "brass": (8400, 8800),
    "bronze": (8700, 8900),
    "titanium": (4400, 4540),
}
# Moduli in GPa of the families (the same).
MODULI = {
    "carbon steel": (200, 212),
    "stainless steel": (185, 220),
    "aluminium": (68, 74),
    "copper": (115, 130),
    "brass": (100, 120),
    "bronze": (105, 120),
    "titanium": (100, 118),
}


@pytest.mark.parametrize("grade", known_materials(), ids=lambda grade: grade.name)
def test_figures_are_those_of_the_family(grade: Material) -> None:
    low, high = DENSITIES[grade.family]
    assert low <= grade.density <= high
    low, high = MODULI[grade.family]
    assert low * 1000 <= figure(grade, "modulus") <= high * 1000


def test_the_modulus_agrees_with_the_torsion_tests_of_a_handbook() -> None:
    # ASM Metals Handbook Desk Edition (seen): shear modulus of mild steel 11.9 Msi, of aluminium 3.80 Msi;
    # G = E / (2 (1 + nu)). 2 %: the rows are for another steel and for the pure metal. The row for copper is
    # left out, and brass with it: it goes with E = 18.8 Msi = 130 GPa, where our figure is 117 GPa.
    for name, shear_msi in (("steel", 11.9), ("6061-T6", 3.80)):
        grade = material(name)
        shear = figure(grade, "modulus") / (2 * (1 + figure(grade, "poisson")))
        assert shear == pytest.approx(shear_msi * 6894.757, rel=0.02)


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("S235JR", "S235JR"),
        ("s235jr", "S235JR"),
        (" S 235 JR\n", "S235JR"),
        ("1.0038", "S235JR"),
        ("1.0044", "S275JR"),
        ("1.0976", "S355MC"),
        ("1.0330", "DC01"),
        ("DX51D", "DX51D+Z"),
        ("304", "1.4301"),
        ("X5CrNi18-10", "1.4301"),
        ("316L", "1.4404"),
        ("EN AW-5754", "5754-H22"),
        ("CW004A", "Cu-ETP"),
        ("copper", "Cu-ETP"),
        ("brass", "CuZn37"),
        ("mild steel", "steel"),
    ],
)
def test_a_material_is_found_by_name_number_and_other_names(asked: str, name: str) -> None:
    assert material(asked).name == name


def test_no_name_stands_for_two_materials() -> None:
    names = [
        name.lower().replace(" ", "")
        for grade in known_materials()
        for name in {grade.name, grade.standard_number, *grade.aliases}
        if name
    ]
    assert len(names) == len(set(names))


def test_every_material_is_found_again_by_its_name() -> None:
    by_hand = (material_of_density(7850), with_density(material("1.4301"), "0.29 lb/in3"))
    for grade in (
        *known_materials(),
        *by_hand,
        with_density(by_hand[1], 8000),
        with_density(by_hand[0], 2700),
    ):
        assert material(grade.name) == grade
        assert material(grade) is grade
        assert pickle.loads(pickle.dumps(grade)) == grade
        assert hash(material(grade.name)) == hash(grade)


def test_a_density_by_hand_changes_the_density_and_says_so() -> None:
    before = material("1.4301")
    after = with_density(before, "8.0 g/cm3")
    assert (after.density, after.name) == (8000.0, "1.4301 at 8000 kg/m3")
    assert after.sources["density"] == "by hand"
    assert after.sources["modulus"] == before.sources["modulus"]
    assert after.modulus == before.modulus
    assert before.density == 7900.0
    assert with_density(after, 7900).name == "1.4301 at 7900 kg/m3"


def test_a_bare_density_is_enough_for_a_mass_and_for_nothing_else() -> None:
    # ORACLES MP-19, arithmetic: a plate of 1000 x 500 x 3 mm weighs 11.775 kg at 7850 and 11.700 kg at 7800.
    assert material_of_density(7850).density * 1.0 * 0.5 * 0.003 == pytest.approx(11.775, rel=1e-12)
    assert material_of_density("7.8 kg/dm3").density * 1.0 * 0.5 * 0.003 == pytest.approx(11.700, rel=1e-12)
    grade = material("7850 kg/m3")
    assert grade == material_of_density(pint.UnitRegistry().Quantity(7.85, "g/cm**3"))
    with pytest.raises(InputError, match=r"force: material = 7850 kg/m3: it has no yield strength; .*S235JR"):
        figure(grade, "yield_strength", "force")
    with pytest.raises(InputError, match="it has no tensile strength max"):
        figure(material("6061-T6"), "tensile_strength_max")


def test_masses_of_the_usual_data_sheets() -> None:
    # Facts of the trade: 1 m2 of 1 mm sheet weighs 7.85 kg in steel, 7.9 in 1.4301, 8 in 1.4404, 2.7 in 6061.
    for name, mass in (("DC01", 7.85), ("DX51D+Z", 7.85), ("1.4301", 7.9), ("1.4404", 8.0), ("6061-T6", 2.7)):
        assert material(name).density * 1e-3 == pytest.approx(mass, rel=1e-12)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("S236JR", ("S236JR", "did you mean S235JR", "there are: steel")),
        ("1.43O1", ("1.43O1", "did you mean 1.43")),
        ("unobtainium", ("unobtainium", "there are: steel", "7850 kg/m3")),
        ("", ("''", "there is no such material")),
        (None, ("None", "not the name of a material")),
        (7850, ("7850", "not the name of a material", "7850 kg/m3")),
        (True, ("True", "not the name of a material")),
        (["DC01"], ("['DC01']", "not the name of a material")),
        ("0/0", ("0/0", "there is no such material", "7850 kg/m3")),
        ("304/304L", ("304/304L", "that is 2 materials and no grade", "name one: 1.4301, 1.4307")),
        ("0 g/cm3", ("0 g/cm3", "500 to 23000 kg/m3")),
        ("7.85 kg/m3", ("7.85 kg/m3", "smaller than the least, 500 kg/m3")),
        ("7850 kg/m2", ("7850 kg/m2", "density is wanted")),
        ("DC01 at nothing", ("DC01: density = nothing", "500 to 23000 kg/m3")),
        ("nothing at 7850", ("nothing", "there is no such material")),
        ("DC01 at -7850", ("-7850", "smaller than the least")),
    ],
)
def test_an_unknown_material_is_refused_in_one_line(given: object, words: tuple[str, ...]) -> None:
    with pytest.raises(InputError) as caught:
        material(given)
    assert all(word in str(caught.value) for word in words)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "given", [0, -1, 7.85, 7.85e-6, 1e6, float("nan"), float("inf"), None, True, [7850], "7,85"]
)
def test_a_density_that_no_sheet_can_have_is_refused(given: object) -> None:
    for attempt in (material_of_density, lambda value: with_density(material("DC01"), value)):
        with pytest.raises(InputError, match="500 to 23000 kg/m3 is allowed"):
            attempt(given)
    with pytest.raises(UnitsError, match="measures mass, and a density is wanted"):
        material_of_density("7850 kg")


def test_the_least_density_in_use_and_the_densest_metal_are_inside_the_limits() -> None:
    # Periodic table, from memory: osmium 22.59 g/cm3 is the densest element.
    assert material_of_density("22.59 g/cm3").density == density("22.59 g/cm3")


def test_the_table_needs_neither_unit_library_nor_kernel() -> None:
    script = (
        "import sys; from formparts.materials import *; "
        "material('S235JR'), material('DC01 at 7800'), known_materials(); "
        "print(sorted({'pint', 'OCP', 'cadquery', 'trimesh', 'ezdxf', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
