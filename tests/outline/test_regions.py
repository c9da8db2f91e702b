"""Loops and outlines: one order for equal shapes, tags that survive, points inside, shapes that are alike."""

from __future__ import annotations

import math
import random

import pytest

from formparts.outline import (
    Arc,
    Loop,
    Motion,
    Outline,
    alike,
    cut,
    disc,
    merged,
    obround,
    outline_of,
    polygon,
    problem,
    rectangle,
    ring,
)
from tests.outline.splitting import split_at

PLATE = cut(
    rectangle(60, 40, 6), disc(10).moved(Motion.shift(-15, 0)), obround(14, 6).moved(Motion.shift(12, 4))
)[0]


def test_equal_shapes_are_equal_values_whatever_order_they_came_in() -> None:
    """Loops started anywhere, run either way, given in any order, make one and the same value."""
    draw = random.Random(5)
    for _ in range(20):
        loops = []
        for loop in PLATE.loops:
            at = draw.randrange(len(loop.edges))
            turned = Loop(loop.edges[at:] + loop.edges[:at])
            loops.append(turned.reversed() if draw.random() < 0.5 else turned)
        draw.shuffle(loops)
        again = outline_of(loops)
        assert again == PLATE
        assert hash(again) == hash(PLATE)
    assert PLATE.moved(Motion.shift(1, 0)) != PLATE


def test_each_loop_starts_at_its_lowest_leftmost_vertex() -> None:
    for angle in range(0, 360, 15):
        for loop in PLATE.moved(Motion.turn(angle)).loops:
            left = min(x for x, _ in loop.vertices)
            lowest = min(y for x, y in loop.vertices if x < left + 1e-6)
            assert loop.vertices[0][0] == pytest.approx(left, abs=1e-6)
            assert loop.vertices[0][1] == lowest


def test_holes_stand_in_the_order_of_their_first_corners() -> None:
    """A slanted slit that begins left of a slot and leads past it comes first, whichever was given first."""
    slit = polygon([(10, 10), (12, 10), (20, 30), (18, 30)])
    slot = polygon([(12, 40), (16, 40), (16, 50), (12, 50)])
    for holes in ((slit, slot), (slot, slit)):
        found = outline_of([rectangle(200, 200).outer, *(hole.outer for hole in holes)])
        assert [hole.vertices[0] for hole in found.holes] == [(10, 10), (12, 40)]


@pytest.mark.parametrize("motion", [Motion.turn(30), Motion.turn_over(), Motion(a=-1.0, p=4.0, q=-9.0)])
def test_a_moved_outline_keeps_its_sense_area_and_names(motion: Motion) -> None:
    moved = PLATE.moved(motion)
    assert problem(moved) is None
    assert moved.area == pytest.approx(PLATE.area, rel=1e-13)
    assert sorted(edge.tag for edge in moved.edges) == sorted(edge.tag for edge in PLATE.edges)
    # The middle of the edge `front` moves to the middle of the edge of that name.
    (before,), (after,) = ([e for e in o.outer.edges if e.tag == "front"] for o in (PLATE, moved))
    assert after.middle == pytest.approx(motion(before.middle), abs=1e-12)


def test_tags_take_no_part_in_comparison_and_can_be_renamed() -> None:
    named = PLATE.retagged(lambda tag: f"base.{tag}")
    assert named == PLATE
    assert {edge.tag for edge in named.holes[0].edges} == {"base.rim"}
    assert {e.tag for e in PLATE.retagged({"rim": "hole[1]"}).holes[0].edges} == {"hole[1]"}
    assert PLATE.retagged({"rim": "hole[1]"}).outer.edges[0].tag == PLATE.outer.edges[0].tag


def test_a_circle_stays_a_circle_wherever_it_goes() -> None:
    """Centre and radius come back to the last digit after motion; a slot or an arc of a circle is none."""
    for i in range(12):
        motion = Motion.turn(30.0 * i).after(Motion.shift(45, 3))
        for placed in (motion, motion.after(Motion.turn_over())):
            assert disc(11).moved(placed).outer.circle == (placed((0.0, 0.0)), 5.5)
    assert [hole.circle for hole in PLATE.holes] == [((-15, 0), 5), None]
    assert PLATE.outer.circle is None
    assert rectangle(20, 20, 10).outer.circle == ((0, 0), 10)


