"""Loads and supports chosen by the names of a part: `lug[*].tip.upper=500N` becomes forces on nodes."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from formparts.errors import InputError
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.elements import shares
from formparts.fea.mesh import FeaMesh
from formparts.fea.names import named
from formparts.quantities import shown_value

_UNITS: Final = {"N": 1.0, "kN": 1000.0, "": 1.0}
_FLATNESS: Final = 1e-6
"""How much of a face's area may be lost between its own normals before it has no one direction to press in."""


@dataclass(frozen=True)
class Load:
    """
    A force shared over all that a pattern names, evenly by area (or by length, on edges of shells).

    Parameters
    ----------
    where : str
        Names of the part; `*` stands for any text.
    force : float [N]
        Total over everything named.
    direction : (x, y, z) [-], optional
        Which way it acts, of any length; else it presses against the faces.
    """

    where: str
    force: float
    direction: tuple[float, float, float] | None = None


def read_load(text: str) -> Load:
    """
    Read a load as the command has it.

    Parameters
    ----------
    text : str
        NAMES=FORCE or NAMES=FORCE@X,Y,Z: `lug[*].tip.upper=500N`, `head.right=50N@0,0,-1`.

    Returns
    -------
    Load

    Raises
    ------
    InputError
        It is not written so.
    """
    where, equals, rest = text.rpartition("=")
    amount, at, way = rest.partition("@")
    found = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*(N|kN|)\s*", amount)
    parts = way.split(",") if at else []
    if not equals or not found or len(parts) not in (0, 3):
        raise _unread(text)
    try:
        force = float(found[1]) * _UNITS[found[2]]
        direction = (float(parts[0]), float(parts[1]), float(parts[2])) if parts else None
    except ValueError as error:
        raise _unread(text) from error
    if not 0.0 < abs(force) < math.inf or (direction and not 0.0 < math.hypot(*direction) < math.inf):
        raise _unread(text)
    return Load(where.strip(), force, direction)


def _unread(text: str) -> InputError:
    fix = "write it as NAMES=FORCE or NAMES=FORCE@X,Y,Z, as lug[*].tip.upper=500N or head.right=50N@0,0,-1"
    return InputError("--load", "load", shown_value(text), "is no load", fix)


def node_sets(mesh: FeaMesh) -> dict[str, Integers]:
    """Numbers of the nodes under every name: flats, bends, faces, openings."""
    sets: dict[str, set[int]] = {}
    for block in mesh.blocks:
        owners = np.array(block.owners)
        for owner in dict.fromkeys(block.owners):
            sets.setdefault(owner, set()).update(block.cells[owners == owner].ravel().tolist())
    for name, groups in mesh.surfaces.items():
        sets[name] = {int(n) for faces in groups for n in faces.ravel()}
    return {name: np.array(sorted(numbers)) for name, numbers in sets.items()}


def forces(mesh: FeaMesh, loads: Sequence[Load]) -> Floats:
    """The force on every node [N] such that the elements feel each load spread evenly."""
    total = np.zeros_like(mesh.nodes)
    for item in loads:
        names = named(list(mesh.surfaces), item.where, mesh.body.name, "load")
        plain, normal = _spread(mesh, names)
        area = float(plain.sum())
        if item.direction is not None:
            way = np.array(item.direction) / math.hypot(*item.direction)
            total += plain[:, None] * way * item.force / area
        elif _flat_enough(mesh, names):
            total -= normal * item.force / area
        else:
            raise _no_direction(mesh, item)
    return total


def _spread(mesh: FeaMesh, names: Sequence[str]) -> tuple[Floats, Floats]:
    """For every node its share of the area of some faces, plain and as a vector along the normal."""
    plain, normal = np.zeros(len(mesh.nodes)), np.zeros_like(mesh.nodes)
    for name in names:
        for faces in mesh.surfaces[name]:
            one, three = shares(mesh.nodes, faces)
            np.add.at(plain, faces, one)
            np.add.at(normal, faces, three)
    return plain, normal


def _flat_enough(mesh: FeaMesh, names: Sequence[str]) -> bool:
    """True when each face by itself is flat, so that pressing on it has one direction."""
    for name in names:
        plain, normal = _spread(mesh, [name])
        if not np.linalg.norm(normal.sum(axis=0)) > (1.0 - _FLATNESS) * plain.sum():
            return False
    return True


def _no_direction(mesh: FeaMesh, item: Load) -> InputError:
    problem = "names an edge, or a face that is not flat: there is no one way to press on it"
    fix = f"say which way, as {item.where}={item.force:g}N@0,0,-1"
    return InputError(mesh.body.name, "load", repr(item.where), problem, fix)
