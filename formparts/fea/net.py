"""A net of faces on the mid-surface while it grows: nodes with their places on both skins, faces, names of edges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from formparts.body.frame import Vector
from formparts.outline.edges import Arc, Edge, Point
from formparts.outline.measures import segment_factor

Triple = tuple[Vector, Vector, Vector]
"""The place of a node on the lower skin, on the mid-surface and on the upper skin."""
RimPart = tuple[int, int, int]
"""Two nodes of an edge and the one between them, in the middle."""


@dataclass
class GrowingNet:
    """
    The net that grows while flats and bends are meshed.

    `lines` has the nodes along each span of a bend's line on a flat, `rims` the rim edge of the flat that it is;
    `pieces` the faces of each region that openings leave of a bend.
    """

    places: list[Triple] = field(default_factory=list)
    middles: dict[tuple[int, int], int] = field(default_factory=dict)
    faces: list[tuple[int, ...]] = field(default_factory=list)
    owners: list[str] = field(default_factory=list)
    edges: dict[str, list[list[RimPart]]] = field(default_factory=dict)
    lines: dict[tuple[str, str, int], list[int]] = field(default_factory=dict)
    rims: dict[tuple[str, str, int], tuple[str, int, int]] = field(default_factory=dict)

    pieces: dict[str, list[range]] = field(default_factory=dict)

    def node(self, places: Triple) -> int:
        self.places.append(places)
        return len(self.places) - 1

    def middle(self, a: int, b: int, places: Triple | None = None) -> int:
        """Return the node half-way between two: an existing one, or a new one, in line if no position is given."""
        key = (min(a, b), max(a, b))
        if key not in self.middles:
            pairs = zip(self.places[a], self.places[b], strict=True)
            low, mid, up = (_half_way(p, q) for p, q in pairs)
            self.middles[key] = self.node(places or (low, mid, up))
        return self.middles[key]

    def face(self, owner: str, corners: Sequence[int]) -> None:
        between = [self.middle(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
        self.faces.append((*corners, *between))
        self.owners.append(owner)

    def name(self, name: str, nodes: Sequence[int]) -> None:
        """Give the edge between some nodes in a row a name, as one more face of that name."""
        self.edges.setdefault(name, []).append([(a, self.middle(a, b), b) for a, b in pairwise(nodes)])

    def named(self) -> dict[str, tuple[RimPart, ...]]:
        """Return the faces of each name, each with its number as the solid has it."""
        found = {}
        for name, runs in self.edges.items():
            found[name] = tuple(part for run in runs for part in run)
            if len(runs) > 1:
                found |= {f"{name}.{number}": tuple(run) for number, run in enumerate(runs, 1)}
        return found


def _half_way(p: Vector, q: Vector) -> Vector:
    return ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0, (p[2] + q[2]) / 2.0)


def on_arc(edge: Edge, start: Point, end: Point, pieces: int) -> Point | None:
    """Return where the middle node of an arc's division makes a parabola that encloses exactly the area of the arc."""
    if not isinstance(edge, Arc):
        return None
    angle = edge.sweep_rad / pieces
    rise = 3.0 * edge.radius * segment_factor(angle) / (8.0 * math.sin(angle / 2.0))
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    chord = math.dist(start, end)
    sense = 1.0 if edge.ccw else -1.0
    # An arc bulges to the right of its chord when it runs anticlockwise.
    out = (sense * (end[1] - start[1]) / chord, -sense * (end[0] - start[0]) / chord)
    return (middle[0] + rise * out[0], middle[1] + rise * out[1])
