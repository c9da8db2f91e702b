"""Flats and bends that overlap on the blank, against a hand calculation and against shapely."""

from __future__ import annotations

import math
import random

import cadquery as cq
import pytest
from shapely import Polygon

from formparts.outline.edges import Arc, Edge, Line
from formparts.tolerances import LENGTH
from formparts.unfolder import unfold
from formparts.unfolder.overlapping import _just_left, chords, overlaps, patch_of
from formparts.unfolder.slabs import Trapezoid, least_width, regions
from formparts.unfolder.space import Pair
from tests.unfolder.foreign import by_k, extruded

Ring = list[tuple[float, float]]


def inward_walls(height: float) -> cq.Shape:
    """An L-shaped floor with a wall on each side of its inner corner, both 40 wide, 15 away from the corner."""
    floor = (
        cq.Workplane().polyline([(0, 0), (95, 0), (95, 35), (35, 35), (35, 95), (0, 95)]).close().extrude(2)
    )
    wall = extruded([(10,), (90, 3), (height,)], w=40.0).translate((25, 50, 0)).val()
    other = wall.mirror("XZ", (0, 0, 0)).rotate((0, 0, 0), (0, 0, 1), 90)
    return floor.val().fuse(wall, other).clean()


def test_walls_that_stand_clear_but_lie_on_one_another() -> None:
    """
    Tangent lines at 35, arcs of pi/2 x 3.88, walls 40 high: each reaches to 81.094690, and covers from 50 on.

    So a square of 31.094690 is wanted twice.
    """
    found = unfold(inward_walls(40), by_k).blank
    side = 35 + math.pi / 2 * 3.88 + 40 - 50
    (overlap,) = found.overlaps
    assert overlap.area == pytest.approx(side**2, rel=1e-9)
    assert overlap.depth == pytest.approx(side, rel=1e-9)


def test_walls_that_are_low_enough_do_not() -> None:
    """At 8.8 high they reach to 49.895, and to 50.095 at 9: the first is free, the second just not."""
    assert unfold(inward_walls(8.8), by_k).blank.overlaps == ()
    (overlap,) = unfold(inward_walls(9.0), by_k).blank.overlaps
    assert overlap.depth == pytest.approx(35 + math.pi / 2 * 3.88 + 9 - 50, rel=1e-9)


def edges_of(*rings: Ring) -> list[Edge]:
    """Rims as lines."""
    return [Line(ring[n - 1], here) for ring in rings for n, here in enumerate(ring)]


def frame_and_bar(rng: random.Random) -> tuple[list[Ring], list[Ring]]:
    """A four-sided frame with a window, and a triangle over it, both askew."""

    def turned(ring: Ring, angle: float, x: float, y: float) -> Ring:
        cos, sin = math.cos(angle), math.sin(angle)
        return [(cos * a - sin * b + x, sin * a + cos * b + y) for a, b in ring]

    angle, x, y = rng.uniform(0, 6), rng.uniform(-9, 9), rng.uniform(-9, 9)
    frame = [
        turned(ring, angle, x, y)
        for ring in ([(-9, -6), (9, -6), (9, 6), (-9, 6)], [(-5, -3), (-5, 3), (5, 3), (5, -3)])
    ]
    bar = turned([(-14, -2), (14, -1), (3, 4)], rng.uniform(0, 6), 0.0, 0.0)
    return frame, [bar]


@pytest.mark.parametrize("seed", range(40))
def test_area_of_overlaps_as_shapely_finds_it(seed: int) -> None:
    """Random patches with straight edges; the referee is shapely's intersection."""
    first, second = frame_and_bar(random.Random(seed))
    reference = Polygon(first[0], [first[1]]).intersection(Polygon(second[0])).area
    found = overlaps([patch_of("one", edges_of(*first)), patch_of("other", edges_of(*second))], {})
    assert math.fsum(overlap.area for overlap in found) == pytest.approx(reference, abs=1e-6)


