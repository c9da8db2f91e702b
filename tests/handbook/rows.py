"""Rows of published figures, and the one comparison that holds a figure of ours against them."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent


class Row(NamedTuple):
    """One published figure: what was asked, what is printed, and how exactly it is printed."""

    id: str
    figure: str
    inputs: dict[str, str]
    expected: float
    tol: float
    tol_reason: str
    source: str
    provenance: str


def read_rows(name: str) -> list[Row]:
    """Read the rows of one source."""
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [
            Row(
                line["id"],
                line["figure"],
                dict(pair.split("=", 1) for pair in line["inputs"].split("; ")),
                float(line["expected"]),
                float(line["tol"]),
                line["tol_reason"],
                line["source"],
                line["provenance"],
            )
            for line in csv.DictReader(file, strict=True)
        ]


def left_out() -> dict[str, str]:
    """Give the reason why each check value is not a row, by its id."""
    with (HERE / "left_out.csv").open(encoding="utf-8", newline="") as file:
        return {line["id"]: line["reason"] for line in csv.DictReader(file, strict=True)}


def number(text: str) -> float:
    """Read `2.5` or `3/32`."""
    return float(Fraction(text))


def agrees(measured: float, row: Row) -> bool:
    """Tell whether a figure is what the source prints, to the exactness with which it prints it."""
    return abs(measured - row.expected) <= row.tol
