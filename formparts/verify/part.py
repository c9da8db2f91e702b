"""A STEP file of one part: what it says of itself is held against its shape, and against its recipe."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

from formparts.export import FoundFacts
from formparts.properties import CUBIC_MM_PER_CUBIC_M, Properties, properties
from formparts.recipe import stated_recipe
from formparts.solid import solid
from formparts.tolerances import LENGTH, VOLUME_REL
from formparts.verify.reading import FoundFile, FoundProduct
from formparts.verify.rows import Verified, VerifyRow, names, number, parameters_of, place, validation

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.recipe import Recipe


def verified_part(path: str | os.PathLike[str], found: FoundFile, recipe: Recipe | None) -> Verified:
    """Hold a file of one part against its shape and its recipe."""
    part, ((_, facts),) = found.whole, found.said
    name = facts.own.get("recipe", "")
    rows = list(validation(facts, part.figures, own=bool(name)))
    if name:
        maker = recipe or stated_recipe(name)
        body = maker(**parameters_of(path, facts.own))
        rows += _made_again(part, facts, body)
    return Verified(name, facts.own.get("version", ""), tuple(rows))


def _made_again(part: FoundProduct, facts: FoundFacts, body: Body) -> Iterator[VerifyRow]:
    """The file's shape, names and mass, beside those of the part made again."""
    again: Properties = properties(body)
    figures, material = part.figures, body.sheet.material
    yield number("volume, made again, mm3", figures.volume, again.volume, VOLUME_REL)
    yield number("surface area, made again, mm2", figures.surface, again.surface, VOLUME_REL)
    yield place("centroid, made again, mm", figures.centroid, again.centroid, LENGTH)
    yield VerifyRow("material", facts.material, material.name, facts.material == material.name)
    mass = figures.volume / CUBIC_MM_PER_CUBIC_M * (facts.density or 0.0)
    yield number("mass, made again, kg", mass, again.mass, VOLUME_REL)
    yield VerifyRow("name", part.name, body.name, part.name == body.name)
    yield names("names of faces", set(part.faces), set(solid(body).faces))
