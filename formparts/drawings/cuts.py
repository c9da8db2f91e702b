"""A section through a part, square to a bend: slabs of flats and sectors of bends, computed without a kernel."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from formparts.body import Bend, Body, Frame, frames
from formparts.body.frame import Vector, bend_frame, combined, cross, dot
from formparts.drawings.curves import HATCH, VISIBLE, Conic, Curve, PenLine, Plain, Straight, line, placed
from formparts.outline import Arc, Motion, Outline, Point
from formparts.tolerances import LENGTH, ROUNDING, SHORTEST_DRAWN, UPRIGHT

_ALONG = 1.0 - ROUNDING
"""Cosine above which directions count as parallel."""
_ASIDE = 0.0137
"""Distance of a section from the middle of the bend, as a share of the bend's length: clear of corners."""
_REST = 6.0
"""Least length of a flat that remains in a shortened section [mm]."""
_BREAK = 1.5
"""How far a break line extends beyond the faces [mm on paper]."""
_HATCH = 1.5
"""Distance between hatching lines [mm on paper]."""
_HATCH_ANGLES = (45.0, 30.0, 60.0, 135.0, 120.0, 15.0)
"""Angles of hatching; the first that is parallel to no slope of the sheet is used [deg]."""


@dataclass(frozen=True)
class Cut:
    """A section: its plane, what it passes through, and its curves with x and y in that plane."""

    origin: Vector
    right: Vector
    up: Vector
    bends: tuple[str, ...]
    flats: tuple[str, ...]
    curves: tuple[Curve, ...]
    areas: tuple[tuple[Point, ...], ...]
    """Convex areas to hatch."""
    breaks: tuple[tuple[Point, Point], ...] = ()
    """Lines, from face to face, where a flat is broken off in the drawing."""

    @property
    def width(self) -> float:
        """Return the length of the section [mm]."""
        xs = [x for area in self.areas for x, _ in area]
        return max(xs) - min(xs)

    def at(self, place: Vector) -> Point:
        """Return a point of the part in the plane of the section."""
        away = combined(place, (-1.0, self.origin))
        return (dot(away, self.right), dot(away, self.up))


def cut_across(body: Body, bend: Bend, origin: Vector, only: frozenset[str] | set[str] = frozenset()) -> Cut:
    """Cut a part square to a bend, near its middle, with the flat that carries the bend on the left.

    `only` limits the section to some of the bends and the material near them.
    """
    placed_ = frames(body)
    along = _line(bend, placed_)
    at = along.point((bend.width * clear_share(bend), 0.0))
    normal, up = along.x, along.z
    right = cross(up, normal)
    if dot(right, along.y) > 0:
        right, normal = (-right[0], -right[1], -right[2]), (-normal[0], -normal[1], -normal[2])
    base = combined(origin, (dot(combined(at, (-1.0, origin)), normal), normal))
    made = Cut(base, right, up, (), (), (), ())
    bends = [
        each
        for each in body.bends
        if abs(dot(_line(each, placed_).x, normal)) > _ALONG
        and _is_hit(each, placed_, at, normal)
        and (not only or each.name in only)
    ]
    beyond = {each.child for each in bends}
    joints = [made.at(place) for each in bends for place in _joint_places(each, placed_, at, normal)]
    curves: list[Curve] = []
    areas: list[tuple[Point, ...]] = []
    breaks: list[tuple[Point, Point]] = []
    flats = []
    half = body.sheet.thickness / 2.0
    for flat in body.flats:
        frame = placed_[flat.name]
        if abs(dot(frame.z, normal)) < UPRIGHT:
            pieces = list(_slab(flat.net, frame, at, normal))
            if pieces:
                flats.append(flat.name)
            near = pieces
            if only and flat.name not in beyond:
                reach = _REST + 3.0 * (bend.inside_radius + 2.0 * half)
                near = list(_near(pieces, frame, made, joints, reach))
            for first, last in near:
                broken = not any(last in piece for piece in pieces)
                more, area = _slab_curves(made, frame, first, last, half, joints)
                curves += more[:-1] if broken else more
                areas.append(area)
                breaks += [(area[3], area[2])] if broken else []
    for each in bends:
        more, wedges = _sector(made, each, placed_, half)
        curves += more
        areas += wedges
    names = tuple(each.name for each in bends)
    return Cut(base, right, up, names, tuple(flats), tuple(curves), tuple(areas), tuple(breaks))


def clear_share(bend: Bend) -> float:
    """Return where along a bend to cut: near its middle, and clear of openings if possible."""
    spans = [opening.outline.bounds[::2] for opening in bend.openings]
    shares = [0.5 + way * step + _ASIDE for step in (0.0, 0.1, 0.2, 0.3, 0.4) for way in (1.0, -1.0)]
    return next(
        (one for one in shares if not any(low <= one * bend.width <= high for low, high in spans)), shares[0]
    )


