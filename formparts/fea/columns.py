"""A net of faces carried through the thickness: bricks and wedges, and tetrahedra that fit together.

A quadrilateral is halved through its lowest corner, and an upright face through the lowest of its lower two, so
that neighbours halve the face between them alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from formparts.fea.arrays import Floats, np
from formparts.fea.skin import RimPart, Skin

Corner = tuple[int, int]
"""A corner of the net, and the storey that it stands on."""


_CENTRE = (-0.25, -0.25, -0.25, -0.25, 0.5, 0.5, 0.5, 0.5)
"""Shape functions of a quadrilateral of eight nodes at its middle."""


@dataclass
class Column:
    """Nodes of a net through the thickness; each is made when it is first asked for."""

    net: Skin
    layers: int
    between: dict[tuple[int, int], int]
    centres: dict[tuple[int, int], Floats]
    places: list[Floats] = field(default_factory=list)
    known: dict[tuple[Corner, Corner], int] = field(default_factory=dict)

    @property
    def nodes(self) -> Floats:
        return np.array(self.places)

    def corner(self, corner: Corner) -> int:
        return self.middle(corner, corner)

    def middle(self, first: Corner, second: Corner) -> int:
        """The node half-way between two corners, or a corner itself."""
        key = (min(first, second), max(first, second))
        if key not in self.known:
            (a, low), (b, high) = key
            self.known[key] = len(self.places)
            self.places.append((self._at(a, b, low) + self._at(a, b, high)) / 2.0)
        return self.known[key]

    def _at(self, a: int, b: int, storey: int) -> Floats:
        """Place half-way from a to b on a storey: as the net has it, or across the middle of a face."""
        key = (min(a, b), max(a, b))
        if a == b:
            places = self.net.places[a]
        elif key in self.between:
            places = self.net.places[self.between[key]]
        else:
            places = self.centres[key]
        share = storey / self.layers
        return np.asarray((1.0 - share) * places[0] + share * places[2])

    def path(self, corners: list[Corner]) -> tuple[int, ...]:
        """Corners of a closed path, then the middles between them."""
        onward = [*corners[1:], corners[0]]
        return (
            *map(self.corner, corners),
            *(self.middle(a, b) for a, b in zip(corners, onward, strict=True)),
        )

    def prism(self, face: tuple[int, ...], storey: int) -> tuple[int, ...]:
        """A brick or wedge over a face of the net."""
        ring = face[: len(face) // 2]
        low, high = self.path([(v, storey) for v in ring]), self.path([(v, storey + 1) for v in ring])
        count = len(ring)
        upright = [self.middle((v, storey), (v, storey + 1)) for v in ring]
        return (*low[:count], *high[:count], *low[count:], *high[count:], *upright)

    def flat(self, face: tuple[int, ...], storey: int, whole: bool) -> list[tuple[int, ...]]:
        """A face of the net on a storey, seen from above."""
        ring = face[: len(face) // 2]
        parts = [ring] if whole else halves(ring)
        return [self.path([(v, storey) for v in part]) for part in parts]

    def side(self, part: RimPart, storey: int, whole: bool) -> list[tuple[int, ...]]:
        """The upright face over a free edge, seen from outside: the material is to the left of a to b."""
        a, _, b = part
        ring = [(a, storey), (b, storey), (b, storey + 1), (a, storey + 1)]
        if whole:
            return [self.path(ring)]
        first = 0 if a < b else 1
        turned = ring[first:] + ring[:first]
        return [self.path(turned[:3]), self.path([turned[0], *turned[2:]])]


def columns(net: Skin, layers: int) -> Column:
    """A net, ready to be carried through the thickness."""
    between: dict[tuple[int, int], int] = {}
    centres: dict[tuple[int, int], Floats] = {}
    for face in net.faces:
        count = len(face) // 2
        for i in range(count):
            a, b = face[i], face[(i + 1) % count]
            between[min(a, b), max(a, b)] = face[count + i]
        if count == 4:
            a, _, c = halves(face[:4])[0]
            centres[min(a, c), max(a, c)] = np.einsum("n,nsx->sx", _CENTRE, net.places[list(face)])
    return Column(net, layers, between, centres)


def halves(ring: tuple[int, ...]) -> list[tuple[int, ...]]:
    """A quadrilateral as two triangles that share the diagonal through its lowest corner; a triangle as it is."""
    if len(ring) == 3:
        return [ring]
    first = ring.index(min(ring))
    a, b, c, d = ring[first:] + ring[:first]
    return [(a, b, c), (a, c, d)]


def tetrahedra(column: Column, face: tuple[int, ...], storey: int) -> Iterator[tuple[int, ...]]:
    """Three tetrahedra for each triangle under a face."""
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
    """Ten nodes of a tetrahedron; two corners change places where it would be inside out."""
    p, q, r, s = corners if right_handed else [corners[0], corners[2], corners[1], corners[3]]
    edges = ((p, q), (q, r), (r, p), (p, s), (q, s), (r, s))
    return (*map(column.corner, (p, q, r, s)), *(column.middle(a, b) for a, b in edges))
