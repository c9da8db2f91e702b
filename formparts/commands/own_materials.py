"""The option `--materials FILE`: names of your own materials in the parameters of a recipe."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from formparts.recipe_functions import Recipe


def add_option(parser: argparse.ArgumentParser) -> None:
    """Let a command know your own materials."""
    parser.add_argument(
        "--materials",
        metavar="FILE",
        help="your own materials (TOML); their names go before those of the table",
    )


def with_own_materials(recipe: Recipe, values: Mapping[str, str], path: str | None) -> dict[str, str]:
    """The values, with every material that the file has written as `FILE:NAME`; also where it is the default."""
    from formparts.materials import materials_from, own_named
    from formparts.parameters import MaterialName

    if path is None:
        return dict(values)
    own = materials_from(path)
    meant = {
        parameter.name: values.get(parameter.name, parameter.default)
        for parameter in recipe.parameters
        if isinstance(parameter.kind, MaterialName)
    }
    found = {
        name: f"{path}:{value}"
        for name, value in meant.items()
        if own_named(own, str(value).partition(" at ")[0]) is not None
    }
    return {**values, **found}
