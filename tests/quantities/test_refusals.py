"""What quantities refuse, each with one line that names parameter, value, reason and what is allowed."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable
from decimal import Decimal

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formparts.errors import FormpartsError, InputError, UnitsError
from formparts.quantities import (
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
)
from tests.registry import UNITS

QUANTITY = UNITS.Quantity
FIVE_UP = Limits(minimum=5, maximum=2000)
STRANGER = pint.UnitRegistry()
STRANGER.define("smoot = 1.7018 * meter")

# reader, value, limits, class, words that the line must hold (value and limit among them)
BAD: list[tuple[Callable[..., object], object, Limits, type[InputError], tuple[str, ...]]] = [
    (length, 2, FIVE_UP, InputError, ("2 mm", "smaller than the least, 5 mm", "5 to 2000 mm")),
    (length, 4.99999999, FIVE_UP, InputError, ("4.99999999 mm", "5 mm")),
    (length, 2001, FIVE_UP, InputError, ("2001 mm", "larger than the greatest, 2000 mm")),
    (length, "1/8 in", FIVE_UP, InputError, ("1/8 in", "3.175 mm is smaller than the least, 5 mm")),
    (length, "3 m", FIVE_UP, InputError, ("3 m", "3000 mm is larger", "2000 mm")),
    (length, 0, POSITIVE, InputError, ("0 mm", "more than 0 mm")),
    (length, -1, POSITIVE, InputError, ("-1 mm", "more than 0 mm")),
    (length, "-0.5 in", POSITIVE, InputError, ("-0.5 in", "-12.7 mm", "more than 0 mm")),
    (length, -0.0, POSITIVE, InputError, ("0 mm", "more than 0 mm")),
    (length, float("nan"), FIVE_UP, InputError, ("nan mm", "not a finite number", "5 to 2000 mm")),
    (length, float("inf"), FIVE_UP, InputError, ("inf mm", "not a finite number", "5 to 2000 mm")),
    (length, float("-inf"), FIVE_UP, InputError, ("-inf mm", "not a finite number")),
    (length, np.float64("nan"), FIVE_UP, InputError, ("nan", "not a finite number")),
    (length, Decimal("NaN"), FIVE_UP, InputError, ("NaN", "not a finite number")),
    (length, Decimal("Infinity"), FIVE_UP, InputError, ("Infinity", "not a finite number")),
    (length, 10**400, FIVE_UP, InputError, ("1329 bits", "not a finite number")),
    (length, 10**5000, FIVE_UP, InputError, ("16610 bits", "not a finite number")),
    (length, "1e999", FIVE_UP, InputError, ("1e999", "not a finite number")),
    (length, "1e99999999 mm", FIVE_UP, InputError, ("1e99999999 mm", "5 to 2000 mm")),
    (length, "nan", FIVE_UP, InputError, ("nan", "cannot be read", "5 to 2000 mm")),
    (length, "inf mm", FIVE_UP, InputError, ("inf mm", "cannot be read")),
    (length, True, FIVE_UP, InputError, ("True", "bool", "5 to 2000 mm")),
    (length, np.True_, FIVE_UP, InputError, ("True", "bool")),
    (length, None, FIVE_UP, InputError, ("None", "nothing was given", "5 to 2000 mm")),
    (length, [1, 2], FIVE_UP, InputError, ("[1, 2]", "list")),
    (length, (3, "mm"), FIVE_UP, InputError, ("(3, 'mm')", "tuple")),
    (length, {"mm": 3}, FIVE_UP, InputError, ("{'mm': 3}", "dict")),
    (length, b"3 mm", FIVE_UP, InputError, ("b'3 mm'", "bytes")),
    (length, 1 + 2j, FIVE_UP, InputError, ("(1+2j)", "complex")),
    (length, np.array([1.0, 2.0]), FIVE_UP, InputError, ("array([1., 2.])", "ndarray")),
    (length, "", FIVE_UP, InputError, ("''", "nothing is written")),
    (length, "\n\t", FIVE_UP, InputError, (r"'\n\t'", "nothing is written")),
    (length, "wide", FIVE_UP, InputError, ("wide", "cannot be read", "5 to 2000 mm")),
    (length, "3,5 mm", FIVE_UP, InputError, ("3,5 mm", "comma", "write 3.5 mm")),
    (length, "1,000 mm", FIVE_UP, InputError, ("1,000 mm", "comma", "1000 mm or 1.000 mm")),
    (length, "1,000,000", FIVE_UP, InputError, ("1,000,000", "comma", "decimal point")),
    (length, "1/0 in", FIVE_UP, InputError, ("1/0 in", "cannot be read")),
    (length, "1.2.3 mm", FIVE_UP, InputError, ("1.2.3 mm", "cannot be read")),
    (length, "½ in", FIVE_UP, InputError, ("½ in", "cannot be read")),
    (length, "__import__('os').getcwd()", FIVE_UP, InputError, ("__import__", "cannot be read")),
    (length, "3 mm\nwidth = 4", FIVE_UP, UnitsError, ("'3 mm", "5 to 2000 mm")),
    (length, "9" * 61, FIVE_UP, InputError, ("61 characters", "60")),
    (length, "3 mm 4 mm", FIVE_UP, UnitsError, ("3 mm 4 mm", "not one unit")),
    (length, "5' 3\"", FIVE_UP, UnitsError, ("5' 3\"", "not one unit")),
    (length, "3 mm; 1", FIVE_UP, UnitsError, ("3 mm; 1", "not one unit")),
    (length, "2 * 3 mm", FIVE_UP, UnitsError, ("2 * 3 mm", "not one unit")),
    (length, "3 (mm)", FIVE_UP, UnitsError, ("3 (mm)", "not one unit")),
    (length, "0x10 mm", FIVE_UP, UnitsError, ("0x10 mm", "not one unit")),
    (
        length,
        "3 kg",
        FIVE_UP,
        UnitsError,
        ("3 kg", "kg measures mass, and a length is wanted", "5 to 2000 mm"),
    ),
    (length, "3 deg", FIVE_UP, UnitsError, ("3 deg", "measures angle", "length")),
    (length, "3 mm2", FIVE_UP, UnitsError, ("3 mm2", "measures area", "length")),
    (length, "3 %", FIVE_UP, UnitsError, ("3 %", "plain ratio", "length")),
    (length, "3 s", FIVE_UP, UnitsError, ("3 s", "something else", "length")),
    (length, "3 degC", FIVE_UP, UnitsError, ("3 degC", "something else", "length")),
    (length, "3 dB", FIVE_UP, UnitsError, ("3 dB", "not a unit that is known")),
    (length, "3 milimeter", FIVE_UP, UnitsError, ("3 milimeter", "did you mean millimeter?")),
    (length, "3 MM", FIVE_UP, UnitsError, ("3 MM", "did you mean mm?")),
    (length, "3 nan", FIVE_UP, UnitsError, ("3 nan", "not a unit that is known")),
    (length, "3 blorg", FIVE_UP, UnitsError, ("3 blorg", "blorg is not a unit")),
    (length, QUANTITY(3, "kg"), FIVE_UP, UnitsError, ("3 kilogram", "measures mass", "length")),
    (length, QUANTITY(3, ""), FIVE_UP, UnitsError, ("3 dimensionless", "plain ratio")),
    (length, QUANTITY(1, "mm"), FIVE_UP, InputError, ("1 millimeter", "smaller than the least, 5 mm")),
    (length, QUANTITY(float("nan"), "mm"), FIVE_UP, InputError, ("nan millimeter", "not a finite number")),
    (length, QUANTITY(np.array([1, 2]), "mm"), FIVE_UP, InputError, ("[1 2] millimeter", "ndarray")),
    (length, QUANTITY(2, "mm**0.5"), FIVE_UP, UnitsError, ("2 millimeter", "broken power")),
    (length, STRANGER.Quantity(1, "smoot"), FIVE_UP, UnitsError, ("1 smoot", "smoot is not a unit")),
    (
        angle,
        0,
        Limits(minimum=1, maximum=170),
        InputError,
        ("0 deg", "smaller than the least, 1 deg", "170 deg"),
    ),
    (angle, "4 rad", Limits(minimum=1, maximum=170), InputError, ("4 rad", "229.18", "170 deg")),
    (
        angle,
        "75 mm",
        Limits(minimum=1, maximum=170),
        UnitsError,
        ("75 mm", "measures length", "1 to 170 deg"),
    ),
    (angle, QUANTITY(1.3, ""), Limits(), UnitsError, ("1.3 dimensionless", "plain ratio", "angle")),
    (angle, "75 dgrees", Limits(), UnitsError, ("75 dgrees", "did you mean degrees?")),
    (mass, "860 mm", POSITIVE, UnitsError, ("860 mm", "measures length", "more than 0 kg")),
    (mass, "8 N", POSITIVE, UnitsError, ("8 N", "measures force", "mass")),
    (mass, 0, POSITIVE, InputError, ("0 kg", "more than 0 kg")),
    (density, "7.85 g/cm2", POSITIVE, UnitsError, ("7.85 g/cm2", "did you mean g/cm3?", "more than 0 kg/m3")),
    (density, "7850 kg", POSITIVE, UnitsError, ("7850 kg", "measures mass", "density")),
    (density, "7850 kg//m3", POSITIVE, UnitsError, ("7850 kg//m3", "not one unit")),
    (fraction, "0.5 mm", POSITIVE, UnitsError, ("0.5 mm", "measures length", "percentage")),
    (fraction, "150%", Limits(0, 1), InputError, ("150%", "1.5 is larger than the greatest, 1", "0 to 1")),
    (number, "0.44 mm", Limits(0, 1), UnitsError, ("0.44 mm", "a plain number has no unit", "0 to 1")),
    (number, "44%", Limits(0, 1), UnitsError, ("44%", "a plain number has no unit")),
    (count, 4.5, Limits(1, 60), InputError, ("4.5", "not a whole number", "1 to 60")),
    (count, "4.5", Limits(1, 60), InputError, ("4.5", "not a whole number", "1 to 60")),
    (count, 0, Limits(1, 60), InputError, ("0", "smaller than the least, 1", "1 to 60")),
    (count, 61, Limits(1, 60), InputError, ("61", "larger than the greatest, 60")),
    (count, "4 mm", Limits(1, 60), UnitsError, ("4 mm", "a whole number has no unit")),
    (count, False, Limits(0, 60), InputError, ("False", "bool", "0 to 60")),
]


@pytest.mark.parametrize("row", BAD, ids=[f"{row[0].__name__}-{place}" for place, row in enumerate(BAD)])
def test_bad_input_gives_one_line_with_parameter_value_and_limit(row: tuple[object, ...]) -> None:
    reader, value, limits, kind, words = row
    with pytest.raises(InputError) as caught:
        reader(value, "width", "z_clip", limits)  # type: ignore[operator]
    line = str(caught.value)
    assert type(caught.value) is kind
    assert line.startswith("z_clip: width = ")
    assert "\n" not in line
    assert len(line) < 300
    for word in words:
        assert word in line
    assert isinstance(caught.value, FormpartsError)
    assert str(pickle.loads(pickle.dumps(caught.value))) == line


def test_there_are_at_least_sixty_bad_inputs() -> None:
    assert len(BAD) >= 60


def test_without_limits_the_line_gives_an_example() -> None:
    with pytest.raises(
        InputError, match=r"quantity: length = wide: .*; give a length, for instance 3 mm or 1/8 in"
    ):
        length("wide")


def test_an_unknown_kind_is_refused_with_the_list() -> None:
    with pytest.raises(InputError, match=r"kind = colour: there is no such kind; there are: length, angle"):
        quantity(3, "colour")


@given(st.one_of(st.text(max_size=70), st.text("0123456789./ -+eEmkgindrt\"'°%^*²µ,\n", max_size=20)))
@settings(max_examples=400, deadline=None, derandomize=True)
def test_any_text_gives_a_finite_number_or_one_line(text: str) -> None:
    for kind in ("length", "angle", "density", "fraction"):
        try:
            assert math.isfinite(quantity(text, kind))
        except InputError as error:
            line = str(error)
            assert line.isprintable(), line
            assert len(line) < 300


def test_every_unit_of_the_library_is_converted_or_refused_and_none_passes_for_another_kind() -> None:
    registry = pint.UnitRegistry()
    spared = {"mil"}  # of a length a thousandth of an inch, which the library calls thou
    names = sorted(name for name in registry if name.isidentifier() and name not in spared)
    assert len(names) > 500
    for name in names:
        try:
            found = length(f"2 {name}")
        except InputError:
            continue
        assert found == pytest.approx(registry.Quantity(2.0, name).to("millimeter").magnitude, rel=1e-12)
