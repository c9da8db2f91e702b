"""Blocks of a drawing find their place on a sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from formparts.drawings.curves import Mark, box_of, meet, shifted
from formparts.drawings.plans import GAP, Block
from formparts.drawings.title import (
    frame_box,
    kept_free,
)
from formparts.outline import Point
from formparts.outline.edges import Bounds
from formparts.tolerances import LENGTH


def packed(blocks: Sequence[tuple[Sequence[Block], bool]], size: str) -> list[Mark] | None:
    """Return all blocks on one sheet, the first trial of each that fits, or None.

    Those marked so from the lower right.
    """
    parts = [SheetPart(tuple(map(always, trials)), low=low) for trials, low in blocks]
    found = laid_out(parts, size, 1)
    return None if found is None else found[0][0]


def always(block: Block) -> Callable[[], Block]:
    return lambda: block


def _moved(box: Bounds, by: Point) -> Bounds:
    return (box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1])


def _free(boxes: Sequence[Bounds], inner: Bounds, taken: Sequence[Bounds], low: bool) -> Point | None:
    """Return how far a block is to be moved into a free position."""
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    rights = {inner[0] - x0, inner[2] - x1}
    ups = {inner[1] - y0, inner[3] - y1}
    for t in taken:
        rights |= {t[2] + GAP - x0, t[0] - GAP - x1}
        ups |= {t[1] - GAP - y1, t[3] + GAP - y0}
    free = [
        (dx, dy)
        for dx in rights
        for dy in ups
        if all(_fits(_moved(box, (dx, dy)), inner, taken) for box in boxes)
    ]
    if not free:
        return None
    return min(free, key=lambda by: (by[1], -by[0])) if low else min(free, key=lambda by: (-by[1], by[0]))


def _fits(box: Bounds, inner: Bounds, taken: Sequence[Bounds]) -> bool:
    """True inside the frame and clear of what is already placed."""
    low = box[0] >= inner[0] - LENGTH and box[1] >= inner[1] - LENGTH
    high = box[2] <= inner[2] + LENGTH and box[3] <= inner[3] + LENGTH
    return low and high and not any(meet(box, other, GAP - LENGTH) for other in taken)


@dataclass(frozen=True)
class SheetPart:
    """Something to be placed: at scales, the largest first; `low` from the lower right, else from the upper left."""

    trials: tuple[Callable[[], Block], ...]
    low: bool = False
    fresh: bool = False
    """It begins a new sheet."""
    anywhere: bool = False
    """It may be placed on a sheet before the current one."""
    scales: tuple[float, ...] = ()


def laid_out(parts: Sequence[SheetPart], size: str, few: int) -> tuple[list[list[Mark]], float] | None:
    """All parts at their places on the sheets, or None when they take too many; and the scale of the blank."""
    x0, y0, x1, y1 = frame_box(size)
    inner = (x0 + 4.0, y0 + 4.0, x1 - 4.0, y1 - 4.0)
    pages: list[list[Mark]] = [[]]
    taken: list[list[Bounds]] = [[kept_free(size)]]
    first, blank_scale = 0, 1.0
    for part in parts:
        if part.fresh:
            first = len(pages)
            pages.append([])
            taken.append([kept_free(size)])
        placed = _place(part, pages, taken, inner, 0 if part.anywhere else first)
        if placed is None and not (part.fresh or len(pages) >= few):
            pages.append([])
            taken.append([kept_free(size)])
            placed = _place(part, pages, taken, inner, len(pages) - 1)
        if placed is None:
            return None
        if part.scales:
            blank_scale = part.scales[placed]
    return (pages, blank_scale) if len(pages) <= few else None


def _place(
    part: SheetPart, pages: list[list[Mark]], taken: list[list[Bounds]], inner: Bounds, first: int
) -> int | None:
    """Put a part on the first sheet where it fits, at its largest scale that does; return the number of that scale."""
    for number, trial in enumerate(part.trials):
        block = trial()
        boxes = [box_of(group) for group in block]
        for page in range(first, len(pages)):
            by = _free(boxes, inner, taken[page], part.low)
            if by is not None:
                taken[page] += [_moved(box, by) for box in boxes]
                pages[page] += [shifted(mark, by) for group in block for mark in group]
                return number
    return None
