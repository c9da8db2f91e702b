"""A solid as plain data: surfaces, edges and faces, without shapes of the kernel."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from formparts.tolerances import SAME_PLACE
from formparts.unfolder.space import Pair, Vector, along, cross, dot, evenly, length, minus, times

FINE = 65
"""Places along a free-form edge over which is summed; odd, so that every second one gives a sum of half as many."""
FINE_SPAN, FINEST = 16, 4097
"""Steps over each span of a spline, and places at most: a spline of 50 spans swings more often than one of 4."""


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane with its normal out of the material."""

    point: Vector
    normal: Vector


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A round cylinder; `outward` is 1 when its axis is on the side of the material, -1 when it is hollow."""

    point: Vector
    axis: Vector
    radius: float
    outward: int


@dataclass(frozen=True, slots=True)
class Cone:
    """A right cone; the axis points from the apex into its open end, `half_angle_rad` is positive."""

    point: Vector
    axis: Vector
    half_angle_rad: float
    outward: int


@dataclass(frozen=True, slots=True)
class Other:
    """
    Any other surface, with its kind in words; `normal_at` gives the normal out of the material nearby.

    `flux` gives the volume between the face and a place, negative when it looks towards it; `radius` is that
    of a sphere or of a torus' section; `ruling` is the direction of the straight lines of a surface that is
    an extruded curve, as walls of sheet are.
    """

    kind: str
    normal_at: Callable[[Vector], Vector]
    flux: Callable[[Vector], float] = lambda _: 0.0
    radius: float = 0.0
    ruling: Vector | None = None


Surface: TypeAlias = Plane | Cylinder | Cone | Other


def normal_of(surface: Surface, place: Vector) -> Vector:
    """Normal of a surface out of the material at a place on it."""
    if isinstance(surface, Plane):
        return surface.normal
    if isinstance(surface, Other):
        return surface.normal_at(place)
    away = minus(place, surface.point)
    radial = along(away, -dot(away, surface.axis), surface.axis)
    size = math.sqrt(dot(radial, radial)) or 1.0
    if isinstance(surface, Cylinder):
        return times(surface.outward / size, radial)
    cos, sin = math.cos(surface.half_angle_rad), math.sin(surface.half_angle_rad)
    return times(surface.outward, along(times(cos / size, radial), -sin, surface.axis))


@dataclass(frozen=True, slots=True)
class Circle:
    """The circle that an edge lies on; the edge runs anticlockwise about the axis, from x."""

    centre: Vector
    axis: Vector
    x: Vector
    y: Vector
    radius: float

    def goes_round(self, axis: Vector) -> bool:
        """True when it lies square to an axis, by no more than SAME_PLACE at its rim."""
        return self.radius * length(cross(self.axis, axis)) <= SAME_PLACE

    def point(self, angle_rad: float) -> Vector:
        r = self.radius
        return along(along(self.centre, r * math.cos(angle_rad), self.x), r * math.sin(angle_rad), self.y)


@dataclass(slots=True)
class Edge:
    """
    One edge with its vertices by number; `value` gives the place at a parameter from first to last.

    Integrals along one that is free-form are sums over `fine` places, an odd count.
    """

    start: int
    end: int
    kind: Literal["line", "circle", "other"]
    first: float
    last: float
    circle: Circle | None
    value: Callable[[float], Vector]
    faces: list[int]
    fine: int = FINE

    @property
    def middle(self) -> Vector:
        return self.value((self.first + self.last) / 2.0)

    def places(self, count: int) -> list[Vector]:
        """Places at equal steps of the parameter, both ends included."""
        return [self.value(parameter) for parameter in evenly(self.first, self.last, count)]


@dataclass(frozen=True, slots=True)
class Face:
    """One face: its surface, and its edges, each run forwards or not with the material to the left from outside."""

    name: str
    surface: Surface
    coedges: tuple[tuple[int, bool], ...]


@dataclass(frozen=True, slots=True)
class SolidData:
    """A whole solid: vertices, edges and faces by number, and the kernel's own measure of its volume."""

    name: str
    points: list[Vector]
    edges: list[Edge]
    faces: list[Face]
    kernel_volume: Callable[[], float]

    def neighbours(self, face: int) -> set[int]:
        """Faces that share an edge with a face."""
        found = {other for edge, _ in self.faces[face].coedges for other in self.edges[edge].faces}
        return found - {face}

    def box(self, face: int) -> tuple[Pair, ...]:
        """Return the extent of a face along each axis, by points on its edges."""
        places = [place for edge, _ in self.faces[face].coedges for place in self.edges[edge].places(5)]
        return tuple((min(row), max(row)) for row in zip(*places, strict=True))

    def place(self, face: int) -> Vector:
        """Return a point to identify a face by: amid its edges for a plane, else the middle of the nearest edge."""
        edges = [self.edges[edge] for edge, _ in self.faces[face].coedges]
        places = [edge.middle for edge in edges] or [(0.0, 0.0, 0.0)]
        count = len(places)
        x, y, z = (sum(place[i] for place in places) / count for i in range(3))
        if isinstance(self.faces[face].surface, Plane):
            return (x, y, z)
        return min(places, key=lambda place: math.dist(place, (x, y, z)))


def swept(part: SolidData, edge: Edge) -> Vector:
    """
    Integral of P x dP along an edge: twice the vector area that it spans with the first corner of the part [mm2].

    Relative to a point on the part, so that a part far from the origin keeps its digits.
    """
    origin = part.points[0]
    if edge.kind == "line":
        return cross(minus(part.points[edge.start], origin), minus(part.points[edge.end], origin))
    if edge.circle is not None:
        chord = minus(edge.circle.point(edge.last), edge.circle.point(edge.first))
        turned = edge.circle.radius**2 * (edge.last - edge.first)
        return along(cross(minus(edge.circle.centre, origin), chord), turned, edge.circle.axis)
    places = [minus(place, origin) for place in edge.places(edge.fine)]
    # Halving the step takes the error of chords down to a quarter, so that the two together cancel it.
    return along(times(4.0 / 3.0, _chords(places)), -1.0 / 3.0, _chords(places[::2]))


def _chords(places: list[Vector]) -> Vector:
    """The same integral along the chords between the places of a row."""
    total = (0.0, 0.0, 0.0)
    for here, there in pairwise(places):
        total = along(total, 1.0, cross(here, there))
    return total
