"""The option `--as-formed`: the part with the inside radius that the chosen V makes."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING

from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.planning import ToolTable
    from formparts.recipe_functions import Recipe

NAME = "inside_radius"


def add_option(parser: argparse.ArgumentParser) -> None:
    """Add the option for the radius that forms."""
    parser.add_argument(
        "--as-formed",
        action="store_true",
        help=f"set {NAME} to what the V nearest to it forms, so that blank and solid are as bent",
    )


def with_radius_as_formed(
    recipe: Recipe, values: Mapping[str, str], tools: ToolTable | None = None
) -> dict[str, str]:
    """The values, with the radius that forms in place of the drawing's."""
    from formparts.planning import radius_as_formed

    if NAME not in {parameter.name for parameter in recipe.parameters}:
        way = f"give its sheet's radius a parameter {NAME}"
        raise InputError(recipe.name, "--as-formed", "yes", f"has no parameter {NAME} to set", way)
    drawn = float(recipe.resolved(**values)[NAME])
    if drawn == 0.0:  # a STEP file, whose bends keep the radii that were found
        way = f"write its recipe first: formparts recipe FILE.step --name {recipe.name}"
        raise InputError(recipe.name, "--as-formed", "yes", "a STEP file keeps its radii", way)
    formed = radius_as_formed(lambda radius: recipe(**{**values, NAME: radius}), drawn, tools)
    return {**values, NAME: f"{formed:.9g}"}