def test_pieces_that_touch_are_reported_unless_a_hinge_joins_them() -> None:
    """Two squares side by side: an overlap of no depth; none where their common edge is a bend line."""
    left = patch_of("left", edges_of([(0, 0), (10, 0), (10, 10), (0, 10)]))
    right = patch_of("right", edges_of([(10, 2), (20, 2), (20, 8), (10, 8)]))
    (touch,) = overlaps([left, right], {})
    assert (touch.depth, touch.area) == (0.0, 0.0)
    assert touch.place == pytest.approx((10.0, 5.0))
    assert overlaps([left, right], {frozenset(("left", "right")): [((10.0, 2.0), (10.0, 8.0))]}) == ()


def test_a_piece_within_a_window_of_another_does_not_overlap_it() -> None:
    frame = patch_of(
        "frame", edges_of([(0, 0), (20, 0), (20, 20), (0, 20)], [(5, 5), (5, 15), (15, 15), (15, 5)])
    )
    inner = patch_of("inner", edges_of([(6, 6), (14, 6), (14, 14), (6, 14)]))
    assert overlaps([frame, inner], {}) == ()


def test_two_equal_pieces_on_one_another() -> None:
    """Every edge lies on an edge: the whole area counts."""
    ring = [(0.0, 0.0), (10.0, 0.0), (12.0, 7.0), (0.0, 5.0)]
    (overlap,) = overlaps([patch_of("a", edges_of(ring)), patch_of("b", edges_of(ring))], {})
    assert overlap.area == pytest.approx(Polygon(ring).area, rel=1e-9)


@pytest.mark.parametrize(
    "places", [[(3.0, 4.0)], [(0.0, 0.0), (3.0, 4.0)], [(0.0, 0.0), (1e-9, 0.0), (3.0, 4.0)]]
)
def test_what_has_no_three_corners_has_no_width(places: Ring) -> None:
    assert least_width(places) == 0.0


@pytest.mark.parametrize("place", [(0.0, 0.0), (100.0, -70.0), (-30.0, 500.0)])
@pytest.mark.parametrize(("ahead", "left"), [((10, 0), (0, 1)), ((0, 10), (-1, 0)), ((-6, -8), (0.8, -0.6))])
def test_just_left_is_two_places_that_are_one_away(place: Pair, ahead: Pair, left: Pair) -> None:
    """Square to the edge, beside its middle, on the side of the material."""
    (x, y), (dx, dy) = place, ahead
    found = _just_left(Line(place, (x + dx, y + dy)))
    away = 2.0 * LENGTH
    assert found == pytest.approx(
        (x + dx / 2 + away * left[0], y + dy / 2 + away * left[1]), abs=1e-3 * LENGTH
    )


def test_trapezoids_side_by_side_at_one_height_are_two_regions() -> None:
    """One rests on the other where they share more than a point of a level side, wherever that is."""

    def trapezoid(x0: float, x1: float, y: float) -> Trapezoid:
        return ((x0, y), (x1, y), (x1, y + 1.0), (x0, y + 1.0))

    for x in (-50.0, 0.0, 50.0):
        below = trapezoid(x, x + 2.0, 0.0)
        assert len(regions([below, trapezoid(x + 1.0, x + 3.0, 1.0)])) == 1
        assert len(regions([below, trapezoid(x + 2.0, x + 4.0, 1.0)])) == 2
        assert len(regions([below, trapezoid(x + 5.0, x + 6.0, 1.0)])) == 2
        assert len(regions([below, trapezoid(x - 4.0, x - 3.0, 1.0)])) == 2


def test_least_width_of_a_slanted_strip() -> None:
    """A strip 3 wide, turned by 30 deg."""
    cos, sin = math.cos(math.pi / 6), 0.5
    corners = [(x * cos - y * sin, x * sin + y * cos) for x in (0.0, 10.0) for y in (0.0, 3.0)]
    assert least_width(corners) == pytest.approx(3.0, abs=1e-12)


