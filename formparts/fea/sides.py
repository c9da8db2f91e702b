"""Faces of elements by the numbers that decks give them (CalculiX CrunchiX manual, element types)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from formparts.fea.arrays import Integers, np
from formparts.fea.mesh import FeaMesh

Key = tuple[int, ...]
_SOLID: Final[dict[int, tuple[tuple[int, ...], ...]]] = {
    10: ((0, 1, 2), (0, 3, 1), (1, 3, 2), (2, 3, 0)),
    15: ((0, 1, 2), (3, 4, 5), (0, 1, 4, 3), (1, 2, 5, 4), (2, 0, 3, 5)),
    20: ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)),
}
"""Corners of face S1, S2, ... by the number of nodes of the element."""


def side_key(face: Sequence[int], solid: bool) -> Key:
    """By its corners; an edge of shells by its ends, and a shell by which way round it is, for it has two sides."""
    if len(face) == 3:
        return tuple(sorted((face[0], face[2])))
    corners = list(face[: len(face) // 2])
    if solid:
        return tuple(sorted(corners))
    first = corners.index(min(corners))
    return tuple(corners[first:] + corners[:first])


def element_sides(mesh: FeaMesh) -> dict[Key, tuple[int, str]]:
    """Number of the element and name of its side for every face that an element has."""
    found: dict[Key, tuple[int, str]] = {}
    first = 1
    for block in mesh.blocks:
        if mesh.kind == "shell":
            for number, cell in enumerate(block.cells.tolist(), first):
                found |= _shell_sides(number, cell)
        else:
            _solid_sides(found, first, block.cells)
        first += len(block.cells)
    return found


def _solid_sides(found: dict[Key, tuple[int, str]], first: int, cells: Integers) -> None:
    """Of two elements that share a face one is enough: only faces of the outside are ever asked for."""
    for side, corners in enumerate(_SOLID[cells.shape[1]], 1):
        name = f"S{side}"
        keys = map(tuple, np.sort(cells[:, corners], axis=1).tolist())
        found.update((key, (number, name)) for number, key in enumerate(keys, first))


def _shell_sides(number: int, cell: list[int]) -> dict[Key, tuple[int, str]]:
    """Upper face, lower face, then the edges in order."""
    ring = cell[: len(cell) // 2]
    found = {
        side_key([*ring, *ring], False): (number, "SPOS"),
        side_key([*ring[::-1], *ring], False): (number, "SNEG"),
    }
    for side, (a, b) in enumerate(zip(ring, [*ring[1:], ring[0]], strict=True), 3):
        found[side_key([a, -1, b], False)] = (number, f"S{side}")
    return found
