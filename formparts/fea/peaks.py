"""The largest displacement and stress of a part, by the part's own names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from formparts.fea.arrays import Booleans, Floats, np
from formparts.fea.case import LoadCase, support_nodes
from formparts.fea.loads import node_sets
from formparts.fea.mesh import FeaMesh
from formparts.fea.solver import Answer
from formparts.fea.stress import principal, von_mises
from formparts.short_repr import short_repr

AWAY: Final = 2.0
"""Thicknesses from a support beyond which the clamp's own corner has no effect: St Venant (common practice)."""


@short_repr
@dataclass(frozen=True)
class PeakPlace:
    """
    A place on the part as it was made.

    Parameters
    ----------
    at : (x, y, z) [mm]
        Where it is.
    names : tuple of str
        Flats, bends, faces and openings that meet there.
    skin : str
        `upper` or `lower` on shells; else empty.
    """

    at: tuple[float, float, float]
    names: tuple[str, ...]
    skin: str = ""


@short_repr
@dataclass(frozen=True)
class Peak:
    """
    The greatest equivalent stress.

    Parameters
    ----------
    von_mises : float [MPa]
        Equivalent stress.
    principal : (least, middle, greatest) [MPa]
        Principal stresses there.
    place : Place
        Where it is.
    """

    von_mises: float
    principal: tuple[float, float, float]
    place: PeakPlace


def names_at(mesh: FeaMesh, node: int) -> tuple[str, ...]:
    """Return all names of the part at a node, the flats and bends first."""
    return tuple(name for name, nodes in node_sets(mesh).items() if node in nodes)


def place_of(mesh: FeaMesh, node: int, skin: str = "") -> PeakPlace:
    """Return a node as a place on the part."""
    x, y, z = (float(part) for part in mesh.nodes[node])
    return PeakPlace((x, y, z), names_at(mesh, node), skin)


def stressed_most(mesh: FeaMesh, answer: Answer, among: Booleans | None = None) -> Peak | None:
    """Return the greatest equivalent stress on the given nodes, or on all; None where there are none."""
    if not len(answer.stress) or (among is not None and not among.any()):
        return None
    values = von_mises(answer.stress)
    if among is not None:
        values = np.where(among[:, None], values, -1.0)
    node, side = np.unravel_index(int(values.argmax()), values.shape)
    least, middle, greatest = (float(value) for value in principal(answer.stress[node, side]))
    skin = ("lower", "upper")[int(side)] if mesh.kind == "shell" else ""
    found = place_of(mesh, int(node), skin)
    return Peak(float(values[node, side]), (least, middle, greatest), found)


def away_from_supports(mesh: FeaMesh, case: LoadCase) -> Booleans:
    """Return which nodes are beyond the effect of the supports' corners."""
    nodes = [nodes for _, nodes in support_nodes(mesh, case)]
    if not nodes:
        return np.ones(len(mesh.nodes), dtype=bool)
    return np.asarray(
        _distance(mesh.nodes, mesh.nodes[np.concatenate(nodes)]) > AWAY * mesh.body.sheet.thickness
    )


def _distance(points: Floats, others: Floats) -> Floats:
    """From each point to the nearest of the others."""
    from scipy.spatial import cKDTree

    return np.asarray(cKDTree(others).query(points)[0])


def stress_by_feature(mesh: FeaMesh, answer: Answer) -> dict[str, float]:
    """Return the greatest equivalent stress of every flat and bend [MPa]."""
    if not len(answer.stress):
        return {}
    values = von_mises(answer.stress).max(axis=1)
    found: dict[str, float] = {}
    for block in mesh.blocks:
        worst = values[block.cells].max(axis=1)
        for owner, value in zip(block.owners, worst.tolist(), strict=True):
            found[owner] = max(found.get(owner, 0.0), value)
    return found