def test_area_of_two_discs_on_one_another() -> None:
    """
    Discs of 10 and 7 with centres 12 apart: the lens is r^2 acos(a/r) - a sqrt(r^2 - a^2) on either side.

    Source: exact mathematics (circular segments on both sides of the common chord).
    """
    d, r, s = 12.0, 10.0, 7.0
    a = (d * d + r * r - s * s) / (2 * d)
    lens = sum(q * q * math.acos(b / q) - b * math.sqrt(q * q - b * b) for q, b in ((r, a), (s, d - a)))
    discs = [patch_of(str(x), disc_of(x, radius)) for x, radius in ((0.0, r), (d, s))]
    (overlap,) = overlaps(discs, {})
    assert overlap.area == pytest.approx(lens, rel=1e-4)
    assert overlap.depth == pytest.approx(r + s - d, abs=1e-3)


def disc_of(x: float, radius: float) -> list[Edge]:
    left, right = (x - radius, 0.0), (x + radius, 0.0)
    return [Arc(left, right, (x, 0.0), radius, True), Arc(right, left, (x, 0.0), radius, True)]


def test_two_places_are_two_overlaps() -> None:
    """A bar of 2 across both legs of a fork, each 3 wide: twice 6."""
    fork = edges_of([(0, 0), (20, 0), (20, 10), (17, 10), (17, 3), (3, 3), (3, 10), (0, 10)])
    bar = edges_of([(-5, 5), (25, 5), (25, 7), (-5, 7)])
    found = overlaps([patch_of("fork", fork), patch_of("bar", bar)], {})
    assert [(o.first, o.second, round(o.area, 9), round(o.depth, 9)) for o in found] == [
        ("fork", "bar", 6.0, 2.0)
    ] * 2


@pytest.mark.parametrize("seed", range(10))
def test_least_width_is_that_of_all_directions(seed: int) -> None:
    """Against the extent of the same places in 2,000 directions."""
    rng = random.Random(seed)
    places = [(rng.gauss(0, 5), rng.gauss(0, 2)) for _ in range(30)]
    extents = []
    for number in range(2_000):
        cos, sin = math.cos(math.pi * number / 2_000), math.sin(math.pi * number / 2_000)
        steps = [cos * x + sin * y for x, y in places]
        extents.append(max(steps) - min(steps))
    assert min(extents) - 2e-2 <= least_width(places) <= min(extents)


FAR = [(0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0), (-1000.0, 0.0), (0.0, -1000.0), (700.0, -900.0)]
SQUARE: Ring = [(0, 0), (10, 0), (10, 10), (0, 10)]


def quarter_turned(ring: Ring, quarters: int, by: tuple[float, float]) -> Ring:
    """A ring turned by quarters about the origin, then shifted."""
    for _ in range(quarters):
        ring = [(-y, x) for x, y in ring]
    return [(x + by[0], y + by[1]) for x, y in ring]


PAIRS: dict[str, tuple[list[Ring], Ring]] = {
    "within": ([SQUARE], [(2, 3), (7, 4), (4, 6)]),
    "within, in its corner": ([SQUARE], [(0, 0), (4, 0), (0, 3)]),
    "a bar across a bar": ([[(0, 0), (30, 0), (30, 2), (0, 2)]], [(3, -1), (5, -1), (5, 20), (3, 20)]),
    "in a notch": ([[(0, 0), (9, 0), (9, 3), (4, 3), (4, 8), (0, 8)]], [(4, 3), (9, 3), (9, 8), (4, 8)]),
    "over a window": (
        [[(0, 0), (20, 0), (20, 20), (0, 20)], [(5, 5), (5, 15), (15, 15), (15, 5)]],
        [(5, 5), (15, 5), (15, 16), (5, 16)],
    ),
    "a flat lozenge on its like": (
        [[(-10, 0), (0, -3), (10, 0), (0, 3)]],
        [(-10, 0), (0, -3), (10, 0), (0, 3)],
    ),
    "a corner over an edge": ([SQUARE], [(9, 5), (14, 3), (14, 7)]),
    "beside": ([SQUARE], [(12, 0), (20, 0), (20, 10), (12, 10)]),
    "boxes meet, rims do not": ([[(0, 0), (10, 0), (0, 10)]], [(10, 4), (10, 10), (4, 10)]),
}


