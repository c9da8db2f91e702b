"""Loops and outlines: closed chains of lines and arcs, and the area between an outer one and its holes.

Kept in one order, so that equal shapes are equal values: the outer loop runs anticlockwise, holes clockwise;
each loop starts at its lowest leftmost vertex; holes are sorted by that vertex. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from formparts.kept import is_noted, note
from formparts.outline.edges import Arc, Bounds, Edge, Motion, Point
from formparts.outline.measures import Moments, edge_area, moments
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH

Names: TypeAlias = Mapping[str, str] | Callable[[str], str]


@short_repr
@dataclass(frozen=True)
class Loop:
    """
    A closed chain of edges: each ends exactly where the next one starts.

    Parameters
    ----------
    edges : tuple of Line or Arc [mm]
        In order.
    """

    edges: tuple[Edge, ...]

    @property
    def vertices(self) -> tuple[Point, ...]:
        return tuple([edge.start for edge in self.edges])

    @cached_property
    def signed_area(self) -> float:
        """Enclosed area [mm2], positive when the loop runs anticlockwise."""
        reference = self.edges[0].start
        return math.fsum([edge_area(edge, reference) for edge in self.edges])

    @cached_property
    def length(self) -> float:
        return math.fsum([edge.length for edge in self.edges])

    @cached_property
    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y, exact on arcs too."""
        return joint_bounds(self.boxes)

    @cached_property
    def boxes(self) -> list[Bounds]:
        """Bounds of every edge."""
        return [edge.bounds for edge in self.edges]

    @property
    def circle(self) -> tuple[Point, float] | None:
        """Centre and radius when the loop is one whole circle."""
        first = self.edges[0]
        if not isinstance(first, Arc):
            return None
        for edge in self.edges:
            if not isinstance(edge, Arc) or edge.ccw != first.ccw or not same_circle(first, edge):
                return None
        turned = math.fsum([edge.sweep_rad for edge in self.edges if isinstance(edge, Arc)])
        return (first.centre, first.radius) if abs(turned - math.tau) * first.radius < LENGTH else None

    def reversed(self) -> Loop:
        """Give the loop run the other way round, from the same first vertex."""
        return Loop(tuple([edge.reversed() for edge in self.edges[::-1]]))

    def started(self) -> Loop:
        """Give the loop started at its lowest leftmost vertex."""
        first = start_index(self.vertices)
        return self if first == 0 else Loop(self.edges[first:] + self.edges[:first])

    def moved(self, motion: Motion) -> Loop:
        """Give the loop moved; it keeps its sense when the motion turns over."""
        edges = tuple([edge.moved(motion) for edge in self.edges])
        return (Loop(edges).reversed() if motion.turns_over else Loop(edges)).started()

    def retagged(self, names: Names) -> Loop:
        """Give the loop with other tags, from a table or a function of the old ones."""
        rename = names if callable(names) else (lambda tag: names.get(tag, tag))
        made = Loop(tuple([edge.tagged(rename(edge.tag)) for edge in self.edges]))
        # What is known of the shape (area, bounds...) is known of it under any names.
        vars(made).update({**vars(self), **vars(made)})
        return made

    def winds_round(self, point: Point) -> int:
        """Count how often the loop runs round a point that is not on it, anticlockwise."""
        x, y = point[0] - LENGTH, point[1]
        return sum(
            [
                edge.crossing(point)
                for edge, box in zip(self.edges, self.boxes, strict=True)
                if box[2] >= x and box[1] - LENGTH <= y <= box[3] + LENGTH
            ]
        )

    def distance(self, point: Point) -> float:
        return min([edge.distance(point) for edge in self.edges])


