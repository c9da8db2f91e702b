"""A table of one's own measured bends: interpolated linearly between its rows, never beyond them."""

from __future__ import annotations

import csv
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Final, NamedTuple, TypeAlias

from formparts.bending.lengths import outside_setback
from formparts.bending.ranges import figures, shortened
from formparts.errors import InputError, UnitsError
from formparts.tolerances import ANGLE_DEG, LENGTH


class AllowanceRow(NamedTuple):
    """
    One measured bend.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    inside_radius : float [mm]
        Inside radius.
    angle : float [deg]
        Bend angle, the rotation from flat.
    allowance : float [mm]
        Developed length of the bend.
    """

    thickness: float
    inside_radius: float
    angle: float
    allowance: float


_FIELDS: Final = ", ".join(AllowanceRow._fields)

Levels: TypeAlias = "float | tuple[tuple[float, Levels], ...]"
"""Thicknesses, each with its radii, each with its angles, each with its allowance; all sorted."""

_AXES: Final = (("thickness", "mm", LENGTH), ("inside_radius", "mm", LENGTH), ("angle", "deg", ANGLE_DEG))


@dataclass(frozen=True)
class AllowanceTable:
    """
    One's own measured allowances, interpolated linearly in thickness, inside radius and angle.

    For a given thickness the table needs that thickness, or a thinner and a thicker one; in the same way for
    the radius at each of these, and for the angle at each of those. It is never extrapolated.

    Parameters
    ----------
    rows : tuple of AllowanceRow
        The measured bends, in any order.
    title : str
        What the table is called in reports.
    source : str
        Who measured it, on what.

    Raises
    ------
    InputError
        There are no rows, a figure is outside its range, or two rows contradict each other.

    Source
    ------
    The shop's own measurements; the interpolation is common practice, no source.
    """

    rows: tuple[AllowanceRow, ...]
    title: str = "own table"
    source: str = "the user's own measurements"
    _levels: Levels = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        try:
            given = [tuple(row) for row in self.rows]
        except TypeError as error:
            fix = f"give a list of rows, each {_FIELDS}"
            raise InputError(
                self.title, "rows", shortened(self.rows), "is no list of rows of figures", fix
            ) from error
        rows = tuple(sorted({_checked_row(self.title, row) for row in given}))
        if not rows:
            raise InputError(self.title, "rows", "none", "the table is empty", "give at least one row")
        for one, other in pairwise(rows):
            if one[:3] == other[:3]:
                problem = f"is given twice, with {one.allowance:g} and {other.allowance:g} mm"
                raise InputError(self.title, "row", _place(one), problem, "keep one of the two")
        object.__setattr__(self, "rows", rows)
        object.__setattr__(self, "_levels", _nested(rows))

    @property
    def name(self) -> str:
        return f"table {self.title}"

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
        figures("AllowanceTable", angle=angle, inside_radius=inside_radius, thickness=thickness)
        return _interpolated(self._levels, (thickness, inside_radius, angle), self.name, "")


def allowance_table(path: str | Path) -> AllowanceTable:
    """
    Read a table of one's own bends from a CSV file.

    The first line names the columns, each with its unit, in any order: `thickness [mm]`,
    `inside_radius [mm]`, `angle [deg]` or `opening_angle [deg]`, and `allowance [mm]` or `deduction [mm]` (by
    the outer mould lines). Lengths may be in `mm` or `in`. Empty lines, and lines that begin with `#`, are
    passed over.

    Parameters
    ----------
    path : str or Path
        The file, in UTF-8.

    Returns
    -------
    AllowanceTable

    Raises
    ------
    InputError
        The file cannot be read, a column is missing or unknown, or a figure is not a number in its range.
    UnitsError
        A column has no unit, or one that does not fit.

    Source
    ------
    The shop's own measurements.
    """
    path = Path(path)
    lines = _lines(path)
    _, header = next(lines, (0, []))
    columns = [_column(path.name, text) for text in header]
    _refuse_columns(path.name, [name for name, _ in columns])
    rows = tuple(_row(f"{path.name} line {number}", columns, cells) for number, cells in lines)
    return AllowanceTable(rows, path.name, f"measurements in {path.name}")


_UNITS: Final = {"length": {"mm": 1.0, "in": 25.4}, "angle": {"deg": 1.0}}
"""What one unit is in house units; the inch is 25.4 mm exactly (international yard and pound, 1959)."""

_COLUMNS: Final = {
    "thickness": "length",
    "inside_radius": "length",
    "angle": "angle",
    "opening_angle": "angle",
    "allowance": "length",
    "deduction": "length",
}

_WANTED: Final = (("thickness",), ("inside_radius",), ("angle", "opening_angle"), ("allowance", "deduction"))


