"""
Bends, bores and corners of the less usual kinds come out as the blank that is worked out by hand beside each of them.

All lengths in mm; the neutral fibre is at 0.44 thicknesses, as in `test_foreign_solids`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest

from formparts import Sheet, add_flange, plate, polygon, rectangle
from formparts.checks import blank_findings
from formparts.solids import solid as as_solid
from formparts.unfolder import unfold
from tests.unfolder.foreign import (
    box_cutter,
    by_k,
    extruded,
    filleted_angle,
    flat_size,
    revolved,
    tray,
)

EXACT = 1e-9


def test_a_hole_drilled_through_a_bend() -> None:
    """
    A hole of 8 drilled at 45 deg through the bend: wider on one side, followed closely, and reported.

    Along the bend it is 8 wide. Across, the drill's edge leaves the outer skin at 4 sqrt(2) from the corner, so
    4 sqrt(2) - 5 beyond either tangent line; the inner skin is left further out, so the outer one is the narrow one.
    """
    drill = (
        cq.Workplane().circle(4).extrude(80, both=True).rotate((0, 0, 0), (0, 1, 0), 45).translate((5, 20, 5))
    )
    found = unfold(filleted_angle().cut(drill), by_k)
    (hole,) = found.blank.outline.holes
    xmin, ymin, xmax, ymax = hole.bounds
    across = 2 * (4 * math.sqrt(2) - 5) + math.pi / 2 * 3.88
    assert sorted((xmax - xmin, ymax - ymin)) == pytest.approx([across, 8.0], abs=1e-3)
    assert any("wider on one side" in note for note in found.notes)
    assert any("within 0.001 mm" in note for note in found.notes)


def test_a_hole_bored_through_a_bend_and_past_both_tangent_lines() -> None:
    """
    Bored of 9 straight down beside the bend, 15 up on the upright leg: one bend of two strips, and one opening.

    On a skin of radius r the bore is 2 sqrt(81 - (6 - x)^2) wide where it is x = 5 - r sin(angle) from the
    outside of the upright leg. The blank has the contour of the inner or outer skin, whichever is smaller, by
    Simpson's rule.
    """
    solid = filleted_angle().cut(cq.Workplane(origin=(6, 20, -5)).circle(9).extrude(20))
    found = unfold(solid, by_k)

    def bored(radius: float) -> float:
        angles = np.linspace(0.0, math.pi / 2, 2001)
        chords = 2.0 * np.sqrt(81.0 - (1.0 + radius * np.sin(angles)) ** 2)
        weights = np.array([1.0, *[4.0, 2.0] * 999, 4.0, 1.0]) * (math.pi / 2 / 2000 / 3)
        beside = math.pi * 81 / 2 + math.asin(1 / 9) * 81 + math.sqrt(80)  # the circle beyond x = 5
        return beside + 3.88 * float(weights @ chords) + 10.0 * float(chords[-1])

    blank = 40 * (70.0 + math.pi / 2 * 3.88)
    assert found.blank.area == pytest.approx(blank - min(bored(3.0), bored(5.0)), abs=5e-3)
    assert [bend.length for bend in found.bends] == pytest.approx([40.0], abs=1e-9)
    (hole,) = found.blank.outline.holes
    assert {item.code for item in blank_findings(found.blank)} == {"opening-across-bend"}, hole.bounds


def test_a_nick_whose_curved_sides_pass_for_lines() -> None:
    """Sides of 0.006 across the bend are straight to within 1e-7, and still turn about its axis: a prism is gone."""
    place = cq.Plane(origin=(5, 0, 5), xDir=(0, 1, 0), normal=(-1, 0, -1))
    nick = cq.Workplane(place).transformed(rotate=(0, 0, 45)).rect(0.006, 0.006).extrude(20)
    whole = 80.0 * (70.0 + 2.0 * math.pi)
    assert unfold(filleted_angle().cut(nick), by_k).volume == pytest.approx(
        whole - 0.003 * 0.006 * 2, abs=1e-9
    )


def quarter_ring(x: float, z: float, first: float, last: float, along: float) -> cq.Workplane:
    """A quarter ring round (x, z), from 3 to 5, 25 wide along y, extruded the one way or the other [mm, deg]."""

    def at(radius: float, angle: float) -> tuple[float, float]:
        return (x + radius * math.cos(math.radians(angle)), z + radius * math.sin(math.radians(angle)))

    middle = (first + last) / 2.0
    start = cq.Workplane("XZ", origin=(0, 12.5 - along / 2.0, 0)).moveTo(*at(3, first))
    inner = start.threePointArc(at(3, middle), at(3, last)).lineTo(*at(5, last))
    return inner.threePointArc(at(5, middle), at(5, first)).close().extrude(-along)


@pytest.mark.parametrize("along", [25.0, -25.0])
def test_two_bends_with_no_flat_between_whichever_way_their_axes_run(along: float) -> None:
    """Two straights of 20 and two quarter rings, inside 3, t 2: 40 + 2 x pi/2 x 3.88 = 52.189379 long, 25 wide."""
    solid = cq.Workplane().box(20, 25, 2, centered=False).translate((-20, 0, 0))
    solid = solid.union(quarter_ring(0, 5, -90, 0, 25.0)).union(quarter_ring(8, 5, 180, 90, along))
    found = unfold(solid.union(cq.Workplane().box(20, 25, 2, centered=False).translate((8, 0, 8))), by_k)
    assert flat_size(found) == pytest.approx([25.0, 40.0 + math.pi * 3.88], abs=EXACT)
    assert [bend.side for bend in found.bends] == ["up", "down"]
    assert found.blank.area == pytest.approx(25.0 * (40.0 + math.pi * 3.88), rel=1e-9)


def test_a_sharp_bend_whose_outside_is_the_largest_face() -> None:
    """Legs of 5 and 4 inside, t 4, so an outside of 2 pi: each leg is smaller, and nothing lies below the outside."""
    corner = (
        cq.Workplane("XZ").polyline([(0, 0), (9, 0), (9, 4), (4, 4), (4, 8), (0, 8)]).close().extrude(-40)
    )
    solid = corner.edges(cq.selectors.NearestToPointSelector((0, 20, 0))).fillet(4)
    found = unfold(solid, by_k)
    assert found.thickness == pytest.approx(4.0, abs=EXACT)
    assert flat_size(found) == pytest.approx([9.0 + math.pi / 2 * 0.44 * 4.0, 40.0], abs=EXACT)


@pytest.mark.parametrize(
    "solid", [filleted_angle, tray, revolved, lambda: tray().rotate((1, 2, 3), (4, -1, 9), 71)]
)
def test_every_edge_begins_where_the_last_one_ends(solid: Callable[[], cq.Workplane]) -> None:
    """To the last digit, round the outside and every opening, the first after the last too."""
    for loop in unfold(solid(), by_k).blank.outline.loops:
        for edge, after in zip(loop.edges, (*loop.edges[1:], loop.edges[0]), strict=True):
            assert edge.end == after.start


def test_a_rolled_strip_with_round_ends_turns_as_far_as_its_tips() -> None:
    """Rolled by 180 deg to 40 inside, and all but what lies within 20 of a line across its middle is cut away."""
    strip = revolved(180.0).rotate((0, 0, 0), (0, 0, 1), -90)
    kept = strip.intersect(cq.Workplane("YZ", origin=(0, 0, 12.5)).circle(20).extrude(60))
    (bend,) = unfold(kept, by_k).bends
    tips = [2.0 * math.degrees(math.asin(20.0 / radius)) for radius in (40.0, 42.0)]
    assert min(abs(bend.angle - tip) for tip in tips) < 0.1


def test_a_bend_line_askew_on_the_blank() -> None:
    """
    A plate of 60 by 40 whose corner is bent up along a line of 45 deg: cut off 20 beside it, a wall of 15 is there.

    That line is 20 sqrt(2) long, and runs from one edge of the blank to the other.
    """
    corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (40.0, 40.0), (0.0, 40.0)]
    sheet = Sheet(2, 3, "DC01", 0.44)
    part = add_flange(
        plate(sheet, polygon(corners), name="part"), (corners[2], corners[3]), 15, edge_to="tangent line"
    )
    (bend,) = unfold(as_solid(part).shape, by_k).blank.bends
    assert bend.length == pytest.approx(20.0 * math.sqrt(2.0), abs=1e-9)
    (x0, y0), (x1, y1) = bend.start, bend.end
    assert sorted((abs(x1 - x0), abs(y1 - y0))) == pytest.approx([0.0, bend.length], abs=1e-9)
    fixed = unfold(as_solid(part).shape, by_k, frame=((0, 0, 0), (1, 0, 0), (0, 0, 1))).blank.bends[0]
    assert fixed.length == pytest.approx(20.0 * math.sqrt(2.0), abs=1e-9)


def test_a_rolled_strip_whose_skins_are_split_into_three() -> None:
    """Rolled by 300 deg to 40 inside, t 2, in three faces end to end: the corners of each are counted on."""
    piece = revolved(100.0)
    turned = [piece.rotate((0, 0, 0), (0, 0, 1), 100.0 * number) for number in range(3)]
    whole = turned[0].union(turned[1], clean=False).union(turned[2], clean=False)
    assert whole.faces("%CYLINDER").size() == 6
    found = unfold(whole, by_k)
    assert [(bend.angle, bend.inside_radius) for bend in found.bends] == [
        (pytest.approx(300.0), pytest.approx(40.0))
    ]
    assert flat_size(found) == pytest.approx([25.0, math.radians(300.0) * 40.88], abs=1e-6)


def test_bends_along_both_ways_touch_their_flats_in_their_hinges_alone() -> None:
    """A plate with walls in front and on the right, of unlike height: nothing lies on anything, wherever it begins."""
    body = plate(Sheet(2, 3, "DC01", 0.44), rectangle(60, 40), name="part")
    body = add_flange(body, "front", 12, edge_to="tangent line", width=40, name="front")
    body = add_flange(body, "left", 47, edge_to="tangent line", width=30, name="left")
    found = unfold(as_solid(body).shape, by_k).blank
    assert found.overlaps == ()
    assert len(found.bends) == 2


def test_a_hat_that_stands_on_one_of_its_wide_feet() -> None:
    """Below one foot lies its own underside, and in the same plane that of the other: 2 x 60 + 2 x 20 + 15 + 4 arcs."""
    section: list[tuple[float, ...]] = [
        *((60.0,), (90.0, 3.0), (20.0,), (-90.0, 3.0), (15.0,), (-90.0, 3.0), (20.0,), (90.0, 3.0), (60.0,))
    ]
    feet = [flat.name for flat in unfold(extruded(section), by_k).flats if flat.area > 1000.0]
    assert len(feet) == 2
    for foot in feet:
        found = unfold(extruded(section), by_k, fixed=foot)
        assert flat_size(found) == pytest.approx([30.0, 175.0 + 2.0 * math.pi * 3.88], abs=EXACT)


def test_a_tongue_as_wide_as_the_sheet_is_thick() -> None:
    """60 x 40 x 2 with a tongue 25 x 2 in its plane: the tongue's sides are 2 apart too, and no skins."""
    solid = cq.Workplane().box(60, 40, 2).union(cq.Workplane().box(30, 2, 2).translate((40, 0, 0)))
    found = unfold(solid, by_k)
    assert found.thickness == pytest.approx(2.0, abs=EXACT)
    assert found.blank.area == pytest.approx(60 * 40 + 25 * 2, rel=1e-12)


