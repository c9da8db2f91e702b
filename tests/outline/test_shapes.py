"""Builders: dimensions as on the drawing, names by side, places, and refusals of one clear line."""

from __future__ import annotations

import doctest
import math
from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import pytest

import formparts
from formparts.errors import InputError
from formparts.outline import (
    Arc,
    Motion,
    Outline,
    arc_to,
    bolt_circle,
    closed_path,
    disc,
    grid,
    obround,
    paths,
    polygon,
    problem,
    rectangle,
    ring,
    round_ended_rectangle,
    shapes,
)

BUILDERS = (
    *("rectangle", "obround", "round_ended_rectangle", "disc", "ring", "polygon"),
    *("closed_path", "bolt_circle", "grid"),
)
ALL = {
    "rectangle": rectangle(40, 25),
    "rounded": rectangle(40, 25, 5),
    "fully rounded": rectangle(40, 20, 10),
    "round": rectangle(20, 20, 10),
    "obround": obround(30, 10),
    "one end": round_ended_rectangle(30, 10),
    "both ends": round_ended_rectangle(30, 10, ends="both"),
    "half disc": round_ended_rectangle(5, 10),
    "disc": disc(9),
    "ring": ring(30, 18),
    "polygon": polygon([(0, 0), (30, 0), (30, 10), (0, 20)], radii=2),
    "chamfered": polygon([(0, 0), (30, 0), (30, 10), (0, 20)], chamfers=[0, 1, 2, 3]),
    "re-entrant": polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)], radii=3),
    "path": closed_path((0, 0), (10, 0), arc_to((10, 8), radius=4), (0, 8)),
}


@pytest.mark.parametrize("name", ALL)
def test_every_builder_gives_a_sound_outline(name: str) -> None:
    outline = ALL[name]
    assert problem(outline) is None
    assert outline.outer.signed_area > 0
    assert all(hole.signed_area < 0 for hole in outline.holes)
    for loop in outline.loops:
        for before, edge in zip(loop.edges[-1:] + loop.edges[:-1], loop.edges, strict=True):
            assert before.end == edge.start


@pytest.mark.parametrize("name", ["rectangle", "rounded", "fully rounded", "obround", "one end", "both ends"])
def test_overall_dimensions_are_those_given_and_centred(name: str) -> None:
    outline = ALL[name]
    x0, y0, x1, y1 = outline.bounds
    given = {"rectangle": (40, 25), "rounded": (40, 25), "fully rounded": (40, 20)}.get(name, (30, 10))
    assert (x1 - x0, y1 - y0) == given
    assert (x0 + x1, y0 + y1) == (0, 0)


@pytest.mark.parametrize("name", ["rounded", "re-entrant", "polygon", "obround", "one end"])
def test_corner_arcs_are_tangent_to_both_sides(name: str) -> None:
    """The radius at each end of a blend is square to the straight side there (what tangent means)."""
    for loop in ALL[name].loops:
        for i, arc in enumerate(loop.edges):
            if not isinstance(arc, Arc):
                continue
            for side, end in (
                (loop.edges[i - 1], arc.start),
                (loop.edges[(i + 1) % len(loop.edges)], arc.end),
            ):
                if isinstance(side, Arc):
                    continue
                radius = (end[0] - arc.centre[0], end[1] - arc.centre[1])
                along = (side.end[0] - side.start[0], side.end[1] - side.start[1])
                assert math.hypot(*radius) == pytest.approx(arc.radius, rel=1e-12)
                assert radius[0] * along[0] + radius[1] * along[1] == pytest.approx(0, abs=1e-10)


