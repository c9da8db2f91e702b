"""The table of rules: every check of a part, once, by name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from formparts.checks.bend_openings import openings_across, openings_at_bends
from formparts.checks.bending import bend_lines, inside_radius, press_force, press_length, rolling_direction
from formparts.checks.drawing import drawing
from formparts.checks.finding import Finding
from formparts.checks.flanges import hems, offset_web, short_flange
from formparts.checks.folded import folded, touching
from formparts.checks.one_sheet import one_sheet
from formparts.checks.part import Part
from formparts.checks.reliefs import reliefs
from formparts.checks.stock import stock_sheet, thickness_series
from formparts.checks.webs import narrow_cut, narrow_web, opening_size, openings_apart, openings_inside


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
    function : callable
        From a part to its findings; it changes nothing.
    """

    name: str
    codes: tuple[str, ...]
    function: Callable[[Part], Iterator[Finding]]

    @property
    def text(self) -> str:
        """What it looks for, in one line."""
        return (self.function.__doc__ or "").strip().splitlines()[0]


RULES: Final = (
    Rule("one sheet", ("blank-overlap", "blank-outline"), one_sheet),
    Rule("web", ("narrow-web",), narrow_web),
    Rule("cut", ("narrow-cut",), narrow_cut),
    Rule("stock sheet", ("stock-sheet",), stock_sheet),
    Rule("inside radius", ("inside-radius",), inside_radius),
    Rule("rolling direction", ("rolling-direction",), rolling_direction),
    Rule("flange", ("short-flange",), short_flange),
    Rule("offset", ("offset-web",), offset_web),
    Rule("press length", ("press-length",), press_length),
    Rule("press force", ("press-force",), press_force),
    Rule("bend lines", ("bend-lines-cross",), bend_lines),
    Rule("relief", ("relief-missing", "relief-narrow", "relief-shallow"), reliefs),
    Rule("hem", ("hem-leg", "hem-radius"), hems),
    Rule("opening at a bend", ("opening-near-bend",), openings_at_bends),
    Rule("opening across a bend", ("opening-across-bend",), openings_across),
    Rule("openings apart", ("opening-near-opening",), openings_apart),
    Rule("opening at an edge", ("opening-near-edge",), openings_inside),
    Rule("opening size", ("opening-small",), opening_size),
    Rule("folded part", ("folded-clash",), folded),
    Rule("contact", ("folded-touch",), touching),
    Rule("thickness", ("thickness-series",), thickness_series),
    Rule("drawing", ("drawing-figure",), drawing),
)
"""All rules, in the order in which findings of like severity are shown."""


def rule_of(code: str) -> Rule:
    """The rule that gives findings of a code."""
    return next(rule for rule in RULES if code in rule.codes)


def part_findings(part: Part, rules: tuple[Rule, ...] = RULES) -> Iterator[Finding]:
    """What rules say of a part, in their order."""
    for rule in rules:
        yield from rule.function(part)
