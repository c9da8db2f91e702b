"""Exact union, cut and intersection of outlines: lines stay lines, arcs stay arcs, no solid kernel.

Everything is laid over everything else at once; coincident edges, tangent arcs and shared corners are the
normal case. Each result is one connected area; where two of its boundaries meet in a point, the loops are split there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from formparts.arguments import takes
from formparts.errors import FormpartsError, InputError
from formparts.outline.arrangement import arrange, edge_of
from formparts.outline.edges import Edge, Point, boxes_meet, near_pairs
from formparts.outline.faces import Faces, InconsistentFacesError, Winding, faces_of
from formparts.outline.meeting import meet
from formparts.outline.regions import Loop, Outline, is_known_simple, known_simple, outline_of
from formparts.outline.simplify import merged
from formparts.outline.soundness import problem, shown
from formparts.tolerances import LENGTH


@takes(outlines="Outline")
def unite(*outlines: Outline) -> tuple[Outline, ...]:
    """
    Unite outlines that overlap, or touch along an edge.

    Parameters
    ----------
    outlines : Outline [mm]
        Any number; on edges they share, the first one's tag stays.

    Returns
    -------
    tuple of Outline [mm]
        One for each connected area, sorted by first vertex; areas that only touch in a point stay apart.

    Raises
    ------
    InputError
        An outline is not sound, and cannot be laid over the others.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> (shape,) = unite(rectangle(40, 20), shifted(disc(24), x=20))
    >>> round(shape.area, 3)
    1044.201
    """
    operands = [(outline, 1, 0) for outline in outlines]
    aside = [
        hole
        for i, outline in enumerate(outlines)
        for hole in _free_holes(outline, outlines[:i] + outlines[i + 1 :])
    ]
    return _overlay("unite", operands, lambda winding: winding[0] > 0, aside)


@takes(outline="Outline", tools="Outline")
def cut(outline: Outline, *tools: Outline) -> tuple[Outline, ...]:
    """
    Cut tools out of an outline.

    Parameters
    ----------
    outline : Outline [mm]
        What is cut; on shared edges its tags stay.
    tools : Outline [mm]
        What is taken away.

    Returns
    -------
    tuple of Outline [mm]
        One for each connected area that is left, sorted by first vertex; none when nothing is left.

    Raises
    ------
    InputError
        An outline is not sound, and cannot be laid over the others.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> left = cut(rectangle(40, 20), rectangle(10, 30))
    >>> len(left)
    2
    >>> shape = left[0]
    """
    if _is_pierced(outline, tools):
        loops = (*outline.loops, *[tool.outer.reversed() for tool in tools])
        return tuple(map(known_simple, _nested([merged(loop) for loop in loops])))
    operands = [(outline, 1, 0), *[(tool, 0, 1) for tool in tools]]
    aside = _free_holes(outline, tools)
    return _overlay("cut", operands, lambda winding: winding[0] > 0 and winding[1] <= 0, aside)


@takes(first="Outline", second="Outline")
def intersect(first: Outline, second: Outline) -> tuple[Outline, ...]:
    """Return what two outlines have in common.

    Parameters
    ----------
    first, second : Outline [mm]
        On edges they share, the first one's tag stays.

    Returns
    -------
    tuple of Outline [mm]
        One for each connected area, sorted by first vertex; none when they do not overlap.

    Raises
    ------
    InputError
        An outline is not sound, and cannot be laid over the others.

    Source
    ------
    exact mathematics

    Examples
    --------
    >>> (shape,) = intersect(rectangle(40, 20), disc(30))
    >>> round(shape.area, 3)
    551.984
    """
    operands = [(first, 1, 0), (second, 0, 1)]
    return _overlay("intersect", operands, lambda winding: winding[0] > 0 and winding[1] > 0)


def _free_holes(outline: Outline, others: Sequence[Outline]) -> list[Loop]:
    """Return holes that no other outline comes near: they stay unchanged."""
    if not outline.holes or not is_known_simple(outline):
        return []
    boxes = [other.bounds for other in others]
    return [hole for hole in outline.holes if not any(boxes_meet(hole.bounds, box) for box in boxes)]


def _overlay(
    where: str,
    operands: Sequence[tuple[Outline, int, int]],
    wanted: Callable[[Winding], bool],
    aside: Sequence[Loop] = (),
) -> tuple[Outline, ...]:
    """Lay operands over each other and give the connected areas of the wanted winding numbers; holes put aside stay."""
    left_out = set(map(id, aside))
    chains = [
        ([loop.edges for loop in outline.loops if id(loop) not in left_out], a, b)
        for outline, a, b in operands
    ]
    for tolerance in (LENGTH, 10.0 * LENGTH):
        try:
            points, strands = arrange(chains, tolerance)
            return _areas(faces_of(points, strands), wanted, aside)
        except InconsistentFacesError as error:
            last = error
    for number, (outline, _, _) in enumerate(operands, 1):
        fault = problem(outline)
        if fault:
            raise InputError(where, f"outlines[{number}]", shown(outline), fault, "fix the outline first")
    raise FormpartsError(f"outlines cannot be laid over each other, {last}: {operands!r}")


def _is_pierced(outline: Outline, tools: Sequence[Outline]) -> bool:
    """True when tools without holes lie free of each other and of all edges inside: each is one more hole."""
    if any(tool.holes for tool in tools) or not all(map(is_known_simple, (outline, *tools))):
        return False
    if any(near_pairs([tool.bounds for tool in tools])):
        return False
    return all(_lies_free(tool.outer, outline) for tool in tools)


def _lies_free(loop: Loop, outline: Outline) -> bool:
    """True when a loop lies wholly inside an outline, touches none of its edges, and goes round none of its holes."""
    start = loop.edges[0].start
    if sum([other.winds_round(start) for other in outline.loops]) <= 0:
        return False
    if any(loop.winds_round(hole.edges[0].start) for hole in outline.holes):
        return False
    whole, own = loop.bounds, list(zip(loop.edges, loop.boxes, strict=True))
    near = [each for other in outline.loops for each in zip(other.edges, other.boxes, strict=True)]
    return not any(
        boxes_meet(box, whole)
        and any(boxes_meet(box, own_box) and _touch(mine, edge) for mine, own_box in own)
        for edge, box in near
    )


def _touch(one: Edge, two: Edge) -> bool:
    """True when two edges meet, or begin in one point."""
    return bool(meet(one, two, LENGTH)) or math.dist(one.start, two.start) <= LENGTH


def _areas(faces: Faces, wanted: Callable[[Winding], bool], aside: Sequence[Loop]) -> tuple[Outline, ...]:
    """Connected areas whose winding numbers are wanted, with the holes put aside in them again."""
    inside = [wanted(winding) for winding in faces.left]
    border = {h for h in range(len(inside)) if inside[h] and not inside[h ^ 1]}
    loops = [loop for walk in _walks(faces, border) for loop in _simple(faces, walk)]
    keep = _touching_points(faces, border)
    found = _nested([*[merged(_loop(faces, loop), keep) for loop in loops], *map(merged, aside)])
    return found if keep else tuple(map(known_simple, found))


def _loop(faces: Faces, halves: Sequence[int]) -> Loop:
    """The loop along these half-edges."""
    return Loop(tuple([edge_of(faces.strands[h >> 1], faces.points, not h & 1) for h in halves]))


def _walks(faces: Faces, border: set[int]) -> Iterable[list[int]]:
    """Closed walks along the border, each round one side of one connected area."""
    left = dict.fromkeys(sorted(border))
    while left:
        half = next(iter(left))
        walk = []
        while half in left:
            del left[half]
            walk.append(half)
            half = _next_on_border(faces, border, half)
        yield walk


def _next_on_border(faces: Faces, border: set[int], half: int) -> int:
    """The border's half-edge that comes first when turning clockwise from the way back."""
    strand = faces.strands[half >> 1]
    fan = faces.fans[strand.start if half & 1 else strand.end]
    at = fan.index(half ^ 1)
    return next(out for out in (fan[at - i] for i in range(1, len(fan) + 1)) if out in border)


