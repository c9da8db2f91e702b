"""How each kind of published figure is worked out with formparts, and the classic ways to get it wrong.

A bench holds the three formulas everything else is made of. The right bench is formparts; each wrong one has
one confusion in it that people do make, and must miss at least one published row.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from formparts import bending
from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.outline import rectangle
from formparts.shapes import add_curl, add_hem, plate
from tests.handbook.rows import Row, number


class Bench(NamedTuple):
    """Allowance by rule, angle, radius, thickness; outside setback; and the DIN compensation value."""

    allowance: Callable[[str, float, float, float], float]
    setback: Callable[[float, float, float], float]
    compensation: Callable[[float, float, float], float]


def by_rule(rule: str, angle: float, radius: float, thickness: float) -> float:
    return bending.bend_rule(rule).allowance(angle, radius, thickness)


RIGHT = Bench(by_rule, bending.outside_setback, bending.din_6935_compensation)


def half_thickness_factor_as_k_factor(rule: str, angle: float, radius: float, thickness: float) -> float:
    """Take k of DIN 6935, which multiplies half the thickness, for the K-factor."""
    if rule != "DIN 6935":
        return by_rule(rule, angle, radius, thickness)
    k_factor = bending.din_6935_factor(radius, thickness)
    return bending.bend_allowance(angle, radius, thickness, k_factor)


def fibre_from_outside(rule: str, angle: float, radius: float, thickness: float) -> float:
    """Count the neutral fibre from the outer face."""
    right = by_rule(rule, angle, radius, thickness)
    k_factor = bending.k_factor_from_allowance(angle, radius, thickness, right)
    return bending.bend_allowance(angle, radius, thickness, 1 - k_factor)


def half_angle_tangent_as_k_factor(_: str, angle: float, radius: float, thickness: float) -> float:
    """Take the aircraft trade's K chart, which is tan(A/2), for the K-factor."""
    return math.radians(angle) * (radius + math.tan(math.radians(angle) / 2) * thickness)


WRONG = {
    "k of t/2 taken as K": RIGHT._replace(allowance=half_thickness_factor_as_k_factor),
    "fibre counted from outside": RIGHT._replace(allowance=fibre_from_outside),
    "K chart taken as K": RIGHT._replace(allowance=half_angle_tangent_as_k_factor),
    "outside radius for inside": Bench(
        lambda rule, a, r, t: by_rule(rule, a, r + t, t),
        lambda a, r, t: bending.outside_setback(a, r + t, t),
        lambda beta, r, t: bending.din_6935_compensation(beta, r + t, t),
    ),
    "opening angle for bend angle": Bench(
        lambda rule, a, r, t: by_rule(rule, max(180 - a, 1), r, t),
        lambda a, r, t: bending.outside_setback(180 - a, r, t),
        lambda beta, r, t: bending.din_6935_compensation(min(180 - beta, 179), r, t),
    ),
    "setback to the inner mould line": RIGHT._replace(setback=lambda a, r, _: bending.inside_setback(a, r)),
}


def worked_out(row: Row, bench: Bench = RIGHT) -> float:
    """Work out the figure of a row."""
    return FIGURES[row.figure](bench, _Given(row.inputs))


class _Given:
    """The inputs of a row, read as numbers where they are asked for as such."""

    def __init__(self, inputs: dict[str, str]) -> None:
        self.inputs = inputs
        self.rule = inputs.get("rule", "")

    def __getattr__(self, name: str) -> float:
        return number(self.inputs[name])

    def each(self, name: str) -> list[float]:
        return [number(part) for part in self.inputs[name].split("+")]

    @property
    def bend(self) -> tuple[float, float, float]:
        return self.angle, self.inside_radius, self.thickness

    @property
    def offset(self) -> tuple[float, float]:
        return self.inside_radius, self.thickness


def _allowance(bench: Bench, given: _Given) -> float:
    return bench.allowance(given.rule, *given.bend)


def _at_fibre(bench: Bench, given: _Given, k_factor: float) -> float:
    return bench.allowance(f"K {k_factor}", *given.bend)


def _deduction(bench: Bench, given: _Given) -> float:
    return 2 * bench.setback(*given.bend) - _allowance(bench, given)


def _flat(bench: Bench, given: _Given) -> float:
    legs = given.each("legs")
    return sum(legs) - (len(legs) - 1) * _deduction(bench, given)


def _part_volume(bench: Bench, given: _Given) -> float:
    legs = given.each("legs")
    straights = sum(legs) - 2 * (len(legs) - 1) * bench.setback(*given.bend)
    middle = straights + (len(legs) - 1) * _at_fibre(bench, given, 0.5)
    return middle * given.thickness * given.width


