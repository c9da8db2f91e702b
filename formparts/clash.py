"""
Flats and bends of a folded part that intersect, found in the model pair by pair.

Each is an outline with a thickness: a flat is its outline through the sheet, a bend is the end of a ring
along its line. Two of them intersect exactly when an edge of the one, drawn in by a hair, passes through
the inside of the other. A union of solids would hide it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product

from formparts.arguments import takes
from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector, bend_frame, combined, opposite
from formparts.kept import kept
from formparts.outline import Loop, Outline, intersect, outline_of, polygon
from formparts.outline.edge_rows import EdgeRows, edge_rows
from formparts.outline.edges import Arc, Bounds, Edge, Line, Point, cos_deg, sin_deg
from formparts.short_repr import short_repr
from formparts.tolerances import CHORD, CLASH_DEPTH, SHORTEST_EDGE, VOLUME_REL

Segment = tuple[Vector, Vector]

_DRAWN_IN = CLASH_DEPTH * 2.0 / 3.0
_INSIDE = CLASH_DEPTH / 3.0
"""How far edges are drawn in, and how deep they must lie in the other [mm]: unequal, together CLASH_DEPTH.
"""
_SLICES = 16
"""Number of slices of a bend with slanted ends or openings: at 90 deg, 5.6 deg each."""


@short_repr
@dataclass(frozen=True)
class Clash:
    """
    Two flats or bends of a folded part that run into each other.

    Parameters
    ----------
    first, second : str
        Names of the two flats or bends.
    place : (x, y, z) [mm]
        A point inside both.
    """

    first: str
    second: str
    place: Vector


@dataclass(frozen=True)
class FoldedPiece:
    """
    An outline in the plane of a frame, from one height above that plane to another.

    Parameters
    ----------
    name : str
        Of the flat or bend, or of whatever else it represents.
    outline : Outline
        In the plane.
    frame : Frame
        Where that plane lies.
    low, high : float [mm]
        Heights above it between which the material lies.
    """

    name: str
    outline: Outline
    frame: Frame
    low: float
    high: float

    @cached_property
    def box(self) -> tuple[Vector, Vector]:
        """Return the box around it, with sides along the axes of space: that of its outline's own box."""
        xmin, ymin, xmax, ymax = self.outline.bounds
        plane = product((xmin, xmax), (ymin, ymax), (self.low, self.high))
        xs, ys, zs = zip(*(self.frame.point((x, y), height) for x, y, height in plane), strict=True)
        return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))

    @cached_property
    def rows(self) -> EdgeRows:
        """The edges of its outline, indexed by position."""
        return edge_rows(self.outline)

    def near(self, box: tuple[Vector, Vector]) -> Iterator[Segment]:
        """Return its edges in space that may reach into a box of space."""
        xs, ys, zs = zip(*box, strict=True)
        corners = [self.frame.local(corner) for corner in product(xs, ys, zs)]
        across, along = [x for x, _, _ in corners], [y for _, y, _ in corners]
        bottom, top = self.low + _DRAWN_IN, self.high - _DRAWN_IN
        for number, _ in self.rows.near((min(across), min(along), max(across), max(along))):
            yield from _walls(_corners(self.outline)[number], self.frame, bottom, top)


@takes(body="Body")
def clashes(body: Body, moved: frozenset[str] | None = None) -> tuple[Clash, ...]:
    """
    All pairs of flats and bends that run into each other when the part is folded.

    Flats and bends that only touch, or penetrate each other by less than `tolerances.CLASH_DEPTH`, do not count; curved
    edges are followed to `tolerances.CHORD`.

    Parameters
    ----------
    body : Body
        The part.
    moved : frozenset of str, optional
        Names of flats and bends that have moved as one: only these are held against the others.

    Returns
    -------
    tuple of Clash
        One for each pair.

    Examples
    --------
    >>> clashes(profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle"))
    ()
    """
    pieces = list(pieces_of(body))
    pairs: Iterable[tuple[FoldedPiece, FoldedPiece]]
    if moved is None:
        pairs = _neighbours(pieces)
    else:
        pairs = product(_among(pieces, moved, True), _among(pieces, moved, False))
    found: dict[tuple[str, str], Clash] = {}
    for one, two in pairs:
        if (one.name, two.name) not in found and one.name != two.name and _boxes_meet(one.box, two.box):
            clash = _clash(one, two)
            if clash is not None:
                found[one.name, two.name] = clash
    return tuple(found.values())


