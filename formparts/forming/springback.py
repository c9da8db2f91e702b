"""Springback: the one rule for the angle by which a bend opens after release, from a handbook's factors."""

from __future__ import annotations

import csv
import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from formparts.arguments import takes
from formparts.bending.ranges import figures
from formparts.errors import InputError
from formparts.forming.gardiner import angle_under_load
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.tolerances import ROUNDING

_TABLE = Path(__file__).parents[1] / "data" / "springback_factors.csv"
_SOURCE = "Tabellenbuch Metall, table of springback factors"


@dataclass(frozen=True, slots=True)
class Springback:
    """
    Angle and radius of a bend under load, so that those that are wanted are left after springback.

    Parameters
    ----------
    factor : float [-]
        Angle after springback over angle under load.
    angle, overbend : float [deg]
        The angle to bend to, and how far that is beyond the angle that is wanted.
    radius : float [mm]
        The inside radius under load.
    rule : str
        The row of the table, and how it was carried over to the material.
    source : str
        Where that is from.
    """

    factor: float
    angle: float
    overbend: float
    radius: float
    rule: str
    source: str


def under_load(material: Material | str, angle: float, inside_radius: float, thickness: float) -> Springback:
    """
    Angle and radius under load of a bend in a sheet of a material, by the handbook's springback factors.

    A grade without a row of its own takes the row of its family at the radius that gives the same R S/(E t), on which
    springback depends (S: the mean of yield and tensile strength): a sheet of twice the strength springs as the row's
    own does at twice the radius. Below one thickness the first factor holds; beyond the last one it is carried on by
    Gardiner's formula.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    angle : float [deg]
        Bend angle that is wanted, 0 for flat.
    inside_radius : float [mm]
        Inside radius that is wanted.
    thickness : float [mm]
        Thickness of the sheet.

    Returns
    -------
    Springback

    Raises
    ------
    InputError
        A figure is outside its range, or no yield strength or modulus is known of the material.

    Source
    ------
    Tabellenbuch Metall, table of springback factors k_R; F. J. Gardiner (1957) for what is carried over.

    Examples
    --------
    >>> round(under_load("1.4301", 90, 2.6, 2).factor, 3)
    0.985
    """
    figures("under_load", angle=angle, inside_radius=inside_radius, thickness=thickness)
    grade = find_material(material)
    row = _row_of(grade)
    scale = _slope(grade) / _slope(find_material(row.reference))
    factor = _carried(row.columns, scale * inside_radius / thickness)
    loaded = angle / factor
    radius = max(0.0, tool_radius(inside_radius, thickness, factor))
    carried = "" if math.isclose(scale, 1.0) else f", radius taken {scale:.3g} times for its strength"
    return Springback(
        factor, loaded, loaded - angle, radius, f"springback factors of {row.grade}{carried}", _SOURCE
    )


@takes(grade="str")
def springback_factor(grade: str, inside_radius: float, thickness: float) -> float:
    """
    Angle after springback over angle of the tool, from a handbook's table, between its columns in proportion.

    Parameters
    ----------
    grade : str
        One of the grades of the table, as the handbook writes it: `DC01`, `EN AW-Al99.0`.
    inside_radius : float [mm]
        Inside radius after springback; 1 to 100 thicknesses.
    thickness : float [mm]
        Thickness of the sheet.

    Returns
    -------
    float [-]

    Raises
    ------
    InputError
        The table has no such grade, or no such ratio of radius to thickness.

    Source
    ------
    Tabellenbuch Metall, table of springback factors k_R.

    Examples
    --------
    >>> springback_factor("DC01", 8, 2)
    0.97
    """
    figures("springback_factor", inside_radius=inside_radius, thickness=thickness)
    table = springback_factors()
    if grade not in table:
        known = ", ".join(table)
        raise InputError("springback_factor", "grade", grade, "is not in the table", f"one of {known}")
    return _between(table[grade], inside_radius / thickness, grade)


def tool_radius(inside_radius: float, thickness: float, factor: float) -> float:
    """
    Inside radius of the tool for a radius after springback: k_R (R + t/2) - t/2.

    Parameters
    ----------
    inside_radius : float [mm]
        Inside radius that is wanted, after springback.
    thickness : float [mm]
        Thickness of the sheet.
    factor : float [-]
        Springback factor k_R.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Tabellenbuch Metall, springback.

    Examples
    --------
    >>> round(tool_radius(8, 2, 0.97), 2)
    7.73
    """
    figures("tool_radius", inside_radius=inside_radius, thickness=thickness, share=factor)
    return factor * (inside_radius + thickness / 2.0) - thickness / 2.0


