"""Repetitions of a sketch, solved from their figures: single openings, rows, rings, runs of edges about a centre."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from formparts.drawings.measuring import Axes
from formparts.drawings.places import turned
from formparts.drawings.sketch import SketchHole, SketchPattern
from formparts.outline import Point

if TYPE_CHECKING:
    from formparts.drawings.solving import Solver, Spot


def middle(solver: Solver, name: str) -> Point | None:
    """Return the centre of an opening or of a circle, by its name."""
    if name == "zero":
        return (0.0, 0.0)
    if name in solver.holes:
        return solver.places.get(name)
    return solver.centres.get(int(name[1:]))


def place_hole(solver: Solver, hole: SketchHole) -> None:
    if hole.name not in solver.places and hole.name not in solver.owned:
        if hole.concentric:
            found = middle(solver, hole.concentric)
            if found is not None:
                solver.places[hole.name] = found
        else:
            _placed(solver, hole.name, hole.middle)
    if hole.name not in solver.turns and (
        hole.name not in solver.owned or not solver.owned[hole.name][0].turning
    ):
        turn = 90.0 * hole.turned if hole.turned >= 0 else solver.figure(f"{hole.name}.turn")
        if turn is not None:
            solver.turns[hole.name] = turn


def _placed(solver: Solver, name: str, middle: bool = False) -> None:
    u, v = solver.place(name, 0)
    u = solver.around.width / 2.0 if middle else u
    if u is not None and v is not None:
        solver.places[name] = (u, v)


def follow_pattern(solver: Solver, pattern: SketchPattern) -> None:
    if pattern.kind == "grid":
        _grid(solver, pattern)
    elif pattern.kind == "ring":
        _ring(solver, pattern)
    else:
        _chain(solver, pattern)


def _grid(solver: Solver, pattern: SketchPattern) -> None:
    first = pattern.members[0]
    _placed(solver, first, solver.holes[first].middle)
    across, up = ("v", "u") if pattern.upright else ("u", "v")
    pitch = solver.figure(f"{pattern.name}.{across}") if pattern.columns > 1 else 0.0
    between = solver.figure(f"{pattern.name}.{up}") if pattern.rows > 1 else 0.0
    if first in solver.places and pitch is not None and between is not None:
        x, y = solver.places[first]
        for name, (at, row) in zip(pattern.members, grid_steps(pattern), strict=True):
            by = (row * between, at * pitch) if pattern.upright else (at * pitch, row * between)
            solver.places[name] = (x + by[0], y + by[1])


def grid_steps(pattern: SketchPattern) -> Iterator[tuple[float, int]]:
    """Return, for each opening of a grid, its pitches along the row and its rows from the first."""
    for row in range(pattern.rows):
        shifted = row % 2 == 1 and pattern.staggered != 0
        for at in range(pattern.others if shifted else pattern.columns):
            yield at + (pattern.staggered / 2.0 if shifted else 0.0), row


def _ring(solver: Solver, pattern: SketchPattern) -> None:
    if pattern.centre:
        centre = middle(solver, pattern.centre)
    else:
        _placed(solver, pattern.name)
        centre = solver.places.get(pattern.name)
    across, start = solver.figure(f"{pattern.name}.d"), _start(solver, pattern)
    if centre is None or across is None or start is None:
        return
    for at, name in enumerate(pattern.members):
        turn = start + 360.0 * at / len(pattern.members)
        x, y = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        solver.places[name] = (centre[0] + across / 2.0 * x, centre[1] + across / 2.0 * y)
        if pattern.turning:
            solver.turns[name] = turn + 90.0 * solver.holes[name].turned


def _start(solver: Solver, pattern: SketchPattern) -> float | None:
    return 90.0 * pattern.square if pattern.square >= 0 else solver.figure(f"{pattern.name}.turn")


def _chain(solver: Solver, pattern: SketchPattern) -> None:
    centre, start = middle(solver, pattern.centre), _start(solver, pattern)
    if centre is None or start is None:
        return
    solver.axes.setdefault(pattern.axes, Axes(centre, math.radians(start)))
    for at in range(1, len(pattern.edges)):
        turn = _copy_turn(solver, pattern, at)
        if turn is None:
            continue
        for here, there in _copied(solver, pattern, at):
            if here in solver.points and there not in solver.points:
                solver.points[there] = turned(solver.points[here], centre, turn)


def _copy_turn(solver: Solver, pattern: SketchPattern, at: int) -> float | None:
    """Return the rotation of a repeated run from the first [rad]."""
    if pattern.equal:
        return math.tau * at / len(pattern.edges)
    found = solver.figure(f"{pattern.name}.a{at}")
    return None if found is None else math.radians(found)


def _copied(solver: Solver, pattern: SketchPattern, at: int) -> Iterator[tuple[Spot, Spot]]:
    (loop, first, count), (other, there, _) = pattern.edges[0], pattern.edges[at]
    for n in range(-1, count):
        size, others = len(solver.flat.loops[loop]), len(solver.flat.loops[other])
        yield (loop, (first + n) % size), (other, (there + n) % others)


def copied_spots(solver: Solver, pattern: SketchPattern) -> Iterator[Spot]:
    for at in range(1, len(pattern.edges)):
        yield from (there for _, there in _copied(solver, pattern, at))


def copy_of(solver: Solver, spot: Spot) -> tuple[Spot, Point, float] | None:
    """Return the edge that this one copies, the centre and the rotation; None for an edge that is not a copy."""
    for pattern in solver.flat.patterns:
        for at in range(1, len(pattern.edges)):
            for here, there in _copied(solver, pattern, at):
                turn, centre = _copy_turn(solver, pattern, at), middle(solver, pattern.centre)
                if there == spot and spot in solver.copies and turn is not None and centre is not None:
                    return here, centre, turn
    return None
