"""`formparts check`: what the rules say of a part, and what would fix it."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands import own_materials
from formparts.commands.values import add_out_option, add_set_option, given_values
from formparts.errors import InputError
from formparts.quantities import shown_value

if TYPE_CHECKING:
    from formparts.checks import Finding, LimitProfile
    from formparts.expect import Expectation
    from formparts.layout import Blank

WELL, NOT_WELL = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser(
        "check", help="can it be cut and bent? findings, worst first, with their fixes"
    )
    parser.description = (
        "Hold a part against rules of cutting and bending. Findings are printed worst first and drawn, numbered, "
        "on the blank. Exits 1 when there is an error."
    )
    parser.add_argument(
        "recipe", metavar="RECIPE", help="a recipe's name, path/to/file.py:function, or a STEP file to unfold"
    )
    add_set_option(parser)
    add_limits_option(parser)
    parser.add_argument(
        "--expect", metavar="FIGURE=VALUE", action="append", default=[],
        help="a figure of the drawing, as mass=0.86kg, or a TOML file of them",
    )  # fmt: skip
    parser.add_argument(
        "--tolerance", metavar="SHARE", default="0.5%", help="greatest deviation from it (0.5%%)"
    )
    parser.add_argument(
        "--material", metavar="NAME", help="of a STEP file (none: radius and force unchecked)"
    )
    parser.add_argument("--bend-rule", metavar="RULE", default="K 0.44", help="of a STEP file (K 0.44)")
    own_materials.add_option(parser)
    add_out_option(parser, "folder for the drawings (out)")
    parser.set_defaults(run=run)


def add_limits_option(parser: argparse.ArgumentParser) -> None:
    """The option of the commands that check a part."""
    parser.add_argument(
        "--limits", metavar="PROFILE", default="thin sheet general",
        help="thin sheet general, structural, aircraft, or a TOML file of your own (thin sheet general)",
    )  # fmt: skip
    parser.add_argument(
        "--fix-budget", metavar="SECONDS", default="2",
        help="processor time that the search for fixes takes at most (2); 0 seeks none",
    )  # fmt: skip


def fix_budget(options: argparse.Namespace) -> float:
    """The time for the search for fixes [s]."""
    try:
        seconds = float(options.fix_budget.removesuffix("s"))
    except ValueError:
        seconds = math.nan
    if not 0.0 <= seconds < math.inf:
        limit = "give seconds from 0 on, as --fix-budget 10"
        raise InputError(
            "formparts", "--fix-budget", shown_value(options.fix_budget), "cannot be used", limit
        )
    return seconds


def run(options: argparse.Namespace) -> int:
    """Check the part, print what was found, and draw it."""
    from formparts.checks import limit_profile
    from formparts.export import write_findings
    from formparts.recipe_functions import find_recipe

    profile = limit_profile(options.limits)
    if options.recipe.lower().endswith((".step", ".stp")):
        name, blank, findings = _step(options, profile)
    else:
        values = given_values(options.values)
        expect = expected_figures(options.expect, options.tolerance, "formparts check")
        recipe = find_recipe(options.recipe)
        values = own_materials.with_own_materials(recipe, values, options.materials)
        part = recipe.part(**values).with_limits(profile).with_expectations(*expect)
        part = part.with_fix_budget(fix_budget(options))
        name, blank, findings = recipe.name, part.numbered_blank, part.findings_with_fixes()
    stem = Path(options.recipe).stem if blank.name != name else name
    files = write_findings(blank, findings, options.out, stem, options.overwrite)
    sys.stdout.write("".join(f"{line}\n" for line in lines_of(name, profile.name, findings, files)))
    return NOT_WELL if any(finding.severity == "error" for finding in findings) else WELL


def _step(options: argparse.Namespace, profile: LimitProfile) -> tuple[str, Blank, tuple[Finding, ...]]:
    """A STEP file has no parameters, and its figures are those of the unfolder."""
    from formparts.materials import materials_from, own_named
    from formparts.unfolded_files import unfold_file

    drawn = "a STEP file is not held against a drawing's figures"
    for given, option, problem, fix in (
        (options.values, "--set", "a STEP file has no parameters", "leave it away"),
        (options.expect, "--expect", drawn, "compare with those that `formparts unfold` prints"),
    ):
        if given:
            raise InputError("formparts check", option, " ".join(given), problem, fix)
    material = options.material
    if options.materials and material:
        own = own_named(materials_from(options.materials), material.partition(" at ")[0])
        material = f"{options.materials}:{material}" if own else material
    made = unfold_file(options.recipe, material=material, bend_rule=options.bend_rule, limits=profile)
    return made.found.name, made.found.blank, made.findings


def expected_figures(given: list[str], tolerance: str, where: str) -> tuple[Expectation, ...]:
    """Figures of the drawing, each FIGURE=VALUE or a file of them."""
    from formparts.expect import SHARES, expectation, expectations_from
    from formparts.quantities import fraction

    share = fraction(tolerance, "--tolerance", where, SHARES)
    found: list[Expectation] = []
    for text in given:
        if "=" not in text and text.lower().endswith(".toml"):
            found.extend(expectations_from(text, share))
        else:
            found.append(expectation(text, share))
    return tuple(found)


def lines_of(name: str, limits: str, findings: tuple[Finding, ...], files: tuple[Path, ...]) -> Iterator[str]:
    """What is printed: each finding with its number on the drawing, its source and its fix."""
    counts = dict.fromkeys(("error", "warning", "note"), 0)
    for finding in findings:
        counts[finding.severity] += 1
    said = ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for word, count in counts.items())
    yield f"{name}: {said}, by the limits `{limits}`"
    for number, (finding, after) in enumerate(zip_longest(findings, findings[1:]), 1):
        yield f"{number:>3}  {finding.severity}: {finding.message} [{finding.code}]"
        # Findings that one change clears share their fix, which is said once, below the last of them.
        if after is None or (after.code, after.fix, after.source) != (
            finding.code,
            finding.fix,
            finding.source,
        ):
            yield f"     fix: {finding.fix}"
            yield f"     source: {finding.source}"
    if files:
        yield f"drawn in {files[0].parent}/: {', '.join(path.name for path in files)}"