def first_clash(ones: Iterable[FoldedPiece], others: Iterable[FoldedPiece]) -> Clash | None:
    """Return the first point where a flat or bend of one part runs into one of the other."""
    pairs = product(ones, others)
    found = (_clash(one, two) for one, two in pairs if _boxes_meet(one.box, two.box))
    return next((clash for clash in found if clash is not None), None)


def _neighbours(pieces: list[FoldedPiece]) -> list[tuple[FoldedPiece, FoldedPiece]]:
    """Pairs that share a stretch of x, in the given order."""
    order = sorted(range(len(pieces)), key=lambda number: pieces[number].box[0][0])
    pairs = []
    for place, number in enumerate(order):
        far = pieces[number].box[1][0]
        for other in order[place + 1 :]:
            if pieces[other].box[0][0] > far:
                break
            pairs.append((min(number, other), max(number, other)))
    return [(pieces[one], pieces[two]) for one, two in sorted(pairs)]


def _among(pieces: list[FoldedPiece], names: frozenset[str], wanted: bool) -> list[FoldedPiece]:
    """Return those that have, or do not have, one of the names."""
    return [piece for piece in pieces if (piece.name in names) == wanted]


_LONGEST_ARC = 175.0
"""An arc of an outline is less than half a turn [deg]: a hem's or a curl's is made of several."""


def pieces_of(body: Body) -> Iterator[FoldedPiece]:
    """Return the flats and bends of a folded part, each as an outline with a thickness."""
    half = body.sheet.thickness / 2.0
    placed = frames(body)
    for flat in body.flats:
        yield FoldedPiece(flat.name, flat.net, placed[flat.name], -half, half)
    for bend in body.bends:
        yield from bend_pieces(bend, placed[bend.parent], body.sheet.thickness)


def bend_pieces(bend: Bend, parent: Frame, thickness: float) -> Iterator[FoldedPiece]:
    """
    Return a bend as outlines with a thickness, its parent in a frame.

    Where its ends are slanted or openings cross it, what is left is taken in slices, each as wide as in its middle.
    """
    degrees = bend.angle / bend.developed if bend.openings else 1.0
    for first, low, last, high in _slices(bend):
        yield FoldedPiece(
            bend.name, *_ring_end(bend, parent, thickness, (-high * degrees, -low * degrees)), first, last
        )


def _slices(bend: Bend) -> Iterator[Bounds]:
    """Boxes on the strip that together are what is left of a bend."""
    for strip in bend.pieces(bend.angle):
        first, low, last, high = strip.bounds
        if strip.area > (last - first) * (high - low) * (1.0 - VOLUME_REL):
            yield strip.bounds
            continue
        deep = (high - low) / _SLICES
        for number in range(_SLICES):
            middle = low + (number + 0.5) * deep
            for piece in intersect(strip, _band(first, last, middle)):
                left, _, right, _ = piece.bounds
                yield left, middle - deep / 2.0, right, middle + deep / 2.0


def _band(first: float, last: float, middle: float) -> Outline:
    """A band along a strip, so narrow that it shows how wide the strip is there."""
    half = SHORTEST_EDGE
    low, high = middle - half, middle + half
    return polygon([(first - 1.0, low), (last + 1.0, low), (last + 1.0, high), (first - 1.0, high)])


