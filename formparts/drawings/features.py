"""What a toolmaker wants dimensioned: levels, openings with their sizes, patterns on a pitch circle, radii."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector, bend_frame, dot
from formparts.export.svg_marks import shown
from formparts.outline import Arc, Line, Loop, Outline, Point
from formparts.tolerances import VOLUME_REL

_SQUARE = 1.0 - 1e-9
"""Cosine from which a flat is taken as parallel to the paper."""
SAME = 1e-4
"""Places and sizes that differ by less are one on a drawing [mm]."""
_FEWEST, _RECTANGLE = 3, 4


@dataclass(frozen=True)
class Opening:
    """An opening in its true shape: its middle, its size in words, its circle if any, half its least width."""

    middle: Point
    words: str
    radius: float | None
    reach: float


@dataclass(frozen=True)
class Pattern:
    """Equal round openings, equally spaced on a pitch circle."""

    centre: Point
    radius: float
    openings: tuple[Opening, ...]

    @property
    def words(self) -> str:
        first = self.openings[0].words
        return f"{len(self.openings)}× {first} equally spaced on Ø{shown(2.0 * self.radius)}"


def opening_words(loop: Loop) -> str | None:
    """Size of an opening: circle, slot with round ends, rectangle, or the circle that most of its edge is on."""
    if loop.circle is not None:
        return f"Ø{shown(2.0 * loop.circle[1])}"
    lines = [edge for edge in loop.edges if isinstance(edge, Line)]
    arcs = [edge for edge in loop.edges if isinstance(edge, Arc)]
    radii, radius = {round(arc.radius, 4) for arc in arcs}, arcs[0].radius if arcs else 0.0
    # What has as many edges and another area is something else.
    if len(lines) == 2 and len(radii) == 1:
        wide, straight = 2.0 * radius, lines[0].length
        if _covers(loop, straight * wide + math.pi * radius**2):
            return f"slot {shown(wide)} × {shown(straight + wide)}"
    if len(lines) == 4 and len(radii) <= 1:
        a, b = sorted(_sides(loop))
        if _covers(loop, a * b - (4.0 - math.pi) * radius**2):
            return f"{shown(a)} × {shown(b)}{f', R{shown(radius)}' if radii else ''}"
    return None


def _covers(loop: Loop, area: float) -> bool:
    """True when the area inside a loop is this one."""
    return math.isclose(abs(loop.signed_area), area, rel_tol=VOLUME_REL)


def _sides(loop: Loop) -> tuple[float, float]:
    """Size of a rectangle, along its first straight edge and across it."""
    first = next(edge for edge in loop.edges if isinstance(edge, Line))
    ux, uy = (first.end[0] - first.start[0]) / first.length, (first.end[1] - first.start[1]) / first.length
    along = [x * ux + y * uy for x, y in loop.vertices]
    across = [y * ux - x * uy for x, y in loop.vertices]
    return max(along) - min(along), max(across) - min(across)


def main_circle(loop: Loop) -> tuple[Point, float] | None:
    """The circle that arcs of a loop are on for more than half a turn in all: an opening that lugs reach into."""
    turns: dict[tuple[int, int, int], float] = {}
    for edge in loop.edges:
        if isinstance(edge, Arc) and not edge.ccw:
            key = _key(edge)
            turns[key] = turns.get(key, 0.0) + edge.sweep_rad
    if not turns:
        return None
    best = max(turns, key=lambda key: turns[key])
    if turns[best] <= math.pi + 1e-6:
        return None
    arc = next(edge for edge in loop.edges if isinstance(edge, Arc) and _key(edge) == best)
    return arc.centre, arc.radius


def _key(arc: Arc) -> tuple[int, int, int]:
    return (round(arc.centre[0] / SAME), round(arc.centre[1] / SAME), round(arc.radius / SAME))


def opening_of(loop: Loop) -> Opening | None:
    """An opening that can be said in words, in the coordinates of its own flat or blank."""
    circle = loop.circle or main_circle(loop)
    if circle is not None:
        return Opening(circle[0], f"Ø{shown(2.0 * circle[1])}", circle[1], circle[1])
    words = opening_words(loop)
    if words is None:
        return None
    x0, y0, x1, y1 = loop.bounds
    return Opening(((x0 + x1) / 2.0, (y0 + y1) / 2.0), words, None, min(_sides(loop)) / 2.0)


def true_openings(body: Body, towards: Vector, right: Vector, up: Vector) -> tuple[Opening, ...]:
    """The openings that a view shows in their true shape, in the view's coordinates [mm]."""
    found = []
    for flat, frame in _parallel(body, towards):
        for loop in flat:
            opening = opening_of(loop)
            if opening is not None:
                place = frame.point(opening.middle)
                found.append(replace(opening, middle=(dot(place, right), dot(place, up))))
    return tuple(found)


def _parallel(body: Body, towards: Vector) -> Iterator[tuple[tuple[Loop, ...], Frame]]:
    placed = frames(body)
    for flat in body.flats:
        if abs(dot(placed[flat.name].z, towards)) > _SQUARE:
            yield flat.net.holes, placed[flat.name]


def hidden_from_all(body: Body, views: Sequence[Vector]) -> frozenset[str]:
    """Flats that no view shows in their true shape: their openings are dimensioned on the blank."""
    placed = frames(body)
    return frozenset(
        flat.name
        for flat in body.flats
        if not any(abs(dot(placed[flat.name].z, towards)) > _SQUARE for towards in views)
    )


