"""Springback by Gardiner's formula, for a sheet that does not harden: the radius and the angle under load."""

from __future__ import annotations

from typing import Any, NoReturn

from formparts.bending.ranges import elementwise, figures, first_where
from formparts.errors import InputError

ELASTIC = 0.5
"""Up to this value of R Y/(E t) a bend keeps a set; from there on it springs back flat [-]."""


@elementwise
def springback_ratio(inside_radius: float, thickness: float, yield_strength: float, modulus: float) -> Any:
    """
    Radius under load over radius after springback: 4 X^3 - 3 X + 1, with X = R Y/(E t).

    Parameters
    ----------
    inside_radius : float or array [mm]
        Inside radius R while the press holds the bend.
    thickness : float or array [mm]
        Thickness t of the sheet.
    yield_strength : float or array [MPa]
        Yield strength Y.
    modulus : float or array [MPa]
        Modulus of elasticity E.

    Returns
    -------
    float or array [-]

    Raises
    ------
    InputError
        A figure is outside its range, or the bend is so wide that it stays elastic (X >= 0.5).

    Source
    ------
    F. J. Gardiner (1957), as in S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology.

    Examples
    --------
    >>> round(springback_ratio(2, 0.125, 5075, 10e6), 6)
    0.975642
    """
    figures(
        "springback_ratio",
        inside_radius=inside_radius, thickness=thickness, strength=yield_strength, modulus=modulus,
    )  # fmt: skip
    x = inside_radius * yield_strength / (modulus * thickness)
    elastic = first_where(x >= ELASTIC, inside_radius + 0.0 * x)
    if elastic is not None:
        _refuse_elastic(elastic)
    return 4.0 * x**3 - 3.0 * x + 1.0


def _refuse_elastic(radius: float) -> NoReturn:
    problem = "is so large that the sheet springs back flat"
    fix = "a set stays only below R = E t/(2 Y): take a smaller radius"
    raise InputError("springback_ratio", "inside_radius", radius, problem, fix, "mm")


@elementwise
def released_radius(inside_radius: float, thickness: float, yield_strength: float, modulus: float) -> Any:
    """
    Inside radius after springback of a bend that was made to a radius.

    Parameters
    ----------
    inside_radius : float or array [mm]
        Inside radius while the press holds the bend.
    thickness : float or array [mm]
        Thickness of the sheet.
    yield_strength, modulus : float or array [MPa]
        Of the material.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        As of `springback_ratio`.

    Source
    ------
    F. J. Gardiner (1957), as in S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology.

    Examples
    --------
    >>> round(released_radius(8, 2, 235, 210000), 4)
    8.1089
    """
    return inside_radius / springback_ratio(inside_radius, thickness, yield_strength, modulus)


@elementwise
def radius_under_load(released: float, thickness: float, yield_strength: float, modulus: float) -> Any:
    """
    Inside radius to bend to, so that the radius that is wanted is left after springback.

    The cubic of Gardiner has one root for which a set stays; it is found in closed form.

    Parameters
    ----------
    released : float or array [mm]
        Inside radius that is wanted, after springback.
    thickness : float or array [mm]
        Thickness of the sheet.
    yield_strength, modulus : float or array [MPa]
        Of the material.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    `released_radius` solved for the radius under load; exact mathematics.

    Examples
    --------
    >>> round(radius_under_load(8.10889, 2, 235, 210000), 4)
    8.0
    """
    space = figures(
        "radius_under_load",
        inside_radius=released, thickness=thickness, strength=yield_strength, modulus=modulus,
    )  # fmt: skip
    curve = yield_strength / (modulus * thickness)
    # With x = c R and r = c R_released the cubic reads 4 x^3 - (3 + 1/r) x + 1 = 0. Put x = s sin(d) with
    # s^2 = (3 + 1/r)/3: then s^3 sin(3 d) = 1. 1/s^3 is written so that r = 0 gives 0.
    share = curve * released
    inverse = (3.0 * share / (3.0 * share + 1.0)) ** 1.5
    arcsine = space.asin if hasattr(space, "asin") else space.arcsin
    third = arcsine(inverse) / 3.0
    # x = sin(third) / cbrt(inverse); for a vanishing radius both go to 0 and x is share itself.
    scale = (inverse + (share == 0.0)) ** (1.0 / 3.0)
    return (space.sin(third) / scale) / curve


@elementwise
def angle_under_load(
    angle: float, inside_radius: float, thickness: float, yield_strength: float, modulus: float
) -> Any:
    """
    Bend angle to bend to, so that the angle that is wanted is left after springback.

    The middle of the sheet keeps its length, so angle times middle radius stays as it is.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle that is wanted, 0 for flat.
    inside_radius : float or array [mm]
        Inside radius that is wanted, after springback.
    thickness : float or array [mm]
        Thickness of the sheet.
    yield_strength, modulus : float or array [MPa]
        Of the material.

    Returns
    -------
    float or array [deg]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology: springback factor
    K_s = (2 R_i/t + 1)/(2 R_f/t + 1).

    Examples
    --------
    >>> round(angle_under_load(90, 6.22436, 2, 276, 68900), 1)
    92.9
    """
    figures("angle_under_load", angle=angle)
    formed = radius_under_load(inside_radius, thickness, yield_strength, modulus)
    return angle * (2.0 * inside_radius + thickness) / (2.0 * formed + thickness)


@elementwise
def overbend(
    angle: float, inside_radius: float, thickness: float, yield_strength: float, modulus: float
) -> Any:
    """
    How far to bend beyond the angle that is wanted: `angle_under_load` less the angle.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle that is wanted, 0 for flat.
    inside_radius : float or array [mm]
        Inside radius that is wanted, after springback.
    thickness : float or array [mm]
        Thickness of the sheet.
    yield_strength, modulus : float or array [MPa]
        Of the material.

    Returns
    -------
    float or array [deg]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    As of `angle_under_load`.

    Examples
    --------
    >>> round(overbend(90, 2.04993, 0.125, 5075, 10e6), 2)
    2.18
    """
    return angle_under_load(angle, inside_radius, thickness, yield_strength, modulus) - angle
