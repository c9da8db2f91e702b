"""The plain script that formparts is timed against makes the same part, so that the race is over one course."""

from __future__ import annotations

import inspect

import pytest

from formparts.closed_forms import properties
from formparts.tolerances import VOLUME_REL
from recipes.ring_riser import ring_riser
from tests.benchmarks.plain_ring_riser import plain_ring_riser


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"lug_count": 3},
        {"slope": 90, "rise": 20},
        {"thickness": 3, "inside_radius": 4, "rise": 20, "lug_start": 3},
    ],
    ids=str,
)
def test_plain_script_makes_the_same_part(change):
    """Booleans of the kernel and closed form: one valid solid, same volume and centre of gravity."""
    plain, closed = plain_ring_riser(**change), properties(ring_riser(**change))
    (solid,) = plain.solids().vals()
    assert solid.isValid()
    assert plain.val().Volume() == pytest.approx(closed.volume, rel=VOLUME_REL)
    assert solid.Center().toTuple() == pytest.approx(closed.centroid, abs=1e-6)


def test_plain_script_has_the_defaults_of_the_recipe():
    """Both start from the same drawing."""
    here = {name: given.default for name, given in inspect.signature(plain_ring_riser).parameters.items()}
    there = {parameter.name: parameter.default for parameter in ring_riser.parameters}
    assert here == {name: there[name] for name in here}
    assert set(there) - set(here) == {"material", "bend_rule"}
