"""Outlines as convex cells, trapezoids between two heights: the form of part and tools in the collision test."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from formparts.outline import Outline
from formparts.outline.edges import Arc, Edge, Point
from formparts.tolerances import LENGTH, ROUNDING

CHORD = 0.1
"""Arcs are followed to this when part and tools are tested against each other [mm]: below what a setter can see."""

SMALLEST_WAY = 12.0
"""An opening narrower than this counts as closed [mm]: no die is so narrow as to fit in it."""

Cell = tuple[Point, Point, Point, Point]
"""A convex quadrilateral: lower left, lower right, upper right, upper left; two of them may be one point."""


def cells_of(outline: Outline) -> tuple[Cell, ...]:
    """A flat as convex cells; openings too narrow for any tool count as closed."""
    open_ones = [loop for loop in outline.holes if _narrow(loop.bounds) >= SMALLEST_WAY]
    return trapezoids([chords(loop.edges) for loop in (outline.outer, *open_ones)])


def _narrow(bounds: tuple[float, float, float, float]) -> float:
    return min(bounds[2] - bounds[0], bounds[3] - bounds[1])


def chords(edges: Iterable[Edge]) -> list[Point]:
    """Return the corners of a closed loop, arcs as chords."""
    points: list[Point] = []
    for edge in edges:
        points.append(edge.start)
        if isinstance(edge, Arc):
            points += _along(edge)
    return points


def _along(arc: Arc) -> Iterator[Point]:
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD / max(arc.radius, CHORD)))
    count = max(2, math.ceil(arc.sweep_rad / step))
    return (arc.point_at(place / count) for place in range(1, count))


def trapezoids(loops: Sequence[Sequence[Point]]) -> tuple[Cell, ...]:
    """
    Cut the area inside loops (even-odd) into trapezoids between the heights of its corners.

    Trapezoids between the same two sides in neighbouring slabs are joined.
    """
    sides = [
        (start, end) if start[1] < end[1] else (end, start)
        for loop in loops
        for start, end in pairwise([*loop, loop[0]])
        if abs(start[1] - end[1]) > LENGTH
    ]
    heights = _heights(point[1] for side in sides for point in side)
    done: list[Cell] = []
    open_: dict[tuple[int, int], tuple[float, float]] = {}
    for low, high in pairwise(heights):
        now = set(_pairs(sides, low, high))
        done += [_cell(sides, pair, *span) for pair, span in open_.items() if pair not in now]
        open_ = {pair: (open_[pair][0] if pair in open_ else low, high) for pair in sorted(now)}
    done += [_cell(sides, pair, *span) for pair, span in open_.items()]
    return tuple(done)


def _heights(values: Iterable[float]) -> list[float]:
    found: list[float] = []
    for value in sorted(values):
        if not found or value - found[-1] > LENGTH:
            found.append(value)
    return found


def _pairs(sides: Sequence[tuple[Point, Point]], low: float, high: float) -> Iterator[tuple[int, int]]:
    """Return left and right side of each trapezoid of a slab."""
    middle = (low + high) / 2.0
    across = sorted(
        (_at(side, middle), number) for number, side in enumerate(sides) if side[0][1] < middle < side[1][1]
    )
    for (_, left), (_, right) in zip(across[::2], across[1::2], strict=True):
        yield left, right


def _at(side: tuple[Point, Point], height: float) -> float:
    (x0, y0), (x1, y1) = side
    return x0 + (x1 - x0) * (height - y0) / (y1 - y0)


def _cell(sides: Sequence[tuple[Point, Point]], pair: tuple[int, int], low: float, high: float) -> Cell:
    left, right = sides[pair[0]], sides[pair[1]]
    return (
        (_at(left, low), low),
        (_at(right, low), low),
        (_at(right, high), high),
        (_at(left, high), high),
    )


def ring_cells(inner: float, outer: float, angle_rad: float) -> tuple[Cell, ...]:
    """Return the end of a bend about its axis, from straight below it (0, -outer) turning to the left, as cells."""
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD / outer)) if outer > CHORD else math.pi
    count = max(1, math.ceil(angle_rad / step))
    turns = [angle_rad * place / count for place in range(count + 1)]
    return tuple(
        (_round(outer, first), _round(inner, first), _round(inner, last), _round(outer, last))
        for first, last in pairwise(turns)
    )


def _round(radius: float, turn: float) -> Point:
    return (-radius * math.sin(turn), -radius * math.cos(turn))


def rounded(before: Point, corner: Point, after: Point, radius: float) -> list[Point]:
    """Return a corner rounded by an arc tangent to both sides, as points on the arc."""
    one, two = _unit(corner, before), _unit(corner, after)
    half = math.acos(max(-1.0, min(1.0, one[0] * two[0] + one[1] * two[1]))) / 2.0
    if radius <= LENGTH or math.pi / 2.0 - half < ROUNDING:
        return [corner]
    along = radius / math.tan(half)
    middle = ((one[0] + two[0]) / 2.0, (one[1] + two[1]) / 2.0)
    away = radius / math.sin(half) / math.hypot(*middle)
    centre = (corner[0] + away * middle[0], corner[1] + away * middle[1])
    start = (corner[0] + along * one[0], corner[1] + along * one[1])
    end = (corner[0] + along * two[0], corner[1] + along * two[1])
    turn = (start[0] - centre[0]) * (end[1] - centre[1]) - (start[1] - centre[1]) * (end[0] - centre[0])
    arc = Arc(start, end, centre, radius, turn > 0.0)
    return [start, *_along(arc), end]


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
