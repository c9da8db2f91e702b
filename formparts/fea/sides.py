"""Faces of elements by the numbers that decks give them (CalculiX CrunchiX manual, element types)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from formparts.fea.mesh import FeaMesh

Key = tuple[int, ...]
_SOLID: Final[dict[int, tuple[tuple[int, ...], ...]]] = {
    10: ((0, 1, 2), (0, 3, 1), (1, 3, 2), (2, 3, 0)),
    15: ((0, 1, 2), (3, 4, 5), (0, 1, 4, 3), (1, 2, 5, 4), (2, 0, 3, 5)),
    20: ((0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)),
}
"""Corners of face S1, S2, ... by the number of nodes of the element."""


def side_key(face: Sequence[int]) -> Key:
    """By its corners and, where a shell is seen from one of two sides, by which way round it is."""
    if len(face) == 3:
        return tuple(sorted((face[0], face[2])))
    corners = list(face[: len(face) // 2])
    first = corners.index(min(corners))
    return tuple(corners[first:] + corners[:first])


def element_sides(mesh: FeaMesh) -> dict[Key, tuple[int, str]]:
    """Number of the element and name of its side for every face that an element has."""
    found: dict[Key, tuple[int, str]] = {}
    number = 0
    for block in mesh.blocks:
        for cell in block.cells.tolist():
            number += 1
            found |= _shell_sides(number, cell) if mesh.kind == "shell" else _solid_sides(number, cell)
    return found


def _solid_sides(number: int, cell: list[int]) -> dict[Key, tuple[int, str]]:
    """Every face seen from either side: only that of the outside is ever asked for."""
    found = {}
    for side, corners in enumerate(_SOLID[len(cell)], 1):
        ring = [cell[corner] for corner in corners]
        for way in (ring, ring[::-1]):
            found[side_key([*way, *way])] = (number, f"S{side}")
    return found


def _shell_sides(number: int, cell: list[int]) -> dict[Key, tuple[int, str]]:
    """Upper face, lower face, then the edges in order."""
    ring = cell[: len(cell) // 2]
    found = {
        side_key([*ring, *ring]): (number, "SPOS"),
        side_key([*ring[::-1], *ring]): (number, "SNEG"),
    }
    for side, (a, b) in enumerate(zip(ring, [*ring[1:], ring[0]], strict=True), 3):
        found[side_key([a, -1, b])] = (number, f"S{side}")
    return found
