"""The formulas of bends and offsets: arrays as numbers, offsets there and back, bad figures refused."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from formparts import bending
from formparts.errors import InputError

CALLS: dict[Callable[..., Any], dict[str, float]] = {
    bending.bend_allowance: {"angle": 75, "inside_radius": 2, "thickness": 1.5, "k_factor": 0.41},
    bending.outside_setback: {"angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.inside_setback: {"angle": 75, "inside_radius": 2},
    bending.mid_setback: {"angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.bend_deduction: {"angle": 75, "inside_radius": 2, "thickness": 1.5, "allowance": 3.2},
    bending.k_factor_from_allowance: {"angle": 75, "inside_radius": 2, "thickness": 1.5, "allowance": 3.2},
    bending.k_factor_from_deduction: {"angle": 75, "inside_radius": 2, "thickness": 1.5, "deduction": 2.1},
    bending.din_6935_factor: {"inside_radius": 2, "thickness": 1.5},
    bending.din_6935_compensation: {"opening_angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.smallest_rise: {"angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.offset_slope: {"rise": 9, "angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.offset_run: {"rise": 9, "angle": 75, "inside_radius": 2, "thickness": 1.5},
    bending.offset_angle: {"rise": 4, "slope_length": 3, "inside_radius": 2, "thickness": 1.5},
}
FIGURES = [(formula, name) for formula, call in CALLS.items() for name in call]


def shown(value: object) -> str:
    return getattr(value, "__name__", str(value))


@pytest.mark.parametrize(("formula", "name"), FIGURES, ids=shown)
def test_arrays_give_element_by_element_what_numbers_give(formula: Callable[..., Any], name: str) -> None:
    """An array in any one place gives the same figures as its elements one by one."""
    values = CALLS[formula][name] * np.array([[0.9, 0.95], [1.0, 1.15]])
    result = formula(**CALLS[formula] | {name: values})
    singly = [[formula(**CALLS[formula] | {name: float(value)}) for value in line] for line in values]
    assert isinstance(result, np.ndarray)
    np.testing.assert_allclose(result, singly, rtol=1e-14)


@pytest.mark.parametrize("formula", CALLS, ids=shown)
def test_numbers_give_plain_floats(formula: Callable[..., Any]) -> None:
    """Whole numbers in, a plain float out."""
    assert type(formula(**CALLS[formula])) is float


@pytest.mark.parametrize(("formula", "name"), FIGURES, ids=shown)
def test_bad_figure_is_refused_in_one_line(formula: Callable[..., Any], name: str) -> None:
    """Nothing but a finite number in its range is taken, and the message says which figure was wrong."""
    for value in (math.nan, math.inf, -math.inf, -1e9, 1e18, 10**400, "2", None, True, [1.0]):
        with pytest.raises(InputError) as caught:
            formula(**CALLS[formula] | {name: value})
        message = str(caught.value)
        assert caught.value.parameter == name, value
        assert "\n" not in message, value
        assert len(message) < 200, value


@pytest.mark.parametrize(("formula", "name"), FIGURES, ids=shown)
def test_bad_element_of_an_array_is_shown(formula: Callable[..., Any], name: str) -> None:
    """One bad element is enough, and it is the one that is shown."""
    for bad in (math.nan, -1e9, 1e18):
        with pytest.raises(InputError, match=re.escape(f"{name} = {bad:.6g}")):
            formula(**CALLS[formula] | {name: np.array([CALLS[formula][name], bad])})


def test_number_too_long_to_print_is_refused() -> None:
    """Python itself will not write out a number of five thousand digits."""
    with pytest.raises(InputError, match="angle = inf deg: is not a finite number"):
        bending.inside_setback(10**5000, 1)


def test_there_is_no_mould_line_at_180_degrees() -> None:
    """The faces are parallel there; the developed length is still half a circle (exact mathematics)."""
    assert bending.bend_allowance(180, 1, 1, 0.5) == pytest.approx(1.5 * math.pi)
    with pytest.raises(InputError, match="mould line"):
        bending.outside_setback(180, 1, 1)


def test_offset_is_the_same_there_and_back() -> None:
    """The slope from rise and angle gives the angle back, and the rise of the arcs by hand."""
    for angle in (3.0, 15.0, 45.0, 75.0, 90.0, 120.0):
        for radius, thickness in ((0.0, 1.0), (3.0, 2.0), (1.0, 4.0)):
            turned, mid_radius = math.radians(angle), radius + thickness / 2
            slope = 2.5
            rise = 2 * mid_radius * (1 - math.cos(turned)) + slope * math.sin(turned)
            run = 2 * mid_radius * math.sin(turned) + slope * math.cos(turned)
            assert bending.offset_slope(rise, angle, radius, thickness) == pytest.approx(slope, rel=1e-9)
            assert bending.offset_run(rise, angle, radius, thickness) == pytest.approx(
                run, rel=1e-9, abs=1e-12
            )
            if angle <= 90:
                found = bending.offset_angle(rise, slope, radius, thickness)
                assert found == pytest.approx(angle, rel=1e-12)


def test_offset_without_slope_obeys_the_chord() -> None:
    """With no straight, x^2 = h (4 rho - h): the chord of two equal arcs (exact mathematics)."""
    for rise in (0.5, 2.0, 7.0):
        angle = bending.offset_angle(rise, 0, 3, 2)
        assert bending.smallest_rise(angle, 3, 2) == pytest.approx(rise, rel=1e-12)
        run = bending.offset_run(rise, angle, 3, 2)
        assert run**2 == pytest.approx(rise * (16 - rise), rel=1e-7)


def test_rise_too_small_says_the_smallest() -> None:
    """Two bends of 90 degrees, R 2 in 2 mm, raise by 2 (R + t/2) = 6 mm at least, by hand."""
    with pytest.raises(InputError, match=r"rise = 5 mm: is 1 mm too small .* at least 6 mm"):
        bending.offset_slope(5, 90, 2, 2)
    assert bending.offset_slope(6 - 1e-9, 90, 2, 2) == 0
    assert bending.offset_slope(6.25, 90, 2, 2) == pytest.approx(0.25, rel=1e-12)  # 6 goes into the two bends
    with pytest.raises(InputError, match="rise = 5 mm: is 1 mm too small"):
        bending.offset_slope(np.array([7.0, 5.0]), 90, 2, 2)


def test_rise_too_great_says_the_largest() -> None:
    """With no straight, two half turns raise by 4 (R + t/2) = 16 mm at most, by hand."""
    assert bending.offset_angle(16, 0, 3, 2) == pytest.approx(180)
    with pytest.raises(InputError, match="at most 16 mm"):
        bending.offset_angle(16.01, 0, 3, 2)


def test_k_factor_comes_back_from_allowance_and_deduction() -> None:
    """A K-factor survives the way through allowance, deduction and back (exact mathematics)."""
    for angle, radius, thickness, k_factor in ((30, 1, 2, 0.31), (90, 2, 2, 0.44), (150, 8, 1, 0.5)):
        allowance = bending.bend_allowance(angle, radius, thickness, k_factor)
        deduction = bending.bend_deduction(angle, radius, thickness, allowance)
        given = (angle, radius, thickness)
        assert bending.k_factor_from_allowance(*given, allowance) == pytest.approx(k_factor, rel=1e-12)
        assert bending.k_factor_from_deduction(*given, deduction) == pytest.approx(k_factor, rel=1e-11)


def test_din_steps_are_where_the_standard_puts_them() -> None:
    """DIN 6935: k steps above r/s = 5, v steps above 165 deg; rounding does not move a bend over a step."""
    assert bending.din_6935_factor(5 * (0.1 + 0.2), 0.3) < 1  # 0.1 + 0.2 is a little more than 0.3
    assert bending.din_6935_factor(5.001, 1) == 1
    at_step = bending.din_6935_compensation(165, 6, 5)
    assert bending.din_6935_compensation(165 + 1e-12, 6, 5) == pytest.approx(at_step)
    assert bending.din_6935_compensation(165.001, 6, 5) == 0


def test_din_refuses_what_is_sharper_than_its_formula() -> None:
    """At log10(r/s) = -1.3 the factor is 0; below it the fibre would leave the sheet (DIN 6935 formula)."""
    assert bending.din_6935_factor(0.0502, 1) == pytest.approx(0, abs=1e-3)
    with pytest.raises(InputError, match=r"at least 0\.100237 mm"):
        bending.din_6935_factor(0.1, 2)
    with pytest.raises(InputError, match="inside_radius = 0 mm"):
        bending.din_6935_factor(np.array([1.0, 0.0]), 2)


def test_the_highest_rise_that_a_slope_reaches() -> None:
    """Slope of 10, R 3, t 2: standing up, the two arcs and the slope reach d + sqrt(10^2 + d^2), d = 2 R + t = 8."""
    highest = 8.0 + math.hypot(10.0, 8.0)
    assert bending.offset_angle(highest - 1e-6, 10.0, 3.0, 2.0) > 0.0
    with pytest.raises(InputError, match=rf"at most {highest:.6g} mm"):
        bending.offset_angle(200.0, 10.0, 3.0, 2.0)