def test_sides_are_named_by_where_they_are() -> None:
    for outline in (rectangle(40, 25), rectangle(40, 25, 3), rectangle(400, 2, 0.5)):
        middles = {edge.tag: edge.middle for edge in outline.edges}
        x0, y0, x1, y1 = outline.bounds
        assert middles["front"] == (0, y0)
        assert middles["back"] == (0, y1)
        assert middles["left"] == (x0, 0)
        assert middles["right"] == (x1, 0)
    rounded = {edge.tag: edge.middle for edge in rectangle(40, 25, 3).edges}
    assert rounded["front_right"][0] > 18
    assert rounded["front_right"][1] < -11


def test_names_do_not_depend_on_the_way_round_or_on_other_corners() -> None:
    """`edge[2]` is the side from the second corner to the third, whichever way the points run."""
    points = [(0, 0), (30, 0), (30, 10), (0, 20)]
    for radii in (None, [0, 2, 0, 3]):
        outline = polygon(points, radii=radii)
        for side, middle in (("edge[1]", (15, 0)), ("edge[2]", (30, 5)), ("edge[4]", (0, 10))):
            (edge,) = [edge for edge in outline.edges if edge.tag == side]
            assert edge.distance(middle) < 1e-12
    (edge,) = [e for e in polygon(points[::-1], radii=[0, 2, 0, 3]).edges if e.tag == "edge[3]"]
    assert edge.distance((15, 0)) < 1e-12
    corners = {e.tag: e for e in polygon(points, radii=[0, 2, 0, 3]).edges if e.tag.startswith("corner")}
    assert {tag: arc.radius for tag, arc in corners.items() if isinstance(arc, Arc)} == {
        "corner[2]": 2,
        "corner[4]": 3,
    }


def test_a_chamfer_is_its_length_along_each_side() -> None:
    """A chamfer c on a right angle takes c^2/2 and is c sqrt(2) long. Source: exact mathematics."""
    plate = polygon([(0, 0), (30, 0), (30, 20), (0, 20)], chamfers=4)
    assert plate.area == pytest.approx(600 - 4 * 8)
    assert {round(e.length, 9) for e in plate.edges if e.tag.startswith("corner")} == {round(4 * 2**0.5, 9)}


def test_three_ways_to_one_arc() -> None:
    """Half a circle of radius 5 by its centre, by a point on it and by its radius (hand calculation)."""
    ways = (arc_to((0, 10), centre=(0, 5)), arc_to((0, 10), through=(5, 5)), arc_to((0, 10), radius=5))
    for way in ways:
        outline = closed_path((-4, 0), (0, 0), way, (-4, 10))
        (arc,) = [edge for edge in outline.edges if isinstance(edge, Arc)]
        assert arc.centre == pytest.approx((0, 5), abs=1e-12)
        assert arc.radius == pytest.approx(5)
        assert outline.area == pytest.approx(40 + math.pi * 12.5)
        assert arc.tag == "edge[2]"


def test_an_arc_of_more_than_half_a_turn_is_two_with_one_name() -> None:
    """Three quarters of a disc of radius 4: area 12 pi (exact mathematics)."""
    outline = closed_path((0, 0), (4, 0), arc_to((0, -4), centre=(0, 0)))
    arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
    assert [arc.tag for arc in arcs] == ["edge[2]", "edge[2]"]
    assert all(arc.sweep_rad <= math.pi for arc in arcs)
    assert outline.area == pytest.approx(12 * math.pi)
    clockwise = closed_path((0, 0), (0, -4), arc_to((4, 0), centre=(0, 0), ccw=False))
    assert clockwise.area == pytest.approx(12 * math.pi)


def test_bolt_circle_places_on_the_circle_and_turns_each_place() -> None:
    """Six places on 60 mm: 30 mm from the axis, 60 deg apart, neighbours 30 mm apart (regular hexagon)."""
    motions = bolt_circle(disc(8), 6, 60, start_angle=15)
    centres = [motion((0, 0)) for motion in motions]
    angles = [math.degrees(math.atan2(y, x)) % 360 for x, y in centres]
    assert [math.hypot(x, y) for x, y in centres] == pytest.approx([30] * 6)
    assert angles == pytest.approx([15, 75, 135, 195, 255, 315])
    assert math.dist(centres[0], centres[1]) == pytest.approx(30)
    assert bolt_circle(None, 4, 60)[1]((1, 0)) == (0, 31)


