"""The seat of a glass pane over a round lamp housing."""

from typing import Annotated

from formparts import (
    Z_AXIS,
    Angle,
    BendRuleName,
    Body,
    Count,
    Length,
    MaterialName,
    Sheet,
    array_about,
    bolt_circle,
    cut_opening,
    disc,
    fuse,
    hole,
    offset_lug,
    plate,
    recipe,
    ring,
    tip,
    translate,
)


@recipe
def stepped_seat(
    outside: Annotated[float, Length("outside diameter of the ring", 20, 2000)] = 160,
    inside: Annotated[float, Length("inside diameter of the ring", 5, 1900)] = 110,
    rise: Annotated[float, Length("of the lugs above the ring, between like faces", 0.5, 500)] = 8,
    slope: Annotated[float, Angle("of the lugs between their two bends", 15, 90)] = 45,
    lug_count: Annotated[int, Count("lugs round the ring", 1, 60)] = 6,
    lug_width: Annotated[float, Length("width of a lug", 3, 500)] = 20,
    lug_reach: Annotated[float, Length("in plan, from the first bend to the end of the lug", 5, 500)] = 32,
    lug_start: Annotated[
        float, Length("first bend of a lug, outward from the edge of the ring", 0.1, 500)
    ] = 2.5,
    lug_hole: Annotated[float, Length("diameter of the hole in each lug", 0.5, 400)] = 5.5,
    hole_from_end: Annotated[float, Length("from the end of a lug to the middle of its hole", 1, 400)] = 9,
    tip_radius: Annotated[float, Length("radius of the corners of a lug", 0.1, 250)] = 4,
    screw_count: Annotated[int, Count("screw holes in the ring", 1, 60)] = 3,
    screw_hole: Annotated[float, Length("diameter of the screw holes", 0.5, 400)] = 4.5,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 1,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.01, 100)] = 1.5,
    material: Annotated[str, MaterialName("of the sheet")] = "5754-H22",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Pane seat: a ring with offset lugs that reach outward, and screw holes on the ring's middle circle.

    The ring lies on z = 0 about the z axis; its lugs are bent up and level again, and carry the pane's clips.

    By hand, at the defaults: a lug takes 2 (1.5 + 0.5)(1 - cos 45) = 1.172 mm of its rise for its two bends, the
    slope is (8 - 1.172) / sin 45 = 9.657 mm long.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    seat = plate(sheet, ring(outside, inside), name="ring")
    lug = offset_lug(
        sheet,
        width=lug_width,
        rise=rise,
        reach=lug_reach,
        foot=lug_start + lug_width / 2,
        slope=slope,
        end=tip("radiused", tip_radius),
        hole=hole(lug_hole, hole_from_end),
    )
    lugs = array_about(translate(lug, (outside / 2 + lug_start, 0, 0)), Z_AXIS, lug_count)
    body = fuse(seat, lugs, name="stepped_seat")
    places = bolt_circle(disc(screw_hole), screw_count, (outside + inside) / 2, start_angle=180 / lug_count)
    return cut_opening(body, disc(screw_hole), "ring", places, "screw_hole")
