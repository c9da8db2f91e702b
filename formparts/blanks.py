"""Develop the blank of a body: the rims of the flats are sewn together across the bends, and searched for overlaps."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice
from typing import Final, Literal

from formparts.arguments import takes
from formparts.body import Bend, Body, Rim, RimEdge, StripEdge, developed_length, laid_out, rims, strip_rims
from formparts.body.flats import is_wall_of
from formparts.body.frame import bend_frame
from formparts.layout import BendMark, Blank, FeatureMark, Overlap
from formparts.outline import (
    Loop,
    Outline,
    disc,
    intersect,
    merged,
    minimal_width,
    problem,
)
from formparts.outline.arrangement import arrange, edge_of
from formparts.outline.edges import Edge, Line, Motion, Point, boxes_meet
from formparts.outline.meeting import meet
from formparts.outline.regions import sorted_holes
from formparts.tolerances import LENGTH, SHORTEST_EDGE


@takes(body="Body")
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

    Examples
    --------
    >>> flat = blank(profile(Sheet(2, 2.5, "DC01", "K 0.44"), 30, run(40), up(90), run(25)))
    >>> round(flat.length, 3), round(flat.width, 3), flat.pierces
    (61.309, 30.0, 1)
    """
    laid = laid_out(body)
    outline = _outline(list(_sewn(body, rims(body), laid)))
    marks = tuple(_mark(body, bend, laid) for bend in body.bends)
    # Flats and bend strips overlap or touch only where the sewn outline has a self-intersection or
    # self-contact: the blank covers each point as often as its boundary winds round it, and simple loops wind
    # once.
    overlaps = () if problem(outline) is None else tuple(_overlaps(body, laid, outline))
    features = (*_features(body, laid), *_later(body, outline))
    return Blank(body.name, body.sheet.thickness, outline, marks, overlaps, features)


def _later(body: Body, outline: Outline) -> Iterator[FeatureMark]:
    """Return what is drilled or cut after bending, on the blank."""
    for opening in (one for flat in body.flats for one in flat.openings if one.after_bending):
        for loop in outline.holes:
            if is_wall_of(opening, loop):
                x0, y0, x1, y1 = loop.bounds
                middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
                yield FeatureMark("drilled", f"{opening.name}: after bending", (loop,), middle)


def _features(body: Body, laid: dict[str, Motion]) -> Iterator[FeatureMark]:
    """Return hole features as circles around their holes, and marks and formed features with their own lines."""
    for flat in body.flats:
        for opening in flat.openings:
            circle, feature = opening.outline.outer.circle, opening.feature
            if circle is None or feature is None:
                continue
            centre = laid[flat.name](circle[0])
            ring = disc(feature.diameter).outer.moved(Motion.shift(*centre))
            what = f"{feature.callout}, from the {feature.face} face"
            yield FeatureMark(_MARKS[feature.kind], what, (ring,), centre)
        for mark in (one.moved(laid[flat.name]) for one in flat.marks):
            side = f"{mark.words}, on the {mark.face} face"
            kind: Literal["marking", "formed"] = "marking" if mark.kind == "marking" else "formed"
            yield FeatureMark(kind, side, mark.loops, mark.middle, mark.lines)


_MARKS: Final[dict[str, Literal["standing", "sunk", "tap", "formed"]]] = {
    "countersunk": "sunk",
    "counterbored": "sunk",
    "tapped": "tap",
    "pressed": "standing",
    "extruded": "formed",
}
"""The marks of hole features on the blank."""


def allowance(body: Body, bend: Bend) -> float:
    """Developed length of one bend of a body [mm]."""
    return developed_length(body.sheet, bend)


def _outline(sewn: list[tuple[Loop, bool]]) -> Outline:
    """
    The outline from its sewn loops, each with the material to its left.

    A flange that is longer than its window encloses more than the window on the blank: loops are
    distinguished by the rims that they were sewn from, and not by their areas.
    """
    outside = max([loop for loop, outer in sewn if outer], key=lambda loop: loop.signed_area)
    holes = [loop.started() for loop, _ in sewn if loop is not outside]
    return Outline(outside.started(), sorted_holes(holes))


Key = tuple[str, int, int]
"""Flat or strip of a bend, number of the loop, number of the edge."""


@dataclass(frozen=True, slots=True)
class _Rim:
    """One edge on the blank, what follows it in its loop, and the edge of the neighbour that it lies on, if any."""

    edge: Edge
    after: Key
    of_flat: bool
    across: Key | None


def _sewn(
    body: Body, edges_of: dict[str, tuple[Rim, ...]], laid: dict[str, Motion]
) -> Iterator[tuple[Loop, bool]]:
    """Walk all rims; where a flat and a bend meet, continue on the other one.

    Each loop comes with whether it was sewn from outer loops only.
    """
    rim = _linked(body, edges_of, laid)
    todo = {key for key, here in rim.items() if here.across is None}
    for start in sorted(todo):
        if start not in todo:
            continue
        walked: list[_Rim | Point] = []
        outer, key = True, start
        while True:
            outer = outer and key[1] == 0
            here = rim[key]
            if here.across is None:
                todo.discard(key)
                walked.append(here)
                key = here.after
            else:
                beyond = rim[here.across]
                # The corner is the flat's: the bend comes to it within rounding.
                walked.append(here.edge.start if here.of_flat else beyond.edge.end)
                key = beyond.after
            if key == start:
                break
        yield merged(Loop(tuple(_joined(walked)))), outer


