"""The array types shared by the picture's modules, and the data that a picture is drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Integers: TypeAlias = NDArray[np.signedinteger[Any]]
    Flags: TypeAlias = NDArray[np.bool_]
    Bytes: TypeAlias = NDArray[np.uint8]
else:
    Floats = Integers = Flags = Bytes = Any

Vector: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Mesh:
    """
    The skin of a closed solid in triangles, each anticlockwise seen from outside.

    Parameters
    ----------
    vertices : (n, 3) array of float [mm]
        Corners; triangles of one face share theirs.
    triangles : (m, 3) array of int [-]
        Three rows of `vertices` each.
    groups : (m,) array of int [-]
        The face that each triangle belongs to: shading is smooth inside a face and breaks between two.
    normals : (m, 3, 3) array of float, or None [-]
        Outward unit normal at each corner of each triangle; None works them out from the triangles.
    """

    vertices: Floats
    triangles: Integers
    groups: Integers
    normals: Floats | None = None


@dataclass(frozen=True, eq=False)
class EdgeLines:
    """True edges of the solid, to be drawn as lines where visible.

    Parameters
    ----------
    points : (k, 3) or (n, k, 3) array of float [mm]
        Points along one edge, or along each of n edges.
    tangent : bool
        The faces on either side run into each other without a corner: the line is drawn light.
    """

    points: Floats
    tangent: bool = False
