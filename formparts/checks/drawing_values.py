"""Does the part agree with the drawing? Figures of the drawing, compared with the computed ones."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput


def drawing(part: RuleInput) -> Iterator[Finding]:
    """A figure of the drawing that the part does not meet.

    Examples
    --------
    >>> from formparts.expect import expectation
    >>> wanted = expectation("blank_width=300", 0.005)
    >>> parts = [find_recipe("u_channel").part(length=length) for length in (301.4, 301.6)]
    >>> inside, outside = (part.with_expectations(wanted) for part in parts)
    >>> [sum(found.code == "drawing-value-missed" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for figure in part.expected:
        if figure.within_tolerance:
            continue
        message = (
            f"{figure.figure} is {figure.computed:.6g} {figure.unit}, and the drawing says {figure.drawing_value:.6g} "
            f"{figure.unit}: {100.0 * figure.deviation:+.3g} %, and {100.0 * figure.tolerance:g} % is allowed"
        )
        yield Finding(
            "drawing-value-missed", "error", figure.figure, message, figure.computed, figure.drawing_value, figure.unit,
            "the drawing", "compare each dimension with the drawing's",
        )  # fmt: skip