def _line(bend: Bend, placed_: dict[str, Frame]) -> Frame:
    """Return a frame on the tangent line of the parent, x along it, with the parent to its left."""
    return placed_[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))


def _is_hit(bend: Bend, placed_: dict[str, Frame], at: Vector, normal: Vector) -> bool:
    line_ = _line(bend, placed_)
    share = dot(combined(at, (-1.0, line_.origin)), normal) * (1.0 if dot(line_.x, normal) > 0 else -1.0)
    return 0.0 <= share <= bend.width


def _joint_places(bend: Bend, placed_: dict[str, Frame], at: Vector, normal: Vector) -> Iterator[Vector]:
    """Return where the tangent lines of a bend cross the section."""
    for name, ends in ((bend.parent, bend.parent_line), (bend.child, bend.child_line)):
        start, end = (placed_[name].point(point) for point in ends)
        away, run = combined(at, (-1.0, start)), combined(end, (-1.0, start))
        share = dot(away, normal) / dot(run, normal)
        yield combined(start, (share, run))


def _slab(net: Outline, frame: Frame, at: Vector, normal: Vector) -> Iterator[tuple[Point, Point]]:
    """Return where a section runs through a flat, as pairs of entry and exit points."""
    n = (dot(normal, frame.x), dot(normal, frame.y))
    c = dot(normal, combined(at, (-1.0, frame.origin)))
    along = (-n[1], n[0])
    found = sorted(x * along[0] + y * along[1] for edge in net.edges for x, y in _crossings(edge, n, c))
    for first, last in zip(found[::2], found[1::2], strict=False):
        yield (
            (c * n[0] + first * along[0], c * n[1] + first * along[1]),
            (c * n[0] + last * along[0], c * n[1] + last * along[1]),
        )


