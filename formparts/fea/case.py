"""A load case: supports and loads of a part, and their values at the nodes of its mesh."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from formparts.errors import InputError
from formparts.fea.arrays import Booleans, Floats, Integers, np
from formparts.fea.elements import mass_shares
from formparts.fea.loads import Load, forces, node_sets
from formparts.fea.mesh import FeaMesh
from formparts.fea.names import named
from formparts.fea.supports import Support, read_support
from formparts.short_repr import short_repr
from formparts.tolerances import ROUNDING, TINIEST

TONNES_PER_MM3: Final = 1e-12
"""kg/m3 in the deck's unit of density: with mm, N and s masses are tonnes."""
STANDARD_GRAVITY: Final = 9806.65
"""Of free fall [mm/s2]: 3rd General Conference on Weights and Measures, 1901; ISO 80000-3 (from memory)."""


@short_repr
@dataclass(frozen=True)
class LoadCase:
    """
    The supports and loads of a part.

    Parameters
    ----------
    fix : tuple of str
        Supports, as `read_support` reads them: `foot.hole` is clamped, `foot.lower@z` slides.
    loads : tuple of Load
        Forces, pressures and moments on it.
    frequencies : int [-]
        Number of natural frequencies to compute; 0 for none. With loads they are those of the loaded part.
    gravity : (x, y, z) [-]
        Multiples of standard gravity that act on its mass.
    buckling : int [-]
        Number of buckling factors to compute; 0 for none.
    large : bool
        Whether displacements change the equilibrium (geometrically nonlinear).
    name : str
        Name of the case; empty where there is only one.
    """

    fix: tuple[str, ...] = ()
    loads: tuple[Load, ...] = ()
    frequencies: int = 0
    gravity: tuple[float, float, float] = (0.0, 0.0, 0.0)
    buckling: int = 0
    large: bool = False
    name: str = ""

    @property
    def supports(self) -> tuple[Support, ...]:
        """The supports, parsed."""
        return tuple(map(read_support, self.fix))

    @property
    def acts(self) -> bool:
        """True when there is something to solve for: a load, gravity, or a support that is moved."""
        return bool(self.loads or any(self.gravity) or any(item.displacement for item in self.supports))

    @property
    def static(self) -> bool:
        """True when displacements under load are computed."""
        return not self.frequencies and not self.buckling


def support_nodes(mesh: FeaMesh, case: LoadCase) -> list[tuple[Support, Integers]]:
    """Return each support with the numbers of its nodes."""
    sets = node_sets(mesh)
    found = []
    for item in case.supports:
        if mesh.kind != "shell" and any(direction > 2 for direction in item.directions):
            problem = "holds a solid from turning, which its nodes do not do"
            raise InputError(mesh.body.name, "fix", item.where, problem, "hold x, y or z")
        names = named(list(sets), item.where, mesh.body.name, "fix")
        numbers = sorted({int(n) for name in names for n in sets[name]})
        found.append((item, np.array(numbers, dtype=np.int64)))
    return found


def held(mesh: FeaMesh, case: LoadCase) -> Booleans:
    """Return for every node and axis (x, y, z) whether it is held."""
    found = np.zeros(mesh.nodes.shape, dtype=bool)
    for item, nodes in support_nodes(mesh, case):
        for direction in item.directions:
            if direction < 3:
                found[nodes, direction] = True
    return found


def loaded(mesh: FeaMesh, case: LoadCase) -> Floats:
    """Return the force on every node [N] without gravity.

    Refused when most of it acts on held nodes, where it has no effect.
    """
    pushed = forces(mesh, case.loads)
    fixed = held(mesh, case)
    if case.loads and not fixed.any():
        raise InputError(
            mesh.body.name, "fix", "nothing", "the part is loaded and not held", "say what is fixed"
        )
    share = np.abs(pushed[fixed]).sum() / max(np.abs(pushed).sum(), TINIEST)
    if share > 0.5:  # less is a load on a face with a fixed rim
        problem = "of it acts on what is fixed"
        raise InputError(
            mesh.body.name, "load", f"{100 * share:.0f} %", problem, "load or fix something else"
        )
    return pushed


