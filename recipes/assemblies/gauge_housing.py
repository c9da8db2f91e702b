"""A gauge case with its lid on."""

from typing import Annotated

from formparts import Assembly, Length, Placed, assembly_recipe, find_recipe, place


@assembly_recipe
def gauge_housing(
    length: Annotated[float, Length("of the case, over the outside of its walls, along x", 40, 2000)] = 140,
    width: Annotated[float, Length("of the case, over the outside of its walls, along y", 40, 2000)] = 90,
    height: Annotated[float, Length("of the case without its lid", 20, 500)] = 50,
    play: Annotated[float, Length("between the walls of lid and case, on each side", 0.05, 5)] = 0.5,
    screw_from_top: Annotated[float, Length("from the top of the case to the lid screws", 3, 100)] = 9,
) -> Assembly:
    """
    Gauge housing: the case with its lid upside down on the tops of its walls, held by a screw at either end.

    The screws say where the lid lies: its hole over the thread of the case, `play` off the wall.

    By hand, at the defaults: the lid rests with its bends of R 2 on the walls, 0.5 mm from its own: its inside lies
    2 - sqrt(2^2 - 1.5^2) = 0.677 mm above their tops, its outside at 50 + 0.677 + 1.5 = 52.177 mm.
    """
    case = find_recipe("gauge_case")(length=length, width=width, height=height, screw_from_top=screw_from_top)
    lid = find_recipe("gauge_lid")(length=length, width=width, play=play, screw_from_top=screw_from_top)
    below = Placed("case", case)
    over = place(lid, "right_screw.upper", below.at("right_screw.lower"), name="lid", turned=180, gap=play)
    return Assembly("gauge_housing", (below, over))
