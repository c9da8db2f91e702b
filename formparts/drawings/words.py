"""Openings described in text: circles, slots with round ends and rectangles, with their figures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from formparts.drawings.measuring import FlatEdge, Measured
from formparts.drawings.sketch import SketchHole
from formparts.outline import Arc, Line, Loop, Point
from formparts.tolerances import DRAWN_TURN, LENGTH, ROUNDING


@dataclass
class OpeningInFlat:
    """An opening in the axes of its flat, with its sketch and its figures."""

    sketch: SketchHole
    middle: Point
    turn: float
    """Angle of its long side [deg], from 0 up to 180."""
    sizes: tuple[float, ...]
    figures: dict[str, float] = field(default_factory=dict)


def holes_of(measured: Measured) -> dict[int, OpeningInFlat]:
    """Return each opening described in text, by the number of its loop."""
    found: dict[int, OpeningInFlat] = {}
    outer = -1 if measured.across else _outer(measured)
    for number, loop in enumerate(measured.loops):
        if any(side.bend for side in loop):
            continue
        whole = Loop(tuple(side.edge for side in loop))
        said = _circle(whole)
        if said is None and number != outer:
            said = _slot(whole) or _rectangle(whole)
        if said is not None:
            kind, middle, turn, sizes = said
            made = _hole(f"h{len(found)}", kind, middle, turn, sizes, loop, number == outer)
            made.sketch = replace(made.sketch, feature=measured.features.get(loop[0].edge.tag))
            made.sketch = replace(made.sketch, later=loop[0].edge.tag in measured.later)
            found[number] = made
    _sized(list(found.values()))
    _on_the_middle(measured, list(found.values()))
    return found


def rim_points(middle: Point, turn: float, sizes: Sequence[float]) -> list[Point]:
    """Return where the axes of a slot or rectangle at an angle [deg] meet its rim, the long axis first."""
    ux, uy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    long, wide = sizes[0] / 2.0, sizes[1] / 2.0
    return [
        (middle[0] + a * ux - b * uy, middle[1] + a * uy + b * ux)
        for a, b in ((long, 0.0), (-long, 0.0), (0.0, wide), (0.0, -wide))
    ]


def _outer(measured: Measured) -> int:
    areas = [abs(Loop(tuple(side.edge for side in loop)).signed_area) for loop in measured.loops]
    return areas.index(max(areas))


Said = tuple[str, Point, float, tuple[float, ...]]


def _circle(loop: Loop) -> Said | None:
    found = loop.circle
    return None if found is None else ("circle", found[0], 0.0, (2.0 * found[1],))


def _slot(loop: Loop) -> Said | None:
    if len(loop.edges) != 4:
        return None
    first = 0 if isinstance(loop.edges[0], Line) else 1
    one, arc, two, other = (loop.edges[(first + n) % 4] for n in range(4))
    if not (
        isinstance(one, Line) and isinstance(two, Line) and isinstance(arc, Arc) and isinstance(other, Arc)
    ):
        return None
    halves = all(abs(each.sweep_rad - math.pi) < DRAWN_TURN for each in (arc, other))
    if not halves or abs(arc.radius - other.radius) > LENGTH or abs(one.length - two.length) > LENGTH:
        return None
    middle = ((arc.centre[0] + other.centre[0]) / 2.0, (arc.centre[1] + other.centre[1]) / 2.0)
    # A hole has its material outside, so that half rounds bulge away from the centre.
    if math.dist(arc.point_at(0.5), middle) < math.dist(arc.centre, middle):
        return None
    sizes = (one.length + 2.0 * arc.radius, 2.0 * arc.radius)
    return "slot", middle, _direction(one), sizes


def _rectangle(loop: Loop) -> Said | None:
    lines = [edge for edge in loop.edges if isinstance(edge, Line)]
    arcs = [edge for edge in loop.edges if isinstance(edge, Arc)]
    if len(lines) != 4 or len(loop.edges) not in (4, 8) or (arcs and len(arcs) != 4):
        return None
    for one, two in zip(lines, [*lines[1:], lines[0]], strict=True):
        (ax, ay), (bx, by) = _run(one), _run(two)
        if abs(ax * bx + ay * by) > ROUNDING:
            return None
    radius = arcs[0].radius if arcs else 0.0
    if any(
        abs(arc.radius - radius) > LENGTH or abs(arc.sweep_rad - math.pi / 2.0) > DRAWN_TURN for arc in arcs
    ):
        return None
    if any(not isinstance(edge, Line) for edge in loop.edges[::2]) and any(
        not isinstance(edge, Line) for edge in loop.edges[1::2]
    ):
        return None
    ux, uy = _run(lines[0])
    along = [x * ux + y * uy for x, y in loop.vertices]
    across = [y * ux - x * uy for x, y in loop.vertices]
    a, b = max(along) - min(along), max(across) - min(across)
    if abs(abs(loop.signed_area) - (a * b - (4.0 - math.pi) * radius**2)) > DRAWN_TURN * a * b:
        return None
    s, d = (max(along) + min(along)) / 2.0, (max(across) + min(across)) / 2.0
    middle = (s * ux - d * uy, s * uy + d * ux)
    turn = _direction(lines[0])
    if a < b - LENGTH:
        a, b, turn = b, a, (turn + 90.0) % 180.0
    elif abs(a - b) <= LENGTH:
        turn %= 90.0
        turn = 0.0 if 90.0 - turn < DRAWN_TURN else turn
    return "rectangle", middle, turn, (a, b, radius) if arcs else (a, b)


def _run(line: Line) -> Point:
    return ((line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length)


def _direction(line: Line) -> float:
    """Return the direction of a line, from 0 up to 180 [deg]."""
    x, y = _run(line)
    turn = math.degrees(math.atan2(y, x)) % 180.0
    return 0.0 if 180.0 - turn < DRAWN_TURN else turn


def quarter(turn: float) -> int:
    """Return the quarter turns of a direction, or -1 when it is not a multiple."""
    near = round(turn / 90.0)
    return int(near) if abs(turn - 90.0 * near) < DRAWN_TURN else -1


def _hole(
    name: str,
    kind: str,
    middle: Point,
    turn: float,
    sizes: tuple[float, ...],
    loop: tuple[FlatEdge, ...],
    outer: bool,
) -> OpeningInFlat:
    tags = tuple(side.edge.tag for side in loop)
    sketch = SketchHole(name, kind, "", quarter(turn), len(sizes) > 2, outer=outer, tags=tags)  # type: ignore[arg-type]
    return OpeningInFlat(sketch, middle, turn, sizes)


def _sized(holes: list[OpeningInFlat]) -> None:
    """Give equal openings the same size key, and record the figures."""
    sizes: list[tuple[SketchHole, tuple[float, ...]]] = []
    for hole in holes:
        known = next(
            (
                n
                for n, (like, size) in enumerate(sizes)
                if (like.kind, like.feature, like.later)
                == (hole.sketch.kind, hole.sketch.feature, hole.sketch.later)
                and len(size) == len(hole.sizes)
                and all(abs(a - b) < LENGTH for a, b in zip(size, hole.sizes, strict=True))
            ),
            len(sizes),
        )  # fmt: skip
        if known == len(sizes):
            sizes.append((hole.sketch, hole.sizes))
        hole.sketch = replace(hole.sketch, size=f"s{known}")
        parts = ("d",) if hole.sketch.kind == "circle" else ("a", "b", "r")
        for part, value in zip(parts, hole.sizes, strict=False):
            hole.figures[f"s{known}.{part}"] = value
        name = hole.sketch.name
        hole.figures |= {f"{name}.u": hole.middle[0], f"{name}.v": hole.middle[1], f"{name}.turn": hole.turn}


def _on_the_middle(measured: Measured, holes: list[OpeningInFlat]) -> None:
    """Return openings on the centre line of the bend that leads to the flat."""
    for hole in holes:
        if measured.bend and abs(hole.middle[0] - measured.width / 2.0) < LENGTH:
            hole.sketch = replace(hole.sketch, middle=True)
