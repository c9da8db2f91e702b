"""Read a written blank back from its DXF, and compare it with the intended blank."""

from __future__ import annotations

import math
import os
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, TypeAlias

from formparts.errors import FileProofError
from formparts.export.layers import BEND_LAYERS, CUT, FEATURE_LAYERS, FINDINGS, MARKED, NOTES
from formparts.layout import Blank
from formparts.outline import Arc, Edge, Line, Loop, Outline, Point, alike, circle_loop, outline_of, problem
from formparts.outline.regions import sorted_holes
from formparts.tolerances import LENGTH, ROUNDING, VOLUME_REL

Bulged: TypeAlias = tuple[Point, float]
"""A vertex, and the bulge of the edge that leaves it."""


@dataclass(frozen=True)
class DxfFigures:
    """The figures of a DXF, measured on the file.

    Parameters
    ----------
    outline : Outline
        The loops of the cut layer [mm].
    area : float [mm2]
        Area between them.
    cut_length : float [mm]
        Length of all of them.
    bend_lines : int [-]
        How many bend lines there are.
    """

    outline: Outline
    area: float
    cut_length: float
    bend_lines: int


def proved_blank_dxf(path: str | os.PathLike[str], blank: Blank) -> DxfFigures:
    """
    Read a DXF back and prove that it is this blank: closed, nothing twice, nothing crossing, same figures.

    Parameters
    ----------
    path : path
        The written file.
    blank : Blank
        What it is to hold [mm]; when it has overlaps, its loops may cross.

    Returns
    -------
    DxfFigures
        As measured on the file.

    Raises
    ------
    FileProofError
        It differs; the message says in what, with both figures.
    """
    document = _opened(path)
    for found in _faults(document, blank):
        raise FileProofError(str(path), found)
    outline = _outline([entity for entity in document.modelspace() if entity.dxf.layer == CUT], blank)
    return DxfFigures(outline, outline.area, outline.perimeter, len(blank.bends))


def _opened(path: str | os.PathLike[str]) -> Any:
    """The document; what the reader finds unsound is a fault."""
    import ezdxf

    try:
        document = ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError, UnicodeDecodeError) as error:
        raise FileProofError(str(path), f"cannot be read back: {error}") from error
    auditor = document.audit()
    for found in (*auditor.errors, *auditor.fixes):
        raise FileProofError(str(path), f"the reader found a fault: {found.message}")
    return document


def _faults(document: Any, blank: Blank) -> Iterator[str]:
    """Return the differences, the plainest first; later ones are only sought when there is none before."""
    entities = list(document.modelspace())
    cuts = [entity for entity in entities if entity.dxf.layer == CUT]
    yield from _unit_faults(document)
    yield from _layer_faults(document, entities)
    yield from _loop_faults(cuts)
    loops = [loop_of(entity) for entity in cuts]
    yield from _twice(loops)
    if len(loops) != len(blank.cut_outline.loops):
        yield f"{len(loops)} closed loops, and not {len(blank.cut_outline.loops)}"
    yield from _figure_faults(_outline(cuts, blank), blank)
    yield from _bend_faults(entities, blank)
    yield from _feature_faults(entities, blank)


def _feature_faults(entities: Sequence[Any], blank: Blank) -> Iterator[str]:
    """As many outlines and texts on the layer of each kind of feature as there are in the blank."""
    for kind, layer in FEATURE_LAYERS.items():
        wanted = [feature for feature in blank.features if feature.kind == kind]
        words = 0 if kind == MARKED else 1
        count = sum(len(feature.outlines) + len(feature.lines) + words for feature in wanted)
        found = sum(entity.dxf.layer == layer for entity in entities)
        if found != count:
            yield f"{found} marks on layer {layer}, and not {count}"


