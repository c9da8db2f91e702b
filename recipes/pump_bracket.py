"""The bracket that carries the motor of a coolant pump."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Choice,
    Length,
    MaterialName,
    Motion,
    Sheet,
    add_flange,
    bolt_circle,
    cut_opening,
    disc,
    grid,
    obround,
    pierced,
    plate,
    recipe,
    rectangle,
    shifted,
    tip,
)
from formparts.shapes import tapped


@recipe
def pump_bracket(
    length: Annotated[float, Length("over the outside of the gussets, along x", 60, 1000)] = 140,
    depth: Annotated[float, Length("of the base, to the outside of the upright", 50, 1000)] = 110,
    height: Annotated[float, Length("of the upright, to the outside of the base", 50, 1000)] = 130,
    shaft_height: Annotated[float, Length("of the motor's shaft over the outside of the base", 30, 900)] = 75,
    spigot: Annotated[float, Length("diameter of the hole for the motor's spigot", 5, 500)] = 60,
    bolt_circle_diameter: Annotated[float, Length("of the motor's bolts", 10, 600)] = 95,
    slot_width: Annotated[float, Length("of the slots for the motor's bolts", 2, 50)] = 7,
    slot_length: Annotated[float, Length("of these slots, upright, for the belt's tension", 3, 200)] = 15,
    gusset_height: Annotated[
        float, Length("of the gussets at the upright, to the outside of the base", 15, 900)
    ] = 70,
    gusset_toe: Annotated[float, Length("of the gussets in front", 8, 900)] = 16,
    gusset_flat: Annotated[float, Length("of the gussets' top, level, beside the upright", 0.1, 500)] = 15,
    thread: Annotated[str, Choice("of the four holes in the base", ("M5", "M6", "M8"))] = "M6",
    thread_pitch_x: Annotated[float, Length("between the threads, along x", 10, 900)] = 90,
    thread_pitch_y: Annotated[float, Length("between the threads, along y", 10, 900)] = 50,
    corner_relief: Annotated[
        float, Length("diameter of the relief in both corners at the upright", 1, 50)
    ] = 10,
    thickness: Annotated[float, Length("thickness of the sheet", 1, 10)] = 4,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.2, 30)] = 5,
    material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.42",
) -> Body:
    """
    Pump bracket: a base with four threads, an upright with spigot hole and slots, a tapered gusset on either side.

    The base lies on z = 0 with the upright along its back.

    By hand, at the defaults: the base between the tangent lines is 140 - 2 (5 + 4) = 122 mm long and 110 - 9 = 101 mm
    deep; a gusset falls from 70 to 16 mm over 101 - 5 - 15 = 81 mm, where half a relief of 10 mm takes 5 off it.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    setback = inside_radius + thickness
    wide, deep = length - 2 * setback, depth - setback
    corners = [shifted(disc(corner_relief), x, deep / 2) for x in (-wide / 2, wide / 2)]
    bracket = plate(sheet, pierced(rectangle(wide, deep), *corners), "pump_bracket")
    bracket = add_flange(bracket, "back", height, edge_to="tangent line", name="upright")
    straight = deep - corner_relief / 2
    taper = tip("chamfered", straight - gusset_flat, gusset_height - gusset_toe)
    for side, ends in (("right", (taper, "square")), ("left", ("square", taper))):
        bracket = add_flange(
            bracket, side, gusset_height, edge_to="tangent line", end=ends, name=f"gusset_{side}"
        )
    threads = grid(2, 2, thread_pitch_x, thread_pitch_y)
    bracket = cut_opening(bracket, tapped(thread), "pump_bracket", threads, "thread")
    left, _, right, _ = bracket.flat("upright").outline.bounds
    shaft = Motion.shift((left + right) / 2, shaft_height - setback)
    bracket = cut_opening(bracket, disc(spigot), "upright", shaft, "spigot")
    # On the motor's circle, but all upright.
    bolts = [shaft.after(Motion.shift(*place((0, 0))).after(Motion.turn(90)))
             for place in bolt_circle(None, 4, bolt_circle_diameter, 45)]  # fmt: skip
    return cut_opening(bracket, obround(slot_length, slot_width), "upright", bolts, "bolt")