def _joined(walked: list[_Rim | Point]) -> Iterator[Edge]:
    """Return the edges of a loop; those of bends begin and end in the corners of the flats that they meet."""
    for number, here in enumerate(walked):
        if not isinstance(here, _Rim):
            continue
        before, after = walked[number - 1], walked[(number + 1) % len(walked)]
        start = here.edge.start if isinstance(before, _Rim) else before
        end = here.edge.end if isinstance(after, _Rim) else after
        yield here.edge if here.of_flat else replace(here.edge, start=start, end=end)


def _linked(body: Body, edges_of: dict[str, tuple[Rim, ...]], laid: dict[str, Motion]) -> dict[Key, _Rim]:
    """Return all edges of all flats and bends on the blank, linked around their loops and across."""
    met: dict[tuple[str, str, int], list[Key]] = {}
    found: list[tuple[Key, Edge, Key, bool, tuple[str, str, int] | None]] = []

    def note(
        name: str, loops: Iterable[Sequence[tuple[Edge, tuple[str, str, int] | None]]], flat: bool
    ) -> None:
        for number, loop in enumerate(loops):
            for place, (edge, contact) in enumerate(loop):
                key, after = (name, number, place), (name, number, (place + 1) % len(loop))
                found.append((key, edge, after, flat, contact))
                if contact is not None:
                    met.setdefault(contact, []).append(key)

    for flat, loops in edges_of.items():
        note(
            flat, [[(r.edge.moved(laid[flat]), _contact_of_rim(flat, r)) for r in rim] for rim in loops], True
        )
    for bend in body.bends:
        at = laid[bend.parent].after(bend_frame(*bend.parent_line))
        for number, loops_ in enumerate(strip_rims(bend, allowance(body, bend))):
            strips = [[(s.edge.moved(at), _contact_of_strip(bend, s)) for s in loop] for loop in loops_]
            note(f"{bend.name}\n{number}", strips, False)
    across = {one: two for pair in met.values() for one, two in (_pair(pair), _pair(pair)[::-1])}
    return {key: _Rim(edge, after, flat, across.get(key)) for key, edge, after, flat, _ in found}


def _pair(keys: list[Key]) -> tuple[Key, Key]:
    first, second = keys
    return first, second


def _contact_of_rim(flat: str, rim: RimEdge) -> tuple[str, str, int] | None:
    return None if rim.bend is None else (rim.bend.name, flat, rim.span)


def _contact_of_strip(bend: Bend, strip: StripEdge) -> tuple[str, str, int] | None:
    return (bend.name, strip.flat, strip.span) if strip.flat else None


def _mark(body: Body, bend: Bend, laid: dict[str, Motion]) -> BendMark:
    """Return the bend line, in the middle of the strip, from the first to the last material on it."""
    at = laid[bend.parent].after(bend_frame(*bend.parent_line))
    width = allowance(body, bend)
    first, last = _extent(bend, -width / 2.0)
    start, end = at((first, -width / 2.0)), at((last, -width / 2.0))
    area = bend.filled * bend.width * width if bend.openings else None
    return BendMark(bend.name, start, end, bend.angle, bend.side, bend.inside_radius, width, area)


def _extent(bend: Bend, height: float) -> tuple[float, float]:
    """From where to where along its line a bend is left at a height of its strip [mm]."""
    if not bend.openings:
        return 0.0, bend.width
    across = Line((-1.0, height), (bend.width + 1.0, height))
    found = [place[0] for net in bend.nets for edge in net.edges for place in meet(across, edge, LENGTH)]
    return min(found), max(found)


def strips(body: Body, bend: Bend, laid: dict[str, Motion]) -> list[Outline]:
    """Return the strips of the developed bend on the blank: a rectangle, less its openings."""
    at = laid[bend.parent].after(bend_frame(*bend.parent_line))
    return [piece.moved(at) for piece in bend.pieces(allowance(body, bend))]


def _overlaps(body: Body, laid: dict[str, Motion], outline: Outline) -> Iterator[Overlap]:
    """Return every pair of flats or strips that overlap, or touch (even in a point) where no bend joins them."""
    pieces = [(flat.name, flat.net.moved(laid[flat.name])) for flat in body.flats]
    pieces += [(bend.name, one) for bend in body.bends for one in strips(body, bend, laid)]
    joints = dict(_joints(body, laid))
    for (first, one), (second, two) in combinations(pieces, 2):
        if first != second and boxes_meet(one.bounds, two.bounds):
            pair = list(_pair_overlaps(first, one, second, two))
            pair = pair or list(_contact(first, one, second, two, joints.get((first, second))))
            yield from pair or _point_contact(first, one, second, two, outline)


def _joints(body: Body, laid: dict[str, Motion]) -> Iterator[tuple[tuple[str, str], Line]]:
    """Return where each flat is joined to each of its bends on the blank."""
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
    """Two flats or strips that touch along an edge that no bend joins: a cut of zero width."""
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
    """Two flats or strips that touch in a point, where the outline meets itself: a web of zero width."""
    pairs = [(a, b) for a in one.edges for b in two.edges if boxes_meet(a.bounds, b.bounds)]
    places = (point for pair in pairs for point in (*meet(*pair, LENGTH), *_common_ends(*pair)))
    rims = [edge for edge in outline.edges if boxes_meet(edge.bounds, one.bounds)]
    found = (at for at in places if _comes_twice(rims, at))
    yield from (Overlap(first, second, at, 0.0, 0.0) for at in islice(found, 1))


def _comes_twice(rims: list[Edge], place: Point) -> bool:
    """True when the edges of an outline pass a point a second time.

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