def _ring_end(
    bend: Bend, parent: Frame, thickness: float, span: tuple[float, float]
) -> tuple[Outline, Frame]:
    """The end of a bend from angle to angle [deg], about its axis, in a frame whose z runs along its line."""
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    inner, outer = bend.inside_radius, bend.inside_radius + thickness
    sense = 1.0 if bend.side == "up" else -1.0
    centre = combined(line.origin, (sense * (inner + thickness / 2.0), line.z))
    out, along = line.direction(0.0, 0.0, -sense), line.direction(0.0, -1.0)
    # With z along the line these axes are right-handed for one side only: turn y about for the other.
    frame = Frame(centre, out, opposite(along) if sense > 0 else along, line.x)
    turn = -sense
    count = max(1, math.ceil((span[1] - span[0]) / _LONGEST_ARC))
    turns = [span[0] + (span[1] - span[0]) * number / count for number in range(count + 1)]

    def at(radius: float, angle: float) -> Point:
        return (radius * cos_deg(angle), radius * turn * sin_deg(angle))

    ccw, axis = turn > 0, (0.0, 0.0)
    there = [Arc(at(outer, a), at(outer, b), axis, outer, ccw) for a, b in pairwise(turns)]
    back = [Arc(at(inner, b), at(inner, a), axis, inner, not ccw) for a, b in pairwise(turns)][::-1]
    first, last = (
        Line(at(inner, turns[0]), at(outer, turns[0])),
        Line(at(outer, turns[-1]), at(inner, turns[-1])),
    )
    loop = Loop((first, *there, last, *back))
    return outline_of([loop if ccw else loop.reversed()]), frame


@kept
def _corners(outline: Outline) -> tuple[list[Point], ...]:
    """
    Corners along each edge of an outline, arcs as chords, drawn in from its sides by a hair.

    Regions of one strip have their side faces in common planes: edges that lie exactly in a face of the other
    region pass through the inside of neither, however deep the two run into each other. Noted on the outline,
    which never changes: the same flat occurs in many partly folded parts.
    """
    return tuple(_along_loops(outline))


def _along_loops(outline: Outline) -> Iterator[list[Point]]:
    for loop in outline.loops:
        followed = [_followed(edge) for edge in loop.edges]
        corners = _drawn_in([point for points in followed for point in points])
        place = 0
        for points in followed:
            yield [corners[number % len(corners)] for number in range(place, place + len(points) + 1)]
            place += len(points)


def _walls(run: list[Point], frame: Frame, bottom: float, top: float) -> Iterator[Segment]:
    """Below, above and upright along a run of corners."""
    for start, end in pairwise(run):
        yield frame.point(start, bottom), frame.point(end, bottom)
        yield frame.point(start, top), frame.point(end, top)
        yield frame.point(start, bottom), frame.point(start, top)


def _drawn_in(points: list[Point]) -> list[Point]:
    """Return corners of a loop moved into the material, which lies to its left."""
    aside = [_left(start, end) for start, end in zip(points, points[1:] + points[:1], strict=True)]
    moved = []
    for (x, y), (ax, ay), (bx, by) in zip(points, aside[-1:] + aside[:-1], aside, strict=True):
        # At a very sharp corner the intersection of two lines drawn in lies far away: a nearer point is used there.
        share = _DRAWN_IN / max(1.0 + ax * bx + ay * by, 0.1)
        moved.append((x + share * (ax + bx), y + share * (ay + by)))
    return moved


def _left(start: Point, end: Point) -> Point:
    """Unit vector to the left of the way from start to end."""
    length = math.dist(start, end)
    return ((start[1] - end[1]) / length, (end[0] - start[0]) / length)


def _followed(edge: Edge) -> list[Point]:
    """Points along an edge but its last, no farther from it than CHORD between them."""
    if isinstance(edge, Line):
        return [edge.start]
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD / edge.radius))
    number = max(2, math.ceil(edge.sweep_rad / step))
    return [edge.start, *(edge.point_at(place / number) for place in range(1, number))]


