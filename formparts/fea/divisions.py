"""The number of divisions of every edge of a body, so that meshes that meet along it agree."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from formparts.body import Bend, Body, Flat, Rim, RimEdge, strip_rims
from formparts.fea.sizing import Sizing
from formparts.outline.edges import Arc, Edge, Line
from formparts.tolerances import ANGLE_DEG, ROUNDING

WIDEST_ARC: float = math.radians(22.5)
"""The longest division of an arc [rad]: a parabola over it lies within 4e-5 radii of the arc."""

RimNumber = tuple[str, int, int]
"""Flat, loop, edge."""
Key = RimNumber | str
"""What is divided: an edge of a flat, a whole bend, or an edge of what openings leave of one."""
_STRETCHED: float = 2.0
"""Elements of a bend with openings are at most so many times longer along it than round it."""


@dataclass(frozen=True)
class Divisions:
    """The number of divisions of each rim edge; an edge on a bend counts under the bend's name, for both its flats."""

    lengths: Sizing
    thickness: float
    pieces: dict[Key, int]
    bends: dict[RimNumber, str]

    def of(self, flat: str, loop: int, number: int) -> int:
        key = (flat, loop, number)
        return self.pieces[self.bends.get(key, key)]

    def steps(self, bend: Bend) -> int:
        """Return the number of rows of a bend around its angle, limited by element size and by the width of an arc."""
        turn = math.radians(bend.angle)
        return _rows(bend, turn * (bend.inside_radius + self.thickness / 2.0), self.lengths.at(bend.name))

    def finer(self, crowded: Sequence[Key]) -> Divisions:
        """Return twice the divisions where edges were too coarse."""
        keys: set[Key] = {key if isinstance(key, str) else self.bends.get(key, key) for key in crowded}
        doubled = {key: 2 * self.pieces[key] for key in keys}
        return replace(self, pieces=self.pieces | doubled)


def divided(body: Body, around: dict[str, tuple[Rim, ...]], lengths: Sizing) -> Divisions:
    """Return divisions of about one size, shorter on tight arcs, equal on opposite sides of four-sided flats."""
    lengths = _two_across(body, around, lengths) if lengths.side_by_side else lengths
    pieces: dict[Key, int] = {}
    bends: dict[RimNumber, str] = {}
    for key, item in _numbered(around):
        bend = item.bend
        if bend is not None and not bend.openings:
            bends[key] = bend.name
        count = bends.get(key, key)
        size = lengths.at(key[0], *_within(bend.name if bend else item.edge.tag))
        if bend is not None and bend.openings:
            size = min(size, *(strip_sizes(bend, piece, lengths)[0] for piece in range(len(bend.nets))))
        pieces[count] = max(pieces.get(count, 1), _pieces(item.edge, size))
    for bend in body.bends:
        pieces |= dict(_strips(bend, lengths)) if bend.openings else {}
    counts = Divisions(lengths, body.sheet.thickness, pieces, bends)
    for flat in body.flats:
        counts = _two_rows(flat, around[flat.name], counts) if lengths.side_by_side else counts
        counts = _matched(flat, around[flat.name], counts)
    return counts


def _two_across(body: Body, around: dict[str, tuple[Rim, ...]], lengths: Sizing) -> Sizing:
    """
    Shorter elements on narrow flats, so that two lie side by side.

    A strip that is one element wide has zero-energy modes when its elements have reduced integration, as S8R
    and C3D20R do: its deflection is then arbitrary. Area by perimeter is half the width of a strip.
    """
    narrow = []
    for flat in body.flats:
        if len(around[flat.name]) > 1 or _four(around[flat.name][0]) is None:
            size = flat.net.area / flat.net.perimeter
            narrow += [(flat.name, size)] if size < lengths.at(flat.name) else []
    return replace(lengths, local=(*lengths.local, *narrow))


def _two_rows(flat: Flat, around: tuple[Rim, ...], counts: Divisions) -> Divisions:
    """Return two divisions or more on each side of a flat of four sides, for the same reason."""
    groups = _four(around[0]) if len(around) == 1 else None
    changed: dict[Key, int] = {}
    for group in groups or ():
        if sum(counts.of(flat.name, 0, number) for number in group) < 2:
            key = (flat.name, 0, group[0])
            changed[counts.bends.get(key, key)] = 2
    return replace(counts, pieces=counts.pieces | changed)


def _rows(bend: Bend, length: float, size: float) -> int:
    """How many elements lie round a bend whose strip is so long."""
    widest = math.ceil(math.radians(bend.angle) / WIDEST_ARC - ANGLE_DEG)
    return max(1, widest, math.ceil(length / size - ROUNDING))