@pytest.mark.parametrize("kind", PAIRS)
@pytest.mark.parametrize("place", FAR)
def test_wherever_two_pieces_lie_and_however_they_are_turned(kind: str, place: tuple[float, float]) -> None:
    """All four quarter turns, either patch first; the referee is shapely's intersection."""
    rings, other = PAIRS[kind]
    reference = Polygon(rings[0], rings[1:]).intersection(Polygon(other)).area
    for quarters in range(4):
        patches = [
            patch_of("one", edges_of(*(quarter_turned(ring, quarters, place) for ring in rings))),
            patch_of("other", edges_of(quarter_turned(other, quarters, place))),
        ]
        for pair in (patches, patches[::-1]):
            found = overlaps(pair, {})
            assert math.fsum(overlap.area for overlap in found) == pytest.approx(reference, abs=1e-6)
            assert {(overlap.first, overlap.second) for overlap in found} <= {(pair[0].name, pair[1].name)}


SIDE_BY_SIDE: dict[str, tuple[Ring, Ring, tuple[tuple[float, float], tuple[float, float]]]] = {
    "all of an edge": (SQUARE, [(10, 0), (20, 0), (20, 10), (10, 10)], ((10, 0), (10, 10))),
    "half an edge": (SQUARE, [(10, 5), (20, 5), (20, 15), (10, 15)], ((10, 5), (10, 10))),
    "slanted": ([(0, 0), (8, 0), (0, 6)], [(8, 0), (8, 6), (0, 6)], ((8, 0), (0, 6))),
    "part of a slant": ([(0, 0), (8, 0), (0, 6)], [(4, 3), (12, -3), (12, 3)], ((4, 3), (8, 0))),
}


@pytest.mark.parametrize("kind", SIDE_BY_SIDE)
@pytest.mark.parametrize("place", FAR)
def test_where_two_pieces_touch(kind: str, place: tuple[float, float]) -> None:
    """The middle of the stretch that both have in common, without depth; a hinge along it excuses it, another not."""
    first, second, (start, end) = SIDE_BY_SIDE[kind]
    for quarters in range(4):
        one, other, (a, b) = (quarter_turned(ring, quarters, place) for ring in (first, second, [start, end]))
        patches = [patch_of("one", edges_of(one)), patch_of("other", edges_of(other))]
        (touch,) = overlaps(patches, {})
        assert (touch.depth, touch.area) == (0.0, 0.0)
        assert touch.place == pytest.approx(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), abs=1e-9)
        both = frozenset(("one", "other"))
        assert overlaps(patches, {both: [(b, a)]}) == ()
        beyond = (2 * b[0] - a[0], 2 * b[1] - a[1])
        assert len(overlaps(patches, {both: [(b, beyond)]})) == 1


@pytest.mark.parametrize(
    "other",
    [[(10, 10), (20, 10), (20, 20), (10, 20)], [(10, 0), (14, -4), (14, 4)], [(10, 20), (20, 0), (20, 20)]],
    ids=["corner on corner", "corner on an edge's end", "an edge aside"],
)
def test_a_corner_alone_does_not_touch(other: Ring) -> None:
    assert overlaps([patch_of("one", edges_of(SQUARE)), patch_of("other", edges_of(other))], {}) == ()