def test_grid_is_centred_and_in_order() -> None:
    places = [motion((0, 0)) for motion in grid(3, 2, 10, 4)]
    assert places == [(-10, -2), (0, -2), (10, -2), (-10, 2), (0, 2), (10, 2)]
    assert len(grid(3, 2, 10, 4, disc(3.9))) == 6


def test_one_place_has_no_neighbour_to_overlap() -> None:
    """Discs of 8 in one column, one row, or alone on their circle; the only one of a grid is in its middle."""
    assert [motion((0, 0)) for motion in bolt_circle(disc(8), 1, 6)] == [(3, 0)]
    assert [motion((0, 0)) for motion in grid(1, 1, 2, 2, disc(8))] == [(0, 0)]
    assert [motion((0, 0)) for motion in grid(1, 2, 2, 9, disc(8))] == [(0, -4.5), (0, 4.5)]
    assert [motion((0, 0)) for motion in grid(2, 1, 9, 2, disc(8))] == [(-4.5, 0), (4.5, 0)]
    # What is high fits side by side, what is long above each other, and not the other way round.
    assert len(grid(2, 1, 5, 1, rectangle(2, 8))) == len(grid(1, 2, 1, 5, rectangle(8, 2))) == 2
    for columns, rows, opening in ((1, 2, rectangle(2, 8)), (2, 1, rectangle(8, 2))):
        with pytest.raises(InputError, match="neighbouring places overlap"):
            grid(columns, rows, 5, 5, opening)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: rectangle(0, 5), "length = 0 mm"),
        (lambda: rectangle(-3, 5), "length = -3 mm"),
        (lambda: rectangle(5, math.nan), "width = nan"),
        (lambda: rectangle(math.inf, 5), "length = inf"),
        (lambda: rectangle("5 deg", 5), "length = 5 deg: "),
        (lambda: rectangle(True, 5), "length = True: of type bool"),
        (lambda: rectangle(None, 5), "length = None: nothing was given"),
        (lambda: rectangle(20, 10, 5.5), "corner_radius = 5.5 mm: .*at most 5 mm"),
        (lambda: rectangle(20, 10, -1), "corner_radius = -1 mm"),
        (lambda: obround(9, 10), "length = 9 mm: shorter than its round ends .10 mm.; at least 10 mm"),
        (lambda: round_ended_rectangle(4, 10), "length = 4 mm: .*at least 5 mm"),
        (lambda: round_ended_rectangle(40, 10, ends="left"), "ends = left"),
        (lambda: disc(0), "diameter = 0 mm"),
        (lambda: disc(math.nan), "diameter = nan"),
        (lambda: ring(20, 20), "inside_diameter = 20 mm: leaves no ring"),
        (lambda: ring(20, 25), "inside_diameter = 25 mm"),
        (lambda: polygon([(0, 0), (5, 0)]), "points = 2: .*at least three"),
        (lambda: polygon([(0, 0), (5, 0), (5, 0), (0, 5)]), r"points\[3\]"),
        (lambda: polygon([(0, 0), (5, 0), (math.inf, 5)]), r"points\[3\].x = inf"),
        (lambda: polygon([(0, 0), (5, 0), 7]), r"points\[3\] = 7: not a point"),
        (lambda: polygon([(0, 0), (5, 0), "ab"]), r"points\[3\] = ab: not a point"),
        (lambda: polygon([(0, 0), (5, 0), (9, 0)]), "points = 3 corners: touches itself at .5, 0."),
        (lambda: polygon([(0, 0), (9, 9), (9, 0), (0, 9)]), "crosses itself at .4.5, 4.5."),
        (
            lambda: polygon([(0, 0), (20, 0), (20, 10), (0, 10)], radii=6),
            r"radii\[\d\] = 6 mm: .*at most 5 mm",
        ),
        (lambda: polygon([(0, 0), (20, 0), (20, 10)], radii=[1, 2]), "2 values for 3 corners"),
        (lambda: polygon([(0, 0), (20, 0), (20, 10)], radii=-1), "radii = -1 mm"),
        (lambda: polygon([(0, 0), (20, 0), (20, 10)], radii=1, chamfers=1), "has a chamfer of 1 mm too"),
        (
            lambda: polygon([(0, 0), (20, 0), (20, 10), (0, 10)], chamfers=[8, 0, 0, 3]),
            r"chamfers\[1\] = 8 mm",
        ),
        (lambda: closed_path((0, 0), (5, 0), arc_to((5, 9), radius=4)), "radius = 4 mm: .*at least 4.5 mm"),
        (lambda: closed_path((0, 0), (5, 0), arc_to((5, 9))), "exactly one of"),
        (lambda: closed_path((0, 0), (5, 0), arc_to((5, 9), centre=(5, 3))), "nearer to one end"),
        (lambda: closed_path((0, 0), (5, 0), arc_to((9, 0), through=(7, 0))), "straight line"),
        (lambda: closed_path((0, 0), (5, 0), (5, 0)), r"steps\[2\]"),
        (lambda: closed_path((0, 0)), "encloses nothing"),
        (lambda: closed_path((0, "x"), (9, 0), (0, 9)), "start.y = x: cannot be read as one number"),
        (lambda: closed_path(7, (9, 0), (0, 9)), "start = 7: not a point"),
        (lambda: closed_path((0, 0), (9, 9), (9, 0), (0, 9)), "crosses itself"),
        (lambda: bolt_circle(disc(40), 6, 60), "count = 6: neighbouring places overlap"),
        (lambda: bolt_circle(None, 0, 60), "count = 0"),
        (lambda: bolt_circle(None, 2.5, 60), "count = 2.5"),
        (lambda: bolt_circle(None, 3, -60), "pitch_diameter = -60 mm"),
        (lambda: grid(3, 3, 5, 9, disc(6)), "pitch_x = 5: neighbouring places overlap"),
        (lambda: bolt_circle(None, 3, 60, "up"), "start_angle = up: cannot be read as one number"),
        (lambda: bolt_circle(None, "3 mm", 60), "count = 3 mm: "),
        (lambda: grid(0, 3, 5, 9), "columns = 0"),
        (lambda: grid(3, 0, 5, 9), "rows = 0"),
        (lambda: grid(3, 3, 0, 9), "pitch_x = 0 mm"),
        (lambda: grid(3, 3, 5, 0), "pitch_y = 0 mm"),
        (lambda: grid(3, 3, 9, 5, disc(6)), "pitch_y = 5: neighbouring places overlap by"),
        (lambda: disc("9 kg"), "diameter = 9 kg"),
        (lambda: ring("9 kg", 5), "outside_diameter = 9 kg"),
        (lambda: ring(9, "5 kg"), "inside_diameter = 5 kg"),
        (lambda: obround(9, "5 kg"), "width = 5 kg"),
        (lambda: obround("9 kg", 5), "length = 9 kg"),
    ],
)
def test_what_cannot_be_made_is_refused_in_one_clear_line(call: Callable[[], Outline], words: str) -> None:
    """First which builder says so, then which of its figures."""
    with pytest.raises(InputError, match=words) as caught:
        call()
    assert "\n" not in str(caught.value)
    assert str(caught.value).split(": ")[0] in BUILDERS


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"radii": [0, 4, 7, 0]},
            r"radii\[3\] = 7 mm: the blends take 11 mm of the side of 10 mm from \(20, 0\); at most 6.36364 mm",
        ),
        (
            {"chamfers": [0, 0, 11, 13]},
            r"chamfers\[4\] = 13 mm: the blends take 13 mm of the side of 10 mm from \(0, 10\); at most 10 mm",
        ),
        (
            {"radii": [6, 0, 0, 0], "chamfers": [0, 0, 0, 5]},
            r"radii\[1\] = 6 mm: the blends take 11 mm of the side of 10 mm from \(0, 10\); at most 5.45455 mm",
        ),
    ],
)
def test_the_tightest_side_and_the_larger_of_its_blends_are_named(given: dict[str, Any], said: str) -> None:
    """Plate of 20 by 10: on the side that is the shortest of room; what fits is the blend times room over need."""
    with pytest.raises(InputError, match=said):
        polygon([(0, 0), (20, 0), (20, 10), (0, 10)], **given)


