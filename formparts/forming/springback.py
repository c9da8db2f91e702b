"""Springback: what a bend opens by when the press lets go, and the overbend that makes up for it."""

from __future__ import annotations

import csv
import math
from bisect import bisect_right
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NoReturn

from formparts.bending.ranges import elementwise, figures, first_where
from formparts.errors import InputError

ELASTIC = 0.5
"""Up to this value of R Y/(E t) a bend keeps a set; from there on it springs back flat [-]."""

_TABLE = Path(__file__).parents[1] / "data" / "springback_factors.csv"


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
        Bend angle that is wanted, the rotation from flat.
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
    K_s = (2 R_i/t + 1)/(2 R_f/t + 1) (seen).

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
        Bend angle that is wanted, the rotation from flat.
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
    Tabellenbuch Metall, table of springback factors k_R (rows seen, heads of its columns from memory).

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
    Tabellenbuch Metall, springback (formula from memory).

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
    ratio = next((end for end in (ratios[0], ratios[-1]) if math.isclose(ratio, end, rel_tol=1e-9)), ratio)
    if not ratios[0] <= ratio <= ratios[-1]:
        reach = f"the table has {ratios[0]:g} to {ratios[-1]:g} thicknesses for it"
        raise InputError(
            "springback_factor", "inside_radius", f"{ratio:g} t", f"is outside the table of {grade}", reach
        )
    place = min(bisect_right(ratios, ratio), len(ratios) - 1)
    (low, at_low), (high, at_high) = columns[place - 1], columns[place]
    return at_low + (at_high - at_low) * (ratio - low) / (high - low)


@cache
def springback_factors() -> Mapping[str, tuple[tuple[float, float], ...]]:
    """The table: by grade the pairs of radius over thickness and factor."""
    with _TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {
        row["grade"]: tuple((float(ratio), float(cell)) for ratio, cell in list(row.items())[1:] if cell)
        for row in rows
    }
