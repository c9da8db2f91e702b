"""From a part to a recipe that builds it: `recipe_text` writes the recipe as a person would."""

from formparts.recipe_writing.writing import recipe_text

__all__ = ["recipe_text"]
