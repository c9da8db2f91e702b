"""No line runs through words, on the sheets of recipes and of bodies that nobody thought of."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings

from formparts import Body, InputError, find_recipe
from formparts.drawings import Drawing, drawing
from formparts.drawings.title import frame_box
from formparts.recipe_functions.shipped import shipped_folder
from tests.drawings.clear import crossings, faults
from tests.drawings.test_sheet import AWKWARD, RECIPES, SHEETS, drawn, words
from tests.strategies import bodies


@pytest.mark.parametrize(("name", "sheet", "angle"), [*SHEETS, *((name, "A3", "first") for name in AWKWARD)])
def test_nothing_runs_through_words(name: str, sheet: str, angle: str) -> None:
    """ISO 129-1 (from memory): no word, outline or leader crosses a figure; and everything is inside the frame."""
    of = drawn(name, sheet, angle)
    assert faults(of) == []
    if name in RECIPES:  # a ring of small lugs has no room for fewer
        assert crossings(of) == []
    assert of.missing == ()
    x0, y0, x1, y1 = frame_box(of.sheet)
    for each in words(of):
        left, low, right, high = each.box
        assert x0 <= left < right <= x1
        assert y0 <= low < high <= y1


@settings(
    max_examples=20,
    derandomize=True,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],
)
@given(bodies(8))
def test_nothing_runs_through_words_of_random_parts(body: Body) -> None:
    """The same of bodies that nobody thought of, if they fit a sheet at all: always the same 20; others in the soak."""
    assert faults(fitting(body)) == []


@pytest.mark.soak
@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(bodies(8))
def test_nothing_runs_through_words_of_many_random_parts(body: Body) -> None:
    """More of them, and shrunk to the simplest that fails."""
    assert faults(fitting(body)) == []


@pytest.mark.soak
@pytest.mark.parametrize("name", sorted(path.stem for path in shipped_folder().glob("[!_]*.py")))
def test_nothing_runs_through_words_of_any_recipe(name: str) -> None:
    """All that are shipped, those too that the quick run leaves out."""
    of = drawing(find_recipe(name)())
    assert faults(of) == []
    assert of.missing == ()


def fitting(body: Body) -> Drawing:
    """The drawing of a body, if it fits a sheet."""
    try:
        return drawing(body)
    except InputError:
        assume(False)
        raise
