"""Recipes: the decorator, what parameters can be, how recipes are found and described."""

from __future__ import annotations

from formparts.recipe.decorator import Parameter, Recipe, recipe
from formparts.recipe.describe import describe, listing
from formparts.recipe.discovery import find_recipe, loadable_recipes, recipes, recipes_in, stated_recipe
from formparts.recipe.kinds import Angle, BendRuleName, Choice, Count, Length, MaterialName, Number, Yes

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
