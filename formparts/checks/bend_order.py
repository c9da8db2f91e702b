"""Can the bends be made one after the other? Looked for by the schedule's own rule."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput
from formparts.outline.edges import Line
from formparts.schedules import bend_order

_NAMED = 4
"""So many bends are named in one message; the others are in the schedule."""


def bending_order(part: RuleInput) -> Iterator[Finding]:
    """A part for which no order of bends was found in which a straight punch has room at every step."""
    if part.body is None or part.blank.overlaps or part.clashes:
        return  # what is said of those comes first
    order = bend_order(part.body, part.blank)
    if order.found:
        return
    left = order.left
    names = " and ".join(left[:_NAMED]) + (f" and {len(left) - _NAMED} more" if len(left) > _NAMED else "")
    message = (
        f"no order of bends was found that leaves room for a straight punch: {names} cannot be made after the "
        "others, and no way round was found"
    )
    first = next(mark for mark in part.blank.bends if mark.name in left)
    middle = Line(first.start, first.end).middle
    yield Finding(
        "no-bend-order", "warning", " and ".join(left[:_NAMED]), message, float(len(left)), 0.0, "-",
        "common practice, no source: a simple rule, the punch taken as a thin plate",
        "make the flange that stands in the way shorter, or bend it with a punch that reaches round it", middle,
        part.on_part(middle),
    )  # fmt: skip
