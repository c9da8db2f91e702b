"""Lengths of one bend: allowance, setbacks, deduction, and the K-factor back from a measured one.

Wherever an angle is a *bend angle*, it counts from flat (0 deg is flat); the opening angle is 180 deg less that. The
inside radius is that of the concave face. Figures may be plain numbers or numpy arrays (element by element).
"""

from __future__ import annotations

from typing import Any

from formparts.bending.ranges import elementwise, figures


@elementwise
def bend_allowance(angle: float, inside_radius: float, thickness: float, k_factor: float) -> Any:
    """
    Developed length of one bend, along the neutral fibre: A (R + K t), with A in radians.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A <= 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.
    k_factor : float or array [-]
        Position K of the neutral fibre from the inside face, in thicknesses, 0 <= K <= 1.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Exact mathematics: the length of a circular arc of radius R + K t.

    Examples
    --------
    >>> round(bend_allowance(90, 2, 2, 0.44), 6)
    4.523893
    """
    space = figures(
        "bend_allowance", angle=angle, inside_radius=inside_radius, thickness=thickness, k_factor=k_factor
    )
    return space.radians(angle) * (inside_radius + k_factor * thickness)


@elementwise
def outside_setback(angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Distance from the outer mould line to the tangent line of the bend: (R + t) tan(A/2).

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range; at 180 deg there is no mould line.

    Source
    ------
    Exact mathematics: the tangent from a corner to a circle of radius R + t.

    Examples
    --------
    >>> round(outside_setback(90, 2, 2), 6)
    4.0
    """
    space = figures("outside_setback", mould_angle=angle, inside_radius=inside_radius, thickness=thickness)
    return (inside_radius + thickness) * space.tan(space.radians(angle) / 2)


@elementwise
def inside_setback(angle: float, inside_radius: float) -> Any:
    """
    Distance from the inner mould line to the tangent line of the bend: R tan(A/2).

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range; at 180 deg there is no mould line.

    Source
    ------
    Exact mathematics: the tangent from a corner to a circle of radius R.
    """
    space = figures("inside_setback", mould_angle=angle, inside_radius=inside_radius)
    return inside_radius * space.tan(space.radians(angle) / 2)


@elementwise
def mid_setback(angle: float, inside_radius: float, thickness: float) -> Any:
    """
    Distance from the mould line of the mid-surface to the tangent line of the bend: (R + t/2) tan(A/2).

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range; at 180 deg there is no mould line.

    Source
    ------
    Exact mathematics: the tangent from a corner to a circle of radius R + t/2.
    """
    space = figures("mid_setback", mould_angle=angle, inside_radius=inside_radius, thickness=thickness)
    return (inside_radius + thickness / 2) * space.tan(space.radians(angle) / 2)


@elementwise
def bend_deduction(angle: float, inside_radius: float, thickness: float, allowance: float) -> Any:
    """
    What one bend takes from the two lengths to the outer mould line: 2 x outside setback - allowance.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.
    allowance : float or array [mm]
        Developed length of the bend.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range; at 180 deg there is no mould line.

    Source
    ------
    Exact mathematics; the flat is the same by mould lines less deductions as by flats plus allowances.

    Examples
    --------
    >>> round(bend_deduction(90, 2, 2, bend_allowance(90, 2, 2, 0.44)), 6)
    3.476107
    """
    figures("bend_deduction", allowance=allowance)
    return 2 * outside_setback(angle, inside_radius, thickness) - allowance


@elementwise
def k_factor_from_allowance(angle: float, inside_radius: float, thickness: float, allowance: float) -> Any:
    """
    K-factor that gives a known allowance: (allowance / A - R) / t.

    A result outside 0 to 1 says that the figures do not belong together, or that the bend was not made to
    the inside radius that was written down.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A <= 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.
    allowance : float or array [mm]
        Developed length of the bend.

    Returns
    -------
    float or array [-]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Exact mathematics: `bend_allowance` solved for K.
    """
    space = figures(
        "k_factor_from_allowance",
        angle=angle,
        inside_radius=inside_radius,
        thickness=thickness,
        allowance=allowance,
    )
    return (allowance / space.radians(angle) - inside_radius) / thickness


@elementwise
def k_factor_from_deduction(angle: float, inside_radius: float, thickness: float, deduction: float) -> Any:
    """
    K-factor that gives a known deduction, as measured on a test strip.

    Parameters
    ----------
    angle : float or array [deg]
        Bend angle A, 0 for flat, 0 < A < 180.
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t.
    deduction : float or array [mm]
        Sum of the two lengths to the outer mould line, less the length of the flat strip.

    Returns
    -------
    float or array [-]

    Raises
    ------
    InputError
        A figure is outside its range, or the deduction leaves nothing for the bend.

    Source
    ------
    Exact mathematics: `bend_deduction` and `bend_allowance` solved for K.
    """
    figures("k_factor_from_deduction", deduction=deduction)
    allowance = 2 * outside_setback(angle, inside_radius, thickness) - deduction
    return k_factor_from_allowance(angle, inside_radius, thickness, allowance)
