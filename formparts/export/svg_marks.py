"""Dimensions and balloons of a blank's picture, and the search for a free place for a mark; in mm, y upwards."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from formparts.outline import Arc, Edge, Line, Point
from formparts.outline.edges import Bounds, is_left
from formparts.svg import circle, line, line_path, path, text

WIDE: Final = 0.62
"""Width of one character in letter heights, on the safe side for the usual sans-serif faces.

Common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class Balloon:
    """A number in a circle, and the point that its leader runs to."""

    text: str
    centre: Point
    radius: float
    target: Point


def shown(value: float) -> str:
    """Return a length as text: two decimals, without trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def balloon(mark: Balloon, kind: str, height: float) -> Iterator[str]:
    """Leader, circle and number; the leader stops at the circle."""
    away = math.dist(mark.centre, mark.target)
    if away > mark.radius:
        share = mark.radius / away
        (cx, cy), (tx, ty) = mark.centre, mark.target
        yield line((cx + share * (tx - cx), cy + share * (ty - cy)), mark.target, f"leader {kind}")
    yield circle(mark.centre, mark.radius, f"balloon {kind}")
    yield text(mark.text, (mark.centre[0], mark.centre[1] - 0.35 * height), "middle")


def arrow(tip: Point, heading: Point, size: float) -> str:
    """A slim arrow head whose tip is at a point; heading is a unit vector towards the tip."""
    (x, y), (ux, uy) = tip, heading
    back = (x - size * ux, y - size * uy)
    half = size / 6.0
    corners = [tip, (back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux)]
    return path(line_path(corners, closed=True), "arrow")


def overall_size(box: Bounds, height: float) -> Iterator[str]:
    """Dimensions of a box: its length below it, its width to the left of it, read from the right."""
    xmin, ymin, xmax, ymax = box
    y, x = ymin - 3.6 * height, xmin - 3.2 * height
    for end in (xmin, xmax):
        yield line((end, ymin - 0.6 * height), (end, y - 0.5 * height), "dimension")
    for end in (ymin, ymax):
        yield line((xmin - 0.6 * height, end), (x - 0.5 * height, end), "dimension")
    yield from _length_below((xmin, y), (xmax, y), height)
    yield from _width_beside((x, ymin), (x, ymax), height)


def _length_below(start: Point, end: Point, height: float) -> Iterator[str]:
    (xmin, y), (xmax, _) = start, end
    words = shown(xmax - xmin)
    if _has_room(words, xmax - xmin, height):
        yield from _dimension(start, end, (-1.0, 0.0), height)
        yield text(words, ((xmin + xmax) / 2.0, y + 0.4 * height), "middle")
    else:
        yield from _dimension(start, end, (1.0, 0.0), height)
        yield text(words, (xmax + 1.2 * height, y - 0.35 * height))


def _width_beside(start: Point, end: Point, height: float) -> Iterator[str]:
    (x, ymin), (_, ymax) = start, end
    words = shown(ymax - ymin)
    if _has_room(words, ymax - ymin, height):
        yield from _dimension(start, end, (0.0, -1.0), height)
        yield text(words, (x - 0.4 * height, (ymin + ymax) / 2.0), "middle", turned=True)
    else:
        yield from _dimension(start, end, (0.0, 1.0), height)
        yield text(words, (x + 0.35 * height, ymin - 1.2 * height), "end", turned=True)


def _has_room(words: str, span: float, height: float) -> bool:
    """True when the words, and two arrow heads, fit between the ends of a dimension."""
    return span > max(WIDE * height * len(words), 2.4 * height)


def _dimension(start: Point, end: Point, heading: Point, height: float) -> Iterator[str]:
    """A dimension line with its two arrow heads; `heading` is that of the head at the start."""
    yield line(start, end, "dimension")
    yield arrow(start, heading, 0.9 * height)
    yield arrow(end, (-heading[0], -heading[1]), 0.9 * height)


def balloons(
    targets: Sequence[tuple[str, Point]], edges: Sequence[Edge], height: float, frame: Bounds
) -> list[Balloon]:
    """A balloon for each number and target, each clear of those before it."""
    taken: list[Balloon] = []
    for number, target in targets:
        taken.append(free_place(target, number, 0.95 * height, edges, taken, frame))
    return taken


def free_place(
    target: Point, number: str, radius: float, edges: Sequence[Edge], taken: Sequence[Balloon], frame: Bounds
) -> Balloon:
    """
    The nearest place for a balloon that lies on no line, on no other balloon, and inside the frame.

    Each line that the leader would cross counts as much as three radii of way.
    """
    found: tuple[float, Balloon] | None = None
    far_edges = [(_nearest(edge, target), edge) for edge in edges]
    far_taken = [(Line(other.centre, other.target).distance(target), other) for other in taken]
    for away in (reach * radius for reach in _REACHES):
        if found is not None and away >= found[0]:
            break
        # Anything farther from the target than this is clear of every balloon and leader of this reach.
        close = away + _APART * radius
        near = [edge for far, edge in far_edges if far <= close]
        others = [other for far, other in far_taken if far <= close]
        for mark in _tried(target, number, radius, away):
            if _is_free(mark, near, others, frame):
                cost = away + 3.0 * radius * _crossings(mark, near, others)
                if found is None or cost < found[0]:
                    found = (cost, mark)
    return found[1] if found else Balloon(number, target, radius, target)


def _tried(target: Point, number: str, radius: float, away: float) -> Iterator[Balloon]:
    """The balloons that are tried at one distance."""
    for angle in _HEADINGS_DEG:
        heading = math.radians(angle)
        centre = (target[0] + away * math.cos(heading), target[1] + away * math.sin(heading))
        yield Balloon(number, centre, radius, target)


def _nearest(edge: Edge, target: Point) -> float:
    """Return the distance of an edge, or of its chord, which replaces it in the search for leaders."""
    chord = Line(edge.start, edge.end).distance(target)
    return min(chord, edge.distance(target)) if isinstance(edge, Arc) else chord


_APART: Final = 2.4
"""Least distance of the centres of two balloons, in radii."""

_REACHES: Final = (1.6, 2.0, 2.5, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 13.0, 17.0, 22.0)
"""Distances from its target at which a balloon is tried, in radii."""

_HEADINGS_DEG: Final = tuple(15.0 * turn for turn in (3, 9, 15, 21, *range(24)))
"""Directions that are tried, the slanting ones first, as they are seldom along a line."""


def _is_free(mark: Balloon, edges: Sequence[Edge], taken: Sequence[Balloon], frame: Bounds) -> bool:
    (x, y), clear = mark.centre, 1.25 * mark.radius
    if not (frame[0] + clear <= x <= frame[2] - clear and frame[1] + clear <= y <= frame[3] - clear):
        return False
    for other in taken:
        leader = Line(other.centre, other.target)
        if (
            math.dist(mark.centre, other.centre) < _APART * mark.radius
            or leader.distance(mark.centre) < clear
        ):
            return False
    return all(edge.distance(mark.centre) >= clear for edge in edges)


def _crossings(mark: Balloon, edges: Sequence[Edge], taken: Sequence[Balloon]) -> int:
    """How many lines a leader crosses, short of its target."""
    (cx, cy), (tx, ty) = mark.centre, mark.target
    short = (cx + 0.98 * (tx - cx), cy + 0.98 * (ty - cy))
    chords = [(edge.start, edge.end) for edge in edges]
    chords += [(other.centre, other.target) for other in taken]
    count = sum(_cross(mark.centre, short, *chord) for chord in chords)
    leader = Line(mark.centre, short)
    return count + sum(2 for other in taken if leader.distance(other.centre) < 1.1 * other.radius)


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """True when two straight segments cross."""
    return is_left(a, b, c) != is_left(a, b, d) and is_left(c, d, a) != is_left(c, d, b)
