"""A STEP file of an assembly: products, instances and places compared with its statements and its recipe."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from formparts.assembly.assembly_files import turned_away
from formparts.assembly.facts import part_colour, product_facts, whole_facts
from formparts.assembly.solids import part_solid
from formparts.assembly_recipes import AssemblyRecipe, stated_assembly
from formparts.closed_forms import CUBIC_MM_PER_CUBIC_M
from formparts.export import FoundFacts
from formparts.kernel import KernelMeasures
from formparts.recipe_functions.stated import trusted_values
from formparts.tolerances import LENGTH, ROUNDING, SAME_COLOUR, VOLUME_REL
from formparts.verification.rows import (
    Verified,
    VerifyRow,
    folded,
    names,
    number,
    parameters_of,
    place,
    shown_place,
    validation,
)
from formparts.verification.statements import FoundFile, FoundInstance, FoundProduct

if TYPE_CHECKING:
    from formparts.assembly import Assembly, Placed
    from formparts.assembly.placing import Part

Said = Sequence[tuple[str, FoundFacts]]


def verified_assembly(
    path: str | os.PathLike[str], found: FoundFile, recipe: AssemblyRecipe | None, given: Mapping[str, object]
) -> Verified:
    """Compare a file of an assembly with its shapes and its recipe."""
    own = next((facts.own for _, facts in found.said if facts.own.get("recipe")), {})
    name = own.get("recipe", "")
    rows = list(_stated(found, own=bool(name)))
    if name:
        maker = recipe or stated_assembly(name)
        values = trusted_values(maker.recipe, parameters_of(path, own), given, "verify", path)
        rows += _made_again(found, maker(**values))
    elif recipe is not None:  # the file names no parameters: those of the recipe itself
        rows += _made_again(found, recipe(**given))
    return Verified(name, own.get("version", ""), tuple(rows))


def _stated(found: FoundFile, own: bool) -> Iterator[VerifyRow]:
    """Return the statements on the whole and on each product, beside their shapes as read."""
    shapes = [(found.whole, True), *((product, False) for product in found.products)]
    for name, facts in found.said:
        near = [(product.figures, whole) for product, whole in shapes if product.name == name]
        if not near:
            yield VerifyRow(f"{name}, as stated", "its properties", "no product of that name", False)
            continue
        figures, whole = min(near, key=lambda pair: abs(pair[0].volume - (facts.volume or 0.0)))
        rows = validation(facts, figures, own)
        yield from rows if whole else folded(f"{name}, as stated", rows)


def _made_again(found: FoundFile, made: Assembly) -> Iterator[VerifyRow]:
    """The whole, its names, its parts and their places, beside those of the assembly made again."""
    yield from _whole(found, made)
    instances = {instance.name: instance for instance in found.instances}
    yield number("count of instances", len(found.instances), len(made.items), 0.0)
    yield names("names of instances", set(instances), {item.name for item in made.items})
    pairs = [(instances[item.name], item) for item in made.items if item.name in instances]
    yield from _parts(pairs, found)
    yield from _places(pairs)


def _whole(found: FoundFile, made: Assembly) -> Iterator[VerifyRow]:
    again = whole_facts(made)
    yield from _shape(found.whole.figures, again.volume, again.area, again.centroid)
    masses = [_mass(product.figures, _facts_of(product, found.said)) for product in found.products]
    mass = math.fsum(masses[instance.product] for instance in found.instances)
    yield number("mass, made again, kg", mass, made.mass, VOLUME_REL)
    name = found.whole.name
    yield VerifyRow("name", name, made.name, name == made.name)


def _shape(
    figures: KernelMeasures, volume: float, area: float, centroid: tuple[float, float, float]
) -> Iterator[VerifyRow]:
    yield number("volume, made again, mm3", figures.volume, volume, VOLUME_REL)
    yield number("surface area, made again, mm2", figures.surface, area, VOLUME_REL)
    yield place("centroid, made again, mm", figures.centroid, centroid, LENGTH)


def _facts_of(product: FoundProduct, said: Said) -> FoundFacts | None:
    """What the file states of a product; of products of one name, that of the nearest volume."""
    volume = product.figures.volume
    near = [facts for name, facts in said if name == product.name and facts.material]
    return min(near, key=lambda facts: abs((facts.volume or 0.0) - volume), default=None)


def _mass(figures: KernelMeasures, facts: FoundFacts | None) -> float:
    density = facts.density if facts else None
    return figures.volume / CUBIC_MM_PER_CUBIC_M * (density or 0.0)


def _parts(pairs: Sequence[tuple[FoundInstance, Placed]], found: FoundFile) -> Iterator[VerifyRow]:
    """Each product once, beside the part that the recipe puts in its position."""
    groups: list[tuple[int, Part, list[str]]] = []
    for instance, item in pairs:
        alike = [names for had, part, names in groups if had == instance.product and part == item.part]
        if alike:
            alike[0].append(item.name)
        else:
            groups.append((instance.product, item.part, [item.name]))
    for which, part, where in groups:
        product = found.products[which]
        if product.name != part.name:
            more = f" and {len(where) - 1} more" if where[1:] else ""
            yield VerifyRow(f"part of {where[0]}{more}", product.name, part.name, False)
        else:
            yield from folded(
                f"{part.name}, made again", _part(product, part, _facts_of(product, found.said))
            )


def _part(product: FoundProduct, part: Part, facts: FoundFacts | None) -> Iterator[VerifyRow]:
    figures, again = product.figures, product_facts(part)
    yield from _shape(figures, again.volume, again.area, again.centroid)
    material = facts.material if facts else ""
    yield VerifyRow("material", material or "not stated", again.material, material == again.material)
    mass = again.volume / CUBIC_MM_PER_CUBIC_M * again.density
    yield number("mass, made again, kg", _mass(figures, facts), mass, VOLUME_REL)
    said, wanted = product.colour, part_colour(part)
    yield VerifyRow("colour", shown_place(said), shown_place(wanted), math.dist(said, wanted) <= SAME_COLOUR)
    yield names("names of faces", set(product.faces), set(part_solid(part).faces))


def _places(pairs: Sequence[tuple[FoundInstance, Placed]]) -> Iterator[VerifyRow]:
    """Return the rows on positions: one row when all is in its place, else one for each that is not."""
    wrong = [row for instance, item in pairs for row in _place(instance, item)]
    if pairs and not wrong:
        yield VerifyRow("places", f"{len(pairs)} instances", "where the recipe puts them", True)
    yield from wrong


def _place(instance: FoundInstance, item: Placed) -> Iterator[VerifyRow]:
    said, found = instance.frame, item.frame
    if math.dist(said.origin, found.origin) > LENGTH:
        yield place(f"place of {item.name}, mm", said.origin, found.origin, LENGTH)
    if turned_away(said, found) > ROUNDING:
        shown = [f"x {shown_place(frame.x)}; z {shown_place(frame.z)}" for frame in (said, found)]
        yield VerifyRow(f"axes of {item.name}", shown[0], shown[1], False)
