"""Body to blank: the rims of the flats are sewn together across the developed bends, and searched for overlaps."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, islice

from formparts.body import Bend, Body, Rim, RimEdge, rims
from formparts.body.frame import bend_frame, inverse
from formparts.errors import InputError
from formparts.layout import BendMark, Blank, Overlap
from formparts.outline import (
    Loop,
    Outline,
    intersect,
    merged,
    minimal_width,
    outline_of,
    problem,
)
from formparts.outline.arrangement import arrange, edge_of
from formparts.outline.edges import Edge, Line, Motion, Point, boxes_meet
from formparts.outline.meeting import meet
from formparts.outline.regions import sorted_holes
from formparts.tolerances import LENGTH, SHORTEST_EDGE


def blank(body: Body) -> Blank:
    """
    Lay the part out flat, the root flat where it is, seen from its upper side.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    Blank
        Exact outline, bend lines, and every overlap [mm].

    Raises
    ------
    InputError
        A bend does not lie on the edge of its flat, or the bend rule has no figure for a bend.

    Source
    ------
    Exact mathematics: flats keep their shape, and each bend becomes a strip as long as its bend line and
    as wide as its allowance.
    """
    edges_of = rims(body)
    laid = laid_out(body)
    outline = _outline(list(_sewn(edges_of, laid)))
    marks = tuple(_mark(body, bend, laid) for bend in body.bends)
    # Pieces overlap or touch only where the sewn outline crosses or touches itself: the blank covers each point
    # as often as its boundary winds round it, and simple loops wind once.
    overlaps = () if problem(outline) is None else tuple(_overlaps(body, laid, outline))
    return Blank(body.name, body.sheet.thickness, outline, marks, overlaps)


def allowance(body: Body, bend: Bend) -> float:
    """Developed length of one bend of a body by its sheet's rule [mm]."""
    found = float(body.sheet.bend_rule.allowance(bend.angle, bend.inside_radius, body.sheet.thickness))
    if not found >= SHORTEST_EDGE:
        raise InputError(
            body.name,
            f"allowance of {bend.name}",
            found,
            f"is less than the shortest edge of {SHORTEST_EDGE:g} mm by {body.sheet.bend_rule}",
            "take a larger inside radius or another bend rule",
            "mm",
        )
    return found


def laid_out(body: Body) -> dict[str, Motion]:
    """
    Where every flat lies on the blank.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    dict of str to Motion
        By the flat's name: from the flat's coordinates to the blank's [mm].
    """
    laid = {body.flats[0].name: Motion()}
    for bend in body.bends:
        to_line = laid[bend.parent].after(bend_frame(*bend.parent_line))
        across = to_line.after(Motion.shift(0.0, -allowance(body, bend)))
        laid[bend.child] = across.after(inverse(bend_frame(*bend.child_line)))
    return laid


def _outline(sewn: list[tuple[Loop, bool]]) -> Outline:
    """
    The outline from its sewn loops, each with the material to its left.

    A flange that is longer than the window it stands in winds round more than the window on the blank: loops are
    told apart by the rims that they were sewn from, and not by their areas.
    """
    outside = max([loop for loop, outer in sewn if outer], key=lambda loop: loop.signed_area)
    holes = [loop.started() for loop, _ in sewn if loop is not outside]
    return Outline(outside.started(), sorted_holes(holes))


def _sewn(edges_of: dict[str, tuple[Rim, ...]], laid: dict[str, Motion]) -> Iterator[tuple[Loop, bool]]:
    """
    Walk all rims; at a bend go along the end of its strip and on round the flat beyond it.

    Each loop comes with whether it was sewn from outer loops of flats only.
    """
    following, across = _links(edges_of)
    todo = {key for key, (_, item) in following.items() if item.bend is None}
    for start in sorted(todo):
        if start not in todo:
            continue
        loop: list[Edge] = []
        outer, key = True, start
        while True:
            outer = outer and key[1] == 0
            after, item = following[key]
            if item.bend is None:
                todo.discard(key)
                loop.append(item.edge.moved(laid[key[0]]))
            else:
                beyond = across[key]
                loop.append(_strip_end(item, following[beyond][1], laid[key[0]], laid[beyond[0]]))
                after = following[beyond][0]
            key = after
            if key == start:
                break
        yield merged(Loop(tuple(loop))), outer


Key = tuple[str, int, int]
"""Flat, number of the loop, number of the edge."""


def _links(edges_of: dict[str, tuple[Rim, ...]]) -> tuple[dict[Key, tuple[Key, RimEdge]], dict[Key, Key]]:
    """What follows each rim edge in its loop, and which rim edge is opposite across a bend."""
    following: dict[Key, tuple[Key, RimEdge]] = {}
    by_bend: dict[str, list[Key]] = {}
    for flat, loops in edges_of.items():
        for number, rim in enumerate(loops):
            for place, item in enumerate(rim):
                key = (flat, number, place)
                following[key] = ((flat, number, (place + 1) % len(rim)), item)
                if item.bend is not None:
                    by_bend.setdefault(item.bend.name, []).append(key)
    across = {}
    for first, second in by_bend.values():
        across[first], across[second] = second, first
    return following, across


