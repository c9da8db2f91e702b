"""Features of a round hole: countersunk, counterbored, tapped, pressed into, or extruded."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from formparts.outline.edges import Point
from formparts.short_repr import short_repr

Face: TypeAlias = Literal["upper", "lower"]
FeatureKind: TypeAlias = Literal["countersunk", "counterbored", "tapped", "pressed", "extruded"]
SUNK: Final = ("countersunk", "counterbored")
"""Kinds that are cut out of the solid besides the hole itself."""
_GAUSS: Final = ((-math.sqrt(0.6), 5.0 / 18.0), (0.0, 8.0 / 18.0), (math.sqrt(0.6), 5.0 / 18.0))
"""Places and weights of Gauss's rule: exact to the fifth power."""


@short_repr
@dataclass(frozen=True)
class HoleFeature:
    """A feature of a round hole.

    Parameters
    ----------
    kind : "countersunk", "counterbored", "tapped", "pressed" or "extruded"
        It is sunk for the head of a screw, a thread is cut in it, a nut or stud is pressed into it, or a collar is
        drawn out of the sheet round it.
    callout : str
        Its words, without its hole: `M5`, `countersunk to 10.4 mm at 90 deg`.
    face : "upper" or "lower"
        The face from which it is made.
    diameter : float [mm]
        Of what is sunk at the face, of the thread, of a pressed-in part where it projects from the sheet, or
        of the collar outside.
    pitch : float [mm]
        Of its thread; 0 without one.
    least_edge, least_thickness : float [mm]
        What a pressed part asks for: from its middle to the nearest edge or bend, and of the sheet; 0: not stated.
    depth : float [mm]
        How deep it is sunk from the face.
    floor : float [mm]
        Diameter of what is sunk at that depth: of the hole itself under a cone, of the head in a counterbore.
    height : float [mm]
        Height of its collar above the sheet.
    """

    kind: FeatureKind
    callout: str
    face: Face = "upper"
    diameter: float = 0.0
    pitch: float = 0.0
    least_edge: float = 0.0
    least_thickness: float = 0.0
    depth: float = 0.0
    floor: float = 0.0
    height: float = 0.0

    @property
    def angle(self) -> float:
        """Angle of a countersink [deg]; 0 where there is none."""
        if not self.depth:
            return 0.0
        return 2.0 * math.degrees(math.atan2((self.diameter - self.floor) / 2.0, self.depth))


@short_repr
@dataclass(frozen=True)
class Sink:
    """
    What a countersink or counterbore takes out of a flat beside its hole: a ring about the middle of the hole.

    Parameters
    ----------
    name : str
        Name of the opening.
    centre : (x, y) [mm]
        In the flat's coordinates.
    hole, head, floor : float [mm]
        Radii: of the hole, at the face, and at the depth.
    depth : float [mm]
        From the face.
    upper : bool
        True when it is sunk from the upper face.
    """

    name: str
    centre: Point
    hole: float
    head: float
    floor: float
    depth: float
    upper: bool

    def _levels(self) -> Iterator[tuple[float, float, float]]:
        """Depth, radius and weight of each place of Gauss's rule."""
        for place, weight in _GAUSS:
            share = (1.0 + place) / 2.0
            yield share * self.depth, self.head + share * (self.floor - self.head), weight * self.depth

    @property
    def volume(self) -> float:
        """Volume taken out [mm3]."""
        return math.fsum(w * math.pi * (ring**2 - self.hole**2) for _, ring, w in self._levels())

    @property
    def added_surface(self) -> float:
        """Surface gained less surface lost [mm2]."""
        slope = math.pi * (self.head + self.floor) * math.hypot(self.head - self.floor, self.depth)
        ledge = math.pi * (self.floor**2 - self.hole**2)
        lost = math.pi * (self.head**2 - self.hole**2) + 2.0 * math.pi * self.hole * self.depth
        return slope + ledge - lost

    def heights(self, thickness: float) -> tuple[float, float, float]:
        """First and second moment of its heights above the mid-surface; its second moment about its own middle."""
        sign = 1.0 if self.upper else -1.0
        first = second = across = 0.0
        for down, ring, weight in self._levels():
            area = math.pi * (ring**2 - self.hole**2) * weight
            height = sign * (thickness / 2.0 - down)
            first, second = first + area * height, second + area * height**2
            across += math.pi / 4.0 * (ring**4 - self.hole**4) * weight
        return first, second, across

    def stations(self, thickness: float) -> list[tuple[float, float]]:
        """Radius and height above the mid-surface of each ring of its wall, from the lower face up."""
        half, sign = thickness / 2.0, 1.0 if self.upper else -1.0
        bottom = half - self.depth
        found = [(self.hole, -half), (self.hole, bottom)]
        found += [] if self.floor == self.hole else [(self.floor, bottom)]
        found.append((self.head, half))
        return found if self.upper else [(radius, sign * height) for radius, height in reversed(found)]
