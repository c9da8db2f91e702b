"""
`verify`: a STEP file held against what it says of itself.

    $ formparts make angle_bracket
    $ formparts verify out/angle_bracket.step
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from formparts.commands.values import add_set_option, given_values

if TYPE_CHECKING:
    from formparts.assembly_recipes import AssemblyRecipe
    from formparts.recipe_functions import Recipe
    from formparts.verification import Verified

WELL, DIFFERS = 0, 1


def add_parser(commands: Any) -> None:
    """Put the command among the others."""
    verified = commands.add_parser("verify", help="hold a STEP file against what it says of itself")
    verified.description = (
        "Read what a STEP file says of itself, make the part or the assembly again from the recipe that it names, "
        "and compare: shape, mass, names, and where each part is. Of a "
        "file of others, hold its validation properties, and the flats and bends found in it, against its shape. Exits "
        "1 when anything differs."
    )
    verified.add_argument("file", metavar="FILE.step", help="a STEP file of one part or of an assembly")
    verified.add_argument(
        "--recipe", metavar="RECIPE", help="the recipe, when it is in a file: path/to/file.py:function"
    )
    add_set_option(verified)
    verified.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Compare, print the result, and return the exit code."""
    from formparts.verification import verify

    recipe = named(options.file, options.recipe) if options.recipe else None
    found = verify(options.file, recipe, given_values(options.values))
    print("\n".join(lines(options.file, found)))
    return WELL if found.ok else DIFFERS


def named(file: str, reference: str) -> Recipe | AssemblyRecipe:
    """The recipe that the user names, of the kind that the file is of."""
    from formparts.assembly.step_instances import holds_assembly
    from formparts.assembly_recipes import find_assembly
    from formparts.recipe_functions import find_recipe

    return find_assembly(reference) if holds_assembly(file) else find_recipe(reference)


def _maker(found: Verified) -> str:
    return f"recipe {found.recipe}, formparts {found.version}" if found.recipe else "not made by formparts"


def lines(path: str, found: Verified) -> Iterator[str]:
    """What is printed."""
    yield f"{path}: " + _maker(found)
    if not found.rows:
        yield "  it states nothing that could be compared"
    width = max([30, *(len(row.what) + 1 for row in found.rows)])
    for row in found.rows:
        verb = "is" if row.agrees else "IS NOT"
        yield f"  {row.what:<{width}} {row.said}  {verb}  {row.found}"
    if found.note:
        yield f"  note  {found.note}"
    if found.rows:
        yield "  verified" if found.ok else "  NOT VERIFIED"
