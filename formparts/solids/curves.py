"""Smooth curves in space as the kernel's splines, to the last digits: one polynomial for each eighth of a turn."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from formparts.body.frame import Vector

DEGREE = 11
"""Of each polynomial: over an eighth of a turn the next term of the series is far below the last digit."""
_PIECE = math.pi / 4.0


@dataclass(frozen=True)
class Curve:
    """A curve from one parameter to another: poles of polynomials that follow each other."""

    low: float
    high: float
    poles: tuple[Vector, ...]

    @property
    def pieces(self) -> int:
        """How many polynomials there are."""
        return (len(self.poles) - 1) // DEGREE

    def knots(self, k: Any) -> tuple[Any, Any]:
        """The kernel's arrays of knots and their multiplicities."""
        count = self.pieces
        knots, many = k.TColStd_Array1OfReal(1, count + 1), k.TColStd_Array1OfInteger(1, count + 1)
        for number in range(count + 1):
            knots.SetValue(number + 1, self.low + (self.high - self.low) * number / count)
            many.SetValue(number + 1, DEGREE + (1 if number in (0, count) else 0))
        return knots, many

    def geometry(self, k: Any) -> Any:
        """The kernel's curve."""
        poles = k.TColgp_Array1OfPnt(1, len(self.poles))
        for number, pole in enumerate(self.poles, 1):
            poles.SetValue(number, k.gp_Pnt(*pole))
        return k.Geom_BSplineCurve(poles, *self.knots(k), DEGREE)


def smooth(place: Callable[[float], Vector], low: float, high: float, turned: float) -> Curve:
    """Return the curve through the points of a smooth function of a parameter, for a total turn [rad]."""
    import numpy as np

    count = max(1, math.ceil(turned / _PIECE))
    shares, inverse = _interpolation()
    poles: list[Vector] = []
    for number in range(count):
        step = (high - low) / count
        values = np.array([place(low + step * (number + share)) for share in shares])
        found = inverse @ values
        found[0], found[-1] = values[0], values[-1]
        rows = [(float(x), float(y), float(z)) for x, y, z in found.tolist()]
        poles += rows if not poles else rows[1:]
    return Curve(low, high, tuple(poles))


@cache
def _interpolation() -> tuple[tuple[float, ...], Any]:
    """Places from 0 to 1 that lie as those of Chebyshev do, ends included, and what gives poles from values there."""
    import numpy as np

    shares = [(1.0 - math.cos(math.pi * n / DEGREE)) / 2.0 for n in range(DEGREE + 1)]
    rows = [
        [math.comb(DEGREE, i) * share**i * (1.0 - share) ** (DEGREE - i) for i in range(DEGREE + 1)]
        for share in shares
    ]
    return tuple(shares), np.linalg.inv(np.array(rows))


def ruled(k: Any, lower: Curve, upper: Curve, thickness: float) -> Any:
    """The surface of straight lines between two curves of one parameter; across it runs from 0 to the thickness."""
    poles = k.TColgp_Array2OfPnt(1, len(lower.poles), 1, 2)
    for number, ends in enumerate(zip(lower.poles, upper.poles, strict=True), 1):
        for side, pole in enumerate(ends, 1):
            poles.SetValue(number, side, k.gp_Pnt(*pole))
    across, many = k.TColStd_Array1OfReal(1, 2), k.TColStd_Array1OfInteger(1, 2)
    for place, value in ((1, 0.0), (2, thickness)):
        across.SetValue(place, value)
        many.SetValue(place, 2)
    knots, multiplicities = lower.knots(k)
    return k.Geom_BSplineSurface(poles, knots, across, multiplicities, many, DEGREE, 1)
