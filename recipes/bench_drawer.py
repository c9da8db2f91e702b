"""The drawer of a work bench."""

from typing import Annotated

from formparts import (
    BendRuleName,
    Body,
    Count,
    Length,
    MaterialName,
    Motion,
    Sheet,
    add_hem,
    cut_opening,
    disc,
    grid,
    obround,
    recipe,
    rectangle,
)
from formparts.shapes import box, corner_relief


@recipe
def bench_drawer(
    length: Annotated[float, Length("over the outside of the walls, along x", 60, 2000)] = 300,
    width: Annotated[float, Length("over the outside of the walls, front to back", 60, 2000)] = 220,
    front_height: Annotated[float, Length("of the front wall, to the outside of the floor", 20, 500)] = 80,
    side_height: Annotated[float, Length("of the other walls, hems included", 20, 500)] = 60,
    hem: Annotated[float, Length("of the hems, from the top of the wall to their ends", 3, 50)] = 10,
    handle_length: Annotated[float, Length("of the handle's slot in the front wall", 10, 500)] = 100,
    handle_width: Annotated[float, Length("of the handle's slot", 5, 100)] = 25,
    handle_from_top: Annotated[
        float, Length("from the top of the front wall to the middle of the slot", 5, 300)
    ] = 30,
    runner_count: Annotated[int, Count("holes for a runner in either side wall", 1, 50)] = 3,
    runner_pitch: Annotated[float, Length("from one of them to the next", 5, 1000)] = 80,
    runner_hole: Annotated[float, Length("diameter of these holes", 1, 30)] = 4.8,
    runner_from_floor: Annotated[float, Length("from the outside of the floor to these holes", 5, 300)] = 30,
    gap: Annotated[float, Length("between two walls, at each corner", 0.05, 5)] = 0.5,
    thickness: Annotated[float, Length("thickness of the sheet", 0.5, 3)] = 1,
    inside_radius: Annotated[float, Length("inside radius of the bends at the floor", 0.1, 20)] = 1,
    material: Annotated[str, MaterialName("of the sheet")] = "DC01",
    bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.42",
) -> Body:
    """
    Bench drawer: a floor with four walls, closed hems inward along both sides, a slot to pull at.

    The floor lies on z = 0, the middle of the drawer on the z axis; the front is -y.

    By hand, at the defaults: a bend unfolds to pi/2 (1 + 0.42 x 1) = 2.231 mm, a closed hem to pi (0.001 + 0.5) =
    1.574 mm; from left to right the blank is 300 - 4 + 2 (2.231 + 58 - 1.001 + 1.574 + 8.999) = 435.605 mm wide.
    """
    sheet = Sheet(thickness, inside_radius, material, bend_rule)
    heights = (front_height, side_height, side_height, side_height)
    drawer = box(
        sheet, rectangle(length, width), heights, gap=gap, relief=corner_relief("round", 3 * thickness),
        name="bench_drawer",
    )  # fmt: skip
    for number, side in ((2, "right"), (4, "left")):
        drawer = add_hem(drawer, "back", hem, flat=f"bench_drawer.wall[{number}]", name=f"{side}_hem")
        wall = drawer.flat(f"bench_drawer.wall[{number}]").outline.bounds
        middle = Motion.shift((wall[0] + wall[2]) / 2, runner_from_floor - inside_radius - thickness)
        row = [middle.after(place) for place in grid(runner_count, 1, runner_pitch, runner_hole)]
        drawer = cut_opening(drawer, disc(runner_hole), f"bench_drawer.wall[{number}]", row, f"{side}_runner")
    left, _, right, top = drawer.flat("bench_drawer.wall[1]").outline.bounds
    slot = obround(handle_length, handle_width)
    place = ((left + right) / 2, top - handle_from_top)
    return cut_opening(drawer, slot, "bench_drawer.wall[1]", place, "handle")
