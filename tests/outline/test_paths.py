"""Arcs of a path in general position: centre, length and area by hand, by each way in which an arc can be given."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.errors import InputError
from formparts.outline import arc_to, closed_path
from formparts.outline.edges import Arc
from formparts.tolerances import LENGTH

START, END = (1.0, 2.0), (7.0, 10.0)
"""A chord of 10 along (0.6, 0.8), its middle at (4, 6); 5, 12, 13 make a right angle with a radius of 13."""
LEFT, RIGHT = (4.0 - 12 * 0.8, 6.0 + 12 * 0.6), (4.0 + 12 * 0.8, 6.0 - 12 * 0.6)
TURN = 2.0 * math.asin(5.0 / 13.0)
SEGMENT = 13.0**2 / 2.0 * (TURN - math.sin(TURN))
"""Area between chord and arc."""


def middle_of_arc(centre: tuple[float, float]) -> tuple[float, float]:
    """A place of the short arc: from the centre over the middle of the chord."""
    return tuple(at + 13.0 * (4.0 + 2.0 * number - at) / 12.0 for number, at in enumerate(centre))  # type: ignore[return-value]


@pytest.mark.parametrize(("ccw", "centre"), [(True, LEFT), (False, RIGHT)])
@pytest.mark.parametrize("way", ["radius", "centre", "through"])
def test_an_arc_over_a_slanted_chord(way: str, ccw: bool, centre: tuple[float, float]) -> None:
    """
    Anticlockwise the centre is to the left of the way from start to end, clockwise to the right of it.

    The third corner is square to the left, 10 from the start: the triangle of 50 gains the segment to its right
    (anticlockwise), or loses the one to its left.
    """
    steps = {
        "radius": arc_to(END, radius=13.0, ccw=ccw),
        "centre": arc_to(END, centre=centre, ccw=ccw),
        "through": arc_to(END, through=middle_of_arc(centre)),
    }
    outline = closed_path(START, steps[way], (1.0 - 8.0, 2.0 + 6.0))
    (arc,) = [edge for edge in outline.edges if isinstance(edge, Arc)]
    assert arc.centre == pytest.approx(centre, abs=1e-12)
    assert arc.radius == pytest.approx(13.0, rel=1e-14)
    assert arc.length == pytest.approx(13.0 * TURN, rel=1e-12)
    assert outline.area == pytest.approx(50.0 + (SEGMENT if ccw else -SEGMENT), rel=1e-12)


def test_the_long_way_round_is_given_by_its_centre_or_by_a_place() -> None:
    """Clockwise about the left centre goes the long way: all of the circle but the short arc's segment."""
    far = tuple(2.0 * at - place for at, place in zip(LEFT, middle_of_arc(LEFT), strict=True))
    for step in (arc_to(START, centre=LEFT), arc_to(START, through=far)):
        outline = closed_path(END, step)
        arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
        assert sum(arc.length for arc in arcs) == pytest.approx(13.0 * (math.tau - TURN), rel=1e-12)
        assert outline.area == pytest.approx(math.pi * 169.0 - SEGMENT, rel=1e-12)


@pytest.mark.parametrize("ccw", [True, False])
@pytest.mark.parametrize("angle", range(0, 360, 15))
def test_half_a_turn_is_one_arc(angle: int, ccw: bool) -> None:
    """From any angle about a centre, though the sweep comes out as plus or minus half a turn by rounding."""
    x, y = 7 * math.cos(math.radians(angle)), 7 * math.sin(math.radians(angle))
    outline = closed_path((3 + x, 2 + y), arc_to((3 - x, 2 - y), centre=(3, 2), ccw=ccw))
    assert [type(edge).__name__ for edge in outline.edges].count("Arc") == 1
    assert outline.area == pytest.approx(math.pi * 49 / 2, rel=1e-12)


def test_a_little_more_than_half_a_turn_is_two_arcs() -> None:
    """By 0.0005 rad at R 1000, which is half a millimetre."""
    x, y = 1000 * math.cos(5e-4), -1000 * math.sin(5e-4)
    edges = closed_path((1000, 0), arc_to((-x, y), centre=(0, 0))).edges
    arcs = [edge for edge in edges if isinstance(edge, Arc)]
    assert len(arcs) == 2
    assert sum(arc.length for arc in arcs) == pytest.approx(1000 * (math.pi + 5e-4), rel=1e-12)


def test_three_points_in_one_line_are_no_arc() -> None:
    """Within LENGTH of the line between the ends, however long it is; twice as far off they are one."""
    for size in (10.0, 1000.0):
        with pytest.raises(InputError, match="on the straight line between the ends; use a line"):
            closed_path((0, 0), arc_to((size, 0), through=(size / 2, LENGTH / 2)), (size / 2, size))
        edges = closed_path(
            (0, 0), arc_to((size, 0), through=(size / 2, -2 * LENGTH)), (size / 2, size)
        ).edges
        (arc,) = (edge for edge in edges if isinstance(edge, Arc))
        assert arc.radius == pytest.approx(size**2 / (16 * LENGTH), rel=1e-6)  # c^2 / (8 h)


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        (((10, 0), "x"), r": steps\[2\] = "),
        (((10, 0), arc_to("x", radius=3)), r": steps\[2\] = "),
        (((10, 0), arc_to((10, 10), centre="x")), r": steps\[2\].centre = "),
        (((10, 0), arc_to((10, 10), through="x")), r": steps\[2\].through = "),
        (((10, 0), arc_to((10, 10), radius="x")), r": steps\[2\].radius = "),
    ],
)
def test_a_bad_step_is_named(steps: tuple[Any, ...], said: str) -> None:
    """First who was asked, then which step."""
    with pytest.raises(InputError, match=r"^closed_path" + said):
        closed_path((0, 0), *steps)
