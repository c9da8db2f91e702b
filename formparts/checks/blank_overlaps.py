"""Can the blank be cut from one sheet? Overlaps and contacts of its flats and bends."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.layout import Overlap
from formparts.outline import problem


def one_sheet(part: RuleInput) -> Iterator[Finding]:
    """
    Flats and bends that overlap on the blank, or touch where no bend joins them; worst first.

    Examples
    --------
    >>> sheet = Sheet(1, 1, "DC01", "K 0.44")
    >>> outer = plate(sheet, ring(180, 120), name="ring")
    >>> lug = offset_lug(sheet, width=20, rise=20, reach=18, foot=18, end="square")
    >>> lug = translate(rotate(lug, 180), (52, 0, 0))
    >>> inside, outside = (Part(fuse(outer, array_about(lug, Z_AXIS, count))) for count in (5, 6))
    >>> [sum(found.code == "blank-overlap" for found in each.findings()) for each in (inside, outside)]
    [0, 6]
    """
    blank = part.blank
    for overlap in sorted(blank.overlaps, key=lambda overlap: -round(overlap.depth, 6)):
        yield _finding(part, overlap)
    wrong = problem(blank.outline)
    if wrong is not None and not blank.overlaps:
        yield Finding(
            "blank-outline-not-simple",
            "error",
            blank.name,
            f"the outline of the blank cannot be cut: {wrong}",
            0.0,
            0.0,
            "mm",
            "exact geometry",
            "move what meets there apart",
        )


def _finding(part: RuleInput, overlap: Overlap) -> Finding:
    where = f"{overlap.first} and {overlap.second}"
    if overlap.depth > 0.0:
        message = f"blank: {where} overlap by {overlap.depth:.3g} mm {at_blank(part, overlap.place)}"
    else:
        message = (
            f"blank: {where} touch {at_blank(part, overlap.place)}: the cut between them would have no width"
        )
    return Finding(
        "blank-overlap",
        "error",
        where,
        message,
        overlap.depth,
        0.0,
        "mm",
        "exact geometry",
        "the part cannot be cut from one sheet as it is: make the pieces narrower or fewer, move them apart, or give "
        "the corner between two bends a relief",
        overlap.place,
        part.on_part(overlap.place),
    )
