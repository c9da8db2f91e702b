"""Permissible deviations of standards: of the thickness of a sheet, of an angle, and of a cut edge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from formparts import toml
from formparts.errors import InputError
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.quantities import POSITIVE, length, shown_value
from formparts.tolerances import LENGTH

_FILE = Path(__file__).parent / "data" / "deviations.toml"


@dataclass(frozen=True, slots=True)
class Deviation:
    """
    How far a figure may be off to either side.

    Parameters
    ----------
    value : float [mm]
        To either side; in deg for an angle, in um for a roughness.
    source : str
        The table that it is from.
    """

    value: float
    source: str


def thickness_deviation(material: Material | str, thickness: object, width: object = 1250.0) -> Deviation:
    """
    How far the thickness of a sheet may be off, by the standard of the product.

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
    Deviation

    Raises
    ------
    InputError
        No table that can be cited has the product, the thickness or the width.

    Source
    ------
    EN 10051, EN 10131, EN 10143, EN 10259 (EN ISO 9445-2) and EN 485-4, as told with each figure.

    Examples
    --------
    >>> thickness_deviation("DC01", 2).value
    0.11
    """
    grade = find_material(material)
    size = length(thickness, "thickness", "thickness_deviation", POSITIVE)
    wide = length(width, "width", "thickness_deviation", POSITIVE)
    for table in _tables()["thickness"]:
        if _is_for(table, grade) and (row := _row(table, size)):
            place = sum(wide > end + LENGTH for end in table["widths"])
            if place < len(row):
                return Deviation(row[place] * _times(table, grade), table["source"])
    problem = f"no table that can be cited has {size:g} mm of it {wide:g} mm wide"
    raise InputError(
        "thickness_deviation", "material", grade.name, problem, "take the figure of the mill's certificate"
    )


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


def cut_deviation(size: object, thickness: object, tolerance_class: int = 1) -> Deviation:
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
    place = sum(wanted > end + LENGTH for end in table["sizes"])
    value = row[place] if place < len(row) else 0.0
    if not value:
        problem = f"class {tolerance_class} has no row that can be cited for {sheet:g} mm sheet"
        raise InputError("cut_deviation", "size", wanted, problem, "state the deviation on the drawing", "mm")
    return Deviation(value, table["source"])


def cut_edge(thickness: object, perpendicularity: int = 1, roughness: int = 1) -> tuple[Deviation, Deviation]:
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
    return name in table.get("materials", (name,)) and least < table.get("yield_below", float("inf"))


def _row(table: Mapping[str, Any], thickness: float) -> Sequence[float]:
    """The deviations by width for a thickness; none where the table does not reach."""
    near = -LENGTH if table.get("from_included") else LENGTH
    last = table["rows"][-1][1]
    for over, to, *deviations in table["rows"]:
        if over + near < thickness <= to + near or thickness == to == last:
            return tuple(deviations)
    return ()


def _times(table: Mapping[str, Any], grade: Material) -> float:
    """Stronger steel may be so many times farther off."""
    strength = grade.yield_strength or 0.0
    return max((each["times"] for each in table.get("category", ()) if strength > each["above"]), default=1.0)


@cache
def _tables() -> Mapping[str, Any]:
    return toml.loads(_FILE.read_text(encoding="utf-8"))
