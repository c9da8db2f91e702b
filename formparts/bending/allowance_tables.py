"""A table of your own measured bends: interpolated linearly between its rows, never beyond them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Final, NamedTuple, TypeAlias

from formparts.arguments import takes
from formparts.bending.lengths import outside_setback
from formparts.bending.measured_csv import measured_rows
from formparts.bending.ranges import figures, shortened
from formparts.errors import InputError
from formparts.short_repr import short_repr
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
        Bend angle, 0 for flat.
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


@short_repr
@dataclass(frozen=True)
class AllowanceTable:
    """
    Measured allowances of your own shop, interpolated linearly in thickness, inside radius and angle.

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
                self.title, "rows", shortened(self.rows), "is not a list of rows of figures", fix
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


@takes(path=("str", "Path"))
def allowance_table(path: str | Path) -> AllowanceTable:
    """
    Read a table of your own bends from a CSV file.

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
    rows = tuple(map(_row, measured_rows(path, _COLUMNS, _WANTED, "allowance_table")))
    return AllowanceTable(rows, path.name, f"measurements in {path.name}")


_COLUMNS: Final = {
    "thickness": "length",
    "inside_radius": "length",
    "angle": "angle",
    "opening_angle": "angle",
    "allowance": "length",
    "deduction": "length",
}

_WANTED: Final = (("thickness",), ("inside_radius",), ("angle", "opening_angle"), ("allowance", "deduction"))


def _row(given: Mapping[str, float]) -> AllowanceRow:
    """One line of figures as a row."""
    angle = given["angle"] if "angle" in given else 180.0 - given["opening_angle"]
    thickness, radius = given["thickness"], given["inside_radius"]
    if "allowance" in given:
        return AllowanceRow(thickness, radius, angle, given["allowance"])
    deduction = given["deduction"]
    return AllowanceRow(thickness, radius, angle, 2 * outside_setback(angle, radius, thickness) - deduction)


def _checked_row(where: str, row: Sequence[float]) -> AllowanceRow:
    """Give a row of plain numbers in their ranges."""
    if len(row) != len(AllowanceRow._fields):
        raise InputError(where, "row", shortened(row), f"has {len(row)} figures", f"give {_FIELDS}")
    figures(where, **dict(zip(AllowanceRow._fields, row, strict=True)))
    return AllowanceRow(*map(float, row))


def _place(row: AllowanceRow) -> str:
    return f"{row.thickness:g} mm, R {row.inside_radius:g} mm, {row.angle:g} deg"


def _nested(rows: Sequence[tuple[float, ...]]) -> Levels:
    """Nest the rows by their first figure, then their second, then their third."""
    if len(rows[0]) == 1:
        return rows[0][0]
    firsts = sorted({row[0] for row in rows})
    return tuple((first, _nested([row[1:] for row in rows if row[0] == first])) for first in firsts)


def _interpolated(levels: Levels, wanted: Sequence[float], where: str, place: str) -> float:
    """Interpolate along the first remaining axis, between the values from the axes below it."""
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
    """Return the requested level, or else its two neighbours."""
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