def test_points_inside_and_outside_agree_with_the_definition_of_the_shape() -> None:
    """A ring holds the points between its radii, a rectangle those between its sides (20,000 points)."""
    draw = random.Random(11)
    hoop, plate = ring(30, 18).moved(Motion.turn(41)), rectangle(24, 16)
    for _ in range(10_000):
        # Many points on the very heights of vertices and centres, where a ray has its bad cases.
        y = draw.choice([0.0, 8.0, -8.0, 15.0, draw.uniform(-20, 20)])
        point = (draw.choice([0.0, 12.0, -9.0, draw.uniform(-20, 20)]), y)
        assert hoop.contains(point) == (9 - 1e-6 <= math.hypot(*point) <= 15 + 1e-6)
        assert plate.contains(point) == (abs(point[0]) <= 12 and abs(point[1]) <= 8)


def test_winding_is_right_on_every_height_of_a_vertex() -> None:
    """Rays through vertices, along edges, and through chords of arcs, against distances."""
    for turn in (0.0, 30.0, 45.0, 60.0, 90.0):
        wheel = disc(20).moved(Motion.turn(turn))
        wheel = Outline(split_at(wheel.outer, [wheel.outer.edges[0].point_at(f) for f in (0.25, 0.5)]))
        for x, y in [(x / 2, y / 2) for x in range(-24, 25) for y in range(-24, 25)]:
            if abs(math.hypot(x, y) - 10) > 1e-9:
                assert wheel.outer.winds_round((x, y)) == (1 if math.hypot(x, y) < 10 else 0), (turn, x, y)
    stairs = polygon([(0, 0), (6, 0), (6, 2), (4, 2), (4, 4), (2, 4), (2, 6), (0, 6)])
    for x, y in [(x + 0.5, y) for x in range(-1, 7) for y in range(1, 6)]:
        steps = 0 < x < 6 - 2 * (y // 2)
        if stairs.distance_to_edge((x, y)) > 0:
            assert stairs.contains((x, y)) == steps, (x, y)


def test_merging_joins_what_lies_on_one_line_or_circle_and_nothing_else() -> None:
    """Vertices put in go out again: lines, arcs, arcs of more than half a turn, whole circles."""
    draw = random.Random(3)
    for outline in (PLATE, disc(30), rectangle(20, 20, 10), polygon([(0, 0), (9, 0), (4, 7)], radii=1)):
        for loop in outline.loops:
            points = [edge.point_at(draw.uniform(0.1, 0.9)) for edge in loop.edges for _ in range(3)]
            finer = split_at(loop, points)
            assert len(finer.edges) == 4 * len(loop.edges)
            assert alike(Outline(merged(finer)), Outline(loop), 1e-9)
            assert alike(Outline(finer), Outline(loop))
            assert {edge.tag for edge in finer.edges} == {edge.tag for edge in loop.edges}
    assert len(merged(rectangle(20, 20, 10).outer).edges) == 2
    horseshoe = cut(disc(40), rectangle(30, 10).moved(Motion.shift(15, 0)))[0]
    arcs = [edge for edge in horseshoe.edges if isinstance(edge, Arc)]
    assert len(arcs) == 2
    assert all(arc.radius == 20 and arc.centre == (0, 0) and arc.sweep_rad < math.pi for arc in arcs)
    shallow = polygon([(0, 0), (10, 1e-4), (20, 0), (20, 10), (0, 10)])
    assert len(merged(shallow.outer).edges) == 5
    slanted = polygon([(100, 50), (103, 54), (106, 58), (90, 60)])
    assert len(merged(slanted.outer).edges) == 3


def test_alike_sees_what_differs_and_only_that() -> None:
    """A different hole, a moved corner, a chord for an arc are differences; the first vertex is not."""
    assert alike(PLATE, PLATE.moved(Motion.shift(5e-7, 0)))
    assert not alike(PLATE, PLATE.moved(Motion.shift(2e-6, 0)))
    assert alike(PLATE, PLATE.moved(Motion.shift(0.01, 0)), tolerance=0.02)
    assert not alike(PLATE, Outline(PLATE.outer, PLATE.holes[:1]))
    assert not alike(disc(20), rectangle(20, 20))
    assert not alike(obround(30, 10), rectangle(30, 10, 4.9))
    assert not alike(rectangle(20, 20), polygon([(-10, -10), (10, -10), (10.5, 10), (-10, 10)]))
    quarter_turned = [disc(20).moved(Motion.turn(90)), disc(20).moved(Motion.turn(37))]
    assert all(alike(disc(20), other) for other in quarter_turned)
