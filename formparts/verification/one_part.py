"""A STEP file of one part: its statements are compared with its shape, and with its recipe."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M, Properties, properties
from formparts.errors import InputError
from formparts.export import FoundFacts
from formparts.recipe_functions import stated_recipe
from formparts.recipe_functions.stated import trusted_values
from formparts.solids import solid
from formparts.tolerances import LENGTH, VOLUME_REL
from formparts.verification.rows import Verified, VerifyRow, names, number, parameters_of, place, validation
from formparts.verification.statements import FoundFile, FoundProduct

if TYPE_CHECKING:
    from formparts.body import Body
    from formparts.recipe_functions import Recipe


def verified_part(
    path: str | os.PathLike[str], found: FoundFile, recipe: Recipe | None, given: Mapping[str, object]
) -> Verified:
    """Compare a file of one part with its shape and its recipe."""
    part, ((_, facts),) = found.whole, found.said
    name = facts.own.get("recipe", "")
    rows = list(validation(facts, part.figures, own=bool(name)))
    if name:
        maker = recipe or stated_recipe(name)
        body = maker(**trusted_values(maker, parameters_of(path, facts.own), given, "verify", path))
        rows += [*_same_shape(part, body), *_same_product(part, facts, body)]
    elif recipe is not None:  # the file names no parameters: those of the recipe itself
        rows += _same_as_given(part, facts, recipe(**given))
    else:
        try:
            rows += _same_as_found(path)
        except InputError as refusal:
            return Verified(name, "", tuple(rows), f"no model to hold it against: {refusal}")
    return Verified(name, facts.own.get("version", ""), tuple(rows))


def _same_as_found(path: str | os.PathLike[str]) -> Iterator[VerifyRow]:
    """The solid of a file of others, beside that of the flats and bends that were found in it."""
    from formparts.recognition import recognised

    volume, surface, distance = recognised(Path(path)).audit
    for what, row in (("volume of its flats and bends, mm3", volume), ("surface area of them, mm2", surface)):
        theirs, ours = row.methods["solid"], row.methods["model"]
        yield VerifyRow(what, f"{theirs:.9g}", f"{ours:.9g}", row.agrees)
    off = distance.methods["greatest"]
    said, found = f"at most {distance.allowed:.2g}", f"{off:.2g}"
    yield VerifyRow("distance from their solid, mm", said, found, distance.agrees)


def _same_shape(part: FoundProduct, body: Body) -> Iterator[VerifyRow]:
    """The file's shape beside that of the part made again."""
    again: Properties = properties(body)
    figures = part.figures
    yield number("volume, made again, mm3", figures.volume, again.volume, VOLUME_REL)
    yield number("surface area, made again, mm2", figures.surface, again.surface, VOLUME_REL)
    yield place("centroid, made again, mm", figures.centroid, again.centroid, LENGTH)


def _same_product(part: FoundProduct, facts: FoundFacts, body: Body) -> Iterator[VerifyRow]:
    """The file's material, mass and names beside those of the part made again."""
    yield VerifyRow("material", facts.material, body.sheet.material.name, _same_material(facts, body))
    yield _same_mass(part, facts, body)
    yield VerifyRow("name", part.name, body.name, part.name == body.name)
    yield names("names of faces", set(part.faces), set(solid(body).faces))


def _same_as_given(part: FoundProduct, facts: FoundFacts, body: Body) -> Iterator[VerifyRow]:
    """A file that states no recipe, beside the one that the user names: its shape, and what it says of its material."""
    yield from _same_shape(part, body)
    if facts.material:
        yield VerifyRow("material", facts.material, body.sheet.material.name, _same_material(facts, body))
    if facts.density is not None:
        yield _same_mass(part, facts, body)


def _same_material(facts: FoundFacts, body: Body) -> bool:
    return facts.material == body.sheet.material.name


def _same_mass(part: FoundProduct, facts: FoundFacts, body: Body) -> VerifyRow:
    mass = part.figures.volume / CUBIC_MM_PER_CUBIC_M * (facts.density or 0.0)
    return number("mass, made again, kg", mass, properties(body).mass, VOLUME_REL)
