"""Permissible deviations of standards: of the thickness of a sheet, of an angle, and of a cut edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.errors import InputError
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.quantities import POSITIVE, LengthLike, length, shown_value
from formparts.tolerances import LENGTH

_FILE = Path(__file__).parent / "data" / "deviations.toml"
_INCH = 25.4
"""In mm, exactly."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """A permissible deviation to either side.

    Parameters
    ----------
    value : float [mm]
        To either side; in deg for an angle, in um for a roughness.
    source : str
        The table that it is from.
    """

    value: float
    source: str


def thickness_deviation(
    material: Material | str, thickness: LengthLike, width: LengthLike = 1250.0, standard: str = ""
) -> Deviation:
    """
    How far the thickness of a sheet may be off, by the standard of the product.

    A material of your own may state it (`thickness_deviation` in its TOML file); that comes before any standard.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    thickness : object [mm]
        Nominal thickness: bare number in mm, text with a unit, or pint quantity.
    width : object [mm]
        Width of the strip that it was rolled as.
    standard : str
        How the citation begins, as `ASTM A480` for stainless sheet that was bought by it; any when none is given.

    Returns
    -------
    Deviation

    Raises
    ------
    InputError
        No table that can be cited has the product, the thickness or the width. Not given are EN 10131 for 340 MPa and
        more and for 260 MPa and more above 1 mm, EN 10143 for 260 MPa and more, ASTM A480 for hot-rolled sheet,
        ASTM A568 above 72 in, and the standards of copper, brass, titanium and of American aluminium.

    Source
    ------ EN 10051, EN 10131, EN 10143, EN 10259 (EN ISO 9445-2), EN 485-4, ASTM A480 and ASTM A568, as
    stated with each figure.

    Examples
    --------
    >>> thickness_deviation("DC01", 2).value
    0.11
    >>> thickness_deviation("304", 2, standard="ASTM A480").value
    0.1
    """
    found = thickness_deviations(material, thickness, width)
    for one in found:
        if one.source.lower().startswith(standard.strip().lower()):
            return one
    grade = find_material(material)
    size, wide = length(thickness), length(width)
    by = f" by {standard}" if found else ""
    problem = f"no table that can be cited has {size:g} mm of it {wide:g} mm wide{by}"
    set_in = thickness_table(grade)
    figure = (
        f"the figure of {set_in}, or of the mill's certificate,"
        if set_in
        else "the mill's certificate's figure"
    )
    fix = f"take {figure} and state it as thickness_deviation in a TOML file of your own"
    raise InputError("thickness_deviation", "material", grade.name, problem, fix)


def thickness_deviations(
    material: Material | str, thickness: LengthLike, width: LengthLike = 1250.0
) -> tuple[Deviation, ...]:
    """
    How far the thickness of a sheet may be off, by each standard that it can be bought by.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.
    thickness : object [mm]
        Nominal thickness: bare number in mm, text with a unit, or pint quantity.
    width : object [mm]
        Width of the strip that it was rolled as.

    Returns
    -------
    tuple of Deviation
        That of your own material first; none where no table that can be cited has it.

    Raises
    ------
    InputError
        There is no such material, or a length is none.

    Source
    ------
    As stated with each figure.

    Examples
    --------
    >>> [found.value for found in thickness_deviations("304", 2)]
    [0.1, 0.1]
    """
    grade = find_material(material)
    size = length(thickness, "thickness", "thickness_deviation", POSITIVE)
    wide = length(width, "width", "thickness_deviation", POSITIVE)
    return (*_own(grade, size), *_standard(grade, size, wide))


def _own(grade: Material, thickness: float) -> Iterator[Deviation]:
    """Return the deviation that a material of the user's own states."""
    rows = [band for band in grade.bands if band.figure == "thickness_deviation"]
    for band in rows:
        if band.most is not None and band.over + LENGTH < thickness <= band.to + LENGTH:
            yield Deviation(band.most, grade.sources["thickness_deviation"])


def _standard(grade: Material, thickness: float, width: float) -> Iterator[Deviation]:
    for table in _tables()["thickness"]:
        if _is_for(table, grade) and (row := _row(table, thickness)):
            place = sum(width > end + LENGTH for end in table["widths"])
            if place < len(row) and row[place]:
                yield Deviation(row[place] * _times(table, grade), table["source"])


def thickness_table(material: Material | str) -> str:
    """
    Name the standard's table that sets how far the thickness may be off, where its rows are not given here.

    Parameters
    ----------
    material : Material or str
        What the sheet is made of.

    Returns
    -------
    str
        Empty where none is known.

    Raises
    ------
    InputError
        There is no such material.

    Examples
    --------
    >>> thickness_table("S350GD")
    'EN 10143, table 2'
    """
    grade = find_material(material)
    known = (row["source"] for row in _tables()["elsewhere"] if _is_of(row, grade))
    return next(known, "")


def _is_of(row: Mapping[str, Any], grade: Material) -> bool:
    return grade.family in row["families"] if "families" in row else _is_for(row, grade)


