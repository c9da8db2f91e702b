"""The table of rules: every check of a part, once, by name."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from formparts.checks.bend_openings import openings_across, openings_at_bends
from formparts.checks.bend_order import bending_order
from formparts.checks.bending import (
    bend_lines,
    inside_radius,
    neutral_fibre,
    press_force,
    press_length,
    rolling_direction,
)
from formparts.checks.blank_overlaps import one_sheet
from formparts.checks.drawing_values import drawing
from formparts.checks.finding import Finding, Severity
from formparts.checks.flanges import hems, offset_web, short_flange
from formparts.checks.hole_features import formed_features, left_out, pressed_parts, sunk_holes, threads
from formparts.checks.merged_openings import merged_openings
from formparts.checks.relief_sizes import reliefs
from formparts.checks.rule_input import RuleInput
from formparts.checks.self_intersection import folded, touching
from formparts.checks.stock import stock_sheet, thickness_series
from formparts.checks.webs import narrow_cut, narrow_web, opening_size, openings_apart, openings_inside
from formparts.layout import Blank


@dataclass(frozen=True)
class Rule:
    """
    One rule that parts are held against.

    Parameters
    ----------
    name : str
        What it is called.
    codes : tuple of str
        Codes of the findings that it gives.
    worst : "error", "warning" or "note"
        How bad its findings may be.
    function : callable
        From a part to its findings; it changes nothing.
    yes_or_no : tuple of str
        Codes of findings that do not become more or less, but are there or not.
    folds : bool
        True when the part is folded for it, which takes the longest.
    """

    name: str
    codes: tuple[str, ...]
    worst: Severity
    function: Callable[[RuleInput], Iterator[Finding]]
    yes_or_no: tuple[str, ...] = ()
    folds: bool = False

    @property
    def text(self) -> str:
        """Its subject, in one line."""
        return (self.function.__doc__ or "").strip().splitlines()[0]


RULES: Final = (
    Rule(
        "one sheet",
        ("blank-overlap", "blank-outline-not-simple"),
        "error",
        one_sheet,
        ("blank-outline-not-simple",),
    ),
    Rule("web", ("narrow-web",), "error", narrow_web),
    Rule("cut", ("narrow-cut",), "error", narrow_cut),
    Rule("stock sheet", ("blank-larger-than-stock",), "error", stock_sheet),
    Rule("inside radius", ("inside-radius-too-small",), "warning", inside_radius),
    Rule("neutral fibre", ("neutral-fibre-outside-middle",), "warning", neutral_fibre),
    Rule("rolling direction", ("radius-too-small-along-grain",), "warning", rolling_direction),
    Rule("flange", ("flange-too-short",), "error", short_flange),
    Rule("offset", ("offset-too-short",), "warning", offset_web),
    Rule("press length", ("press-length-exceeded",), "error", press_length),
    Rule("press force", ("press-force-exceeded",), "error", press_force),
    Rule("bend lines", ("crossing-bend-lines",), "error", bend_lines, ("crossing-bend-lines",)),
    Rule("relief", ("relief-missing", "relief-too-narrow", "relief-too-shallow"), "error", reliefs),
    Rule("hem", ("hem-too-short", "hem-radius-too-large"), "warning", hems),
    Rule("opening at a bend", ("opening-near-bend",), "error", openings_at_bends),
    Rule("opening across a bend", ("opening-across-bend",), "note", openings_across),
    Rule("merged openings", ("merged-openings",), "error", merged_openings),
    Rule("openings apart", ("opening-near-opening",), "error", openings_apart),
    Rule("opening at an edge", ("opening-near-edge",), "error", openings_inside),
    Rule("opening size", ("opening-too-small",), "warning", opening_size),
    Rule("thread", ("thread-too-short",), "warning", threads),
    Rule(
        "sunk hole",
        ("sunk-hole-too-deep", "sunk-hole-near-bend", "sunk-hole-near-edge"),
        "warning",
        sunk_holes,
    ),
    Rule(
        "pressed part",
        ("pressed-part-near-edge", "sheet-too-thin-for-pressed-part"),
        "error",
        pressed_parts,
    ),
    Rule(
        "formed feature",
        ("formed-feature-near-bend", "formed-feature-near-edge"),
        "warning",
        formed_features,
    ),
    Rule("left out", ("formed-feature-left-out",), "note", left_out, ("formed-feature-left-out",)),
    Rule("folded part", ("self-intersection",), "error", folded, ("self-intersection",), folds=True),
    Rule("contact", ("self-contact",), "warning", touching, ("self-contact",), folds=True),
    Rule("order of bends", ("no-bend-order",), "warning", bending_order, ("no-bend-order",), folds=True),
    Rule("thickness", ("nonstandard-thickness",), "note", thickness_series),
    Rule("drawing", ("drawing-value-missed",), "error", drawing),
)
"""All rules, in the order in which findings of like severity are shown."""


def rule_of(code: str) -> Rule:
    """The rule that gives findings of a code."""
    return next(rule for rule in RULES if code in rule.codes)


def part_findings(part: RuleInput, rules: tuple[Rule, ...] = RULES) -> Iterator[Finding]:
    """Return findings of rules on a part, in their order; a bend with its number on the drawing, and its name."""
    for rule in rules:
        for finding in rule.function(part):
            yield replace(finding, message=_numbered(finding, part.blank))


def _numbered(finding: Finding, blank: Blank) -> str:
    """`lug[1].bend[2]` as `bend 2 (lug[1].bend[2])`: the operator at the press brake counts the drawing's circles."""
    pieces = set(finding.where.split(" and "))
    numbers = {name: number for name, number in blank.numbers.items() if name in pieces - {""}}
    if not numbers:
        return finding.message
    names = "|".join(re.escape(name) for name in sorted(numbers, key=len, reverse=True))
    # A name inside a longer one is ignored.
    return re.sub(
        rf"(?<![\w.\]])({names})(?![\w\[]|\.\w)",
        lambda found: f"bend {numbers[found[1]]} ({found[1]})",
        finding.message,
    )