def _boxes_meet(one: tuple[Vector, Vector], two: tuple[Vector, Vector]) -> bool:
    """True when two boxes go into each other by more than CLASH_DEPTH."""
    return all(
        one[0][axis] < two[1][axis] - CLASH_DEPTH and two[0][axis] < one[1][axis] - CLASH_DEPTH
        for axis in range(3)
    )


def _clash(one: FoldedPiece, two: FoldedPiece) -> Clash | None:
    """Return the first point where an edge of either passes through the inside of the other."""
    for piece, other in ((one, two), (two, one)):
        for segment in piece.near(other.box):
            place = _inside(segment, other) if _near(segment, other.box) else None
            if place is not None:
                return Clash(one.name, two.name, place)
    return None


def _near(segment: Segment, box: tuple[Vector, Vector]) -> bool:
    """False when a segment lies wholly beside a box."""
    (ax, ay, az), (bx, by, bz) = segment
    low, high = box
    return not (
        (ax < low[0] and bx < low[0]) or (ax > high[0] and bx > high[0])
        or (ay < low[1] and by < low[1]) or (ay > high[1] and by > high[1])
        or (az < low[2] and bz < low[2]) or (az > high[2] and bz > high[2])
    )  # fmt: skip


def _inside(segment: Segment, piece: FoldedPiece) -> Vector | None:
    """Return a point of the segment inside the material, slightly away from all its faces, or None."""
    a, b = piece.frame.local(segment[0]), piece.frame.local(segment[1])
    part = _within(a[2], b[2], piece.low + _INSIDE, piece.high - _INSIDE)
    if part is None:
        return None
    first, last = (_between(a, b, share) for share in part)
    start, end = (first[0], first[1]), (last[0], last[1])
    cuts = sorted({0.0, 1.0, *_crossings(start, end, piece.rows)})
    for low, high in pairwise(cuts):
        middle = _between(first, last, (low + high) / 2.0)
        flat = (middle[0], middle[1])
        if piece.rows.inside(flat, _INSIDE):
            return piece.frame.point(flat, middle[2])
    return None


def _between(a: Vector, b: Vector, share: float) -> Vector:
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]))


def _within(start: float, end: float, low: float, high: float) -> tuple[float, float] | None:
    """The shares of a segment between which its height lies between two others."""
    if start == end:
        return (0.0, 1.0) if low < start < high else None
    shares = sorted(((low - start) / (end - start), (high - start) / (end - start)))
    first, last = max(0.0, shares[0]), min(1.0, shares[1])
    return (first, last) if first < last else None


def _crossings(start: Point, end: Point, rows: EdgeRows) -> Iterator[float]:
    """The shares of a segment at which it crosses an edge of an outline."""
    (ax, ay), (bx, by) = start, end
    dx, dy = bx - ax, by - ay
    if dx * dx + dy * dy == 0.0:
        return
    for _, edge in rows.near((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))):
        if isinstance(edge, Line):
            yield from _line_crossing(start, dx, dy, edge)
        else:
            yield from _circle_crossings(start, dx, dy, edge)


def _line_crossing(start: Point, dx: float, dy: float, edge: Line) -> Iterator[float]:
    ex, ey = edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]
    across = dx * ey - dy * ex
    if across != 0.0:
        share = ((edge.start[0] - start[0]) * ey - (edge.start[1] - start[1]) * ex) / across
        if 0.0 < share < 1.0:
            yield share


def _circle_crossings(start: Point, dx: float, dy: float, edge: Arc) -> Iterator[float]:
    """Where the whole circle is crossed; a crossing off the arc only cuts the segment once more."""
    fx, fy = start[0] - edge.centre[0], start[1] - edge.centre[1]
    a, b, c = dx * dx + dy * dy, fx * dx + fy * dy, fx * fx + fy * fy - edge.radius**2
    root = b * b - a * c
    if root > 0.0:
        for share in ((-b - math.sqrt(root)) / a, (-b + math.sqrt(root)) / a):
            if 0.0 < share < 1.0:
                yield share