def _between(columns: tuple[tuple[float, float], ...], ratio: float, grade: str) -> float:
    """In proportion between the two neighbouring columns; never beyond the first or the last."""
    ratios = [column[0] for column in columns]
    # A radius given as so many thicknesses may come out a last digit beyond the end.
    ratio = next(
        (end for end in (ratios[0], ratios[-1]) if math.isclose(ratio, end, rel_tol=ROUNDING)), ratio
    )
    if not ratios[0] <= ratio <= ratios[-1]:
        reach = f"the table has {ratios[0]:g} to {ratios[-1]:g} thicknesses for it"
        raise InputError(
            "springback_factor", "inside_radius", f"{ratio:g} t", f"is outside the table of {grade}", reach
        )
    place = min(bisect_right(ratios, ratio), len(ratios) - 1)
    (low, at_low), (high, at_high) = columns[place - 1], columns[place]
    return at_low + (at_high - at_low) * (ratio - low) / (high - low)


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the table: its grade, the grades it represents, and its factors by radius over thickness."""

    grade: str
    reference: str
    families: tuple[str, ...]
    materials: tuple[str, ...]
    columns: tuple[tuple[float, float], ...]


def springback_factors() -> Mapping[str, tuple[tuple[float, float], ...]]:
    """
    Give the handbook's table of springback factors.

    Returns
    -------
    mapping of str to pairs of float [-]
        By grade the pairs of radius over thickness and factor.

    Source
    ------
    Tabellenbuch Metall, table of springback factors k_R.
    """
    return {row.grade: row.columns for row in _rows()}


@cache
def _rows() -> tuple[_Row, ...]:
    with _TABLE.open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return tuple(_row(line) for line in lines)


def _row(line: Mapping[str, str]) -> _Row:
    families, materials = (
        tuple(filter(None, map(str.strip, line[key].split(";")))) for key in ("families", "materials")
    )
    columns = tuple((float(head), float(cell)) for head, cell in list(line.items())[4:] if cell)
    return _Row(line["grade"], line["reference"], families, materials, columns)


def _row_of(grade: Material) -> _Row:
    """The row that names the material, or else its family's; plain steel where the family is not known."""
    name = grade.name.partition(" at ")[0]
    named = (row for row in _rows() if name in (row.reference, *row.materials))
    of_family = (row for row in _rows() if (grade.family or "carbon steel") in row.families)
    return next(named, None) or next(of_family, None) or _rows()[1]


def _slope(grade: Material) -> float:
    """Flow strength (the mean of yield and tensile strength, for a bend hardens the sheet) over modulus."""
    if grade.yield_strength is None or grade.modulus is None:
        missing = "yield strength" if grade.yield_strength is None else "modulus"
        fix = "give a grade of the table, or state it in a file of materials"
        raise InputError("under_load", "material", grade.name, f"it has no {missing}", fix)
    ends = [end for end in (grade.tensile_strength_min, grade.tensile_strength_max) if end is not None]
    tensile = sum(ends) / len(ends) if ends else grade.yield_strength
    return (grade.yield_strength + tensile) / (2.0 * grade.modulus)


def _carried(columns: tuple[tuple[float, float], ...], ratio: float) -> float:
    """The factor at a radius over thickness, also outside the columns."""
    (first, _), (last, at_last) = columns[0], columns[-1]
    if ratio <= last:
        return _between(columns, max(first, ratio), "the row")
    return _by_formula(ratio, _slope_for(last, at_last))


_MODULUS = 1e5
"""Only the yield strength over the modulus counts below; so that both are figures that metals have [MPa]."""


def _by_formula(ratio: float, slope: float) -> float:
    return 1.0 / float(angle_under_load(1.0, ratio, 1.0, slope * _MODULUS, _MODULUS))


@cache
def _slope_for(ratio: float, factor: float) -> float:
    """The yield strength over modulus with which Gardiner's formula has a factor at a ratio; by halving."""
    low, high = 1e-7, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _by_formula(ratio, middle) > factor else (low, middle)
    return (low + high) / 2.0
