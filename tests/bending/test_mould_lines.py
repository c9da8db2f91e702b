"""Strips by mould lines: published strips, mixed bends, and what is refused."""

from __future__ import annotations

import math

import pytest

from formparts import bending
from formparts.errors import InputError

RULE = bending.KFactor(0.44)


def test_straights_of_the_published_channel() -> None:
    """FAA-02 (FAA-H-8083-31, chapter 4, U-channel, seen): 1, 2, 1 in less setbacks of 0.2 are 0.8, 1.6, 0.8."""
    assert bending.mould_straights((1.0, 2.0, 1.0), 90, 0.16, 0.04) == pytest.approx(
        (0.8, 1.6, 0.8), rel=1e-12
    )


def test_every_bend_may_have_its_own_angle_and_radius() -> None:
    """By hand: setbacks 5 tan 45 = 5 and 12 tan 30 = 6.928203; allowances 6.094690 and 11.393509.

    Lengths 40, 50, 30 leave 35, 38.071797, 23.071797; allowances pi/2 (3 + 0.88) and pi/3 (10 + 0.88).
    """
    straights = bending.mould_straights((40, 50, 30), (90, 60), (3, 10), 2)
    assert straights == pytest.approx((35, 38.0717968, 23.0717968), abs=1e-6)
    flat = bending.blank_length((40, 50, 30), (90, 60), (3, 10), 2, RULE)
    assert flat == pytest.approx(96.1435935 + 6.0946897 + 11.3935094, abs=1e-6)


def test_a_strip_without_bends_is_as_long_as_its_one_run() -> None:
    assert bending.missing_mould_length(0.5, (), (), (), 2.0, RULE) == 0.5
    with pytest.raises(InputError, match="missing_mould_length: length = -5 mm"):
        bending.missing_mould_length(-5.0, (), (), (), 2.0, RULE)


def test_the_last_run_may_be_as_short_as_its_own_setback() -> None:
    """90 deg and then 30 deg, R 3, t 2: the last run needs (3 + 2) tan 15 deg, and not the 5 of the first bend."""
    setback = 5.0 * math.tan(math.radians(15.0))
    strip = bending.blank_length((20.0, 20.0, setback + 1.0), (90.0, 30.0), (3.0, 3.0), 2.0, RULE)
    found = bending.missing_mould_length(strip, (20.0, 20.0), (90.0, 30.0), (3.0, 3.0), 2.0, RULE)
    assert found == pytest.approx(setback + 1.0, abs=1e-9)