@pytest.mark.parametrize(("height", "fixed"), [(60.0, "flat[1]"), (300.0, "flat[2]")])
def test_a_tab_that_is_longer_than_its_window_does_not_turn_the_blank_inside_out(
    height: float, fixed: str
) -> None:
    """
    Frame of 90 by 70 with a window of 40 by 13; a tab 24 wide and 60 or 300 high is bent out of it.

    On the blank the tab is pi/2 x 3.88 + its height long and lies across the frame and beyond it: what goes
    round window and tab encloses more than the window, with the longer one even more than the frame. Each
    flat counts for itself, and outside is the frame.
    """
    frame = (
        cq.Workplane()
        .box(90, 70, 2, centered=(True, True, False))
        .cut(box_cutter((-20, -10, -1), (20, 3, 3)))
    )
    tab = (
        extruded([(10,), (90, 3), (height,)], w=24.0)
        .rotate((0, 0, 0), (0, 0, 1), -90)
        .translate((-12, 13, 0))
    )
    found = unfold(frame.union(tab).clean(), by_k, fixed=fixed, frame=((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    (hole,) = found.blank.outline.holes
    developed = 24 * (math.pi / 2 * 3.88 + height)
    assert found.blank.outline.outer.bounds == pytest.approx((-45, -35, 45, 35))
    assert hole.signed_area == pytest.approx(developed - 40 * 13, rel=1e-9)
    assert found.blank.area == pytest.approx(90 * 70 - 40 * 13 + developed, rel=1e-9)
    assert [{one.first, one.second} for one in found.blank.overlaps] == [{"flat[1]", "flat[2]"}]


def test_a_bar_that_is_thicker_than_wide_is_a_sheet_where_the_caller_says_so() -> None:
    """100 long, 6 wide and 8 thick: of a frame whose z is that of the bar, the flat is 100 x 6; of y, 100 x 8."""
    bar = cq.Workplane().box(100, 6, 8, centered=False)
    for z, x, thickness in (
        ((0, 0, 1), (1, 0, 0), 8.0),
        ((0, 1, 0), (1, 0, 0), 6.0),
        ((1, 0, 0), (0, 1, 0), 100.0),
    ):
        found = unfold(bar, by_k, frame=((0, 0, 0), x, z))
        assert found.thickness == pytest.approx(thickness, abs=EXACT)
        assert found.blank.area == pytest.approx(4800 / thickness, rel=1e-12)
