"""Formulas take pint quantities, of numbers and of arrays, and give house units."""

from __future__ import annotations

import numpy as np
import pytest

from formparts import InputError, UnitsError
from formparts.bending import bend_allowance, outside_setback
from formparts.forming import overbend
from tests.registry import UNITS


def test_published_example_in_inches() -> None:
    """US Navy NAVEDTRA 14119, ch. 13, example 1: t = 0.5 in, R = 3 in, 90 deg, fibre in the middle: 5.10 in."""
    found = bend_allowance(UNITS("90 deg"), UNITS("3 in"), UNITS("0.5 in"), 0.5)
    assert found / 25.4 == pytest.approx(5.10, abs=0.01)
    assert found == pytest.approx(bend_allowance(90, 76.2, 12.7, 0.5), rel=1e-15)


def test_arrays_with_a_unit() -> None:
    """Element by element, some with units and some without."""
    angles = np.array([0.5, 1.0, 1.5]) * UNITS.radian
    found = outside_setback(angles, UNITS("0.2 cm"), 2.0)
    assert found == pytest.approx(4.0 * np.tan(np.array([0.5, 1.0, 1.5]) / 2.0), rel=1e-14)


def test_stresses_have_units_too() -> None:
    """MIT 2.008, homework 5: R = 2 in formed, t = 0.125 in, Y = 5075 psi, E = 10e6 psi: about 2 deg of overbend."""
    found = overbend(90, UNITS("2.04993 in"), UNITS("0.125 in"), UNITS("5075 psi"), UNITS("10e6 psi"))
    assert found == pytest.approx(2.18, abs=0.01)


@pytest.mark.parametrize(
    ("thickness", "error", "said"),
    [
        (UNITS("2 kg"), UnitsError, "^bend_allowance: thickness = .*measures something else.*mm"),
        (UNITS("2 deg"), UnitsError, "thickness = .*measures something else.*mm"),
        (UNITS("-2 mm"), InputError, "thickness = -2"),
        ("2 mm", InputError, "thickness = '2 mm'.*not a number"),
    ],
)
def test_what_is_no_length_is_refused(thickness: object, error: type[InputError], said: str) -> None:
    """One line that names the figure; text is for recipes and builders, not for formulas."""
    with pytest.raises(error, match=said) as caught:
        bend_allowance(90, 2, thickness, 0.44)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
