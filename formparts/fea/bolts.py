"""The stiffness of a bolt: a round beam between two sheets, about its middle."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class BoltStiffness:
    """
    Stiffnesses between the ends of a bolt, about its middle, where they do not mix.

    Parameters
    ----------
    axial, shear : float [N/mm]
        Along its axis, and square to it.
    torsion, bending : float [Nmm]
        Moment for each rad, about its axis, and square to it.
    """

    axial: float
    shear: float
    torsion: float
    bending: float


def bolt_stiffness(diameter: float, length: float, modulus: float, poisson: float) -> BoltStiffness:
    """
    A bolt as a beam with shear, clamped at both ends.

    Parameters
    ----------
    diameter, length : float [mm]
        Of the shank, and between the middles of the two sheets.
    modulus : float [MPa]
        Of its material.
    poisson : float [-]
        Of its material.

    Returns
    -------
    BoltStiffness

    Source
    ------
    J. S. Przemieniecki, Theory of Matrix Structural Analysis, stiffness of a beam with shear (from memory); shear area
    of a circle 6 (1 + v) / (7 + 6 v) of its own: G. R. Cowper, J. Appl. Mech. 33, 1966 (from memory).
    """
    area, inertia = math.pi * diameter**2 / 4.0, math.pi * diameter**4 / 64.0
    rigidity = modulus / (2.0 * (1.0 + poisson))
    sheared = rigidity * area * 6.0 * (1.0 + poisson) / (7.0 + 6.0 * poisson)
    bends = length**3 / (12.0 * modulus * inertia)
    return BoltStiffness(
        modulus * area / length, 1.0 / (bends + length / sheared), 2.0 * rigidity * inertia / length,
        modulus * inertia / length,
    )  # fmt: skip
