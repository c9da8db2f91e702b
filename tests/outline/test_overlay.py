"""Union, cut and intersection on the cases of the shop: shared sides, tangent rounds, patterns.

Expected figures are hand calculations on rectangles and circles; exact mathematics unless stated otherwise.
"""

from __future__ import annotations

import math
import subprocess
import sys
import timeit

import pytest

from formparts.outline import (
    Arc,
    Line,
    Motion,
    Outline,
    alike,
    bolt_circle,
    cut,
    disc,
    grid,
    intersect,
    obround,
    polygon,
    problem,
    rectangle,
    ring,
    round_ended_rectangle,
    unite,
)

TURNS = [0.0, 30.0, 90.0, 211.7]
SQUARE = rectangle(20, 20)


def at(outline: Outline, x: float, y: float, angle: float = 0.0) -> Outline:
    return outline.moved(Motion.shift(x, y).after(Motion.turn(angle)))


@pytest.mark.parametrize("angle", TURNS)
def test_outlines_that_share_a_side_become_one(angle: float) -> None:
    """Two squares side by side are a rectangle of four edges; half a side shared gives eight."""
    turn = Motion.turn(angle)
    (bar,) = unite(SQUARE.moved(turn), at(SQUARE, 20, 0).moved(turn))
    assert alike(bar, at(rectangle(40, 20), 10, 0).moved(turn))
    assert len(bar.edges) == 4
    (step,) = unite(SQUARE.moved(turn), at(SQUARE, 20, 10).moved(turn))
    assert len(step.edges) == 8
    assert step.area == pytest.approx(800)
    assert cut(bar, SQUARE.moved(turn))[0].area == pytest.approx(400)


@pytest.mark.parametrize("angle", TURNS)
def test_outlines_that_touch_in_a_point_stay_apart(angle: float) -> None:
    """Corner to corner, and circle to circle: a point joins nothing."""
    turn = Motion.turn(angle)
    assert len(unite(SQUARE.moved(turn), at(SQUARE, 20, 20).moved(turn))) == 2
    assert len(unite(disc(20).moved(turn), at(disc(20), 20, 0).moved(turn))) == 2
    assert len(unite(SQUARE.moved(turn), at(disc(20), 20, 0).moved(turn))) == 2
    assert intersect(SQUARE.moved(turn), at(SQUARE, 20, 20).moved(turn)) == ()
    assert intersect(disc(20).moved(turn), at(disc(10), 15, 0).moved(turn)) == ()


@pytest.mark.parametrize("angle", TURNS)
def test_a_circle_inside_and_tangent_is_a_hole_that_touches(angle: float) -> None:
    """A disc cut out of a square it touches on four sides leaves the four corners; on one side, one area."""
    turn = Motion.turn(angle)
    corners = cut(SQUARE.moved(turn), disc(20).moved(turn))
    assert len(corners) == 4
    assert sum(o.area for o in corners) == pytest.approx(400 - 100 * math.pi)
    (left,) = cut(SQUARE.moved(turn), at(disc(10), 5, 0).moved(turn))
    assert left.holes[0].circle == (pytest.approx(turn((5, 0))), 5)
    found = problem(left)
    assert found is not None
    assert "touches the outer loop" in found
    # Such a result can be worked on: filled again, it is the square.
    (filled,) = unite(left, at(disc(10), 5, 0).moved(turn))
    assert alike(filled, SQUARE.moved(turn))
    assert cut(left, SQUARE.moved(turn)) == ()


@pytest.mark.parametrize("angle", TURNS)
def test_a_tangent_round_goes_on_into_its_sides(angle: float) -> None:
    """A tongue with a round end, made of a rectangle and a disc, is the round-ended rectangle: four edges."""
    turn = Motion.turn(angle)
    (tongue,) = unite(at(rectangle(25, 10), -2.5, 0).moved(turn), at(disc(10), 10, 0).moved(turn))
    assert alike(tongue, round_ended_rectangle(30, 10).moved(turn))
    assert len(tongue.edges) == 4
    slot = obround(30, 10).moved(turn)
    (again,) = unite(
        rectangle(20, 10).moved(turn), at(disc(10), 10, 0).moved(turn), at(disc(10), -10, 0).moved(turn)
    )
    assert alike(again, slot)
    (drilled,) = cut(SQUARE.moved(turn), disc(6).moved(turn))
    assert alike(unite(drilled, disc(6).moved(turn))[0], SQUARE.moved(turn))