def weight(mesh: FeaMesh, case: LoadCase) -> Floats:
    """Return the force of gravity on every node [N]."""
    if not any(case.gravity):
        return np.zeros_like(mesh.nodes)
    sheet, masses = mesh.body.sheet, np.zeros(len(mesh.nodes))
    for block in mesh.blocks:
        density = (block.metal or sheet.material).density * TONNES_PER_MM3
        thickness = sheet.thickness if block.cells.shape[1] in (6, 8) else 1.0
        np.add.at(masses, block.cells, mass_shares(mesh.nodes, block.cells) * density * thickness)
    return np.asarray(masses[:, None] * np.array(case.gravity) * STANDARD_GRAVITY)


def refuse_loose(mesh: FeaMesh, case: LoadCase) -> None:
    """Refuse supports that leave rigid motions free, and name these; for natural frequencies a part may be free."""
    if (case.frequencies and not case.loads) or not (case.fix or case.acts):
        return
    free = loose_motions(mesh, case)
    if free:
        problem = f"leave the part free to {' and to '.join(free)}"
        raise InputError(
            mesh.body.name, "fix", ", ".join(case.fix) or "nothing", problem, "hold that as well"
        )


def loose_motions(mesh: FeaMesh, case: LoadCase) -> list[str]:
    """Return rigid motions that no support prevents, as text."""
    middle = mesh.nodes.mean(axis=0)
    reach = float(np.ptp(mesh.nodes, axis=0).max())
    rows = []
    for item, nodes in support_nodes(mesh, case):
        for direction in item.directions:
            rows.append(_hindered(direction, (mesh.nodes[nodes] - middle) / reach))
        if item.clamped and mesh.kind == "shell":
            rows += [_hindered(direction, np.zeros((1, 3))) for direction in (3, 4, 5)]
    stacked = np.concatenate(rows) if rows else np.zeros((1, 6))
    _, size, motions = np.linalg.svd(stacked.T @ stacked)
    return [
        _in_words(motion)
        for value, motion in zip(size, motions, strict=True)
        if value < ROUNDING * len(stacked)
    ]


def _hindered(direction: int, arms: Floats) -> Floats:
    """Return how directions held at some points restrain the six rigid motions."""
    rows = np.zeros((len(arms), 6))
    rows[:, direction] = 1.0
    if direction < 3:
        for axis in range(3):
            turn = np.zeros(3)
            turn[axis] = 1.0
            rows[:, 3 + axis] = np.cross(turn, arms)[:, direction]
    return rows


def _in_words(motion: Floats) -> str:
    """Return a rigid motion as text, by its greatest component."""
    worst = int(np.abs(motion).argmax())
    axis = "xyz"[worst % 3]
    return f"move along {axis}" if worst < 3 else f"turn about {axis}"


def turning(mesh: FeaMesh, case: LoadCase) -> Iterator[tuple[int, int]]:
    """Return every node of a shell with a held rotation, and the axis (0, 1, 2) of that rotation.

    The rim of what is clamped may not turn about itself, and its held points keep it from turning any other
    way; so one axis is enough, the one nearest to the rim. With more axes the solver prints a sum of
    reactions that deviates from the load by some percent, though its displacements are right (seen with
    CalculiX 2.20).
    """
    if mesh.kind != "shell":
        return
    still, along = np.zeros(len(mesh.nodes), dtype=bool), np.zeros_like(mesh.nodes)
    for item, nodes in support_nodes(mesh, case):
        if item.clamped:
            still[nodes] = True
    held_beside = np.zeros(len(mesh.nodes), dtype=np.int64)  # by the node in the middle of an edge
    edges = []
    for block in mesh.blocks:
        half = block.cells.shape[1] // 2
        for i in range(half):
            edge = block.cells[:, [i, half + i, (i + 1) % half]]
            np.add.at(held_beside, edge[:, 1], still[block.cells].all(axis=1))
            edges.append(edge[still[edge].all(axis=1)])
    for edge in edges:
        rim = edge[held_beside[edge[:, 1]] < 2]
        np.add.at(along, rim, np.abs(mesh.nodes[rim[:, 2]] - mesh.nodes[rim[:, 0]])[:, None, :])
    for node in np.flatnonzero(along.any(axis=1)):
        yield int(node), int(along[node].argmax())
