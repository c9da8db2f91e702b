"""The cast: one small named body of each kind, awkward ones too. `CAST` gives them by name, each made afresh."""

from __future__ import annotations

from collections.abc import Callable

from formparts.bending import Din6935
from formparts.body import Body, Sheet
from formparts.outline import Motion, closed_path, disc, obround, polygon, rectangle, ring
from formparts.shapes import (
    X_AXIS,
    Z_AXIS,
    Axis,
    add_flange,
    array_about,
    cut_opening,
    down,
    fuse,
    hole,
    mirror,
    offset_lug,
    pierced,
    plate,
    profile,
    relief,
    rooted,
    rotate,
    run,
    shifted,
    tip,
    tongue,
    translate,
    up,
)

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)
THIN = Sheet(0.8, 0.5, "5754-H22", Din6935())
TIGHT = Sheet(1.5, 0.6, "1.4301", 0.38)


def flat_plate() -> Body:
    """A rounded plate with a round opening, a slot and a rectangular window."""
    body = plate(SHEET, rectangle(60, 40, 6), "flat_plate")
    body = cut_opening(body, disc(9), name="round")
    body = cut_opening(body, obround(12, 5), places=[Motion.shift(18, 8)], name="slot")
    return cut_opening(body, rectangle(10, 8, 1.5), places=[Motion.shift(-18, -6)], name="window")


def washer() -> Body:
    """A ring: no straight edge at all, and no corner."""
    return plate(THIN, ring(30, 17), "washer")


def angle() -> Body:
    """One bend up of 90 deg."""
    return profile(SHEET, 50, run(40), up(90), run(30), name="angle")


def zed() -> Body:
    """Up, then down, of unlike angles and radii."""
    return profile(SHEET, 25, run(30), up(60), run(25), down(110, 1.0), run(20), name="zed")


def steep() -> Body:
    """A bend of 170 deg whose far end is still clear of the near one."""
    runs = (run(40, "tangent line"), up(170), run(25, "tangent line"))
    return profile(SHEET, 18, *runs, name="steep")


def nearly_flat() -> Body:
    """A bend of 0.05 deg: the smallest faces that there are."""
    runs = (run(20, "tangent line"), down(0.05), run(20, "tangent line"))
    return profile(SHEET, 12, *runs, name="nearly_flat")


def rooted_elsewhere() -> Body:
    """A channel that hangs on its last run, a hole in its web."""
    body = profile(SHEET, 30, run(25), up(90), run(60), up(90), run(35), name="channel")
    body = cut_opening(body, disc(8), "channel.run[2]", [Motion.shift(15, 15)], "web_hole")
    return rooted(body, "channel.run[3]")


def mirrored() -> Body:
    """The mirror image of a crooked part, in a plane that misses it."""
    body = add_flange(
        angle(), "front", 12, flat="angle.run[1]", width=14, centre=5, relief=relief(2, 3), name="side"
    )
    return mirror(body, "yz", (70, 0, 0), name="angle_left")


def turned() -> Body:
    """Askew in space: turned about an axis that is not an axis of its own."""
    return translate(rotate(zed(), 33, Axis((3, -2, 5), (1, 2, 3))), (7, -11, 13))


def turned_over() -> Body:
    """Two angles, the second with its upper face below: fused, it is described from its other side."""
    first = plate(SHEET, rectangle(60, 50), "base")
    second = rotate(angle(), 180, Axis((0, 0, 1), (1, 0, 0)))
    return fuse(first, translate(second, (10, 20, 0)), name="turned_over")


def notched() -> Body:
    """An opening that runs out over the edge, and one over a corner."""
    body = cut_opening(angle(), disc(10), "angle.run[1]", [Motion.shift(0, 20)], "bite")
    return cut_opening(body, rectangle(8, 8), "angle.run[2]", [Motion.shift(25, 50)], "corner")


def two_bends_at_one_corner() -> Body:
    """Flanges on two edges that meet: both bends begin in the same corner."""
    body = plate(SHEET, rectangle(40, 30), "corner")
    body = add_flange(body, "right", 15, edge_to="tangent line", name="right")
    return add_flange(body, "back", 12, edge_to="tangent line", side="down", angle=60, name="back")


def bend_on_a_hole() -> Body:
    """Flanges on the edges of a window, one of them in a notch of its own."""
    body = plate(SHEET, pierced(rectangle(90, 70), rectangle(40, 30)), "frame")
    body = add_flange(body, ((-20, 15), (20, 15)), 9, width=30, edge_to="tangent line", name="tab")
    return add_flange(
        body,
        ((-20, -15), (20, -15)),
        10,
        width=18,
        relief=relief(2, 1, "square"),
        side="down",
        name="tab_below",
    )


def reliefs() -> Body:
    """A flange between square reliefs, one between round ones, one at the end of its edge."""
    body = plate(SHEET, rectangle(90, 60), "base")
    body = add_flange(body, "front", 14, width=40, relief=relief(3, 2, "square"), name="square")
    body = add_flange(body, "back", 14, width=30, centre=10, relief=relief(4, 3), angle=120, name="round")
    return add_flange(body, "right", 20, width=20, centre=20, relief=relief(1.5, 0, "square"), name="end")