def test_given_coordinates_come_back_to_the_last_digit() -> None:
    """Vertices, centres and radii that stay are the very floats that were given."""
    odd = at(rectangle(0.1 + 0.2, 1 / 3, 1 / 9), 1 / 7, math.pi)
    (plate,) = unite(odd, at(disc(0.2), 1 / 7, math.pi))
    assert plate == odd
    (plate,) = cut(rectangle(61, 41, 1 / 3), at(disc(2 / 3), 1 / 7, 1 / 11))
    assert plate.outer == rectangle(61, 41, 1 / 3).outer
    assert plate.holes[0].circle == ((1 / 7, 1 / 11), 1 / 3)


@pytest.mark.parametrize("angle", [0.0, 7.3])
def test_a_pattern_of_twelve_circles_stays_twelve_circles(angle: float) -> None:
    """Cut, unite, mirror, array: every hole is a full circle of the given centre and radius, exactly."""
    places = [Motion.turn(angle).after(m) for m in bolt_circle(disc(9), 12, 80)]
    (flange,) = cut(ring(110, 40), *[disc(9).moved(place) for place in places])
    centres = {place((0.0, 0.0)) for place in places} | {(0.0, 0.0)}
    assert {hole.circle[0] for hole in flange.holes if hole.circle} == centres
    assert sorted(hole.circle[1] for hole in flange.holes if hole.circle) == [4.5] * 12 + [20]
    assert flange.area == pytest.approx(math.pi / 4 * (110**2 - 40**2 - 12 * 81), rel=1e-13)
    (joined,) = unite(flange, at(rectangle(40, 20), 60, 0, 180))
    kept = [hole for hole in joined.holes if hole.circle]
    assert all(len(hole.edges) == 2 for hole in kept)
    mirrored = flange.moved(Motion.turn_over())
    assert {h.circle[0] for h in mirrored.holes if h.circle} == {Motion.turn_over()(c) for c in centres}


@pytest.mark.parametrize("angle", TURNS)
def test_pieces_of_a_circle_come_together_as_the_circle(angle: float) -> None:
    """A disc cut in twelve sectors and united again is the disc of two half arcs, same centre and radius."""
    home = Motion.shift(31, -4).after(Motion.turn(angle))
    wedge = polygon([(0, 0), (40, 0), (40 * math.cos(math.pi / 6), 20)])
    (sector,) = intersect(disc(60), wedge)
    sectors = [sector.moved(home.after(Motion.turn(30.0 * i))) for i in range(12)]
    (whole,) = unite(*sectors)
    assert whole.holes == ()
    assert whole.outer.circle == (pytest.approx((31, -4)), 30)
    assert len(whole.outer.edges) == 2
    assert whole.area == pytest.approx(900 * math.pi, rel=1e-12)


def test_a_cut_that_parts_an_outline_gives_its_parts_in_order() -> None:
    parts = cut(rectangle(60, 20), rectangle(10, 30), at(rectangle(4, 40), 20, 0))
    assert [part.area for part in parts] == pytest.approx([500, 260, 160])
    assert [part.bounds[0] for part in parts] == [-30, 5, 22]
    assert cut(SQUARE, rectangle(30, 30)) == ()
    assert cut(SQUARE) == (SQUARE,)
    assert unite() == ()
    (frame,) = cut(rectangle(30, 30), SQUARE)
    assert len(frame.holes) == 1
    # An island in a hole is an area of its own.
    island = unite(frame, disc(8))
    assert sorted(round(o.area, 9) for o in island) == sorted([round(16 * math.pi, 9), 500.0])
    assert intersect(frame, SQUARE) == ()


