"""Dies of the press brake: V opening, the radius that air bending gives over it, the minimum flange on it."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import Any, Final

from formparts.arguments import takes
from formparts.bending.ranges import elementwise, figures
from formparts.errors import InputError
from formparts.sources import COMMON_PRACTICE
from formparts.tolerances import LENGTH


@dataclass(frozen=True, slots=True)
class DieBand:
    """
    How many thicknesses wide a V opening is taken, up to a thickness.

    Parameters
    ----------
    up_to : float [mm]
        The greatest thickness of the band.
    thicknesses : float [-]
        V opening over thickness.
    source : str
        Where the figure is from.
    """

    up_to: float
    thicknesses: float
    source: str


DIE_BANDS: Final = (
    DieBand(0.105 * 25.4, 6.0, COMMON_PRACTICE),
    DieBand(8.0, 8.0, COMMON_PRACTICE),
    DieBand(0.5 * 25.4, 10.0, COMMON_PRACTICE),
    DieBand(float("inf"), 12.0, COMMON_PRACTICE),
)
"""Common practice, as air-bending charts in inches have it: 0.105, 0.313 (5/16, so 8 mm) and 0.5 in. There are no
sheets between the bands; there the wider opening is taken, which needs less force."""

NARROWEST, WIDEST = 6.0, 12.0
"""Range of V opening over thickness in the same charts, over all sheets [-]."""

DIE_SERIES: Final = (
    4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0,
    100.0, 125.0, 160.0, 200.0, 250.0, 320.0, 400.0,
)  # fmt: skip
"""Standard V openings [mm]: preferred numbers of the series R10 (ISO 3), rounded; common practice, no source."""

ROUNDED = 0.02
"""By this share a standard opening may be narrower than the multiple of the thickness, because the series is rounded:
63 is the opening for 64 mm [-]; common practice, no source."""

AIR_BEND_SHARES: Final = {
    "carbon steel": (0.16, f"{COMMON_PRACTICE}: radius 0.16 of the opening, mild steel"),
    "stainless steel": (0.21, f"{COMMON_PRACTICE}: 20 to 22 % of the opening"),
    "aluminium": (0.14, f"{COMMON_PRACTICE}: 13 to 15 % of the opening, soft aluminium"),
}
"""Inside radius over V opening in air bending, by family of materials [-], with its source."""


HEM_ANGLE: Final = 150.0
"""A bend by more than this [deg] is a hem, which a V die alone does not close; common practice, no source."""


def die_opening_range(thickness: float) -> tuple[float, float]:
    """
    The narrowest and the widest V opening in common use for a sheet.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.

    Returns
    -------
    (float, float) [mm]

    Raises
    ------
    InputError
        The thickness is outside its range.

    Source
    ------
    Common practice, no source: 6 to 12 thicknesses.

    Examples
    --------
    >>> die_opening_range(2)
    (12.0, 24.0)
    """
    figures("die_opening_range", thickness=thickness)
    return NARROWEST * thickness, WIDEST * thickness


def die_opening(
    thickness: float,
    inside_radius: float = 0.0,
    angle: float = 90.0,
    series: tuple[float, ...] = DIE_SERIES,
) -> float:
    """
    The V opening to take from a series: the first that is wide enough for the sheet and for the bend in it.

    Wide enough for the sheet is 6 to 12 thicknesses, more for thicker sheet (`DIE_BANDS`), less how far the series is
    rounded (`ROUNDED`); for the bend, that
    its outer tangent lines lie between the shoulders: 2 (R + t) sin(A/2).

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    inside_radius : float [mm]
        Inside radius of the bend.
    angle : float [deg]
        Bend angle, 0 for flat.
    series : tuple of float [mm]
        Openings to choose from, in rising order; a shop gives its own.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        A figure is outside its range, or no die of the series is wide enough.

    Source
    ------
    Common practice, no source; the shoulders are exact mathematics.

    Examples
    --------
    >>> die_opening(2)
    12.0
    >>> die_opening(2, inside_radius=10)
    20.0
    """
    space = figures("die_opening", thickness=thickness, inside_radius=inside_radius, angle=angle)
    shoulders = 2.0 * (inside_radius + thickness) * space.sin(space.radians(angle) / 2.0)
    for_sheet = die_band(thickness).thicknesses * thickness
    place = bisect_left(series, max(for_sheet * (1.0 - ROUNDED), shoulders) - LENGTH)
    if place == len(series):
        widest = f"the widest of the series is {max(series, default=0.0):g} mm"
        problem = f"needs a V opening of {max(for_sheet, shoulders):.4g} mm"
        raise InputError(
            "die_opening", "thickness", float(thickness), problem, f"{widest}: give another", "mm"
        )
    return series[place]


def die_band(thickness: float) -> DieBand:
    """
    The band of `DIE_BANDS` that a sheet belongs to.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.

    Returns
    -------
    DieBand
    """
    return next(band for band in DIE_BANDS if thickness <= band.up_to + LENGTH)


@takes(family="str")
def air_bend_radius(die_opening: float, family: str = "carbon steel") -> float:
    """
    Inside radius that a sheet takes by itself when it is bent in air over a V die.

    Parameters
    ----------
    die_opening : float [mm]
        V opening of the die.
    family : str
        Family of the material: `carbon steel`, `stainless steel` or `aluminium`.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        The opening is outside its range, or there is no figure for the family.

    Source
    ------
    Common practice, no source.

    Examples
    --------
    >>> air_bend_radius(12)
    1.92
    """
    figures("air_bend_radius", die_opening=die_opening)
    if family not in AIR_BEND_SHARES:
        known = ", ".join(AIR_BEND_SHARES)
        problem = "has no known share of the opening"
        raise InputError("air_bend_radius", "family", family or "none", problem, f"one of {known}")
    return AIR_BEND_SHARES[family][0] * die_opening


@elementwise
def minimum_flange(die_opening: float, angle: float = 90.0) -> Any:
    """
    Minimum flange, to the outer mould line, that still rests on the shoulder of a V die: V / (2 cos(A/2)).

    The shoulder is taken as sharp; a rounded one needs a little more.

    Parameters
    ----------
    die_opening : float or array [mm]
        V opening of the die.
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Exact mathematics; air-bending charts have 0.70 V for 90 deg.

    Examples
    --------
    >>> round(minimum_flange(12), 3)
    8.485
    """
    space = figures("minimum_flange", die_opening=die_opening, mould_angle=angle)
    return die_opening / (2.0 * space.cos(space.radians(angle) / 2.0))
