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


def test_a_strip_without_bends_is_as_long_as_it_is() -> None:
    """Nothing is taken off where nothing is bent."""
    assert bending.blank_length((75.5,), 90, 2, 2, RULE) == 75.5
    assert bending.mould_lengths((75.5,), (), (), 2) == (75.5,)
    assert bending.missing_mould_length(75.5, (), 90, 2, 2, RULE) == 75.5


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (lambda: bending.mould_straights((30, 7, 30), 90, 2, 2), "run 2 is too short for its bends by 1 mm"),
        (lambda: bending.blank_length((3.9, 30), 90, 2, 2, RULE), "at least 4 mm"),
        (lambda: bending.blank_length((30, 30), (90, 90), 2, 2, RULE), "give one, or 1: one for each bend"),
        (lambda: bending.mould_lengths((30, 30, 30), 90, (2,), 2), "give one, or 2: one for each bend"),
        (lambda: bending.mould_lengths((30, -1), 90, 2, 2), "straight = -1 mm: is outside its range"),
        (lambda: bending.mould_straights((), 90, 2, 2), "there are no runs"),
        (lambda: bending.mould_straights((math.nan, 20), 90, 2, 2), "straight = nan"),
        (lambda: bending.mould_straights((20, math.inf), 90, 2, 2), "straight = inf"),
        (lambda: bending.blank_length(("30 mm", 20), 90, 2, 2, RULE), "is a str, not a number"),
        (
            lambda: bending.mould_straights((30, 30), 180, 2, 2),
            "there is a mould line only between 0 and 180",
        ),
        (
            lambda: bending.missing_mould_length(40, (50,), 90, 2, 2, RULE),
            "is too short for the other runs by 10.52",
        ),
    ],
)
def test_what_cannot_be_bent_is_refused_in_one_line(work: object, words: str) -> None:
    """The line says the run, by how much it is short, and the least that is allowed."""
    with pytest.raises(InputError) as caught:
        work()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_shortest_blank_there_is() -> None:
    """Legs of nothing but the setbacks of R + t = 4: the blank is the bend itself, pi/2 x 2.88 at K = 0.44."""
    rule = bending.KFactor(0.44)
    bend = math.pi / 2 * 2.88
    assert bending.missing_mould_length(bend, [4.0], 90, 2, 2, rule) == pytest.approx(4.0, abs=1e-12)
    assert bending.missing_mould_length(bend + 3, [4.0], 90, 2, 2, rule) == pytest.approx(7.0, abs=1e-12)
    with pytest.raises(InputError, match=r"too short for the other runs by 0\.001 mm"):
        bending.missing_mould_length(bend - 0.001, [4.0], 90, 2, 2, rule)


def test_a_strip_without_a_bend_is_as_long_as_its_run() -> None:
    assert bending.missing_mould_length(50.0, [], [], [], 2, bending.KFactor(0.44)) == 50.0
