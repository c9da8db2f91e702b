"""Check the references among the entities that hold a STEP file together: wrong ones would crash the kernel."""

from __future__ import annotations

import re
from typing import Final

_DEFINED: Final = (
    r"(?:PRODUCT_DEFINITION|NEXT_ASSEMBLY|ASSEMBLY_COMPONENT|SPECIFIED_HIGHER|PROMISSORY|SHAPE_ASPECT|CHARACTERIZED|"
    r"DOCUMENT)\w*|\(.*"
)
_PRODUCT: Final = r"PRODUCT_DEFINITION(?!_FORMATION|_SHAPE|_CONTEXT)\w*|\(.*"
_PLACE: Final = r"AXIS2_PLACEMENT_\w+|CARTESIAN_\w+|\(.*"

_LINKS: Final[dict[str, tuple[str, ...]]] = {
    "SHAPE_DEFINITION_REPRESENTATION": (
        r"\w*PROPERTY_DEFINITION|PRODUCT_DEFINITION_SHAPE|\(.*",
        r"\w*REPRESENTATION\w*|\w*MODEL|\(.*",
    ),
    "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION": (
        r"SHAPE_REPRESENTATION_RELATIONSHIP|\(.*SHAPE_REPRESENTATION_RELATIONSHIP.*",
        "PRODUCT_DEFINITION_SHAPE",
    ),
    "PRODUCT_DEFINITION_SHAPE": (_DEFINED,),
    "NEXT_ASSEMBLY_USAGE_OCCURRENCE": (_PRODUCT, _PRODUCT),
    "PRODUCT_DEFINITION": (r"PRODUCT_DEFINITION_FORMATION\w*|\(.*",),
    "PRODUCT_DEFINITION_FORMATION": (r"PRODUCT|\(.*",),
    "PRODUCT_DEFINITION_FORMATION_WITH_SPECIFIED_SOURCE": (r"PRODUCT|\(.*",),
    "REPRESENTATION_RELATIONSHIP": (".+", ".+"),
    "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION": (r"ITEM_DEFINED_TRANSFORMATION|\(.*",),
    "ITEM_DEFINED_TRANSFORMATION": (_PLACE, _PLACE),
}
"""By entity: what each of its first references may be (ISO 10303-41 and -43, from memory); in brackets, several."""


def misled(bare: str) -> int | None:
    """Return the first entity with a wrong reference, in a file without its strings; None if all is well."""
    entities = {int(number): body for number, body in re.findall(r"#(\d+)\s*=\s*([^;]*);", bare)}
    kinds = {number: _kind(body) for number, body in entities.items()}
    looked_at = [number for number, kind in kinds.items() if kind in _LINKS or kind.startswith("(")]
    return min((number for number in looked_at if not _well(entities[number], kinds)), default=None)


def _kind(body: str) -> str:
    """An entity's keyword; of one that is several at once, all of it on a line."""
    return " ".join(body.split()) if body.startswith("(") else body.partition("(")[0].strip()


def _well(body: str, kinds: dict[int, str]) -> bool:
    """True when every part of an entity that is in the table has the references that it must have."""
    for keyword, given in re.findall(r"(\w+)\s*\(([^()]*)\)", body):
        wanted = _LINKS.get(keyword, ())
        found = [kinds.get(int(number), "") for number in re.findall(r"#(\d+)", given)]
        if len(found) < len(wanted):
            return False
        if not all(re.fullmatch(form, kind) for form, kind in zip(wanted, found, strict=False)):
            return False
    return True
