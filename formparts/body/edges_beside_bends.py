"""The rim of a flat: its loops, split where bends begin and end, so that each edge is free or leads to a bend."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from itertools import pairwise

from formparts.body.bends import TO_CHILD, TO_PARENT, Bend, BendLine
from formparts.body.flats import Flat
from formparts.body.model import Body, bends_on
from formparts.errors import InputError
from formparts.outline.edges import Bounds, Edge, Line, Point
from formparts.tolerances import FIT, LENGTH, SHORTEST_EDGE


@dataclass(frozen=True, slots=True)
class RimEdge:
    """
    One edge of a flat with the material to its left, and the bend that it leads to, if any.

    Where openings cross the bend it is met along several edges: `span` counts them along its line.
    """

    edge: Edge
    bend: Bend | None = None
    span: int = 0


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
                rim.extend(_split(flat, edge, here))
            else:
                rim.append(RimEdge(edge))
        loops.append(tuple(rim))
    if waiting.contacts:
        raise _loose(flat, next(iter(waiting.contacts.values())))
    return tuple(loops)


@dataclass(frozen=True, slots=True)
class StripEdge:
    """One edge of a bend in developed coordinates, and the flat that it meets there, if any; `span` as in a RimEdge."""

    edge: Edge
    flat: str = ""
    span: int = 0


def strip_rims(bend: Bend, developed: float) -> tuple[tuple[tuple[StripEdge, ...], ...], ...]:
    """
    Return the loops of every strip of a bend, each edge free or on one of its flats; the outer loop of a strip first.

    `developed` [mm] is how long its strip is drawn where it has no openings.
    """
    pieces = bend.pieces(developed)
    edges = [edge for piece in pieces for edge in piece.edges]
    near = sorted(edge.end[0] for edge in edges if edge.tag == TO_PARENT)
    far = sorted((edge.end[0] for edge in edges if edge.tag == TO_CHILD), reverse=True)

    def of(edge: Edge) -> StripEdge:
        if edge.tag == TO_PARENT:
            return StripEdge(edge, bend.parent, near.index(edge.end[0]))
        if edge.tag == TO_CHILD:
            return StripEdge(edge, bend.child, far.index(edge.end[0]))
        return StripEdge(edge)

    return tuple(tuple(tuple(map(of, loop.edges)) for loop in piece.loops) for piece in pieces)


@dataclass(frozen=True, slots=True)
class Contact:
    """A segment of a bend line along which a bend, given with the flat as its parent, meets the flat."""

    number: int
    bend: Bend
    span: int
    line: BendLine


def contacts_of(bends: tuple[Bend, ...]) -> list[Contact]:
    """All contacts of the bends of one flat, in order of the bends and along their lines."""
    return [
        Contact(number, bend, span, line)
        for number, bend in enumerate(bends)
        for span, line in enumerate(bend.parent_lines)
    ]


class Waiting:
    """The contacts of one flat not yet found on an edge, in order of their starts: an edge tests only near ones."""

    def __init__(self, bends: tuple[Bend, ...]) -> None:
        self.contacts = dict(enumerate(contacts_of(bends)))
        self._begin = sorted((*contact.line[0], number) for number, contact in self.contacts.items())

    def taken(self, edge: Edge, box: Bounds, beside: float) -> list[Contact]:
        """Take the contacts whose lines lie on a straight edge, whose box is given."""
        if not self.contacts or not isinstance(edge, Line):
            return []
        first = bisect_left(self._begin, (box[0] - LENGTH,))
        last = bisect_right(self._begin, (box[2] + LENGTH, math.inf))
        near = [
            number
            for _, y, number in self._begin[first:last]
            if number in self.contacts and box[1] - LENGTH <= y <= box[3] + LENGTH
        ]
        here = [number for number in near if lies_on(edge, self.contacts[number].line, beside)]
        return [self.contacts.pop(number) for number in here]


def first_lost(flat: Flat, bends: tuple[Bend, ...]) -> Bend | None:
    """The first of the bends, all with the flat as parent, that has no straight edge to itself; or None."""
    try:
        flat_rims(flat, bends)
    except InputError:
        alone = (bend for bend in reversed(bends) if not _has_an_edge(flat, bend))
        return next(alone, bends[-1])
    return None


def _has_an_edge(flat: Flat, bend: Bend) -> bool:
    """True when every segment of the line of a bend lies on a straight edge of its flat."""
    edges = [edge for edge in flat.net.edges if isinstance(edge, Line)]
    return all(any(lies_on(edge, line, FIT) for edge in edges) for line in bend.parent_lines)


def lies_on(edge: Line, line: tuple[Point, Point], beside: float = LENGTH) -> bool:
    """True when the line lies on the edge, within the given distance, and runs the same way, within LENGTH."""
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


def _split(flat: Flat, edge: Line, contacts: list[Contact]) -> list[RimEdge]:
    """Cut one straight edge at the ends of the contacts on it."""
    pieces: list[RimEdge] = []
    at = edge.start
    in_order = sorted(contacts, key=lambda contact: _along(edge, contact.line[0])[0])
    for before, after in pairwise(in_order):
        if _along(edge, before.line[1])[0] > _along(edge, after.line[0])[0] + LENGTH:
            raise _overlapping(flat, before.bend, after.bend)
    for contact in in_order:
        start, end = contact.line
        if _is_apart(flat, contact.bend, at, start):
            pieces.append(RimEdge(Line(at, start, edge.tag)))
        else:
            start = at
        if not _is_apart(flat, contact.bend, end, edge.end):
            end = edge.end
        pieces.append(RimEdge(Line(start, end, edge.tag), contact.bend, contact.span))
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
    """Refuse two bends on the same stretch of an edge."""
    return InputError(
        flat.name,
        f"bend lines of {one.name}",
        f"and {two.name}",
        "lie on one another on the same edge",
        "make one of the two narrower, or move it along the edge",
    )


def _loose(flat: Flat, contact: Contact) -> InputError:
    """Say that a bend's line is not on the edge of its flat."""
    (x0, y0), (x1, y1) = contact.line
    shown = f"({x0:.6g}, {y0:.6g}) to ({x1:.6g}, {y1:.6g}) mm"
    return InputError(
        flat.name,
        f"bend line of {contact.bend.name}",
        shown,
        f"does not lie wholly on the edge of {flat.name}",
        "a bend starts from a straight edge; move the line, or what was cut or fused there",
    )
