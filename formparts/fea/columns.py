"""A net of faces extruded through the thickness: bricks and wedges, and compatible tetrahedra.

A quadrilateral is halved through its lowest corner, and an upright face through the lowest of its lower two,
so that neighbours split their common face the same way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from formparts.fea.arrays import Floats, np
from formparts.fea.net import RimPart
from formparts.fea.skin import Skin

Corner = tuple[int, int]
"""A corner of the net, and its storey."""


_CENTRE = (-0.25, -0.25, -0.25, -0.25, 0.5, 0.5, 0.5, 0.5)
"""Shape functions of a quadrilateral of eight nodes at its middle."""


@dataclass
class Column:
    """Nodes of a net through the thickness; each is made when first requested."""

    places: Floats
    layers: int
    between: dict[tuple[int, int], int]
    known: dict[tuple[Corner, Corner], int] = field(default_factory=dict)

    @property
    def nodes(self) -> Floats:
        """Coordinates of all nodes requested."""
        storeys = np.array(list(self.known))[:, :, 1].sum(axis=1)
        spots = [self.between.get((a, b), a) for (a, _), (b, _) in self.known]
        lower, _, upper = self.places[spots].transpose(1, 0, 2)
        share = storeys[:, None] / (2.0 * self.layers)
        return np.asarray((1.0 - share) * lower + share * upper)

    def corner(self, corner: Corner) -> int:
        return self.middle(corner, corner)

    def middle(self, first: Corner, second: Corner) -> int:
        """Return the node half-way between two corners, or a corner itself."""
        key = (first, second) if first < second else (second, first)
        return self.known.setdefault(key, len(self.known))

    def path(self, corners: list[Corner]) -> tuple[int, ...]:
        """Return the corners of a closed path, then the middle nodes between them."""
        onward = [*corners[1:], corners[0]]
        return (
            *map(self.corner, corners),
            *(self.middle(a, b) for a, b in zip(corners, onward, strict=True)),
        )

    def prism(self, face: tuple[int, ...], storey: int) -> tuple[int, ...]:
        """Return a brick or wedge over a face of the net."""
        ring = face[: len(face) // 2]
        low, high = self.path([(v, storey) for v in ring]), self.path([(v, storey + 1) for v in ring])
        count = len(ring)
        upright = [self.middle((v, storey), (v, storey + 1)) for v in ring]
        return (*low[:count], *high[:count], *low[count:], *high[count:], *upright)

    def flat(self, face: tuple[int, ...], storey: int, whole: bool) -> list[tuple[int, ...]]:
        """Return a face of the net on a storey, seen from above."""
        ring = face[: len(face) // 2]
        parts = [ring] if whole else halves(ring)
        return [self.path([(v, storey) for v in part]) for part in parts]

    def side(self, part: RimPart, storey: int, whole: bool) -> list[tuple[int, ...]]:
        """Return the upright face over a free edge, seen from outside: the material is to the left of a to b."""
        a, _, b = part
        ring = [(a, storey), (b, storey), (b, storey + 1), (a, storey + 1)]
        if whole:
            return [self.path(ring)]
        first = 0 if a < b else 1
        turned = ring[first:] + ring[:first]
        return [self.path(turned[:3]), self.path([turned[0], *turned[2:]])]


def columns(net: Skin, layers: int) -> Column:
    """Return a net prepared for extrusion through the thickness.

    `between` holds middles of edges, then those of faces.
    """
    between: dict[tuple[int, int], int] = {}
    across: list[tuple[int, ...]] = []
    for face in net.faces:
        count = len(face) // 2
        for i in range(count):
            a, b = face[i], face[(i + 1) % count]
            between[min(a, b), max(a, b)] = face[count + i]
        if count == 4:
            a, _, c = halves(face[:4])[0]
            between[a, c] = len(net.places) + len(across)
            across.append(face)
    numbers = np.array(across, dtype=np.int64).reshape(-1, 8)
    centres = np.tensordot(net.places[numbers], _CENTRE, axes=([1], [0]))
    return Column(np.concatenate([net.places, centres]), layers, between)


def halves(ring: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Return a quadrilateral as two triangles that share the diagonal through its lowest corner.

    A triangle unchanged.
    """
    if len(ring) == 3:
        return [ring]
    first = ring.index(min(ring))
    a, b, c, d = ring[first:] + ring[:first]
    return [(a, b, c), (a, c, d)]


def tetrahedra(column: Column, face: tuple[int, ...], storey: int) -> Iterator[tuple[int, ...]]:
    """Return three tetrahedra for each triangle under a face."""
    for ring in halves(face[: len(face) // 2]):
        a, b, c = sorted(ring)
        even = ring in ((a, b, c), (b, c, a), (c, a, b))
        low, high = storey, storey + 1
        for corners in (
            [(a, low), (b, low), (c, low), (c, high)],
            [(a, low), (b, low), (c, high), (b, high)],
            [(a, low), (b, high), (c, high), (a, high)],
        ):
            yield _tetrahedron(column, corners, even)


def _tetrahedron(column: Column, corners: list[Corner], right_handed: bool) -> tuple[int, ...]:
    """Return ten nodes of a tetrahedron, two corners swapped where it would be inside out."""
    p, q, r, s = corners if right_handed else [corners[0], corners[2], corners[1], corners[3]]
    edges = ((p, q), (q, r), (r, p), (p, s), (q, s), (r, s))
    return (*map(column.corner, (p, q, r, s)), *(column.middle(a, b) for a, b in edges))
