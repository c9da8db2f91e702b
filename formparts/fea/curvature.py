"""Curvature correction of shell stress in bends: shells ignore the curvature through their thickness."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from formparts.body import Bend, Body, frames
from formparts.body.frame import bend_frame
from formparts.fea.arrays import Floats, np

if TYPE_CHECKING:
    from formparts.fea.mesh import FeaMesh

TIGHTEST: Final = 0.1
"""Least ratio of inside radius to thickness used; the stress of a sharp fold has no limit."""


def skin_factors(ratio: float) -> tuple[float, float]:
    """Return bending stress at the inner and outer fibre of a bend, relative to that of a straight strip, 6 M / b t^2.

    Parameters
    ----------
    ratio : float [-]
        Inside radius by thickness.

    Returns
    -------
    (inner, outer) [-]

    Source
    ------
    Golovin's solution for a curved bar of rectangular section under moments, S. P. Timoshenko and J. N. Goodier, Theory
    of Elasticity, section on pure bending of curved bars (from memory).
    """
    inner = max(ratio, TIGHTEST) ** 2
    outer = (max(ratio, TIGHTEST) + 1.0) ** 2
    grown = math.log(outer / inner)  # twice the logarithm of the radii
    divisor = (outer - inner) ** 2 - inner * outer * grown**2
    at_inner, at_outer = outer * grown - (outer - inner), (outer - inner) - inner * grown
    return 4.0 / 6.0 * at_inner / divisor, 4.0 / 6.0 * at_outer / divisor


def with_curvature(mesh: FeaMesh, stress: Floats) -> Floats:
    """Return stress of shells (node, skin, component) [MPa] with the factors of each bend on the bending around it.

    Where a flat begins, half the correction applies: there the stress changes from that of the flat to that
    of the bend.
    """
    found, shares = stress.copy(), _shares(mesh)
    for bend in mesh.body.bends:
        nodes = np.flatnonzero(shares[bend.name])
        round_bend = _directions(mesh.body, bend, mesh.nodes[nodes])
        half = (stress[nodes, 1] - stress[nodes, 0]) / 2.0  # bending, as it is on the upper skin
        along = np.einsum("nc,nc->n", half, _components(round_bend) * (1, 1, 1, 2, 2, 2))
        inner, outer = skin_factors(bend.inside_radius / mesh.body.sheet.thickness)
        lower, upper = (outer, inner) if bend.side == "up" else (inner, outer)
        for side, factor in ((0, 1.0 - lower), (1, upper - 1.0)):
            more = shares[bend.name][nodes] * factor * along
            found[nodes, side] += more[:, None] * _components(round_bend)
    return found


def _shares(mesh: FeaMesh) -> dict[str, Floats]:
    """Return, for every bend, the share of the elements at each node that are its own."""
    every = np.zeros(len(mesh.nodes))
    own = {bend.name: np.zeros(len(mesh.nodes)) for bend in mesh.body.bends}
    for block in mesh.blocks:
        np.add.at(every, block.cells, 1.0)
        owners = np.array(block.owners)
        for name, count in own.items():
            np.add.at(count, block.cells[owners == name], 1.0)
    return {name: count / np.maximum(every, 1.0) for name, count in own.items()}


def _directions(body: Body, bend: Bend, places: Floats) -> Floats:
    """Return, at points of a bend, the direction around it."""
    line = frames(body)[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
    up = 1.0 if bend.side == "up" else -1.0
    centre = np.array(line.point((0.0, 0.0), up * (bend.inside_radius + body.sheet.thickness / 2.0)))
    axis = np.array(line.x)
    out = places - centre
    out -= np.outer(out @ axis, axis)
    found = np.cross(axis, out)
    return np.asarray(found / np.linalg.norm(found, axis=1)[:, None])


def _components(direction: Floats) -> Floats:
    """xx, yy, zz, xy, yz, zx of a direction times itself."""
    x, y, z = direction.T
    return np.column_stack([x * x, y * y, z * z, x * y, y * z, z * x])
