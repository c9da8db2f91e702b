"""The title block, the revision table, and the general tolerances."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import InputError
from formparts.drawings import TitleData, angular_tolerance, drawing, linear_tolerance, read_title
from formparts.drawings.curves import text_width
from formparts.drawings.title import Revision
from formparts.general_tolerances import excerpt
from tests.drawings.test_sheet import said
from tests.parts import CAST

FULL = """
number = "FP-1001"
revision = "B"
owner = "Werkstatt Süd"
author = "L. Weiß"
checked = "M. Ek"
finish = "zinc plated 8 µm"
burr_side = "inside"
grain = "along x"
quantity = 40
tolerancing = "ISO 22081"
general = [[30, 0.2], [300, 0.4]]

[[revisions]]
revision = "A"
change = "first issue"

[[revisions]]
revision = "B"
change = "rise 12 to 14 mm"
date = "2026-11-29"
by = "LW"
"""


def test_every_field_of_the_file_is_on_the_sheet(tmp_path: Path) -> None:
    """Fields of ISO 7200 (from memory), burr side, grain, an own table of tolerances, and the revisions."""
    file = tmp_path / "title.toml"
    file.write_text(FULL, encoding="utf-8")
    data = read_title(file)
    found = said(drawing(CAST["angle"](), title=data))
    assert {
        "FP-1001",
        "B",
        "Werkstatt Süd",
        "L. Weiß",
        "M. Ek",
        "zinc plated 8 µm",
        "inside",
        "along x",
        "40",
    } <= found
    assert {"≤30: ±0.2 | ≤300: ±0.4", "first issue", "rise 12 to 14 mm", "2026-11-29", "LW"} <= found
    assert any(text.startswith("ISO 22081 | angles, ISO 2768-m") for text in found)


def test_without_a_file_the_fields_are_empty_and_there() -> None:
    """Who prints the sheet can fill them by hand: each label is there."""
    labels = {
        "owner",
        "number",
        "revision",
        "author",
        "checked",
        "released",
        "date",
        "finish",
        "burr side",
        "grain",
    }
    assert labels <= said(drawing(CAST["angle"](), title=TitleData()))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('nummer = "1"', "nummer"),
        ("number = [1]", "is not a text"),
        ("number = ", "is not TOML"),
        ("number = true", "is not a text"),
        ("general = [[30, 0.2], [10, 0.4]]", "do not rise"),
        ('general = ["a"]', "is not a table of tolerances"),
        ('revisions = "B"', "array of tables"),
        ('[[revisions]]\nletter = "B"', "row of the revision table"),
    ],
)
def test_bad_title_files_in_one_line(text: str, told: str, tmp_path: Path) -> None:
    """The file, the field, what is wrong, and what to write."""
    file = tmp_path / "title.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=told) as refused:
        read_title(file)
    assert "\n" not in str(refused.value)


def test_a_title_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_title(tmp_path / "none.toml")
    with pytest.raises(InputError, match=r"cannot be read \(is a directory\)"):
        read_title(tmp_path)
    (tmp_path / "other.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="is not a text file in UTF-8"):
        read_title(tmp_path / "other.toml")


def test_the_latest_revision_stands_uppermost() -> None:
    """The table grows upwards from its head (common practice, no source)."""
    data = TitleData(revisions=(Revision("A", "first issue"), Revision("B", "longer")))
    marks = [mark for mark in drawing(CAST["angle"](), title=data).marks if hasattr(mark, "text")]
    at = {mark.text: mark.at[1] for mark in marks}
    assert at["longer"] > at["first issue"] > at["change"]


@pytest.mark.parametrize(
    ("size", "letter", "wanted"),
    [
        (30, "m", 0.2), (30.001, "m", 0.3), (120, "m", 0.3), (400, "m", 0.5), (0.49, "m", None),
        (3, "f", 0.05), (3.001, "f", 0.05), (1000.5, "c", 3.0), (2, "v", None), (4, "v", 0.5), (4000, "v", 8.0),
        (2500, "f", None),
    ],
)  # fmt: skip
def test_general_tolerances_of_lengths(size: float, letter: str, wanted: float | None) -> None:
    """ISO 2768-1:1989, table 1, at the borders of its ranges; where it has no figure, none is given."""
    assert linear_tolerance(size, letter) == wanted


@pytest.mark.parametrize(
    ("letter", "row"),
    [
        ("f", (60, 30, 20, 10, 5)), ("m", (60, 30, 20, 10, 5)), ("c", (90, 60, 30, 15, 10)),
        ("v", (180, 120, 60, 30, 20)),
    ],
)  # fmt: skip
def test_general_tolerances_of_angles(letter: str, row: tuple[int, ...]) -> None:
    """ISO 2768-1:1989, table 3 (from memory), by the shorter leg, in minutes, on both sides of each border [mm]."""
    legs = (10, 50, 120, 400, 401)
    assert [round(60 * angular_tolerance(leg, letter)) for leg in legs] == list(row)
    assert [round(60 * angular_tolerance(leg - 0.001, letter)) for leg in legs[:4]] == list(row[:4])


@pytest.mark.parametrize("letter", ["f", "m", "c", "v"])
@pytest.mark.parametrize("largest", [3.0, 30.0, 1000.0, 2000.0, 4000.0])
def test_the_row_of_lengths_fits_its_cell_whole(letter: str, largest: float) -> None:
    """The block is 180 mm wide, letters are 2.5 mm; the range of the part itself comes last."""
    row = excerpt(largest, letter)
    assert text_width(row, 2.5) < 178.0
    value = linear_tolerance(largest, letter)
    assert row.endswith(f"{largest:g}: ±{value:g}") if value else f"{largest:g}:" not in row


def test_both_tables_stand_in_the_block() -> None:
    """A part of 40 mm needs three ranges of lengths and two of legs."""
    found = said(drawing(CAST["angle"]()))
    assert "0.5–6: ±0.1 | ≤30: ±0.2 | ≤120: ±0.3" in found
    assert "≤10: ±1° | ≤50: ±0°30′" in found
