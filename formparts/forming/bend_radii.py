"""The smallest inside radius that a sheet can be bent to, by the tables of standards and associations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.arguments import takes
from formparts.bending.ranges import figures
from formparts.errors import InputError
from formparts.forming.strain import radius_for_elongation
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG, LENGTH

_TABLES = Path(__file__).parents[1] / "data" / "minimum_bend_radii.toml"
BY_ELONGATION = "estimate: outer fibre stretched no more than the elongation after fracture"
_MEMORANDUM = "FAA memorandum ANM-112N-03-11"
LEAST_BEYOND = 1.0
"""Where a table ends, no less than so many thicknesses: tables of thin strip give 0 for what plate does not bear
(common practice, no source)."""
RISE_TO_180 = 1.0
"""So many thicknesses more a bend of 180 deg needs where no table of the material has one: four in five rows of
EN 485-2, which has both 90 and 180 deg, rise by no more."""
_RISE_SOURCE = "EN 485-2, bend radius, rise from 90 to 180 deg"
SILENT = "the source does not tell the rolling directions apart"
"""Note on a radius along the rolling direction that was published without a direction."""
_ALL_ANGLES = 180.0


@short_repr
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
        Where that is from.
    published : bool
        False for an estimate: no table names the material, so a test bend decides.
    note : str
        What was done beyond the table, where something was.
    directions : bool
        True when the source distinguishes rolling directions; otherwise its figure holds for both.
    """

    radius: float
    rule: str
    source: str
    published: bool = True
    note: str = ""
    directions: bool = False


@dataclass(frozen=True, slots=True)
class RadiusBand:
    """
    The smallest inside radii for the sheets of a range of thicknesses.

    Parameters
    ----------
    over, to : float [mm]
        The range of thickness, the second included.
    across, along : float [mm]
        Across and along the rolling direction, in millimetres or thicknesses as the table says.
    at_180 : (float, float), optional [mm]
        The same two for a bend of 180 deg, where the table has them.
    """

    over: float
    to: float
    across: float
    along: float
    at_180: tuple[float, float] | None = None


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
    bands : tuple of RadiusBand
        By thickness.
    multiples : bool
        True when radii are multiples of the thickness.
    next_band : bool
        True when a bend beyond `angle`, or along the rolling direction where `directions` does not hold, takes the
        next thicker band.
    directions : bool
        True when the table tells the rolling directions apart.
    angle : float [deg]
        Greatest bend angle that it is for.
    source : str
        Where it is from.
    source_at_180 : str
        Where its radii for 180 deg are from.
    """

    name: str
    materials: tuple[str, ...]
    family: str
    tensile: tuple[float, float]
    bands: tuple[RadiusBand, ...]
    multiples: bool
    next_band: bool
    directions: bool
    angle: float
    source: str
    source_at_180: str


@takes(material=("Material", "str"))
def minimum_bend_radius(
    material: Material | str, thickness: float, angle: float = 90.0, along_rolling: bool = False
) -> MinimumBendRadius:
    """
    The smallest inside radius for a bend in a sheet of a material.

    By the first table that names the material, or takes it by family and tensile strength, and has the thickness;
    beyond its last thickness, as an estimate, in the same ratio to the thickness and at least one thickness. Beyond its
    angle the radius rises in proportion to the one for 180 deg (of this table, or of another of the material), or, as
    an estimate, by one thickness where none is published, as rows of EN 485-2 do; DIN 6935 asks for the next thicker
    band instead, and from EN 10025-2, which ends at 90 deg, the radius rises to its own at 120 deg. Where no table
    names the material, an estimate: the radius at which the outer fibre is stretched by the elongation after fracture.
    Where a source does not tell the rolling directions apart, its figure is given for both, and `directions` and
    `note` say so.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    thickness : float [mm]
        Thickness of the sheet.
    angle : float [deg]
        Bend angle, 0 for flat.
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
    tables = tables_for(grade)
    if not tables:
        return _by_elongation(grade, thickness, along_rolling)
    table = next((table for table in tables if _has(table, thickness)), tables[0])
    radius = _radius(table, thickness, angle, along_rolling)
    sources, notes = [table.source], []
    within = thickness <= table.bands[-1].to + LENGTH
    if not within:
        radius = max(radius, LEAST_BEYOND * thickness)
        notes.append(
            f"the table ends at {table.bands[-1].to:g} mm; beyond it an estimate, in the same ratio to the thickness, "
            "and at least one thickness: bend a test strip"
        )
    further = next((other for other in tables if other.angle > table.angle), None)
    if angle > table.angle + ANGLE_DEG and table.next_band and further is not None:
        radius = _gone_on(table, further, thickness, angle, along_rolling)
        sources.append(further.source)
        notes.append(
            f"the table is for {table.angle:g} deg; it rises to that of {further.name} at {further.angle:g} deg"
        )
    elif angle > table.angle + ANGLE_DEG and not table.next_band:
        top, source = _at_180(tables, thickness, along_rolling, radius)
        share = (angle - table.angle) / (_ALL_ANGLES - table.angle)
        sources.append(source)
        notes.append(f"the table is for {table.angle:g} deg; beyond it {_rising(radius, top, source)}")
        radius += share * max(0.0, top - radius)
    directions = table.directions or table.next_band
    if along_rolling and not directions:
        notes.append(SILENT)
    cited = "; ".join(dict.fromkeys(sources))
    return MinimumBendRadius(radius, table.name, cited, within, "; ".join(notes), directions)


