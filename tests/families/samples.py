"""Recipes to build families of: a quick one, and one that does everything that a recipe must not."""

import os
import time
from typing import Annotated

from formparts import BendRuleName, Body, Count, Length, Sheet, add_flange, plate, recipe, rectangle


@recipe
def strip(
    length: Annotated[float, Length("of the strip", 10, 5000)] = 60,
    height: Annotated[float, Length("of its flange, to the outside", 3, 200)] = 12,
    bend_rule: Annotated[str, BendRuleName("of its bend")] = "K 0.44",
) -> Body:
    """
    A strip 20 mm wide with a flange along its back, of 1 mm sheet.

    By hand, with R = 1 mm and K = 0.44: the bend takes 2 mm of both legs and gives (1 + 0.44) pi/2 = 2.2619 mm, so
    the blank is 20 + 12 - 4 + 2.2619 = 30.2619 mm wide; its volume is 60 (18 + 10) + 60 x 1.5 pi/2 = 1821.37 mm3.
    """
    sheet = Sheet(1, inside_radius=1, material="DC01", bend_rule=bend_rule)
    return add_flange(plate(sheet, rectangle(length, 20), name="base"), "back", height)


@recipe
def trouble(
    length: Annotated[float, Length("of the plate", 10, 500)] = 90,
    kind: Annotated[int, Count("of trouble, none at 0", 0, 9)] = 0,
) -> Body:
    """A plate that makes trouble on purpose."""
    print("a recipe may print what it likes")  # noqa: T201  a worker must bear it
    if kind == 1:
        os.abort()
    while kind == 2:
        pass
    if kind == 3:
        raise ZeroDivisionError("planted")
    if kind == 4:
        os._exit(3)
    if kind == 5:
        time.sleep(60)
    sheet = Sheet(1, inside_radius=1, material="DC01", bend_rule="K 0.44")
    return plate(sheet, rectangle(length, 40), name="plate")