def patterns(openings: Sequence[Opening]) -> tuple[Pattern, ...]:
    """Equal round openings that stand on one circle, equally spaced; the corners of a rectangle are no pattern."""
    equal: dict[str, list[Opening]] = {}
    for opening in openings:
        if opening.radius is not None:
            equal.setdefault(opening.words, []).append(opening)
    found = [_pattern(same) for same in equal.values() if len(same) >= _FEWEST]
    return tuple(pattern for pattern in found if pattern is not None)


def _pattern(openings: list[Opening]) -> Pattern | None:
    n = len(openings)
    cx, cy = sum(o.middle[0] for o in openings) / n, sum(o.middle[1] for o in openings) / n
    radii = [math.dist(o.middle, (cx, cy)) for o in openings]
    if max(radii) - min(radii) > SAME or min(radii) < SAME:
        return None
    turns = sorted(math.atan2(o.middle[1] - cy, o.middle[0] - cx) for o in openings)
    steps = [b - a for a, b in zip(turns, [*turns[1:], turns[0] + math.tau], strict=True)]
    if max(steps) - min(steps) > 1e-5:
        return None
    if n == _RECTANGLE and len({round(o.middle[0], 4) for o in openings}) == 2:
        return None
    return Pattern((cx, cy), radii[0], tuple(openings))


def levels(body: Body, datum: float) -> tuple[float, ...]:
    """Heights of the lower faces of all flats that lie level and higher than a datum, above it [mm]."""
    half = body.sheet.thickness / 2.0
    heights = {
        round(frame.origin[2] - half - datum, 4)
        for frame in frames(body).values()
        if abs(frame.z[2]) > _SQUARE
    }
    return tuple(height for height in sorted(heights) if height > SAME)


def radii(outline: Outline) -> tuple[tuple[float, int, Arc], ...]:
    """Radii of the corners and round ends of an outline, how often each is there, and one of its arcs."""
    found: dict[float, list[Arc]] = {}
    for loop in outline.loops:
        if opening_of(loop) is not None and loop is not outline.outer and main_circle(loop) is None:
            continue
        skipped = main_circle(loop) if loop is not outline.outer else None
        for edge in loop.edges:
            if isinstance(edge, Arc) and not (skipped and math.dist(edge.centre, skipped[0]) < SAME):
                found.setdefault(round(edge.radius, 4), []).append(edge)
    return tuple((radius, len(arcs), arcs[0]) for radius, arcs in sorted(found.items(), reverse=True))


def edge_places(outline: Outline, axis: int) -> tuple[Point, ...]:
    """
    Where the straight edges that run square to an axis stand, and the ends of round ends, each place once.

    The ends of the outline are left out, as its overall size says them; so are openings, and a round end about the
    middle of an opening: the opening's place and the radius say it.
    """
    low, high = outline.bounds[axis], outline.bounds[axis + 2]
    found: dict[float, Point] = {}
    for point in sorted(_edge_points(outline, axis), key=lambda point: -point[1 - axis]):
        if low + SAME < point[axis] < high - SAME:
            found.setdefault(round(point[axis] - low, 3), point)
    return tuple(found.values())


def _edge_points(outline: Outline, axis: int) -> Iterator[Point]:
    """Of each edge that end which is farther along the other axis; of a round end its outermost point."""
    openings = [opening_of(loop) for loop in outline.holes]
    middles = [opening.middle for opening in openings if opening is not None]
    for loop in outline.loops:
        if loop is not outline.outer and opening_words(loop) is not None:
            continue
        for edge in loop.edges:
            if isinstance(edge, Line) and abs(edge.start[axis] - edge.end[axis]) < SAME:
                yield max(edge.start, edge.end, key=lambda point: point[1 - axis])
            elif isinstance(edge, Arc) and _is_round_end(edge, axis, middles):
                yield edge.point_at(0.5)


def _is_round_end(arc: Arc, axis: int, middles: Sequence[Point]) -> bool:
    """Half a turn whose outermost point lies along an axis, about no opening; no cutter turns as little as 1e-6 rad."""
    half = abs(arc.sweep_rad - math.pi) < 1e-6
    along = abs(arc.point_at(0.5)[1 - axis] - arc.centre[1 - axis]) < SAME
    return half and along and not any(math.dist(arc.centre, middle) < SAME for middle in middles)


@dataclass(frozen=True)
class BendSeen:
    """A bend that a view shows along its axis: angle and radius in words, and the middle of its arc in the view."""

    words: str
    middle: Point


def true_bends(body: Body, towards: Vector, right: Vector, up: Vector) -> tuple[BendSeen, ...]:
    """The bends that a view shows along their axes, so that angle and radius are true."""
    placed, half = frames(body), body.sheet.thickness / 2.0
    found = []
    for bend in body.bends:
        line = placed[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
        if abs(dot(line.x, towards)) > _SQUARE:
            turn, radius = math.radians(bend.angle) / 2.0, bend.inside_radius + half
            side = 1.0 if bend.side == "up" else -1.0
            back, rise = -radius * math.sin(turn), side * radius * (1.0 - math.cos(turn))
            place = line.point((bend.width / 2.0, back), rise)
            found.append(BendSeen(bend_words(bend), (dot(place, right), dot(place, up))))
    return tuple(found)


def bend_words(bend: Bend) -> str:
    """Angle, as rotation from flat, and inside radius."""
    return f"{bend.angle:.6g}° R{shown(bend.inside_radius)}"
