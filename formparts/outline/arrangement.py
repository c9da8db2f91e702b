"""Lay the edges of several outlines over each other: one list of vertices, edges that meet only there.

Each operand is an outline with two counts (a, b): how much it adds to the winding numbers a and b of the
points inside it. An edge carries what they rise by from its right to its left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

from formparts.outline.edges import Arc, Bounds, Edge, Line, Point, arc_middle, boxes_meet, fitted
from formparts.outline.meeting import meet

Operand: TypeAlias = tuple["Loops", int, int]
Loops: TypeAlias = Sequence[Sequence[Edge]]
Cells: TypeAlias = dict[tuple[float, float], list[int]]

_CELL = 1024.0
"""Vertices are indexed in square cells of this many tolerances: nearly all are far from a cell's border."""


@dataclass(slots=True)
class Strand:
    """A segment of an edge between two vertices; a and b rise by this much from its right to its left."""

    start: int
    end: int
    edge: Edge
    a: int
    b: int


@dataclass(slots=True)
class _Chain:
    """The edges of one loop of an operand, with their boxes and the points where others meet them."""

    edges: Sequence[Edge]
    boxes: list[Bounds]
    box: Bounds
    cuts: list[list[Point]]
    a: int
    b: int


def arrange(operands: Sequence[Operand], tolerance: float) -> tuple[list[Point], list[Strand]]:
    """Vertices and strands of all operands laid over each other; strands that change nothing are left out."""
    chains = [_chain(edges, a, b) for loops, a, b in operands for edges in loops]
    for i, first in enumerate(chains):
        for second in chains[:i]:
            if boxes_meet(first.box, second.box, tolerance):
                _cross(first, second, tolerance)
    points: list[Point] = []
    cells: Cells = {}
    # Given vertices come first, so that the one vertex of a cluster is one of them, to the last digit.
    starts = [[_vertex(points, cells, e.start, tolerance) for e in chain.edges] for chain in chains]
    strands: dict[tuple[int, int], list[Strand]] = {}
    for chain, ids in zip(chains, starts, strict=True):
        for i, edge in enumerate(chain.edges):
            stops = [ids[i], ids[(i + 1) % len(ids)]]
            if chain.cuts[i]:
                inner = [_vertex(points, cells, p, tolerance) for p in chain.cuts[i]]
                stops = _in_order(edge, stops, inner, points)
            for start, end in pairwise(stops):
                if start != end:
                    _lay(strands, points, Strand(start, end, edge, chain.a, chain.b), tolerance)
    return points, [s for pile in strands.values() for s in pile if s.a or s.b]


def _chain(edges: Sequence[Edge], a: int, b: int) -> _Chain:
    boxes = [edge.bounds for edge in edges]
    box = (
        min([each[0] for each in boxes]),
        min([each[1] for each in boxes]),
        max([each[2] for each in boxes]),
        max([each[3] for each in boxes]),
    )
    return _Chain(edges, boxes, box, [[] for _ in edges], a, b)


def _cross(first: _Chain, second: _Chain, tolerance: float) -> None:
    """Record on both chains where their edges meet."""
    mine = [i for i, box in enumerate(first.boxes) if boxes_meet(box, second.box, tolerance)]
    other = [j for j, box in enumerate(second.boxes) if boxes_meet(box, first.box, tolerance)]
    for i in mine:
        x0, y0, x1, y1 = first.boxes[i]
        x0, y0, x1, y1 = x0 - tolerance, y0 - tolerance, x1 + tolerance, y1 + tolerance
        for j in other:
            box = second.boxes[j]
            if box[0] <= x1 and box[2] >= x0 and box[1] <= y1 and box[3] >= y0:
                points = meet(first.edges[i], second.edges[j], tolerance)
                if points:
                    first.cuts[i] += points
                    second.cuts[j] += points


def _vertex(points: list[Point], cells: Cells, point: Point, tolerance: float) -> int:
    """Index of the vertex within the tolerance of a point; a new one when there is none."""
    x, y = point
    size = _CELL * tolerance
    left, right, low, high = (
        (x - tolerance) // size,
        (x + tolerance) // size,
        (y - tolerance) // size,
        (y + tolerance) // size,
    )
    columns = (left,) if left == right else (left, right)
    for column in columns:
        for row in (low,) if low == high else (low, high):
            for index in cells.get((column, row), ()):
                if math.dist(points[index], point) <= tolerance:
                    return index
    points.append(point)
    cells.setdefault((x // size, y // size), []).append(len(points) - 1)
    return len(points) - 1


def _in_order(edge: Edge, ends: list[int], inner: list[int], points: list[Point]) -> list[int]:
    """Vertices along an edge, from its start to its end, each once."""
    places = {index: _place(edge, points[index]) for index in inner if index not in ends}
    return [ends[0], *sorted(places, key=places.__getitem__), ends[1]]


def _place(edge: Edge, point: Point) -> float:
    """How far along the edge a point of it lies, in a measure that only grows."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    if isinstance(edge, Line):
        return (point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)
    cx, cy = edge.centre
    ax, ay, bx, by = x0 - cx, y0 - cy, point[0] - cx, point[1] - cy
    turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    return turn if edge.ccw else -turn


def _lay(
    strands: dict[tuple[int, int], list[Strand]], points: list[Point], new: Strand, tolerance: float
) -> None:
    """Add a strand; one that coincides with another only adds its counts to it."""
    ends = (new.start, new.end) if new.start < new.end else (new.end, new.start)
    pile = strands.get(ends)
    if pile is None:
        strands[ends] = [new]
        return
    for old in pile:
        if math.dist(middle_of(old, points), middle_of(new, points)) <= tolerance:
            sign = 1 if old.start == new.start else -1
            old.a += sign * new.a
            old.b += sign * new.b
            return
    pile.append(new)


def middle_of(strand: Strand, points: list[Point]) -> Point:
    """Point half-way along a strand."""
    start, end = points[strand.start], points[strand.end]
    if isinstance(strand.edge, Arc):
        return arc_middle(start, end, strand.edge)
    return ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)


def edge_of(strand: Strand, points: list[Point], forward: bool) -> Edge:
    """Return the edge of a strand, run forward or back; the given one when it is whole."""
    edge, start, end = strand.edge, points[strand.start], points[strand.end]
    if edge.start != start or edge.end != end:
        if isinstance(edge, Line):
            edge = Line(start, end, edge.tag)
        else:
            edge = fitted(Arc(start, end, edge.centre, edge.radius, edge.ccw, edge.tag))
    return edge if forward else edge.reversed()
