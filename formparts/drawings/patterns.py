"""Repetitions in a flat: runs of edges about a centre, openings on a circle, openings in rows."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from formparts.drawings.measuring import Axes, Carriers, FlatEdge
from formparts.drawings.places import turned
from formparts.drawings.sketch import SketchPattern
from formparts.drawings.words import OpeningInFlat, quarter
from formparts.outline import Arc, Line, Point
from formparts.tolerances import DRAWN_TURN, LENGTH, OFF_GRID

Spot = tuple[int, int]
_MAIN_TURN = 1.0
"""Arcs of one circle with less than this in all carry no pattern [rad]."""
_FEWEST, _FEWEST_STAGGERED = 3, 5
_LONGEST = 9
"""A run of more edges than this that occurs once is not a feature with axes of its own."""


@dataclass(frozen=True)
class RunOfEdges:
    """A run of edges between two arcs of one circle."""

    loop: int
    first: int
    count: int
    turn: float
    """Direction of its bend, or of its longest straight edge [deg]."""


@dataclass
class Chains:
    """Repetitions about the circles of loops."""

    copies: set[Spot] = field(default_factory=set)
    axes: dict[Spot, int] = field(default_factory=dict)
    groups: list[tuple[list[RunOfEdges], FlatEdge, int]] = field(default_factory=list)
    """The repeated runs, the first one dimensioned; an arc of the circle that they are about; the axes of the first."""
    base: dict[int, int] = field(default_factory=dict)
    """The carrier of the circle, by the number of a group."""
    bends: set[str] = field(default_factory=set)
    figures: dict[str, float] = field(default_factory=dict)

    def sketches(self, carriers: Carriers) -> list[SketchPattern]:
        """The patterns as sketched."""
        found = []
        for number, (pieces, arc, axes) in enumerate(self.groups):
            name = f"k{number}"
            turn = math.degrees(carriers.axes[axes].turn)
            square = quarter(turn)
            self.figures[f"{name}.turn"] = turn
            steps = [(piece.turn - pieces[0].turn) % 360.0 for piece in pieces]
            for at, step in enumerate(steps):
                self.figures[f"{name}.a{at}"] = step
            equal = all(abs(step - 360.0 * at / len(pieces)) < DRAWN_TURN for at, step in enumerate(steps))
            edges = tuple((piece.loop, piece.first, piece.count) for piece in pieces)
            base = self.base[number] = carriers.of(arc.edge, 0)
            found.append(
                SketchPattern(name, "chain", f"c{base}", edges=edges, equal=equal, square=square, axes=axes)
            )
        return found


def chains_of(
    loops: Sequence[Sequence[FlatEdge]], signature: Callable[[str], object], axes: list[Axes]
) -> Chains:
    """Find the repetitions in the loops of a flat; each gets axes of its own."""
    found = Chains()
    for number, loop in enumerate(loops):
        base = _base(loop)
        if base is None:
            continue
        for pieces in _groups(number, loop, base, signature):
            arc = loop[base[0]]
            assert isinstance(arc.edge, Arc)
            turns = [quarter(piece.turn % 180.0) for piece in pieces]
            start = next((at for at, turn in enumerate(turns) if turn >= 0), 0)
            pieces = [*pieces[start:], *pieces[:start]]
            turn = 0.0 if turns[start] >= 0 else pieces[0].turn % 90.0
            if len(pieces) == 1 and (turns[start] >= 0 or pieces[0].count > _LONGEST):
                continue
            axes.append(Axes(arc.edge.centre, math.radians(turn)))
            found.groups.append((pieces, arc, len(axes) - 1))
            for at, piece in enumerate(pieces):
                for n in range(piece.count):
                    spot = (number, (piece.first + n) % len(loop))
                    if at == 0:
                        found.axes[spot] = len(axes) - 1
                        found.bends |= {loop[spot[1]].bend} - {""}
                    else:
                        found.copies.add(spot)
    return found


def _base(loop: Sequence[FlatEdge]) -> list[int] | None:
    """Return the edges of a loop on the circle that carries the rest: the one with the longest arcs left."""
    circles: dict[int, list[int]] = {}
    for at, side in enumerate(loop):
        if isinstance(side.edge, Arc):
            same = next((first for first in circles if _alike(loop[first].edge, side.edge)), at)
            circles.setdefault(same, []).append(at)
    best, most = None, _MAIN_TURN
    for edges in circles.values():
        turn = sum(arc.sweep_rad for arc in (loop[at].edge for at in edges) if isinstance(arc, Arc))
        if turn > most and len(edges) < len(loop) and (len(edges) > 1 or turn > math.pi):
            best, most = edges, turn
    return best


def _alike(one: object, two: object) -> bool:
    assert isinstance(one, Arc)
    assert isinstance(two, Arc)
    return math.dist(one.centre, two.centre) < LENGTH and abs(one.radius - two.radius) < LENGTH


def _groups(
    number: int, loop: Sequence[FlatEdge], base: list[int], signature: Callable[[str], object]
) -> list[list[RunOfEdges]]:
    """Return the runs between the arcs of a circle, equal ones grouped, each group in order of angle."""
    centre = loop[base[0]].edge.centre  # type: ignore[union-attr]
    found: dict[object, list[RunOfEdges]] = {}
    for first, after in zip(base, [*base[1:], base[0] + len(loop)], strict=True):
        count = after - first - 1
        sides = [loop[(first + 1 + n) % len(loop)] for n in range(count)]
        lines = [side for side in sides if isinstance(side.edge, Line)]
        if not lines:
            continue
        bent = [side for side in lines if side.bend]
        main = bent[0] if bent else max(lines, key=lambda side: side.edge.length)
        (x0, y0), (x1, y1) = main.edge.start, main.edge.end
        turn = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 360.0
        turn = 0.0 if 360.0 - turn < DRAWN_TURN else turn
        back = -math.radians(turn)
        ends = [sides[0].edge.start, *(side.edge.end for side in sides)]
        shape = tuple(_grid(value) for end in ends for value in turned(end, centre, back))
        kinds = tuple(
            (type(side.edge).__name__, getattr(side.edge, "ccw", None), side.bend and signature(side.bend))
            for side in sides
        )
        found.setdefault((kinds, shape), []).append(RunOfEdges(number, (first + 1) % len(loop), count, turn))
    return [sorted(pieces, key=lambda piece: piece.turn) for pieces in found.values()]


def _grid(value: float) -> float:
    """Round values so that round figures do not fall on the border of two steps."""
    return round(value + OFF_GRID, 4) + 0.0


# --- openings ---


def opening_patterns(
    holes: list[OpeningInFlat], carriers: Carriers
) -> tuple[list[OpeningInFlat], list[SketchPattern], dict[str, float]]:
    """Return equal openings in rows or on a circle, with the figures of each pattern."""
    groups: dict[tuple[str, int], list[OpeningInFlat]] = {}
    for hole in holes:
        if not hole.sketch.outer:
            groups.setdefault((hole.sketch.size, 0), []).append(hole)
    patterns: list[SketchPattern] = []
    figures: dict[str, float] = {}
    for same in groups.values():
        if len(same) < _FEWEST:
            continue
        name = f"g{len(patterns)}"
        made = _grid_pattern(name, same) or _ring_pattern(name, same, holes, carriers)
        made = made or (_staggered_pattern(name, same) if len(same) >= _FEWEST_STAGGERED else None)
        if made is not None:
            patterns.append(made[0])
            figures |= made[1]
    return holes, patterns, figures


def _grid_pattern(name: str, holes: list[OpeningInFlat]) -> tuple[SketchPattern, dict[str, float]] | None:
    if len({hole.sketch.turned for hole in holes}) > 1 or holes[0].sketch.turned < 0:
        return None
    us, vs = _steps([hole.middle[0] for hole in holes]), _steps([hole.middle[1] for hole in holes])
    if us is None or vs is None or len(us) * len(vs) != len(holes):
        return None
    ordered = sorted(holes, key=lambda hole: (_grid(hole.middle[1]), hole.middle[0]))
    figures = {}
    if len(us) > 1:
        figures[f"{name}.u"] = (us[-1] - us[0]) / (len(us) - 1)
    if len(vs) > 1:
        figures[f"{name}.v"] = (vs[-1] - vs[0]) / (len(vs) - 1)
    members = tuple(hole.sketch.name for hole in ordered)
    for hole in ordered[1:]:
        hole.sketch = replace(hole.sketch, middle=False)
    return SketchPattern(name, "grid", members=members, rows=len(vs), columns=len(us)), figures


def _staggered_pattern(
    name: str, holes: list[OpeningInFlat]
) -> tuple[SketchPattern, dict[str, float]] | None:
    """Return rows of which every other one is shifted by half a pitch, along the axis with fewer rows."""
    if len({hole.sketch.turned for hole in holes}) > 1 or holes[0].sketch.turned < 0:
        return None
    along, rows = min(((axis, _rows(holes, axis)) for axis in (0, 1)), key=lambda found: len(found[1]))
    pitches = [two.middle[along] - one.middle[along] for row in rows for one, two in pairwise(row)]
    steps = _steps([row[0].middle[1 - along] for row in rows])
    if len(rows) < 2 or steps is None or len(rows[0]) < 2 or max(pitches) - min(pitches) > LENGTH:
        return None
    pitch, counts = sum(pitches) / len(pitches), [len(row) for row in rows]
    begins = [row[0].middle[along] - rows[0][0].middle[along] for row in rows]
    lead = 1 if begins[1] > 0 else -1
    off = [abs(begin - lead * (at % 2) * pitch / 2.0) for at, begin in enumerate(begins)]
    if max(off) > LENGTH or counts != [counts[at % 2] for at in range(len(rows))]:
        return None
    ordered = [hole for row in rows for hole in row]
    for hole in ordered[1:]:
        hole.sketch = replace(hole.sketch, middle=False)
    members = tuple(hole.sketch.name for hole in ordered)
    found = SketchPattern(
        name, "grid", members=members, rows=len(rows), columns=counts[0],
        staggered=lead, others=counts[1], upright=along == 1,
    )  # fmt: skip
    between = (steps[-1] - steps[0]) / (len(steps) - 1)
    return found, {f"{name}.{'uv'[along]}": pitch, f"{name}.{'vu'[along]}": between}


def _rows(holes: list[OpeningInFlat], along: int) -> list[list[OpeningInFlat]]:
    """Return openings level along an axis, grouped into sorted rows."""
    rows: list[list[OpeningInFlat]] = []
    for hole in sorted(holes, key=lambda one: one.middle[1 - along]):
        if rows and hole.middle[1 - along] - rows[-1][0].middle[1 - along] < LENGTH:
            rows[-1].append(hole)
        else:
            rows.append([hole])
    return [sorted(row, key=lambda one: one.middle[along]) for row in rows]


def _steps(places: list[float]) -> list[float] | None:
    """Return the distinct positions, if they are equally spaced."""
    found: list[float] = []
    for place in sorted(places):
        if not found or place - found[-1] > LENGTH:
            found.append(place)
    gaps = [two - one for one, two in pairwise(found)]
    return found if not gaps or max(gaps) - min(gaps) < LENGTH else None


def _ring_pattern(
    name: str, same: list[OpeningInFlat], holes: list[OpeningInFlat], carriers: Carriers
) -> tuple[SketchPattern, dict[str, float]] | None:
    n = len(same)
    centre = (sum(hole.middle[0] for hole in same) / n, sum(hole.middle[1] for hole in same) / n)
    radii = [math.dist(hole.middle, centre) for hole in same]
    if max(radii) - min(radii) > LENGTH or min(radii) < 1.0:
        return None
    turns = {hole.sketch.name: _turn(hole.middle, centre) for hole in same}
    ordered = sorted(same, key=lambda hole: turns[hole.sketch.name])
    first = next((i for i, hole in enumerate(ordered) if quarter(turns[hole.sketch.name]) >= 0), 0)
    ordered = [*ordered[first:], *ordered[:first]]
    begin = turns[ordered[0].sketch.name]
    for at, hole in enumerate(ordered):
        off = (turns[hole.sketch.name] - begin - 360.0 * at / n) % 360.0
        if min(off, 360.0 - off) * radii[0] > math.degrees(LENGTH):
            return None
    turning = False
    if same[0].sketch.kind != "circle":
        across = [quarter((hole.turn - turns[hole.sketch.name]) % 180.0) for hole in same]
        if across[0] < 0 or len({each % 2 for each in across}) > 1:
            return None
        turning = True
        for hole in ordered:
            hole.sketch = replace(hole.sketch, turned=across[0] % 2)
    for hole in ordered:
        hole.sketch = replace(hole.sketch, middle=False)
    ref = _centre_name(centre, same, holes, carriers)
    members = tuple(hole.sketch.name for hole in ordered)
    figures = {
        f"{name}.d": 2.0 * radii[0],
        f"{name}.turn": begin,
        f"{name}.u": centre[0],
        f"{name}.v": centre[1],
    }
    square = quarter(begin)
    return SketchPattern(name, "ring", ref, members=members, square=square, turning=turning), figures


def _turn(point: Point, centre: Point) -> float:
    turn = math.degrees(math.atan2(point[1] - centre[1], point[0] - centre[0])) % 360.0
    return 0.0 if 360.0 - turn < DRAWN_TURN else turn


def _centre_name(
    centre: Point, same: list[OpeningInFlat], holes: list[OpeningInFlat], carriers: Carriers
) -> str:
    """Return the name of what is at the centre of a ring: an opening, a circle, or nothing."""
    if math.dist(centre, (0.0, 0.0)) < LENGTH:
        return "zero"
    for hole in holes:
        if hole not in same and math.dist(hole.middle, centre) < LENGTH:
            return hole.sketch.name
    for number, carrier in enumerate(carriers.carriers):
        round_ = carrier.kind == "circle" and carrier.axes == 0
        if round_ and math.dist(carriers.figures[number][:2], centre) < LENGTH:
            return f"c{number}"
    return ""
