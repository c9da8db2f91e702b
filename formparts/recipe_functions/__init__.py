"""Recipes: the decorator, what parameters can be, how recipes are found and described."""

from __future__ import annotations

from formparts.recipe_functions.decorator import Parameter, Recipe, recipe
from formparts.recipe_functions.description import describe, listing
from formparts.recipe_functions.discovery import (
    find_recipe,
    loadable_recipes,
    recipes,
    recipes_in,
    stated_recipe,
)
from formparts.recipe_functions.parameter_kinds import (
    Angle,
    BendRuleName,
    Choice,
    Count,
    Length,
    MaterialName,
    Number,
    Yes,
)

__all__ = [
    "Angle",
    "BendRuleName",
    "Choice",
    "Count",
    "Length",
    "MaterialName",
    "Number",
    "Parameter",
    "Recipe",
    "Yes",
    "describe",
    "find_recipe",
    "listing",
    "loadable_recipes",
    "recipe",
    "recipes",
    "recipes_in",
    "stated_recipe",
]
