"""A stiffener for the back of a panel."""

from math import radians, sin
from typing import Annotated

from formparts import (
    Angle,
    BendRuleName,
    Body,
    Length,
    MaterialName,
    Sheet,
    down,
    profile,
    recipe,
    run,
    up,
)


@recipe
def hat_section(
    length: Annotated[float, Length("length along the bends", 5, 6000)] = 400,
    crown: Annotated[float, Length("width of the crown, mould line to mould line", 3, 1000)] = 40,
    height: Annotated[float, Length("height of the crown over the brims, between like faces", 2, 1000)] = 30,
    brim: Annotated[float, Length("width of each brim, to its mould line", 3, 1000)] = 22,
    bend_angle: Annotated[float, Angle("of all four bends, from flat", 15, 120)] = 75,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 1.5,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.01, 100)] = 2.5,
    material: Annotated[str, MaterialName("of the sheet")] = "6061-T6",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
) -> Body:
    """
    Panel stiffener in the shape of a hat: brim, wall, crown, wall, brim.

    The first brim lies along x on z = 0, the section runs along y. A bend of 90 deg gives upright walls; less
    gives a hat that is wider at the brims, more one that closes in.

    By hand, at the defaults: a wall between its mid-surface corners is 30 / sin 75 = 31.058 mm long.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    wall = height / sin(radians(bend_angle))
    return profile(
        sheet, length,
        run(brim, to="mould line", name="brim_left"), up(bend_angle),
        run(wall, to="mid-surface", name="wall_left"), down(bend_angle),
        run(crown, to="mould line", name="crown"), down(bend_angle),
        run(wall, to="mid-surface", name="wall_right"), up(bend_angle),
        run(brim, to="mould line", name="brim_right"),
        name="hat_section",
    )  # fmt: skip
