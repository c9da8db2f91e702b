"""A mesh of quadrilaterals and some triangles between loops of given points in the plane.

A square lattice fills the field; a few more points go where triangles would be long or large; pairs of triangles
become quadrilaterals. The given points stay where they are and every given edge is an edge of the mesh, so that
what is meshed beside it with the same points fits without a seam.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from formparts.fea.arrays import Booleans, Floats, Integers, np
from formparts.fea.delaunay import Triangulation, triangulation
from formparts.tolerances import TREMBLE

_CLEAR = 0.6
"""Clearance of a lattice point from an edge, in element sizes."""
_LARGEST, _LONGEST = 0.8, 1.25
"""A triangle gets one more point when its circumradius exceeds this multiple of the size, or of its shortest edge."""
_PASSES = 14
_SKEWEST = math.radians(50.0)
"""A corner of a quadrilateral is at most this far from a right angle."""
_AT_ONCE = 1 << 18
"""Number of pairs of a point and an edge computed in one go: a few megabytes."""


@dataclass(frozen=True)
class Planar:
    """Points, of which the given ones come first, and faces of three or four of them, anticlockwise."""

    points: Floats
    faces: tuple[tuple[int, ...], ...]
    missing: tuple[int, ...]


def planar_mesh(loops: Sequence[Floats], size: float) -> Planar:
    """Mesh the area to the left of some loops of points; edges that could not be kept are in `missing` by number."""
    given = np.concatenate(list(loops))
    edges = _edges(loops)
    field = _Field(given[edges[:, 0]], given[edges[:, 1]], size)
    net = triangulation(given.min(axis=0), given.max(axis=0))
    shaken = np.random.default_rng(len(given))
    true: list[Floats] = []
    for number, point in enumerate(given):
        if not _added(net, point, true, shaken, size):
            return Planar(given, (), tuple(int(n) for n in np.flatnonzero((edges == number).any(axis=1))))
    for point in _lattice(given, field, size):
        _added(net, point, true, shaken, size)
    missing = _missing(net, edges)
    if missing:
        return Planar(given, (), tuple(missing))
    _refined(net, field, true, shaken, size)
    missing = _missing(net, edges)
    if missing:
        return Planar(given, (), tuple(missing))
    triangles = _inside(net.corners - 3, edges)
    points = np.array(true)
    faces = _paired(points, triangles)
    return Planar(_smoothed(points, faces, len(given)), tuple(faces), ())


def _edges(loops: Sequence[Floats]) -> Integers:
    """Pairs of numbers of points: every loop closed on itself."""
    parts, first = [], 0
    for loop in loops:
        numbers = np.arange(first, first + len(loop))
        parts.append(np.column_stack([numbers, np.roll(numbers, -1)]))
        first += len(loop)
    return np.concatenate(parts)


@dataclass(frozen=True)
class _Field:
    """The area to the left of directed edges."""

    start: Floats
    end: Floats
    size: float

    def holds(self, points: Floats, clear: float) -> Booleans:
        """Return, for each point, whether it is inside and this many sizes clear of each edge."""
        parts = 1 + len(points) * len(self.start) // _AT_ONCE
        return np.concatenate([self._holds(part, clear) for part in np.array_split(points, parts)])

    def _holds(self, points: Floats, clear: float) -> Booleans:
        (x0, y0), (x1, y1), (x, y) = self.start.T, self.end.T, points.T[:, :, None]
        dx, dy = x1 - x0, y1 - y0
        level = np.where(dy == 0.0, 1.0, dy)  # such an edge is not crossed
        crossed = ((y0 <= y) != (y1 <= y)) & (x < x0 + (y - y0) / level * dx)
        along = np.clip(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        away = np.hypot(x - x0 - along * dx, y - y0 - along * dy)
        inside: Booleans = np.logical_xor.reduce(crossed, axis=1) & (away.min(axis=1) >= clear)
        return inside

    def encroached(self, point: Floats) -> bool:
        """True when a point lies outside, or inside the circle over any edge."""
        middle, reach = (self.start + self.end) / 2.0, ((self.end - self.start) ** 2).sum(axis=1) / 4.0
        near = bool((((middle - point) ** 2).sum(axis=1) < 1.1 * reach).any())
        return near or not bool(self.holds(point[None, :], 0.0)[0])


def _lattice(given: Floats, field: _Field, size: float) -> Floats:
    """Points of a square lattice inside the field and clear of its edges."""
    low, high = given.min(axis=0), given.max(axis=0)
    axes = []
    for start, end in zip(low, high, strict=True):
        count = max(1, round((end - start) / size))
        axes.append(np.linspace(start, end, count + 1)[1:-1])
    points = np.array([(x, y) for x in axes[0] for y in axes[1]]).reshape(-1, 2)
    return points[field.holds(points, _CLEAR * size)]


def _added(
    net: Triangulation, point: Floats, true: list[Floats], shaken: np.random.Generator, size: float
) -> bool:
    """Add a point, with a growing random offset while it is in line with others; return False if impossible."""
    for power in range(4):
        if net.add(point + shaken.uniform(-1.0, 1.0, 2) * size * TREMBLE * 10**power):
            true.append(np.asarray(point, dtype=float))
            return True
    return False


def _missing(net: Triangulation, edges: Integers) -> list[int]:
    there = {(int(t[i]) - 3, int(t[(i + 1) % 3]) - 3) for t in net.corners for i in range(3)}
    return [number for number, (a, b) in enumerate(edges) if (int(a), int(b)) not in there]


def _refined(
    net: Triangulation, field: _Field, true: list[Floats], shaken: np.random.Generator, size: float
) -> None:
    """Add the circumcentre of a bad triangle, as long as there are bad ones and new points fit."""
    tried: set[tuple[int, int]] = set()
    for _ in range(_PASSES):
        before = len(true)
        for centre, square in _bad(net, field, size):
            key = (round(centre[0] / size * 1e4), round(centre[1] / size * 1e4))
            if key in tried:
                continue
            tried.add(key)
            # An earlier point of this pass may lie there by now.
            new = np.array(true[before:]).reshape(-1, 2)
            if ((new - centre) ** 2).sum(axis=1).min(initial=np.inf) < 0.8 * square:
                continue
            if not field.encroached(centre):
                _added(net, centre, true, shaken, size)
        if len(true) == before:
            return


def _bad(net: Triangulation, field: _Field, size: float) -> list[tuple[Floats, float]]:
    """Circles round triangles inside that are too large or too long, the largest first."""
    real = net.corners.min(axis=1) >= 3
    corners, centres, squares = net.corners[real], net.centres[real], net.squares[real]
    a, b, c = (net.points[corners[:, i]] for i in range(3))
    shortest = np.minimum.reduce([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))])
    bad = (squares > (_LARGEST * size) ** 2) | (squares > _LONGEST**2 * shortest)
    bad &= field.holds((a + b + c) / 3.0, 0.0)
    order = np.argsort(-squares[bad], kind="stable")
    return list(zip(centres[bad][order], squares[bad][order], strict=True))


def _inside(triangles: Integers, edges: Integers) -> list[tuple[int, ...]]:
    """Triangles to the left of the given edges, found by spreading from them."""
    owner = {(int(t[i]), int(t[(i + 1) % 3])): n for n, t in enumerate(triangles) for i in range(3)}
    walls = {(int(a), int(b)) for a, b in edges}
    waiting = [owner[edge] for edge in sorted(walls)]
    found = set(waiting)
    while waiting:
        triangle = triangles[waiting.pop()]
        for i in range(3):
            edge = (int(triangle[i]), int(triangle[(i + 1) % 3]))
            beyond = owner.get((edge[1], edge[0]))
            if edge not in walls and beyond is not None and beyond not in found:
                found.add(beyond)
                waiting.append(beyond)
    return [tuple(int(v) for v in triangles[n]) for n in sorted(found)]


def _paired(points: Floats, triangles: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Join pairs of triangles to quadrilaterals, those nearest to a rectangle first."""
    owner = {(t[i], t[(i + 1) % 3]): n for n, t in enumerate(triangles) for i in range(3)}
    pairs, rings = [], []
    for (a, b), first in owner.items():
        second = owner.get((b, a))
        if second is None or a > b:
            continue
        c = next(v for v in triangles[first] if v not in (a, b))
        d = next(v for v in triangles[second] if v not in (a, b))
        pairs.append((first, second))
        rings.append((a, d, b, c))
    if not pairs:
        return triangles
    skews = _skews(points[np.array(rings)])
    good = np.flatnonzero(skews < _SKEWEST).tolist()
    used: set[int] = set()
    faces: list[tuple[int, ...]] = []
    for n in sorted(good, key=lambda n: (round(float(skews[n]), 6), pairs[n])):
        if not used & {*pairs[n]}:
            used |= {*pairs[n]}
            faces.append(rings[n])
    return faces + [t for n, t in enumerate(triangles) if n not in used]


