"""Does the blank lie on a stock sheet? Is the sheet of a thickness that is sold?"""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.part import Part
from formparts.tolerances import LENGTH


def stock_sheet(part: Part) -> Iterator[Finding]:
    """A blank that is larger than the stock sheet, whichever way it is laid along its sides."""
    if part.profile.get("stock_length") is None or part.profile.get("stock_width") is None:
        return
    sides = sorted((part.blank.length, part.blank.width), reverse=True)
    sheet = sorted((part.limit("stock_length"), part.limit("stock_width")), reverse=True)
    over = [(side / most, side, most) for side, most in zip(sides, sheet, strict=True)]
    _, side, most = max(over)
    if side > most + LENGTH:
        message = (
            f"blank: {sides[0]:.5g} x {sides[1]:.5g} mm is larger than the stock sheet of "
            f"{sheet[0]:g} x {sheet[1]:g} mm"
        )
        yield Finding(
            "stock-sheet", "error", part.blank.name, message, side, most, "mm", part.source("stock_length"),
            "make the part smaller, in two pieces, or state a larger sheet in a limits file",
        )  # fmt: skip
