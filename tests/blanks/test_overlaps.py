"""Can it be cut from one blank? Rings of lugs that just fit and do not, contacts, depth and place by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.checks import findings
from formparts.outline import Motion, disc, polygon, problem, rectangle
from formparts.shapes import (
    Z_AXIS,
    add_flange,
    array_about,
    fuse,
    offset_lug,
    pierced,
    plate,
    profile,
    relief,
    rooted,
    rotate,
    run,
    translate,
    up,
)
from tests.invariants.subjects import RANDOM
from tests.strategies import figures

K = 0.44
SHEET = Sheet(2.0, 2.0, "S235JR", K)
OPENING, START, SLOPE = 200.0, 3.0, 60.0


def ring(count: int, width: float, centre: float, rise: float = 14.0) -> Body:
    """
    A plate whose lugs reach inward; on the blank the round tip of each has its centre at `centre` from the axis.

    From the first bend inward come two allowances, the slope and the straight part of the tip.
    """
    first = OPENING / 2 - START
    turn, rho = math.radians(SLOPE), 2.0 + 1.0
    slope = (rise - 2 * rho * (1 - math.cos(turn))) / math.sin(turn)
    developed = 2 * turn * (2.0 + K * 2.0) + slope
    plan = 2 * rho * math.sin(turn) + slope * math.cos(turn)
    level = first - centre - developed + width / 2
    assert level > width / 2
    lug = offset_lug(SHEET, width=width, rise=rise, reach=plan + level, foot=START + width, slope=SLOPE)
    lugs = array_about(translate(rotate(lug, 180), (first, 0, 0)), Z_AXIS, count)
    return fuse(plate(SHEET, pierced(rectangle(290, 290), disc(OPENING)), "seat"), lugs, name="ring")


def most(width: float, centre: float) -> int:
    """
    How many lugs fit: two discs of radius w/2 at `centre` from the axis, 360/n apart, must not meet.

    Their centres are 2 c sin(180/n) apart. The straight sides, a tangent's c tan(180/n) apart, are clear before
    that. Exact mathematics: n < 180 / asin(w / 2c).
    """
    return math.ceil(math.pi / math.asin(width / (2 * centre))) - 1


@settings(RANDOM, max_examples=25)
@given(figures(12, 30), figures(28, 50))
def test_as_many_lugs_fit_as_the_closed_form_says(width: float, centre: float) -> None:
    number = most(width, centre)
    assert blank(ring(number, width, centre)).overlaps == ()
    too_many = blank(ring(number + 1, width, centre))
    tips = {f"lug[{place}].tip" for place in range(1, number + 2)}
    touching = 2 * centre * math.sin(math.pi / (number + 1)) == pytest.approx(width, abs=1e-9)
    assert (
        touching
        or {name for overlap in too_many.overlaps for name in (overlap.first, overlap.second)} >= tips
    )


@pytest.mark.parametrize("depth", [1e-4, 0.01, 0.5])
@pytest.mark.parametrize("count", [5, 6, 9])
def test_depth_area_and_place_of_an_overlap(depth: float, count: int) -> None:
    """Two discs of radius r, d = 2 r - depth apart, share a lens as wide as the depth, half-way between them."""
    centre = 40.0
    apart = 2 * centre * math.sin(math.pi / count)
    width = apart + depth
    assert width < 2 * centre * math.tan(math.pi / count), "the straight sides overlap too: no lens"
    flat = blank(ring(count, width, centre))
    lens = {frozenset((one.first, one.second)): one for one in flat.overlaps}
    found = lens[frozenset(("lug[1].tip", "lug[2].tip"))]
    assert (found.first, found.second) == ("lug[1].tip", "lug[2].tip")  # in the order of the body
    assert found.depth == pytest.approx(depth, abs=2e-9)
    half = math.acos(apart / width)
    assert found.area == pytest.approx(width**2 / 4 * (2 * half - math.sin(2 * half)), rel=1e-5, abs=1e-9)
    # On the bisector of the two lugs, at the distance of the chord's middle; lug 1 lies along +x of the blank.
    away = centre * math.cos(math.pi / count)
    x, y = (away * f(math.pi / count) for f in (math.cos, math.sin))
    assert found.place == pytest.approx((x, y), abs=1e-6)


def test_tips_that_touch_in_a_point_are_found() -> None:
    """Six tips as wide as they are apart: 2 x 30 x sin 30 = 30 mm. No area in common, yet it cannot be cut."""
    body = ring(6, 30.0, 30.0)
    flat = blank(body)
    assert problem(flat.outline) is not None
    found = [finding for finding in findings(body, flat) if finding.severity == "error"]
    assert found
    # Each tip touches the next half-way between them, 30 cos 30 from the axis.
    pairs = {frozenset((f"lug[{n + 1}].tip", f"lug[{(n + 1) % 6 + 1}].tip")): 30 + 60 * n for n in range(6)}
    assert len(flat.overlaps) == 6
    assert {frozenset((one.first, one.second)) for one in flat.overlaps} == pairs.keys()
    for one in flat.overlaps:
        turn, away = math.radians(pairs[frozenset((one.first, one.second))]), 30 * math.cos(math.pi / 6)
        assert one.place == pytest.approx((away * math.cos(turn), away * math.sin(turn)), abs=1e-6)
        assert (one.depth, one.area) == (0.0, 0.0)


@pytest.mark.parametrize(("gap", "fits"), [(1e-3, True), (0.0, False)])
def test_flanges_side_by_side(gap: float, fits: bool) -> None:
    """Two flanges on one edge with a gap between them, and with none: a cut of no width."""
    body = plate(SHEET, rectangle(60, 40), "base")
    for name, centre in (("left", -10 - gap / 2), ("right", 10 + gap / 2)):
        body = add_flange(body, "back", 20, width=20, centre=centre, edge_to="tangent line", name=name)
    flat = blank(body)
    assert (flat.overlaps == ()) == fits
    if not fits:
        pairs = {frozenset((one.first, one.second)) for one in flat.overlaps}
        assert pairs == {frozenset(("left", "right")), frozenset(("left.bend", "right.bend"))}
        assert all((one.depth, one.area) == (0.0, 0.0) for one in flat.overlaps)
        # The flanges touch on x = 0, from the edge at y = 20 and the allowance of pi/2 (2 + 0.88) on, 20 - 4 mm long.
        (touch,) = [one for one in flat.overlaps if one.first in ("left", "right") and "." not in one.second]
        assert touch.place == pytest.approx((0, 20 + math.pi / 2 * 2.88 + 8), abs=1e-9)


def test_flange_that_fills_its_window_touches_it() -> None:
    """A tab as wide as the window that it is bent out of: no room for the cut on either side of it."""
    frame = plate(SHEET, pierced(rectangle(90, 70), rectangle(40, 30)), "frame")
    flat = blank(add_flange(frame, ((-20, 15), (20, 15)), 9, edge_to="tangent line", name="tab"))
    assert {(one.first, one.second) for one in flat.overlaps} == {("frame", "tab"), ("frame", "tab.bend")}
    for one in flat.overlaps:
        assert abs(one.place[0]) == pytest.approx(20)
        assert one.depth == 0.0


def test_flange_longer_than_its_window_overlaps_its_far_side() -> None:
    """Window 30 mm, a tab whose blank reaches 30 + 2 mm: pi/2 2.88 of allowance and the flat above its bend."""
    frame = plate(SHEET, pierced(rectangle(90, 70), rectangle(40, 30)), "frame")
    tall = 32 - math.pi / 2 * 2.88 + 4  # R + t = 4 of the height is the bend's
    flat = blank(add_flange(frame, ((-20, 15), (20, 15)), tall, width=24, edge_to="tangent line", name="tab"))
    (one,) = flat.overlaps
    assert {one.first, one.second} == {"frame", "tab"}
    assert one.depth == pytest.approx(2.0, abs=1e-6)
    assert one.area == pytest.approx(48.0, abs=1e-6)
    assert one.place == pytest.approx((0, -16), abs=1e-6)


def test_where_two_pieces_touch_twice_the_longer_contact_is_told() -> None:
    """
    A tab as wide as the upper part of its window: on its left the window widens after 8 mm, on its right it does not.

    The strip takes pi/2 x 2.88 = 4.524 of that, so that frame and tab touch for 3.476 mm on the left; on the right
    down to the end of the tab, whose flat is 9 - 4 = 5 mm long: that is the place reported.
    """
    corners = [(-20, 15), (20, 15), (20, -15), (-30, -15), (-30, 7), (-20, 7)]
    frame = plate(SHEET, pierced(rectangle(90, 70), polygon(corners)), "frame")
    flat = blank(add_flange(frame, ((-20, 15), (20, 15)), 9, edge_to="tangent line", name="tab"))
    (touch,) = [one for one in flat.overlaps if (one.first, one.second) == ("frame", "tab")]
    assert touch.place == pytest.approx((20, 15 - math.pi / 2 * 2.88 - 5 / 2), abs=1e-9)


def test_a_corner_that_touches_a_slanted_edge_in_its_middle() -> None:
    """
    A tab 24 wide whose blank ends 15 mm below its bend; the far side of its window falls by 1 in 4 through its corner.

    It is reported once, with the flats in the order of the body, and nothing else is.
    """
    end = 15 - 15
    window = polygon([(-20, 15), (20, 15), (20, end + 2), (-20, end - 8)])
    frame = plate(SHEET, pierced(rectangle(90, 70), window), "frame")
    tall = 15 - math.pi / 2 * 2.88 + 4
    flat = blank(add_flange(frame, ((-20, 15), (20, 15)), tall, width=24, edge_to="tangent line", name="tab"))
    (touch,) = flat.overlaps
    assert (touch.first, touch.second, touch.depth, touch.area) == ("frame", "tab", 0.0, 0.0)
    assert touch.place == pytest.approx((12, end), abs=1e-6)


def test_corners_that_touch_are_told_once() -> None:
    """Walls of a tray, each wider by the width of a strip: they meet pi/2 x 2.88 beyond the corner of the base."""
    strip = math.pi / 2 * 2.88
    body = plate(SHEET, rectangle(40, 40), "base")
    body = add_flange(body, "right", 15, edge_to="tangent line", extend=(0, strip), name="right")
    body = add_flange(body, "back", 15, edge_to="tangent line", extend=(strip, 0), name="back")
    (touch,) = blank(body).overlaps
    assert (touch.first, touch.second, touch.depth, touch.area) == ("right", "back", 0.0, 0.0)
    assert touch.place == pytest.approx((20 + strip, 20 + strip), abs=1e-6)


@pytest.mark.parametrize("tall", [20.0, 60.0])
def test_area_of_the_blank_counts_twice_what_lies_twice(tall: float) -> None:
    """
    A flange longer than its window, even larger than it: its blank is added whole, whatever it lies on.

    By hand: plate less window, a strip of pi/2 (2 + 0.88), and the flat above its bend.
    """
    frame = plate(SHEET, pierced(rectangle(90, 140), rectangle(40, 6)), "frame")
    body = add_flange(frame, ((-20, 3), (20, 3)), tall, width=24, edge_to="tangent line", name="tab")
    flat = blank(body)
    assert flat.area == pytest.approx(90 * 140 - 40 * 6 + 24 * (math.pi / 2 * 2.88 + tall - 4), rel=1e-12)
    assert flat.overlaps
    assert problem(flat.outline) is not None
    assert flat.pierces == 2
    for root in ("frame", "tab"):
        assert blank(rooted(body, root)).area == pytest.approx(flat.area, rel=1e-12)


def test_size_of_a_blank_takes_in_what_leaves_the_frame() -> None:
    """A tab of 200 mm from its window's edge at y = 15, in a frame 70 mm deep: its end lies at y = 15 - 200 or so."""
    frame = plate(SHEET, pierced(rectangle(90, 70), rectangle(40, 30)), "frame")
    flat = blank(add_flange(frame, ((-20, 15), (20, 15)), 200, width=24, edge_to="tangent line", name="tab"))
    tab = math.pi / 2 * 2.88 + 200 - 4
    assert (flat.length, flat.width) == pytest.approx((90, 35 - 15 + tab))


