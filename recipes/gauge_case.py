"""A case for a pressure gauge beside a boiler; `gauge_lid` closes it, `gauge_housing` is the pair."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Length,
    MaterialName,
    Sheet,
    cut_opening,
    disc,
    grid,
    recipe,
    rectangle,
)
from formparts.shapes import box, corner_relief, tapped


@recipe
def gauge_case(
    length: Annotated[float, Length("over the outside of the walls, along x", 40, 2000)] = 140,
    width: Annotated[float, Length("over the outside of the walls, along y", 40, 2000)] = 90,
    height: Annotated[float, Length("of the walls, to the outside of the floor", 20, 500)] = 50,
    gland: Annotated[
        float, Length("diameter of the hole for the cable gland, in the front wall", 3, 200)
    ] = 16.2,
    foot_hole: Annotated[float, Length("diameter of the four holes in the floor", 2, 50)] = 5.5,
    foot_pitch_x: Annotated[float, Length("between the holes in the floor, along x", 5, 1900)] = 100,
    foot_pitch_y: Annotated[float, Length("between the holes in the floor, along y", 5, 1900)] = 50,
    screw_from_top: Annotated[
        float, Length("from the top of the left and right wall to its lid screw", 3, 100)
    ] = 9,
    gap: Annotated[float, Length("between two walls, at each corner", 0.05, 5)] = 0.5,
    thickness: Annotated[float, Length("thickness of the sheet", 0.5, 4)] = 1.5,
    inside_radius: Annotated[float, Length("inside radius of all bends", 0.1, 20)] = 2,
    material: Annotated[str, MaterialName("of the sheet")] = "DC01",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "DIN 6935",
) -> Body:
    """
    Gauge case: a box with closed corners, a cable gland in front, and an M3 thread in either end for the lid.

    The floor lies on z = 0, the middle of the case on the z axis; the front is -y.

    By hand, at the defaults: a wall rises 50 - (2 + 1.5) = 46.5 mm above its bend, and the thread lies 37.5 mm above
    it. By DIN 6935 r/s = 1.333 gives 0.65 + 0.5 lg 1.333 = 0.7125 and an allowance of pi/2 (2 + 0.7125 x 0.75) =
    3.981 mm, so the blank is 140 + 2 (46.5 + 3.981 - 3.5) = 233.962 mm long.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    relief = corner_relief("round", 3 * thickness)
    case = box(sheet, rectangle(length, width), height, gap=gap, relief=relief, name="gauge_case")
    case = cut_opening(
        case, disc(foot_hole), "gauge_case", grid(2, 2, foot_pitch_x, foot_pitch_y), "foot_hole"
    )
    case = cut_opening(case, disc(gland), "gauge_case.wall[1]", middle_of(case, 1, 0.5), "gland")
    for number, side in ((2, "right"), (4, "left")):
        low = middle_of(case, number, 1)
        place = (low[0], low[1] - screw_from_top)
        case = cut_opening(case, tapped("M3"), f"gauge_case.wall[{number}]", place, f"{side}_screw")
    return case


def middle_of(case: Body, number: int, share: float) -> tuple[float, float]:
    """The middle of a wall along its bend, at a share of its straight height."""
    left, low, right, high = case.flat(f"gauge_case.wall[{number}]").outline.bounds
    return (left + right) / 2, low + share * (high - low)