def angular_deviation(shorter_side: object, tolerance_class: str = "m") -> Deviation:
    """
    How far an angle may be off that the drawing states without a tolerance.

    Parameters
    ----------
    shorter_side : object [mm]
        Length of the shorter side of the angle.
    tolerance_class : str
        `f`, `m`, `c` or `v`: fine, medium, coarse or very coarse.

    Returns
    -------
    Deviation
        In deg.

    Raises
    ------
    InputError
        There is no such class, or it is not a length.

    Source
    ------
    ISO 2768-1:1989, table 3.

    Examples
    --------
    >>> angular_deviation(40).value
    0.5
    """
    table = _tables()["angle"]
    if tolerance_class not in ("f", "m", "c", "v"):
        raise InputError(
            "angular_deviation", "tolerance_class", shown_value(tolerance_class), "is not a class of ISO 2768-1",
            "choose of f, m, c, v",
        )  # fmt: skip
    side = length(shorter_side, "shorter_side", "angular_deviation", POSITIVE)
    place = sum(side > end + LENGTH for end in table["up_to"])
    return Deviation(table[tolerance_class][place] / 60.0, table["source"])


def cut_deviation(size: LengthLike, thickness: LengthLike, tolerance_class: int = 1) -> Deviation:
    """
    How far a dimension of a thermal cut may be off.

    Parameters
    ----------
    size : object [mm]
        Nominal dimension.
    thickness : object [mm]
        Thickness of the sheet.
    tolerance_class : int [-]
        1, as laser cuts are, or 2, as plasma and flame cuts are.

    Returns
    -------
    Deviation

    Raises
    ------
    InputError
        No row that can be cited has the size and the thickness.

    Source
    ------
    ISO 9013:2017, limit deviations for nominal dimensions.

    Examples
    --------
    >>> cut_deviation(100, 2).value
    0.25
    """
    table = _tables()["cut"]
    wanted = length(size, "size", "cut_deviation", POSITIVE)
    sheet = length(thickness, "thickness", "cut_deviation", POSITIVE)
    rows = table.get(f"class_{tolerance_class}", [])
    row: Sequence[float] = next((row[2:] for row in rows if row[0] + LENGTH < sheet <= row[1] + LENGTH), [])
    *starts, last = table["sizes"]
    place = sum(wanted > start - LENGTH for start in starts)  # 10 mm is in the range from 10 to less than 35
    value = row[place] if row and wanted <= last + LENGTH else 0.0
    if not value:
        problem = f"class {tolerance_class} has no row that can be cited for {sheet:g} mm sheet"
        raise InputError("cut_deviation", "size", wanted, problem, "state the deviation on the drawing", "mm")
    return Deviation(value, table["source"])


def cut_edge(
    thickness: LengthLike, perpendicularity: int = 1, roughness: int = 1
) -> tuple[Deviation, Deviation]:
    """
    Give how oblique and how rough a thermal cut may be, by the range that is asked for.

    Parameters
    ----------
    thickness : object [mm]
        Thickness of the sheet.
    perpendicularity : int [-]
        Range 1 to 5 of the perpendicularity u.
    roughness : int [-]
        Range 1 to 4 of the mean height of the profile Rz5.

    Returns
    -------
    (Deviation, Deviation)
        Perpendicularity in mm, and mean height of the profile in um.

    Raises
    ------
    InputError
        There is no such range.

    Source
    ------
    ISO 9013:2017.

    Examples
    --------
    >>> [round(each.value, 3) for each in cut_edge(6, 1, 2)]
    [0.068, 44.8]
    """
    table = _tables()["cut_edge"]
    sheet = length(thickness, "thickness", "cut_edge", POSITIVE)
    found = []
    for name, number in (("perpendicularity", perpendicularity), ("roughness", roughness)):
        ranges = table[name]
        if number not in range(1, len(ranges) + 1):
            raise InputError("cut_edge", name, shown_value(number), "is not a range", f"1 to {len(ranges)}")
        base, by_thickness = ranges[number - 1]
        found.append(Deviation(base + by_thickness * sheet, table["source"]))
    return found[0], found[1]


def _is_for(table: Mapping[str, Any], grade: Material) -> bool:
    name = grade.name.partition(" at ")[0]
    if table["product"] != grade.product or name in table.get("not_for", ()):
        return False
    least = 0.0 if grade.yield_is == "most" else grade.yield_strength or 0.0
    if not table.get("yield_from", 0.0) <= least < table.get("yield_below", math.inf):
        return False
    return name in table.get("materials", (name,))


def _row(table: Mapping[str, Any], thickness: float) -> Sequence[float]:
    """The deviations by width for a thickness; none where the table does not reach."""
    near = -LENGTH if table.get("from_included") else LENGTH
    last = table["rows"][-1][1]
    for over, to, *deviations in table["rows"]:
        if over + near < thickness <= to + near or thickness == to == last:
            return tuple(deviations)
    return ()


def _times(table: Mapping[str, Any], grade: Material) -> float:
    """Return the factor of the deviations for stronger steel."""
    strength = grade.yield_strength or 0.0
    return max((each["times"] for each in table.get("category", ()) if strength > each["above"]), default=1.0)


@cache
def _tables() -> Mapping[str, Any]:
    """The file, with what it has in inches in mm."""
    tables: dict[str, Any] = toml.loads(_FILE.read_text(encoding="utf-8"))
    for table in tables["thickness"]:
        if table.get("unit") == "in":
            table["widths"] = [_INCH * end for end in table["widths"]]
            table["rows"] = [[_INCH * value for value in row] for row in table["rows"]]
    return tables
