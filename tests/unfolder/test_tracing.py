"""Circles of a flat and curves in disguise on the blank: in the right sense, in few arcs, on their curve."""

from __future__ import annotations

import math
from itertools import pairwise, product

import pytest

from formparts.outline.edges import Arc, Line, Motion
from formparts.outline.regions import Loop
from formparts.tolerances import FOLLOWED, RECOGNISED
from formparts.unfolder.develop import crossings
from formparts.unfolder.placing import FlatMap
from formparts.unfolder.sewing import BlankEdge, area_of, chained, outline_from, straightened
from formparts.unfolder.solid_data import Circle, Edge
from formparts.unfolder.space import Pair, Vector, cross, times
from formparts.unfolder.tracing import followed, traced
from formparts.unfolder.walls import size

E1, E2, E3 = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
AXES = [
    ((0.6, 0.0, 0.8), (0.48, 0.8, -0.36)),
    *((E1, E2), (E2, E3), (E3, E1)),
    *((E2, times(-1.0, E1)), (E3, times(-1.0, E2)), (E1, times(-1.0, E3))),
]
"""Of flats: one askew, and those square in space, each turned by a quarter too."""
CENTRE = (11.0, 12.0, 13.0)


def arc_in(x: tuple[float, float, float], y: tuple[float, float, float], first: float, turn: float) -> Edge:
    """A circle of 5 about CENTRE from x towards y, from an angle on."""
    circle = Circle(CENTRE, cross(x, y), x, y, 5.0)
    return Edge(0, 1, "circle", first, first + turn, circle, circle.point, [])


@pytest.mark.parametrize("axes", AXES)
def test_an_arc_of_a_flat_keeps_its_sense(axes: tuple[Vector, Vector]) -> None:
    """
    A flat askew or square in space, so that it is mapped by hand: angle a lies at 5 (cos a, sin a) along its axes.

    Turned anticlockwise as seen from before, clockwise from behind or run back; an arc is at most half a turn.
    """
    turns, ways = (0.3, 2.0, math.pi, 4.5, 6.2), (True, False)
    for turn, first, forward, behind in product(turns, (0.0, 1.1, -2.5), ways, ways):
        keeps_its_sense(turn, first, forward, behind, axes)


def keeps_its_sense(
    turn: float, first: float, forward: bool, seen_from_behind: bool, axes: tuple[Vector, Vector]
) -> None:
    x_axis, y_axis = axes
    y = times(-1.0, y_axis) if seen_from_behind else y_axis
    edge = arc_in(x_axis, y, first, turn)
    sign = -1.0 if seen_from_behind else 1.0
    cx, cy = (sum(a * b for a, b in zip(CENTRE, axis, strict=True)) for axis in axes)

    def by_hand(share: float) -> Pair:
        angle = first + (share if forward else 1.0 - share) * turn
        return (cx + 2.0 + 5.0 * math.cos(angle), cy - 7.0 + sign * 5.0 * math.sin(angle))

    flat = FlatMap(x_axis, y_axis, (2.0, -7.0))
    found, exact = traced(edge, forward, (by_hand(0.0), by_hand(1.0)), flat)
    assert exact
    assert len(found) == (1 if turn < math.pi - 0.1 else 2)
    assert math.fsum(each.length for each in found) == pytest.approx(5.0 * turn, abs=1e-9)
    assert all(isinstance(each, Arc) and each.ccw == (forward != seen_from_behind) for each in found)
    for number, each in enumerate(found):
        assert each.start == pytest.approx(by_hand(number / len(found)), abs=1e-9)
        assert each.middle == pytest.approx(by_hand((number + 0.5) / len(found)), abs=1e-9)
        assert each.end == pytest.approx(by_hand((number + 1) / len(found)), abs=1e-9)


