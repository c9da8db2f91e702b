"""Permissible deviations against the printed tables of their standards, one check a table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from formparts import deviations
from formparts.errors import InputError
from formparts.materials import material, materials_from
from formparts.sources import is_known
from tests.handbook.rows import faults, number, read_rows
from tests.house.docstrings import docstring_faults

ROWS = read_rows("deviations")
FIGURES: dict[str, Callable[[dict[str, str]], float]] = {
    "thickness": lambda given: (
        deviations.thickness_deviation(
            given["material"], number(given["thickness"]), number(given["width"]), given.get("standard", "")
        ).value
    ),
    "angle": lambda given: deviations.angular_deviation(number(given["side"]), given["class"]).value,
}


@pytest.mark.parametrize("source", sorted({row.source for row in ROWS}))
def test_a_table_of_deviations(source: str) -> None:
    """Each range at its end, for each width or class."""
    assert (
        faults([row for row in ROWS if row.source == source], lambda row: FIGURES[row.figure](row.inputs))
        == []
    )


@pytest.mark.parametrize(
    "name",
    [
        "thickness_deviation",
        "thickness_deviations",
        "thickness_table",
        "angular_deviation",
        "cut_deviation",
        "cut_edge",
        "Deviation",
    ],
)
def test_deviations_keep_their_contract(name: str) -> None:
    assert docstring_faults(name, getattr(deviations, name)) == []


def test_a_range_begins_behind_the_one_before() -> None:
    """EN 10131: 2.0 mm is in the range to 2.0, 2.01 mm in the next; EN 10259 begins its ranges with the thickness."""

    def off(material: str, thickness: float) -> float:
        return deviations.thickness_deviation(material, thickness, 1250).value

    assert (off("DC01", 2.0), off("DC01", 2.01)) == (0.11, 0.13)
    assert (off("1.4301", 1.99), off("1.4301", 2.0)) == (0.09, 0.10)


def test_stronger_hot_rolled_steel_may_be_farther_off() -> None:
    """EN 10051: categories B, C and D have 15, 30 and 40 % more than A, by the least yield strength."""
    base = deviations.thickness_deviation("S275JR", 4).value
    for name, times in (("S355MC", 1.15), ("S420MC", 1.3), ("S460MC", 1.4), ("S700MC", 1.4)):
        assert deviations.thickness_deviation(name, 4).value == pytest.approx(times * base, rel=1e-12)


# EN 10131:2006, table 2 (seen, to 1 mm): up to, and the deviation for widths to 1200, to 1500 and above.
TABLE_2 = [(0.4, 0.04, 0.05, 0.06), (0.6, 0.04, 0.05, 0.06), (0.8, 0.05, 0.06, 0.07), (1.0, 0.06, 0.07, 0.08)]


def test_cold_rolled_steel_of_260_to_340_mpa() -> None:
    """Up to where its rows could be read; thicker, and stronger, is refused with what to do."""
    grade = replace(material("HC340LA"), yield_strength=300.0, bands=())
    for size, *expected in TABLE_2:
        found = [deviations.thickness_deviation(grade, size, width).value for width in (1200, 1500, 1800)]
        assert found == expected
    for refused, size in ((grade, 1.2), (material("HC340LA"), 0.8), (material("S280GD"), 1), ("DX51D", 1)):
        with pytest.raises(
            InputError, match=r"no table that can be cited .* state it as thickness_deviation"
        ):
            deviations.thickness_deviation(refused, size)


def test_where_the_rows_are_not_given_the_table_of_the_standard_is_named() -> None:
    """EN 10143 (seen): table 2 is for 260 to below 360 MPa and DX51D; EN 10131 has four tables by yield strength."""
    for name, table in (
        ("DX51D", "EN 10143, table 2"),
        ("S280GD", "EN 10143, table 2"),
        ("S350GD", "EN 10143, table 2"),
        ("HX260LAD", "EN 10143, table 2"),
        ("HC300LA", "EN 10131, table 2"),
        ("HC340LA", "EN 10131, table 3"),
        ("HC420LA", "EN 10131, table 3"),
        ("CuZn37", "EN 1652, tolerances on thickness"),
        ("Ti Grade 2", "ASTM B265, variations in thickness"),
    ):
        assert deviations.thickness_table(name) == table
        assert is_known(table)
        with pytest.raises(InputError, match=f"take the figure of {table}, or of the mill's certificate"):
            deviations.thickness_deviation(name, 2)
    assert [deviations.thickness_table(name) for name in ("1018", "DX53D", "DC01")] == ["", "", ""]


def test_american_sheet_has_the_deviations_of_its_own_standard() -> None:
    """EN 10051 and EN 10131 are not for it, and a stainless sheet has both standards to choose from."""
    for name, source in (
        ("A1011", "ASTM A568"),
        ("A1008", "ASTM A568"),
        ("S235JR", "EN 10051"),
        ("DC01", "EN 10131"),
    ):
        found = deviations.thickness_deviations(name, 2)
        assert [one.source.startswith(source) for one in found] == [True]
    assert [one.source[:4] for one in deviations.thickness_deviations("304", 3)] == ["EN 1", "ASTM"]
    with pytest.raises(InputError, match="3 mm of it 1250 mm wide by JIS"):
        deviations.thickness_deviation("304", 3, standard="JIS")


def test_a_thickness_between_two_gauges_takes_the_thicker_ones() -> None:
    """A568 by gauge: 1.5 mm lies between 17 and 16 gauge, 0.0538 and 0.0598 in: 0.005 in."""
    assert deviations.thickness_deviation("A1008", 1.5).value == pytest.approx(0.127, abs=1e-12)
    for outside in (0.3, 3.5):
        with pytest.raises(InputError, match="no table"):
            deviations.thickness_deviation("A1008", outside)


def test_a_material_of_ones_own_states_its_deviation(tmp_path: Path) -> None:
    """It comes before any standard; beyond its rows there is none, or that of its product."""
    path = tmp_path / "shop.toml"
    path.write_text(
        '[[material]]\nname = "A"\ndensity = 8440\nthickness_deviation = [[0, 1, 0.03], [1, "0.1 in", "0.002 in"]]\n'
        '[material.sources]\nthickness_deviation = "certificate 7"\n'
        '[[material]]\nname = "B"\ndensity = 7850\nproduct = "cold-rolled steel"\nthickness_deviation = 0.04\n',
        encoding="utf-8",
    )
    a, b = materials_from(path)
    assert [deviations.thickness_deviation(a, size).value for size in (1, 2.54)] == pytest.approx(
        [0.03, 0.0508]
    )
    assert deviations.thickness_deviation(a, 1).source == "certificate 7"
    assert [one.value for one in deviations.thickness_deviations(b, 2)] == [0.04, 0.11]
    with pytest.raises(InputError, match="no table"):
        deviations.thickness_deviation(a, 3)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('"wide"', "line 4: thickness_deviation = wide"),
        ("[1, 2]", "is neither a figure nor rows of three; write"),
        ("[[2, 1, 0.1]]", "has a row that ends before it begins"),
        ("[[0, 1, 1]]", "thickness_deviation = 1 mm"),
        ("-0.1", "thickness_deviation = -0.1 mm"),
    ],
)
def test_what_is_no_deviation_is_said_with_its_line(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(
        f'\n[[material]]\nname = "A"\nthickness_deviation = {text}\ndensity = 1000\n', encoding="utf-8"
    )
    with pytest.raises(InputError, match=message):
        materials_from(path)


# ISO 9013:2017 (seen): class, thickness, size, deviation. A range of sizes begins with its first figure.
CUTS = [
    (1, 1, 2.9, 0.075), (1, 1, 3, 0.10), (1, 1, 35, 0.20), (1, 1, 999, 0.30), (1, 1, 8000, 1.60),
    (1, 2, 2.9, 0.10), (1, 2, 34.9, 0.20), (1, 2, 35, 0.25), (1, 2, 3999, 0.65), (1, 3.15, 1999, 0.40),
    (1, 5, 9.9, 0.20), (1, 5, 10, 0.25), (1, 6.3, 5999, 1.10), (1, 8, 9.9, 0.25), (1, 10, 314, 0.35),
    (1, 15, 999, 0.55), (1, 20, 3, 0.40), (1, 25, 4000, 2.40), (1, 32, 10, 0.70), (1, 32, 1000, 1.6),
    (2, 1, 2.9, 0.5), (2, 0.8, 2000, 0.9), (2, 2, 9.9, 0.6), (2, 2, 314, 0.8), (2, 2, 8000, 1.4),
    (2, 4, 2.9, 0.7), (2, 6.3, 3, 0.8), (2, 5, 34, 0.9), (2, 5, 125, 1.1), (2, 4, 999, 1.2), (2, 5, 3999, 1.3),
    (2, 4, 8000, 1.6), (2, 8, 34, 1.1), (2, 8, 999, 1.5), (2, 10, 8000, 2.0), (2, 12, 3, 1.8), (2, 20, 999, 2.3),
]  # fmt: skip


def test_dimensions_of_thermal_cuts() -> None:
    for tolerance_class, thickness, size, expected in CUTS:
        assert deviations.cut_deviation(size, thickness, tolerance_class).value == expected


def test_ranges_of_cut_edges_at_six_millimetres() -> None:
    """ISO 9013 (from memory): u of ranges 1 to 5, and Rz5 of ranges 1 to 4, by hand at a = 6 mm."""
    for number_of, expected in enumerate((0.068, 0.192, 0.46, 0.92, 1.41), 1):
        assert deviations.cut_edge(6, number_of)[0].value == pytest.approx(expected, abs=1e-9)
    for number_of, expected in enumerate((13.6, 44.8, 77.2, 120.8), 1):
        assert deviations.cut_edge(6, 1, number_of)[1].value == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (lambda: deviations.thickness_deviation("DX51D+Z", 1), "no table that can be cited"),
        (lambda: deviations.thickness_deviation("HC340LA", 1), "no table that can be cited"),
        (lambda: deviations.thickness_deviation("CuZn37", 1), "no table that can be cited"),
        (lambda: deviations.thickness_deviation("DC01", 4), "has 4 mm of it 1250 mm wide"),
        (lambda: deviations.thickness_deviation("S235JR", 2, 1900), "1900 mm wide"),
        (lambda: deviations.thickness_deviation("DC01", -1), "thickness = -1"),
        (lambda: deviations.angular_deviation(10, "x"), "is not a class of ISO 2768-1"),
        (lambda: deviations.angular_deviation("thick"), "thick"),
        (lambda: deviations.cut_deviation(10, 33), "no row that can be cited for 33 mm sheet"),
        (lambda: deviations.cut_deviation(8001, 2), "no row that can be cited for 2 mm sheet"),
        (lambda: deviations.cut_deviation(5000, 1, 2), "no row that can be cited for 1 mm sheet"),
        (lambda: deviations.cut_deviation(2, 8), "no row that can be cited"),
        (lambda: deviations.cut_deviation(10, 2, 3), "class 3"),
        (lambda: deviations.cut_edge(6, 6), "perpendicularity = 6"),
        (lambda: deviations.cut_edge(6, 1, 0), "roughness = 0"),
    ],
)
def test_what_no_table_has_is_refused_in_one_line(work: Callable[[], object], words: str) -> None:
    with pytest.raises(InputError) as caught:
        work()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