def _unit_faults(document: Any) -> Iterator[str]:
    """Refuse a wrong unit: the oldest version has none, every other must state mm."""
    if document.dxfversion == "AC1009":
        return
    for name, wanted in (("$INSUNITS", 4), ("$MEASUREMENT", 1)):
        if document.header.get(name) != wanted:
            yield f"{name} is {document.header.get(name)}, and not {wanted} (mm)"


def _layer_faults(document: Any, entities: Sequence[Any]) -> Iterator[str]:
    """Require only loops on the cut layer, lines on the bend layers, text among notes, marks among findings."""
    allowed = {CUT: ("LWPOLYLINE", "POLYLINE", "CIRCLE"), NOTES: ("TEXT",), FINDINGS: ("CIRCLE", "TEXT")}
    allowed |= dict.fromkeys(BEND_LAYERS.values(), ("LINE",))
    allowed |= dict.fromkeys(FEATURE_LAYERS.values(), ("LWPOLYLINE", "POLYLINE", "CIRCLE", "TEXT"))
    for layer in (CUT, *BEND_LAYERS.values()):
        if layer not in document.layers:
            yield f"the layer {layer} is missing"
    for entity in entities:
        if entity.dxftype() not in allowed.get(entity.dxf.layer, ()):
            yield f"a {entity.dxftype()} on layer {entity.dxf.layer}"
        if tuple(entity.dxf.get("extrusion", (0, 0, 1))) != (0, 0, 1):
            yield f"a {entity.dxftype()} is not drawn in the plane"


def _outline(cuts: Sequence[Any], blank: Blank) -> Outline:
    """Return the loops as one outline: the largest encloses the others.

    On a blank that overlaps itself an opening may enclose more than the sheet does; its loops are taken in the order
    and the sense in which they were drawn, the outer one first.
    """
    if not blank.overlaps:
        return outline_of([loop_of(entity) for entity in cuts])
    outer, *holes = cuts
    drawn = [loop_of(e).reversed() if e.dxftype() == "CIRCLE" else loop_of(e) for e in holes]
    return Outline(loop_of(outer), sorted_holes([hole.started() for hole in drawn]))


def _loop_faults(cuts: Sequence[Any]) -> Iterator[str]:
    """Open polylines, and edges of no length."""
    if not cuts:
        yield "nothing on the cut layer"
    for entity in cuts:
        if entity.dxftype() == "CIRCLE":
            if not entity.dxf.radius > LENGTH:
                yield f"a circle of radius {entity.dxf.radius:.6g} mm"
            continue
        vertices = list(_vertices(entity))
        if len(vertices) < 2:
            yield f"a polyline of {len(vertices)} vertices"
        if not entity.is_closed:
            first, last = vertices[0][0], vertices[-1][0]
            yield f"an open polyline: {math.dist(first, last):.6g} mm from its end to its start"
        for (place, curve), (after, _) in _pairs(vertices):
            if math.dist(place, after) <= LENGTH:
                yield f"an edge of no length at ({place[0]:.6g}, {place[1]:.6g})"
            if abs(curve) > 1.0 + ROUNDING:
                yield f"an arc of more than half a turn at ({place[0]:.6g}, {place[1]:.6g})"


def _vertices(entity: Any) -> Iterator[Bulged]:
    """Vertices of a polyline of either style."""
    if entity.dxftype() == "LWPOLYLINE":
        for x, y, curve in entity.get_points("xyb"):
            yield (float(x), float(y)), float(curve)
    else:
        for vertex in entity.vertices:
            x, y, _ = vertex.dxf.location
            yield (float(x), float(y)), float(vertex.dxf.get("bulge", 0.0))


def _pairs(vertices: Sequence[Bulged]) -> Iterator[tuple[Bulged, Bulged]]:
    """Each vertex with the one after it, round to the first."""
    yield from zip(vertices, [*vertices[1:], *vertices[:1]], strict=True)