@pytest.mark.parametrize("turn", [0.2, 2.7, 2.9, 4.0, 6.0, math.tau])
@pytest.mark.parametrize("sense", [1.0, -1.0])
@pytest.mark.parametrize("radius", [40.0, 0.2])
def test_a_circle_in_disguise_lies_on_itself(turn: float, sense: float, radius: float) -> None:
    """About (3, 5), run unevenly: every end and middle is on it, and the area is that of the sector."""

    def spot(share: float) -> Pair:
        angle = 0.7 + sense * turn * (0.6 * share + 0.4 * share**2)
        return (3.0 + radius * math.cos(angle), 5.0 + radius * math.sin(angle))

    end = spot(0.0) if turn == math.tau else spot(1.0)
    found, exact = followed(spot, spot(0.0), end)
    assert exact
    assert len(found) == (1 if turn < 0.9 * math.pi else 5)
    assert (found[0].start, found[-1].end) == (spot(0.0), end)
    assert all(one.end == other.start for one, other in pairwise(found))
    for each in found:
        assert isinstance(each, Arc)
        for place in (each.start, each.middle, each.end, each.centre):
            away = math.dist(place, (3.0, 5.0))
            assert away == pytest.approx(0.0 if place == each.centre else radius, abs=1e-9)
    closed = [*found, Line(end, (3.0, 5.0)), Line((3.0, 5.0), spot(0.0))]
    assert area_of(closed, (0.0, 0.0)) == pytest.approx(sense * turn * radius**2 / 2.0, rel=1e-9)


@pytest.mark.parametrize("lift", [0.5 * RECOGNISED, 3.0 * RECOGNISED])
def test_a_line_is_one_within_what_is_stated(lift: float) -> None:
    """A hump of less than RECOGNISED over 10 is a line; one of more is not, though its arc is."""
    found, _ = followed(
        lambda share: (10.0 * share, 4.0 * lift * share * (1.0 - share)), (0.0, 0.0), (10.0, 0.0)
    )
    assert isinstance(found[0], Line) == (lift < RECOGNISED)


@pytest.mark.parametrize("rise", [0.1, 1.0, 30.0])
def test_a_parabola_is_followed_by_few_pieces(rise: float) -> None:
    """At 401 places within FOLLOWED of the nearest edge; lines would need hundreds, arcs a few dozen at most."""

    def spot(share: float) -> Pair:
        return (10.0 * share, rise * share * share)

    found, exact = followed(spot, spot(0.0), spot(1.0))
    assert exact == (len(found) == 1)
    away = [min(each.distance(spot(number / 400)) for each in found) for number in range(401)]
    assert max(away) <= FOLLOWED
    assert len(found) < 60


def test_loops_start_at_the_lowest_of_their_leftmost_corners() -> None:
    """Whichever corner they were found from: the outer loop at (0, 0), and the hole, which runs the other way, too."""
    outer = [(0.0, 0.0), (9.0, -1.0), (8.0, 9.0), (0.0, 7.0)]
    hole = [(2.0, 2.0), (2.0, 5.0), (5.0, 1.0)]
    for turned in range(3):
        loops = [
            Loop(tuple(Line(ring[n - 1], ring[n]) for n in (*range(turned, len(ring)), *range(turned))))
            for ring in (outer, hole)
        ]
        found = outline_from(loops[0], [loops[1]])
        assert found.outer.edges[0].start == (0.0, 0.0)
        assert found.holes[0].edges[0].start == (2.0, 2.0)


