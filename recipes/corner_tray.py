"""A drip tray under a pump."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Length,
    MaterialName,
    Motion,
    Sheet,
    add_flange,
    cut_opening,
    disc,
    pierced,
    plate,
    recipe,
    rectangle,
    shifted,
)


@recipe
def corner_tray(
    length: Annotated[float, Length("over the outside of the walls, along x", 10, 3000)] = 180,
    width: Annotated[float, Length("over the outside of the walls, along y", 10, 3000)] = 120,
    height: Annotated[float, Length("of the walls, to the outside of the floor", 3, 500)] = 25,
    corner_relief: Annotated[float, Length("diameter of the relief hole in each corner", 0.5, 50)] = 6,
    drain: Annotated[float, Length("diameter of the drain hole", 1, 500)] = 12,
    drain_from_side: Annotated[float, Length("from the outside of the left wall to the drain", 2, 3000)] = 30,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 1.5,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.01, 100)] = 2,
    material: Annotated[str, MaterialName("of the sheet")] = "1.4301",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Drip tray: a floor with four walls, a round relief in each corner and a drain hole.

    The floor lies on z = 0, the middle of the tray on the z axis. Each relief has its centre where two bend
    tangent lines cross, and takes its radius off the walls at either side of it.

    By hand, at the defaults: the floor between the tangent lines is 180 - 2 (2 + 1.5) = 173 mm long.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    setback = inside_radius + thickness
    flat_length, flat_width = length - 2 * setback, width - 2 * setback
    corners = [
        shifted(disc(corner_relief), x, y)
        for x in (-flat_length / 2, flat_length / 2)
        for y in (-flat_width / 2, flat_width / 2)
    ]
    tray = plate(sheet, pierced(rectangle(flat_length, flat_width), *corners), name="corner_tray")
    for side in ("front", "right", "back", "left"):
        tray = add_flange(tray, side, height, edge_to="tangent line", name=f"wall_{side}")
    place = Motion.shift(drain_from_side - length / 2, 0)
    return cut_opening(tray, disc(drain), "corner_tray", [place], "drain")
