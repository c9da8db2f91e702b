"""Recipes: the decorator, how recipes are found and described."""

from __future__ import annotations

from formparts.recipe_functions.decorator import Recipe, recipe
from formparts.recipe_functions.description import describe, listing
from formparts.recipe_functions.discovery import (
    find_recipe,
    loadable_recipes,
    recipes,
    recipes_in,
    stated_recipe,
)

__all__ = [
    "Recipe",
    "describe",
    "find_recipe",
    "listing",
    "loadable_recipes",
    "recipe",
    "recipes",
    "recipes_in",
    "stated_recipe",
]
