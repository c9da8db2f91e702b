"""From a body to the triangles and lines of its picture."""

from __future__ import annotations

import math

from formparts.body import Body
from formparts.closed_forms import properties
from formparts.report.arrays import EdgeLines, Mesh
from formparts.triangulation import facets

_ANGLE_RAD = math.radians(4.0)
"""Greatest turn from one facet to the next."""
_CHORD_PART = 1.0 / 4000.0
"""Greatest deviation of a facet from the true surface, in lengths of the part: a quarter of a pixel."""


def scene(body: Body) -> tuple[Mesh, list[EdgeLines]]:
    """Approximate a body by triangles, each face a group of its own, and its edges by lines."""
    made = facets(body, math.hypot(*properties(body).envelope) * _CHORD_PART, _ANGLE_RAD)
    normals = made.surfaces.normals(made.owners[:, None], made.points[made.triangles])
    mesh = Mesh(made.points, made.triangles, made.owners, normals)
    pieces = made.points[made.lines]
    return mesh, [EdgeLines(pieces[~made.smooth]), EdgeLines(pieces[made.smooth], tangent=True)]