def _strip_end(here: RimEdge, there: RimEdge, from_here: Motion, from_there: Motion) -> Line:
    """The edge of a bend's strip that leaves the rim where the bend's line begins."""
    assert here.bend is not None
    return Line(from_here(here.edge.start), from_there(there.edge.end), f"{here.bend.name}.start")


def _mark(body: Body, bend: Bend, laid: dict[str, Motion]) -> BendMark:
    """The bend line, in the middle of the strip."""
    at = laid[bend.parent].after(bend_frame(*bend.parent_line))
    width = allowance(body, bend)
    start, end = at((0.0, -width / 2.0)), at((bend.width, -width / 2.0))
    return BendMark(bend.name, start, end, bend.angle, bend.side, bend.inside_radius, width)


def strip(body: Body, bend: Bend, laid: dict[str, Motion]) -> Outline:
    """The developed bend as it lies on the blank: a rectangle."""
    at = laid[bend.parent].after(bend_frame(*bend.parent_line))
    width = allowance(body, bend)
    corners: list[Point] = [(0.0, -width), (bend.width, -width), (bend.width, 0.0), (0.0, 0.0)]
    placed = [at(corner) for corner in corners]
    sides = zip(placed, placed[1:] + placed[:1], strict=True)
    return outline_of([Loop(tuple(Line(start, end) for start, end in sides))])


def _overlaps(body: Body, laid: dict[str, Motion], outline: Outline) -> Iterator[Overlap]:
    """Every pair of pieces that lie on one another, or touch where no bend joins them, be it in a point."""
    pieces = [(flat.name, flat.net.moved(laid[flat.name])) for flat in body.flats]
    pieces += [(bend.name, strip(body, bend, laid)) for bend in body.bends]
    joints = dict(_joints(body, laid))
    for (first, one), (second, two) in combinations(pieces, 2):
        if boxes_meet(one.bounds, two.bounds):
            pair = list(_pair_overlaps(first, one, second, two))
            pair = pair or list(_contact(first, one, second, two, joints.get((first, second))))
            yield from pair or _point_contact(first, one, second, two, outline)


def _joints(body: Body, laid: dict[str, Motion]) -> Iterator[tuple[tuple[str, str], Line]]:
    """Where each flat is joined to each of its bends on the blank."""
    for bend in body.bends:
        for flat, ends in ((bend.parent, bend.parent_line), (bend.child, bend.child_line)):
            start, end = (laid[flat](point) for point in ends)
            yield (flat, bend.name), Line(start, end)


def _pair_overlaps(first: str, one: Outline, second: str, two: Outline) -> Iterator[Overlap]:
    for common in intersect(one, two):
        depth = minimal_width(common)
        if depth > LENGTH:
            mx, my = common.first_moments
            place = (mx / common.area, my / common.area)
            yield Overlap(first, second, place, depth, common.area)


def _contact(first: str, one: Outline, second: str, two: Outline, joint: Line | None) -> Iterator[Overlap]:
    """Two pieces that touch along an edge which no bend joins: a cut of no width."""
    drawn = [
        ([loop.edges for loop in piece.loops], *sides) for piece, sides in ((one, (1, 0)), (two, (0, 1)))
    ]
    points, strands = arrange(drawn, LENGTH)
    shared = [edge_of(strand, points, True) for strand in strands if strand.a * strand.b < 0]
    touching = [edge for edge in shared if joint is None or joint.distance(edge.middle) > LENGTH]
    if math.fsum(edge.length for edge in touching) > SHORTEST_EDGE:
        longest = max(touching, key=lambda edge: edge.length)
        yield Overlap(first, second, longest.middle, 0.0, 0.0)


def _point_contact(
    first: str, one: Outline, second: str, two: Outline, outline: Outline
) -> Iterator[Overlap]:
    """Two pieces that touch in a point where the outline touches itself: a web of no width."""
    pairs = [(a, b) for a in one.edges for b in two.edges if boxes_meet(a.bounds, b.bounds)]
    places = (point for pair in pairs for point in (*meet(*pair, LENGTH), *_common_ends(*pair)))
    rims = [edge for edge in outline.edges if boxes_meet(edge.bounds, one.bounds)]
    found = (at for at in places if _comes_twice(rims, at))
    yield from (Overlap(first, second, at, 0.0, 0.0) for at in islice(found, 1))


def _comes_twice(rims: list[Edge], place: Point) -> bool:
    """
    True when the edges of an outline come by a place a second time.

    Where it only turns, two of its edges meet; else there is one more at least, or two touch in their middles.
    Those that lie on one another for a length are a contact along an edge.
    """
    near = [edge for edge in rims if edge.distance(place) <= LENGTH]
    ends = [end for edge in near for end in (edge.start, edge.end)]
    if len(near) == 2 and all(math.dist(end, place) > LENGTH for end in ends):
        return len(meet(near[0], near[1], LENGTH)) == 1
    return len(near) > 2


def _common_ends(one: Edge, two: Edge) -> Iterator[Point]:
    """Ends of one edge that are ends of another, within LENGTH."""
    yield from (a for a in (one.start, one.end) for b in (two.start, two.end) if math.dist(a, b) <= LENGTH)