def loop_of(entity: Any) -> Loop:
    """Return the loop of a circle or a closed polyline of the file."""
    if entity.dxftype() == "CIRCLE":
        x, y, _ = entity.dxf.center
        return circle_loop((float(x), float(y)), float(entity.dxf.radius))
    return Loop(
        tuple(edge_of(place, after, curve) for (place, curve), (after, _) in _pairs(list(_vertices(entity))))
    )


def edge_of(start: Point, end: Point, curve: float) -> Edge:
    """The edge from a vertex to the next one, by the bulge between them: tan of a quarter of the sweep."""
    if curve == 0.0:
        return Line(start, end)
    (x0, y0), (x1, y1) = start, end
    # The centre is this share of the chord to its left (of a clockwise arc: to its right).
    share = (1.0 - curve * curve) / (4.0 * curve)
    centre = ((x0 + x1) / 2.0 - share * (y1 - y0), (y0 + y1) / 2.0 + share * (x1 - x0))
    radius = math.dist(start, end) * (1.0 + curve * curve) / (4.0 * abs(curve))
    return Arc(start, end, centre, radius, curve > 0.0)


def _twice(loops: Sequence[Loop]) -> Iterator[str]:
    """Return edges that a cutter would run twice."""
    in_order = sorted(loops, key=lambda loop: loop.bounds)
    lefts = [loop.bounds[0] for loop in in_order]
    near = (
        (loop, other)
        for number, loop in enumerate(in_order)
        for other in in_order[number + 1 : bisect_right(lefts, lefts[number] + LENGTH)]
    )
    for first, second in near:
        gap = max(abs(a - b) for a, b in zip(first.bounds, second.bounds, strict=True))
        if gap <= LENGTH and alike(outline_of([first]), outline_of([second])):
            x, y = first.edges[0].start
            yield f"one loop stands there twice, at ({x:.6g}, {y:.6g})"


def _figure_faults(outline: Outline, blank: Blank) -> Iterator[str]:
    """Soundness, area, cut length, extents, and at last the whole shape."""
    found = None if blank.overlaps else problem(outline)
    if found:
        yield f"the outline is unsound: {found}"
    pairs = [
        ("area", outline.area, blank.cut_outline.area, "mm2"),
        ("cut length", outline.perimeter, blank.cut_length, "mm"),
    ]
    for name, read, meant, unit in pairs:
        if abs(read - meant) > VOLUME_REL * abs(meant):
            yield f"{name} {read:.9g} {unit}, and not {meant:.9g} {unit}"
    for read, meant in zip(outline.bounds, blank.cut_outline.bounds, strict=True):
        if abs(read - meant) > LENGTH:
            yield f"extents at {read:.9g} mm, and not at {meant:.9g} mm"
    if not alike(outline, blank.cut_outline):
        yield "the loops have another shape than the blank's"


def _bend_faults(entities: Sequence[Any], blank: Blank) -> Iterator[str]:
    """Require each bend's line once, on the layer of its direction, and no other."""
    for side, layer in BEND_LAYERS.items():
        lines = [_ends(entity) for entity in entities if entity.dxf.layer == layer]
        marks = [(mark.name, (mark.start, mark.end)) for mark in blank.bends if mark.side == side]
        if len(lines) != len(marks):
            yield f"{len(lines)} lines on layer {layer}, and not {len(marks)}"
        for name, ends in marks:
            if not any(_same_line(ends, line) for line in lines):
                yield f"no line for bend {name} on layer {layer}"
        for first, second in combinations(lines, 2):
            if _same_line(first, second):
                yield f"one line stands twice on layer {layer}"


def _ends(line: Any) -> tuple[Point, Point]:
    (x0, y0, _), (x1, y1, _) = line.dxf.start, line.dxf.end
    return (float(x0), float(y0)), (float(x1), float(y1))


def _same_line(first: tuple[Point, Point], second: tuple[Point, Point]) -> bool:
    """True when two lines have the same ends, whichever way round."""
    return any(
        math.dist(first[0], a) <= LENGTH and math.dist(first[1], b) <= LENGTH
        for a, b in (second, second[::-1])
    )