def _tangent_deduction(bench: Bench, given: _Given) -> float:
    return 2 * (given.inside_radius + given.thickness) - _allowance(bench, given)


def _tangent_flat(bench: Bench, given: _Given) -> float:
    return sum(given.each("legs")) - _tangent_deduction(bench, given)


def _compensation(bench: Bench, given: _Given) -> float:
    return bench.compensation(given.opening_angle, given.inside_radius, given.thickness)


def _balanced_opening(bench: Bench, given: _Given) -> float:
    """Find by halving the opening angle at which the compensation value changes its sign."""
    low, high = 30.0, 90.0
    for _ in range(60):
        middle = (low + high) / 2
        if bench.compensation(middle, given.inside_radius, given.thickness) < 0:
            low = middle
        else:
            high = middle
    return low


def _implied_k_factor(bench: Bench, given: _Given) -> float:
    return bending.k_factor_from_allowance(*given.bend, _allowance(bench, given))


def _halved_straight(bench: Bench, given: _Given) -> float:
    return (given.blank - _allowance(bench, given)) / 2


def _mid_plane_length(bench: Bench, given: _Given) -> float:
    return given.blank - _allowance(bench, given) + _at_fibre(bench, given, 0.5)


def _offset_angle(_: Bench, given: _Given) -> float:
    return bending.offset_angle(given.rise, given.slope_length, *given.offset)


def _offset_rise(_: Bench, given: _Given) -> float:
    straight_part = given.slope_length * math.sin(math.radians(given.angle))
    return bending.smallest_rise(*given.bend) + straight_part


def _offset_length(bench: Bench, given: _Given) -> float:
    angle = _offset_angle(bench, given)
    return 2 * bench.allowance(given.rule, angle, *given.offset) + given.slope_length


def _offset_excess(bench: Bench, given: _Given) -> float:
    run = bending.offset_run(given.rise, _offset_angle(bench, given), *given.offset)
    return _offset_length(bench, given) - run


def _growth(thickness: float, rimmed: Callable[[Body], Body]) -> float:
    """By how much a rim makes the blank wider than the plate, whose overall size stays."""
    base = plate(Sheet(thickness, thickness, "DC01", "K 0.44"), rectangle(40, 50))
    return blank(rimmed(base)).width - 50


def _hem_growth(thickness: float, width: float) -> float:
    return _growth(thickness, lambda base: add_hem(base, "back", width))


def _wired_growth(_: Bench, given: _Given) -> float:
    outside = given.wire + 2 * given.thickness
    return _growth(given.thickness, lambda base: add_curl(base, "back", outside))


def _hem_deduction(_: Bench, given: _Given) -> float:
    return (10 - _hem_growth(given.thickness, 10)) / given.thickness


FIGURES: dict[str, Callable[[Bench, _Given], float]] = {
    "allowance": _allowance,
    "deduction": _deduction,
    "outside setback": lambda bench, given: bench.setback(*given.bend),
    "inside setback": lambda _, given: bending.inside_setback(given.angle, given.inside_radius),
    "flat by mould lines": _flat,
    "flat by straights": lambda bench, given: sum(given.each("straights")) + _allowance(bench, given),
    "flat by tangent lines": _tangent_flat,
    "tangent-line deduction": _tangent_deduction,
    "straight between tangent lines": lambda bench, given: (
        given.leg - given.ends * bench.setback(*given.bend)
    ),
    "volume of the bend": lambda bench, given: _at_fibre(bench, given, 0.5) * given.thickness * given.width,
    "volume of the blank": lambda bench, given: _flat(bench, given) * given.thickness * given.width,
    "volume of the part": _part_volume,
    "inner face of the bend": lambda bench, given: _at_fibre(bench, given, 0) * given.width,
    "outer face of the bend": lambda bench, given: _at_fibre(bench, given, 1) * given.width,
    "DIN factor": lambda _, given: bending.din_6935_factor(given.inside_radius, given.thickness),
    "DIN compensation": _compensation,
    "opening angle without compensation": _balanced_opening,
    "K-factor": _implied_k_factor,
    "straight of a halved blank": _halved_straight,
    "mid-plane length of a bent blank": _mid_plane_length,
    "offset angle": _offset_angle,
    "offset rise": _offset_rise,
    "offset slope": lambda _, given: bending.offset_slope(given.rise, *given.bend),
    "offset run": lambda _, given: bending.offset_run(given.rise, *given.bend),
    "offset length": _offset_length,
    "offset length less run": _offset_excess,
    "hem deduction by thickness": _hem_deduction,
    "growth by a closed hem": lambda _, given: _hem_growth(given.thickness, given.width),
    "growth by a wired edge": _wired_growth,
}
