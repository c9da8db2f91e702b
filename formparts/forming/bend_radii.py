"""The smallest inside radius that a sheet can be bent to, by the tables of standards and associations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.bending.ranges import figures
from formparts.errors import InputError
from formparts.forming.strain import radius_for_elongation
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.tolerances import ANGLE_DEG, LENGTH

_TABLES = Path(__file__).parents[1] / "data" / "minimum_bend_radii.toml"
BY_ELONGATION = "outer fibre stretched no more than the elongation after fracture"
_MEMORANDUM = "FAA memorandum ANM-112N-03-11 (2003), Calculation of Bend Radii from Tensile Elongation Data"


@dataclass(frozen=True, slots=True)
class MinimumBendRadius:
    """
    The smallest inside radius for a bend, and why.

    Parameters
    ----------
    radius : float [mm]
        The smallest inside radius.
    rule : str
        The table or formula that it is from.
    source : str
        Where that is from, and whether it was seen.
    """

    radius: float
    rule: str
    source: str


@dataclass(frozen=True, slots=True)
class RadiusTable:
    """
    One table of smallest inside radii.

    Parameters
    ----------
    name : str
        What it is called in reports.
    materials : tuple of str
        Materials that it is for by name.
    family : str
        Family of further materials that it is for, by their tensile strength; none when empty.
    tensile : (float, float) [MPa]
        Their least tensile strength: over the first, up to the second.
    bands : tuple of (float, float, float, float) [mm]
        Thickness over and up to, and the radius across and along the rolling direction (in `unit`).
    multiples : bool
        True when radii are multiples of the thickness.
    next_band : bool
        True when a bend along the rolling direction, or beyond `angle`, takes the next thicker band.
    angle : float [deg]
        Greatest bend angle that it is for.
    source : str
        Where it is from.
    """

    name: str
    materials: tuple[str, ...]
    family: str
    tensile: tuple[float, float]
    bands: tuple[tuple[float, float, float, float], ...]
    multiples: bool
    next_band: bool
    angle: float
    source: str


def minimum_bend_radius(
    material: Material | str, thickness: float, angle: float = 90.0, along_rolling: bool = False
) -> MinimumBendRadius:
    """
    The smallest inside radius for a bend in a sheet of a material.

    The first table that names the material, or takes it by family and tensile strength, and that reaches to the
    thickness and the angle. Where there is none, the radius at which the outer fibre is stretched by the
    material's elongation after fracture: on the safe side for tough metals; but no less than a table of the
    material has where it ends, in thicknesses.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    thickness : float [mm]
        Thickness of the sheet.
    angle : float [deg]
        Bend angle, the rotation from flat.
    along_rolling : bool
        True when the bend line runs along the rolling direction, which is the harder case.

    Returns
    -------
    MinimumBendRadius

    Raises
    ------
    InputError
        A figure is outside its range; or there is neither a table nor an elongation for the material.

    Source
    ------
    The tables of data/minimum_bend_radii.toml, each with its own; else FAA memorandum ANM-112N-03-11.

    Examples
    --------
    >>> minimum_bend_radius("S235JR", 2).radius
    2.5
    """
    figures("minimum_bend_radius", angle=angle, thickness=thickness)
    grade = find_material(material)
    for table in radius_tables():
        found = _in_table(table, thickness, angle, along_rolling) if _is_for(table, grade) else None
        if found is not None:
            return MinimumBendRadius(found, table.name, table.source)
    ends = [
        MinimumBendRadius(_at_its_end(table, thickness, along_rolling), table.name, table.source)
        for table in radius_tables()
        if _is_for(table, grade) and (thickness > table.bands[0][0])
    ]
    try:
        ends.append(_by_elongation(grade, thickness))
    except InputError:
        if not ends:
            raise
    return max(ends, key=lambda least: least.radius)


def _at_its_end(table: RadiusTable, thickness: float, along: bool) -> float:
    """The radius in mm of the band that a thickness is in, or of the last one, in the same ratio to the thickness."""
    number = _band(table, thickness)
    _, to, across, lengthwise = table.bands[-1 if number is None else number]
    radius = lengthwise if along else across
    if table.multiples:
        return radius * thickness
    return radius if number is not None else radius * thickness / to


def _is_for(table: RadiusTable, grade: Material) -> bool:
    """By its name; or, where no table of the family names it, by its tensile strength."""
    name = grade.name.partition(" at ")[0]
    if name in table.materials:
        return True
    if not table.family or table.family != grade.family or grade.tensile_strength_min is None:
        return False
    named = any(other.family and name in other.materials for other in radius_tables())
    return not named and table.tensile[0] < grade.tensile_strength_min <= table.tensile[1]


def _in_table(table: RadiusTable, thickness: float, angle: float, along: bool) -> float | None:
    """The radius in mm, or None where the table does not reach."""
    number = _band(table, thickness)
    harder = along or angle > table.angle + ANGLE_DEG
    if table.next_band and harder and number is not None:
        number = number + 1 if number + 1 < len(table.bands) else None
    elif angle > table.angle + ANGLE_DEG:
        return None
    if number is None:
        return None
    radius = table.bands[number][3 if along else 2]
    return radius * thickness if table.multiples else radius


def _band(table: RadiusTable, thickness: float) -> int | None:
    for number, (over, to, _, _) in enumerate(table.bands):
        if over + LENGTH < thickness <= to + LENGTH:
            return number
    return None


def _by_elongation(grade: Material, thickness: float) -> MinimumBendRadius:
    if grade.elongation is None:
        problem = "there is neither a table of smallest radii nor an elongation for it"
        raise InputError("minimum_bend_radius", "material", grade.name, problem, "give a grade of the table")
    return MinimumBendRadius(radius_for_elongation(grade.elongation, thickness), BY_ELONGATION, _MEMORANDUM)


@cache
def radius_tables() -> tuple[RadiusTable, ...]:
    """All tables, in the order in which they are tried."""
    return tuple(map(_table, toml.loads(_TABLES.read_text(encoding="utf-8"))["rule"]))


def _table(row: Mapping[str, Any]) -> RadiusTable:
    least, most = row.get("tensile", (0.0, 0.0))
    return RadiusTable(
        name=row["name"],
        materials=tuple(row["materials"]),
        family=row.get("family", ""),
        tensile=(float(least), float(most)),
        bands=tuple(_bands(row)),
        multiples=row["unit"] == "t",
        next_band=row.get("next", False),
        angle=float(row["angle"]),
        source=row["source"],
    )


def _bands(row: Mapping[str, Any]) -> Iterator[tuple[float, float, float, float]]:
    along = row.get("along", row["across"])
    for band in zip(row["over"], row["to"], row["across"], along, strict=True):
        over, to, across, lengthwise = map(float, band)
        yield over, to, across, lengthwise
