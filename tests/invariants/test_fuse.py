"""Fusing: the order of what is joined does not matter, nor whether an opening is cut before or after."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import permutations

import pytest

from formparts.blanks import blank
from formparts.body import Body, Flat, frames
from formparts.body.frame import Frame
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Motion, Outline, alike, disc, obround, rectangle
from formparts.shapes import (
    X_AXIS,
    Z_AXIS,
    Axis,
    array_about,
    cut_opening,
    fuse,
    hole,
    offset_lug,
    pierced,
    plate,
    profile,
    rotate,
    run,
    tongue,
    translate,
    up,
)
from tests.parts import SHEET, TIGHT


def same_part(one: Body, two: Body) -> bool:
    """The same flats by the same names in the same places, their outlines alike, joined by the same bends."""
    at_one, at_two = frames(one), frames(two)
    if at_one.keys() != at_two.keys():
        return False
    return _bends(one) == _bends(two) and all(
        near(at_one[flat.name], at_two[flat.name]) and _same_flat(flat, two.flat(flat.name))
        for flat in one.flats
    )


def near(one: Frame, two: Frame) -> bool:
    """Two frames are one, but for rounding."""
    return all(math.dist(getattr(one, name), getattr(two, name)) < 1e-9 for name in ("origin", "x", "y", "z"))


def _same_flat(one: Flat, two: Flat) -> bool:
    ways = {way.name: way.outline for way in two.openings}
    return (
        alike(one.outline, two.outline)
        and alike(one.net, two.net)
        and ways.keys() == {way.name for way in one.openings}
        and all(alike(way.outline, ways[way.name]) for way in one.openings)
    )


def _bends(body: Body) -> dict[str, tuple[object, ...]]:
    """Each bend by its figures, whichever of its flats is called the parent."""
    return {
        bend.name: (
            frozenset((bend.parent, bend.child)),
            bend.angle,
            bend.side,
            bend.inside_radius,
            round(bend.width, 9),
        )
        for bend in body.bends
    }


def pieces() -> list[Body]:
    """A plate, two tongues on it that overlap each other, and an angle at the end of one."""
    base = plate(SHEET, rectangle(60, 40), "base")
    first = translate(tongue(SHEET, 40, 12, hole=hole(5), name="first"), (20, 5, 0))
    second = translate(tongue(SHEET, 30, 12, "square", name="second"), (25, -5, 0))
    third = translate(profile(SHEET, 20, run(15), up(90), run(25), name="third"), (52, -12, 0))
    return [base, first, second, third]


def test_order_of_the_others_does_not_matter() -> None:
    """Also where a body meets only one that comes later: `third` lies beyond the plate."""
    base, *others = pieces()
    first = fuse(base, *others)
    assert len(first.flats) == 2
    for order in permutations(others):
        assert same_part(fuse(base, *order), first)


def test_whatever_comes_first_the_solid_is_the_same() -> None:
    """Another first body gives other names to the flats, and the same part in space."""
    figures = properties(fuse(*pieces()))
    for order in permutations(pieces()):
        other = properties(fuse(*order))
        assert other.volume == pytest.approx(figures.volume, rel=1e-12)
        assert other.surface == pytest.approx(figures.surface, rel=1e-12)
        assert (*other.centroid, *other.lowest) == pytest.approx(
            (*figures.centroid, *figures.lowest), abs=1e-9
        )


def test_in_one_go_or_one_by_one() -> None:
    base, *others = pieces()
    step = base
    for other in others:
        step = fuse(step, other, name="base")
    assert same_part(step, fuse(base, *others))
    assert same_part(fuse(base, [others[0], (others[1], [others[2]])]), fuse(base, *others))


def lugs() -> Sequence[Body]:
    lug = offset_lug(TIGHT, width=10, rise=6, reach=18, foot=9, slope=50, hole=hole(4))
    return array_about(translate(rotate(lug, 180), (28, 0, 0)), Z_AXIS, 4)


def seat() -> Body:
    return plate(TIGHT, pierced(rectangle(90, 80, 10), disc(60)), "seat")


WAYS: dict[str, Outline] = {
    "through seat and foot": disc(5).moved(Motion.shift(32, 3)),
    "beside the lugs": obround(12, 4).moved(Motion.shift(0, -36)),
    "over the edge": rectangle(8, 8).moved(Motion.shift(45, 10)),
}


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_opening_before_or_after_a_fuse_gives_the_same_part(way: Outline) -> None:
    before = fuse(cut_opening(seat(), way, name="way"), lugs(), name="part")
    after = cut_opening(fuse(seat(), lugs(), name="part"), way, name="way")
    assert same_part(before, after)
    assert alike(blank(before).outline, blank(after).outline)


def test_an_opening_stays_open_under_what_is_fused_over_it() -> None:
    """And a hole of the plate's own shape does not: that is what the two are for."""
    patch = plate(SHEET, rectangle(20, 20), "patch")
    base = plate(SHEET, rectangle(60, 40), "base")
    open_still = fuse(cut_opening(base, disc(10), name="way"), patch)
    closed = fuse(plate(SHEET, pierced(rectangle(60, 40), disc(10)), "base"), patch)
    assert properties(open_still).volume == pytest.approx(2 * (2400 - math.pi * 25), rel=1e-12)
    assert properties(closed).volume == pytest.approx(2 * 2400, rel=1e-12)


