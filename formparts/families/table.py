"""Tables of parameters: CSV, TOML or a grid, read into rows of raw values; nothing is converted here."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.quantities import shown_value
from formparts.quantities.text import LONGEST_TEXT
from formparts.short_repr import short_repr

NAME = "name"
"""The column that holds a variant's name."""

LARGEST_CELL = 10_000
"""A longer cell is not a parameter but a broken quote [characters]."""

MOST_COLUMNS = 1_000
"""Largest number of columns: no recipe has so many parameters."""

LARGEST_TABLE = 50_000_000
"""A larger file [byte] is not a table of parts, and its rows would not fit into a small machine."""

_HEADER = re.compile(r"(?P<name>[^\[\]()]*)(?:[\[(](?P<unit>[^\[\]()]*)[\])])?")
_BARE_NUMBER = re.compile(r"[+\-−]?[0-9 ./]*[0-9.](?:[eE][+-]?[0-9]{1,3})?")


@short_repr
@dataclass(frozen=True)
class Row:
    """
    One row of a table, as it was given.

    Parameters
    ----------
    number : int [-]
        Its place: the line of a CSV file, or its place in a TOML file, a grid or a list, counted from 1.
    name : str
        What the variant is to be called.
    values : mapping of str to object [house unit]
        Parameters by name; what is left out has its default.
    fault : str
        Why the row cannot be read; nothing when it can.
    """

    number: int
    name: str
    values: Mapping[str, Any]
    fault: str = ""


@takes(path=("str", "Path"))
def read_table(path: str | Path) -> list[Row]:
    """
    Read a CSV or TOML file of parameters.

    Parameters
    ----------
    path : str or Path
        `.csv`: a header with `name` and names of parameters, each with its unit if it likes (`rise [mm]`), then one
        row a variant; commas, semicolons or tabs between the cells. `.toml`: one `[[variant]]` for each.

    Returns
    -------
    list of Row
        At least one.

    Raises
    ------
    InputError
        There is no such file, it is not text in UTF-8, its header is unclear, or it holds no rows.
    """
    place = Path(path)
    readers = {".csv": _csv_rows, ".toml": _toml_rows}
    if place.suffix.lower() not in readers:
        raise InputError("family", "table", str(path), "neither .csv nor .toml", "give one of the two")
    rows = readers[place.suffix.lower()](_text(place), place)
    if not rows:
        raise InputError("family", "table", str(path), "holds no rows", "write one row for each variant")
    return rows


def rows_of(entries: Iterable[Mapping[str, Any]]) -> Iterator[Row]:
    """Return rows from plain mappings: `name` is the variant's, or `variant-3` when there is none."""
    for number, entry in enumerate(entries, start=1):
        values = {str(key): value for key, value in entry.items() if key != NAME}
        name = entry.get(NAME, f"variant-{number}")
        yield Row(number, name if isinstance(name, str) else shown_value(name), values)


def repeated(names: Iterable[str]) -> list[str]:
    """Return what occurs more than once, in order."""
    return [name for name, times in Counter(names).items() if times > 1]


def _text(path: Path) -> str:
    """The text of a file, with or without a byte-order mark."""
    try:
        if path.is_file() and path.stat().st_size > LARGEST_TABLE:
            problem = f"has {path.stat().st_size >> 20} MB; {LARGEST_TABLE >> 20} are read"
            raise InputError("family", "table", str(path), problem, "make several families of it")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        fix = "save it as UTF-8"
        raise InputError(
            "family", "table", str(path), f"byte {error.start} is not UTF-8 text", fix
        ) from error
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            "family", "table", str(path), f"cannot be read ({reason})", "check the path"
        ) from error