def test_corner_of_a_tray_that_overlaps() -> None:
    """Walls extended at a corner: each wall's wing of 3 mm lies in the other's strip only beyond the corner."""
    base = plate(SHEET, rectangle(40, 40), "base")
    body = add_flange(base, "right", 15, edge_to="tangent line", extend=(0, 9), name="right")
    body = add_flange(body, "back", 15, edge_to="tangent line", extend=(9, 0), name="back")
    flat = blank(body)
    # On the blank both wings lie in the corner square: from the edge on, the strips (4.524) and then 11 mm of wall.
    strip = math.pi / 2 * 2.88
    (one,) = flat.overlaps
    assert {one.first, one.second} == {"right", "back"}
    side = 9 - strip
    assert one.depth == pytest.approx(side, abs=1e-6)
    assert one.area == pytest.approx(side**2, abs=1e-6)
    assert one.place == pytest.approx((20 + strip + side / 2, 20 + strip + side / 2), abs=1e-6)


def test_strip_rolled_up_is_clear_on_the_blank() -> None:
    """What clashes folded need not overlap flat: they are two checks."""
    flat = blank(profile(SHEET, 20, run(40), up(90), run(30), up(90), run(40), up(90), run(40)))
    assert flat.overlaps == ()
    assert problem(flat.outline) is None


def test_relief_that_meets_another_relief_parts_the_plate_or_not() -> None:
    """Two flanges round a corner, each with reliefs: the blank is still connected, with one outline."""
    body = plate(SHEET, rectangle(60, 40), "base")
    body = add_flange(body, "right", 15, width=20, relief=relief(3, 3), name="right")
    body = add_flange(body, "back", 15, width=30, relief=relief(3, 3), name="back")
    flat = blank(body)
    assert flat.overlaps == ()
    assert flat.pierces == 1


def test_a_circle_is_still_a_circle_on_the_blank() -> None:
    """DESIGN 4: after union, array, mirror and unfolding; a hole in a slope keeps its radius."""
    from formparts.shapes import cut_opening

    body = cut_opening(ring(4, 20, 50), disc(6.4), "lug[1].slope", [Motion.shift(5, 0)], "eye")
    circles = [loop.circle for loop in blank(body).outline.holes]
    assert sum(circle is not None and circle[1] == pytest.approx(3.2, abs=1e-12) for circle in circles) == 1
