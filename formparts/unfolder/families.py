"""Faces by family: parallel planes, cylinders round one axis, cones round one axis, each at its own height.

Within a family every face has a sign and a height, such that its partner through a sheet of thickness t has the
other sign and the height less sign x t: for planes the offset, for cylinders the radius, for cones the offset too.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Hashable
from dataclasses import dataclass, field
from itertools import product
from operator import itemgetter
from typing import TypeAlias

from formparts.tolerances import SAME_DIRECTION, SAME_PLACE
from formparts.unfolder.solid_data import Cone, Cylinder, Plane, SolidData
from formparts.unfolder.space import Vector, along, dot, times

Classification: TypeAlias = tuple[Hashable, int, float]
"""Family, sign and height of a face."""


_height = itemgetter(0)


@dataclass(frozen=True, slots=True)
class Families:
    """The classification of every face that has one, and the faces of each family and sign in order of height."""

    classified: dict[int, Classification]
    ordered: dict[tuple[Hashable, int], list[tuple[float, int]]]
    close: float = SAME_PLACE
    """Two heights closer than this are one [mm]."""

    def partners(self, face: int, thickness: float) -> list[int]:
        """Return faces one thickness below a face, facing the other way."""
        if face not in self.classified:
            return []
        family, sign, height = self.classified[face]
        return self.at(family, -sign, height - sign * thickness)

    def at(self, family: Hashable, sign: int, height: float) -> list[int]:
        """Return the faces of a family and sign at a height."""
        row = self.ordered.get((family, sign), [])
        first, beyond = (bisect_left(row, height + slack, key=_height) for slack in (-self.close, self.close))
        return [face for _, face in row[first:beyond]]

    def below(self, face: int) -> list[tuple[float, int]]:
        """Return depth and number of all faces of the same family that face the other way, through the material."""
        family, sign, height = self.classified[face]
        depths = [
            (sign * (height - other), number) for other, number in self.ordered.get((family, -sign), [])
        ]
        return [(depth, number) for depth, number in depths if depth > self.close]

    def alike(self, one: int, other: int) -> bool:
        """True when two classified faces lie on the same surface."""
        (family, sign, height), (family2, sign2, height2) = self.classified[one], self.classified[other]
        return family == family2 and sign == sign2 and abs(height - height2) <= self.close


@dataclass(slots=True)
class Clusters:
    """Numbers vectors, with the same number for equal ones (within a tolerance), by a grid of cells."""

    tolerance: float
    cells: dict[tuple[int, int, int], list[int]] = field(default_factory=dict)
    found: list[Vector] = field(default_factory=list)

    def search(self, vector: Vector) -> int | None:
        """Return the number of the vector that equals this one, if there is one."""
        cell, slack = 100.0 * self.tolerance, self.tolerance
        spans = [{math.floor((c - slack) / cell), math.floor((c + slack) / cell)} for c in vector]
        for key in product(*spans):
            for number in self.cells.get((key[0], key[1], key[2]), ()):
                if math.dist(self.found[number], vector) <= slack:
                    return number
        return None

    def number(self, vector: Vector) -> int:
        """Return the number of a vector, a new one if no equal one exists."""
        known = self.search(vector)
        if known is not None:
            return known
        x, y, z = (math.floor(c / (100.0 * self.tolerance)) for c in vector)
        self.cells.setdefault((x, y, z), []).append(len(self.found))
        self.found.append(vector)
        return len(self.found) - 1


def families_of(part: SolidData, close: float = SAME_PLACE) -> Families:
    """Sort the faces of a part into families, by surfaces that are one within a length."""
    directions, lines = Clusters(SAME_DIRECTION * min(close / SAME_PLACE, 10.0)), Clusters(close)
    classified: dict[int, Classification] = {}
    for number, face in enumerate(part.faces):
        surface = face.surface
        if isinstance(surface, Plane):
            way, sign = _direction(directions, surface.normal)
            place = surface.point if close <= SAME_PLACE else part.place(number)
            classified[number] = ((way,), sign, dot(place, directions.found[way]))
        elif isinstance(surface, Cylinder):
            way, _ = _direction(directions, surface.axis)
            line = lines.number(_foot(surface.point, directions.found[way]))
            classified[number] = ((way, line), surface.outward, surface.radius)
        elif isinstance(surface, Cone):
            classified[number] = _cone(surface, directions, lines)
    ordered: dict[tuple[Hashable, int], list[tuple[float, int]]] = {}
    for number, (family, sign, height) in classified.items():
        ordered.setdefault((family, sign), []).append((height, number))
    for row in ordered.values():
        row.sort()
    return Families(classified, ordered, close)


def _direction(directions: Clusters, vector: Vector) -> tuple[int, int]:
    """Return the number of a direction, and 1, or -1 when it is opposite to the numbered one."""
    against = directions.search(times(-1.0, vector))
    return (against, -1) if against is not None else (directions.number(vector), 1)


def _foot(point: Vector, direction: Vector) -> Vector:
    """Return the point of a line nearest to the origin."""
    return along(point, -dot(point, direction), direction)


def _cone(cone: Cone, directions: Clusters, lines: Clusters) -> Classification:
    """Cones that are open the same way, by the same angle, round one axis; offset from the face counts as height."""
    way, sign = _direction(directions, cone.axis)
    line = lines.number(_foot(cone.point, directions.found[way]))
    family = ("cone", way, sign, line, round(cone.half_angle_rad, 7))
    return (family, cone.outward, -dot(cone.point, cone.axis) * math.sin(cone.half_angle_rad))
