"""Flats and bends that overlap or touch on the blank: a sweep for pairs, a filter, then slabs for the area."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from formparts.layout import Overlap
from formparts.outline.edges import Arc, Bounds, Edge, Line, boxes_meet
from formparts.tolerances import CHORD, LENGTH
from formparts.unfolder.slabs import (
    Segment,
    Trapezoid,
    common_trapezoids,
    crossing_height,
    least_width,
    middle_of_widest,
    regions,
    trapezoid_area,
    x_at,
)
from formparts.unfolder.space import Pair

FINE_CHORD: Final = CHORD / 100.0
"""How closely chords follow arcs where two regions overlap [mm]: for the digits of the area."""


@dataclass(frozen=True, slots=True)
class Patch:
    """One flat or bend of the blank: its edges in any order, material to their left, with their boxes and its own."""

    name: str
    edges: list[tuple[Edge, Bounds]]
    box: Bounds

    def reaching(self, window: Bounds, chord: float) -> list[Segment]:
        """Return straight segments at the height of a window that are not wholly to its right."""
        left_of_it = (-math.inf, *window[1:])
        near = [edge for edge, box in self.edges if boxes_meet(box, left_of_it)]
        return [segment for edge in near for segment in chords(edge, chord)]


def patch_of(name: str, edges: list[Edge]) -> Patch:
    """Return a patch from its rims."""
    boxed = [(edge, edge.bounds) for edge in edges]
    left, low, right, high = zip(*[box for _, box in boxed], strict=True)
    return Patch(name, boxed, (min(left), min(low), max(right), max(high)))


def chords(edge: Edge, chord: float) -> list[Segment]:
    """Return a line unchanged, and an arc as chords within a distance of it."""
    if not isinstance(edge, Arc):
        return [(edge.start, edge.end)]
    step = 2.0 * math.acos(max(0.0, 1.0 - chord / edge.radius))
    count = max(1, math.ceil(edge.sweep_rad / step))
    places = [edge.start, *(edge.point_at(number / count) for number in range(1, count)), edge.end]
    return [(places[number], places[number + 1]) for number in range(count)]


def overlaps(
    patches: list[Patch], hinges: dict[frozenset[str], list[Segment]], shallow: float = LENGTH
) -> tuple[Overlap, ...]:
    """Return every place where two patches overlap by more than a depth, or touch where no hinge joins them."""
    place = {patch.name: number for number, patch in enumerate(patches)}
    found: list[Overlap] = []
    for pair in _near(patches):
        one, other = sorted(pair, key=lambda patch: place[patch.name])
        found.extend(_overlaps(one, other, hinges.get(frozenset((one.name, other.name)), []), shallow))
    found.sort(key=lambda overlap: (place[overlap.first], place[overlap.second]))
    return tuple(found)


def _near(patches: list[Patch]) -> Iterator[tuple[Patch, Patch]]:
    """Return pairs whose boxes meet, by a sweep along x."""
    active: list[Patch] = []
    for patch in sorted(patches, key=lambda patch: patch.box):
        active = [other for other in active if other.box[2] >= patch.box[0] - LENGTH]
        yield from ((other, patch) for other in active if boxes_meet(other.box, patch.box))
        active.append(patch)


def _overlaps(one: Patch, other: Patch, hinges: list[Segment], shallow: float) -> list[Overlap]:
    """Return the overlaps of two patches, one for each place."""
    window = (
        *(max(one.box[0], other.box[0]), max(one.box[1], other.box[1])),
        *(min(one.box[2], other.box[2]), min(one.box[3], other.box[3])),
    )
    found = []
    for region in _common(one, other, window):
        depth, area = (
            least_width([corner for part in region for corner in part]),
            sum(map(trapezoid_area, region)),
        )
        if depth > shallow:
            found.append(Overlap(one.name, other.name, middle_of_widest(region), depth, area))
    if found:
        return found
    touching = _touching(one, other, window, hinges)
    if touching is None:
        return []
    (x0, y0), (x1, y1) = touching
    return [Overlap(one.name, other.name, ((x0 + x1) / 2.0, (y0 + y1) / 2.0), 0.0, 0.0)]


def _common(one: Patch, other: Patch, window: Bounds) -> list[list[Trapezoid]]:
    """Return the common area of two patches, place by place."""
    if min(window[2] - window[0], window[3] - window[1]) <= LENGTH:
        return []
    mine, theirs = one.reaching(window, CHORD), other.reaching(window, CHORD)
    within = _runs_within(one, theirs, window) or _runs_within(other, mine, window)
    if within or _cover(mine, theirs, window):
        mine, theirs = one.reaching(window, FINE_CHORD), other.reaching(window, FINE_CHORD)
        return regions(common_trapezoids(mine, theirs, window[1], window[3]))
    return []


def _cover(mine: list[Segment], theirs: list[Segment], window: Bounds) -> bool:
    """True when the rims of two patches cross or meet in a window, other than end to end."""
    first, second = ([s for s in segments if _reaches(s, window)] for segments in (mine, theirs))
    return any(crossing_height(s, t) is not None for s in first for t in second if not _meet_end(s, t))


def _runs_within(patch: Patch, others: list[Segment], window: Bounds) -> bool:
    """True when a rim of one patch runs within the other, by the middle of each of its edges in a window."""
    places = [_just_left(edge) for edge, box in patch.edges if boxes_meet(box, window)]
    return any(boxes_meet((x, y, x, y), window, 0.0) and _is_within((x, y), others) for x, y in places)


def _meet_end(one: Segment, other: Segment) -> bool:
    """True when two segments have an end in common."""
    return any(math.dist(a, b) <= LENGTH for a in one for b in other)


def _just_left(edge: Edge) -> Pair:
    """Return a point slightly within the material, by the middle of an edge of its rim."""
    (x0, y0), (x1, y1), (x, y) = edge.start, edge.end, edge.middle
    step = 2.0 * LENGTH / (math.hypot(x1 - x0, y1 - y0) or 1.0)
    return (x - step * (y1 - y0), y + step * (x1 - x0))


def _is_within(place: Pair, segments: list[Segment]) -> bool:
    """True when a ray from the point to the left crosses the rims an odd number of times."""
    x, y = place
    level = [s for s in segments if (s[0][1] <= y) != (s[1][1] <= y)]
    return sum(x_at(segment, y) < x for segment in level) % 2 == 1


def _touching(one: Patch, other: Patch, window: Bounds, hinges: list[Segment]) -> Segment | None:
    """Return a stretch along which an edge of one patch lies on an edge of the other, without a hinge."""
    mine, theirs = (
        [(e.start, e.end) for e, box in patch.edges if isinstance(e, Line) and boxes_meet(box, window)]
        for patch in (one, other)
    )
    shared = (found for s in mine for t in theirs if (found := _shared(s, t)) is not None)
    return next((found for found in shared if not any(_shared(found, hinge) for hinge in hinges)), None)


def _reaches(segment: Segment, window: Bounds) -> bool:
    """True when the box of a segment meets a window."""
    (x0, y0), (x1, y1) = segment
    return boxes_meet((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)), window)


def _shared(one: Segment, other: Segment) -> Segment | None:
    """Return the common stretch of two segments on one line, if it is longer than rounding."""
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
