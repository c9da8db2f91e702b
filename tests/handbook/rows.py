"""Rows of published figures, and the one comparison of computed figures with them."""

from __future__ import annotations

import csv
from collections.abc import Callable
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


def faults(rows: list[Row], measured: Callable[[Row], float]) -> list[str]:
    """Give the rows that a computed figure does not agree with."""
    return [
        f"{row.id}: {found!r} is not {row.expected} +- {row.tol}: {row.source}"
        for row in rows
        if not agrees(found := measured(row), row)
    ]


def number(text: str) -> float:
    """Read `2.5` or `3/32`."""
    return float(Fraction(text))


_BY_FORMULA = (
    "EXACT",
    "computed",
    "formula, rounded",
    "inputs seen, answer computed",
    "from memory, recomputed",
)


def by_formula(row: Row) -> bool:
    """Tell whether the figure is the published formula worked out, so that a table of such rows is one check."""
    return row.provenance.startswith(_BY_FORMULA)


def agrees(measured: float, row: Row) -> bool:
    """Tell whether a figure is what the source prints, to the exactness with which it prints it."""
    return abs(measured - row.expected) <= row.tol
