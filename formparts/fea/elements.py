"""The second-order elements that decks are made of: node places, shape functions, and integrals over them.

Node orders are those of the input decks that solvers of this family share (CalculiX CrunchiX manual, element types).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Final

from formparts.fea.arrays import Booleans, Floats, Integers, np

_SQUARE = ((-1, -1), (1, -1), (1, 1), (-1, 1))
_TRIANGLE = ((0, 0), (1, 0), (0, 1))


def _middles(places: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """Half-way points round a closed path."""
    onward = places[1:] + places[:1]
    return tuple(
        tuple((a + b) / 2 for a, b in zip(p, q, strict=True)) for p, q in zip(places, onward, strict=True)
    )


def _storeys(base: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """Bottom corners, top corners, bottom middles, top middles, upright middles of a prism."""
    levels = [tuple((*place, z) for place in base) for z in (-1.0, 1.0, 0.0)]
    return levels[0] + levels[1] + _middles(levels[0]) + _middles(levels[1]) + levels[2]


_TETRAHEDRON = ((0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1))
_TET_MIDDLES = ((0.5, 0, 0), (0.5, 0.5, 0), (0, 0.5, 0), (0, 0, 0.5), (0.5, 0, 0.5), (0, 0.5, 0.5))
_UP_TO_2 = tuple(p for p in product(range(3), repeat=2) if sum(p) <= 2)

NODES: Final[dict[int, tuple[tuple[float, ...], ...]]] = {
    3: ((-1.0,), (0.0,), (1.0,)),
    6: _TRIANGLE + _middles(_TRIANGLE),
    8: _SQUARE + _middles(_SQUARE),
    10: _TETRAHEDRON + _TET_MIDDLES,
    15: _storeys(_TRIANGLE),
    20: _storeys(_SQUARE),
}
"""Natural coordinates of the nodes of an element, by how many it has: line, triangle, quadrilateral, tetrahedron,
wedge, brick. The middle node of a line comes between its ends."""

_POWERS: Final[dict[int, tuple[tuple[int, ...], ...]]] = {
    3: ((0,), (1,), (2,)),
    6: _UP_TO_2,
    8: (*_UP_TO_2, (2, 1), (1, 2)),
    10: tuple(p for p in product(range(3), repeat=3) if sum(p) <= 2),
    15: (*((*p, z) for p in _UP_TO_2 for z in (0, 1)), (0, 0, 2), (1, 0, 2), (0, 1, 2)),
    20: tuple(p for p in product(range(3), repeat=3) if sum(i for i in p if i > 1) <= 2),
}
"""Monomials of each element; with these a field that is quadratic in space is followed exactly."""


@dataclass(frozen=True, eq=False)
class SamplingRule:
    """Where an element is sampled: weights, shape functions (point, node), their slopes (point, node, direction)."""

    weights: Floats
    values: Floats
    slopes: Floats


@cache
def rule(nodes: int, points: int = 4) -> SamplingRule:
    """Shape functions at the points of a product Gauss rule, collapsed where the element has a pointed end."""
    places, weights = _gauss(nodes, points)
    inverse = np.linalg.inv(_monomials(nodes, np.array(NODES[nodes], dtype=float)))
    slopes = [_monomials(nodes, places, axis) @ inverse for axis in range(places.shape[1])]
    return SamplingRule(weights, _monomials(nodes, places) @ inverse, np.stack(slopes, axis=2))


def _monomials(nodes: int, places: Floats, slope: int | None = None) -> Floats:
    """Each monomial, or its slope along one axis, at each place."""
    columns = []
    for powers in _POWERS[nodes]:
        column = np.ones(len(places))
        for axis, power in enumerate(powers):
            if axis != slope:
                column = column * places[:, axis] ** power
            else:
                column = column * power * places[:, axis] ** max(0, power - 1)
        columns.append(column)
    return np.column_stack(columns)


def _gauss(nodes: int, points: int) -> tuple[Floats, Floats]:
    """Points and weights, so many to each axis."""
    at, weight = (np.asarray(values) for values in np.polynomial.legendre.leggauss(points))
    half = ((at + 1.0) / 2.0, weight / 2.0)
    axes = {
        3: [(at, weight)],
        6: [half, half],
        8: [(at, weight)] * 2,
        10: [half] * 3,
        15: [half, half, (at, weight)],
        20: [(at, weight)] * 3,
    }[nodes]
    places = np.array(list(product(*(axis[0] for axis in axes))))
    weights = np.prod(np.array(list(product(*(axis[1] for axis in axes)))), axis=1)
    if nodes in (6, 15):
        weights = weights * (1.0 - places[:, 0])
        places[:, 1] *= 1.0 - places[:, 0]
    if nodes == 10:
        weights = weights * (1.0 - places[:, 0]) ** 2 * (1.0 - places[:, 1])
        places[:, 2] *= (1.0 - places[:, 0]) * (1.0 - places[:, 1])
        places[:, 1] *= 1.0 - places[:, 0]
    return places, weights


def _ways(found: SamplingRule, places: Floats) -> Floats:
    """Slopes of space along each axis of elements: (point, axis, element, direction)."""
    return np.asarray(np.tensordot(found.slopes, places, axes=([1], [1])))


def _stretch(found: SamplingRule, places: Floats) -> Floats:
    """The Jacobian of solid elements at each point: (element, point)."""
    a, b, c = np.moveaxis(_ways(found, places), (1, 3), (0, 1)).transpose(0, 1, 3, 2)
    across = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return np.asarray(across[0] * c[0] + across[1] * c[1] + across[2] * c[2])


def volumes(points: Floats, cells: Integers) -> Floats:
    """
    Volume of each solid element [mm3], or NaN where it is turned inside out at some sample.

    The Jacobian is of the fifth degree along each axis at most: three points integrate it exactly.
    """
    found = rule(cells.shape[1], 3)
    stretch = _stretch(found, points[cells])
    return np.where(stretch.min(axis=1) > 0.0, stretch @ found.weights, np.nan)


def shares(points: Floats, faces: Integers) -> tuple[Floats, Floats]:
    """Integrals of each shape function over each face or edge: as plain numbers, and times the normal."""
    found = rule(faces.shape[1])
    ways = _ways(found, points[faces])
    if ways.shape[1] == 1:
        stretch = np.linalg.norm(ways[:, 0], axis=2)
        normals = np.zeros_like(ways[:, 0])
    else:
        normals = np.cross(ways[:, 0], ways[:, 1])
        stretch = np.linalg.norm(normals, axis=2)
    weighed = found.weights[:, None] * found.values
    return stretch.T @ weighed, np.asarray(np.tensordot(normals, weighed, axes=([0], [0]))).transpose(0, 2, 1)


def mass_shares(points: Floats, cells: Integers) -> Floats:
    """Integral of each shape function over each element: of its volume, or of its area."""
    if cells.shape[1] in (6, 8):
        return shares(points, cells)[0]
    found = rule(cells.shape[1])
    return np.asarray(_stretch(found, points[cells]) @ (found.weights[:, None] * found.values))


def folded(places: Floats, normal: Sequence[float]) -> Booleans:
    """Which faces, as places of their nodes (N, nodes, 3), look away from a direction at one of their samples."""
    ways = _ways(rule(places.shape[1]), places)
    facing = np.cross(ways[:, 0], ways[:, 1]) @ np.array(normal)
    return np.asarray(facing.min(axis=0) <= 0.0)


_PARTS = {
    6: ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5)),
    8: ((0, 4, 7), (4, 1, 5), (5, 2, 6), (6, 3, 7), (4, 5, 7), (5, 6, 7)),
}
"""Flat triangles between the nodes of a face."""


def flat_triangles(faces: Integers) -> Integers:
    """Second-order faces as flat triangles."""
    parts = np.array(_PARTS[faces.shape[1]])
    return np.asarray(faces[:, parts].reshape(-1, 3))
