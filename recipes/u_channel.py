"""A rail that a drawer runner is screwed to."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Count,
    Length,
    MaterialName,
    Motion,
    Sheet,
    cut_opening,
    disc,
    grid,
    profile,
    recipe,
    run,
    up,
)


@recipe
def u_channel(
    length: Annotated[float, Length("length along the bends", 5, 6000)] = 300,
    width: Annotated[float, Length("width over the outside of the flanges", 5, 1000)] = 50,
    height: Annotated[float, Length("height of both flanges, to the outside of the web", 3, 1000)] = 30,
    hole_count: Annotated[int, Count("holes in a row along the web", 1, 200)] = 4,
    hole_pitch: Annotated[float, Length("from one hole to the next", 1, 3000)] = 80,
    hole_diameter: Annotated[float, Length("diameter of the holes", 0.5, 500)] = 6.6,
    thickness: Annotated[float, Length("thickness of the sheet", 0.2, 25)] = 2,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.01, 100)] = 2.5,
    material: Annotated[str, MaterialName("of the sheet")] = "DC01",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "DIN 6935",
) -> Body:
    """
    Runner rail: a web with two flanges up and a row of holes along its middle.

    The web lies on z = 0, the flanges are at both ends of x, the rail runs along y.

    By hand, at the defaults and by DIN 6935: at r/s = 1.25 the factor is 0.65 + 0.5 lg 1.25 = 0.6985, so an allowance
    is pi/2 (2.5 + 0.6985 x 1) = 5.024 mm and a deduction 2 x 4.5 - 5.024 = 3.976 mm; the blank is
    30 + 50 + 30 - 2 x 3.976 = 102.048 mm wide.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    rail = profile(
        sheet, length,
        run(height, name="left"), up(90), run(width, name="web"), up(90), run(height, name="right"),
        name="u_channel", root=2,
    )  # fmt: skip
    # On the web x begins at its tangent line, one inside radius and one thickness inside the outer face.
    middle = Motion.shift(width / 2 - inside_radius - thickness, length / 2)
    row = [middle.after(place) for place in grid(1, hole_count, hole_diameter, hole_pitch)]
    return cut_opening(rail, disc(hole_diameter), "u_channel.web", row, "hole")
