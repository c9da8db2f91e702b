"""Can the bends be made one after the other? Searched with the tools of the tool table."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput
from formparts.outline.edges import Line
from formparts.planning import what_blocks

_NAMED = 4
"""Number of bends named as the place of the finding; the others are in the plan."""


def bending_order(part: RuleInput) -> Iterator[Finding]:
    """
    A part for which no order of bends was found in which the tools of the table are clear of the part.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(height=value) for value in (82.5, 83.5))
    >>> [sum(found.code == "no-bend-order" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    if part.body is None or part.blank.overlaps or part.clashes:
        return  # their findings come first
    plan = part.plan
    left, problem = (plan.left, plan.problem) if plan else what_blocks(part.body, part.blank)
    if not left:
        return
    first = next(mark for mark in part.blank.bends if mark.name in left)
    middle = Line(first.start, first.end).middle
    yield Finding(
        "no-bend-order", "warning", " and ".join(left[:_NAMED]), problem, float(len(left)), 0.0, "-",
        "common practice, no source: the part held against the profiles of the tool table at every step",
        "make the flange that stands in the way shorter or its neighbour longer, or have a tool that reaches round it",
        middle, part.on_part(middle),
    )  # fmt: skip
