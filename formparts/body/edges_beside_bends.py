"""The rim of a flat: its loops, split where bends begin and end, so that each edge is free or leads to a bend."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from itertools import pairwise

from formparts.body.model import Bend, Body, Flat, bends_on
from formparts.errors import InputError
from formparts.outline.edges import Bounds, Edge, Line, Point
from formparts.tolerances import FIT, LENGTH, SHORTEST_EDGE


@dataclass(frozen=True, slots=True)
class RimEdge:
    """One edge of a flat with the material to its left, and the bend that it leads to, if any."""

    edge: Edge
    bend: Bend | None = None


Rim = tuple[RimEdge, ...]


def rims(body: Body) -> dict[str, tuple[Rim, ...]]:
    """
    The loops of every flat, each edge free or leading to one bend; each bend has the flat as its parent.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    dict of str to tuple of tuple of RimEdge
        By the flat's name; the outer loop first [mm].

    Raises
    ------
    InputError
        A bend's line does not lie on the edge of its flat.
    """
    return {flat.name: flat_rims(flat, bends_on(body, flat.name)) for flat in body.flats}


def flat_rims(flat: Flat, bends: tuple[Bend, ...]) -> tuple[Rim, ...]:
    """The loops of one flat, split at the ends of the bends given, which all have it as parent."""
    waiting = Waiting(bends)
    loops = []
    for loop in flat.net.loops:
        rim: list[RimEdge] = []
        for edge, box in zip(loop.edges, loop.boxes, strict=True):
            here = waiting.taken(edge, box, FIT)
            if here and isinstance(edge, Line):
                rim.extend(_split(flat, edge, [bend for _, bend in here]))
            else:
                rim.append(RimEdge(edge))
        loops.append(tuple(rim))
    if waiting.bends:
        raise _loose(flat, next(iter(waiting.bends.values())))
    return tuple(loops)


class Waiting:
    """The bends of one flat that are on no edge yet, in order of where they begin: an edge asks the near ones."""

    def __init__(self, bends: tuple[Bend, ...]) -> None:
        self.bends = dict(enumerate(bends))
        self._begin = sorted((*bend.parent_line[0], number) for number, bend in self.bends.items())

    def taken(self, edge: Edge, box: Bounds, beside: float) -> list[tuple[int, Bend]]:
        """Take the bends, with their numbers, whose lines lie on a straight edge, whose box is given."""
        if not self.bends or not isinstance(edge, Line):
            return []
        first = bisect_left(self._begin, (box[0] - LENGTH,))
        last = bisect_right(self._begin, (box[2] + LENGTH, math.inf))
        near = [
            number
            for _, y, number in self._begin[first:last]
            if number in self.bends and box[1] - LENGTH <= y <= box[3] + LENGTH
        ]
        here = [number for number in near if lies_on(edge, self.bends[number].parent_line, beside)]
        return [(number, self.bends.pop(number)) for number in here]


def first_lost(flat: Flat, bends: tuple[Bend, ...]) -> Bend | None:
    """The first of the bends, all with the flat as parent, that has no straight edge to itself; or None."""
    try:
        flat_rims(flat, bends)
    except InputError:
        alone = (bend for bend in reversed(bends) if not _has_an_edge(flat, bend))
        return next(alone, bends[-1])
    return None


def _has_an_edge(flat: Flat, bend: Bend) -> bool:
    """True when the line of a bend lies on a straight edge of its flat."""
    return any(isinstance(edge, Line) and lies_on(edge, bend.parent_line, FIT) for edge in flat.net.edges)


def lies_on(edge: Line, line: tuple[Point, Point], beside: float = LENGTH) -> bool:
    """True when the line lies on the edge, no further beside it than told, and runs the same way, within LENGTH."""
    (x0, y0), (x1, y1), (px, py) = edge.start, edge.end, line[0]
    dx, dy = x1 - x0, y1 - y0
    # Nearly all lines lie elsewhere; twice the tolerance leaves the exact answer to what follows.
    if abs(dy * (px - x0) - dx * (py - y0)) > 2.0 * LENGTH * (abs(dx) + abs(dy)):
        return False
    first, last = _along(edge, line[0]), _along(edge, line[1])
    if not (-LENGTH <= first[0] < last[0] <= edge.length + LENGTH):
        return False
    return abs(first[1]) <= beside and abs(last[1]) <= beside


def _along(edge: Line, point: Point) -> tuple[float, float]:
    """How far along an edge a point lies, and how far to its left."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    length = edge.length
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    dx, dy = point[0] - x0, point[1] - y0
    return (dx * ux + dy * uy, dy * ux - dx * uy)


def _split(flat: Flat, edge: Line, bends: list[Bend]) -> list[RimEdge]:
    """Cut one straight edge at the ends of the bends on it."""
    pieces: list[RimEdge] = []
    at = edge.start
    in_order = sorted(bends, key=lambda bend: _along(edge, bend.parent_line[0])[0])
    for before, after in pairwise(in_order):
        if _along(edge, before.parent_line[1])[0] > _along(edge, after.parent_line[0])[0] + LENGTH:
            raise _overlapping(flat, before, after)
    for bend in in_order:
        start, end = bend.parent_line
        if _is_apart(flat, bend, at, start):
            pieces.append(RimEdge(Line(at, start, edge.tag)))
        else:
            start = at
        if not _is_apart(flat, bend, end, edge.end):
            end = edge.end
        pieces.append(RimEdge(Line(start, end, edge.tag), bend))
        at = end
    if at != edge.end:
        pieces.append(RimEdge(Line(at, edge.end, edge.tag)))
    return pieces


def _is_apart(flat: Flat, bend: Bend, one: Point, two: Point) -> bool:
    """True when there is an edge between two points, false when they are one; what is neither is refused."""
    gap = math.dist(one, two)
    if FIT < gap < SHORTEST_EDGE - LENGTH:
        raise InputError(
            flat.name,
            f"bend line of {bend.name}",
            gap,
            f"of {flat.name} is left between its end and what is next to it, less than the shortest edge",
            f"let it end there exactly, or at least {SHORTEST_EDGE:g} mm before",
            "mm",
        )
    return gap > FIT


def _overlapping(flat: Flat, one: Bend, two: Bend) -> InputError:
    """Say that two bends want the same piece of an edge."""
    return InputError(
        flat.name,
        f"bend lines of {one.name}",
        f"and {two.name}",
        "lie on one another on the same edge",
        "make one of the two narrower, or move it along the edge",
    )


def _loose(flat: Flat, bend: Bend) -> InputError:
    """Say that a bend's line is not on the edge of its flat."""
    (x0, y0), (x1, y1) = bend.parent_line
    shown = f"({x0:.6g}, {y0:.6g}) to ({x1:.6g}, {y1:.6g}) mm"
    return InputError(
        flat.name,
        f"bend line of {bend.name}",
        shown,
        f"does not lie wholly on the edge of {flat.name}",
        "a bend starts from a straight edge; move the line, or what was cut or fused there",
    )
