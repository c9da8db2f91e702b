"""Edges that go on in each other become one; what is to be kept stays, and is not taken for all that can be joined."""

from __future__ import annotations

import pytest

from formparts.outline.edges import Line
from formparts.outline.regions import Loop
from formparts.outline.simplify import merged
from formparts.tolerances import LENGTH

CORNERS = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 5.0), (10.0, 10.0), (0.0, 10.0)]
SQUARE = Loop(tuple(Line(a, b) for a, b in zip(CORNERS, CORNERS[1:] + CORNERS[:1], strict=True)))
"""A square of 10 with a vertex in the middle of two of its sides."""


def test_a_square_has_four_sides() -> None:
    assert len(merged(SQUARE).edges) == 4
    assert merged(merged(SQUARE)).edges == merged(SQUARE).edges


def test_a_vertex_that_is_kept_can_be_joined_later() -> None:
    """Once with a vertex kept, then without: joining is not thought to be done."""
    kept = merged(SQUARE, frozenset({(5.0, 0.0)}))
    assert sorted(edge.length for edge in kept.edges) == [5, 5, 10, 10, 10]
    assert len(merged(kept).edges) == 4


def test_a_coarse_tolerance_does_not_stand_for_the_fine_one() -> None:
    """A vertex 0.01 off its side stays at the house's tolerance, and goes at one of 0.1, each time it is asked."""
    bent = [(0.0, 0.0), (5.0, -0.01), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    loop = Loop(tuple(Line(a, b) for a, b in zip(bent, bent[1:] + bent[:1], strict=True)))
    for _ in range(2):
        assert len(merged(loop).edges) == 5
        assert len(merged(loop, tolerance=0.1).edges) == 4
    assert len(merged(merged(loop, tolerance=0.001), tolerance=0.1).edges) == 4
    assert loop.signed_area == pytest.approx(100.05, rel=1e-12)
    assert LENGTH < 0.01


def test_many_small_turns_do_not_add_up() -> None:
    """Two hundred edges along a parabola, each carrying on the last by less than LENGTH: no vertex is lost by more."""
    bent = [(0.05 * n, 2e-5 * (0.05 * n) * (0.05 * n - 10.0)) for n in range(201)]
    ring = [*bent, (10.0, 10.0), (0.0, 10.0)]
    found = merged(Loop(tuple(Line(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))))
    assert 10 < len(found.edges) < 100
    assert max(found.distance(place) for place in ring) <= LENGTH
