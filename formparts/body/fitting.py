"""Bends put on the edges of their flat to the last digit, where they lie within LENGTH."""

from __future__ import annotations

import math
from dataclasses import replace

from formparts.body.model import Bend, Flat
from formparts.body.rims import lies_on
from formparts.outline.edges import Line
from formparts.tolerances import FIT, LENGTH


def fitted(flat: Flat, bend: Bend) -> Bend:
    """
    The bend, with the flat as its parent, on the straight edge that it lies beside and in the corner that it ends by.

    It keeps its width and what hangs on it goes along, so that nothing is bent out of shape by the hair that it
    moves. Uniting outlines takes points within LENGTH for one and leaves such misfits; the kernel does not.
    """
    edges = (edge for edge in flat.net.edges if isinstance(edge, Line) and lies_on(edge, bend.parent_line))
    edge = next(edges, None)
    if edge is None:
        return bend
    (ax, ay), (bx, by) = edge.start, edge.end
    ux, uy = (bx - ax) / edge.length, (by - ay) / edge.length
    first = sum((x - a) * u for x, a, u in zip(bend.parent_line[0], edge.start, (ux, uy), strict=True))
    spare = edge.length - bend.width
    corner = next((place for place in (0.0, spare) if abs(first - place) <= LENGTH), first)
    ends = [(ax + place * ux, ay + place * uy) for place in (corner, corner + bend.width)]
    if all(math.dist(old, new) <= FIT for old, new in zip(bend.parent_line, ends, strict=True)):
        return bend
    return replace(bend, parent_line=(ends[0], ends[1]))
