"""Extrapolate figures to vanishing element size, and estimate their remaining error (Richardson)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from formparts.short_repr import short_repr
from formparts.tolerances import SETTLED_REL, TINIEST

RATIO: Final = 1.5
"""Ratio of one element size to the next."""
_ORDERS: Final = (0.5, 4.0)
"""Plausible orders of convergence; below the first a figure does not converge."""


@short_repr
@dataclass(frozen=True)
class Converged:
    """
    One figure at three sizes of element.

    Parameters
    ----------
    figure : str
        What it is.
    unit : str
        Of its values.
    sizes : tuple of float [mm]
        Lengths of elements, the longest first.
    values : tuple of float [of unit]
        The figure at each of them.
    order : float [-]
        The power of the size with which differences decrease; nan where they do not.
    extrapolated : float [of unit]
        The limit.
    error : float [of unit]
        Estimated deviation of the last value from the limit.
    """

    figure: str
    unit: str
    sizes: tuple[float, ...]
    values: tuple[float, ...]
    order: float
    extrapolated: float
    error: float

    @property
    def converges(self) -> bool:
        """False where differences do not decrease with the size, as at a re-entrant corner."""
        return not math.isnan(self.order)


def extrapolated(figure: str, unit: str, sizes: Sequence[float], values: Sequence[float]) -> Converged:
    """
    Extrapolate a figure from three sizes of element in one ratio.

    Parameters
    ----------
    figure : str
        What it is.
    unit : str
        Of its values.
    sizes : (3,) sequence of float [mm]
        Lengths of elements, the longest first, each RATIO times the next.
    values : (3,) sequence of float [of unit]
        The figure at each of them.

    Returns
    -------
    Converged

    Source
    ------
    L. F. Richardson, Phil. Trans. A 210, 1911, pp. 307-357; order from three grids as P. J. Roache, Verification and
    Validation in Computational Science and Engineering, 1998 (both from memory).
    """
    coarse, middle, fine = values
    first, second = middle - coarse, fine - middle
    scale = max(abs(fine), TINIEST)
    made = (figure, unit, tuple(sizes), tuple(values))
    if abs(second) <= SETTLED_REL * scale:
        return Converged(*made, _ORDERS[1], fine, abs(second))
    order = math.log(max(abs(first), TINIEST) / abs(second)) / math.log(sizes[1] / sizes[2])
    if order < _ORDERS[0]:
        return Converged(*made, math.nan, fine, max(abs(first), abs(second)))
    order = min(order, _ORDERS[1])
    if first * second < 0.0:  # alternating and decreasing: only the last step can be reported
        return Converged(*made, order, fine, abs(second))
    onward = second / ((sizes[1] / sizes[2]) ** order - 1.0)
    return Converged(*made, order, fine + onward, abs(onward))
