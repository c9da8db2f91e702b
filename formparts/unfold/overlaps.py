"""Pieces of the blank that lie on one another: areas of intersection in horizontal slabs, between straight edges."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from formparts.layout import Overlap
from formparts.outline.edges import Arc, Bounds, Edge, Line
from formparts.tolerances import CHORD, LENGTH
from formparts.unfold.space import Pair

Segment = tuple[Pair, Pair]


@dataclass(frozen=True, slots=True)
class Patch:
    """One piece of the blank: its edges in any order, material to their left, with their boxes and its own."""

    name: str
    edges: list[tuple[Edge, Bounds]]
    low: Pair
    high: Pair

    def reaching(self, low: Pair, high: Pair) -> list[Segment]:
        """Straight segments at the height of a box that are not wholly to its right."""
        near = [e for e, (x, y0, _, y1) in self.edges if y0 <= high[1] and y1 >= low[1] and x <= high[0]]
        return [segment for edge in near for segment in chords(edge)]


def patch_of(name: str, edges: list[Edge]) -> Patch:
    """A piece from its rims."""
    boxed = [(edge, edge.bounds) for edge in edges]
    boxes = [box for _, box in boxed]
    low = (min([box[0] for box in boxes]), min([box[1] for box in boxes]))
    return Patch(name, boxed, low, (max([box[2] for box in boxes]), max([box[3] for box in boxes])))


def chords(edge: Edge) -> list[Segment]:
    """A line as it is, and an arc as chords that stay within CHORD of it."""
    if not isinstance(edge, Arc):
        return [(edge.start, edge.end)]
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD / edge.radius))
    count = max(1, math.ceil(edge.sweep_rad / step))
    places = [edge.start, *(edge.point_at(number / count) for number in range(1, count)), edge.end]
    return [(places[number], places[number + 1]) for number in range(count)]


def overlaps(patches: list[Patch], hinges: dict[frozenset[str], list[Segment]]) -> tuple[Overlap, ...]:
    """Every two pieces that lie on one another, or that touch along an edge where no hinge joins them."""
    found = []
    for one, other in _near(patches):
        overlap = _overlap(one, other, hinges.get(frozenset((one.name, other.name)), []))
        if overlap is not None:
            found.append(overlap)
    return tuple(sorted(found, key=lambda overlap: (overlap.first, overlap.second)))


def _near(patches: list[Patch]) -> Iterator[tuple[Patch, Patch]]:
    """Pairs whose boxes meet, by a sweep along x."""
    active: list[Patch] = []
    for patch in sorted(patches, key=lambda patch: patch.low):
        active = [other for other in active if other.high[0] >= patch.low[0] - LENGTH]
        for other in active:
            if other.low[1] <= patch.high[1] + LENGTH and patch.low[1] <= other.high[1] + LENGTH:
                yield (other, patch)
        active.append(patch)


def _overlap(one: Patch, other: Patch, hinges: list[Segment]) -> Overlap | None:
    """The overlap of two pieces, if they have one."""
    low = (max(one.low[0], other.low[0]), max(one.low[1], other.low[1]))
    high = (min(one.high[0], other.high[0]), min(one.high[1], other.high[1]))
    corners: list[Pair] = []
    if min(high[0] - low[0], high[1] - low[1]) > LENGTH:
        mine, theirs = one.reaching(low, high), other.reaching(low, high)
        within = _runs_within(one, theirs, low, high) or _runs_within(other, mine, low, high)
        if within or _cover(mine, theirs, low, high):
            corners = _common_corners(mine, theirs, low, high)
    area = sum(_trapezoid(corners[n : n + 4]) for n in range(0, len(corners), 4))
    depth = least_width(corners) if corners else 0.0
    if depth > LENGTH and area > LENGTH * LENGTH:
        return Overlap(one.name, other.name, _centre(corners), depth, area)
    touching = _touching(one, other, low, high, hinges)
    if touching is None:
        return None
    (x0, y0), (x1, y1) = touching
    return Overlap(one.name, other.name, ((x0 + x1) / 2.0, (y0 + y1) / 2.0), 0.0, 0.0)


def _cover(mine: list[Segment], theirs: list[Segment], low: Pair, high: Pair) -> bool:
    """True when the rims of two pieces cross or meet in a box, other than end to end."""
    first, second = ([s for s in segments if _in_box(s, low, high)] for segments in (mine, theirs))
    return any(_crossing_height(s, t) is not None for s in first for t in second if not _meet_end(s, t))


def _runs_within(patch: Patch, others: list[Segment], low: Pair, high: Pair) -> bool:
    """True when a rim of one piece runs within the other, by the middle of each of its edges in a box."""
    return any(
        low[0] < x < high[0] and low[1] < y < high[1] and _is_within((x, y), others)
        for edge, box in patch.edges
        if box[0] < high[0] and box[2] > low[0] and box[1] < high[1] and box[3] > low[1]
        for x, y in (_just_left(edge),)
    )


def _meet_end(one: Segment, other: Segment) -> bool:
    """True when two segments have an end in common."""
    return any(math.dist(a, b) <= LENGTH for a in one for b in other)


def _just_left(edge: Edge) -> Pair:
    """A place a hair within the material, by the middle of an edge of its rim."""
    (x0, y0), (x1, y1), (x, y) = edge.start, edge.end, edge.middle
    step = 2.0 * LENGTH / (math.hypot(x1 - x0, y1 - y0) or 1.0)
    return (x - step * (y1 - y0), y + step * (x1 - x0))


def _is_within(place: Pair, segments: list[Segment]) -> bool:
    """True when a ray from the place to the left crosses the rims an odd number of times."""
    x, y = place
    level = [s for s in segments if (s[0][1] <= y) != (s[1][1] <= y)]
    return sum(_x_at(segment, y) < x for segment in level) % 2 == 1


def _common_corners(mine: list[Segment], theirs: list[Segment], low: Pair, high: Pair) -> list[Pair]:
    """Corners of the trapezoids that both pieces cover, four for each, lower two first."""
    heights = {low[1], high[1]}
    heights.update(y for a, b in (*mine, *theirs) for y in (a[1], b[1]) if low[1] < y < high[1])
    heights.update(y for s in mine for t in theirs if (y := _crossing_height(s, t)) is not None)
    levels = sorted(y for y in heights if low[1] <= y <= high[1])
    corners: list[Pair] = []
    for bottom, top in pairwise(levels):
        if top - bottom > 1e-9:
            corners.extend(_slab(mine, theirs, bottom, top))
    return corners


def _crossing_height(one: Segment, other: Segment) -> float | None:
    """Height at which two segments cross, if they do."""
    (x0, y0), (x1, y1) = one
    (u0, v0), (u1, v1) = other
    dx, dy, du, dv = x1 - x0, y1 - y0, u1 - u0, v1 - v0
    turn = dx * dv - dy * du
    if turn == 0.0:
        return None
    s = ((u0 - x0) * dv - (v0 - y0) * du) / turn
    t = ((u0 - x0) * dy - (v0 - y0) * dx) / turn
    return y0 + s * dy if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0 else None


def _slab(mine: list[Segment], theirs: list[Segment], bottom: float, top: float) -> list[Pair]:
    """Trapezoids that both pieces cover in one slab: no edge begins, ends or crosses another within it."""
    first, second = (_spans(segments, bottom, top) for segments in (mine, theirs))
    corners: list[Pair] = []
    for a, b in first:
        for c, d in second:
            left, right = max(a, c, key=sum), min(b, d, key=sum)
            if sum(right) - sum(left) > 2.0 * LENGTH:
                corners.extend(((left[0], bottom), (right[0], bottom), (right[1], top), (left[1], top)))
    return corners


def _spans(segments: list[Segment], bottom: float, top: float) -> list[tuple[Pair, Pair]]:
    """Where a slab is covered, from edge to edge, each as x at the bottom and at the top."""
    sides = sorted(
        (
            (_x_at(segment, bottom), _x_at(segment, top))
            for segment in segments
            if _passes(segment, bottom, top)
        ),
        key=sum,
    )
    if len(sides) % 2:
        # Its other side is to the right of the box, and was left out.
        sides.append((math.inf, math.inf))
    return list(zip(sides[::2], sides[1::2], strict=True))


def _passes(segment: Segment, bottom: float, top: float) -> bool:
    (_, y0), (_, y1) = segment
    return min(y0, y1) <= (bottom + top) / 2.0 < max(y0, y1)


def _x_at(segment: Segment, height: float) -> float:
    (x0, y0), (x1, y1) = segment
    return x0 + (x1 - x0) * (height - y0) / (y1 - y0)


def _trapezoid(corners: list[Pair]) -> float:
    """Area of one trapezoid."""
    (x0, y0), (x1, _), (x2, y2), (x3, _) = corners
    return (x1 - x0 + x2 - x3) / 2.0 * (y2 - y0)


def _centre(corners: list[Pair]) -> Pair:
    """Middle of the widest trapezoid: a place that is in the overlap for certain."""
    widest = max(range(0, len(corners), 4), key=lambda n: _trapezoid(corners[n : n + 4]))
    xs, ys = zip(*corners[widest : widest + 4], strict=True)
    return (sum(xs) / 4.0, sum(ys) / 4.0)


def least_width(places: list[Pair]) -> float:
    """Least distance between two parallel lines that have all places between them [mm]."""
    hull = _hull(places)
    if len(hull) < 3:
        return 0.0
    widths = []
    for number, (x0, y0) in enumerate(hull):
        x1, y1 = hull[(number + 1) % len(hull)]
        size = math.hypot(x1 - x0, y1 - y0)
        widths.append(max(((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / size for x, y in hull))
    return min(widths)


def _hull(places: list[Pair]) -> list[Pair]:
    """Convex hull, anticlockwise."""
    ordered = sorted(set(places))
    half: list[list[Pair]] = []
    for row in (ordered, ordered[::-1]):
        chain: list[Pair] = []
        for place in row:
            while len(chain) > 1 and _turns_right(chain[-2], chain[-1], place):
                chain.pop()
            chain.append(place)
        half.append(chain[:-1])
    return half[0] + half[1]


def _turns_right(a: Pair, b: Pair, c: Pair) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0.0


def _touching(one: Patch, other: Patch, low: Pair, high: Pair, hinges: list[Segment]) -> Segment | None:
    """A stretch along which an edge of one piece lies on an edge of the other, and no hinge does."""
    box = ((low[0] - LENGTH, low[1] - LENGTH), (high[0] + LENGTH, high[1] + LENGTH))
    mine, theirs = (
        [(e.start, e.end) for e, _ in patch.edges if isinstance(e, Line) and _in_box((e.start, e.end), *box)]
        for patch in (one, other)
    )
    shared = (found for s in mine for t in theirs if (found := _shared(s, t)) is not None)
    return next((found for found in shared if not any(_shared(found, hinge) for hinge in hinges)), None)


def _in_box(segment: Segment, low: Pair, high: Pair) -> bool:
    (x0, y0), (x1, y1) = segment
    return (
        min(x0, x1) <= high[0] and max(x0, x1) >= low[0] and min(y0, y1) <= high[1] and max(y0, y1) >= low[1]
    )


def _shared(one: Segment, other: Segment) -> Segment | None:
    """The stretch that two segments on one line have in common, if it is longer than LENGTH."""
    (x0, y0), (x1, y1) = one
    size = math.hypot(x1 - x0, y1 - y0)
    if size <= LENGTH:
        return None
    ex, ey = (x1 - x0) / size, (y1 - y0) / size
    if any(abs(ex * (y - y0) - ey * (x - x0)) > LENGTH for x, y in other):
        return None
    a, b = sorted(ex * (x - x0) + ey * (y - y0) for x, y in other)
    first, last = max(a, 0.0), min(b, size)
    if last - first <= 10.0 * LENGTH:
        return None
    return ((x0 + first * ex, y0 + first * ey), (x0 + last * ex, y0 + last * ey))
