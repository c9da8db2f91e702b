"""Faults that the random bodies have found, each by name: all of DESIGN 5 holds on the small body that showed it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from formparts.body import Body, Sheet
from formparts.outline import Motion, disc, obround, polygon, rectangle, ring
from formparts.shapes import (
    Axis,
    Hole,
    Tip,
    add_flange,
    box,
    cut_opening,
    down,
    fold,
    fold_line,
    fuse,
    mirror,
    pierced,
    plate,
    profile,
    renamed,
    rotate,
    run,
    translate,
    up,
)
from tests.growing import Cutout, Doubled, Flange, Growth, Joggle, Plate, Ring, Row, Tongue, grown
from tests.invariants.holds import assert_all_holds, methods

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)


def window(wide: float, deep: float) -> Body:
    return plate(SHEET, pierced(rectangle(120, 100), rectangle(wide, deep)), "frame")


def lip_over_the_frame() -> Body:
    """The bend of a lip lies wholly on the frame when flat, its sides along the axes: the unfolder did not see it."""
    body = add_flange(window(40, 6), ((-20, -3), (20, -3)), 30, width=30, edge_to="tangent line", name="tab")
    return add_flange(body, "back", 10, flat="tab", width=12, edge_to="tangent line", name="lip")


def tabs_longer_than_their_window() -> Body:
    """The rim of the window, tabs and all, winds round more than the frame: it was taken for the outer loop."""
    body = window(110, 90)
    for name, y in (("low", -45), ("high", 45)):
        ends = ((-55, y), (55, y))
        body = add_flange(body, ends, 130, width=109, edge_to="tangent line", name=name)
    return body


def sliver_far_from_the_origin() -> Body:
    """What a bite leaves of a round corner, 0.0025 mm, keeps fewer digits of its area in a file than the whole does."""
    body = plate(Sheet(0.5, 2.0, "S235JR", 0.44), rectangle(74.5, 63, 1.692), "base")
    places = [Motion.shift(x, 31.5).after(Motion.turn(102.5)) for x in (-37.25, -27.75)]
    body = mirror(cut_opening(body, disc(3.379), places=places), "yz", (7, 0, 0))
    return translate(rotate(body, 38.5, Axis((3, 4, 5), (0, 0.5, 1))), (87.5, -200, -9.989))


def ear_on_a_stub_that_is_thicker_than_wide() -> Body:
    """A face of the rim is larger than a skin: the skins were grown from it alone, and the flats not found."""
    body = plate(Sheet(4.0, 0.5, "S235JR", 0.44), pierced(rectangle(4, 5), disc(1)), "stub")
    return add_flange(body, "front", 5.5, width=1, edge_to="tangent line", name="ear")


def tab_through_two_frames() -> Body:
    """Both frames are outermost, neither goes round the whole: the overall size was that of one of them."""
    turn = Motion.turn(-30.0)  # so that the frames lie askew when flat
    frame = plate(SHEET, pierced(rectangle(120, 100), rectangle(40, 6).moved(turn)), "frame")
    ends = (turn((-20, -3)), turn((20, -3)))
    half = add_flange(frame, ends, 100, width=30, edge_to="tangent line", name="tab")
    return fuse(half, renamed(mirror(half, "xy", (0, 0, 80)), "other"), name="pair")


def lug_whose_foot_ends_on_a_rim() -> Body:
    """Its tip lies on the plate when flat; off a grid the referee's union filled the hole around the lug."""
    square = Tip("square")
    base = Plate(pierced(rectangle(60, 60), disc(40)))
    steps = (
        Ring(0, 0, Tongue(5.0, 4.0, square, None), 0.0, 1, 0.0),
        Ring(0, 0, Joggle(16.5, 0.5, 3.0, 8.5, 90.0, "up", square, None), 0.0, 1, 0.086),
    )
    return grown(Growth(Sheet(0.5, 8.0, "steel", 1.0), base, steps)).body


def hole_bitten_out_of_an_inner_corner() -> Body:
    """Laid on a grid, the referee's union of its flats and bends came back as a collection of one."""
    corners = [(0, 5), (5, 0), (60, 0), (60, 60), (30, 60), (30, 30), (0, 30)]
    body = cut_opening(
        plate(Sheet(0.5, 0.5, "steel"), polygon(corners)), disc(2), places=[Motion.shift(30, 30)]
    )
    return add_flange(body, ((0, 5), (5, 0)), 2, edge_to="tangent line", name="lip")


def bar_as_thick_as_wide() -> Body:
    """Cut off askew, one of its sides is larger than its upper face: a rim was taken for a skin."""
    bar = plate(Sheet(1.0, 0.5, "steel"), rectangle(1, 4), "bar")
    turned = Motion.shift(0, -2).after(Motion.turn(45))
    return cut_opening(bar, obround(11, 2), places=[turned])


