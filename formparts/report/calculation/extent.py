"""Length and width of the blank in the hand calculation: end to end, along the chain of flats and bends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from formparts.body import Bend, Body, laid_out
from formparts.layout import Blank
from formparts.outline.edges import Motion, Point
from formparts.report.calculation.lines import Step, Table, digits, summed
from formparts.tolerances import ROUNDING

_ADVANCE = "the blank lies in one plane; exact mathematics"
_PLACES = 6
"""Decimals to which ends of flats are compared [mm]: LENGTH, below which two points are one."""


@dataclass(frozen=True)
class Advance:
    """The contribution of one flat or bend to the length or the width."""

    piece: str
    length: float
    how: str


def extent_lines(body: Body, blank: Blank, axis: int) -> tuple[Table, Step]:
    """The advances from the low end of the blank to its high end, and their sum."""
    laid = laid_out(body)
    advances = tuple(_advances(body, blank, laid, axis))
    rows = tuple((each.piece, each.how, digits(each.length)) for each in advances)
    table = Table(("piece", "how", "advance [mm]"), rows)
    what, letter = (("length", "L"), ("width", "W"))[axis]
    total = math.fsum(each.length for each in advances)
    numbers = summed([digits(each.length) for each in advances])
    return table, Step(f"{what} of the blank", f"{letter} = Σ advances", numbers, total, "mm", _ADVANCE)


def _advances(body: Body, blank: Blank, laid: dict[str, Motion], axis: int) -> Iterator[Advance]:
    (first, at), (last, end) = _ends(body, laid, axis)
    allowances = {mark.name: mark.allowance for mark in blank.bends}
    for bend in _chain(body, first, last):
        here, there = (laid[flat](_middle(line)) for flat, line in _sides(bend))
        yield Advance(bend.parent, here[axis] - at[axis], "straight")
        across = there[axis] - here[axis]
        yield Advance(bend.name, across, _how(allowances[bend.name], across))
        at = there
    yield Advance(last, end[axis] - at[axis], "straight")


def _how(allowance: float, across: float) -> str:
    """Return the contribution of a bend: its whole allowance square to the direction, a part obliquely, or none."""
    if math.isclose(abs(across), allowance, rel_tol=ROUNDING):
        return "BA" if across > 0.0 else "−BA"
    if abs(across) < ROUNDING:
        return "runs alongside"
    share = across / allowance
    return f"{digits(allowance)} · cos({math.degrees(math.acos(max(-1.0, min(1.0, share)))):.7g}°)"


def _ends(body: Body, laid: dict[str, Motion], axis: int) -> tuple[tuple[str, Point], tuple[str, Point]]:
    """Return the flats that reach farthest in both directions, and their extreme points; the first of equal ones."""
    boxes = {flat.name: flat.net.moved(laid[flat.name]).bounds for flat in body.flats}
    first = min(boxes, key=lambda name: round(boxes[name][axis], _PLACES))
    last = max(boxes, key=lambda name: round(boxes[name][axis + 2], _PLACES))
    return (first, boxes[first][:2]), (last, boxes[last][2:])


def _chain(body: Body, first: str, last: str) -> tuple[Bend, ...]:
    """Return the bends from one flat to another, each oriented along the chain."""
    up, down = _to_root(body, first), _to_root(body, last)
    while up and down and up[-1] == down[-1]:
        up, down = up[:-1], down[:-1]
    return (*(bend.swapped() for bend in up), *reversed(down))


def _to_root(body: Body, flat: str) -> list[Bend]:
    above = {bend.child: bend for bend in body.bends}
    chain = []
    while flat in above:
        chain.append(above[flat])
        flat = above[flat].parent
    return chain


def _sides(bend: Bend) -> tuple[tuple[str, tuple[Point, Point]], tuple[str, tuple[Point, Point]]]:
    return (bend.parent, bend.parent_line), (bend.child, bend.child_line)


def _middle(line: tuple[Point, Point]) -> Point:
    (x0, y0), (x1, y1) = line
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