@pytest.mark.parametrize("sweep", [0.2, 1.5, math.pi])
@pytest.mark.parametrize("within", [0.5, 0.01, 0.0001])
def test_chords_stay_as_near_to_their_arc_as_they_must_and_are_no_more_than_needed(
    sweep: float, within: float
) -> None:
    """The sagitta of a chord over an angle is r (1 - cos(angle / 2)) (exact mathematics)."""
    radius = 9.0
    arc = Arc((radius, 0.0), (radius * math.cos(sweep), radius * math.sin(sweep)), (0.0, 0.0), radius, True)
    found = chords(arc, within)

    def sagitta(count: int) -> float:
        return radius * (1.0 - math.cos(sweep / count / 2))

    assert sagitta(len(found)) <= within * (1.0 + 1e-9)
    assert len(found) == 1 or sagitta(len(found) - 1) > within
    assert (found[0][0], found[-1][1]) == (arc.start, arc.end)
    for (start, end), after in zip(found, [*found[1:], None], strict=True):
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        assert radius - math.hypot(*middle) == pytest.approx(sagitta(len(found)), abs=1e-9)
        assert after is None or after[0] == end


def test_an_edge_without_length_does_no_harm() -> None:
    """As the tip of a cone leaves one: the triangle within the square covers 2 x 2 / 2."""
    rim = [*edges_of([(3, 3), (5, 3), (3, 5)]), Line((3.0, 3.0), (3.0, 3.0))]
    (overlap,) = overlaps([patch_of("square", edges_of(SQUARE)), patch_of("tip", rim[::-1])], {})
    assert overlap.area == pytest.approx(2.0, abs=1e-9)


def test_overlaps_come_in_the_order_of_the_pieces() -> None:
    """The pair of the first patches before that of the last ones, though it lies further right."""
    patches = [
        patch_of(name, edges_of([(x, 0), (x + 6, 0), (x + 6, 6), (x, 6)]))
        for name, x in (("a", 50), ("b", 45), ("c", 0), ("d", 5))
    ]
    found = overlaps(patches, {})
    assert [(overlap.first, overlap.second) for overlap in found] == [("a", "b"), ("c", "d")]


@pytest.mark.parametrize("at", [0, -90])
def test_two_places_side_by_side_are_two_overlaps(at: int) -> None:
    """Two bars, 1 wide and 5 high, lean by 2 across a board: the one ends above where the other begins."""
    bars = [[(x, 0), (x + 1, 0), (x + 3, 5), (x + 2, 5)] for x in (at, at + 2)]
    board = patch_of("board", edges_of([(at - 9, -1), (at + 9, -1), (at + 9, 6), (at - 9, 6)]))
    found = overlaps([board, patch_of("bars", edges_of(*bars))], {})
    assert [overlap.area for overlap in found] == pytest.approx([5.0, 5.0])
    assert [overlap.depth for overlap in found] == pytest.approx([5 / 29**0.5] * 2)
    assert sorted(overlap.place for overlap in found) == [
        pytest.approx((at + 1.5, 2.5)),
        pytest.approx((at + 3.5, 2.5)),
    ]


def test_a_piece_within_the_last_tooth_of_a_comb() -> None:
    """Three teeth of 2, 4 apart: a square of 1 in the third one, five rims to its left, is covered whole."""
    comb = [(0, 0), (10, 0), (10, 9), (8, 9), (8, 1), (6, 1), (6, 9), (4, 9), (4, 1), (2, 1), (2, 9), (0, 9)]
    square = patch_of("square", edges_of([(8.5, 5), (9.5, 5), (9.5, 6), (8.5, 6)]))
    (overlap,) = overlaps([patch_of("comb", edges_of(comb)), square], {})
    assert overlap.area == pytest.approx(1.0)


def test_an_arc_does_not_touch_along_its_chord() -> None:
    """A hollow of R 5 in the lower side of one patch over the upper side of another: two corners in common."""
    arched = [
        Arc((-4, 3), (4, 3), (0, 0), 5.0, False),
        Line((4, 3), (4, 9)),
        Line((4, 9), (-4, 9)),
        Line((-4, 9), (-4, 3)),
    ]
    below = edges_of([(-4, -5), (4, -5), (4, 3), (-4, 3)])
    assert overlaps([patch_of("below", below), patch_of("arched", arched)], {}) == ()
