"""Flats and bends on the blank, with the frame of each flat in space: the data to rebuild a model from."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from formparts.outline.regions import Loop
from formparts.unfolder.develop import Developed
from formparts.unfolder.pieces import Hinge, hinges_at, is_flat
from formparts.unfolder.placing import FlatMap, spot
from formparts.unfolder.results import FoundFeature, LaidBend, LaidFlat
from formparts.unfolder.sewing import BlankEdge, chained, moved_edge, sewn, straightened
from formparts.unfolder.solid_data import Plane
from formparts.unfolder.space import Pair, dot, times
from formparts.unfolder.walls import size


@dataclass(frozen=True, slots=True)
class Sewn:
    """The loops that are cut, and the notes on them."""

    outer: Loop
    holes: list[Loop]
    notes: list[str]
    features: tuple[FoundFeature, ...] = ()
    unexplained: float = 0.0
    healed: tuple[tuple[str, float], ...] = ()


def laid_out(
    skin: Developed, names: dict[int, str], cuts: Sewn, by: Pair
) -> tuple[tuple[LaidFlat, ...], tuple[LaidBend, ...]]:
    """Return all flats, the fixed one first, and the bends that lead from each to the next."""
    flats = tuple(
        _flat(skin, piece, names[piece], cuts, by) for piece in skin.maps if is_flat(skin.net.pieces[piece])
    )
    near = hinges_at(skin.net)
    order = {piece: number for number, piece in enumerate(skin.maps)}
    bends = []
    for piece in skin.maps:
        if is_flat(skin.net.pieces[piece]):
            continue
        beside = sorted({hinge.beyond(piece) for hinge in near.get(piece, [])}, key=order.__getitem__)
        lines = [_line(skin, piece, flat, near[piece], by) for flat in beside]
        if len(beside) == 2 and all(is_flat(skin.net.pieces[flat]) for flat in beside):
            parent, child = (names[flat] for flat in beside)
            bends.append(LaidBend(names[piece], parent, child, lines[0], lines[1]))
        else:
            bends.append(LaidBend(names[piece], "", "", None, None))
    return flats, tuple(bends)


def _flat(skin: Developed, piece: int, name: str, cuts: Sewn, by: Pair) -> LaidFlat:
    """Return one flat: its rim, its openings, and its frame."""
    runs = [run for run in skin.runs if run.piece == piece]
    chains = chained(runs)
    loops = [_shifted(straightened(sewn(chain)), by) for chain in chains]
    outer = max(range(len(loops)), key=lambda number: abs(size(loops[number])))
    hung = {number for number, chain in enumerate(chains) if any(_is_hinge(skin, run) for run in chain)}
    bent = tuple(loops[number] for number in sorted(hung - {outer}))
    inner = [loop for number, loop in enumerate(loops) if number not in hung | {outer}]
    kept = _cut_in(inner, [_shifted(hole, by) for hole in cuts.holes])
    where = skin.maps[piece]
    plane = skin.net.pieces[piece].surface
    assert isinstance(where, FlatMap)
    assert isinstance(plane, Plane)
    up = times(float(skin.side.sign), plane.normal)
    level = dot(plane.point, up) - skin.side.sign * skin.side.thickness / 2.0
    dx, dy = where.shift[0] + by[0], where.shift[1] + by[1]
    x, y, z = (-dx * a - dy * b + level * c for a, b, c in zip(where.x, where.y, up, strict=True))
    return LaidFlat(name, loops[outer], bent, tuple(kept), (x, y, z), where.x, where.y, up)


def _is_hinge(skin: Developed, run: BlankEdge) -> bool:
    """True when a bend hangs on an edge of a flat."""
    return skin.net.skin.issuperset(skin.part.edges[run.edge].faces)


def _shifted(loop: Loop, by: Pair) -> Loop:
    return Loop(tuple(moved_edge(edge, *by) for edge in loop.edges))


def _cut_in(rims: list[Loop], holes: list[Loop]) -> list[Loop]:
    """Return the openings inside the rims of a flat, in their order; those with a nearby centre are tested."""
    order = sorted(range(len(holes)), key=lambda number: _middle(holes[number])[0])
    middles = [_middle(holes[number])[0] for number in order]
    kept = []
    for rim in rims:
        slack, middle = _slack(rim), _middle(rim)[0]
        near = order[bisect_left(middles, middle - slack) : bisect_right(middles, middle + slack)]
        kept += [holes[number] for number in sorted(near) if _is_in(holes[number], rim)]
    return kept


def _is_in(hole: Loop, rim: Loop) -> bool:
    """True when an opening that is cut is the one that a rim of a flat encloses."""
    a, b, slack = hole.bounds, rim.bounds, _slack(rim)
    within = a[0] >= b[0] - slack and a[1] >= b[1] - slack and a[2] <= b[2] + slack and a[3] <= b[3] + slack
    return within and math.dist(_middle(hole), _middle(rim)) <= slack


def _middle(loop: Loop) -> Pair:
    left, below, right, above = loop.bounds
    return (left + right) / 2, (below + above) / 2


def _slack(rim: Loop) -> float:
    """Return how far the centre of an opening and of its rim may be apart [mm]."""
    left, below, right, above = rim.bounds
    return 0.05 * max(right - left, above - below)


def _line(skin: Developed, piece: int, flat: int, hinges: list[Hinge], by: Pair) -> tuple[Pair, Pair]:
    """Return the tangent line between a bend and a flat, as the flat has it, over all openings that cross it."""
    ends: list[tuple[float, Pair]] = []
    bend = skin.maps[piece]
    way = getattr(bend, "way", (1.0, 0.0))
    for hinge in hinges:
        if hinge.beyond(piece) != flat:
            continue
        edge = skin.part.edges[hinge.edge]
        for vertex in (edge.start, edge.end):
            x, y = spot(skin.net, flat, skin.maps[flat], skin.part.points[vertex], piece)
            ends.append((x * way[0] + y * way[1], (x + by[0], y + by[1])))
    ends.sort()
    return (ends[0][1], ends[-1][1])