def test_nested_rings_know_which_hole_is_whose() -> None:
    """Four rings inside each other: four outlines, each with its own hole."""
    rings = [ring(20 * k, 20 * k - 6) for k in (1, 2, 3, 4)]
    united = unite(*rings)
    assert len(united) == 4
    assert sorted(o.area for o in united) == pytest.approx([r.area for r in rings])
    assert all(len(o.holes) == 1 for o in united)


def test_names_survive_and_the_first_operand_wins_on_shared_edges() -> None:
    plate = SQUARE.retagged(lambda tag: f"plate.{tag}")
    foot = at(rectangle(10, 10), 15, -5).retagged(lambda tag: f"foot.{tag}")
    (united,) = unite(plate, foot)
    tags = {edge.tag: edge for edge in united.edges}
    # The two front sides are one line: the first edge in the order of the loop names the joined edge.
    assert tags["plate.front"].length == 30
    assert "foot.front" not in tags
    assert tags["plate.right"].length == 10
    assert set(tags) == {"plate.front", "plate.right", "plate.back", "plate.left", "foot.right", "foot.back"}
    (both,) = intersect(plate, SQUARE.retagged(lambda tag: f"other.{tag}"))
    assert {edge.tag for edge in both.edges} == {edge.tag for edge in plate.edges}
    (notched,) = cut(plate, at(rectangle(4, 10), 0, 10).retagged(lambda tag: f"slot.{tag}"))
    assert [e.tag for e in notched.edges].count("plate.back") == 2
    assert {e.tag for e in notched.edges if e.tag.startswith("slot")} == {
        "slot.left",
        "slot.front",
        "slot.right",
    }


