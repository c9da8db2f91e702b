"""A gauge case with its lid on."""

from typing import Annotated

from formparts import Assembly, Frame, Length, Placed, assembly_recipe, find_recipe, place


@assembly_recipe
def gauge_housing(
    length: Annotated[float, Length("of the case, over the outside of its walls, along x", 40, 2000)] = 140,
    width: Annotated[float, Length("of the case, over the outside of its walls, along y", 40, 2000)] = 90,
    height: Annotated[float, Length("of the case without its lid", 20, 500)] = 50,
    screw_from_top: Annotated[float, Length("from the top of the case to the lid screws", 3, 100)] = 9,
) -> Assembly:
    """
    Gauge housing: the case with its lid upside down on the tops of its walls, held by a screw at either end.

    By hand, at the defaults: the inside of the lid lies on the walls at 50 mm, its outside at 50 + 1.5 = 51.5 mm.
    """
    case = find_recipe("gauge_case")(length=length, width=width, height=height, screw_from_top=screw_from_top)
    lid = find_recipe("gauge_lid")(length=length, width=width, screw_from_top=screw_from_top)
    over = Frame((0, 0, height + lid.sheet.thickness), (1, 0, 0), (0, -1, 0), (0, 0, -1))
    return Assembly("gauge_housing", (Placed("case", case), place(lid, "origin", over, name="lid")))
