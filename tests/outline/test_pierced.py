"""Openings that lie free are put in without an overlay: the result is that of the overlay, edge for edge."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from formparts.outline import Motion, Outline, cut, disc, obround, polygon, rectangle, ring, unite
from formparts.outline.overlay import _is_pierced, _overlay
from formparts.outline.soundness import problem


def sound(outline: Outline) -> Outline:
    """The short way is for outlines that were found sound: it is noted on them."""
    assert problem(outline) is None
    return outline


PLATE = sound(rectangle(100, 80, 12))
PLACE = st.tuples(st.floats(-60, 60), st.floats(-50, 50), st.floats(0, 360))
SHAPE = st.sampled_from(
    [sound(shape) for shape in (disc(9), obround(18, 7), rectangle(11, 6), polygon([(0, 0), (9, 0), (2, 7)]))]
)


def overlaid(outline: Outline, *tools: Outline) -> tuple[Outline, ...]:
    """The long way: everything laid over everything else."""
    operands = [(outline, 1, 0), *[(tool, 0, 1) for tool in tools]]
    return _overlay("cut", operands, lambda winding: winding[0] > 0 and winding[1] <= 0)


def tags(outlines: tuple[Outline, ...]) -> list[str]:
    return [edge.tag for outline in outlines for edge in outline.edges]


@given(st.lists(st.tuples(SHAPE, PLACE), min_size=1, max_size=4))
def test_both_ways_give_the_same(placed: list[tuple[Outline, tuple[float, float, float]]]) -> None:
    """Whether tools lie free, meet each other, reach over the edge or lie outside; the faces' names too."""
    tools = [
        shape.retagged(lambda tag, n=n: f"{n}.{tag}").moved(Motion.shift(x, y).after(Motion.turn(angle)))
        for n, (shape, (x, y, angle)) in enumerate(placed)
    ]
    short, long = cut(PLATE, *tools), overlaid(PLATE, *tools)
    assert short == long
    assert tags(short) == tags(long)


@given(PLACE, PLACE)
def test_a_hole_in_a_plate_that_has_one(
    first: tuple[float, float, float], second: tuple[float, float, float]
) -> None:
    """A second cut, beside the first opening, in it, round it or over its edge."""
    (one,) = cut(PLATE, sound(disc(30)).moved(Motion.shift(first[0] / 4, first[1] / 4)))
    tool = sound(obround(20, 8)).moved(Motion.shift(second[0], second[1]).after(Motion.turn(second[2])))
    assert cut(one, tool) == overlaid(one, tool)


def test_the_short_way_is_taken_and_left() -> None:
    """It is a way that is gone: free, touching, crossing, outside, nested, and tools on each other."""
    free = sound(disc(10))
    near = free.moved(Motion.shift(30, 0))
    assert _is_pierced(PLATE, [free, near])
    assert not _is_pierced(PLATE, [free, free.moved(Motion.shift(6, 0))])
    assert not _is_pierced(PLATE, [free.moved(Motion.shift(45, 0))])  # touches the edge from inside
    assert not _is_pierced(PLATE, [free.moved(Motion.shift(48, 0))])
    assert not _is_pierced(PLATE, [free.moved(Motion.shift(90, 0))])
    assert not _is_pierced(PLATE, [sound(rectangle(200, 200))])
    assert not _is_pierced(PLATE, [near, sound(ring(20, 10))])  # what is inside the ring stays
    (one,) = cut(PLATE, free)
    assert not _is_pierced(one, [sound(disc(30))])
    assert not _is_pierced(one, [sound(disc(4))])
    assert _is_pierced(one, [near])


@given(st.lists(st.tuples(SHAPE, PLACE), min_size=2, max_size=4))
def test_what_an_overlay_calls_simple_is_simple(
    placed: list[tuple[Outline, tuple[float, float, float]]],
) -> None:
    """The full search for contacts, on the same outline without the note, finds what the short one finds."""
    pieces = unite(
        PLATE, *(shape.moved(Motion.shift(x, y).after(Motion.turn(a))) for shape, (x, y, a) in placed)
    )
    for piece in pieces:
        fresh = Outline(piece.outer, piece.holes)
        assume(problem(fresh) is None or "edge of only" not in str(problem(fresh)))
        assert problem(piece) == problem(fresh)


@pytest.mark.parametrize("angle", [0.0, 30.0])
def test_a_hole_that_touches_in_a_corner_stays_a_problem(angle: float) -> None:
    """A loop that touches another in a point is found by its outline's soundness although it came from an overlay."""
    triangle = polygon([(0, 0), (10, -6), (10, 6)]).moved(Motion.shift(-50, 0))
    (piece,) = cut(rectangle(100, 80), triangle)
    turned = piece.moved(Motion.turn(angle))
    assert problem(turned) is not None
    assert "touches" in str(problem(turned))


def test_a_hole_that_one_of_several_covers_in_part_is_no_longer_whole() -> None:
    """A patch of 10 over half a hole of 20 wide, and a tab at the far end: the hole is half, the tab is on."""
    plate = sound(cut(sound(rectangle(100, 60)), sound(rectangle(20, 20)))[0])
    patch, tab = (
        sound(rectangle(10, 40)).moved(Motion.shift(5, 0)),
        sound(rectangle(20, 20)).moved(Motion.shift(55, 0)),
    )
    for others in ((patch, tab), (tab, patch)):
        (found,) = unite(plate, *others)
        (hole,) = found.holes
        assert abs(hole.signed_area) == pytest.approx(200)
        assert found.area == pytest.approx(6000 - 200 + 300)
