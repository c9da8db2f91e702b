"""
`formparts family`: many parts of one recipe, from a table or a grid.

    $ formparts family bracket.py:bracket sizes.csv --out sizes
"""

from __future__ import annotations

import argparse
import hashlib
import sys
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from formparts.commands import fea
from formparts.errors import InputError

if TYPE_CHECKING:
    from formparts.families import Fault, Row
    from formparts.fea import FeaOrder
    from formparts.recipe_functions import Recipe

WELL, NOT_WELL = 0, 1
MOST_NAMED = 20


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("family", help="make many parts from a table of parameters, or from a grid")
    parser.description = (
        "Make every part of a table (CSV or TOML) or of a grid, each in its own folder, with one table, ledger and "
        "page for all. Run it again after a stop: what is finished is kept, what failed is tried again."
    )
    parser.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or path/to/file.py:function")
    parser.add_argument(
        "table", metavar="TABLE", nargs="?",
        help="rows of parameters, with a column `name`; it follows RECIPE directly",
    )  # fmt: skip
    parser.add_argument(
        "--grid", metavar="NAME=VALUES", action="extend", nargs="+", default=[],
        help="every combination, as rise=20..60mm:5 lug_count=3,4",
    )  # fmt: skip
    parser.add_argument("--out", metavar="DIR", required=True, help="folder of the family")
    parser.add_argument("--only", metavar="KINDS", help="of solid,blank,bends,picture,json (all)")
    parser.add_argument("--figures-only", action="store_true", help="mass and blank in closed form, no files")
    parser.add_argument("--all-checks", action="store_true", help="with --figures-only: all checks, slower")
    parser.add_argument("--workers", metavar="N", type=int, default=0, help="processes (one for each core)")
    parser.add_argument(
        "--time-limit", metavar="SECONDS", type=float, default=300.0, help="longest for one variant (300)"
    )
    parser.add_argument(
        "--cluster", metavar="ADDRESS", default="", help="a dask scheduler, as tcp://host:8786"
    )
    parser.add_argument(
        "--fresh",
        action="store_true",
        help="begin anew: forget and remove what DIR's ledger knows by name and hash",
    )
    parser.add_argument(
        "--overwrite", action="store_true", help="replace files of the family that were changed since"
    )
    parser.add_argument(
        "--keep-going", action="store_true", help="make the good rows although others are bad"
    )
    fea.add_options(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read the rows, build what is missing, and print the outcome in a few lines."""
    from formparts.commands.progress import Progress
    from formparts.families import checked
    from formparts.families.run import FamilyPlan
    from formparts.families.run import run as build
    from formparts.recipe_functions import find_recipe

    fea.check_options(options)
    plan = FamilyPlan(
        _wanted(options), options.all_checks, _workers(options.workers), _limit(options.time_limit), options.fresh,
        options.cluster, options.overwrite, _order(options),
    )  # fmt: skip
    recipe = find_recipe(options.recipe)
    variants, faults = checked(recipe, _rows(options))
    _say_bad(recipe, faults, len(variants) + len(faults), options.keep_going)
    progress = Progress(len(variants) + len(faults))
    counts = {"made": 0, "failed": 0}
    not_well: list[str] = []
    sources: dict[str, set[str]] = {}
    for outcome in build(recipe, variants, faults, options.out, plan):
        counts[outcome.state] += 1
        for path, mark in outcome.sources.items():
            sources.setdefault(path, set()).add(mark)
        progress.step(outcome.state == "failed", outcome.kept)
        if not outcome.well:
            not_well.append(f"{outcome.name}: {outcome.error or _first_error(outcome.findings)}")
    progress.end()
    for line in not_well[:MOST_NAMED]:
        print(f"  {line}", file=sys.stderr)
    if len(not_well) > MOST_NAMED:
        print(f"  ... and {len(not_well) - MOST_NAMED} more, all in family.csv", file=sys.stderr)
    print(
        f"{recipe.name}: {counts['made']} made ({progress.kept} of them were there), {counts['failed']} failed, "
        f"{len(not_well) - counts['failed']} with errors; see {options.out}/family.html and family.csv"
    )
    changed = _changed(recipe, sources)
    for path in changed:
        problem = f"{path} was changed while the family was built, so that parts are of its older text"
        print(f"{recipe.name}: {problem}; run it again: they are built anew", file=sys.stderr)
    return NOT_WELL if not_well or changed else WELL


def _changed(recipe: Recipe, sources: Mapping[str, Iterable[str]]) -> list[str]:
    """The recipe's file and those that its code read, as far as they are not what parts were built from."""
    from formparts.families.version import changed_sources
    from formparts.recipe_functions.discovery import loaded_text

    own = {recipe.source.name: hashlib.sha256(loaded_text(recipe)).hexdigest()}
    every = [own, *({path: mark} for path, marks in sources.items() for mark in marks)]
    return sorted({path for one in every for path in changed_sources(recipe, one)})


def _first_error(findings: Sequence[object]) -> str:
    return next(
        (
            str(found["message"])
            for found in findings
            if isinstance(found, dict) and found["severity"] == "error"
        ),
        "",
    )


def _rows(options: argparse.Namespace) -> list[Row]:
    """The rows of the table or of the grid: one of the two must be given."""
    from formparts.families import grid_rows, read_table

    if bool(options.table) == bool(options.grid):
        given = "both" if options.table else "neither"
        raise InputError(
            "formparts family", "TABLE or --grid", given, "one of the two is wanted", "give just one"
        )
    return read_table(options.table) if options.table else list(grid_rows(options.grid))


def _wanted(options: argparse.Namespace) -> tuple[str, ...]:
    from formparts.writers import kinds_of

    known = kinds_of(by_default=True)

    if options.figures_only:
        if options.only:
            raise InputError(
                "formparts family", "--only", options.only, "--figures-only writes none", "give one"
            )
        return ()
    if options.only is None:
        return known
    words = [word.strip() for word in options.only.split(",")]
    unknown = next((word for word in words if word not in known), None)
    if unknown is not None:
        fix = f"choose from: {', '.join(known)}"
        raise InputError(
            "formparts family", "--only", unknown or "nothing", "there is no such kind of file", fix
        )
    return tuple(kind for kind in known if kind in words)


def _order(options: argparse.Namespace) -> FeaOrder | None:
    """Return the load order of each variant; refused here where no variant could be solved."""
    order = fea.order_of(options)
    if order is None:
        return None
    from formparts.fea.solver import require_solver

    unused = next((name for name in ("deck", "converge") if getattr(options, name)), None)
    if unused or len(order.cases) != 1:
        problem = "is for one part: a family has the figures of one load case as columns"
        raise InputError(
            "formparts family", f"--{unused or 'cases'}", "given", problem, "leave it out, or use make"
        )
    if not order.cases[0].fix:
        raise InputError("formparts family", "--fea", order.kind, "nothing is held", "say what is fixed")
    require_solver("formparts family")
    return order


def _workers(number: int) -> int:
    if not 0 <= number <= 1024:
        raise InputError("formparts family", "--workers", number, "not a number of processes", "0 to 1024")
    return number


def _limit(seconds: float) -> float:
    if not 1.0 <= seconds <= 1e6:
        problem = "not a time in which a variant can be made"
        raise InputError("formparts family", "--time-limit", seconds, problem, "at least 1 s", "s")
    return seconds


def _say_bad(recipe: Recipe, faults: Sequence[Fault], total: int, keep_going: bool) -> None:
    """Print all bad rows, a line each, before anything is built."""
    for fault in faults:
        print(f"{recipe.name}: {fault}", file=sys.stderr)
    if faults and not keep_going:
        problem = "nothing was built"
        fix = "fix these rows, or build the others with --keep-going"
        raise InputError(recipe.name, "rows", f"{len(faults)} of {total} bad", problem, fix)