def test_small_blends_and_those_that_just_fit() -> None:
    """Rounded corners take (4 - pi) r^2, chamfers 2 c^2; 5 and 5 fill a side of 10, 4 and 6 too."""
    corners = [(0, 0), (20, 0), (20, 10), (0, 10)]
    for radius in (0.002, 0.5, 5):
        for given in (radius, [radius] * 4):
            area = 200 - (4 - math.pi) * radius**2
            assert polygon(corners, radii=given).area == pytest.approx(area, rel=1e-12)
            assert polygon(corners, chamfers=given).area == pytest.approx(200 - 2 * radius**2, rel=1e-12)
    unlike = polygon(corners, radii=[0, 4, 6, 0])
    assert unlike.area == pytest.approx(200 - (1 - math.pi / 4) * (16 + 36), rel=1e-12)
    assert "edge[2]" not in {edge.tag for edge in unlike.edges}
    assert rectangle(20, 10, 0.5).area == pytest.approx(200 - (4 - math.pi) / 4, rel=1e-12)


def test_slots_that_are_hardly_longer_than_wide() -> None:
    """Less than the shortest edge of 0.001 mm longer is a circle, or half of one; from there on it has sides."""
    for more in (0.0, 0.0005):
        assert obround(10 + more, 10).outer.circle == ((0, 0), 5)
        half = round_ended_rectangle(5 + more, 10)
        assert sorted(edge.tag for edge in half.edges) == ["left", "right"]
        assert half.area == pytest.approx(math.pi * 12.5, abs=1e-9)
        assert half.bounds == pytest.approx((-2.5, -5, 2.5, 5), abs=0.001)
    assert sorted(edge.tag for edge in obround(10.002, 10).edges) == ["back", "front", "left", "right"]
    assert sorted(edge.tag for edge in round_ended_rectangle(5.002, 10).edges) == [
        "back",
        "front",
        "left",
        "right",
    ]
    with pytest.raises(InputError, match="less than 20 mm"):
        ring(20, 19.9981)
    assert ring(20, 19.9979).area == pytest.approx(math.pi / 4 * (400 - 19.9979**2), rel=1e-9)


