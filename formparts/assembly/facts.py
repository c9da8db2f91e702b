"""The facts in an assembly's file on its parts and the whole: volume, area, centroid by closed form, material."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from formparts.assembly.placing import Assembly, Part
from formparts.assembly.turned import Turned, turned_centroid
from formparts.closed_forms import properties
from formparts.export import StepFacts


def part_colour(part: Part) -> tuple[float, float, float]:
    """Colour of a part: that of its material."""
    return part.material.colour if isinstance(part, Turned) else part.sheet.material.colour


def product_facts(part: Part, title: Mapping[str, str] = MappingProxyType({})) -> StepFacts:
    """Return the facts on a part: validation properties by closed form, material, and its title."""
    if isinstance(part, Turned):
        centre, metal = turned_centroid(part), part.material
        return StepFacts(part.volume, part.surface, centre, metal.name, metal.density, title=title)
    figures, metal = properties(part), part.sheet.material
    return StepFacts(
        figures.volume, figures.surface, figures.centroid, metal.name, metal.density, title=title
    )


def whole_facts(assembly: Assembly) -> StepFacts:
    """Return the facts on the whole: volume and area of all parts, and the centroid of their volume."""
    said = [product_facts(item.part) for item in assembly.items]
    volume = math.fsum(facts.volume for facts in said)
    middles = [
        item.frame.point(facts.centroid[:2], facts.centroid[2])
        for item, facts in zip(assembly.items, said, strict=True)
    ]
    x, y, z = (
        math.fsum(facts.volume * middle[axis] for facts, middle in zip(said, middles, strict=True)) / volume
        for axis in range(3)
    )
    return StepFacts(volume, math.fsum(facts.area for facts in said), (x, y, z))
