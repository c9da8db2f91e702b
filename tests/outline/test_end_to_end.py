"""Lines that run on in one line, their common end rounded apart, cross nowhere (found on a blank of fifteen lugs)."""

from __future__ import annotations

import math

import pytest

from formparts.outline import Line, Motion, common_edges, intersect, rectangle, unite
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH


def test_two_lines_end_to_end_do_not_cross_elsewhere() -> None:
    """The ends differ by 1e-14 mm, and the directions by as little: a crossing 0.04 mm away would be rounding."""
    first = Line((7.674094668812074, -27.45796425928384), (30.079773283740124, -72.4546327174899))
    second = Line((30.07977328374013, -72.45463271748991), (31.42408849391366, -75.15438160057886))
    corner = first.end
    for points in (meet(first, second, LENGTH), meet(second, first, LENGTH)):
        assert all(math.dist(point, corner) <= LENGTH for point in points)


@pytest.mark.parametrize("turn", [number * 0.7310585 for number in range(0, 400, 7)])
def test_rectangles_end_to_end_in_any_direction(turn: float) -> None:
    """A strip that continues another, each turned by its own arithmetic: they share one edge and no area."""
    at = Motion.turn(turn)
    one = rectangle(50, 10.739).moved(Motion.shift(28 + 25, 0)).moved(at)
    two = rectangle(3, 10.739).moved(Motion.turn(turn).after(Motion.shift(28 + 50 + 1.5, 0)))
    assert intersect(one, two) == ()
    assert common_edges(one, two) == pytest.approx(10.739, abs=1e-9)
    (together,) = unite(one, two)
    assert together.area == pytest.approx(53 * 10.739, rel=1e-12)
    assert len(together.outer.edges) == 4
