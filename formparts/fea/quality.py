"""The shape quality of elements: the scaled Jacobian of their corners."""

from __future__ import annotations

from typing import Final

from formparts.fea.arrays import Floats, Integers, np
from formparts.fea.mesh import FeaMesh

WELL_SHAPED: Final = 0.3
"""Least scaled Jacobian of elements accepted without a note [-]; common practice, no source."""

_RINGS = {
    6: ((0, 1, 2), (1, 2, 0), (2, 0, 1)),
    8: ((0, 1, 3), (1, 2, 0), (2, 3, 1), (3, 0, 2)),
    10: ((0, 1, 2, 3), (1, 2, 0, 3), (2, 0, 1, 3), (3, 0, 2, 1)),
    15: ((0, 1, 2, 3), (1, 2, 0, 4), (2, 0, 1, 5), (3, 5, 4, 0), (4, 3, 5, 1), (5, 4, 3, 2)),
    20: (
        (0, 1, 3, 4), (1, 2, 0, 5), (2, 3, 1, 6), (3, 0, 2, 7),
        (4, 7, 5, 0), (5, 4, 6, 1), (6, 5, 7, 2), (7, 6, 4, 3),
    ),
}  # fmt: skip
_BEST = {6: 2 / 3**0.5, 8: 1.0, 10: 2**0.5, 15: 2 / 3**0.5, 20: 1.0}


def quality(mesh: FeaMesh) -> float:
    """
    The least scaled Jacobian of all corners: the volume that the three edges of a corner span, by their lengths.

    Parameters
    ----------
    mesh : FeaMesh
        Any of the kinds.

    Returns
    -------
    float [-]
        1 at best; 0 where an element is flat.

    Source
    ------
    P. M. Knupp, Algebraic mesh quality metrics, SIAM J. Sci. Comput. 23, 2001 (from memory). Of a cube 1; of wedges and
    tetrahedra 1 once divided by what the best of them has.
    """
    return min(float(_scaled(mesh.nodes, block.cells).min()) for block in mesh.blocks)


def _scaled(points: Floats, cells: Integers) -> Floats:
    """The scaled Jacobian at every corner."""
    found = []
    for corner, *ends in _RINGS[cells.shape[1]]:
        away = [points[cells[:, end]] - points[cells[:, corner]] for end in ends]
        size = np.prod([np.linalg.norm(edge, axis=1) for edge in away], axis=0)
        across = np.cross(away[0], away[1])
        spanned = np.linalg.norm(across, axis=1) if len(away) == 2 else np.einsum("ij,ij->i", across, away[2])
        found.append(spanned / size * _BEST[cells.shape[1]])
    return np.stack(found)
