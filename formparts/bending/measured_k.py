"""The shop's own K-factor from test strips, by least squares, with its confidence interval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Final, NamedTuple

from formparts.bending.allowance_tables import AllowanceRow, AllowanceTable
from formparts.bending.lengths import bend_allowance, outside_setback
from formparts.bending.measured_csv import measured_rows
from formparts.errors import InputError

CONFIDENCE: Final = 0.95
"""Confidence with which the true K lies between the two limits reported [-]."""


class BentStrip(NamedTuple):
    """
    A test strip of one bend, measured flat and formed.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    inside_radius : float [mm]
        Inside radius as it came out.
    angle : float [deg]
        Bend angle, 0 for flat.
    flat_length : float [mm]
        Length before bending.
    leg_1, leg_2 : float [mm]
        Both legs after bending, to the outer mould line.
    """

    thickness: float
    inside_radius: float
    angle: float
    flat_length: float
    leg_1: float
    leg_2: float


@dataclass(frozen=True, slots=True)
class MeasuredKFactor:
    """
    The K-factor of one sheet and radius.

    Parameters
    ----------
    thickness, inside_radius : float [mm]
        Of the sheet, and of the bends in it.
    angles : tuple of float [deg]
        Bend angles that were measured, each once.
    k : float [-]
        K-factor by least squares.
    low, high : float [-], optional
        The true K lies between these in 95 of 100 cases; none from one strip alone.
    spread : float [mm], optional
        Standard deviation of a strip's developed length from the one with this K.
    strips : int [-]
        How many strips there are.
    """

    thickness: float
    inside_radius: float
    angles: tuple[float, ...]
    k: float
    low: float | None
    high: float | None
    spread: float | None
    strips: int


_COLUMNS: Final = {
    "thickness": "length",
    "inside_radius": "length",
    "angle": "angle",
    "opening_angle": "angle",
    "flat_length": "length",
    "leg_1": "length",
    "leg_2": "length",
}
_WANTED: Final = (
    ("thickness",),
    ("inside_radius",),
    ("angle", "opening_angle"),
    ("flat_length",),
    ("leg_1",),
    ("leg_2",),
)


def bent_strips(path: str | Path) -> tuple[BentStrip, ...]:
    """
    Read measured test strips from a CSV file.

    The first line names the columns, each with its unit, in any order: `thickness [mm]`, `inside_radius [mm]`,
    `angle [deg]` or `opening_angle [deg]`, `flat_length [mm]`, `leg_1 [mm]` and `leg_2 [mm]`. Lengths may be in `mm`
    or `in`.

    Parameters
    ----------
    path : str or Path
        The file, in UTF-8.

    Returns
    -------
    tuple of BentStrip

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
    return tuple(_strip(row) for row in measured_rows(Path(path), _COLUMNS, _WANTED, "bent_strips"))


def measured_k_factors(strips: Sequence[BentStrip]) -> tuple[MeasuredKFactor, ...]:
    """
    K-factors of test strips, one for each thickness and inside radius.

    A strip's developed length is its flat length less both legs plus two outside setbacks, and A (R + K t) by the
    rule; K makes the sum of the squares of the differences least. Its range is that of Student's t.

    Parameters
    ----------
    strips : sequence of BentStrip
        Measured strips, in any order.

    Returns
    -------
    tuple of MeasuredKFactor

    Raises
    ------
    InputError
        There are no strips, or a K comes out that no bend has.

    Source
    ------
    Exact mathematics: linear least squares of one unknown, and Student's distribution of its error.

    Examples
    --------
    >>> strip = BentStrip(2, 2, 90, 96.523893, 60, 40)
    >>> round(measured_k_factors([strip])[0].k, 4)
    0.44
    """
    if not strips:
        raise InputError("measured_k_factors", "strips", "none", "there is nothing measured", "bend a strip")
    ordered = sorted(strips, key=_sheet)
    return tuple(_fitted(list(group)) for _, group in groupby(ordered, key=_sheet))


def measured_table(found: Sequence[MeasuredKFactor], title: str = "test strips") -> AllowanceTable:
    """
    Make the table of allowances that measured K-factors give, at the angles that were measured.

    Parameters
    ----------
    found : sequence of MeasuredKFactor
        As of `measured_k_factors`.
    title : str
        What the table is called in reports.

    Returns
    -------
    AllowanceTable

    Raises
    ------
    InputError
        There is nothing measured.

    Source
    ------
    The shop's own measurements.
    """
    rows = tuple(
        AllowanceRow(
            one.thickness,
            one.inside_radius,
            angle,
            float(bend_allowance(angle, one.inside_radius, one.thickness, one.k)),
        )
        for one in found
        for angle in one.angles
    )
    return AllowanceTable(rows, title, "the user's own test strips, by least squares")


def _sheet(strip: BentStrip) -> tuple[float, float]:
    return strip.thickness, strip.inside_radius


def _strip(row: dict[str, float]) -> BentStrip:
    angle = row["angle"] if "angle" in row else 180.0 - row["opening_angle"]
    return BentStrip(
        row["thickness"], row["inside_radius"], angle, row["flat_length"], row["leg_1"], row["leg_2"]
    )


def _fitted(strips: list[BentStrip]) -> MeasuredKFactor:
    """Least squares of one unknown: sum(a d) / sum(a a), with a = A t and d = allowance - A R."""
    slopes = [math.radians(strip.angle) * strip.thickness for strip in strips]
    heights = [_allowance(strip) - math.radians(strip.angle) * strip.inside_radius for strip in strips]
    weight = math.fsum(slope * slope for slope in slopes)
    k = math.fsum(slope * height for slope, height in zip(slopes, heights, strict=True)) / weight
    one = strips[0]
    if not 0.0 <= k <= 1.0:
        raise InputError(
            "measured_k_factors", "strips", f"{one.thickness:g} mm, R {one.inside_radius:g} mm",
            f"their K comes out as {k:.3g}, and the neutral fibre is in the sheet: from 0 to 1",
            "look whether the legs go to the outer mould line and the radius is the inside one",
        )  # fmt: skip
    spread, half = _spread(slopes, heights, k, weight)
    low, high = (None, None) if half is None else (k - half, k + half)
    angles = tuple(sorted({strip.angle for strip in strips}))
    return MeasuredKFactor(one.thickness, one.inside_radius, angles, k, low, high, spread, len(strips))


def _allowance(strip: BentStrip) -> float:
    """Developed length of the bend of a strip."""
    setback = float(outside_setback(strip.angle, strip.inside_radius, strip.thickness))
    return strip.flat_length - strip.leg_1 - strip.leg_2 + 2.0 * setback


def _spread(
    slopes: list[float], heights: list[float], k: float, weight: float
) -> tuple[float | None, float | None]:
    """Standard deviation of a strip, and half the range of K; none from one strip."""
    free = len(slopes) - 1
    if free == 0:
        return None, None
    from scipy.stats import t as student

    squares = math.fsum((height - k * slope) ** 2 for slope, height in zip(slopes, heights, strict=True))
    spread = math.sqrt(squares / free)
    return spread, float(student.ppf((1.0 + CONFIDENCE) / 2.0, free)) * spread / math.sqrt(weight)