def plate_whose_mesh_is_off_by_rounding() -> Body:
    """No curve, so its mesh was allowed nothing at all: 854.08 and 854.0799999999999 mm3 were reported to differ."""
    base = plate(
        Sheet(0.314, 0.5, "steel"), polygon([(0, 0), (60, 0), (60, 60), (30, 60), (30, 30), (0, 30)])
    )
    tab = plate(base.sheet, rectangle(4, 10).moved(Motion.shift(30, 0)), "tab")
    return fuse(base, tab)


def windows_that_graze_their_image() -> Body:
    """Two edges cross at a fifth of a degree: mirrored, the corner lies elsewhere along them, and hardly off them."""
    square = Tip("square")
    steps = (
        Cutout(0, rectangle(4.0, 14.0, 1.5), (1.0, 0.5), 0.0),
        Row(0, 5, Tongue(22.18, 4.0, square, None), 11.5, 0.5, True),
        Cutout(0, rectangle(13.0, 11.0, 1.5), (0.084, 0.208), 0.094),
        Ring(9, 4, Tongue(17.0, 12.011, Tip("round"), Hole(5.5, 3.192)), 3.0, 3, 0.032),
        Doubled("yz", 0.127),
    )
    return grown(Growth(Sheet(4.0, 5.0, "steel"), Plate(rectangle(96, 60, 9.5)), steps)).body


def channel_of_wide_bends() -> Body:
    """While one of them is made the other is still flat, an arc of more than a kilometre: that was refused."""
    body = add_flange(plate(Sheet(2.0, 20.0, "S235JR", 0.44), rectangle(90, 200), "base"), "back", 60)
    return add_flange(body, "front", 60, name="lip")


def slot_a_hair_askew_beside_a_shallow_flange() -> Body:
    """Side of flange, of its bend of 0.006 mm and of the slot each carried on the last, and were made one line."""
    steps = (
        Doubled("yz", 1.0),
        Cutout(0, rectangle(4.0, 4.0, 1.5), (0.5, 0.0), 0.001),
        Flange(
            *(0, 0, 1.0, None, 0.5, 0.5, "up", None, ("outside", "tangent line"), None),
            *(Tip("square"), None, (0.0, 0.0)),
        ),
    )
    return grown(Growth(Sheet(0.5, 0.5, "steel", 0.44), Plate(rectangle(60, 60, 1)), steps)).body


def mitred_box_a_hair_off_level() -> Body:
    """Its lowest line lies in a bend, beyond an end of its rim: the envelope was 0.9 nm short."""
    return rotate(
        box(Sheet(0.5, 0.5), rectangle(13, 13), 3, corner="mitred"), 0.077, Axis(direction=(1, 0, 0))
    )


def washer_folded_twice() -> Body:
    """The round ends of its bends reach farther than their corners: the envelope was 0.03 um short."""
    lines = [
        fold_line((x, -80), (x + 3, 80), 90, inside_radius=radius) for x, radius in ((-46.7, 3), (-19.7, 1.5))
    ]
    return fold(Sheet(5, 1.5, "steel", 0.33), ring(158.5, 36.5), lines)


def corrugation_whose_waves_drift() -> Body:
    """Flats of later waves lay parallel and nearer than the thickness, far aside: the unfolder took them for skins."""
    turns = [turn(60) for turn in (up, down, down, up) * 11]
    runs = [run(length, "tangent line") for length in (34.963, 17.0, 16.5, 16.562) * 11 + (34.963,)]
    pieces = [piece for pair in zip(runs, turns, strict=False) for piece in pair]
    return profile(Sheet(4.5, 7.5, "Ti Grade 1", "DIN 6935"), 13.278, *pieces, runs[-1], name="waves")


FOUND: tuple[Callable[[], Body], ...] = (
    lip_over_the_frame,
    tabs_longer_than_their_window,
    sliver_far_from_the_origin,
    ear_on_a_stub_that_is_thicker_than_wide,
    tab_through_two_frames,
    lug_whose_foot_ends_on_a_rim,
    hole_bitten_out_of_an_inner_corner,
    bar_as_thick_as_wide,
    plate_whose_mesh_is_off_by_rounding,
    windows_that_graze_their_image,
    channel_of_wide_bends,
    slot_a_hair_askew_beside_a_shallow_flange,
    mitred_box_a_hair_off_level,
    washer_folded_twice,
    corrugation_whose_waves_drift,
)


@pytest.mark.parametrize("make", FOUND, ids=[make.__name__ for make in FOUND])
def test_what_random_bodies_found_stays_mended(make: Callable[[], Body], tmp_path: Path) -> None:
    body = make()
    assert_all_holds(body, methods(body), tmp_path)