def test_the_largest_radius_named_in_a_refusal_does_fit() -> None:
    """The way out is true: a hair less than the figure is built, a hair more is refused."""
    points = [(0, 0), (37, 0), (31, 13), (4, 17)]
    with pytest.raises(InputError) as caught:
        polygon(points, radii=40)
    largest = float(str(caught.value).split("at most ")[1].split(" mm")[0])
    assert problem(polygon(points, radii=largest * 0.999)) is None
    with pytest.raises(InputError):
        polygon(points, radii=largest * 1.001)


@pytest.mark.parametrize("module", [paths, shapes])
def test_the_examples_in_the_docstrings_hold(module: ModuleType) -> None:
    names = {name: getattr(formparts, name) for name in formparts.__all__}
    ran = doctest.testmod(module, extraglobs=names)
    assert (ran.failed, ran.attempted > 0) == (0, True)


def test_bolt_circle_takes_as_many_as_geometry_allows() -> None:
    """Discs of d on a circle D touch when sin(180 deg / n) = d / D: at 60 and 20 mm, 9 fit and 10 do not."""
    assert math.sin(math.pi / 9) > 20 / 60 > math.sin(math.pi / 10)
    assert len(bolt_circle(disc(20), 9, 60)) == 9
    with pytest.raises(InputError):
        bolt_circle(disc(20), 10, 60)
    assert Motion.turn(90)((1, 0)) == (0, 1)