def _lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Give the number and the cells of each line that says something."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:  # a null character in its name is a ValueError
        not_text = isinstance(error, UnicodeDecodeError)
        cause = "it is not UTF-8 text" if not_text else getattr(error, "strerror", None) or str(error)
        fix = "give the path of a CSV file of bends"
        raise InputError("allowance_table", "path", str(path), f"cannot be read: {cause}", fix) from None
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


def _column(where: str, text: str) -> tuple[str, float]:
    """Read a heading such as `thickness [mm]` into a name and what its unit is in house units."""
    name, _, unit = text.rstrip("]").partition("[")
    name, unit = name.strip().lower().replace(" ", "_"), unit.strip()
    if name not in _COLUMNS:
        known = ", ".join(_COLUMNS)
        raise InputError(where, "column", shortened(text), "is not a known column", f"one of {known}")
    units = _UNITS[_COLUMNS[name]]
    if unit not in units:
        problem = "has an unknown unit" if unit else "has no unit"
        raise UnitsError(where, "column", shortened(text), problem, f"write {name} [{'] or ['.join(units)}]")
    return name, units[unit]


def _refuse_columns(where: str, names: Sequence[str]) -> None:
    for wanted in _WANTED:
        count = sum(names.count(name) for name in wanted)
        if count != 1:
            problem = "is missing" if count == 0 else "is given more than once"
            raise InputError(where, "column", " or ".join(wanted), problem, "give it exactly once")


def _row(where: str, columns: Sequence[tuple[str, float]], cells: Sequence[str]) -> AllowanceRow:
    """Read one line of figures."""
    if len(cells) != len(columns):
        problem = f"has {len(cells)} cells"
        raise InputError(where, "row", shortened(",".join(cells)), problem, f"give {len(columns)}")
    given = {
        name: _number(where, name, cell) * unit for (name, unit), cell in zip(columns, cells, strict=True)
    }
    figures(where, **given)
    angle = given["angle"] if "angle" in given else 180.0 - given["opening_angle"]
    thickness, radius = given["thickness"], given["inside_radius"]
    if "allowance" in given:
        return AllowanceRow(thickness, radius, angle, given["allowance"])
    return AllowanceRow(
        thickness, radius, angle, 2 * outside_setback(angle, radius, thickness) - given["deduction"]
    )


def _number(where: str, name: str, cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        raise InputError(where, name, shortened(cell), "is not a number", "write it as 2.5") from None


def _checked_row(where: str, row: Sequence[float]) -> AllowanceRow:
    """Give a row of plain numbers in their ranges."""
    if len(row) != len(AllowanceRow._fields):
        raise InputError(where, "row", shortened(row), f"has {len(row)} figures", f"give {_FIELDS}")
    figures(where, **dict(zip(AllowanceRow._fields, row, strict=True)))
    return AllowanceRow(*map(float, row))


def _place(row: AllowanceRow) -> str:
    return f"{row.thickness:g} mm, R {row.inside_radius:g} mm, {row.angle:g} deg"


def _nested(rows: Sequence[tuple[float, ...]]) -> Levels:
    """Hang the rows below each other by their first figure, then their second, then their third."""
    if len(rows[0]) == 1:
        return rows[0][0]
    firsts = sorted({row[0] for row in rows})
    return tuple((first, _nested([row[1:] for row in rows if row[0] == first])) for first in firsts)


def _interpolated(levels: Levels, wanted: Sequence[float], where: str, place: str) -> float:
    """Interpolate along the first axis that is left, between what the axes below it give."""
    if isinstance(levels, float):
        return levels
    axis, unit, _ = _AXES[-len(wanted)]
    ends = [
        (value, _interpolated(below, wanted[1:], where, f"{place} at {axis} {value:g} {unit}"))
        for value, below in _bracket(levels, wanted, where, place)
    ]
    (low, at_low), (high, at_high) = ends[0], ends[-1]
    if len(ends) == 1:
        return at_low
    return at_low + (at_high - at_low) * (wanted[0] - low) / (high - low)


def _bracket(
    levels: tuple[tuple[float, Levels], ...], wanted: Sequence[float], where: str, place: str
) -> tuple[tuple[float, Levels], ...]:
    """Give the level that is wanted, or else its two neighbours."""
    axis, unit, near = _AXES[-len(wanted)]
    values = [value for value, _ in levels]
    above = bisect_left(values, wanted[0] - near)
    if above < len(values) and values[above] <= wanted[0] + near:
        return (levels[above],)
    if above in (0, len(values)):
        reach = f"{values[0]:g}" if len(values) == 1 else f"{values[0]:g} to {values[-1]:g}"
        fix = f"it has {reach} {unit}{place}; measure such a bend, or choose a rule"
        raise InputError(where, axis, float(wanted[0]), "is outside the table", fix, unit)
    return levels[above - 1], levels[above]
