"""How far the outer fibre of a bend is stretched, and the radius that a stretch allows."""

from __future__ import annotations

from typing import Any

from formparts.bending.ranges import elementwise, figures


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
    S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology, section on bending (seen).

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
    FAA memorandum ANM-112N-03-11 (2003), Calculation of Bend Radii from Tensile Elongation Data (principle
    seen); `outer_fibre_strain` solved for the radius.

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
    S. Kalpakjian and S. R. Schmid, Manufacturing Engineering and Technology (formula from memory; its figure
    for 10 % seen).

    Examples
    --------
    >>> radius_for_area_reduction(20, 2)
    3.0
    """
    figures("radius_for_area_reduction", area_reduction=area_reduction, thickness=thickness)
    radius = thickness * (50.0 / area_reduction - 1.0)
    return radius * (radius > 0.0)