@pytest.mark.parametrize("turns", [[1.2, 1.0, 1.3], [1.2, 1.0, 0.7], [2.0, 2.0, 2.2], [2.0, 2.5], [1.0, 1.2]])
@pytest.mark.parametrize("ccw", [True, False])
def test_pieces_of_one_circle_are_as_few_equal_arcs_as_can_be(turns: list[float], ccw: bool) -> None:
    """
    Radius 5 about (1, 2), three arcs of 2.9, 3.5 or 6.2 rad together, closed by two radii.

    An arc is at most half a turn, so that one is left of less than pi, and two of more.
    """
    sense, angles = (1.0 if ccw else -1.0), [0.4]
    for turn in turns:
        angles.append(angles[-1] + sense * turn)
    places = [(1.0 + 5.0 * math.cos(angle), 2.0 + 5.0 * math.sin(angle)) for angle in angles]
    arcs = [Arc(here, there, (1.0, 2.0), 5.0, ccw) for here, there in pairwise(places)]
    found = straightened(Loop((*arcs, Line(places[-1], (1.0, 2.0)), Line((1.0, 2.0), places[0]))))
    round_ones = [edge for edge in found.edges if isinstance(edge, Arc)]
    assert len(round_ones) == (1 if sum(turns) < math.pi else 2)
    assert len(found.edges) == len(round_ones) + 2
    for edge in round_ones:
        assert edge.length == pytest.approx(5.0 * sum(turns) / len(round_ones), rel=1e-12)
        assert (edge.centre, edge.radius, edge.ccw) == ((1.0, 2.0), 5.0, ccw)
    assert size(found) == pytest.approx(sense * 12.5 * sum(turns), rel=1e-12)


@pytest.mark.parametrize("place", [0.3, 0.7])
def test_a_curve_that_tears_is_halved_fourteen_times(place: float) -> None:
    """
    A line of 1000 with a step of 1 in it: at each halving one half is a line, the other is halved again.

    After 14 halvings that makes 15 edges, and the one with the step is 1000 / 2^14 long along the line.
    """

    def spot(share: float) -> Pair:
        return (1000.0 * share, 0.0 if share < place else 1.0)

    found, exact = followed(spot, spot(0.0), spot(1.0))
    assert not exact
    assert len(found) == 15
    assert all(one.end == other.start for one, other in pairwise(found))
    (step,) = [edge for edge in found if edge.start[1] != edge.end[1]]
    assert step.end[0] - step.start[0] == pytest.approx(1000.0 / 2**14, rel=1e-9)


def test_a_short_line_in_disguise_is_one_too() -> None:
    """Half a millimetre, run unevenly."""
    found, exact = followed(lambda share: (0.3 * share**2, 0.4 * share**2), (0.0, 0.0), (0.3, 0.4))
    assert (found, exact) == ([Line((0.0, 0.0), (0.3, 0.4))], True)


@pytest.mark.parametrize("first", range(6))
def test_lines_that_run_on_are_one_wherever_the_loop_begins(first: int) -> None:
    """A square of 10 with vertices in the middles of two sides, begun at any of its six."""
    corners = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 4.0)]
    ring = corners[first:] + corners[:first]
    found = straightened(Loop(tuple(Line(here, ring[n - 5]) for n, here in enumerate(ring))))
    assert sorted(edge.start for edge in found.edges) == [(0.0, 0.0), (0.0, 10.0), (10.0, 0.0), (10.0, 10.0)]
    assert all(edge.length == 10.0 for edge in found.edges)
    assert size(found) == 100.0


@pytest.mark.parametrize(
    ("start", "end", "sides"),
    [
        ((1, 3), (1, -5), [-1]),
        ((1, -5), (1, 3), [1]),
        ((-3, -1), (5, -1), []),
        ((5, -1), (-3, -1), [-1, 1]),
    ],
)
def test_where_a_line_crosses_an_arc(start: Pair, end: Pair, sides: list[int]) -> None:
    """
    Halves of a circle of 4 about (1, -1), anticlockwise, and a line 2 above its centre, run from (7, 1) to the left.

    By Pythagoras they meet sqrt 12 to the left and right of x = 1, which is 6 from where the line begins.
    """
    found = crossings(Arc(start, end, (1.0, -1.0), 4.0, True), (7.0, 1.0), (-1.0, 0.0))
    assert sorted(found) == pytest.approx(sorted(6 - side * math.sqrt(12) for side in sides))