def extended() -> Body:
    """A flange wider than its bend at both ends, with a chamfered end and a hole."""
    body = plate(SHEET, rectangle(50, 40), "base")
    return add_flange(
        body, "right", 30, width=20, edge_to="tangent line", height_to="inside", extend=(4, 7),
        end=tip("chamfered", 6), hole=hole(6, 12), name="wide",
    )  # fmt: skip


def flange_on_a_flange() -> Body:
    """A lip on the flange of a slanted edge: three flats in three directions."""
    slanted = closed_path((0, 0), (60, 0), (50, 40), (0, 30))
    body = add_flange(
        plate(SHEET, slanted, "base"), ((60, 0), (50, 40)), 25, width=24, relief=relief(2, 1), name="wall"
    )
    return add_flange(body, "back", 10, flat="wall", angle=70, side="down", name="lip")


def lug_down_15() -> Body:
    """A lug offset down by the flattest slope."""
    return offset_lug(
        SHEET, width=16, rise=1.5, reach=34, foot=12, slope=15, side="down", hole=hole(7), name="lug"
    )


def lug_down_90() -> Body:
    """A lug offset down by the steepest slope, its end chamfered."""
    return offset_lug(
        SHEET, width=16, rise=12, reach=30, foot=12, side="down", end=tip("chamfered", 4), hole=hole(5, 8),
        name="lug",
    )  # fmt: skip


def chain() -> Body:
    """Three bodies, each joined to the one before, the last one given first."""
    first = plate(SHEET, rectangle(40, 30), "first")
    second = translate(profile(SHEET, 20, run(30), up(90), run(25), name="second"), (15, -10, 0))
    # The outer face of the upright run is at x = 15 + 30, so its middle, where the tongue is to lie, at x = 44.
    third = rotate(tongue(SHEET, 30, 12, hole=hole(5), name="third"), -90, Axis((0, 0, 1), (0, 1, 0)))
    return fuse(first, translate(third, (44, 0, 15)), second, name="chain")


def lug_ring() -> Body:
    """Offset lugs round an opening, reaching inward, on a plate with round corners."""
    seat = plate(TIGHT, pierced(rectangle(90, 80, 10), disc(60)), "seat")
    lug = offset_lug(TIGHT, width=10, rise=6, reach=18, foot=9, slope=50, hole=hole(4))
    return fuse(seat, array_about(translate(rotate(lug, 180), (28, 0, 0)), Z_AXIS, 5, 12.5), name="lug_ring")


def outward_ring() -> Body:
    """Lugs outward on a ring, every second one down."""
    seat = plate(THIN, ring(50, 30), "ring")
    raised = offset_lug(THIN, width=8, rise=4, reach=14, foot=5, slope=45, end="square", name="up")
    lowered = offset_lug(THIN, width=6, rise=3, reach=12, foot=5, slope=70, side="down", name="down")
    raised, lowered = (translate(lug, (26, 0, 0)) for lug in (raised, lowered))
    return fuse(
        seat, array_about(raised, Z_AXIS, 3), array_about(lowered, Z_AXIS, 3, 60), name="outward_ring"
    )


def pierced_wall() -> Body:
    """Openings on an upright and on a sloping flat, one of an outline of its own."""
    body = profile(SHEET, 40, run(30), up(90), run(35), down(40), run(30), name="wall")
    body = cut_opening(body, polygon([(0, 0), (9, 0), (4, 8)]), "wall.run[2]", [Motion.shift(8, 15)], "eye")
    return cut_opening(
        body, shifted(obround(14, 6), turned=30), "wall.run[3]", [Motion.shift(13, 20)], "slot"
    )


def flange_and_ears() -> Body:
    """A plate with ears in its plane, and a flange on the edge between them."""
    base = plate(SHEET, rectangle(60, 40), "base")
    ear = translate(tongue(SHEET, 25, 14, hole=hole(6), name="ear"), (25, 0, 0))
    body = fuse(base, ear, mirror(ear, "yz", name="ear_left"), name="eared")
    return add_flange(body, "front", 30, end="round", width=24, relief=relief(2, 2), name="lug")


def upside_down() -> Body:
    """A channel standing on its flanges."""
    body = profile(
        TIGHT, 22, run(15, "inside"), down(90), run(30, "inside"), down(90), run(15, "inside"), name="upside"
    )
    return rotate(body, 180, X_AXIS)


MAKERS: tuple[Callable[[], Body], ...] = (
    angle, bend_on_a_hole, chain, extended, flange_and_ears, flange_on_a_flange, flat_plate, lug_down_15, lug_down_90,
    lug_ring, mirrored, nearly_flat, notched, outward_ring, pierced_wall, reliefs, rooted_elsewhere, steep, turned,
    turned_over, two_bends_at_one_corner, upside_down, washer, zed,
)  # fmt: skip
CAST: dict[str, Callable[[], Body]] = {maker.__name__: maker for maker in MAKERS}
