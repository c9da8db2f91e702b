"""The stock of a part and its figures in closed form: no solid kernel is loaded for any of these."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from formparts.body import Body, Sheet
from formparts.body.frame import Vector

if TYPE_CHECKING:
    from formparts.closed_forms import Properties
    from formparts.materials import Material
    from formparts.moments_of_inertia import Inertia


class Figures:
    """The figures that follow from a body alone."""

    body: Body

    @property
    def name(self) -> str:
        """Name of the part."""
        return self.body.name

    @property
    def sheet(self) -> Sheet:
        """The stock."""
        return self.body.sheet

    @property
    def material(self) -> Material:
        """What it is made of."""
        return self.body.sheet.material

    @property
    def thickness(self) -> float:
        """Thickness of the sheet [mm]."""
        return self.body.sheet.thickness

    @cached_property
    def properties(self) -> Properties:
        """Volume, mass, surface, centroid and envelope."""
        from formparts.closed_forms import properties

        return properties(self.body)

    @property
    def volume(self) -> float:
        """Volume of the material [mm3]."""
        return self.properties.volume

    @property
    def mass(self) -> float:
        """Mass [kg]."""
        return self.properties.mass

    @property
    def surface(self) -> float:
        """Area of all faces [mm2]."""
        return self.properties.surface

    @property
    def centroid(self) -> Vector:
        """Centre of mass [mm]."""
        return self.properties.centroid

    @property
    def envelope(self) -> Vector:
        """Sides of the smallest box along the axes [mm]."""
        return self.properties.envelope

    @cached_property
    def inertia(self) -> Inertia:
        """Mass moments of inertia about the centroid and the origin, and principal axes [kg mm2]."""
        from formparts.moments_of_inertia import inertia

        return inertia(self.body)
