"""Units against their published definitions, one row each in handbook/units.csv."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from formparts.quantities import quantity

TABLE = Path(__file__).parents[1] / "handbook" / "units.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_text_is_converted_as_its_definition_says(row: dict[str, str]) -> None:
    found = quantity(row["text"], row["kind"])
    assert abs(found - float(row["expected"])) <= float(row["tol"])


# Classic confusions: each must miss the row that it would spoil, or that row proves nothing.
WRONG = {
    "UN-01": lambda: 25.0,  # an inch rounded to 25 mm
    "UN-03": lambda: 11 / 8 * 25.4,  # "1 1/8" read as 11/8
    "UN-07": lambda: 62.5 * 360 / 6400,  # a mil taken for the angle of that name
    "UN-11": lambda: 0.4536,  # a rounded pound
    "UN-14": lambda: 0.001 * 907.18474,  # a short ton
    "UN-15": lambda: 1.0,  # radians taken for degrees
    "UN-18": lambda: 30 / 3600,  # minutes taken for seconds
    "UN-21": lambda: 0.284 * 0.45359237 / 25.4**3 * 1e6,  # g/cm3 for kg/m3
    "UN-26": lambda: 0.5,  # the percent sign lost
}


@pytest.mark.parametrize("name", WRONG)
def test_the_classic_confusions_miss_their_row(name: str) -> None:
    row = next(row for row in ROWS if row["id"] == name)
    assert abs(WRONG[name]() - float(row["expected"])) > float(row["tol"])


def test_every_row_says_where_it_is_from() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    assert all(row["source"] and row["tol_reason"] for row in ROWS)
    assert {row["provenance"] for row in ROWS} <= {"computed", "from memory", "seen"}
