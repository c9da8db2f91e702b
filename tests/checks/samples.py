"""Small parts of which each has one dimension that decides whether a rule is kept."""

from __future__ import annotations

from typing import Annotated

from formparts import (
    Z_AXIS,
    Body,
    Count,
    Length,
    Motion,
    Sheet,
    add_flange,
    array_about,
    cut_opening,
    disc,
    fuse,
    offset_lug,
    plate,
    polygon,
    profile,
    recipe,
    rectangle,
    relief,
    ring,
    rotate,
    run,
    translate,
    up,
)
from formparts.shapes import add_mark, countersunk, dimple, pressed, tapped


@recipe
def notched_strip(
    web: Annotated[float, Length("between the two notches", 0.1, 30)] = 5,
    slit: Annotated[float, Length("width of both notches", 0.05, 20)] = 5,
) -> Body:
    """Strip with a notch from each side, and a web between their ends."""
    depth, half = (40 - web) / 2, slit / 2
    points = [
        (0, 0),
        (50 - half, 0),
        (50 - half, depth),
        (50 + half, depth),
        (50 + half, 0),
        (100, 0),
        (100, 40),
    ]
    points += [(50 + half, 40), (50 + half, 40 - depth), (50 - half, 40 - depth), (50 - half, 40), (0, 40)]
    return plate(Sheet(2, 2.5, "DC01"), polygon(points), name="strip")


@recipe
def deep_channel(height: Annotated[float, Length("of both flanges, to the outside", 10, 100)] = 30) -> Body:
    """The channel of the recipes, 50 mm wide, without its holes: nothing but the height can be changed."""
    sheet = Sheet(2, 2.5, "DC01", "DIN 6935")
    return profile(sheet, 300, run(height), up(90), run(50), up(90), run(height))


@recipe
def curled_box(last: Annotated[float, Length("of the last run, to the outside", 5, 60)] = 20) -> Body:
    """Section of four runs that curls back on its first run; it is 30 mm high outside."""
    return profile(
        Sheet(2, 2.5, "DC01"), 40,
        run(60, name="base"), up(90), run(30), up(90), run(30), up(90), run(last, name="last"),
        name="curled_box",
    )  # fmt: skip


@recipe
def hemmed_edge(
    leg: Annotated[float, Length("return of the hem, to the tangent line", 0.5, 60)] = 6,
    inside_radius: Annotated[float, Length("inside radius of the hem", 0.05, 20)] = 1,
) -> Body:
    """Strip with a hem along one edge."""
    return profile(
        Sheet(1, inside_radius, "DC01"), 40,
        run(40, to="tangent line", name="strip"), up(170), run(leg, to="tangent line", name="hem"),
        name="hemmed_edge",
    )  # fmt: skip


@recipe
def tabbed_plate(
    relief_width: Annotated[float, Length("of the reliefs beside the tab", 0.1, 30)] = 4,
    relief_depth: Annotated[float, Length("of the reliefs, beyond the tangent line", 0, 30)] = 6,
) -> Body:
    """Plate with a tab on part of its back edge, between two square reliefs."""
    body = plate(Sheet(2, 2.5, "DC01"), rectangle(120, 60), name="plate")
    notch = relief(relief_width, relief_depth, "square")
    return add_flange(body, "back", 20, width=50, relief=notch, name="tab")


@recipe
def open_tray(corner: Annotated[float, Length("diameter of the corner reliefs", 0.5, 30)] = 6) -> Body:
    """Tray of 1.5 mm sheet with two walls that meet in a corner, cut away by a round hole where they cross."""
    size = 60.0
    hole = disc(corner)
    floor = plate(Sheet(1.5, 2, "DC01"), rectangle(size, size), name="floor")
    floor = cut_opening(floor, hole, "floor", [Motion.shift(size / 2, size / 2)], "corner")
    tray = add_flange(floor, "back", 20, edge_to="tangent line", name="wall_back")
    return add_flange(tray, "right", 20, edge_to="tangent line", name="wall_right")


@recipe
def lug_ring(
    lug_count: Annotated[int, Count("lugs", 1, 60)] = 4,
    lug_width: Annotated[float, Length("width of a lug", 3, 100)] = 20,
    bore: Annotated[float, Length("diameter of the bore", 20, 400)] = 120,
    rise: Annotated[float, Length("of the lugs", 4, 100)] = 20,
    reach: Annotated[float, Length("in plan, of a lug from its first bend", 4, 100)] = 18,
) -> Body:
    """Ring with upright offset lugs, square at their ends, that point inward from 8 mm inside the bore."""
    sheet = Sheet(1, 1, "DC01", 0.44)
    outer = plate(sheet, ring(bore + 60, bore), name="ring")
    lug = offset_lug(sheet, width=lug_width, rise=rise, reach=reach, foot=8 + lug_width / 2, end="square")
    lug = translate(rotate(lug, 180), (bore / 2 - 8, 0, 0))
    return fuse(outer, array_about(lug, Z_AXIS, lug_count), name="lug_ring")


@recipe
def threaded_plate(
    thickness: Annotated[float, Length("of the sheet", 0.5, 6)] = 3,
    inset: Annotated[float, Length("of the press nut, from the edge", 6, 30)] = 20,
) -> Body:
    """Plate with a tapped hole, and a hole for a press nut near an edge."""
    nut = pressed(6.4, "press nut M5", 9, least_edge=8, least_thickness=1.5)
    body = plate(Sheet(thickness, 3, "DC01"), rectangle(80, 60), name="plate")
    body = cut_opening(body, tapped("M5"), places=(-20, 0), name="tap")
    return cut_opening(body, nut, places=(20, 30 - inset), name="nut")


@recipe
def sunk_angle(
    thickness: Annotated[float, Length("of the sheet", 0.5, 6)] = 4,
    inset: Annotated[float, Length("of the countersink, from the end of the leg", 6, 50)] = 20,
) -> Body:
    """Angle with a hole for an M5 screw, countersunk to 10.4 mm at 90 deg, in a leg of 60 mm."""
    body = profile(Sheet(thickness, 4, "DC01"), 60, run(60), up(90), run(40), name="angle")
    return cut_opening(body, countersunk(5.5, 10.4), places=(inset, 30), name="sink")


@recipe
def dimpled_angle(
    count: Annotated[int, Count("dimples", 0, 2)] = 1,
    inset: Annotated[float, Length("of the dimples, from the end of the leg", 4, 50)] = 25,
) -> Body:
    """Angle of 2 mm with dimples of 8 mm in a leg of 60 mm."""
    body = profile(Sheet(2, 2, "DC01"), 60, run(60), up(90), run(40), name="angle")
    return add_mark(body, dimple(8, 1.5), places=[(inset, 15), (inset, 45)][:count], name="dimple")
