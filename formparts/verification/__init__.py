"""Verification of a STEP file: its statements are compared with its shape, and with its recipe."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.arguments import takes
from formparts.assembly.step_instances import holds_assembly
from formparts.assembly_recipes import AssemblyRecipe
from formparts.errors import InputError
from formparts.verification.one_assembly import verified_assembly
from formparts.verification.one_part import verified_part
from formparts.verification.rows import Verified, VerifyRow
from formparts.verification.statements import found_in

if TYPE_CHECKING:
    from formparts.recipe_functions import Recipe

__all__ = ["Verified", "VerifyRow", "verify"]


@takes(path=("str", "os.PathLike"), recipe=("Recipe", "AssemblyRecipe", "None"), given=("Mapping", "None"))
def verify(
    path: str | os.PathLike[str],
    recipe: Recipe | AssemblyRecipe | None = None,
    given: Mapping[str, object] | None = None,
) -> Verified:
    """
    Compare a STEP file with its own statements: validation properties, and the part made again from its recipe.

    Of an assembly every product and every instance is compared: shape, mass, material, names, colour and place. The
    file is read in a process of its own, for a damaged one may bring the solid kernel down, or hang it.

    Parameters
    ----------
    path : path
        A STEP file of one part or of an assembly; of a file of others its validation properties and
        the flats and bends that are found in it.
    recipe : Recipe or AssemblyRecipe, optional
        The recipe to make it again with; else that of the name in the file.
    given : mapping of str to object, optional
        Parameters that go before those that the file states. One that is read from a file, as a bend rule of
        your own, must be given: no file that is named in another is opened.

    Returns
    -------
    Verified

    Raises
    ------
    InputError
        The file cannot be read, or its recipe is not there or cannot be made with its parameters.
    """
    place, values = Path(path), given or {}
    assembled = holds_assembly(place)
    if recipe is not None and isinstance(recipe, AssemblyRecipe) is not assembled:
        here, makes = ("an assembly", "a part") if assembled else ("one part", "an assembly")
        problem = f"makes {makes}, and the file holds {here}"
        raise InputError("verify", "recipe", recipe.name, problem, f"give the recipe of {here}")
    found = found_in(place)
    if assembled:
        return verified_assembly(place, found, recipe if isinstance(recipe, AssemblyRecipe) else None, values)
    return verified_part(place, found, recipe if not isinstance(recipe, AssemblyRecipe) else None, values)
