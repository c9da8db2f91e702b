"""Bends that lie a hair beside their edge are put on it to the last digit, and no others are touched."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from formparts.body import Bend, Flat
from formparts.body.fitting import fitted
from formparts.outline import Motion, polygon, rectangle
from formparts.outline.edges import Point
from formparts.tolerances import FIT, LENGTH

PLATE = Flat("base", rectangle(60, 40))
"""Its right side runs from (30, -20) to (30, 20)."""
BEND = Bend(
    "wall.bend", "base", "wall", ((30.0, -20.0), (30.0, 0.0)), ((0.0, 0.0), (0.0, 20.0)), 75.0, "down", 3.5
)


def laid(start: Point, end: Point, name: str = "wall.bend") -> Bend:
    """The bend on another line, named; its other line is as long."""
    return replace(
        BEND, parent_line=(start, end), child_line=((0.0, 0.0), (0.0, math.dist(start, end))), name=name
    )


@pytest.mark.parametrize("beside", [5e-7, -5e-7])
@pytest.mark.parametrize("along", [4e-7, 0.0, -4e-7])
@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(-20.0, 0.0, -20.0), (0.0, 20.0, 0.0), (-20.0, 20.0, -20.0), (-12.5, 7.5, None)],
    ids=["first corner", "last corner", "the whole side", "between"],
)
def test_a_bend_beside_its_edge(
    low: float, high: float, expected: float | None, along: float, beside: float
) -> None:
    """It comes to x = 30; by a corner it ends in the corner, else it stays where it is along the edge."""
    given = laid((30.0 + beside, low + along), (30.0 + beside, high + along))
    (found,) = fitted(PLATE, (given,))
    (x0, y0), (x1, y1) = found.parent_line
    assert (x0, x1) == (30.0, 30.0)
    assert y0 == pytest.approx(low + along if expected is None else expected, abs=1e-13)
    assert y1 - y0 == pytest.approx(high - low, abs=1e-13)
    assert replace(found, parent_line=given.parent_line) == given


@pytest.mark.parametrize("turn", [17.0, 123.0, 250.0])
def test_in_any_direction(turn: float) -> None:
    """A triangle with a side of 50 from (0, 0) to (40, 30), turned: bends of 10 from 5 on, and a hair from its ends."""
    motion = Motion.turn(turn)
    flat = Flat("base", polygon([(0, 0), (40, 30), (0, 60)]).moved(motion))
    for begin, expected in ((5.0, 5.0), (40.0 - 4e-7, 40.0), (3e-7, 0.0)):
        places = [(0.8 * at + 0.6 * 5e-7, 0.6 * at - 0.8 * 5e-7) for at in (begin, begin + 10.0)]
        (found,) = fitted(flat, (laid(motion(places[0]), motion(places[1])),))
        for place, at in zip(found.parent_line, (expected, expected + 10.0), strict=True):
            assert math.dist(place, motion((0.8 * at, 0.6 * at))) < 1e-12


def test_what_fits_is_the_very_same_bend() -> None:
    """To a tenth of what counts as a misfit nothing is moved, at either end."""
    for dx, dy in ((0.0, 0.0), (0.1 * FIT, 0.0), (0.0, 0.1 * FIT)):
        for low in (-20.0, -3.0, 0.0):
            given = laid((30.0 + dx, low + dy), (30.0 + dx, low + 20.0 + dy))
            assert fitted(PLATE, (given,))[0] is given
    leaning = laid((30.0, -3.0), (30.0 + 5e-7, 17.0))
    assert fitted(PLATE, (leaning,))[0].parent_line == ((30.0, -3.0), (30.0, pytest.approx(17.0)))


def test_what_lies_elsewhere_stays_and_the_order_too() -> None:
    """Twice LENGTH beside the edge is not on it; of three bends the last two are on edges, each on its own."""
    off = laid((30.0 + 2 * LENGTH, -20.0), (30.0 + 2 * LENGTH, 0.0), "off")
    right = laid((30.0 + 5e-7, 0.0), (30.0 + 5e-7, 20.0), "right")
    front = laid((-30.0 + 4e-7, -20.0 + 5e-7), (-10.0 + 4e-7, -20.0 + 5e-7), "front")
    for order in ((off, front, right), (right, front, off), (front, off, right)):
        found = {bend.name: bend.parent_line for bend in fitted(PLATE, order)}
        assert [bend.name for bend in fitted(PLATE, order)] == [bend.name for bend in order]
        assert found == {
            "off": off.parent_line,
            "right": ((30.0, 0.0), (30.0, 20.0)),
            "front": ((-30.0, -20.0), (-10.0, -20.0)),
        }
    assert fitted(PLATE, ()) == []
