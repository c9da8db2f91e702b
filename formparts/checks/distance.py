"""The smallest distance between edges of an outline, and its narrow places. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import itemgetter

from formparts.outline.edge_rows import EdgeRows, edge_rows
from formparts.outline.edges import Arc, Bounds, Edge, Line, Point, pairs_within
from formparts.outline.meeting import meet
from formparts.outline.regions import Outline
from formparts.short_repr import short_repr
from formparts.tolerances import ALONG, LENGTH


@short_repr
@dataclass(frozen=True, slots=True)
class Span:
    """The shortest line from one edge to another."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def middle(self) -> Point:
        return ((self.start[0] + self.end[0]) / 2.0, (self.start[1] + self.end[1]) / 2.0)


@dataclass(frozen=True, slots=True)
class Narrow:
    """A narrow place of an outline: the span across it, the two edges, and what lies between."""

    span: Span
    corners: tuple[EdgeInOutline, EdgeInOutline]
    material: bool

    @property
    def loops(self) -> tuple[int, int]:
        """Numbers of the loops of the two edges."""
        return (self.corners[0].loop, self.corners[1].loop)

    @property
    def tags(self) -> tuple[str, str]:
        """Names of the two edges."""
        return (self.corners[0].edge.tag, self.corners[1].edge.tag)

    def is_beside(self, other: Narrow) -> bool:
        """True when both edges are those of the other place, or their neighbours."""
        (a, b), (c, d) = self.corners, other.corners
        return (a.is_beside(c) and b.is_beside(d)) or (a.is_beside(d) and b.is_beside(c))


def nearest(first: Edge, second: Edge) -> Span:
    """Return the shortest line from one edge to another.

    Source: exact mathematics. Where two edges do not meet it starts at an end of one, or is square to both and
    then runs through the centres of those that are arcs.
    """
    return _nearest_ways(first, second)[0]


def _nearest_ways(first: Edge, second: Edge) -> list[Span]:
    """The shortest way, and those that are as short within a length's tolerance: of edges side by side."""
    shared = meet(first, second, LENGTH)
    if shared:
        return [Span(shared[0], shared[0])]
    ways = [Span(point, nearest_point(second, point)) for point in _candidates(first, second)]
    ways += [Span(nearest_point(first, point), point) for point in _candidates(second, first)]
    ways.sort(key=lambda way: way.length)
    return [way for way in ways if way.length <= ways[0].length + LENGTH]


def _candidates(edge: Edge, other: Edge) -> Iterator[Point]:
    """Points of an edge at which the shortest way to another may start."""
    yield edge.start
    yield edge.end
    if isinstance(other, Arc):
        yield nearest_point(edge, other.centre)
        if isinstance(edge, Arc):
            (cx, cy), (ox, oy) = edge.centre, other.centre
            yield nearest_point(edge, (2.0 * cx - ox, 2.0 * cy - oy))


def nearest_point(edge: Edge, point: Point) -> Point:
    """The point of an edge that is nearest to a point."""
    if isinstance(edge, Line):
        (x0, y0), (x1, y1) = edge.start, edge.end
        dx, dy = x1 - x0, y1 - y0
        share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / (dx * dx + dy * dy)
        return edge.point_at(min(1.0, max(0.0, share)))
    away = math.dist(edge.centre, point)
    if away > LENGTH:
        scale = edge.radius / away
        (cx, cy) = edge.centre
        on_circle = (cx + scale * (point[0] - cx), cy + scale * (point[1] - cy))
        if edge.distance(on_circle) <= LENGTH:
            return on_circle
    return min((edge.start, edge.end), key=lambda end: math.dist(end, point))


@dataclass(frozen=True, slots=True)
class EdgeInOutline:
    """An edge of an outline with its place, its two neighbours and its box."""

    loop: int
    place: int
    edge: Edge
    before: Edge
    after: Edge
    box: Bounds
    count: int

    def is_beside(self, other: EdgeInOutline) -> bool:
        """True for an edge itself and for its neighbours in its loop."""
        return self.loop == other.loop and abs(self.place - other.place) in (0, 1, self.count - 1)


def narrow_places(outline: Outline, below: float) -> Iterator[Narrow]:
    """
    Every place where two edges that do not follow each other come nearer than a limit.

    A place counts only when it grows wider both ways along both edges (a blended corner does not), and when
    nothing lies between.
    """
    corners, rows = list(_corners(outline)), edge_rows(outline)
    for first, second in pairs_within([corner.box for corner in corners], below):
        one, two = corners[first], corners[second]
        if one.is_beside(two):
            continue
        spans = _nearest_ways(one.edge, two.edge)
        if not LENGTH < spans[0].length < below - LENGTH:
            continue
        for span in spans:
            if _widens(one, span) and _widens(two, span) and is_clear(span, edges_about(rows, span)):
                yield Narrow(span, (one, two), rows.contains(span.middle))
                break


def _corners(outline: Outline) -> Iterator[EdgeInOutline]:
    for number, loop in enumerate(outline.loops):
        count = len(loop.edges)
        for place, edge in enumerate(loop.edges):
            after = loop.edges[(place + 1) % count]
            yield EdgeInOutline(number, place, edge, loop.edges[place - 1], after, edge.bounds, count)


def edges_about(rows: EdgeRows, span: Span) -> list[Edge]:
    """The edges of an outline whose boxes meet the box of a span."""
    (ax, ay), (bx, by) = span.start, span.end
    box = (min(ax, bx) - LENGTH, min(ay, by) - LENGTH, max(ax, bx) + LENGTH, max(ay, by) + LENGTH)
    return [edge for _, edge in sorted(rows.near(box), key=itemgetter(0))]


def _widens(corner: EdgeInOutline, span: Span) -> bool:
    """True when a step along the loop either way from the span's end leads no nearer to its other end."""
    edge = corner.edge
    here, there = sorted((span.start, span.end), key=edge.distance)
    heading = (there[0] - here[0], there[1] - here[1])
    ways = []
    if math.dist(here, edge.start) <= LENGTH:
        ways = [heading_from(corner.before, edge.start), heading_from(edge, edge.start)]
    elif math.dist(here, edge.end) <= LENGTH:
        ways = [heading_from(edge, edge.end), heading_from(corner.after, edge.end)]
    return all(way[0] * heading[0] + way[1] * heading[1] <= ALONG * span.length for way in ways)


def heading_from(edge: Edge, end: Point) -> Point:
    """Unit direction in which an edge leaves one of its ends."""
    at_start = math.dist(end, edge.start) <= LENGTH
    if isinstance(edge, Line):
        far = edge.end if at_start else edge.start
        return ((far[0] - end[0]) / edge.length, (far[1] - end[1]) / edge.length)
    turn = (1.0 if edge.ccw else -1.0) * (1.0 if at_start else -1.0) / edge.radius
    return (-turn * (end[1] - edge.centre[1]), turn * (end[0] - edge.centre[0]))


def is_clear(span: Span, edges: Sequence[Edge]) -> bool:
    """True when a span meets no edge but at its two ends."""
    if span.length <= LENGTH:
        return True
    way = Line(span.start, span.end)
    for edge in edges:
        for point in meet(way, edge, LENGTH):
            if min(math.dist(point, span.start), math.dist(point, span.end)) > 10.0 * LENGTH:
                return False
    return True
