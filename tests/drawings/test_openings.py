"""The words for an opening on the drawing, which stand for just that shape."""

from __future__ import annotations

import pytest

from formparts import Outline, arc_to, closed_path, obround, polygon, rectangle
from formparts.drawings.features import opening_words

QUARTER = closed_path((0, 0), (10, 0), arc_to((0, 10), centre=(0, 0)))
ONE_ROUND_CORNER = polygon([(0, 0), (20, 0), (20, 10), (0, 10)], radii=(0, 0, 4, 0))


@pytest.mark.parametrize(
    ("opening", "words"),
    [
        (rectangle(20, 10), "10 × 20"),
        (rectangle(20, 10, 2), "10 × 20, R2"),
        (obround(20, 10), "slot 10 × 20"),
        (QUARTER, None),
        (ONE_ROUND_CORNER, None),
        (polygon([(0, 0), (20, 0), (15, 10), (5, 10)]), None),
        (polygon([(0, 0), (5, 9), (0, 18), (-5, 9)]), None),
    ],
)
def test_words_for_an_opening_are_for_what_they_say(opening: Outline, words: str | None) -> None:
    """A quarter disc is no slot, a trapezium no rectangle, one round corner is not four."""
    assert opening_words(opening.outer) == words