def _crossings(edge: object, n: Point, c: float) -> Iterator[Point]:
    start, end = edge.start, edge.end  # type: ignore[attr-defined]
    if not isinstance(edge, Arc):
        a, b = (n[0] * x + n[1] * y - c for x, y in (start, end))
        if (a > 0) != (b > 0):
            share = a / (a - b)
            yield (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        return
    away = c - n[0] * edge.centre[0] - n[1] * edge.centre[1]
    reach = edge.radius**2 - away**2
    if reach <= 0:
        return
    first = math.atan2(start[1] - edge.centre[1], start[0] - edge.centre[0])
    for sign in (1.0, -1.0):
        x = edge.centre[0] + away * n[0] - sign * math.sqrt(reach) * n[1]
        y = edge.centre[1] + away * n[1] + sign * math.sqrt(reach) * n[0]
        turn = math.atan2(y - edge.centre[1], x - edge.centre[0]) - first
        if (turn if edge.ccw else -turn) % math.tau < edge.sweep_rad:
            yield (x, y)


def _near(
    pieces: Sequence[tuple[Point, Point]], frame: Frame, cut: Cut, joints: Sequence[Point], reach: float
) -> Iterator[tuple[Point, Point]]:
    """Return the part of a flat near a joint, or all of it where almost nothing would be left out."""
    for one, two in pieces:
        long = math.dist(one, two)
        ends = [
            (first, last)
            for first, last in ((one, two), (two, one))
            if any(math.dist(cut.at(frame.point(first)), joint) < SHORTEST_DRAWN for joint in joints)
        ]
        if ends and long <= reach * len(ends):
            yield one, two
            continue
        for (x0, y0), (x1, y1) in ends:
            yield (x0, y0), (x0 + reach / long * (x1 - x0), y0 + reach / long * (y1 - y0))


def _slab_curves(
    cut: Cut, frame: Frame, first: Point, last: Point, half: float, joints: Sequence[Point]
) -> tuple[list[Curve], tuple[Point, ...]]:
    a, b = (cut.at(frame.point(first, h)) for h in (half, -half))
    d, c = (cut.at(frame.point(last, h)) for h in (half, -half))
    curves: list[Curve] = [Straight(a, d), Straight(b, c)]
    for one, two in ((a, b), (d, c)):
        middle = ((one[0] + two[0]) / 2.0, (one[1] + two[1]) / 2.0)
        if not any(math.dist(middle, joint) < SHORTEST_DRAWN for joint in joints):
            curves.append(Straight(one, two))
    return curves, (a, b, c, d)


def _sector(
    cut: Cut, bend: Bend, placed_: dict[str, Frame], half: float
) -> tuple[list[Curve], list[tuple[Point, ...]]]:
    line_ = _line(bend, placed_)
    side = 1.0 if bend.side == "up" else -1.0
    middle = bend.inside_radius + half
    centre = cut.at(line_.point((0.0, 0.0), side * middle))

    def at(radius: float, turn: float) -> Point:
        return cut.at(line_.point((0.0, -radius * math.sin(turn)), side * (middle - radius * math.cos(turn))))

    whole = math.radians(bend.angle)
    curves: list[Curve] = []
    for radius in (bend.inside_radius, bend.inside_radius + 2.0 * half):
        one, two, near = at(radius, 0.0), at(radius, whole), at(radius, whole / 100.0)
        turns = [math.atan2(y - centre[1], x - centre[0]) for x, y in (one, two, near)]
        begin = turns[0] if math.sin(turns[2] - turns[0]) > 0 else turns[1]
        curves.append(Conic(centre, (radius, 0.0), 1.0, begin % math.tau, begin % math.tau + whole))
    count = max(1, math.ceil(bend.angle / 15.0))
    wedges: list[tuple[Point, ...]] = []
    for n in range(count):
        low, high = whole * n / count, whole * (n + 1) / count
        outer, inner = bend.inside_radius + 2.0 * half, bend.inside_radius
        wedges.append((at(inner, low), at(outer, low), at(outer, high), at(inner, high)))
    return curves, wedges


def cut_pen_lines(cut: Cut, scale: float) -> Iterator[Plain]:
    """Return the section at a scale, hatched."""
    for curve in cut.curves:
        yield PenLine(placed(curve, scale), VISIBLE)
    yield from (mark for ends in cut.breaks for mark in _break_line(ends, scale))
    areas = [tuple((x * scale, y * scale) for x, y in area) for area in cut.areas]
    angle = _hatch_angle(areas)
    there, back = Motion.turn(45.0 - angle), Motion.turn(angle - 45.0)
    for start, end in hatching([tuple(map(there, area)) for area in areas]):
        yield line(back(start), back(end), HATCH)


def _break_line(ends: tuple[Point, Point], scale: float) -> Iterator[Plain]:
    """Return a narrow zigzag line, a little longer than the distance of both faces (ISO 128, from memory)."""
    (x0, y0), (x1, y1) = ((x * scale, y * scale) for x, y in ends)
    long = math.dist((x0, y0), (x1, y1))
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    half, (mx, my) = long / 2.0 + _BREAK, ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    steps = [(-half, 0.0), (-0.6, 0.0), (-0.3, 1.2), (0.3, -1.2), (0.6, 0.0), (half, 0.0)]
    corners = [(mx + s * ux - t * uy, my + s * uy + t * ux) for s, t in steps]
    yield from (line(one, two) for one, two in pairwise(corners))


def _hatch_angle(areas: Sequence[Sequence[Point]]) -> float:
    """Return an angle of hatching parallel to none of the sheet's slopes [deg]; 45 if possible."""
    slopes = [
        math.degrees(math.atan2(c[1] - b[1], c[0] - b[0]))
        for a, b, c, _ in areas
        if math.dist(b, c) > 2.0 * math.dist(a, b)
    ]

    def clear(angle: float) -> float:
        return min([abs((angle - slope + 90.0) % 180.0 - 90.0) for slope in slopes], default=90.0)

    return next((angle for angle in _HATCH_ANGLES if clear(angle) >= 14.0), max(_HATCH_ANGLES, key=clear))


def hatching(areas: Sequence[Sequence[Point]]) -> Iterator[tuple[Point, Point]]:
    """Return the ends of the lines at 45 degrees through convex areas, continuous where these meet."""
    rows: dict[int, list[tuple[float, float]]] = {}
    pitch = _HATCH * math.sqrt(2.0)
    for area in areas:
        offsets = [y - x for x, y in area]
        for row in range(math.ceil(min(offsets) / pitch), math.floor(max(offsets) / pitch) + 1):
            crossed = list(_row_crossings(area, row * pitch))
            if len(crossed) > 1 and max(crossed) - min(crossed) > LENGTH:
                rows.setdefault(row, []).append((min(crossed), max(crossed)))
    for row, spans in sorted(rows.items()):
        joined: list[tuple[float, float]] = []
        for low, high in sorted(spans):
            if joined and low < joined[-1][1] + 0.05:
                joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
            else:
                joined.append((low, high))
        for low, high in joined:
            yield (low, low + row * pitch), (high, high + row * pitch)


def _row_crossings(area: Sequence[Point], offset: float) -> Iterator[float]:
    """Return where the line y = x + offset crosses the boundary of an area, as x."""
    for (x0, y0), (x1, y1) in zip(area, [*area[1:], area[0]], strict=True):
        a, b = y0 - x0 - offset, y1 - x1 - offset
        if (a > 0) != (b > 0):
            yield x0 + a / (a - b) * (x1 - x0)
