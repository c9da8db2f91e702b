"""What quantities accept: bare numbers, text, and pint quantities of any registry."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formparts.quantities import (
    FREE,
    NOT_NEGATIVE,
    POSITIVE,
    Limits,
    angle,
    count,
    density,
    fraction,
    length,
    mass,
    number,
    quantity,
    said,
)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (3, 3.0),
        (3.5, 3.5),
        (Fraction(1, 8), 0.125),
        (Decimal("0.1"), 0.1),
        (np.float64(2.5), 2.5),
        (np.int64(7), 7.0),
        (np.float32(0.5), 0.5),
        ("3", 3.0),
        (" 3 mm ", 3.0),
        ("3mm", 3.0),
        ("+3 mm", 3.0),
        ("-3 mm", -3.0),
        ("−3 mm", -3.0),
        (".5", 0.5),
        ("5.", 5.0),
        ("1e2 mm", 100.0),
        ("2.5E-1 mm", 0.25),
        ("1 / 8 mm", 0.125),
        ("1-1/8 mm", 1.125),
        ("3 millimetre", 3.0),
        ("3 cm", 30.0),
        ("2'", 609.6),
    ],
    ids=str,
)
def test_a_length_in_any_spelling(value: object, expected: float) -> None:
    assert length(value) == expected


def test_what_is_read_is_a_plain_float() -> None:
    for value in (3, np.float64(3), np.int64(3), "3", "3 mm", "3 cm", pint.UnitRegistry().Quantity(3, "mm")):
        assert type(length(value)) is float
    assert type(count(np.int64(3))) is int


# A power of two as denominator: n/64 in x 25.4 is checked against exact fractions, rounded once.
@given(st.integers(0, 5000), st.integers(1, 64), st.integers(0, 6))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_fractions_of_an_inch_are_exact_and_rounded_once(whole: int, over: int, power: int) -> None:
    expected = float((whole + Fraction(over, 2**power)) * Fraction(254, 10))
    assert length(f"{whole} {over}/{2**power} in") == expected


@given(st.floats(1e-6, 1e6))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_text_of_a_number_reads_back_as_the_same_number(value: float) -> None:
    assert length(repr(value)) == length(f"{value!r} mm") == value


def test_quantities_of_any_registry_are_read_without_mixing_registries() -> None:
    for registry in (
        pint.UnitRegistry(),
        pint.UnitRegistry(non_int_type=Decimal),
        pint.UnitRegistry(cache_folder=None),
    ):
        size = registry.Quantity
        assert length(size(1, "inch")) == 25.4
        assert length(size(2, "millimeter")) == 2.0
        assert angle(size(90, "degree")) == 90.0
        assert mass(size(1, "pound")) == 0.45359237
        assert fraction(size(2, "percent")) == 0.02
    exact = pint.UnitRegistry().Quantity
    assert density(exact(7.85, "g/cm**3")) == 7850.0
    assert length(exact(0.1, "m")) == 100.0
    assert length(exact(np.float64(2), "cm")) == 20.0
    assert quantity(exact(1, "inch**3"), "volume") == 25.4**3
    assert number(exact(0.44, "")) == 0.44


def test_a_default_format_of_the_users_registry_changes_nothing() -> None:
    registry = pint.UnitRegistry()
    registry.formatter.default_format = "~P"
    assert density(registry.Quantity(7.85, "g/cm**3")) == 7850.0


def test_the_number_is_not_disturbed_by_what_it_is_called() -> None:
    assert angle("75 °") == angle("75º") == angle("75 degrees") == angle("75deg") == 75.0
    assert density("7850 kg/m3") == density("7850 kg/m^3") == density("7850 kg/m**3") == density("7850 kg/m³")


def test_limits_are_kept_to_the_very_edge() -> None:
    limits = Limits(minimum=5, maximum=2000)
    assert length(5, limits=limits) == 5
    assert length("2 m", limits=limits) == 2000
    assert length(1e-12, limits=POSITIVE) == 1e-12
    assert length(0, limits=NOT_NEGATIVE) == 0


def test_limits_are_said_in_words() -> None:
    assert said(Limits(5, 2000), "mm") == "5 to 2000 mm"
    assert said(POSITIVE, "mm") == "more than 0 mm"
    assert said(Limits(above=0, below=180), "deg") == "more than 0 deg and less than 180 deg"
    assert said(NOT_NEGATIVE) == "at least 0"
    assert said(FREE, "mm") == ""


def test_house_units_need_no_unit_library_and_no_kernel() -> None:
    script = (
        "import sys; from formparts.quantities import *; "
        "length('3 mm'), length('1 1/8'), angle('75 deg'), angle('75°'), mass('0.86kg'), fraction('0.5%'), "
        "density('7850 kg/m3'), count('4'), number(0.44), length(3.0); "
        "print(sorted({'pint', 'OCP', 'cadquery', 'trimesh', 'ezdxf', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("text", "kilonewton"), [("40 kN", 40.0), ("40000 N", 40.0), ("1000 lbf", 4.4482216152605), (2, 2.0)]
)
def test_a_force(text: object, kilonewton: float) -> None:
    """SI: 1 kN is 1000 N; 1 lbf = 4.4482216152605 N exactly (NIST SP 811, appendix B.8, from memory)."""
    assert quantity(text, "force") == pytest.approx(kilonewton, rel=1e-15)
