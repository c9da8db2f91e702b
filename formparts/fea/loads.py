"""Loads chosen by the names of a part: `lug[*].tip.upper=500N` becomes forces on nodes."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.elements import shares
from formparts.fea.mesh import FeaMesh
from formparts.fea.names import named
from formparts.kept import kept
from formparts.quantities import shown_value
from formparts.short_repr import short_repr
from formparts.tolerances import FLAT_SHARE, NOUGHT, ROUNDING

Kind: TypeAlias = Literal["force", "pressure", "moment", "bearing"]
_UNITS: Final[dict[str, tuple[Kind, float]]] = {
    "N": ("force", 1.0), "kN": ("force", 1000.0), "": ("force", 1.0), "MPa": ("pressure", 1.0),
    "kPa": ("pressure", 1e-3), "bar": ("pressure", 0.1), "Nm": ("moment", 1000.0), "Nmm": ("moment", 1.0),
}  # fmt: skip
_SHOWN: Final[dict[Kind, str]] = {"force": "N", "bearing": "N", "pressure": "MPa", "moment": "Nmm"}


@short_repr
@dataclass(frozen=True)
class Load:
    """
    A load on everything that a pattern names.

    Parameters
    ----------
    where : str
        Names of the part; `*` stands for any text.
    amount : float [house unit]
        Total force [N], shared evenly by area (or by length, on edges of shells); pressure [MPa]; total moment [Nmm].
    direction : (x, y, z) [-], optional
        Direction of a force, of any length, or axis of a moment; without it a force presses on the faces.
    kind : "force", "pressure", "moment" or "bearing"
        A bearing force presses on the half of a hole's wall that it points to, by the cosine of the angle.
    """

    where: str
    amount: float
    direction: tuple[float, float, float] | None = None
    kind: Kind = "force"

    @property
    def unit(self) -> str:
        """The unit of its amount."""
        return _SHOWN[self.kind]


@takes(text="str")
def read_load(text: str) -> Load:
    """
    Read a load as written in the command.

    Parameters
    ----------
    text : str
        NAMES=FORCE, NAMES=FORCE@X,Y,Z, NAMES=FORCE@bearing:X,Y,Z, NAMES=PRESSURE or NAMES=MOMENT@X,Y,Z:
        `lug[*].tip.upper=500N`, `head.right=50N@0,0,-1`, `base.upper=0.02MPa`, `tip.end=3Nm@1,0,0`.

    Returns
    -------
    Load

    Raises
    ------
    InputError
        The text has another form.
    """
    where, equals, rest = text.rpartition("=")
    amount, at, way = rest.partition("@")
    found = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*([A-Za-z]*)\s*", amount)
    if not equals or not found or found[2] not in _UNITS:
        raise _unread(text)
    kind, factor = _UNITS[found[2]]
    if way.startswith("bearing:") and kind == "force":
        kind, way = "bearing", way.removeprefix("bearing:")
    parts = way.split(",") if at else []
    wanted = {"force": (0, 3), "bearing": (3,), "pressure": (0,), "moment": (3,)}[kind]
    if len(parts) not in wanted:
        raise _unread(text)
    try:
        value = float(found[1]) * factor
        direction = (float(parts[0]), float(parts[1]), float(parts[2])) if parts else None
    except ValueError as error:
        raise _unread(text) from error
    if not 0.0 < abs(value) < math.inf or (direction and not 0.0 < math.hypot(*direction) < math.inf):
        raise _unread(text)
    return Load(where.strip(), value, direction, kind)


def _unread(text: str) -> InputError:
    fix = (
        "write it as NAMES=FORCE or NAMES=FORCE@X,Y,Z, as lug[*].tip.upper=500N or head.right=50N@0,0,-1; a pressure "
        "as NAMES=0.02MPa, a moment as NAMES=3Nm@X,Y,Z, a bolt in its hole as NAMES=500N@bearing:X,Y,Z"
    )
    return InputError("--load", "load", shown_value(text), "cannot be read as a load", fix)


@kept
def node_sets(mesh: FeaMesh) -> dict[str, Integers]:
    """Return the numbers of the nodes under every name: flats, bends, faces, openings."""
    parts: dict[str, list[Integers]] = {}
    for block in mesh.blocks:
        owners = np.array(block.owners)
        for owner in dict.fromkeys(block.owners):
            parts.setdefault(owner, []).append(block.cells[owners == owner].ravel())
    parts |= {name: [faces.ravel() for faces in groups] for name, groups in mesh.surfaces.items()}
    return {name: np.unique(np.concatenate(numbers)) for name, numbers in parts.items()}


def forces(mesh: FeaMesh, loads: Sequence[Load]) -> Floats:
    """Return the consistent force on every node [N] of each load."""
    total = np.zeros_like(mesh.nodes)
    for item in loads:
        names = named(list(mesh.surfaces), item.where, mesh.body.name, "load")
        plain, normal = _spread(mesh, names)
        if item.kind == "pressure":
            total -= item.amount * _pressed(mesh, item, normal)
        elif item.kind == "moment":
            total += _couple(mesh, item, plain)
        elif item.kind == "bearing":
            total += _bearing(mesh, item, plain)
        elif item.direction is not None:
            total += plain[:, None] * _unit(item) * item.amount / float(plain.sum())
        elif _flat_enough(mesh, names):
            total -= normal * item.amount / float(plain.sum())
        else:
            raise _no_direction(mesh, item)
    return total


def _unit(item: Load) -> Floats:
    assert item.direction is not None
    return np.array(item.direction) / math.hypot(*item.direction)


def _spread(mesh: FeaMesh, names: Sequence[str]) -> tuple[Floats, Floats]:
    """For every node its share of the area of some faces, plain and as a vector along the normal."""
    plain, normal = np.zeros(len(mesh.nodes)), np.zeros_like(mesh.nodes)
    for name in names:
        for faces in mesh.surfaces[name]:
            one, three = shares(mesh.nodes, faces)
            np.add.at(plain, faces, one)
            np.add.at(normal, faces, three)
    return plain, normal


def _pressed(mesh: FeaMesh, item: Load, normal: Floats) -> Floats:
    """Area times normal of each node; an edge of shells has none."""
    if not np.abs(normal).max() > 0.0:
        problem = "names an edge of a shell, on which there is no pressure"
        raise InputError(mesh.body.name, "load", repr(item.where), problem, "name faces, or give a force")
    return normal


def _couple(mesh: FeaMesh, item: Load, plain: Floats) -> Floats:
    """Return forces with zero sum that turn about the middle of the named nodes, distributed as a rigid rotation."""
    at = np.flatnonzero(plain)
    share = plain[at] / plain[at].sum()
    arm = mesh.nodes[at] - share @ mesh.nodes[at]
    inertia = np.eye(3) * (share @ (arm**2).sum(axis=1)) - np.einsum("n,ni,nj->ij", share, arm, arm)
    turn = np.linalg.pinv(inertia, rcond=ROUNDING, hermitian=True) @ (item.amount * _unit(item))
    found = np.zeros_like(mesh.nodes)
    found[at] = share[:, None] * np.cross(turn, arm)
    return found


def couples(mesh: FeaMesh, loads: Sequence[Load]) -> Floats:
    """Return the moment on every node of a shell [Nmm]: forces on a straight edge cannot turn it about itself."""
    total = np.zeros_like(mesh.nodes)
    for item in (item for item in loads if item.kind == "moment"):
        names = named(list(mesh.surfaces), item.where, mesh.body.name, "load")
        plain, _ = _spread(mesh, names)
        made = np.cross(mesh.nodes, _couple(mesh, item, plain)).sum(axis=0)
        left = item.amount * _unit(item) - made
        if np.abs(left).max() > ROUNDING * abs(item.amount):
            if mesh.kind != "shell":
                problem = "names a straight edge: no forces on it turn about the edge itself"
                raise InputError(mesh.body.name, "load", repr(item.where), problem, "name a face")
            total += np.outer(plain / plain.sum(), left)
    return total


def _bearing(mesh: FeaMesh, item: Load, plain: Floats) -> Floats:
    """Return the pressure of a bolt on the wall of its hole: by the cosine of the angle from the force."""
    at, way = np.flatnonzero(plain), _unit(item)
    arm = mesh.nodes[at] - plain[at] @ mesh.nodes[at] / plain[at].sum()
    axis = np.linalg.svd(arm, full_matrices=False)[2][2]  # shells: the rim lies in a plane
    if mesh.kind != "shell":
        axis = _axis_of_wall(mesh, item, axis)
    arm = arm - np.outer(arm @ axis, axis)
    out = arm / np.maximum(np.linalg.norm(arm, axis=1), NOUGHT)[:, None]
    pressing = plain[at] * np.maximum(out @ way, 0.0)
    found = np.zeros_like(mesh.nodes)
    found[at] = pressing[:, None] * out
    along = float(found.sum(axis=0) @ way)
    if not along > 0.0:
        problem = "cannot bear a bolt in that direction"
        raise InputError(mesh.body.name, "load", repr(item.where), problem, "name the wall of one hole")
    # The transverse remainder of the mesh is spread evenly, so that the total is exactly the force.
    found *= item.amount / along
    found[at] -= plain[at, None] / plain[at].sum() * (found.sum(axis=0) - item.amount * way)
    return found


def _axis_of_wall(mesh: FeaMesh, item: Load, guess: Floats) -> Floats:
    """The direction to which all normals of a hole's wall are square."""
    normals = []
    for name in named(list(mesh.surfaces), item.where, mesh.body.name, "load"):
        for faces in mesh.surfaces[name]:
            normals.append(shares(mesh.nodes, faces)[1].sum(axis=1))
    found = np.concatenate(normals)
    return np.asarray(np.linalg.svd(found, full_matrices=False)[2][2]) if len(found) > 2 else guess


def _flat_enough(mesh: FeaMesh, names: Sequence[str]) -> bool:
    """True when each face by itself is flat, so that pressing on it has one direction."""
    for name in names:
        plain, normal = _spread(mesh, [name])
        if not np.linalg.norm(normal.sum(axis=0)) > (1.0 - FLAT_SHARE) * plain.sum():
            return False
    return True


def _no_direction(mesh: FeaMesh, item: Load) -> InputError:
    problem = "names an edge, or a face that is not flat: a force has no one direction to press in"
    fix = f"say which way, as {item.where}={item.amount:g}N@0,0,-1, or give a pressure"
    return InputError(mesh.body.name, "load", repr(item.where), problem, fix)