def _csv_rows(text: str, path: Path) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text), strict=True)
    lines: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            lines.append((reader.line_num, cells))
    except csv.Error as error:
        problem = f"line {reader.line_num} cannot be read: {error}"
        raise InputError("family", "table", str(path), problem, "check its quotes") from error
    filled = [(number, cells) for number, cells in lines if any(cell.strip() for cell in cells)]
    if not filled:
        return []
    (_, header), *body = filled
    columns = _columns(header, path)
    return [_csv_row(number, cells, columns) for number, cells in body]


def _separator(text: str) -> str:
    """Return the separator of the cells: whichever of the three comes first after a word of the header."""
    header = next((line for line in text.splitlines() if line.strip()), "")
    found = re.search(r"[,;\t]", re.sub(r'"[^"]*"', "", header))
    return found[0] if found else ","


def _columns(header: Sequence[str], path: Path) -> list[tuple[str, str]]:
    """Name and unit of every column; `name` must be there, and none twice."""
    if len(header) > MOST_COLUMNS:
        problem = f"has {len(header)} columns; {MOST_COLUMNS} are read"
        raise InputError("family", "table", str(path), problem, "leave those away that are not parameters")
    columns = []
    for place, cell in enumerate(header, start=1):
        found = _HEADER.fullmatch(cell.strip())
        if found is None or not found["name"].strip():
            problem = f"the heading of column {place}, {shown_value(cell)}, is not a parameter's name"
            raise InputError("family", "table", str(path), problem, "write it as rise or rise [mm]")
        columns.append((found["name"].strip(), (found["unit"] or "").strip()))
    names = [name for name, _ in columns]
    doubled = next(iter(repeated(names)), None)
    if doubled:
        problem = f"two columns are called {shown_value(doubled)}"
        raise InputError("family", "table", str(path), problem, "keep one")
    if NAME not in names:
        problem = f"has no column `{NAME}` (it has {shown_value(', '.join(names))})"
        raise InputError("family", "table", str(path), problem, "give each variant a name of its own")
    return columns


def _csv_row(number: int, cells: list[str], columns: list[tuple[str, str]]) -> Row:
    named = {
        name: _with_unit(cell, unit)
        for (name, unit), cell in zip(columns, cells, strict=False)
        if cell.strip()
    }
    name = named.pop(NAME, "").strip()
    fault = ""
    if len(cells) > len(columns):
        fault = (
            f"{len(cells)} cells under {len(columns)} headings; a number with a decimal comma takes two cells: "
            "write 12.5, or put semicolons between the cells"
        )
    elif len(cells) < len(columns):
        fault = f"{len(cells)} cells under {len(columns)} headings; leave a cell empty for the default"
    long = next((heading for heading, cell in named.items() if len(cell) > LARGEST_CELL), None)
    if long is not None:
        fault, named = f"the cell of {long} has {len(named[long])} characters; check its quotes", {}
    return Row(number, name, named, fault)


def _with_unit(cell: str, unit: str) -> str:
    """Return a value with the unit of its heading; a unit in the cell takes precedence."""
    value = cell.strip()
    # A longer cell is not a number, and parsing it would take long.
    bare = unit and len(value) <= LONGEST_TEXT and _BARE_NUMBER.fullmatch(value)
    return f"{value} {unit}" if bare else value


def _toml_rows(text: str, path: Path) -> list[Row]:
    try:
        data = toml.loads(text)
    except toml.TOMLDecodeError as error:
        raise InputError("family", "table", str(path), f"is not TOML: {error}", "fix that line") from error
    entries = data.pop("variant", [])
    if data or not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        problem = f"holds {shown_value(', '.join(data)) if data else 'something else'} beside its variants"
        fix = 'write [[variant]] above each, then name = "small", rise = "20 mm"'
        raise InputError("family", "table", str(path), problem, fix)
    return [
        row
        if isinstance(entry.get(NAME, ""), str)
        else Row(row.number, "", row.values, "its name is not text")
        for row, entry in zip(rows_of([{NAME: "", **entry} for entry in entries]), entries, strict=True)
    ]
