"""Does the part agree with the drawing? Figures that the drawing gives, held against our own."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.part import Part


def drawing(part: Part) -> Iterator[Finding]:
    """A figure of the drawing that the part does not meet."""
    for figure in part.expected:
        if figure.met:
            continue
        message = (
            f"{figure.figure} is {figure.ours:.6g} {figure.unit}, and the drawing says {figure.drawing:.6g} "
            f"{figure.unit}: {100.0 * figure.off:+.3g} %, and {100.0 * figure.within:g} % is allowed"
        )
        yield Finding(
            "drawing-figure", "error", figure.figure, message, figure.ours, figure.drawing, figure.unit,
            "the drawing", "compare each dimension with the drawing's",
        )  # fmt: skip
