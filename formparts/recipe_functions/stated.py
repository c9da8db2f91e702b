"""Parameters stated in a finished file: untrusted data, so no file that they name is opened."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from formparts.errors import InputError
from formparts.parameters import BendRuleName, MaterialName
from formparts.quantities import shown_value
from formparts.recipe_functions.decorator import Recipe


def looks_like_file(value: object) -> bool:
    """True when a bend rule's or a material's name could be the path of a file; a density such as kg/m3 is none."""
    text = str(value).lower()
    slash = "/" in text and "kg/m3" not in text
    return slash or any(sign in text for sign in ("\\", "..", ".csv", ".toml", "~"))


def trusted_values(
    recipe: Recipe, stated: Mapping[str, Any], given: Mapping[str, object], where: str, path: object
) -> dict[str, Any]:
    """Combine the values stated in a file with the user's, which take precedence.

    Parameters
    ----------
    recipe : Recipe
        Whose parameters they are.
    stated, given : mapping of str to object
        Values by name of parameter.
    where : str
        Who asks, for the error's line.
    path : object
        The file, for the error's line.

    Returns
    -------
    dict of str to object

    Raises
    ------
    InputError
        The file states a bend rule or a material that is read from a file.
    """
    for parameter in recipe.parameters:
        name, value = parameter.name, stated.get(parameter.name)
        by_name = isinstance(parameter.kind, (BendRuleName, MaterialName))
        if by_name and value is not None and name not in given and looks_like_file(value):
            problem = f"{path} states a file, and no file that is named in another is opened"
            raise InputError(where, name, shown_value(value), problem, f"name it yourself: --set {name}=FILE")
    return {**stated, **given}
