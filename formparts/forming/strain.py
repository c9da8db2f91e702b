"""The strain and work hardening of a bend, and the radius that an elongation allows."""

from __future__ import annotations

from typing import Any

from formparts.bending.ranges import either, elementwise, figures


@elementwise
def outer_fibre_strain(inside_radius: float, thickness: float) -> Any:
    """
    Stretch of the outer fibre of a bend, the middle of the sheet keeping its length: 1 / (2 R/t + 1).

    Parameters
    ----------
    inside_radius : float or array [mm]
        Inside radius R.
    thickness : float or array [mm]
        Thickness t of the sheet.

    Returns
    -------
    float or array [-]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology, section on bending.

    Examples
    --------
    >>> outer_fibre_strain(4, 2)
    0.2
    """
    figures("outer_fibre_strain", inside_radius=inside_radius, thickness=thickness)
    return 1.0 / (2.0 * inside_radius / thickness + 1.0)


@elementwise
def radius_for_elongation(elongation: float, thickness: float) -> Any:
    """
    Smallest inside radius at which the outer fibre is stretched no more than a tensile test piece.

    Parameters
    ----------
    elongation : float or array [%]
        Elongation after fracture.
    thickness : float or array [mm]
        Thickness of the sheet.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    FAA memorandum ANM-112N-03-11 (2003), Calculation of Bend Radii from Tensile Elongation Data;
    `outer_fibre_strain` solved for the radius.

    Examples
    --------
    >>> radius_for_elongation(40, 2)
    1.5
    """
    figures("radius_for_elongation", elongation=elongation, thickness=thickness)
    return thickness * (100.0 / elongation - 1.0) / 2.0


@elementwise
def radius_for_area_reduction(area_reduction: float, thickness: float) -> Any:
    """
    Smallest inside radius by the reduction of area in a tensile test: t (50/r - 1), and 0 from r = 50 % on.

    Parameters
    ----------
    area_reduction : float or array [%]
        Reduction of area at fracture.
    thickness : float or array [mm]
        Thickness of the sheet.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology.

    Examples
    --------
    >>> radius_for_area_reduction(20, 2)
    3.0
    """
    figures("radius_for_area_reduction", area_reduction=area_reduction, thickness=thickness)
    radius = thickness * (50.0 / area_reduction - 1.0)
    return radius * (radius > 0.0)


@elementwise
def cold_worked_yield(
    yield_strength: float,
    tensile_strength: float,
    section_area: float,
    thickness: float,
    bends: float,
    roll_formed: bool = False,
) -> Any:
    """
    Mean yield strength of a cold-formed section, raised by its bends: f_yb + (f_u - f_yb) k n t^2 / A_g.

    It is never taken above the mean of both strengths.

    Parameters
    ----------
    yield_strength : float or array [MPa]
        Yield strength f_yb of the flat sheet.
    tensile_strength : float or array [MPa]
        Tensile strength f_u of the flat sheet.
    section_area : float or array [mm2]
        Gross area A_g of the section.
    thickness : float or array [mm]
        Thickness t of the sheet.
    bends : float or array [-]
        Number n of bends of 90 deg in the section with an inside radius of at most 5 t; others by their share.
    roll_formed : bool
        True for roll forming (k = 7), False for other ways (k = 5).

    Returns
    -------
    float or array [MPa]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    EN 1993-1-3:2006, 3.2.2, equation 3.1.

    Examples
    --------
    >>> round(cold_worked_yield(355, 470, 300, 2, 2), 2)
    370.33
    """
    figures("cold_worked_yield", strength=yield_strength, thickness=thickness)
    figures("cold_worked_yield", strength=tensile_strength, section_area=section_area, bends=bends)
    factor = 7.0 if roll_formed else 5.0
    rise = (tensile_strength - yield_strength) * factor * bends * thickness * thickness / section_area
    most = (tensile_strength - yield_strength) / 2.0
    return yield_strength + either(rise < most, rise, most)
