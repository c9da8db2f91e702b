"""The lid of a gauge case."""

import math
from typing import Annotated

from formparts import BendRuleName, Body, Length, MaterialName, Sheet, cut_opening, disc, recipe, rectangle
from formparts.shapes import box, clearance_hole, corner_relief, perforation


@recipe
def gauge_lid(
    length: Annotated[float, Length("of the case that it closes, to the outside, along x", 40, 2000)] = 140,
    width: Annotated[float, Length("of the case that it closes, to the outside, along y", 40, 2000)] = 90,
    play: Annotated[float, Length("between the walls of lid and case, on each side", 0.05, 5)] = 0.5,
    depth: Annotated[float, Length("of the walls, to the outside of the lid", 5, 200)] = 18,
    screw_from_top: Annotated[
        float, Length("from the top of the case to the screws in its left and right wall", 3, 100)
    ] = 9,
    vent: Annotated[float, Length("diameter of the vent holes", 1, 50)] = 5,
    vent_pitch: Annotated[float, Length("from a vent hole to each of its six neighbours", 1.5, 100)] = 12,
    vent_length: Annotated[float, Length("of the field of vent holes, along x", 5, 1900)] = 60,
    vent_width: Annotated[float, Length("of the field of vent holes, along y", 5, 1900)] = 30,
    gap: Annotated[float, Length("between two walls, at each corner", 0.05, 5)] = 0.5,
    thickness: Annotated[float, Length("thickness of the sheet", 0.5, 4)] = 1.5,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.1, 20)] = 2,
    material: Annotated[str, MaterialName("of the sheet")] = "DC01",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "DIN 6935",
) -> Body:
    """
    Gauge lid: a shallow box that goes over the walls of its case, with a hole for an M3 screw at either end and vents.

    It lies on its back: the outside of the lid on z = 0, its walls up, the middle on the z axis. It rests on the tops
    of the case's walls with the inside of its bends.

    By hand, at the defaults: 140 + 2 (0.5 + 1.5) = 144 mm long outside and 94 mm wide. A wall's top edge, 0.5 mm from
    the lid's wall, meets the bend 2 - sqrt(2^2 - 1.5^2) = 0.677 mm below the inside of the lid; so the screws are
    9 + 0.677 + 1.5 = 11.177 mm from its outside, 7.677 mm above the bend of 3.5 mm.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    outside = rectangle(length + 2 * (play + thickness), width + 2 * (play + thickness))
    lid = box(sheet, outside, depth, gap=gap, relief=corner_relief("round", 3 * thickness), name="gauge_lid")
    short = max(0.0, inside_radius - play)
    rest = inside_radius - math.sqrt(inside_radius**2 - short**2)
    field = rectangle(vent_length, vent_width)
    lid = cut_opening(lid, disc(vent), "gauge_lid", perforation(field, disc(vent), vent_pitch, 0), "vent")
    for number, side in ((2, "right"), (4, "left")):
        wall = lid.flat(f"gauge_lid.wall[{number}]")
        left, low, right, _ = wall.outline.bounds
        place = ((left + right) / 2, low + screw_from_top + rest - inside_radius)
        lid = cut_opening(lid, clearance_hole("M3"), wall.name, place, f"{side}_screw")
    return lid
