"""From what a drawing's coordinates are measured."""

from __future__ import annotations

from formparts.drawings.sketching import Drawn


def _tags(drawn: Drawn) -> dict[str, str]:
    """Return the names of carriers and openings: the tag of their longest edge."""
    found: dict[str, tuple[float, str]] = {}
    for loop, row in zip(drawn.loops, drawn.sketch.loops, strict=True):
        for side, edge in zip(loop, row, strict=True):
            key, long = f"c{edge.carrier}", side.edge.length
            if edge.carrier >= 0 and long > found.get(key, (0.0, ""))[0]:
                found[key] = (long, side.bend or side.edge.tag)
    names = {key: tag for key, (_, tag) in found.items()}
    return names | {
        hole.name: hole.tags[0].partition(".rim")[0] if hole.tags else hole.name
        for hole in drawn.sketch.holes
    }


def zero_name(drawn: Drawn, level: bool) -> str:
    """Return the name of the feature at the zero of the first flat, along an axis."""
    tags = _tags(drawn)
    for key in drawn.sketch.zeros:
        head = key.partition(".")[0]
        if key.endswith((".u", ".v")):
            return f"centre of {tags.get(head, head)}"
        carrier = drawn.sketch.carriers[int(head[1:])]
        if (carrier.kind == "level") == level:
            outside = f"outside of {carrier.outside}"
            return outside if carrier.outside else tags.get(head, head)
    return "zero"
