"""The facts in a STEP file on each product of an assembly, and on the whole: properties, material, recipe."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from formparts.errors import InputError, KernelError
from formparts.export.step_facts import (
    FoundFacts,
    StepFacts,
    facts_among,
    state,
    with_lines,
)
from formparts.export.step_text import Lines, entities_of, plain
from formparts.export.step_title import titled, titles_in

_WHERE: Final = "facts of an assembly"
_WHOLE: Final = r"SHAPE_REPRESENTATION\('.*?',\(.*?\),#(\d+)\)"
"""The shape of the whole: places and no solid."""


def with_product_facts(content: bytes, facts: Sequence[StepFacts], whole: StepFacts) -> bytes:
    """
    Put facts into a STEP file of an assembly, those of products in the order of their solids in the file.

    Parameters
    ----------
    content : bytes
        The file as it was written, one solid to a product.
    facts : sequence of StepFacts
        What it is to say of each.
    whole : StepFacts
        What it is to say of the assembly.

    Returns
    -------
    bytes

    Raises
    ------
    KernelError
        The file has not the entities that the facts hang on.

    Source
    ------
    As `with_facts`.
    """
    text = content.decode("ascii")
    entities = dict(entities_of(text))
    solids = [number for number, body in entities.items() if body.startswith("MANIFOLD_SOLID_BREP(")]
    if len(solids) != len(facts):
        raise KernelError(_WHERE, f"the file holds {len(solids)} solids, and not {len(facts)}")
    added: list[str] = []
    last = max(entities)
    shapes = [rf"ADVANCED_BREP_SHAPE_REPRESENTATION\('.*?',\(.*?#{solid}\b.*?\),#(\d+)\)" for solid in solids]
    for shape, said in zip((*shapes, _WHOLE), (*facts, whole), strict=True):
        lines = _lines(entities, shape, last)
        state(lines, said)
        text = titled(text, lines, said.title, whole=said is whole)
        added, last = added + lines.made, lines.last
    return with_lines(text, added)


def _lines(entities: dict[int, str], form: str, last: int) -> Lines:
    """Where the facts of the product with a shape of this form hang."""
    shape, found = _one(entities, form)
    context = int(found)
    _, definition = _one(entities, rf"SHAPE_DEFINITION_REPRESENTATION\(#(\d+),#{shape}\)")
    _, product = _one({0: entities[int(definition)]}, r"PRODUCT_DEFINITION_SHAPE\('.*?','.*?',#(\d+)\)")
    lines = Lines(last, int(product), int(definition))
    lines.context = context
    lines.millimetre, _ = _one(
        entities, r"(\() ?LENGTH_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\(\.MILLI\.,\.METRE\.\)"
    )
    return lines


def _one(entities: dict[int, str], pattern: str) -> tuple[int, str]:
    """Return the number of the first entity of a form, and its groups."""
    for number, body in entities.items():
        found = re.match(pattern, body)
        if found:
            return number, found[1]
    raise KernelError(_WHERE, f"there is no {pattern}")


def read_product_facts(path: str | os.PathLike[str]) -> list[tuple[str, FoundFacts]]:
    """Read the facts in a STEP file on each of its products from its text, without the kernel.

    Parameters
    ----------
    path : path
        A STEP file, whoever made it.

    Returns
    -------
    list of (str, FoundFacts)
        Name of a product and its facts, for every product that has any.

    Raises
    ------
    InputError
        The file cannot be read.
    """
    try:
        text = Path(path).read_bytes().decode("latin-1")
    except (OSError, ValueError) as error:  # a null character in its name is a ValueError
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise InputError("STEP", "path", str(path), f"cannot be read: {reason}", "check the name") from error
    entities = dict(entities_of(text))
    said: dict[int, list[str]] = {}
    for body in entities.values():
        found = re.match(r"PROPERTY_DEFINITION_REPRESENTATION\s*\(#(\d+),#(\d+)\)", body)
        product = _product_of(entities, int(found[1])) if found else None
        if found and product is not None:
            said.setdefault(product, []).append(entities.get(int(found[2]), ""))
    titles = titles_in(entities)
    return [
        (_name(entities[product]), facts_among(entities, bodies, text, titles[product]))
        for product, bodies in said.items()
    ]


_WAY: Final = (
    r"(?:PROPERTY_DEFINITION|PRODUCT_DEFINITION_SHAPE)\s*\('[^']*','[^']*',#(\d+)\)",
    r"PRODUCT_DEFINITION\s*\('(?:[^']|'')*','(?:[^']|'')*',#(\d+),",
    r"PRODUCT_DEFINITION_FORMATION\w*\s*\('(?:[^']|'')*','(?:[^']|'')*',#(\d+)",
)
"""The steps from a property to the product that has it."""


def _product_of(entities: dict[int, str], number: int) -> int | None:
    """The product that a property belongs to, followed from entity to entity."""
    for _ in range(5):
        body = entities.get(number, "")
        if re.match(r"PRODUCT\s*\(", body):
            return number
        found = next((hit for hit in (re.match(way, body) for way in _WAY) if hit), None)
        if found is None:
            return None
        number = int(found[1])
    return None


def _name(product: str) -> str:
    found = re.match(r"PRODUCT\s*\('(?:[^']|'')*','((?:[^']|'')*)'", product)
    return plain(found[1]) if found else ""
