"""Standard thicknesses of sheet: preferred metric ones, and the gauges of the United States by their formulas."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from formparts import toml
from formparts.arguments import takes
from formparts.errors import InputError
from formparts.quantities import POSITIVE, LengthLike, length, shown_value
from formparts.short_repr import short_repr

_DATA = Path(__file__).parents[1] / "data" / "thicknesses.toml"
_INCH = 25.4


@short_repr
@dataclass(frozen=True, slots=True)
class StandardThickness:
    """
    One thickness of a series.

    Parameters
    ----------
    label : str
        As it is called: `2 mm`, `16 ga`.
    thickness : float [mm]
        What it measures.
    source : str
        Where it is from.
    """

    label: str
    thickness: float
    source: str


@dataclass(frozen=True, slots=True)
class _Gauge:
    """A gauge system: its formula in inches by gauge number and nominal weight, first and last gauge, source."""

    inches: Callable[[int, float], float]
    first: int
    last: int
    source: str


_MSG = "Machinery's Handbook, sheet-metal gages: Manufacturers' Standard Gauge, lb/ft2 over 41.82"
_USG = "Machinery's Handbook, sheet-metal gages: United States Standard Gauge, lb/ft2 over 40"
_BROWN_AND_SHARPE = (
    "Machinery's Handbook, wire and sheet-metal gages: Brown and Sharpe gauge, 0.005 in x 92^((36 - n)/39), "
    "a gauge of wire (ASTM B258) that the trade takes for sheet of this metal"
)


def _brown_and_sharpe(gauge: int, _: float) -> float:
    return float(0.005 * 92.0 ** ((36 - gauge) / 39))


_GAUGES: Final = {
    "gauge, steel": _Gauge(lambda _, weight: weight / 41.82, 3, 38, _MSG),
    "gauge, galvanised steel": _Gauge(
        lambda _, weight: weight / 41.82 + 0.0037,
        8,
        32,
        f"{_MSG}, and 0.0037 in of zinc on both sides together",
    ),
    "gauge, stainless steel": _Gauge(lambda _, weight: weight / 40.0, 3, 38, _USG),
    "gauge, aluminium": _Gauge(_brown_and_sharpe, 3, 38, _BROWN_AND_SHARPE),
    "gauge, copper": _Gauge(_brown_and_sharpe, 3, 38, _BROWN_AND_SHARPE),
    "gauge, brass": _Gauge(_brown_and_sharpe, 3, 38, _BROWN_AND_SHARPE),
}
_SPELT = {
    "aluminum": "aluminium",
    "galvanized": "galvanised",
    "galvanised sheet": "galvanised steel",
    "stainless": "stainless steel",
    "bronze": "brass",
}
THICKNESS_SERIES: Final = ("metric", *_GAUGES)
"""The series of standard thicknesses, by name."""


@takes(series="str")
def standard_thicknesses(series: str = "metric") -> tuple[StandardThickness, ...]:
    """
    All thicknesses of a series, thinnest first.

    Parameters
    ----------
    series : str
        `metric`, `gauge, steel`, `gauge, galvanised steel`, `gauge, stainless steel`, `gauge, aluminium`,
        `gauge, copper` or `gauge, brass`.

    Returns
    -------
    tuple of StandardThickness

    Raises
    ------
    InputError
        There is no such series.

    Source
    ------
    Named with each thickness.
    """
    if series not in THICKNESS_SERIES:
        known = "; ".join(THICKNESS_SERIES)
        raise InputError(
            "thickness", "series", shown_value(series), "there is no such series", f"one of {known}"
        )
    return _metric() if series == "metric" else _gauges(series)


@takes(metal="str")
def gauge_thickness(gauge: int, metal: str = "steel") -> float:
    """
    Thickness of a gauge of the United States.

    Parameters
    ----------
    gauge : int [-]
        Number of the gauge, up to 38 (galvanised steel: 32).
    metal : str
        `steel`, `galvanised steel`, `stainless steel`, `aluminium`, `copper` or `brass`, in British or American
        spelling: each has its own gauges.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        There is no such gauge or metal.

    Source
    ------
    Machinery's Handbook: Manufacturers' Standard Gauge (41.82 lb/ft2 to the inch), United States Standard Gauge, and
    Brown and Sharpe gauge for aluminium, copper and brass.

    Examples
    --------
    >>> round(gauge_thickness(16), 3)
    1.518
    """
    series = standard_thicknesses(f"gauge, {_as_named(metal)}")
    for one in series:
        if one.label == f"{gauge} ga":
            return one.thickness
    problem = f"there is no such gauge of {metal}"
    fix = f"{series[-1].label} (thickest) to {series[0].label} (thinnest) are known"
    raise InputError("thickness", "gauge", shown_value(gauge), problem, fix)


@takes(series="str")
def nearest_thickness(thickness: LengthLike, series: str = "metric") -> StandardThickness:
    """
    The thickness of a series that is nearest to a given one.

    Parameters
    ----------
    thickness : object [mm]
        Bare number in mm, text with a unit, or pint quantity.
    series : str
        As of `standard_thicknesses`.

    Returns
    -------
    StandardThickness

    Raises
    ------
    InputError
        It is not a thickness, or there is no such series.

    Examples
    --------
    >>> nearest_thickness("1/16 in").label
    '1.5 mm'
    """
    wanted = length(thickness, "thickness", "thickness", POSITIVE)
    return min(standard_thicknesses(series), key=lambda one: abs(one.thickness - wanted))


@cache
def _data() -> Mapping[str, Any]:
    return toml.loads(_DATA.read_text(encoding="utf-8"))


@cache
def _metric() -> tuple[StandardThickness, ...]:
    table = _data()["metric"]
    return tuple(
        StandardThickness(f"{value:g} mm", float(value), table["source"]) for value in table["thicknesses_mm"]
    )


@cache
def _gauges(series: str) -> tuple[StandardThickness, ...]:
    system = _GAUGES[series]
    return tuple(
        StandardThickness(f"{gauge} ga", _INCH * system.inches(gauge, weight), system.source)
        for gauge, weight in reversed(_data()["gauges"]["pounds_per_square_foot"])
        if system.first <= gauge <= system.last
    )


def _as_named(metal: str) -> str:
    """The metal as the series call it, whichever way it was spelt."""
    words = " ".join(str(metal).lower().split())
    for spelt, named in _SPELT.items():
        if words == spelt or (spelt == "galvanized" and spelt in words):
            words = words.replace(spelt, named)
    return "galvanised steel" if words == "galvanised" else words