def _skews(corners: Floats) -> Floats:
    """How far the worst corner of each quadrilateral is from a right angle [rad]."""
    onward, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    turned = onward[..., 0] * back[..., 1] - onward[..., 1] * back[..., 0]
    angles = np.arctan2(turned, (onward * back).sum(axis=2))
    return np.asarray(np.abs(angles - math.pi / 2.0).max(axis=1))


def _smoothed(points: Floats, faces: Sequence[tuple[int, ...]], fixed: int) -> Floats:
    """Move every free point half-way to the middle of its neighbours, a few times, unless a face would fold."""
    pairs = {(min(f[i - 1], f[i]), max(f[i - 1], f[i])) for f in faces for i in range(len(f))}
    a, b = np.array(sorted(pairs)).T
    number = np.bincount(np.concatenate([a, b]), minlength=len(points))
    free = (np.arange(len(points)) >= fixed) & (number > 0)
    for _ in range(3):
        total = np.zeros_like(points)
        np.add.at(total, a, points[b])
        np.add.at(total, b, points[a])
        moved = points.copy()
        moved[free] = (points[free] + total[free] / number[free, None]) / 2.0
        if not _sound(moved, faces):
            return points
        points = moved
    return points


def _sound(points: Floats, faces: Sequence[tuple[int, ...]]) -> bool:
    """True when no face has a reflex corner."""
    for sides in (3, 4):
        rows = [face for face in faces if len(face) == sides]
        if not rows:
            continue
        corners = points[np.array(rows)]
        onward, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
        if (onward[..., 0] * back[..., 1] - onward[..., 1] * back[..., 0]).min() <= 0.0:
            return False
    return True
