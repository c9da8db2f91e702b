"""
`formparts check`: what the rules say of a part, and what would fix it.

    $ formparts check ring_riser --set lug_count=9
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator, Mapping
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.commands import own_materials
from formparts.commands.values import add_out_option, add_set_option, add_thickness_option, given_values
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
    add_thickness_option(parser)
    add_limits_option(parser)
    parser.add_argument(
        "--expect", metavar="FIGURE=VALUE", action="append", default=[],
        help="a figure of the drawing, as mass=0.86kg, or a TOML file of them",
    )  # fmt: skip
    parser.add_argument(
        "--tolerance", metavar="SHARE", default="0.5%", help="greatest deviation from it (0.5%%)"
    )
    parser.add_argument("--material", metavar="NAME", help="of a STEP file (S235JR)")
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
    add_fix_budget(parser, 2)


def add_fix_budget(parser: argparse.ArgumentParser, seconds: int) -> None:
    """How long fixes are sought."""
    parser.add_argument(
        "--fix-budget", metavar="SECONDS", default=str(seconds),
        help=f"processor time that the search for fixes takes at most ({seconds}); 0 seeks none",
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

    profile = limit_profile(options.limits)
    name, blank, findings, note = _found(options, profile)
    stem = Path(options.recipe).stem if blank.name != name else name
    files = write_findings(blank, findings, options.out, stem, options.overwrite)
    lines = [*lines_of(name, profile.name, findings, files), *([f"note: {note}"] if note else [])]
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    return NOT_WELL if any(finding.severity == "error" for finding in findings) else WELL


def _found(options: argparse.Namespace, profile: LimitProfile) -> tuple[str, Blank, tuple[Finding, ...], str]:
    """Name, blank and findings of a part; of a STEP file that the model does not hold, those of its blank alone."""
    from formparts.recipe_functions import find_recipe
    from formparts.recipe_functions.step_parts import step_reference

    step = step_reference(options.recipe)
    values = given_values(options.values)
    if step:
        values |= {"bend_rule": options.bend_rule} if "bend_rule" not in values else {}
        values |= {"material": options.material} if options.material else {}
    expect = expected_figures(options.expect, options.tolerance, "formparts check")
    recipe = find_recipe(options.recipe)
    values = own_materials.with_own_materials(recipe, values, options.materials)
    recipe.resolved(**values)
    try:
        part = recipe.part(**values).with_limits(profile).with_expectations(*expect)
        part = part.with_fix_budget(fix_budget(options))
        return recipe.name, part.numbered_blank, part.findings_with_fixes(), ""
    except InputError as refusal:
        if step is None or expect:
            raise
        return *_of_blank_alone(values, profile, *step), f"the blank alone is checked: {refusal}"


def _of_blank_alone(
    values: Mapping[str, str], profile: LimitProfile, path: Path, solid: str
) -> tuple[str, Blank, tuple[Finding, ...]]:
    """Return the findings on the blank of a STEP file, as it was unfolded."""
    from formparts.unfolded_files import unfold_file

    rule, material = values["bend_rule"], values.get("material")
    made = unfold_file(path, material=material, bend_rule=rule, limits=profile, solid=solid or None)
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
    """What is printed: findings of a kind in one line, with their numbers on the drawing, source and fix."""
    from formparts.report.grouping import grouped, message_of, ranges

    counts = dict.fromkeys(("error", "warning", "note"), 0)
    for finding in findings:
        counts[finding.severity] += 1
    said = ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for word, count in counts.items())
    yield f"{name}: {said}, by the limits `{limits}`"
    groups = grouped(findings)
    numbers = {id(finding): number for number, finding in enumerate(findings, 1)}
    for group, after in zip_longest(groups, groups[1:]):
        finding = group[0]
        at = ranges([numbers[id(each)] for each in group])
        yield f"{at:>3}  {finding.severity}: {message_of(group)} [{finding.code}]"
        # Findings that one change clears share their fix, which is printed once, below the last of them.
        if after is None or (after[0].code, after[0].fix, after[0].source) != (
            finding.code,
            finding.fix,
            finding.source,
        ):
            yield f"     fix: {finding.fix}"
            yield f"     source: {finding.source}"
    if files:
        yield f"drawn in {files[0].parent}/: {', '.join(path.name for path in files)}"
