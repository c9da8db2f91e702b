"""Move bends onto the edges of their flat to the last digit, where they lie within LENGTH."""

from __future__ import annotations

import math
from dataclasses import replace

from formparts.body.bends import Bend
from formparts.body.edges_beside_bends import Waiting
from formparts.body.flats import Flat
from formparts.outline.edges import Edge
from formparts.tolerances import FIT, LENGTH


def fitted(flat: Flat, bends: tuple[Bend, ...]) -> list[Bend]:
    """Return bends, with the flat as parent, each moved onto the straight edge and corner beside it.

    Each keeps its width and what hangs on it goes along, so that the tiny move distorts nothing. Uniting
    outlines takes points within LENGTH for one and leaves such misfits; the kernel does not.
    """
    waiting, found = Waiting(bends), list(bends)
    for loop in flat.net.loops:
        for edge, box in zip(loop.edges, loop.boxes, strict=True):
            for contact in waiting.taken(edge, box, LENGTH):
                # A bend that is met in several places has been put on its edges when its openings were cut.
                if not contact.bend.openings:
                    found[contact.number] = _on_edge(edge, contact.bend)
    return found


def _on_edge(edge: Edge, bend: Bend) -> Bend:
    """A bend put on the edge that it lies on within LENGTH."""
    (ax, ay), (bx, by) = edge.start, edge.end
    ux, uy = (bx - ax) / edge.length, (by - ay) / edge.length
    first = sum((x - a) * u for x, a, u in zip(bend.parent_line[0], edge.start, (ux, uy), strict=True))
    spare = edge.length - bend.width
    corner = next((place for place in (0.0, spare) if abs(first - place) <= LENGTH), first)
    ends = [(ax + place * ux, ay + place * uy) for place in (corner, corner + bend.width)]
    if all(math.dist(old, new) <= FIT for old, new in zip(bend.parent_line, ends, strict=True)):
        return bend
    return replace(bend, parent_line=(ends[0], ends[1]))
