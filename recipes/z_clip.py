"""A clip that holds a panel off a frame."""

from math import radians, sin
from typing import Annotated

from formparts import (
    Angle,
    BendRuleName,
    Body,
    Length,
    MaterialName,
    Motion,
    Sheet,
    cut_opening,
    disc,
    down,
    obround,
    profile,
    recipe,
    run,
    up,
)
from formparts.bending import outside_setback


@recipe
def z_clip(
    foot: Annotated[float, Length("length of the foot, to the outside of its bend", 3, 1000)] = 30,
    rise: Annotated[float, Length("from foot to head, between like faces", 1, 1000)] = 20,
    head: Annotated[float, Length("length of the head, to the outside of its bend", 3, 1000)] = 27,
    width: Annotated[float, Length("width along the bends", 3, 2000)] = 40,
    bend_angle: Annotated[float, Angle("of both bends, from flat", 15, 90)] = 90,
    foot_hole: Annotated[float, Length("diameter of the hole in the foot", 1, 500)] = 7,
    head_slot: Annotated[
        float, Length("overall length of the slot in the head, along the bends", 1, 500)
    ] = 14,
    head_slot_width: Annotated[float, Length("width of the slot in the head", 1, 500)] = 6,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 2,
    inside_radius: Annotated[float, Length("inside radius of both bends", 0.01, 100)] = 2.5,
    material: Annotated[str, MaterialName("of the sheet")] = "DX51D",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Panel clip: foot, web and head in the shape of a Z, a hole in the foot, a slot in the head.

    The foot lies along x on z = 0; the web goes up, the head on in the direction of the foot.

    By hand, at the defaults: runs of 30, 22 (the rise and one thickness) and 27 mm to the outside less two
    deductions of 2 x 4.5 - pi/2 (2.5 + 0.88) = 3.691 mm give a blank of 71.619 mm.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    clip = profile(
        sheet, width,
        run(foot, name="foot"), up(bend_angle),
        run(rise / sin(radians(bend_angle)), to="mid-surface", name="web"), down(bend_angle),
        run(head, name="head"),
        name="z_clip",
    )  # fmt: skip
    clip = cut_opening(clip, disc(foot_hole), "z_clip.foot", [Motion.shift(foot / 2, width / 2)], "foot_hole")
    # On the head x begins at the tangent line of its bend; its length is given to the outside.
    middle = head / 2 - outside_setback(bend_angle, inside_radius, thickness)
    slot = Motion.shift(middle, width / 2).after(Motion.turn(90))
    return cut_opening(clip, obround(head_slot, head_slot_width), "z_clip.head", [slot], "head_slot")