def _simple(faces: Faces, walk: list[int]) -> Iterable[list[int]]:
    """Split a walk where it comes back to a vertex, so that every loop passes each vertex once."""
    path: list[int] = []
    places: dict[int, int] = {}
    for half in [*walk, walk[0]]:
        strand = faces.strands[half >> 1]
        vertex = strand.end if half & 1 else strand.start
        if vertex in places:
            loop = path[places[vertex] :]
            del path[places[vertex] :]
            for each in loop:
                passed = faces.strands[each >> 1]
                places.pop(passed.end if each & 1 else passed.start)
            yield loop
        places[vertex] = len(path)
        path.append(half)


def _touching_points(faces: Faces, border: set[int]) -> frozenset[Point]:
    """Vertices that the border passes more than once."""
    seen: set[int] = set()
    twice: set[int] = set()
    for half in border:
        strand = faces.strands[half >> 1]
        vertex = strand.end if half & 1 else strand.start
        (twice if vertex in seen else seen).add(vertex)
    return frozenset(faces.points[vertex] for vertex in twice)


def _nested(loops: Sequence[Loop]) -> tuple[Outline, ...]:
    """Outlines from simple loops, each hole in the smallest one round it; what has no width falls away."""
    outers: list[tuple[float, Loop, list[Loop]]] = []
    holes: list[Loop] = []
    for loop in loops:
        area = loop.signed_area
        if abs(area) <= LENGTH * loop.length / 2.0:
            continue
        if area > 0.0:
            outers.append((area, loop, []))
        else:
            holes.append(loop)
    outers.sort(key=lambda outer: outer[0])
    for hole in holes:
        # An edge's middle, because a hole may touch its outer loop in a vertex.
        middle = max(hole.edges, key=lambda edge: edge.length).middle
        owner = next((o for o in outers if len(outers) == 1 or o[1].winds_round(middle) > 0), None)
        if owner is None:
            raise InconsistentFacesError(f"a hole lies in no outline, near {middle}")
        owner[2].append(hole)
    outlines = [outline_of([outer, *inner]) for _, outer, inner in outers]
    return tuple(sorted(outlines, key=lambda o: [round(value, 6) for value in o.outer.edges[0].start]))