@short_repr
@dataclass(frozen=True)
class Outline:
    """
    The area inside an outer loop and outside its holes; make it with `outline_of`.

    Parameters
    ----------
    outer : Loop [mm]
        Anticlockwise.
    holes : tuple of Loop [mm]
        Clockwise, in order of their lowest leftmost vertices.
    """

    outer: Loop
    holes: tuple[Loop, ...] = ()

    @property
    def loops(self) -> tuple[Loop, ...]:
        return (self.outer, *self.holes)

    @property
    def edges(self) -> tuple[Edge, ...]:
        return tuple([edge for loop in self.loops for edge in loop.edges])

    @property
    def area(self) -> float:
        """Area [mm2] without the holes."""
        return math.fsum([loop.signed_area for loop in self.loops])

    @property
    def perimeter(self) -> float:
        """Length of all edges [mm], holes too: what a cutter runs."""
        return math.fsum([loop.length for loop in self.loops])

    @cached_property
    def moments(self) -> Moments:
        """Area, int x, int y, int x^2, int y^2, int xy, about the origin."""
        return moments(self.edges, self.outer.edges[0].start)

    @property
    def first_moments(self) -> tuple[float, float]:
        """Integrals of x and of y over the area [mm3]."""
        return self.moments[1:3]

    @property
    def second_moments(self) -> tuple[float, float, float]:
        """Integrals of x^2, y^2 and xy over the area [mm4]."""
        return self.moments[3:6]

    @cached_property
    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y; of all loops: a blank that overlaps itself may exceed its rim."""
        return joint_bounds([loop.bounds for loop in self.loops])

    def moved(self, motion: Motion) -> Outline:
        """Give the outline moved, turned or turned over."""
        made = Outline(self.outer.moved(motion), sorted_holes([hole.moved(motion) for hole in self.holes]))
        return known_simple(made) if is_known_simple(self) else made

    def retagged(self, names: Names) -> Outline:
        """Give the outline with other tags, from a table or a function of the old ones."""
        made = Outline(self.outer.retagged(names), tuple([hole.retagged(names) for hole in self.holes]))
        vars(made).update({**vars(self), **vars(made)})
        return made

    def contains(self, point: Point) -> bool:
        """True for a point inside, or within LENGTH of an edge."""
        if sum([loop.winds_round(point) for loop in self.loops]) > 0:
            return True
        return self.distance_to_edge(point) <= LENGTH

    def distance_to_edge(self, point: Point) -> float:
        """Distance [mm] of a point from the nearest edge, from whichever side."""
        return min([loop.distance(point) for loop in self.loops])


_SIMPLE = "is simple"


def known_simple(outline: Outline) -> Outline:
    """Note on an outline, which never changes, that its loops neither cross nor touch; give it back."""
    note(outline, _SIMPLE)
    return outline


def is_known_simple(outline: Outline) -> bool:
    """True when the loops are known to have no crossing or contact, neither of one loop nor of two."""
    return is_noted(outline, _SIMPLE)


def outline_of(loops: Iterable[Loop]) -> Outline:
    """
    Make an outline from its loops, in any order and sense: the one of the largest area is the outer one.

    Parameters
    ----------
    loops : loops [mm]
        At least one; the others are holes.

    Returns
    -------
    Outline [mm]
        In the one order in which equal shapes are equal values.
    """
    outer, *holes = sorted(loops, key=lambda loop: -abs(loop.signed_area))
    return Outline(directed(outer, anticlockwise=True), sorted_holes([directed(h, False) for h in holes]))


def directed(loop: Loop, anticlockwise: bool) -> Loop:
    """Give the loop run anticlockwise or clockwise, started at its lowest leftmost vertex."""
    return (loop if (loop.signed_area > 0.0) == anticlockwise else loop.reversed()).started()


def sorted_holes(holes: Iterable[Loop]) -> tuple[Loop, ...]:
    """Return holes sorted by their first vertex, insensitive to rounding of a coordinate."""
    return tuple(sorted(holes, key=lambda hole: [round(value, 6) for value in hole.edges[0].start]))


def start_index(vertices: tuple[Point, ...]) -> int:
    """Return the index of the lowest of the leftmost vertices, insensitive to rounding of x."""
    left = min([x for x, _ in vertices]) + LENGTH
    return min([(y, index) for index, (x, y) in enumerate(vertices) if x <= left])[1]


def same_circle(first: Arc, second: Arc, tolerance: float = LENGTH) -> bool:
    """True when two arcs lie on one circle."""
    gap = abs(first.radius - second.radius) + math.dist(first.centre, second.centre)
    return gap <= tolerance


def joint_bounds(boxes: list[Bounds]) -> Bounds:
    """Smallest box round several boxes."""
    return (
        min([box[0] for box in boxes]),
        min([box[1] for box in boxes]),
        max([box[2] for box in boxes]),
        max([box[3] for box in boxes]),
    )