def test_a_lattice_of_squares_with_every_corner_shared() -> None:
    """64 squares of a chess board touch only in corners; all 128 are one square of four edges."""
    squares = [rectangle(10, 10).moved(m) for m in grid(8, 8, 10, 10)]
    black = [s for i, s in enumerate(squares) if (i + i // 8) % 2]
    assert len(unite(*black)) == 32
    (board,) = unite(*squares)
    assert board == rectangle(80, 80)
    holes = cut(board, *black)
    assert len(holes) == 32
    assert sum(o.area for o in holes) == pytest.approx(3200)


@pytest.mark.parametrize("gap", [3e-7, -3e-7, 1e-9, -1e-9, 1e-13])
@pytest.mark.parametrize("angle", TURNS)
def test_gaps_and_overlaps_below_the_tolerance_are_none(gap: float, angle: float) -> None:
    """Areas less than LENGTH apart share their side; the result has no sliver and no needle."""
    turn = Motion.turn(angle)
    (bar,) = unite(SQUARE.moved(turn), at(SQUARE, 20 + gap, 0).moved(turn))
    assert problem(bar) is None
    assert len(bar.edges) == 4
    assert intersect(SQUARE.moved(turn), at(SQUARE, 20 + gap, 0).moved(turn)) == ()
    (peg,) = unite(SQUARE.moved(turn), at(obround(18, 8), 14 + gap, 0, 90).moved(turn))
    assert problem(peg) is None
    left = cut(SQUARE.moved(turn), at(disc(20), gap, gap).moved(turn))
    assert sum(o.area for o in left) == pytest.approx(400 - 100 * math.pi, abs=1e-4)


@pytest.mark.parametrize("angle", TURNS)
def test_a_wedge_of_less_than_the_tolerance_is_none(angle: float) -> None:
    """A square that leans 1.5e-6 mm over its neighbour at the top: 0.75e-6 mm in the mean, so nothing."""
    turn = Motion.turn(angle)
    lean = Motion.shift(10, -10).after(Motion.turn(math.degrees(7.5e-8))).after(Motion.shift(10, 10))
    first, second = SQUARE.moved(turn), SQUARE.moved(turn.after(lean))
    assert intersect(first, second) == ()
    assert len(unite(first, second)) == 1
    assert [o.area for o in cut(first, second)] == pytest.approx([400])


@pytest.mark.parametrize("gap", [1e-5, 1e-4])
def test_gaps_above_the_tolerance_are_gaps(gap: float) -> None:
    """Ten times LENGTH apart, areas are apart, and an overlap that deep is an area."""
    assert len(unite(SQUARE, at(SQUARE, 20 + gap, 0))) == 2
    (sliver,) = intersect(SQUARE, at(SQUARE, 20 - gap, 0))
    assert sliver.area == pytest.approx(20 * gap, rel=1e-6)


def test_edges_of_results_are_lines_and_arcs_of_at_most_half_a_turn() -> None:
    (shape,) = cut(
        unite(disc(50), at(obround(60, 20), 20, 5, 30))[0], at(disc(12), 40, 15), at(SQUARE, -25, 0)
    )
    assert problem(shape) is None
    assert {type(edge) for edge in shape.edges} == {Line, Arc}
    assert all(edge.sweep_rad <= math.pi + 1e-9 for edge in shape.edges if isinstance(edge, Arc))


def test_a_plate_and_four_feet_are_united_in_no_time() -> None:
    """A figure of a part must come while a slider moves: the union in less than 3 ms in plain Python."""
    (plate,) = cut(rectangle(100, 60, 8), disc(20))
    feet = [at(rectangle(10, 20), x, y) for x, y in ((50, 0), (-50, 0), (0, 30), (0, -30))]
    # The least of many runs: what else the machine does can only add.
    assert min(timeit.repeat(lambda: unite(plate, *feet), number=1, repeat=40)) < 3e-3


def test_importing_outlines_loads_no_kernel() -> None:
    """Exact mathematics in plain Python: neither the kernel nor a number library is imported."""
    heavy = ["OCP", "cadquery", "numpy", "shapely", "ezdxf", "pint", "trimesh"]
    code = f"import sys, formparts.outline; print([m for m in {heavy} if m in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_pieces_come_in_the_order_of_their_first_vertices() -> None:
    """The lowest of the leftmost: (0, 0) comes before (1, 5), though the long area reaches further to the right."""
    low, high = rectangle(10, 2).moved(Motion.shift(5, 1)), rectangle(1, 1).moved(Motion.shift(1.5, 5.5))
    for order in ((low, high), (high, low)):
        assert [piece.outer.vertices[0] for piece in unite(*order)] == [(0, 0), (1, 5)]


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0])
@pytest.mark.parametrize("first", [0, 1, 2])
def test_a_hole_whose_tip_touches_a_side_keeps_the_corner_there(turn: float, first: int) -> None:
    """A triangle cut out of a square of 20, its tip on the middle of a side: five edges outside, and no more."""
    corners = [(10.0, 0.0), (2.0, 4.0), (2.0, -4.0)]
    tip = Motion.turn(turn)(corners[0])
    triangle = polygon([*corners[first:], *corners[:first]]).moved(Motion.turn(turn))
    (found,) = cut(SQUARE, triangle)
    assert len(found.outer.edges) == 5
    assert sum(math.dist(edge.start, tip) < 1e-9 for edge in found.outer.edges) == 1
    assert [len(hole.edges) for hole in found.holes] == [3]
    assert found.area == pytest.approx(400.0 - 32.0, rel=1e-12)


def test_rectangles_that_share_a_corner_and_a_side_have_no_corners_to_spare() -> None:
    """Two of 10 by 5 in a row, and a third on top of the first: an L of six corners."""
    row = [at(rectangle(10, 5), x, y) for x, y in ((0, 0), (10, 0), (0, 5))]
    (found,) = unite(*row)
    assert len(found.outer.edges) == 6


@pytest.mark.parametrize("turned", [False, True])
def test_each_hole_belongs_to_the_smallest_outline_round_it(turned: bool) -> None:
    """Two rings within one another, in either order: pi/4 (100^2 - 80^2) and pi/4 (60^2 - 40^2)."""
    rings = [ring(100, 80), ring(60, 40)]
    found = unite(*(rings[::-1] if turned else rings))
    assert [len(outline.holes) for outline in found] == [1, 1]
    areas = sorted(outline.area for outline in found)
    assert areas == pytest.approx([math.pi / 4 * 2000.0, math.pi / 4 * 3600.0], rel=1e-12)


def test_turning_over_changes_the_sign_of_y() -> None:
    assert Motion.turn_over()((1.0, 2.0)) == (1.0, -2.0)
    assert Motion.turn_over().turns_over
