"""The shortest way between two edges, held against shapely and against hand calculation."""

from __future__ import annotations

import math
import random

import pytest
from shapely.geometry import LineString

from formparts.checks.distance import heading_from, narrow_places, nearest, nearest_point
from formparts.outline import Arc, Edge, Line, cut, disc, polygon, rectangle
from formparts.shapes import pierced, shifted

STEPS = 2000


def random_edge(chance: random.Random) -> Edge:
    """A line, or an arc of at most half a turn."""
    x, y = chance.uniform(-50, 50), chance.uniform(-50, 50)
    if chance.random() < 0.5:
        return Line((x, y), (x + chance.uniform(-40, 40), y + chance.uniform(1, 40)))
    radius, start, sweep = chance.uniform(1, 40), chance.uniform(0, 6.3), chance.uniform(0.1, math.pi)
    ends = [(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in (start, start + sweep)]
    return Arc(ends[0], ends[1], (x, y), radius, True)


def followed(edge: Edge) -> LineString:
    """The edge as chords."""
    count = 1 if isinstance(edge, Line) else STEPS
    inner = [edge.point_at(step / count) for step in range(1, count)]
    return LineString([edge.start, *inner, edge.end])


def test_random_edges_are_as_far_apart_as_shapely_says() -> None:
    """Chords of a 2000th of an arc are off by less than 40 (1 - cos(pi/4000)) = 1.3e-5 mm each."""
    chance = random.Random(20260302)
    for _ in range(150):
        one, two = random_edge(chance), random_edge(chance)
        span = nearest(one, two)
        assert span.length == pytest.approx(followed(one).distance(followed(two)), abs=3e-5), (one, two)
        assert one.distance(span.start) == pytest.approx(0.0, abs=1e-6)
        assert two.distance(span.end) == pytest.approx(0.0, abs=1e-6)
        assert nearest(two, one).length == pytest.approx(span.length, abs=1e-9)


def test_two_circles_one_in_the_other() -> None:
    """Centres 3 mm apart, radii 10 and 4: 10 - 4 - 3 = 3 mm."""
    outer = Arc((10.0, 0.0), (-10.0, 0.0), (0.0, 0.0), 10.0, True)
    inner = Arc((4.0, 3.0), (-4.0, 3.0), (0.0, 3.0), 4.0, True)
    assert nearest(outer, inner).length == pytest.approx(3.0, abs=1e-12)


def test_from_a_centre_all_ways_are_equal() -> None:
    """The nearest point of an arc to its own centre is one of its ends, and a radius away."""
    arc = Arc((5.0, 0.0), (0.0, 5.0), (0.0, 0.0), 5.0, True)
    assert math.dist(nearest_point(arc, arc.centre), arc.centre) == 5.0


def test_an_arc_leaves_its_ends_square_to_its_radius() -> None:
    """A quarter of a circle from (5, 0) to (0, 5)."""
    arc = Arc((5.0, 0.0), (0.0, 5.0), (0.0, 0.0), 5.0, True)
    assert heading_from(arc, arc.start) == pytest.approx((0.0, 1.0))
    assert heading_from(arc, arc.end) == pytest.approx((1.0, 0.0))


def test_corners_are_no_narrow_places() -> None:
    """Blends and chamfers of 1 mm bring edges together that are not a web."""
    assert list(narrow_places(rectangle(50, 30, 1.0), 3.0)) == []
    assert list(narrow_places(polygon([(0, 0), (50, 0), (50, 30), (0, 30)], chamfers=1.0), 3.0)) == []


def test_a_hole_near_an_edge_is_one_narrow_place() -> None:
    """A hole of 10 mm whose middle is 7 mm from the edge leaves 2 mm of sheet."""
    plate = pierced(rectangle(60, 40), shifted(disc(10), y=13))
    (narrow,) = narrow_places(plate, 3.0)
    assert narrow.material
    assert narrow.span.length == pytest.approx(2.0, abs=1e-12)


def test_a_slit_is_a_gap_and_not_a_web() -> None:
    """A slit of 1 mm, open at its end, has air between its sides."""
    (plate,) = cut(rectangle(60, 40), shifted(rectangle(1, 30), y=-10))
    found = list(narrow_places(plate, 2.0))
    assert found
    assert not any(narrow.material for narrow in found)
    assert {round(narrow.span.length, 9) for narrow in found} == {1.0}


def test_what_lies_behind_an_opening_does_not_count() -> None:
    """Three holes in a row, of 8, 4 and 8 mm at 10 mm pitch: 4 mm between neighbours; the outer two are not a pair."""
    row = [shifted(disc(8), x=-10), disc(4), shifted(disc(8), x=10)]
    found = list(narrow_places(pierced(rectangle(60, 40), *row), 13.0))
    assert {round(narrow.span.length, 9) for narrow in found} == {4.0}
    without = list(narrow_places(pierced(rectangle(60, 40), row[0], row[2]), 13.0))
    assert {round(narrow.span.length, 9) for narrow in without} == {12.0}
