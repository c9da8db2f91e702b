"""Force that closes a hem between flat tools, and that rolls a curl."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.bending.ranges import figures

_TABLE = Path(__file__).parents[1] / "data" / "hem_forces.toml"

CHART_STRENGTH: Final = 414.0
"""Tensile strength that charts of forces are made for, 60 000 psi [MPa]; common practice, no source."""

HEM_FORCE: Final = "Benson, p. 138"
CURL_FORCE: Final = "a die maker's chart (common practice)"
"""Where the forces are from, in short."""

_TONNE, _SHORT_TON, _FOOT, _INCH = 9806.65, 8896.443, 304.8, 25.4


def hem_force(thickness: float, length: float, strength: float, closed: bool = True) -> float:
    """
    Force that closes a hem between flat tools, after it has been bent to an acute angle.

    By the table, in a straight line between its thicknesses; below the first in proportion to the thickness, beyond
    the last to its square, as an estimate; and in proportion to the tensile strength.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    length : float [mm]
        Length of the hem.
    strength : float [MPa]
        Tensile strength of the sheet.
    closed : bool
        False for a hem that stays open, as on a spacer, or a teardrop.

    Returns
    -------
    float [N]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    S. D. Benson, Press Brake Technology, SME 1997, p. 138; the strength of the table (414 MPa) is common practice.

    Examples
    --------
    >>> round(hem_force(1, 1000, 414) / 1000)
    392
    """
    figures("hem_force", thickness=thickness, length=length, strength=strength)
    row = _rows()["hem"][0]
    tonnes = _between(row["thickness"], row["closed" if closed else "open"], thickness)
    return tonnes * _TONNE * length / 1000.0 * strength / CHART_STRENGTH


def curl_force(thickness: float, length: float, strength: float) -> float:
    """
    The greatest force of the three strokes in which a curl is formed in curling dies.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    length : float [mm]
        Length of the curl.
    strength : float [MPa]
        Tensile strength of the sheet.

    Returns
    -------
    float [N]

    Raises
    ------
    InputError
        A figure is outside its range.

    Source
    ------
    Common practice, no source: a die maker's chart has 300 short tons for each foot and inch of thickness
    in mild steel.

    Examples
    --------
    >>> round(curl_force(1, 1000, 414) / 1000)
    345
    """
    figures("curl_force", thickness=thickness, length=length, strength=strength)
    tons = float(_rows()["curl"][0]["factor"]) * thickness / _INCH
    return tons * _SHORT_TON / _FOOT * length * strength / CHART_STRENGTH


@cache
def _rows() -> Mapping[str, Any]:
    return toml.loads(_TABLE.read_text(encoding="utf-8"))


def _between(places: list[float], values: list[float], at: float) -> float:
    """The value at a place: between two of the table in a straight line."""
    if at <= places[0]:
        return float(values[0]) * at / places[0]
    if at >= places[-1]:
        return float(values[-1]) * (at / places[-1]) ** 2
    after = bisect_left(places, at)
    low, high = places[after - 1], places[after]
    share = (at - low) / (high - low)
    return float(values[after - 1]) + share * (values[after] - values[after - 1])
