"""The search for a free place for a balloon, against a plain search of all places by shapely."""

from __future__ import annotations

import math
import random

import pytest
import shapely

from formparts.export.svg_marks import Balloon, free_place
from formparts.outline import Line

RADIUS = 2.0
FRAME = (0.0, 0.0, 100.0, 100.0)
REACHES = (1.6, 2.0, 2.5, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 13.0, 17.0, 22.0)
"""Where a balloon may be: so many radii from its target, every 15 degrees."""


def some_lines(seed: int, count: int) -> list[Line]:
    """Short lines all over the frame."""
    dice = random.Random(seed)
    ends = [(dice.uniform(0, 100), dice.uniform(0, 100), dice.uniform(0, math.tau)) for _ in range(count)]
    return [Line((x, y), (x + 6 * math.cos(turn), y + 6 * math.sin(turn))) for x, y, turn in ends]


def cost(centre: tuple[float, float], target: tuple[float, float], lines: shapely.MultiLineString) -> float:
    """Length of the leader, and three radii for each line that it crosses."""
    leader = shapely.LineString([centre, target])
    return leader.length + 3 * RADIUS * sum(leader.crosses(each) for each in lines.geoms)


def cheapest(target: tuple[float, float], lines: shapely.MultiLineString) -> float:
    """The least cost of all places that are free."""
    low, high = 1.25 * RADIUS, 100 - 1.25 * RADIUS
    costs = [math.inf]
    for reach in REACHES:
        for turn in range(24):
            angle = math.radians(15 * turn)
            x = target[0] + reach * RADIUS * math.cos(angle)
            y = target[1] + reach * RADIUS * math.sin(angle)
            inside = low <= x <= high and low <= y <= high
            if inside and lines.distance(shapely.Point(x, y)) >= 1.25 * RADIUS:
                costs.append(cost((x, y), target, lines))
    return min(costs)


@pytest.mark.parametrize("seed", range(12))
def test_the_place_is_the_cheapest_that_is_free(seed: int) -> None:
    """Among 60 to 170 lines: what is left out of the search because it is far away is never missed."""
    edges = some_lines(seed, 60 + 10 * seed)
    lines = shapely.MultiLineString([[edge.start, edge.end] for edge in edges])
    target = (50.0, 50.0)
    found = free_place(target, "1", RADIUS, edges, [], FRAME)
    assert found.centre != target
    assert cost(found.centre, target, lines) == pytest.approx(cheapest(target, lines), rel=1e-9)


def test_balloons_keep_apart() -> None:
    """Twenty of one target are 2.4 radii from each other, and clear of the leaders of those before."""
    taken: list[Balloon] = []
    for number in range(20):
        taken.append(free_place((50.0, 50.0), str(number), RADIUS, [], taken, FRAME))
    for at, one in enumerate(taken):
        for before in taken[:at]:
            assert math.dist(one.centre, before.centre) >= 2.4 * RADIUS - 1e-9
            leader = shapely.LineString([before.centre, before.target])
            assert leader.distance(shapely.Point(one.centre)) >= 1.25 * RADIUS - 1e-9
