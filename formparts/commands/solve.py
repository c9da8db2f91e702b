"""
`formparts solve`: find a parameter, then build and audit the part.

    $ formparts solve angle_bracket --vary shelf=60..120 --target mass=0.2kg
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from formparts.commands import fea
from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.fea import FeaOrder
    from formparts.recipe_functions import Recipe
    from formparts.solving import Solution
    from formparts.solving_under_load import LoadedSolution

WELL, NOT_REACHED = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser(
        "solve", help="find the parameter that gives a mass, a blank, a force; then make it"
    )
    parser.description = (
        "Find the value of a parameter by its closed forms, then build and audit the part. Exits 1 and says how near "
        "it comes when the target cannot be reached."
    )
    parser.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or path/to/file.py:function")
    parser.add_argument(
        "--vary", metavar="NAME=MINIMUM..MAXIMUM", action="extend", nargs="+", required=True,
        help="a parameter to find, and its range, as lug_width=18mm..30mm",
    )  # fmt: skip
    goal = parser.add_mutually_exclusive_group(required=True)
    goal.add_argument(
        "--target",
        metavar="FIGURE=VALUE",
        help="as mass=1.2kg; or `check`: the last value before a check fails",
    )
    goal.add_argument("--minimise", metavar="FIGURE", help="the least of a figure at which no check fails")
    goal.add_argument("--maximise", metavar="FIGURE", help="the greatest of a figure at which no check fails")
    fea.add_options(parser)
    add_set_option(parser)
    add_out_option(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Solve, say what was found, and make the part when the goal is reached."""
    from formparts.export import require_free
    from formparts.part.file_set import file_names
    from formparts.recipe_functions import find_recipe
    from formparts.report.summary import summary
    from formparts.writers import kinds_of

    recipe = find_recipe(options.recipe)
    require_free(options.out, "formparts solve", file_names(recipe.name, kinds_of(True)), options.overwrite)
    fixed = given_values(options.values)
    fea.check_options(options)
    order = fea.order_of(options)
    if order is not None:
        return _under_load(recipe, options, order, fixed)
    found = _solved(recipe, options, fixed)
    print(found.text)
    if found.others:
        print(f"it is also met at {', '.join(f'{value:.7g}' for value in found.others)}")
    if not found.reached:
        return NOT_REACHED
    part = recipe.part(**{**fixed, **found.values})
    print(summary(part, part.write_all(options.out, overwrite=options.overwrite)))
    return WELL if part.ok and all(row.agrees for row in part.audit()) else NOT_REACHED


def _under_load(recipe: Recipe, options: argparse.Namespace, order: FeaOrder, fixed: dict[str, str]) -> int:
    """Solve by finite elements, print what was tried, and make the part when the target is met."""
    from dataclasses import replace

    from formparts.report.summary import summary
    from formparts.solving_under_load import LOADED_TARGETS, solve_under_load

    name, _, text = (options.target or "").partition("=")
    found = re.fullmatch(r"\s*([\d.]+(?:[eE][-+]?\d+)?)\s*([A-Za-z]*)\s*", text)
    if name not in LOADED_TARGETS or found is None or found[2] not in ("", LOADED_TARGETS[name]):
        fix = "write deflection=0.5mm, stress=160MPa or frequency=50Hz"
        raise InputError("--target", "target", options.target or "nothing", "is not known with --fea", fix)
    vary = _ranges(options.vary)
    answer = solve_under_load(recipe, vary, name, float(found[1]), order, **fixed)
    ((varied, _),) = vary.items()
    for row in answer.tried:
        mark = "  <-" if row.value == answer.value else ""
        print(
            f"  {varied} {row.value:.6g}: {name} {row.figure:.5g} {LOADED_TARGETS[name]}, {row.mass:.5g} kg{mark}"
        )
    print(answer.text)
    _plotted(recipe, options, answer)
    if not answer.reached:
        return NOT_REACHED
    order = replace(order, solve=True)
    part = recipe.part(**{**fixed, varied: answer.value})
    print(summary(part, part.write_all(options.out, fea=order, overwrite=options.overwrite)))
    print("\n".join(f"  fea        {line}" for line in fea.lines(part.study(order))))
    return WELL if part.ok and all(row.agrees for row in part.audit()) else NOT_REACHED


def _plotted(recipe: Recipe, options: argparse.Namespace, found: LoadedSolution) -> None:
    """Write the picture of the search."""
    from formparts.export import delivery, require_free
    from formparts.export.files import written
    from formparts.solving_picture import search_picture

    names = [f"{recipe.name}-search.svg"]
    require_free(options.out, "formparts solve", names, options.overwrite)
    with delivery(options.out, "formparts solve", names, options.overwrite) as drafts:
        written(drafts / names[0], search_picture(f"{recipe.name}: {found.varied}", found))
    print(f"mass against {found.target}: {options.out}/{names[0]}")


def _solved(recipe: Recipe, options: argparse.Namespace, fixed: dict[str, str]) -> Solution:
    from formparts.solving import optimise, solve, solve_check, to_hand

    vary = _ranges(options.vary)
    fixed_twice = next((name for name in vary if name in fixed), None)
    if fixed_twice is not None:
        raise InputError(
            "formparts solve", fixed_twice, "given twice", "it is varied and set", "leave one out"
        )
    if options.target is None:
        maximise = options.maximise is not None
        return optimise(recipe, vary, options.maximise or options.minimise, maximise, **fixed)
    if options.target.strip() == "check":
        return solve_check(recipe, vary, **fixed)
    aimed = _target(options.target)
    found = solve(recipe, vary, *aimed, **fixed)
    return to_hand(recipe, found, *aimed, **fixed) if found.reached else found


def _ranges(texts: Iterable[str]) -> dict[str, tuple[object, object]]:
    """`lug_width=18..30mm`: a unit behind the last figure goes for both."""
    found: dict[str, tuple[object, object]] = {}
    for text in texts:
        name, equals, rest = (part.strip() for part in text.partition("="))
        least, dots, most = (part.strip() for part in rest.partition(".."))
        if not (equals and name and dots and least and most) or name in found:
            fix = "write it once as lug_width=18mm..30mm"
            raise InputError("--vary", "range", text, "is not NAME=MINIMUM..MAXIMUM", fix)
        unit = re.sub(r"^[-+0-9./\s]+(?:[eE][-+]?[0-9]+)?", "", most)
        found[name] = (f"{least} {unit}" if re.fullmatch(r"[-+0-9./\s]+", least) and unit else least, most)
    return found


def _target(text: str) -> tuple[str, float]:
    """`mass=1.2kg`: name and value in house units."""
    from formparts.quantities import quantity
    from formparts.solving import TARGETS, target_unit
    from formparts.solving_under_load import LOADED_TARGETS

    name, equals, value = (part.strip() for part in text.partition("="))
    if equals and name in LOADED_TARGETS:
        fix = "add --fea shell with --fix and --load"
        raise InputError("--target", "target", text, "is found by finite elements", fix)
    if not equals or name not in TARGETS:
        fix = f"check, or FIGURE=VALUE with one of {', '.join(TARGETS)}"
        raise InputError("--target", "target", text, "is not known", fix)
    kinds = {"kg": "mass", "mm": "length", "mm2": "area", "mm3": "volume", "kN": "force", "": "fraction"}
    return name, quantity(value, kinds[target_unit(name)], name, "--target")
