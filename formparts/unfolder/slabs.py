"""The common area of two regions with straight edges: trapezoids in horizontal slabs, combined place by place."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TypeAlias

from formparts.tolerances import LENGTH, NO_LENGTH
from formparts.unfolder.space import Pair

Segment: TypeAlias = tuple[Pair, Pair]
Trapezoid: TypeAlias = tuple[Pair, Pair, Pair, Pair]
"""Corners anticlockwise, from the lower left one."""


def common_trapezoids(mine: list[Segment], theirs: list[Segment], low: float, high: float) -> list[Trapezoid]:
    """Return the common trapezoids of two regions between two heights, from below upwards."""
    heights = {low, high, *_crossing_heights(mine, theirs)}
    heights.update(y for a, b in (*mine, *theirs) for y in (a[1], b[1]))
    levels = sorted(y for y in heights if low <= y <= high)
    rows = (_from_below(mine), _from_below(theirs))
    active: tuple[list[Segment], list[Segment]] = ([], [])
    found: list[Trapezoid] = []
    for bottom, top in pairwise(levels):
        if top - bottom > NO_LENGTH:
            for row, kept in zip(rows, active, strict=True):
                _admit(row, kept, (bottom + top) / 2.0)
            found.extend(_slab(*active, bottom, top))
    return found


def _from_below(segments: list[Segment]) -> list[Segment]:
    """Return segments sorted by their lower ends, the lowest last."""
    return sorted(segments, key=_lower, reverse=True)


def _lower(segment: Segment) -> float:
    return min(segment[0][1], segment[1][1])


def _upper(segment: Segment) -> float:
    return max(segment[0][1], segment[1][1])


def _admit(row: list[Segment], kept: list[Segment], height: float) -> None:
    """Take the segments that begin below a height from a row, and keep those that do not end there."""
    while row and _lower(row[-1]) <= height:
        kept.append(row.pop())
    kept[:] = [segment for segment in kept if _upper(segment) > height]


def _crossing_heights(mine: list[Segment], theirs: list[Segment]) -> list[float]:
    """Return heights at which the rims of two regions cross, by a sweep from below."""
    marked = [
        (_lower(segment), which, segment) for which, row in enumerate((mine, theirs)) for segment in row
    ]
    active: tuple[list[Segment], list[Segment]] = ([], [])
    found: list[float] = []
    for low, which, segment in sorted(marked):
        others = active[1 - which]
        others[:] = [other for other in others if _upper(other) >= low]
        found.extend(y for other in others if (y := crossing_height(segment, other)) is not None)
        active[which].append(segment)
    return found


def crossing_height(one: Segment, other: Segment) -> float | None:
    """Return the height at which two segments cross, if they do."""
    (x0, y0), (x1, y1) = one
    (u0, v0), (u1, v1) = other
    dx, dy, du, dv = x1 - x0, y1 - y0, u1 - u0, v1 - v0
    turn = dx * dv - dy * du
    if turn == 0.0:
        return None
    s = ((u0 - x0) * dv - (v0 - y0) * du) / turn
    t = ((u0 - x0) * dy - (v0 - y0) * dx) / turn
    return y0 + s * dy if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0 else None


def _slab(mine: list[Segment], theirs: list[Segment], bottom: float, top: float) -> list[Trapezoid]:
    """Trapezoids in one slab: no edge begins, ends or crosses another within it."""
    first, second = (_spans(segments, bottom, top) for segments in (mine, theirs))
    found: list[Trapezoid] = []
    for a, b in first:
        for c, d in second:
            left, right = max(a, c, key=sum), min(b, d, key=sum)
            if sum(right) - sum(left) > 2.0 * LENGTH:
                found.append(((left[0], bottom), (right[0], bottom), (right[1], top), (left[1], top)))
    return found


def _spans(segments: list[Segment], bottom: float, top: float) -> list[tuple[Pair, Pair]]:
    """Return where a slab is covered, from edge to edge, each as x at the bottom and at the top."""
    sides = sorted(((x_at(segment, bottom), x_at(segment, top)) for segment in segments), key=sum)
    if len(sides) % 2:
        # Its other side is to the right of the box, and was left out.
        sides.append((math.inf, math.inf))
    return list(zip(sides[::2], sides[1::2], strict=True))


def x_at(segment: Segment, height: float) -> float:
    (x0, y0), (x1, y1) = segment
    return x0 + (x1 - x0) * (height - y0) / (y1 - y0)


def trapezoid_area(corners: Trapezoid) -> float:
    """Return the area of one trapezoid [mm2]."""
    (x0, y0), (x1, _), (x2, y2), (x3, _) = corners
    return (x1 - x0 + x2 - x3) / 2.0 * (y2 - y0)


def middle_of_widest(region: list[Trapezoid]) -> Pair:
    """Return the centre of the largest trapezoid: a point that is certainly in the region."""
    xs, ys = zip(*max(region, key=trapezoid_area), strict=True)
    return (sum(xs) / 4.0, sum(ys) / 4.0)


def regions(parts: list[Trapezoid]) -> list[list[Trapezoid]]:
    """Return trapezoids, ordered from below, grouped by contact across their level sides."""
    root = list(range(len(parts)))
    open_parts: list[int] = []
    for number, part in enumerate(parts):
        open_parts = [other for other in open_parts if parts[other][2][1] >= part[0][1] - 10.0 * NO_LENGTH]
        for other in open_parts:
            if _rests_on(part, parts[other]):
                root[_root(root, other)] = number
        open_parts.append(number)
    found: dict[int, list[Trapezoid]] = {}
    for number, part in enumerate(parts):
        found.setdefault(_root(root, number), []).append(part)
    return list(found.values())


def _root(root: list[int], number: int) -> int:
    """Return the representative number of a region, shortening the path to it each time."""
    while root[number] != number:
        root[number] = root[root[number]]
        number = root[number]
    return number


def _rests_on(part: Trapezoid, other: Trapezoid) -> bool:
    """True when the lower side of one trapezoid lies on the upper side of the other."""
    (x0, y0), (x1, _), _, _ = part
    _, _, (x2, y2), (x3, _) = other
    return abs(y0 - y2) <= 10.0 * NO_LENGTH and min(x1, x2) - max(x0, x3) > LENGTH


def least_width(places: list[Pair]) -> float:
    """Least distance between two parallel lines that have all places between them [mm]."""
    # Corners that differ by rounding alone would give sides of any direction.
    corners = _hull(places)
    hull = [
        here for number, here in enumerate(corners) if math.dist(corners[number - 1], here) > LENGTH / 10.0
    ]
    if len(hull) < 3:
        return 0.0
    widths = []
    far = max(range(len(hull)), key=lambda corner: _height(hull[0], hull[1], hull[corner]))
    for number, start in enumerate(hull):
        end = hull[(number + 1) % len(hull)]
        # Going round, the furthest corner goes round too.
        while _height(start, end, hull[(far + 1) % len(hull)]) > _height(start, end, hull[far]):
            far = (far + 1) % len(hull)
        widths.append(_height(start, end, hull[far]))
    return min(widths)


def _height(start: Pair, end: Pair, place: Pair) -> float:
    """Return how far a point is to the left of a line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    return (dx * (place[1] - start[1]) - dy * (place[0] - start[0])) / math.hypot(dx, dy)


def _hull(places: list[Pair]) -> list[Pair]:
    """Return the convex hull, anticlockwise."""
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