def tables_for(grade: Material) -> list[RadiusTable]:
    """The tables that a material goes by, in the order in which they are tried."""
    return [table for table in radius_tables() if _is_for(table, grade)]


def _is_for(table: RadiusTable, grade: Material) -> bool:
    """By its name; or, where no table of the family names it, by its tensile strength."""
    name = grade.name.partition(" at ")[0]
    if name in table.materials:
        return True
    if not table.family or table.family != grade.family or grade.tensile_strength_min is None:
        return False
    named = any(name in other.materials for other in radius_tables())
    return not named and table.tensile[0] < grade.tensile_strength_min <= table.tensile[1]


def _has(table: RadiusTable, thickness: float) -> bool:
    first, last = table.bands[0], table.bands[-1]
    return first.over + LENGTH < thickness <= last.to + LENGTH


def _band(table: RadiusTable, thickness: float) -> int:
    """The number of the band of a thickness; the last one beyond them."""
    ends = (number for number, band in enumerate(table.bands) if thickness <= band.to + LENGTH)
    return next(ends, len(table.bands) - 1)


def _radius(table: RadiusTable, thickness: float, angle: float, along: bool) -> float:
    """The radius in mm at the angle of the table, and for a table with next bands at any angle."""
    number = _band(table, thickness)
    band = table.bands[number]
    figure = band.along if along else band.across
    if table.multiples:
        return figure * thickness
    if table.next_band and (angle > table.angle + ANGLE_DEG or (along and not table.directions)):
        after = table.bands[number + 1 :]
        # There is no thicker band than the last: its radius grows as its thickness does.
        figure = (after[0].along if along else after[0].across) if after else figure * band.to / band.over
    return figure * max(1.0, thickness / band.to)


def _gone_on(table: RadiusTable, further: RadiusTable, thickness: float, angle: float, along: bool) -> float:
    """The radius in mm beyond the angle of one table: it rises to that of another, which goes further."""
    low = _radius(table, thickness, table.angle, along)
    high = max(low, _radius(further, thickness, further.angle, along))
    if angle > further.angle + ANGLE_DEG:
        return max(high, *(_radius(each, thickness, angle, along) for each in (table, further)))
    return low + (high - low) * (angle - table.angle) / (further.angle - table.angle)


def _at_180(tables: list[RadiusTable], thickness: float, along: bool, least: float) -> tuple[float, str]:
    """The radius in mm for 180 deg and its source, of the first table that has it; else one thickness more."""
    for table in tables:
        band = table.bands[_band(table, thickness)]
        if band.at_180 is not None:
            return band.at_180[along] * thickness, table.source_at_180
    return least + RISE_TO_180 * thickness, _RISE_SOURCE


def _rising(radius: float, top: float, source: str) -> str:
    """How the radius goes on to that for 180 deg."""
    if source == _RISE_SOURCE:
        return "the radius rises by one thickness up to 180 deg, an estimate after EN 485-2"
    if top <= radius + LENGTH:
        return "the same radius holds up to 180 deg"
    return "the radius rises to that for 180 deg"


def _by_elongation(grade: Material, thickness: float, along: bool) -> MinimumBendRadius:
    if grade.elongation is None:
        problem = "there is neither a table of smallest radii nor an elongation for it"
        raise InputError("minimum_bend_radius", "material", grade.name, problem, "give a grade of the table")
    radius = radius_for_elongation(grade.elongation, thickness)
    note = f"no table has {grade.name}: an estimate from its elongation of {grade.elongation:g} %, bend a test strip"
    note += f"; {SILENT}" if along else ""
    return MinimumBendRadius(radius, BY_ELONGATION, _MEMORANDUM, published=False, note=note)


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
        directions="along" in row,
        angle=float(row["angle"]),
        source=row["source"],
        source_at_180=row.get("source_at_180", row["source"]),
    )


def _bands(row: Mapping[str, Any]) -> Iterator[RadiusBand]:
    across, wide = row["across"], row.get("at_180", [])
    along, wide_along = row.get("along", across), row.get("along_at_180", wide)
    starts = (row.get("over", 0.0), *row["to"])
    for number, (over, to) in enumerate(pairwise(starts)):
        at_180 = (float(wide[number]), float(wide_along[number])) if number < len(wide) else None
        yield RadiusBand(float(over), float(to), float(across[number]), float(along[number]), at_180)