@pytest.mark.parametrize("which", ["radii", "chamfers"])
def test_a_figure_of_one_corner_is_named_by_its_number_counted_from_1(which: str) -> None:
    with pytest.raises(InputError, match=rf"{which}\[2\] = -1 mm"):
        polygon([(0, 0), (10, 0), (0, 10)], **{which: [1.0, -1.0, 0.0]})


@pytest.mark.parametrize("size", [0.05, 0.8, 500.0])
def test_a_polygon_with_round_corners_is_round_at_any_size(size: float) -> None:
    """An L of six corners, each rounded by a tenth: five corners lose (1 - pi/4) r2, and the inner one gains it."""
    corners = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]
    found = polygon([(x * size, y * size) for x, y in corners], radii=0.1 * size)
    assert found.area == pytest.approx((3.0 - 4.0 * 0.01 * (1.0 - math.pi / 4.0)) * size**2, rel=1e-12)


def test_half_a_disc() -> None:
    """A rectangle as long as half its width, with one round end: nothing straight is left along it."""
    found = round_ended_rectangle(5, 10)
    assert found.area == pytest.approx(12.5 * math.pi, rel=1e-12)
    assert found.bounds == pytest.approx((-2.5, -5.0, 2.5, 5.0), abs=1e-12)
    assert problem(Outline(found.outer, ())) is None


def test_lengths_and_angles_may_carry_a_unit() -> None:
    """An inch is 25.4 mm, exactly (international agreement of 1959), and half a turn is 180 deg."""
    assert rectangle("2 in", "10 mm", "1 mm") == rectangle(50.8, 10, 1)
    assert disc("1/2 in") == disc(12.7)
    assert ring("2 in", "1 in") == ring(50.8, 25.4)
    assert obround("30 mm", "1 in") == obround(30, 25.4)
    assert polygon([("0 mm", 0), ("1 in", 0), (0, "1 in")], radii="1 mm") == polygon(
        [(0, 0), (25.4, 0), (0, 25.4)], radii=1
    )
    path = closed_path((0, 0), ("1 in", 0), arc_to((0, 0), radius="12.7 mm"))
    assert path == closed_path((0, 0), (25.4, 0), arc_to((0, 0), radius=12.7))
    assert bolt_circle(None, 3, "1 in", "3.141592653589793 rad")[0]((0, 0)) == pytest.approx((-12.7, 0))
    assert grid(2, 1, "1 in", "2 in") == grid(2, 1, 25.4, 50.8)
    assert Motion.shift("1 in", 0) == Motion.shift(25.4, 0)
    assert Motion.turn("30 deg") == Motion.turn(30)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: Motion.shift("1 deg", 0), "shift: x = 1 deg: "),
        (lambda: Motion.shift(0, None), "shift: y = None: nothing was given"),
        (lambda: Motion.turn("30 mm"), "turn: angle = 30 mm: "),
    ],
)
def test_a_motion_of_what_has_another_unit_is_refused(call: Callable[[], Motion], said: str) -> None:
    with pytest.raises(InputError) as refusal:
        call()
    assert str(refusal.value).startswith(said)


def test_a_motion_takes_numbers_of_any_kind() -> None:
    """Whole ones, and those of numpy."""
    assert Motion.shift(np.int64(3), np.float64(4.5)) == Motion.shift(3, 4.5)
    assert Motion.turn(np.float64(90)) == Motion.turn(90)
