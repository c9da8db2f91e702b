"""A STEP file in the place of a recipe: the model of its solid, with material and bend rule to choose."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Annotated, Final

from formparts.body import Body
from formparts.parameters.kinds import BendRuleName, MaterialName
from formparts.recipe_functions.decorator import Recipe, recipe

STEP_ENDS: Final = (".step", ".stp")
"""How the names of STEP files end."""


def step_recipe(path: Path) -> Recipe:
    """
    Return what stands for a recipe when the part is the solid of a STEP file.

    Parameters
    ----------
    path : Path
        The STEP file; it is read when the part is built, in a process of its own.

    Returns
    -------
    Recipe
        Its parameters are material and bend rule; dimensions are those of the file.
    """
    made = recipe(_part_of(path))
    name = re.sub(r"[^\w.+-]+", "_", path.stem).strip("._") or "part"
    return replace(made, name=name, summary=f"The solid of {path.name}.", source=path)


def _part_of(path: Path) -> Callable[..., Body]:
    """The function that builds the part; the file is read and unfolded once."""

    @cache
    def found() -> object:
        from formparts.unfolder import read_solid, unfold

        return unfold(read_solid(path))

    def step_part(
        material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
        bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
    ) -> Body:
        """
        The solid of a STEP file.

        Flats, bends and openings are those that were found in it.
        """
        from formparts.recognition import modelled
        from formparts.unfolder import Unfolded

        unfolded = found()
        assert isinstance(unfolded, Unfolded)
        return modelled(unfolded, unfolded.name, bend_rule, material)

    return step_part
