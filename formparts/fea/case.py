"""What is done to a part, and what that is for the nodes of its mesh: supports and forces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from formparts.errors import InputError
from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.loads import Load, forces, node_sets
from formparts.fea.mesh import FeaMesh
from formparts.fea.names import named

TONNES_PER_MM3: Final = 1e-12
"""kg/m3 in the deck's unit of density: with mm, N and s masses are tonnes."""


@dataclass(frozen=True)
class LoadCase:
    """
    What is done to a part.

    Parameters
    ----------
    fix : tuple of str
        Names that are held in all directions; `*` stands for any text.
    loads : tuple of Load
        Forces on it.
    frequencies : int [-]
        How many natural frequencies are sought instead of a static answer; 0 for none.
    """

    fix: tuple[str, ...] = ()
    loads: tuple[Load, ...] = ()
    frequencies: int = 0


def held(mesh: FeaMesh, case: LoadCase) -> Integers:
    """Numbers of the nodes that are held."""
    sets = node_sets(mesh)
    names = [name for pattern in case.fix for name in named(list(sets), pattern, mesh.body.name, "fix")]
    numbers = sorted({int(n) for name in names for n in sets[name]})
    return np.array(numbers, dtype=np.int64)


def loaded(mesh: FeaMesh, case: LoadCase) -> Floats:
    """Force on every node [N]; refused when most of it acts on what is held, where no solver would feel it."""
    pushed = forces(mesh, case.loads)
    fixed = held(mesh, case)
    if case.loads and not len(fixed):
        raise InputError(
            mesh.body.name, "fix", "nothing", "the part is loaded and not held", "say what is fixed"
        )
    share = np.abs(pushed[fixed]).sum() / max(np.abs(pushed).sum(), 1e-300)
    if share > 0.5:  # less is a load on a face with a fixed rim
        fix = "load or fix something else"
        raise InputError(mesh.body.name, "load", f"{100 * share:.0f} %", "of it acts on what is fixed", fix)
    return pushed


def turning(mesh: FeaMesh, fixed: Integers) -> Iterator[tuple[int, int]]:
    """
    Every node of a shell that is kept from turning, with the axis (0, 1, 2) that it may not turn about.

    The rim of what is held may not turn about itself, and its held points keep it from turning any other way; so one
    axis is enough, the one nearest to the rim. With more of them the solver prints a sum of reactions that is some
    percent off the load, though its displacements are right (seen with CalculiX 2.20).
    """
    if mesh.kind != "shell":
        return
    still, along = np.isin(np.arange(len(mesh.nodes)), fixed), np.zeros_like(mesh.nodes)
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
