"""The ranges of figures: what a message says is allowed is what is allowed, at both ends."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from formparts.bending.ranges import LIMITS, figures
from formparts.errors import InputError

FROM_TO = {name: limit for name, limit in LIMITS.items() if re.search(r"from \S+ to \d", limit.allowed)}


@pytest.mark.parametrize("name", FROM_TO)
def test_a_message_names_the_ends_of_its_range(name: str) -> None:
    """`from 0 to 1e6 mm is allowed` is written for a range from 0 to 1e6, and the ends themselves are allowed."""
    limit = FROM_TO[name]
    said = re.search(r"from (\S+) to ([\d.e]+)", limit.allowed)
    assert said is not None
    low, high = float(said[1]), float(said[2])
    for inside in (low, high, (low + high) / 2.0):
        figures("here", **{name: inside})
        figures("here", **{name: np.array([inside, low])})
    step = 1e-9 * max(abs(low), 1e-3)
    for outside in (low - step, high * (1 + 1e-12), -high, math.inf, -math.inf, math.nan):
        with pytest.raises(InputError, match=re.escape(limit.allowed)):
            figures("here", **{name: outside})
        with pytest.raises(InputError, match=f"^here: {limit.parameter} = "):
            figures("here", **{name: np.array([low, outside])})


def test_most_ranges_say_so() -> None:
    assert len(FROM_TO) >= 12


def test_more_than_nothing() -> None:
    """Where nothing at all is too little, the smallest figure there is will do."""
    assert LIMITS["allowance"].allowed == "more than 0 is allowed"
    figures("here", allowance=5e-324)
    for name in ("allowance", "elongation", "area_reduction"):
        with pytest.raises(InputError, match="= 0"):
            figures("here", **{name: 0.0})
    for name in ("elongation", "area_reduction"):
        figures("here", **{name: 100.0})
        with pytest.raises(InputError, match="at most 100 %"):
            figures("here", **{name: 100.0001})


def test_a_number_without_an_end_is_shown_on_one_line() -> None:
    """An integer of 400 digits is reported as infinite; one of 300 is written as it is, in short."""
    for huge in (10**400, -(10**400)):
        with pytest.raises(InputError, match="is not a finite number") as caught:
            figures("here", angle=huge)
        assert len(str(caught.value)) < 160


@pytest.mark.parametrize(
    ("given", "cut"), [("x" * 40, False), ("x" * 58, False), ("x" * 59, True), ("x" * 900, True)]
)
def test_what_is_no_number_is_shown_in_sixty_letters(given: str, cut: bool) -> None:
    """With its two quotation marks."""
    with pytest.raises(InputError, match="is a str, not a number") as caught:
        figures("here", angle=given)
    shown = str(caught.value).split("angle = ")[1].split(": is a")[0]
    assert len(shown) == min(len(given) + 2, 60)
    assert shown.endswith("...") == cut
