"""The raised seat of a round flow meter on a skid."""

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
    add_flange,
    array_about,
    disc,
    fuse,
    hole,
    mirror,
    obround,
    offset_lug,
    pierced,
    plate,
    recipe,
    rectangle,
    relief,
    rotate,
    shifted,
    tongue,
    translate,
)


@recipe
def ring_riser(
    length: Annotated[float, Length("length of the plate, without its ears", 60, 2000)] = 240,
    width: Annotated[float, Length("width of the plate, over the outside of its flange", 60, 2000)] = 210,
    corner_radius: Annotated[float, Length("corner radius of the plate", 0, 500)] = 15,
    opening: Annotated[float, Length("diameter of the opening", 20, 1900)] = 150,
    rise: Annotated[float, Length("of the seat above the plate, between like faces", 1, 500)] = 14,
    slope: Annotated[float, Angle("of the lugs between their two bends", 15, 90)] = 60,
    lug_count: Annotated[int, Count("lugs round the opening", 1, 60)] = 4,
    lug_width: Annotated[float, Length("width of a lug", 4, 500)] = 26,
    lug_hole: Annotated[float, Length("diameter of the hole in each tip", 1, 400)] = 9,
    pitch_diameter: Annotated[float, Length("pitch circle of the holes in the tips", 4, 1800)] = 82,
    lug_start: Annotated[
        float, Length("first bend of a lug, inward from the edge of the opening", 0, 500)
    ] = 6,
    flange_width: Annotated[float, Length("width of the stiffening flange", 10, 1900)] = 120,
    flange_height: Annotated[float, Length("height of the stiffening flange, to the outside", 3, 500)] = 22,
    ear_reach: Annotated[float, Length("how far an ear stands out of the plate", 5, 500)] = 28,
    ear_width: Annotated[float, Length("width of an ear", 5, 500)] = 30,
    slot_length: Annotated[
        float, Length("overall length of the slot in an ear, across the plate", 1, 400)
    ] = 16,
    slot_width: Annotated[float, Length("width of the slot in an ear", 1, 100)] = 9,
    relief_width: Annotated[float, Length("width of the reliefs beside the flange", 0.1, 50)] = 4,
    relief_depth: Annotated[
        float, Length("of the reliefs, beyond the tangent line of the bend", 0, 100)
    ] = 4.5,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 2,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.01, 100)] = 2.5,
    material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Raised seat of a round flow meter: a plate with a ring of offset lugs reaching into its opening.

    The plate lies on the skid and is held by two ears with slots in its plane, left and right. The meter's
    flange rests on the tips of the lugs, which are bent up out of the plate and level again. A flange along part
    of the back edge, standing between two round-ended reliefs, keeps the plate from sagging.

    The axis of the meter is the z axis, the lower face of the plate z = 0.

    By hand, at the defaults: a lug takes 2 (2.5 + 1)(1 - cos 60) = 3.5 mm of its rise for its two bends, the
    slope is (14 - 3.5) / sin 60 = 12.12 mm long; on plan it runs 2 (2.5 + 1) sin 60 + 12.12 cos 60 = 12.12 mm.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    seat = plate(sheet, pierced(rectangle(length, width, corner_radius), disc(opening)))

    first_bend = opening / 2 - lug_start
    lug = offset_lug(
        sheet,
        width=lug_width,
        rise=rise,
        reach=first_bend - pitch_diameter / 2 + lug_width / 2,
        foot=lug_start + lug_width / 2,
        slope=slope,
        hole=hole(lug_hole),
    )
    lug = translate(rotate(lug, 180), (first_bend, 0, 0))
    lugs = array_about(lug, Z_AXIS, lug_count)

    slot = shifted(obround(slot_length, slot_width), x=corner_radius + ear_reach / 2, turned=90)
    ear = tongue(sheet, corner_radius + ear_reach, ear_width, opening=slot, name="ear_right")
    ear = translate(ear, (length / 2 - corner_radius, 0, 0))

    body = fuse(seat, lugs, ear, mirror(ear, "yz", name="ear_left"), name="ring_riser")
    return add_flange(
        body,
        "back",
        flange_height,
        width=flange_width,
        relief=relief(relief_width, relief_depth),
        name="flange",
    )