def strip_sizes(bend: Bend, piece: int, lengths: Sizing) -> tuple[float, float]:
    """How long elements are along and around a region of a bend that openings have left [mm]."""
    along, left = lengths.at(bend.name), bend.nets[piece]
    if lengths.side_by_side:
        along = min(along, left.area / left.perimeter)
    round_ = bend.developed / _rows(bend, bend.developed, along)
    return min(along, _STRETCHED * round_), round_


def strip_key(bend: Bend, piece: int, loop: int, number: int) -> str:
    """Return the key of the divisions of an edge of a bend's region."""
    return f"{bend.name}: {piece}, {loop}, {number}"


def _strips(bend: Bend, lengths: Sizing) -> Iterator[tuple[str, int]]:
    """Return the divisions of every free edge of what openings have left of a bend."""
    for piece, loops in enumerate(strip_rims(bend, bend.developed)):
        along, round_ = strip_sizes(bend, piece, lengths)
        for loop, edges in enumerate(loops):
            for number, one in enumerate(edges):
                height = abs(one.edge.end[1] - one.edge.start[1])
                local = lengths.at(bend.name, *_within(one.edge.tag))
                count = max(_pieces(one.edge, min(along, local)), math.ceil(height / round_ - ROUNDING))
                yield strip_key(bend, piece, loop, number), count


def _within(name: str) -> list[str]:
    """Return a name and the names that contain it: `ear.hole.wall`, `ear.hole`, `ear`."""
    parts = name.split(".")
    return [".".join(parts[:count]) for count in range(len(parts), 0, -1)]


def _numbered(around: dict[str, tuple[Rim, ...]]) -> Iterator[tuple[RimNumber, RimEdge]]:
    for flat, loops in around.items():
        for loop, rim in enumerate(loops):
            for number, item in enumerate(rim):
                yield (flat, loop, number), item


def _pieces(edge: Edge, size: float) -> int:
    least = math.ceil(edge.sweep_rad / WIDEST_ARC - ANGLE_DEG) if isinstance(edge, Arc) else 1
    return max(least, math.ceil(edge.length / size - ROUNDING), 1)


def _four(rim: Rim) -> list[list[int]] | None:
    """The numbers of the edges on each of four straight sides, anticlockwise; None when there are not just four."""
    groups: list[list[int]] = []
    for number, item in enumerate(rim):
        if not isinstance(item.edge, Line):
            return None
        if groups and not _turns(rim[groups[-1][-1]].edge, item.edge):
            groups[-1].append(number)
        else:
            groups.append([number])
    if len(groups) > 1 and not _turns(rim[groups[-1][-1]].edge, rim[groups[0][0]].edge):
        groups[0] = groups.pop() + groups[0]
    corners = [_turns(rim[groups[i - 1][-1]].edge, rim[groups[i][0]].edge) > 0.0 for i in range(len(groups))]
    return groups if len(groups) == 4 and all(corners) else None


def _turns(first: Edge, second: Edge) -> float:
    """Sine of the turn from one straight edge to the next, nought when they are in line."""
    ax, ay = first.end[0] - first.start[0], first.end[1] - first.start[1]
    bx, by = second.end[0] - second.start[0], second.end[1] - second.start[1]
    sine = (ax * by - ay * bx) / (math.hypot(ax, ay) * math.hypot(bx, by))
    return sine if abs(sine) > ROUNDING else 0.0


def _matched(flat: Flat, around: tuple[Rim, ...], counts: Divisions) -> Divisions:
    """Give a free side the number of divisions of the side opposite."""
    groups = _four(around[0]) if len(around) == 1 else None
    if groups is None:
        return counts
    changed: dict[Key, int] = {}
    for one, other in ((0, 2), (1, 3)):
        first, second = (sum(counts.of(flat.name, 0, n) for n in groups[side]) for side in (one, other))
        for side, wanted, own in ((one, second, first), (other, first, second)):
            key = (flat.name, 0, groups[side][0])
            if own < wanted and len(groups[side]) == 1 and key not in counts.bends:
                changed[key] = wanted
    return replace(counts, pieces=counts.pieces | changed)


def sides(flat: Flat, around: tuple[Rim, ...], counts: Divisions) -> tuple[int, int, int, int] | None:
    """Return the first side's start on the loop, divisions across and onward, and edges; None if not in rows."""
    groups = _four(around[0]) if len(around) == 1 else None
    if groups is None:
        return None
    totals = [sum(counts.of(flat.name, 0, n) for n in group) for group in groups]
    if totals[0] != totals[2] or totals[1] != totals[3]:
        return None
    first = sum(counts.of(flat.name, 0, n) for n in range(groups[0][0]))
    return first, totals[0], totals[1], len(around[0])