def test_each_lug_adds_the_same() -> None:
    """DESIGN 5.6: n lugs add n times one; and one adds its own volume less the foot that lies on the plate."""
    alone = properties(seat()).volume
    added = [
        properties(fuse(seat(), array_about(translate(rotate(_lug(), 180), (28, 0, 0)), Z_AXIS, n))).volume
        - alone
        for n in range(1, 8)
    ]
    assert added == pytest.approx([n * added[0] for n in range(1, 8)], rel=1e-9)
    # The foot goes 9 mm back from the bend at x = 28; the edge of the opening is x = sqrt(30^2 - y^2), |y| < 5.
    half = math.asin(5 / 30)
    over = 30**2 * half + 5 * 30 * math.cos(half) - 28 * 10  # between x = 28 and the circle
    in_plate = 10 * 9 - over
    assert added[0] == pytest.approx(properties(_lug()).volume - 1.5 * in_plate, rel=1e-9)


def _lug() -> Body:
    return offset_lug(TIGHT, width=10, rise=6, reach=18, foot=9, slope=50, hole=hole(4))


def test_turned_over_body_joins_by_its_other_side() -> None:
    """An angle laid face down on a plate: its bend, up from its own upper face, goes down from the plate's."""
    from tests.parts import CAST

    body = CAST["turned_over"]()
    assert [bend.side for bend in body.bends] == ["down"]
    assert properties(body).lowest[2] == pytest.approx(
        2 - 30
    )  # by hand: outside height 30 from the top of the plate


REFUSED: dict[str, tuple[Callable[[], Body], str]] = {
    "at another height": (lambda: fuse(*_two(0, 0, 3)), "other lies 3 mm above base"),
    "below": (lambda: fuse(*_two(0, 0, -0.5)), "other lies 0.5 mm below base"),
    "beside": (lambda: fuse(*_two(45.25, 0, 0)), "0.25 mm away"),
    "in a point": (lambda: fuse(*_two(45, 25, 0)), "only in a point"),
    "nearly touching": (lambda: fuse(*_two(45.00002, 0, 0)), "2e-05 mm away"),
    "round by round": (lambda: fuse(*_discs()), "2 mm away"),
    "askew": (
        lambda: fuse(plate(SHEET, disc(9), "a"), rotate(plate(SHEET, disc(9), "b"), 30, X_AXIS)),
        "is parallel to",
    ),
}


def _two(x: float, y: float, z: float) -> tuple[Body, Body]:
    return plate(SHEET, rectangle(60, 40), "base"), translate(
        plate(SHEET, rectangle(30, 10), "other"), (x, y, z)
    )


def _discs() -> tuple[Body, Body]:
    """Radii 10 and 8, centres 20 apart in the direction 3-4-5: a gap of 2 mm that no vertex shows."""
    return plate(SHEET, disc(20), "one"), translate(plate(SHEET, disc(16), "two"), (12, 16, 0))


@pytest.mark.parametrize("case", REFUSED)
def test_bodies_that_do_not_meet_are_refused_with_the_gap(case: str) -> None:
    make, words = REFUSED[case]
    with pytest.raises(InputError, match="does not meet") as caught:
        make()
    assert words in str(caught.value)


@pytest.mark.parametrize("tilt", [1e-3, 1e-6])
def test_a_tilt_is_no_common_plane(tilt: float) -> None:
    """A thousandth of a degree puts a plate of 1 m out by 17 um: the two are not in one plane."""
    base, other = _two(0, 0, 0)
    with pytest.raises(InputError, match="no flat of the one is parallel"):
        fuse(base, rotate(other, tilt, X_AXIS))


def test_rounding_of_many_turns_is_a_common_plane() -> None:
    """Turned there and back about a slanted axis, a hundred times: the planes are one but for rounding."""
    base, other = _two(0, 0, 0)
    axis = Axis((3, 4, 5), (1, 2, 3))
    for _ in range(100):
        other = rotate(rotate(other, 37.7, axis), -37.7, axis)
    assert len(fuse(base, other).flats) == 1


def test_touching_along_an_edge_is_enough() -> None:
    """Within LENGTH of each other two edges are one; the plate is then connected, by hand 60 x 40 and 30 x 10."""
    body = fuse(*_two(45 + 4e-7, 0, 0))
    assert properties(body).volume == pytest.approx(2 * (2400 + 300), rel=1e-7)


def test_meeting_twice_is_refused() -> None:
    """A channel laid on a channel: three flats on three."""
    one = profile(SHEET, 30, run(25), up(90), run(60), up(90), run(25), name="one")
    two = translate(profile(SHEET, 30, run(25), up(90), run(60), up(90), run(25), name="two"), (0, 20, 0))
    with pytest.raises(InputError, match="in more than one flat"):
        fuse(one, two)


@pytest.mark.parametrize("x", [10, 27.5])
def test_bend_that_ends_up_inside_is_refused(x: float) -> None:
    angle = translate(
        profile(SHEET, 20, run(20, "tangent line"), up(90), run(20), name="angle"), (x - 20, -10, 0)
    )
    with pytest.raises(InputError, match=r"angle.bend\[1\].* ends up inside base"):
        fuse(plate(SHEET, rectangle(60, 40), "base"), angle)


def test_two_bends_on_one_line_are_refused() -> None:
    """Two angles side by side whose bends need the same stretch of one edge."""

    def angle(y: float, name: str, turn: float) -> Body:
        part = profile(SHEET, 20, run(20, "tangent line"), up(turn), run(20), name=name)
        return translate(part, (10, y, 0))

    base = plate(SHEET, rectangle(60, 40), "base")
    assert len(fuse(base, angle(-20, "a", 90), angle(0.5, "b", 60)).bends) == 2
    with pytest.raises(InputError, match="on another bend"):
        fuse(base, angle(-20, "a", 90), angle(-1, "b", 60))
