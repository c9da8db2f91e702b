"""Read a shop's measurements from CSV: named columns with their units, every fault in one line."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from formparts.bending.ranges import figures, shortened
from formparts.errors import InputError, UnitsError

_UNITS: Final = {"length": {"mm": 1.0, "in": 25.4}, "angle": {"deg": 1.0}}
"""What one unit is in house units; the inch is 25.4 mm exactly (international yard and pound, 1959)."""


def measured_rows(
    path: Path, columns: Mapping[str, str], wanted: Sequence[Sequence[str]], reader: str
) -> Iterator[dict[str, float]]:
    """
    Read the rows of a file of measurements, each figure in its house unit and in its range.

    Parameters
    ----------
    path : Path
        The file, in UTF-8; empty lines, and lines that begin with `#`, are passed over.
    columns : mapping of str to str
        The columns that may be there: `length` or `angle`.
    wanted : sequence of sequences of str
        Of each of these one column must be there, exactly once.
    reader : str
        What reads it, for the message where it cannot be read.

    Yields
    ------
    dict of str to float [mm]
        By column; angles in deg.
    """
    lines = _lines(path, reader)
    _, header = next(lines, (0, []))
    found = [_column(path.name, text, columns) for text in header]
    _refuse_columns(path.name, [name for name, _ in found], wanted)
    for number, cells in lines:
        yield _row(f"{path.name} line {number}", found, cells)


def _lines(path: Path, reader: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the number and the cells of each line that is not empty or a comment."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:  # a null character in its name is a ValueError
        not_text = isinstance(error, UnicodeDecodeError)
        cause = "it is not UTF-8 text" if not_text else getattr(error, "strerror", None) or str(error)
        fix = "give the path of a CSV file of bends"
        raise InputError(reader, "path", str(path), f"cannot be read: {cause}", fix) from None
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip(" ,") and not line.startswith("#"):
            yield number, _cells(path.name, number, line)


def _cells(where: str, number: int, line: str) -> list[str]:
    """The cells of a line; one of hundreds of thousands of characters is more than the reader takes."""
    try:
        return [cell.strip() for cell in next(csv.reader([line]))]
    except csv.Error as error:
        problem = f"cannot be read: line {number}: {error}"
        raise InputError(where, "line", number, problem, "write a figure in each cell") from error


def _column(where: str, text: str, columns: Mapping[str, str]) -> tuple[str, float]:
    """Read a heading such as `thickness [mm]` into a name and what its unit is in house units."""
    name, _, unit = text.rstrip("]").partition("[")
    name, unit = name.strip().lower().replace(" ", "_"), unit.strip()
    if name not in columns:
        known = ", ".join(columns)
        raise InputError(where, "column", shortened(text), "is not a known column", f"one of {known}")
    units = _UNITS[columns[name]]
    if unit not in units:
        problem = "has an unknown unit" if unit else "has no unit"
        raise UnitsError(where, "column", shortened(text), problem, f"write {name} [{'] or ['.join(units)}]")
    return name, units[unit]


def _refuse_columns(where: str, names: Sequence[str], wanted: Sequence[Sequence[str]]) -> None:
    for one_of in wanted:
        count = sum(names.count(name) for name in one_of)
        if count != 1:
            problem = "is missing" if count == 0 else "is given more than once"
            raise InputError(where, "column", " or ".join(one_of), problem, "give it exactly once")


def _row(where: str, columns: Sequence[tuple[str, float]], cells: Sequence[str]) -> dict[str, float]:
    """Read one line of figures."""
    if len(cells) != len(columns):
        problem = f"has {len(cells)} cells"
        raise InputError(where, "row", shortened(",".join(cells)), problem, f"give {len(columns)}")
    given = {
        name: _number(where, name, cell) * unit for (name, unit), cell in zip(columns, cells, strict=True)
    }
    figures(where, **given)
    return given


def _number(where: str, name: str, cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        raise InputError(where, name, shortened(cell), "is not a number", "write it as 2.5") from None
