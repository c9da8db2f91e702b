"""Recipes and their parameters as text that is easy to read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formparts.arguments import takes
from formparts.recipe_functions.decorator import Recipe


@takes(recipe="Recipe")
def describe(recipe: Recipe) -> str:
    """
    A recipe's text and the table of its parameters.

    Parameters
    ----------
    recipe : Recipe
        What is to be described.

    Returns
    -------
    str
        Lines: the docstring, and for each parameter its name, default with unit, limits and meaning.

    Examples
    --------
    >>> print(describe(find_recipe("z_clip")).splitlines()[0])
    z_clip: Panel clip: foot, web and head in the shape of a Z, a hole in the foot, a slot in the head.
    """
    rows = [(p.name, p.default_text, p.limits, p.text) for p in recipe.parameters]
    table = (
        _table([("parameter", "default", "allowed", "meaning"), *rows]) if rows else ["It has no parameters."]
    )
    return "\n".join([f"{recipe.name}: {recipe.summary}", *_rest(recipe.doc), "", *table])


def listing(recipes: Iterable[Recipe]) -> str:
    """
    One line for each recipe: its name and what it makes.

    Parameters
    ----------
    recipes : iterable of Recipe
        What is to be listed.

    Returns
    -------
    str
    """
    return "\n".join(_table([(recipe.name, recipe.summary) for recipe in recipes]))


def _rest(doc: str) -> list[str]:
    """The docstring below its first line."""
    below = doc.strip().splitlines()[1:]
    return ["", *"\n".join(below).strip().splitlines()] if any(line.strip() for line in below) else []


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Columns as wide as their widest entry, two spaces apart."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))] if rows else []
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
