"""A table of your own bends: its rows come back, between them it is linear, beyond them it is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import bending
from formparts.errors import InputError, UnitsError

HEAD = "thickness [mm],inside_radius [mm],angle [deg],allowance [mm]\n"
ROWS = (
    (1.0, 1.0, 30.0, 0.7),
    (1.0, 1.0, 90.0, 2.2),
    (1.0, 3.0, 90.0, 5.2),
    (1.0, 3.0, 30.0, 1.8),
    (2.0, 1.0, 90.0, 2.8),
    (2.0, 3.0, 90.0, 5.8),
)


def read(tmp_path: Path, text: str, name: str = "brake.csv") -> bending.AllowanceTable:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return bending.allowance_table(path)


def test_rows_come_back() -> None:
    """At a measured bend the measured length is given, to the last bit."""
    table = bending.AllowanceTable(ROWS)
    for thickness, radius, angle, allowance in ROWS:
        assert table.allowance(angle, radius, thickness) == allowance


def test_rounding_does_not_put_a_bend_beyond_the_table() -> None:
    """A bend that is a measured one but for the last digits is the measured one."""
    table = bending.AllowanceTable(ROWS)
    assert table.allowance(90 + 1e-12, 3 + 1e-12, 2 + 1e-12) == 5.8
    assert table.allowance(30 - 1e-12, 1 - 1e-12, 1 - 1e-12) == 0.7


@pytest.mark.parametrize(
    ("angle", "radius", "thickness", "by_hand"),
    [
        (60, 1, 1, (0.7 + 2.2) / 2),
        (90, 2, 1, (2.2 + 5.2) / 2),
        (90, 1, 1.5, (2.2 + 2.8) / 2),
        (90, 2, 1.25, 0.75 * (2.2 + 5.2) / 2 + 0.25 * (2.8 + 5.8) / 2),
        (45, 1.5, 1, 0.75 * (0.75 * 0.7 + 0.25 * 2.2) + 0.25 * (0.75 * 1.8 + 0.25 * 5.2)),
    ],
)
def test_between_rows_it_is_linear(angle: float, radius: float, thickness: float, by_hand: float) -> None:
    """Half-way between two rows is the mean of the two, in each of the three directions."""
    assert bending.AllowanceTable(ROWS).allowance(angle, radius, thickness) == pytest.approx(
        by_hand, rel=1e-12
    )


@pytest.mark.parametrize(
    ("angle", "radius", "thickness", "said"),
    [
        (91, 1, 1, "angle = 91 deg: is outside the table; it has 30 to 90 deg at thickness 1 mm"),
        (29, 2, 1, "angle = 29 deg: is outside the table; it has 30 to 90 deg"),
        (
            45,
            1,
            2,
            "angle = 45 deg: is outside the table; it has 90 deg at thickness 2 mm at inside_radius 1 mm",
        ),
        (90, 0.9, 1, "inside_radius = 0.9 mm: is outside the table; it has 1 to 3 mm"),
        (90, 1, 0.5, "thickness = 0.5 mm: is outside the table; it has 1 to 2 mm"),
        (90, 1, 2.001, "thickness = 2.001 mm: is outside the table"),
    ],
)
def test_beyond_its_rows_it_is_refused(angle: float, radius: float, thickness: float, said: str) -> None:
    """The error states the range of the table, and nothing is extrapolated."""
    with pytest.raises(InputError, match=said):
        bending.AllowanceTable(ROWS).allowance(angle, radius, thickness)


def test_order_and_repetition_of_rows_do_not_matter() -> None:
    """The same bends are the same table."""
    assert bending.AllowanceTable(ROWS) == bending.AllowanceTable((*reversed(ROWS), ROWS[0]))


def test_deductions_and_inches_are_read(tmp_path: Path) -> None:
    """A deduction is by the outer mould lines: R = t = 1/4 in at 90 deg has two setbacks of 1/2 in."""
    text = "# strip 7\n\nangle [deg],thickness [in],inside_radius [in],deduction [in]\n90,0.25,0.25,0.4\n"
    table = read(tmp_path, text)
    assert table.allowance(90, 6.35, 6.35) == pytest.approx(0.6 * 25.4, rel=1e-12)
    assert table.name == "table brake.csv"


def test_an_opening_angle_is_180_deg_less_the_angle(tmp_path: Path) -> None:
    """Open by 60 deg is bent by 120; a deduction there is from two setbacks of (1 + 2) tan 60 deg."""
    head = "thickness [mm],inside_radius [mm],opening_angle [deg],"
    assert read(tmp_path, head + "allowance [mm]\n2,1,60,4.25\n").rows == ((2.0, 1.0, 120.0, 4.25),)
    ((*bend, allowance),) = read(tmp_path, head + "deduction [mm]\n2,1,60,3\n").rows
    assert bend == [2.0, 1.0, 120.0]
    assert allowance == pytest.approx(6 * 3**0.5 - 3, rel=1e-12)


def test_table_is_a_bend_rule_by_its_path(tmp_path: Path) -> None:
    """A path that ends in .csv, capitals and blanks and all, is read where a rule is asked for."""
    table = read(tmp_path, HEAD + "2,2,90,4.5\n", "Press Brake.CSV")
    assert (
        bending.bend_rule(str(tmp_path / "Press Brake.CSV"))
        == table
        == bending.bend_rule(tmp_path / "Press Brake.CSV")
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "column = thickness: is missing"),
        (HEAD, "rows = none: the table is empty"),
        (HEAD.replace("[mm]", "", 1) + "1,1,90,2\n", "has no unit; write thickness .mm. or .in."),
        (HEAD.replace("[deg]", "[mm]") + "1,1,90,2\n", "has an unknown unit; write angle .deg."),
        (HEAD.replace("thickness", "width") + "1,1,90,2\n", "is not a known column"),
        (HEAD.replace("angle [deg]", "thickness [mm]") + "1,1,90,2\n", "thickness: is given more than once"),
        (HEAD + "1,1,90\n", "brake.csv line 2: row = '1,1,90': has 3 cells; give 4"),
        (HEAD + "\n1,1,ninety,2\n", "brake.csv line 3: angle = 'ninety': is not a number"),
        (HEAD + "1,1,nan,2\n", "angle = nan deg: is not a finite number"),
        (HEAD + "1,-1,90,2\n", "brake.csv line 2: inside_radius = -1 mm: is outside its range"),
        (
            HEAD.replace("angle", "opening_angle") + "1,1,190,2\n",
            "opening_angle = 190 deg: is outside its range",
        ),
        (HEAD + "1,1,90,0\n", "allowance = 0 mm: is outside its range"),
        (HEAD.replace("allowance", "deduction") + "1,1,90,9\n", "allowance = -5 mm"),
        (HEAD.replace("allowance", "deduction") + "1,1,180,9\n", "angle = 180 deg"),
        (
            HEAD + "1,1.5,90,2\n1,1.5,90,3\n",
            "row = 1 mm, R 1.5 mm, 90 deg: is given twice, with 2 and 3 mm; keep one of the two",
        ),
        (
            HEAD + "1,1,90," + "9" * 200_000 + "\n",
            "brake.csv: line = 2: cannot be read: line 2: field larger",
        ),
    ],
)
def test_bad_file_is_refused_with_its_line(tmp_path: Path, text: str, said: str) -> None:
    """One line says which line of the file is wrong, and how to write it."""
    with pytest.raises(InputError, match=said) as caught:
        read(tmp_path, text)
    assert "\n" not in str(caught.value)


def test_missing_unit_is_an_error_of_units(tmp_path: Path) -> None:
    """A unit is never assumed."""
    with pytest.raises(UnitsError):
        read(tmp_path, "thickness,inside_radius [mm],angle [deg],allowance [mm]\n1,1,90,2\n")


def test_unreadable_file_is_refused(tmp_path: Path) -> None:
    """No file, a folder, bytes that are not text, and a name that no file can have."""
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00")
    for path, cause in (
        (tmp_path / "none.csv", "No such file"),
        (tmp_path, "[^U]"),
        (tmp_path / "bytes.csv", "it is not UTF-8 text"),
        (tmp_path / "a\0b.csv", "embedded null"),
    ):
        with pytest.raises(InputError, match=f"^allowance_table: path = .*cannot be read: {cause}"):
            bending.allowance_table(path)


@pytest.mark.parametrize(
    "rows", [(), ((1, 1, 90),), ((1, 1, "90", 2),), ((1, 1, 200, 2),), ((0, 1, 90, 2),)], ids=str
)
def test_bad_rows_are_refused(rows: tuple[tuple[float, ...], ...]) -> None:
    """A table made in a script is held to the same ranges."""
    with pytest.raises(InputError):
        bending.AllowanceTable(rows)
