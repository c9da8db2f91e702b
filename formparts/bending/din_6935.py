"""Developed lengths after DIN 6935: its correction factor and its compensation value."""

from __future__ import annotations

from typing import Any, Final

from formparts.bending.lengths import outside_setback
from formparts.bending.ranges import either, elementwise, figures, first_where
from formparts.errors import InputError
from formparts.tolerances import ANGLE_DEG, LENGTH

SMALLEST_RATIO: Final = 10.0**-1.3
"""Inside radius over thickness at which the standard's factor k falls to 0 [-]: 0.0501."""

LARGEST_RATIO: Final = 5.0
"""Inside radius over thickness up to which the logarithm holds; above it k = 1 [-]."""

NEGLECTED_OPENING: Final = 165.0
"""Opening angle above which the standard takes the compensation value as nothing [deg]."""


@elementwise
def din_6935_factor(inside_radius: float, thickness: float) -> Any:
    """
    Correction factor k of DIN 6935: 0.65 + 0.5 log10(r/s) up to r/s = 5, and 1 above.

    It multiplies HALF the thickness, so that the K-factor is k/2. At r/s = 5 it steps by 0.0005, as in the
    standard. It falls to 0 at r/s = 0.0501; sharper bends are refused.

    Parameters
    ----------
    inside_radius : float or array [mm]
        Inside radius r.
    thickness : float or array [mm]
        Thickness s.

    Returns
    -------
    float or array [-]

    Raises
    ------
    InputError
        A figure is outside its range, or the radius is so small that k would be negative.

    Source
    ------
    DIN 6935 (1975), as reproduced in Tabellenbuch Metall.

    Examples
    --------
    >>> round(din_6935_factor(6, 5), 3)
    0.69
    """
    space = figures("din_6935_factor", inside_radius=inside_radius, thickness=thickness)
    ratio, smallest = inside_radius / thickness, SMALLEST_RATIO * thickness
    too_sharp = first_where(ratio < SMALLEST_RATIO, inside_radius)
    if too_sharp is not None:
        raise InputError(
            "din_6935_factor",
            "inside_radius",
            too_sharp,
            "is so small that the rule of DIN 6935 puts the neutral fibre outside the sheet",
            f"at least {first_where(ratio < SMALLEST_RATIO, smallest):.6g} mm, or give a K-factor",
            "mm",
        )
    # A radius within LENGTH of 5 s counts as 5 s: 1.5 / 0.3 is not 5 in floating point.
    return either(inside_radius <= LARGEST_RATIO * thickness + LENGTH, 0.65 + 0.5 * space.log10(ratio), 1.0)


@elementwise
def din_6935_compensation(opening_angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Compensation value v of DIN 6935: developed length = sum of the legs - sum of v.

    Up to an opening angle of 90 deg the legs run to the outer TANGENT line (the extreme outside of the bend),
    from there to 165 deg to the outer mould line; above 165 deg the standard takes v = 0. That is a step, of
    0.87 mm at r = 6, s = 5.

    Parameters
    ----------
    opening_angle : float or array [deg]
        Opening angle between the legs, 180 deg less the bend angle, 0 <= beta < 180.
    inside_radius : float or array [mm]
        Inside radius r.
    thickness : float or array [mm]
        Thickness s.

    Returns
    -------
    float or array [mm]
        Negative where the arc is longer than the legs reach (opening angles below about 65 deg, thin sheet).

    Raises
    ------
    InputError
        A figure is outside its range, or the radius is so small that k would be negative.

    Source
    ------
    DIN 6935 (1975), as reproduced in Tabellenbuch Metall.

    Examples
    --------
    >>> round(din_6935_compensation(90, 6, 5), 1)
    9.9
    """
    space = figures(
        "din_6935_compensation",
        opening_angle=opening_angle,
        inside_radius=inside_radius,
        thickness=thickness,
    )
    factor = din_6935_factor(inside_radius, thickness)
    turned = space.radians(180.0 - opening_angle)
    to_mould_line = either(opening_angle > 90.0, space.tan(turned / 2), 1.0)
    legs = 2 * (inside_radius + thickness) * to_mould_line
    value = legs - turned * (inside_radius + factor * thickness / 2)
    return either(opening_angle > NEGLECTED_OPENING + ANGLE_DEG, 0.0, value)


def din_6935_allowance(angle: float, inside_radius: float, thickness: float) -> Any:
    """Developed length of a bend after DIN 6935 [mm]; below 15 deg v = 0: twice the outside setback."""
    space = figures("din_6935", angle=angle, inside_radius=inside_radius, thickness=thickness)
    factor = din_6935_factor(inside_radius, thickness)
    if angle < 180.0 - NEGLECTED_OPENING - ANGLE_DEG:
        return 2 * outside_setback(angle, inside_radius, thickness)
    return space.radians(angle) * (inside_radius + factor * thickness / 2)
