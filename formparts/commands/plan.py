"""
`formparts plan`: how a part is bent on a press brake, and the setter's sheet.

    $ formparts plan u_channel
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from formparts.commands import as_formed, check, own_materials
from formparts.commands.values import add_out_option, add_set_option, add_thickness_option, given_values
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.planning import ToolTable
    from formparts.recipe_functions import Recipe

WELL, NOT_WELL = 0, 1

KINDS = ("pdf", "svg")


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("plan", help="plan the bending: order, tools, stops; and the setter's sheet")
    parser.description = (
        "Plan the bending of a part on a press brake: the radius that forms, an order in which the tools are clear of "
        "the part, tool lengths by sections and a stop for every step; and draw the setter's sheet. Exits 1 when no "
        "order was found."
    )
    parser.add_argument(
        "recipe", metavar="RECIPE", help="a recipe's name, path/to/file.py:function, or a STEP file"
    )
    add_set_option(parser)
    add_thickness_option(parser)
    parser.add_argument(
        "--tools", metavar="FILE", help="your own tools and machine (TOML) over the shipped ones"
    )
    parser.add_argument(
        "--general",
        metavar="CLASS",
        default="m",
        help="class of general tolerances to hold it against, ISO 2768-1: f, m, c, v (m)",
    )
    check.add_fix_budget(parser, 20)
    as_formed.add_option(parser)
    own_materials.add_option(parser)
    add_out_option(parser)
    parser.add_argument("--as", metavar="KINDS", default="pdf,svg", dest="kinds", help="of pdf,svg (both)")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Plan, print the plan, and write the sheet."""
    from formparts.export import delivery, require_free
    from formparts.planning import CAUTIONS, plan_bends, tool_table
    from formparts.recipe_functions import find_recipe
    from formparts.setter_sheets import plan_lines, setter_sheet, write_setter_sheet

    kinds, tools = _kinds(options.kinds), tool_table(options.tools)
    recipe = find_recipe(options.recipe)
    names = [f"{recipe.name}-setter.{kind}" for kind in kinds]
    how = (options.out, "plan", names, options.overwrite)
    require_free(*how)
    values = own_materials.with_own_materials(recipe, given_values(options.values), options.materials)
    if options.as_formed:
        values = as_formed.with_radius_as_formed(recipe, values, tools)
        print(f"{as_formed.NAME} as formed: {values[as_formed.NAME]} mm")
    plan = plan_bends(recipe(**values), tools=tools, tolerance_class=options.general)
    sys.stdout.write("".join(f"{line}\n" for line in plan_lines(plan)))
    if plan.found:
        sheet = setter_sheet(plan)
        with delivery(*how) as drafts:
            for name in names:
                write_setter_sheet(sheet, drafts / name)
        print(f"  files      {options.out}/: {', '.join(names)}")
    else:
        print("\n".join(f"  {line}" for line in _helps(recipe, values, tools, check.fix_budget(options))))
    print("\n".join(f"  {line}" for line in CAUTIONS))
    return WELL if plan.found else NOT_WELL


def _helps(recipe: Recipe, values: Mapping[str, object], tools: ToolTable, budget: float) -> Iterator[str]:
    """The nearest changes of one parameter with which there is a plan; each is planned again before it is suggested."""
    from formparts.fixes import RanOutError, each_fix
    from formparts.planning import plan_bends, plan_words

    part = recipe.part(**values)
    finding = next((found for found in part.findings() if found.code == "no-bend-order"), None)
    found = False
    try:
        for fix in each_fix(recipe, part.parameters, finding, part.profile(), budget) if finding else ():
            plan = plan_bends(recipe(**{**part.parameters, fix.parameter: fix.value}), tools=tools)
            if plan.found:
                found = True
                yield f"helps      {fix.text}: planned again, {plan_words(plan)}"
    except RanOutError:
        yield f"what {'else ' if found else ''}would help was sought for {budget:g} s; --fix-budget gives it longer"
    else:
        if not found:
            yield "no change of one parameter alone was found to help: another punch, or split the part in two"


def _kinds(text: str) -> list[str]:
    """What is to be written; an unknown word is refused before anything is."""
    kinds = [word.strip().lower() for word in text.split(",") if word.strip()]
    for kind in kinds:
        if kind not in KINDS:
            raise InputError(
                "plan", "--as", kind, "is not a format of the sheet", f"one of {', '.join(KINDS)}"
            )
    return kinds
