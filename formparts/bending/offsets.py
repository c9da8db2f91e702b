"""The offset (joggle): two equal and opposite bends that raise a flat parallel to itself.

The figures are those of the mid-surface, whose bends have the radius R + t/2. The rise is measured between
like faces (upper to upper), the run from the first tangent line to the last, along the flat.
"""

from __future__ import annotations

import math
from typing import Any

from formparts.bending.ranges import either, elementwise, figures, first_where
from formparts.errors import InputError
from formparts.tolerances import LENGTH


@elementwise
def smallest_rise(angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Smallest rise of an offset: its two bends meet, with no straight between, 2 (R + t/2) (1 - cos A).

    Parameters
    ----------
    angle : float or array [deg]
        Angle A of each of the two bends, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R of both bends.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Exact mathematics: two arcs of the radius R + t/2, one after the other.
    """
    space = figures("smallest_rise", mould_angle=angle, inside_radius=inside_radius, thickness=thickness)
    # 1 - cos A = 2 sin^2(A/2) keeps its digits at small angles.
    return 4 * (inside_radius + thickness / 2) * space.sin(space.radians(angle) / 2) ** 2


@elementwise
def offset_slope(rise: float, angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Straight length between the two bends of an offset, from tangent line to tangent line.

    Parameters
    ----------
    rise : float or array [mm]
        Distance between like faces of the two parallel flats.
    angle : float or array [deg]
        Angle A of each of the two bends, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R of both bends.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range, or the rise is too small for the two bends (the error states the smallest).

    Source
    ------
    Exact mathematics: rise = 2 (R + t/2) (1 - cos A) + slope x sin A.

    Examples
    --------
    >>> round(offset_slope(10, 90, 2, 2), 6)
    4.0
    """
    space = figures(
        "offset_slope", rise=rise, mould_angle=angle, inside_radius=inside_radius, thickness=thickness
    )
    smallest = smallest_rise(angle, inside_radius, thickness)
    too_small = rise < smallest - LENGTH
    lowest = first_where(too_small, smallest)
    if lowest is not None:
        problem = f"is {first_where(too_small, smallest - rise):.6g} mm too small for its two bends"
        fix = f"at least {lowest:.6g} mm, or a smaller angle or radius"
        raise InputError("offset_slope", "rise", first_where(too_small, rise), problem, fix, "mm")
    slope = (rise - smallest) / space.sin(space.radians(angle))
    return either(slope > 0, slope, 0.0)


@elementwise
def offset_run(rise: float, angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Length that an offset takes along its flat, from its first tangent line to its last.

    Parameters
    ----------
    rise : float or array [mm]
        Distance between like faces of the two parallel flats.
    angle : float or array [deg]
        Angle A of each of the two bends, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R of both bends.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range, or the rise is too small for the two bends (the error states the smallest).

    Source
    ------
    Exact mathematics: run = 2 (R + t/2) sin A + slope x cos A.

    Examples
    --------
    >>> round(offset_run(10, 90, 2, 2), 6)
    6.0
    """
    slope = offset_slope(rise, angle, inside_radius, thickness)
    space = figures("offset_run", mould_angle=angle, inside_radius=inside_radius, thickness=thickness)
    turned = space.radians(angle)
    return (2 * inside_radius + thickness) * space.sin(turned) + slope * space.cos(turned)


@elementwise
def offset_angle(rise: float, slope_length: float, inside_radius: float, thickness: float) -> Any:
    """
    Angle of the two bends of an offset, from its rise and the straight length between the bends.

    Parameters
    ----------
    rise : float or array [mm]
        Distance between like faces of the two parallel flats.
    slope_length : float or array [mm]
        Straight length w between the two bends, from tangent line to tangent line.
    inside_radius : float or array [mm]
        Inside radius R of both bends.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [deg]
        The smaller of the two angles that fit; the other folds back over the flat.

    Raises
    ------
    InputError
        A figure is outside its range, or no angle reaches the rise (the error states the largest).

    Source
    ------
    Exact mathematics: with u = tan(A/2) and m = 2 R + t the rise h gives (2m - h) u^2 + 2 w u - h = 0.

    Examples
    --------
    >>> round(offset_angle(1.5, 0, 3, 1.5), 6)
    36.869898
    """
    space = figures(
        "offset_angle",
        rise=rise,
        slope_length=slope_length,
        inside_radius=inside_radius,
        thickness=thickness,
    )
    mid_diameter = 2 * inside_radius + thickness
    under_root = slope_length**2 + rise * (2 * mid_diameter - rise)
    excess = first_where(under_root < 0, rise)
    if excess is not None:
        highest = mid_diameter + space.sqrt(slope_length**2 + mid_diameter**2)
        raise InputError(
            "offset_angle",
            "rise",
            excess,
            "cannot be reached at any angle",
            f"at most {first_where(under_root < 0, highest):.6g} mm, or a longer slope or larger radius",
            "mm",
        )
    # h over the sum, and not the difference over 2m - h: it neither loses digits nor divides by nothing.
    arc_tangent = math.atan2 if space is math else space.arctan2
    return 2 * space.degrees(arc_tangent(rise, slope_length + space.sqrt(under_root)))
