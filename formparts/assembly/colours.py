"""Colours of the products of a STEP file, added as text: the kernel's order depends on memory addresses."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from formparts.errors import KernelError

Colour = tuple[float, float, float]
_END = "ENDSEC;\nEND-ISO-10303-21;"


def with_colours(content: bytes, colours: Sequence[Colour]) -> bytes:
    """Give the solids of a file their colours, in the order of the solids in the file."""
    text = content.decode("ascii")
    bare = re.sub(r"\n\s*", "", text)
    solids = re.findall(r";#(\d+) = MANIFOLD_SOLID_BREP\(", bare)
    shapes = re.findall(r"ADVANCED_BREP_SHAPE_REPRESENTATION\('[^']*',\(([#\d,]+)\),#(\d+)\)", bare)
    if len(solids) != len(colours):
        raise KernelError("STEP of an assembly", f"it holds {len(solids)} solids, and not {len(colours)}")
    last = max(int(number) for number in re.findall(r"#(\d+) = ", bare))
    lines: list[str] = []
    for solid, colour in zip(solids, colours, strict=True):
        context = next(context for items, context in shapes if f"#{solid}" in items.split(","))
        styled = list(_style(last, solid, context, colour))
        lines += styled
        last += len(styled)
    head, mark, tail = text.rpartition(_END)
    return (head + "".join(f"{line}\n" for line in lines) + mark + tail).encode("ascii")


def _style(last: int, solid: str, context: str, colour: Colour) -> Iterator[str]:
    """The chain of entities from a colour to the solid that has it (ISO 10303-46, from memory)."""
    red, green, blue = (f"{part:.12f}".rstrip("0") for part in colour)
    for number, text in enumerate(
        (
            f"COLOUR_RGB('',{red},{green},{blue})",
            "FILL_AREA_STYLE_COLOUR('',#{before})",
            "FILL_AREA_STYLE('',(#{before}))",
            "SURFACE_STYLE_FILL_AREA(#{before})",
            "SURFACE_SIDE_STYLE('',(#{before}))",
            "SURFACE_STYLE_USAGE(.BOTH.,#{before})",
            "PRESENTATION_STYLE_ASSIGNMENT((#{before}))",
            f"STYLED_ITEM('color',(#{{before}}),#{solid})",
            f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{{before}}),#{context})",
        ),
        last + 1,
    ):
        yield f"#{number} = {text.replace('{before}', str(number - 1))};"
