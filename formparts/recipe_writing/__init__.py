"""From a part to a recipe that builds it: `recipe_text` writes what a person would have written."""

from formparts.recipe_writing.writing import recipe_text

__all__ = ["recipe_text"]
