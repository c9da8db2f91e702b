"""What a part says that it is developed by."""

from __future__ import annotations

from formparts import find_recipe
from formparts.body import rules_text
from formparts.drawings.curves import Words
from formparts.drawings.title import notes


def test_a_hem_says_that_it_goes_by_the_middle_fibre() -> None:
    """One rule for the walls, another for the hems: both are in the drawing's note."""
    body = find_recipe("bench_drawer").part().body
    assert rules_text(body) == "K-factor 0.42; closed hems K-factor 0.5"
    said = " ".join(mark.text.strip() for mark in notes(body, 2.5) if isinstance(mark, Words))
    assert "Developed by: K-factor 0.42; closed hems K-factor 0.5." in said


def test_a_part_without_such_bends_names_one_rule() -> None:
    assert rules_text(find_recipe("hat_section").part().body) == "K-factor 0.44"
