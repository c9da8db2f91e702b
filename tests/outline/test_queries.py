"""Edges that outlines share, and the smallest width of an outline."""

from __future__ import annotations

import math
import random

import pytest

from formparts.outline import (
    Motion,
    Outline,
    arc_to,
    closed_path,
    common_edges,
    cut,
    disc,
    intersect,
    minimal_width,
    obround,
    polygon,
    reaches_into,
    rectangle,
    ring,
)

QUARTER = closed_path((0, 0), (10, 0), arc_to((0, 10), centre=(0, 0)))


@pytest.mark.parametrize("angle", [0.0, 27.0, 90.0])
@pytest.mark.parametrize(
    ("first", "second", "length"),
    [
        (rectangle(20, 20), rectangle(10, 10).moved(Motion.shift(15, 3)), 10.0),
        (rectangle(20, 20), rectangle(10, 10).moved(Motion.shift(15, 7)), 8.0),
        (rectangle(20, 20), rectangle(10, 10).moved(Motion.shift(15, 15)), 0.0),
        (rectangle(20, 20), rectangle(10, 10).moved(Motion.shift(5, 5)), 0.0),
        (rectangle(20, 20), rectangle(10, 10).moved(Motion.shift(40, 0)), 0.0),
        (ring(30, 18), disc(18), 18 * math.pi),
        (QUARTER, cut(rectangle(40, 40), disc(20))[0], 5 * math.pi),
        (QUARTER, cut(rectangle(40, 40).moved(Motion.shift(20, 20)), QUARTER)[0], 5 * math.pi),
        (disc(20), disc(20).moved(Motion.shift(20, 0)), 0.0),
        (disc(20), disc(20), 0.0),
    ],
)
def test_shared_boundary_counts_only_where_outlines_lie_on_opposite_sides(
    first: Outline, second: Outline, length: float, angle: float
) -> None:
    """Hand calculation: lengths of the sides in contact; the circle of a disc in a ring."""
    turn = Motion.turn(angle)
    assert common_edges(first.moved(turn), second.moved(turn)) == pytest.approx(length, abs=1e-9)
    assert common_edges(second.moved(turn), first.moved(turn)) == pytest.approx(length, abs=1e-9)


def reuleaux(side: float) -> Outline:
    """Three arcs, each about the opposite corner."""
    a, b, c = (0.0, 0.0), (side, 0.0), (side / 2, side * 3**0.5 / 2)
    return closed_path(a, arc_to(b, centre=c), arc_to(c, centre=a), arc_to(a, centre=b))


@pytest.mark.parametrize("angle", [0.0, 12.3, 71.0])
@pytest.mark.parametrize(
    ("outline", "width"),
    [
        (rectangle(40, 25), 25.0),
        (rectangle(40, 25, 12.5), 25.0),
        (disc(18), 18.0),
        (obround(30, 7), 7.0),
        # A triangle's least width is its height on the longest side.
        (polygon([(0, 0), (12, 0), (0, 5)]), 60 / 13),
        (polygon([(0, 0), (10, 0), (5, 75**0.5)]), 75**0.5),
        # A Reuleaux triangle has one width all round (Reuleaux 1876, from memory).
        (reuleaux(10.0), 10.0),
        # Two circles of radius 10 whose centres are 16 apart have a lens 4 wide in common.
        (intersect(disc(20), disc(20).moved(Motion.shift(16, 0)))[0], 4.0),
        # An L counts by its hull: the corner (0, 0) to the line through (30, 10) and (10, 30).
        (polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)]), 40 / 2**0.5),
        # A half disc is as wide as its radius; with a point 30 mm off, square to the line from (0, 5) to it.
        (closed_path((-8, 0), (8, 0), arc_to((-8, 0), radius=8)), 8.0),
        (closed_path((0, 5), arc_to((0, -5), radius=5), (30, 0)), 5 + 30 / 37**0.5),
    ],
)
def test_smallest_width_is_that_of_geometry(outline: Outline, width: float, angle: float) -> None:
    """Exact mathematics for each shape, whichever way it is turned."""
    turned = outline.moved(Motion.turn(angle))
    assert minimal_width(turned) == pytest.approx(width, rel=1e-8)


@pytest.mark.parametrize("angle", [0.0, 0.7, 1.3, 45.0])
def test_smallest_width_over_a_tangent_that_is_no_edge(angle: float) -> None:
    """
    A strip that rests on the corner (0, 0) and on an arc of 5 about (30, 0): it leans by 5 in 30.

    So the corner (15, 3) is 15 x 1/6 + 3 sqrt(35)/6 above it; the strips along the sides are wider (7.8 and 10.9 mm).
    """
    half = 5 / 2**0.5
    outline = closed_path((0, 0), (30 - half, -half), arc_to((30 + half, -half), centre=(30, 0)), (15, 3))
    width = 2.5 + 35**0.5 / 2
    assert minimal_width(outline.moved(Motion.turn(angle))) == pytest.approx(width, rel=1e-8)


@pytest.mark.parametrize(("height", "count"), [(0.02, 7), (0.5, 7), (10.0, 25)])
@pytest.mark.parametrize("seed", range(4))
def test_smallest_width_of_a_convex_polygon_is_over_one_of_its_sides(
    seed: int, height: float, count: int
) -> None:
    """
    The strip that holds a convex polygon is narrowest along a side: over each, how far the furthest corner is away.

    Houle and Toussaint, Computing the width of a set, 1988 (from memory). In slivers, and where
    there are many corners, the directions that matter lie closer together than any step of a search.
    """
    chance = random.Random(seed)
    turns = sorted(chance.uniform(0.0, math.tau) for _ in range(count))
    corners = [(10.0 * math.cos(turn), height * math.sin(turn)) for turn in turns]
    turned = polygon(corners).moved(Motion.turn(chance.uniform(0.0, 180.0)))
    ends = [(edge.start, edge.end) for edge in turned.outer.edges]
    over = [
        max(
            abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / math.dist((ax, ay), (bx, by))
            for (x, y), _ in ends
        )
        for (ax, ay), (bx, by) in ends
    ]
    assert minimal_width(turned) == pytest.approx(min(over), rel=1e-9)


@pytest.mark.parametrize(
    ("one", "other", "reaches"),
    [
        (rectangle(10, 10).moved(Motion.shift(15, 3)), rectangle(20, 20), False),
        (rectangle(10, 10).moved(Motion.shift(14.9, 3)), rectangle(20, 20), True),
        (rectangle(10, 10), disc(4), False),
        (disc(4), rectangle(10, 10), True),
        (disc(4), ring(20, 10), False),
    ],
)
def test_a_corner_well_inside_another_outline(one: Outline, other: Outline, reaches: bool) -> None:
    """Beside it, a hair within it, round it, within it, and in its hole."""
    assert reaches_into(one, other) is reaches
    assert not reaches or intersect(one, other)


def test_the_width_of_many_corners_is_found_quickly_and_the_same() -> None:
    """A regular polygon of 400 corners is 2 r cos(pi / 400) between opposite sides; a comb is as high as drawn."""
    corners = [(50 * math.cos(math.tau * n / 400), 50 * math.sin(math.tau * n / 400)) for n in range(400)]
    assert minimal_width(polygon(corners)) == pytest.approx(100 * math.cos(math.pi / 400), rel=1e-9)
    comb = [(n, 4.0 * (n % 2)) for n in range(201)]
    assert minimal_width(polygon([(0.0, -6.0), (200.0, -6.0), *comb[::-1]])) == pytest.approx(10.0, rel=1e-9)