def test_loops_that_meet_in_a_point_are_two_chains() -> None:
    """Two triangles with one corner in common: each chain ends where it began, though another edge starts there."""
    ways = [(0, 1), (1, 2), (2, 0), (0, 3), (3, 4), (4, 0)]
    runs = [BlankEdge(start, end, number, 0, 0, (), True) for number, (start, end) in enumerate(ways)]
    assert [[run.edge for run in chain] for chain in chained(runs)] == [[0, 1, 2], [3, 4, 5]]


def test_where_loops_of_two_faces_touch_each_stays_with_its_own() -> None:
    """A triangle and a square with the corner 1 in common, begun elsewhere: at the corner there is a choice."""
    triangle, square = [(0, 1), (1, 2), (2, 0)], [(3, 1), (1, 4), (4, 5), (5, 3)]
    for first, second in ((7, 8), (8, 7)):
        runs = [
            BlankEdge(start, end, number, face, 0, (), True)
            for number, (start, end, face) in enumerate(
                [(*way, first) for way in triangle] + [(*way, second) for way in square]
            )
        ]
        for turned in (runs, runs[::-1], [*runs[3:], *runs[:3]]):
            chains = [{run.face for run in chain} for chain in chained(turned)]
            assert sorted(map(sorted, chains)) == [[7], [8]]


def test_holes_come_in_the_order_of_their_first_corners() -> None:
    """From left to right by where each begins, however they were found, and whatever their other corners are."""
    corners = [(0.0, 0.0), (90.0, 0.0), (90.0, 90.0), (0.0, 90.0)]
    rings = [[(20.0, 20.0), (20.0, 80.0), (25.0, 30.0)], [(30.0, 20.0), (31.0, 25.0), (32.0, 20.0)]]
    outer, *holes = (
        Loop(tuple(Line(ring[n - 1], ring[n]) for n in (*range(1, len(ring)), 0)))
        for ring in (corners, *rings)
    )
    found = outline_from(outer, holes)
    assert found == outline_from(outer, holes[::-1])
    assert [hole.edges[0].start for hole in found.holes] == [(20.0, 20.0), (30.0, 20.0)]


@pytest.mark.parametrize("turn", [0.0, 90.0, 200.0])
def test_where_a_slanted_line_crosses_a_bend_line(turn: float) -> None:
    """From 1 below to 3 above over a run of 4: one after 1; and not at all where both ends are on one side."""
    move = Motion.shift(30.0, -20.0).after(Motion.turn(turn))
    origin, ahead = move((0.0, 0.0)), move((1.0, 0.0))
    way = (ahead[0] - origin[0], ahead[1] - origin[1])
    for line in (Line((0.0, -1.0), (4.0, 3.0)), Line((4.0, 3.0), (0.0, -1.0))):
        assert crossings(line.moved(move), origin, way) == [pytest.approx(1.0, abs=1e-12)]
    assert crossings(Line((0.0, 1.0), (4.0, 3.0)).moved(move), origin, way) == []


def test_short_lines_that_run_on_are_one_too() -> None:
    """A square of 0.5 with a vertex in the middle of each side."""
    ring = [
        (0.0, 0.0),
        (0.25, 0.0),
        (0.5, 0.0),
        (0.5, 0.25),
        (0.5, 0.5),
        (0.25, 0.5),
        (0.0, 0.5),
        (0.0, 0.25),
    ]
    found = straightened(Loop(tuple(Line(here, ring[n - 7]) for n, here in enumerate(ring))))
    assert [edge.length for edge in found.edges] == [0.5] * 4


def test_many_small_turns_do_not_add_up() -> None:
    """Two hundred edges along a parabola, each straight on within 1e-6 mm: no vertex is lost by more."""
    bent = [(0.05 * n, 2e-5 * (0.05 * n) * (0.05 * n - 10.0)) for n in range(201)]
    ring = [*bent, (10.0, 10.0), (0.0, 10.0)]
    found = straightened(Loop(tuple(Line(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))))
    assert 10 < len(found.edges) < 100
    assert max(found.distance(place) for place in ring) <= 1e-6
