"""Ten parts as shops bend them, each built as a user would, held against hand calculations and by every method."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from formparts.body import Body, Sheet
from formparts.outline import bolt_circle, disc, grid, obround, polygon, rectangle, ring
from formparts.part import Part
from formparts.shapes import (
    Z_AXIS,
    add_flange,
    add_joggle,
    add_tab,
    array_about,
    box,
    clearance_hole,
    corner_relief,
    cut_opening,
    down,
    drill,
    fuse,
    hole,
    offset_lug,
    perforation,
    plate,
    pressed,
    profile,
    relief,
    rotate,
    run,
    tapped,
    tip,
    tongue,
    translate,
    up,
)

RIGHT = math.pi / 2
Made = tuple[Body, dict[str, float], set[str]]
"""The part, figures of it by hand [mm, mm3], and the codes of what the checks rightly say of it."""


def allowance(radius: float, thickness: float, angle: float = RIGHT, k: float = 0.44) -> float:
    """Developed length along the neutral fibre, k thicknesses from the inside."""
    return angle * (radius + k * thickness)


def sheet(thickness: float, radius: float) -> Sheet:
    return Sheet(thickness, radius, "DC01", "K 0.44")


def joggled_bracket() -> Made:
    """
    Plate of 80 x 40, an edge set off by 6 mm over 20, a wall with chamfered corners, a slot and a hole.

    Middles of both joggle bends lie R + t/2 = 3.5 from their axes, the slope is what is left of the rise over sin 45.
    An offset of 6 mm wants a joggle tool: the bend lines are nearer than a die's opening, and no order is clear.
    """
    body = add_joggle(plate(sheet(2, 2.5), rectangle(80, 40), "bracket"), "right", 20, rise=6)
    body = add_flange(body, "left", 30, end=tip("chamfered", 8), name="wall")
    body = cut_opening(body, obround(14, 7), "bracket", (-20, 0), "slot")
    body = cut_opening(body, disc(6.6), "joggle", (20, 10), "hole")
    slope = (6 - 2 * 3.5 * (1 - math.cos(math.pi / 4))) / math.sin(math.pi / 4)
    long = 80 - 4.5 + 2 * math.pi / 4 * 3.5 + slope + 20 + RIGHT * 3.5 + 30 - 4.5
    openings = 7 * 7 + math.pi * 3.5**2 + math.pi * 3.3**2
    return (
        body,
        {"volume": 2 * (40 * long - 8 * 8 - openings), "height": 30},
        {"offset-too-short", "no-bend-order"},
    )


def hat_rail() -> Made:
    """Hat 30 high with a top of 40 and feet of 15, five slots in the top: four bends of 90 deg, R + t = 3.5."""
    hat = profile(
        sheet(1.5, 2), 300,
        run(15), up(90), run(30), down(90), run(40, name="top"), down(90), run(30), up(90), run(15),
        name="rail",
    )  # fmt: skip
    body = cut_opening(hat, obround(12, 6), "rail.top", [(16.5, 30 + 60 * k) for k in range(5)], "slot")
    straight = 2 * (15 - 3.5) + 2 * (30 - 7) + 40 - 7
    volume = 1.5 * (300 * (straight + 4 * RIGHT * 2.75) - 5 * (6 * 6 + math.pi * 9))
    return body, {"volume": volume, "blank long": straight + 4 * allowance(2, 1.5)}, set()


def u_bracket() -> Made:
    """Legs of 60 on a web of 45, and a pin of 10.5 through both legs: R + t = 7."""
    body = profile(sheet(3, 4), 50, run(60), up(90), run(45, name="web"), up(90), run(60), name="u", root=2)
    body = drill(body, disc(10.5), (0, 25, 40), (1, 0, 0), "pin")
    straight = 2 * 53 + 31
    volume = 3 * (50 * (straight + 2 * RIGHT * 5.5) - 2 * math.pi * 5.25**2)
    return body, {"volume": volume, "blank long": straight + 2 * allowance(4, 3), "height": 60}, set()


def pipe_saddle() -> Made:
    """
    Saddle over a pipe of 60: half a turn rolled at R 30 with K 0.5, and two ears of 25 with holes of 9.

    A leg of 40 is measured to the farthest outside of both its bends: 40 - 5 - 32 = 3 mm are straight.
    """
    leg, ear = run(40), run(25, name="left")
    rolled = down(180, 30, process="roll", bend_rule="K 0.5")
    body = profile(
        sheet(2, 3), 30, ear, up(90), leg, rolled, leg, up(90), run(25, name="right"), name="saddle"
    )
    for side, x in (("left", 9), ("right", 11)):
        body = cut_opening(body, disc(9), f"saddle.{side}", (x, 15), f"{side}_hole")
    straight = 2 * 20 + 2 * 3
    volume = 2 * (30 * (straight + 2 * RIGHT * 4 + math.pi * 31) - 2 * math.pi * 4.5**2)
    blank = straight + 2 * allowance(3, 2) + allowance(30, 2, math.pi, 0.5)
    return body, {"volume": volume, "blank long": blank, "height": 40}, set()


def hexagonal_cap() -> Made:
    """
    Cap over a hexagon of 40 a side, 20 deep, corners closed to 0.3 mm: R + t = 2.

    Across the flats the blank is the floor, 2 less on each side, and twice the bend and what is straight above it.
    """
    corners = [(40 * math.cos(turn * math.pi / 3), 40 * math.sin(turn * math.pi / 3)) for turn in range(6)]
    body = box(sheet(1, 1), polygon(corners), 20, gap=0.3, relief=corner_relief("round", 3), name="cap")
    across = 40 * math.sqrt(3)
    return body, {"height": 20, "width": across, "blank wide": across - 4 + 2 * (allowance(1, 1) + 18)}, set()


def perforated_tray_corner() -> Made:
    """
    Floor of 100 x 80 with two walls of 25 that meet, rims of 10 turned in, and a staggered field of holes of 4.

    Along x the blank is the floor less one setback of 2.2, a bend, a wall less two, a bend, and a rim less one.
    """
    body = box(
        sheet(1, 1.2), rectangle(100, 80), [0, 25, 25, 0], gap=0.3, rim=10, relief=corner_relief("round", 4),
        name="tray",
    )  # fmt: skip
    body = cut_opening(body, disc(4), "tray", perforation(rectangle(80, 60), disc(4), 7, 2), "vent")
    blank = 100 - 2.2 + 25 - 4.4 + 10 - 2.2 + 2 * allowance(1.2, 1)
    return body, {"height": 25, "width": 80, "blank long": blank}, set()


def lanced_plate() -> Made:
    """
    Six tabs of 14 x 12 lanced out of a plate of 150 x 100, each with a hole of 4, 9 below its end: R + t = 3.5.

    A tab's blank is its straight and its bend long, and comes out of its own opening, so that only the cut round it is
    lost. The holes are 3 mm from their bends, where 1.5 t + R is common practice; a long die meets the plate.
    """
    body = plate(sheet(1.5, 2), rectangle(150, 100, 5), "plate")
    body = add_tab(body, 12, 14, grid(3, 2, 40, 40), end="square", hole=hole(4, 5), name="tab")
    tab = 14 * (12 - 3.5 + RIGHT * 2.75) - math.pi * 4
    opening = body.flats[0].outline.holes[0]
    room = abs(opening.signed_area)
    volume = 1.5 * (150 * 100 - (4 - math.pi) * 25 - 6 * room + 6 * tab)
    return body, {"volume": volume, "height": 12}, {"opening-near-bend", "no-bend-order"}


def three_rings_of_lugs() -> Made:
    """Six lugs raised inward by 10, six tabs folded up, eight ears outward: all ends lie on circles about one axis."""
    stock = sheet(2, 2.5)
    inner = offset_lug(stock, width=14, rise=10, reach=28, foot=12, slope=60, hole=hole(6), name="inner")
    inner = translate(rotate(inner, 180), (55, 0, 0))
    ear = translate(tongue(stock, 20, 16, hole=hole(7, 10), name="outer"), (105, 0, 0))
    rings = (array_about(inner, Z_AXIS, 6), array_about(ear, Z_AXIS, 8))
    body = fuse(plate(stock, ring(220, 120), "base"), *rings, name="rings")
    body = add_tab(body, 15, 12, bolt_circle(None, 6, 170, 30), name="upright")
    return body, {"height": 15, "width": 250, "blank long": 250}, {"no-bend-order"}


def stepped_shroud() -> Made:
    """
    Three steps of 40 with slopes of 30 between them at 45 deg, and a lip of 15 along a part of the middle one.

    Each bend takes 2.5 tan 22.5 of a run, as a bend of less than 90 deg is measured to its mould line; the lip's
    bend begins at the edge, between two notches.
    """
    runs = [run(40), up(45), run(30), down(45), run(40, name="middle"), up(45), run(30), down(45), run(40)]
    body = profile(sheet(1, 1.5), 120, *runs, name="shroud")
    body = add_flange(
        body, "back", 15, flat="shroud.middle", width=20, edge_to="tangent line", relief=relief(2, 3, "square"),
        name="lip",
    )  # fmt: skip
    taken = 2.5 * math.tan(math.pi / 8)
    straight = 3 * 40 + 2 * 30 - 8 * taken
    lip = 20 * (15 - 2.5 + RIGHT * 2)
    volume = 120 * (straight + 4 * math.pi / 4 * 2) + lip - 2 * 2 * 3
    return body, {"volume": volume, "blank long": straight + 4 * allowance(1.5, 1, math.pi / 4)}, set()


def plate_with_countersinks_and_nuts() -> Made:
    """
    Plate of 120 x 80 x 3: four M4 countersunk holes, two pressed nuts, one M4 thread (its drill of 3.3).

    ISO 273 (medium) has holes of 4.5 for M4, ISO 7721 heads of 9.4: a cone of 90 deg, 2.45 deep:
    0.55 mm of the sheet are left below it, less than the stated least.
    """
    body = plate(sheet(3, 4), rectangle(120, 80, 8), "plate")
    sunk = clearance_hole("M4", head="countersunk")
    body = cut_opening(body, sunk, places=grid(2, 2, 90, 50), name="sunk")
    body = cut_opening(body, pressed(8.75, "nut M6", 11), places=[(-20, 0), (20, 0)], name="nut")
    body = cut_opening(body, tapped("M4"), places=(0, 25), name="thread")
    small, big = 4.5 / 2, 9.4 / 2
    cone = math.pi * (big - small) * ((big**2 + big * small + small**2) / 3 - small**2)
    holes = 4 * small**2 + 2 * 4.375**2 + 1.65**2
    volume = 3 * (120 * 80 - (4 - math.pi) * 64 - math.pi * holes) - 4 * cone
    return body, {"volume": volume, "blank long": 120}, {"sunk-hole-too-deep"}


MAKERS = (
    joggled_bracket, hat_rail, u_bracket, pipe_saddle, hexagonal_cap, perforated_tray_corner, lanced_plate,
    three_rings_of_lugs, stepped_shroud, plate_with_countersinks_and_nuts,
)  # fmt: skip


@pytest.mark.parametrize("make", MAKERS)
def test_part(make: Callable[[], Made]) -> None:
    """Figures by hand to 1e-9, every method agrees, and the checks say just what its docstring does."""
    body, by_hand, codes = make()
    part = Part(body)
    _, wide, high = part.properties.envelope
    figures = (part.properties.volume, wide, high, part.blank.length, part.blank.width)
    found = dict(zip(("volume", "width", "height", "blank long", "blank wide"), figures, strict=True))
    assert {name: found[name] for name in by_hand} == pytest.approx(by_hand, rel=1e-9)
    assert all(row.agrees for row in part.audit())
    assert {finding.code for finding in part.findings()} == codes
