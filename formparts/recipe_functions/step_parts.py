"""A STEP file in place of a recipe: the model of its solid, with material and bend rule to choose."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from formparts.bending import bend_rule as as_bend_rule
from formparts.body import Body
from formparts.other_thickness import KEPT, with_thickness
from formparts.parameters.kinds import BendRuleName, Choice, Length, MaterialName
from formparts.recipe_functions.decorator import Recipe, recipe
from formparts.tolerances import THICKEST_SHEET

if TYPE_CHECKING:
    from formparts.unfolder import StepSolid, Unfolded

STEP_ENDS: Final = (".step", ".stp")
"""How the names of STEP files end."""


def step_reference(reference: str) -> tuple[Path, str] | None:
    """Path and solid of `path/to/part.step` or `path/to/several.step:solid`; None for what is not a STEP file."""
    if reference.lower().endswith(STEP_ENDS):
        return Path(reference), ""
    path, _, solid = reference.rpartition(":")
    return (Path(path), solid) if path.lower().endswith(STEP_ENDS) else None


def step_recipe(path: Path, solid: str = "") -> Recipe:
    """
    Return the substitute for a recipe when the part is the solid of a STEP file.

    Parameters
    ----------
    path : Path
        The STEP file; it is read when the part is built, in a process of its own.
    solid : str
        Name of the solid, where the file holds several.

    Returns
    -------
    Recipe
        Its parameters are material, bend rule and thickness; dimensions are those of the file.
    """
    made = recipe(_part_of(path, solid))
    stem = f"{path.stem}-{solid}" if solid else path.stem
    name = re.sub(r"[^\w.+-]+", "_", stem).strip("._") or "part"
    return replace(made, name=name, summary=f"The solid of {path.name}.", source=path)


def _part_of(path: Path, solid: str) -> Callable[..., Body]:
    """The function that builds the part; the file is read once, and unfolded once for each radius."""

    @cache
    def read() -> StepSolid:
        from formparts.unfolder import read_solid

        return read_solid(path, solid=solid or None)

    @cache
    def found(inside_radius: float | None, bend_rule: str) -> Unfolded:
        from formparts.unfolder import unfold

        return unfold(read(), as_bend_rule(bend_rule), inside_radius=inside_radius)

    def step_part(
        material: Annotated[str, MaterialName("of the sheet")] = "S235JR",
        bend_rule: Annotated[str, BendRuleName("that gives the developed length of a bend")] = "K 0.44",
        thickness: Annotated[
            float, Length("of another sheet; 0 keeps that of the file", minimum=0, maximum=THICKEST_SHEET)
        ] = 0,
        keep: Annotated[
            str, Choice("which dimensions stay with another thickness", options=KEPT)
        ] = "outside",
        inside_radius: Annotated[
            float,
            Length("of bends drawn without one; 0 for one thickness", minimum=0, maximum=THICKEST_SHEET),
        ] = 0,
    ) -> Body:
        """
        The solid of a STEP file.

        Flats, bends and openings are those that were found in it.
        """
        from formparts.recognition import modelled

        unfolded = found(inside_radius or None, bend_rule)
        body = modelled(unfolded, unfolded.name, bend_rule, material)
        return with_thickness(body, thickness, keep) if thickness else body

    return step_part
