"""Sketch a body: the shape of each flat, and behind it every figure that could be asked for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from formparts.body import Bend, Body
from formparts.drawings.measuring import (
    Axes,
    Carriers,
    FlatEdge,
    Measured,
    setback,
    side_of_centre,
    sketch_edge,
)
from formparts.drawings.patterns import Chains, chains_of, opening_patterns
from formparts.drawings.sketch import SketchEdge, SketchFlat, SketchHole, SketchPattern
from formparts.drawings.words import OpeningInFlat, holes_of
from formparts.outline import Arc, Edge, Line, Point
from formparts.tolerances import ANGLE_DEG, LENGTH, OFF_GRID

_MAIN = 0.35
"""A circle of more than this share of a flat is its main opening or rim, from which the rest is measured."""
_GAUGED = 0.25
"""A straight edge of at least this share of a flat is long enough to rest against a gauge."""
_ROUND = 2.0
"""An arc of more than this is enough of a circle to find its centre [rad]."""
_OFFSETS = (5.0, 170.0)
"""Angles of offsets given by their rise [deg]; below the range the slope length would be too sensitive to it."""


@dataclass
class Drawn:
    """A flat's sketch, and the figures behind it in the flat's axes."""

    measured: Measured
    sketch: SketchFlat
    axes: list[Axes]
    carriers: Carriers
    loops: list[tuple[FlatEdge, ...]]
    figures: dict[str, float] = field(default_factory=dict)
    """Values of openings and patterns, by key."""
    chain_bends: frozenset[str] = frozenset()
    """Bends on the first runs of repetitions."""
    zero_is_middle: bool = False
    setbacks: dict[str, float] = field(default_factory=dict)
    """Distances from tangent lines to the outside of bends [mm]."""


def drawn_flat(
    body: Body, measured: Measured, signature: Callable[[str], object], offset: tuple[str, str]
) -> Drawn:
    """
    Sketch one flat.

    `signature` describes what is beyond a bend; `offset` names the second bend of an offset whose slope this
    is, and the first flat if this is the level flat beyond such a slope.
    """
    measured, words, zeros, anchor = zeroed(measured, body)
    general = [loop for at, loop in enumerate(measured.loops) if at not in words]
    axes = [Axes()]
    chains = chains_of(general, signature, axes)
    carriers = Carriers(axes)
    numbers = [
        [
            None if (at, i) in chains.copies else carriers.of(side.edge, chains.axes.get((at, i), 0))
            for i, side in enumerate(loop)
        ]
        for at, loop in enumerate(general)
    ]
    loops = tuple(
        tuple(_edge(loop, numbers[at], i, carriers) for i in range(len(loop)))
        for at, loop in enumerate(general)
    )
    holes = list(words.values())
    holes, patterns, figures = opening_patterns(holes, carriers)
    anchored = _anchored(anchor, holes, carriers)
    outsides = _outsides(body, measured, general, numbers, carriers, offset)
    setbacks = {one.name: setback(one.angle, one.inside_radius, body.sheet.thickness) for one in body.bends}
    zero_keys = _zero_keys(zeros, anchored, carriers, setbacks)
    if anchor or measured.across:
        zero_keys += tuple(_on_the_centre_lines(holes, carriers, zero_keys))
    repeated = chains.sketches(carriers)
    _concentrics(holes, carriers, anchored, chains, patterns)
    sketch = SketchFlat(
        measured.name,
        measured.bend.name if measured.bend else "",
        tuple(carriers.carriers),
        loops,
        tuple(hole.sketch for hole in holes),
        (*repeated, *patterns),
        zeros=zero_keys,
        plan=offset[1],
        rise=outsides.get(offset[0], -1) if offset[0] else -1,
        pairs=tuple(_pairs(carriers, bool(anchor))),
        across=measured.across,
    )
    figures |= chains.figures
    for hole in holes:
        figures |= hole.figures
    drawn = Drawn(
        measured, sketch, axes, carriers, general, figures, frozenset(chains.bends), bool(anchor),
        setbacks,
    )  # fmt: skip
    return drawn


def _edge(loop: Sequence[FlatEdge], numbers: Sequence[int | None], i: int, carriers: Carriers) -> SketchEdge:
    here, after, before = loop[i], loop[(i + 1) % len(loop)], loop[i - 1]
    number, following = numbers[i], numbers[(i + 1) % len(loop)]
    if number is None or following is None:
        made = sketch_edge(here, after, -1, -1)
        return replace(made, carrier=-1 if number is None else number, joint="along", pick=0)
    made = sketch_edge(here, after, number, following)
    arc = here.edge
    most = max(carriers.carriers[number].axes, carriers.carriers[following].axes)
    axes = carriers.axes[most]
    spot = (_quarter(here.edge, arc.end, axes), _quarter(after.edge, arc.end, axes))
    if isinstance(arc, Arc):
        made = replace(
            made,
            before=side_of_centre(before.edge, arc.centre) if isinstance(before.edge, Line) else 0,
            after=side_of_centre(after.edge, arc.centre) if isinstance(after.edge, Line) else 0,
        )
    return replace(made, spot=spot)


def _quarter(edge: object, at: Point, axes: Axes) -> int:
    """Return the quadrant of a point about the centre of its circle."""
    if not isinstance(edge, Arc):
        return 0
    (u, v), (cu, cv) = axes.local(at), axes.local(edge.centre)
    return (1 if u > cu else 0) + (2 if v > cv else 0)


# --- zeros ---


def zeroed(
    measured: Measured, body: Body
) -> tuple[Measured, dict[int, OpeningInFlat], tuple[str, ...], Point | None]:
    """Return the flat with its measuring zero, the openings described in text, and what is at the zeros."""
    if measured.bend is not None or measured.across:
        return measured, holes_of(measured), (), None
    main = _main_circle(measured)
    if main is not None:
        moved = measured.shifted((-main[0], -main[1]))
        return moved, holes_of(moved), ("u", "v"), (0.0, 0.0)
    found = [_gauged(measured, body, axis) for axis in (0, 1)]
    if any(each is None for each in found):
        point = _any_circle(measured)
        moved = measured.shifted((-point[0], -point[1]))
        return moved, holes_of(moved), ("u", "v"), (0.0, 0.0)
    assert found[0] is not None
    assert found[1] is not None
    moved = measured.shifted((-found[0], -found[1]))
    return moved, holes_of(moved), ("upright", "level"), None


def _circles(measured: Measured) -> Iterator[tuple[Point, float]]:
    """Return centres and radii of the arcs that are enough of a circle, alone or with others of the same circle."""
    turns: dict[tuple[float, ...], tuple[float, Arc]] = {}
    for loop in measured.loops:
        for side in loop:
            if isinstance(side.edge, Arc):
                arc = side.edge
                key = tuple(round(value + OFF_GRID, 4) for value in (*arc.centre, arc.radius))
                turns[key] = (turns.get(key, (0.0, arc))[0] + arc.sweep_rad, arc)
    for turn, arc in turns.values():
        if turn > _ROUND:
            yield arc.centre, arc.radius


def extents(measured: Measured) -> tuple[float, float, float, float]:
    """Return the bounding box of a flat in its axes."""
    boxes = [side.edge.bounds for loop in measured.loops for side in loop]
    return (
        min(box[0] for box in boxes), min(box[1] for box in boxes),
        max(box[2] for box in boxes), max(box[3] for box in boxes),
    )  # fmt: skip


def _main_circle(measured: Measured) -> Point | None:
    x0, y0, x1, y1 = extents(measured)
    least = _MAIN * min(x1 - x0, y1 - y0) / 2.0
    found = [(radius, centre) for centre, radius in _circles(measured) if radius >= least]
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    # A rounded tip or corner is not a main circle: its centre lies near the rim.
    inner = [
        (radius, centre)
        for radius, centre in found
        if abs(centre[0] - middle[0]) < 0.25 * (x1 - x0) and abs(centre[1] - middle[1]) < 0.25 * (y1 - y0)
    ]
    return max(inner)[1] if inner else None


def _any_circle(measured: Measured) -> Point:
    """Return the centre of the largest circle; for a flat without circles one of its corners."""
    found = sorted(((radius, centre) for centre, radius in _circles(measured)), reverse=True)
    if found:
        return found[0][1]
    return measured.loops[0][0].edge.end


def _gauged(measured: Measured, body: Body, axis: int) -> float | None:
    """Return the zero of an axis: the longest straight edge square to it, at the outside if it is a bend."""
    x0, y0, x1, y1 = extents(measured)
    long = (y1 - y0, x1 - x0)[axis]
    bends = {bend.name: bend for bend in body.bends}
    lengths: dict[tuple[bool, float], tuple[float, FlatEdge]] = {}
    inner_loops = holes_of(measured)
    square = [
        side
        for at, loop in enumerate(measured.loops)
        if at not in inner_loops
        for side in loop
        if isinstance(side.edge, Line)
        and abs(side.edge.start[axis] - side.edge.end[axis]) < LENGTH < side.edge.length
    ]
    free = [side.edge.start[axis] for side in square if not side.bend]
    for side in square:
        at = side.edge.start[axis]
        key = (not any(abs(at - other) < LENGTH for other in free), round(at, 5))
        lengths[key] = (lengths.get(key, (0.0, side))[0] + side.edge.length, side)
    for bent in (False, True):
        found = [(length, -at, side) for (is_bend, at), (length, side) in lengths.items() if is_bend == bent]
        found = [each for each in found if each[0] >= _GAUGED * long]
        if found:
            most = max(each[0] for each in found)
            _, _, side = max((each for each in found if each[0] > 0.98 * most), key=lambda each: each[1])
            at = side.edge.start[axis]
            inner = side.bend in {first.name for first, _ in offset_pairs(body)}
            if not bent or (inner and not spans_flat(measured, side.edge)):
                return at
            bend = bends[side.bend]
            out = _outward(side.edge, axis)
            return at + out * setback(bend.angle, bend.inside_radius, body.sheet.thickness)
    return None


def _outward(edge: object, axis: int) -> int:
    """Return the side of a level (axis 1) or upright (axis 0) edge on which its bend is: the flat lies to its left."""
    assert isinstance(edge, Line)
    runs = edge.end[1 - axis] - edge.start[1 - axis]
    return (1 if runs > 0 else -1) if axis == 0 else (1 if runs < 0 else -1)


def _anchored(anchor: Point | None, holes: Sequence[OpeningInFlat], carriers: Carriers) -> str:
    """Return the name of the opening or circle whose centre is the zero."""
    if anchor is None:
        return ""
    for hole in holes:
        if math.dist(hole.middle, anchor) < LENGTH:
            return hole.sketch.name
    for number, carrier in enumerate(carriers.carriers):
        round_ = carrier.kind == "circle" and carrier.axes == 0
        if round_ and math.dist(carriers.figures[number][:2], anchor) < LENGTH:
            return f"c{number}"
    return "corner"


def _on_the_centre_lines(
    holes: Sequence[OpeningInFlat], carriers: Carriers, known: Sequence[str]
) -> Iterator[str]:
    """Return ordinates of centres that lie on the centre lines through the zero."""
    middles = {hole.sketch.name: hole.middle for hole in holes}
    for number, carrier in enumerate(carriers.carriers):
        if carrier.kind == "circle" and carrier.axes == 0:
            middles[f"c{number}"] = (carriers.figures[number][0], carriers.figures[number][1])
    for name, middle in middles.items():
        for axis, value in zip(("u", "v"), middle, strict=True):
            if abs(value) < LENGTH and f"{name}.{axis}" not in known:
                yield f"{name}.{axis}"


def _zero_keys(
    zeros: tuple[str, ...], anchor: str, carriers: Carriers, setbacks: dict[str, float]
) -> tuple[str, ...]:
    if anchor:
        return (f"{anchor}.u", f"{anchor}.v") if anchor != "corner" else ("p0.0.u", "p0.0.v")
    found = []
    for kind in zeros:
        near = [
            (abs(carriers.figures[n][0] + carrier.outward * setbacks.get(carrier.outside, 0.0)), n)
            for n, carrier in enumerate(carriers.carriers)
            if carrier.kind == kind and carrier.axes == 0
        ]
        found.append(near)
    return tuple(f"c{min(near)[1]}" for near in found if near and min(near)[0] < LENGTH)


def _concentrics(
    holes: list[OpeningInFlat],
    carriers: Carriers,
    anchor: str,
    chains: Chains,
    patterns: Sequence[SketchPattern],
) -> None:
    """Return what has the same centre as an opening, the zero or another circle."""
    owned = {name for pattern in patterns for name in pattern.members}
    middles: list[tuple[str, Point]] = []
    circles = [n for n, carrier in enumerate(carriers.carriers) if carrier.kind == "circle"]

    def centre(number: int) -> Point:
        at = carriers.figures[number]
        return carriers.axes[carriers.carriers[number].axes].back((at[0], at[1]))

    if anchor.startswith("c") and anchor != "corner":
        middles.append((anchor, (0.0, 0.0)))
    middles += [(f"c{chains.base[key]}", centre(chains.base[key])) for key in chains.base]
    middles += [(hole.sketch.name, hole.middle) for hole in holes]
    middles += [(f"c{n}", centre(n)) for n in circles]
    first: list[tuple[str, Point]] = []
    for name, at in middles:
        if not any(math.dist(at, other) < LENGTH for _, other in first):
            first.append((name, at))

    def reference(name: str, at: Point) -> str:
        return next((one for one, other in first if math.dist(at, other) < LENGTH and one != name), "")

    for n in circles:
        found = reference(f"c{n}", centre(n))
        if found:
            carriers.carriers[n] = replace(carriers.carriers[n], concentric=found)
    for hole in holes:
        found = reference(hole.sketch.name, hole.middle)
        if found and hole.sketch.name not in owned:
            hole.sketch = replace(hole.sketch, concentric=found, middle=False)


def _outsides(
    body: Body,
    measured: Measured,
    loops: Sequence[Sequence[FlatEdge]],
    numbers: Sequence[Sequence[int | None]],
    carriers: Carriers,
    offset: tuple[str, str],
) -> dict[str, int]:
    """Mark the carriers of bends with the side of the bend and what they are dimensioned to, by bend name."""
    offsets = {first.name for first, _ in offset_pairs(body)}
    free = {
        number
        for loop, row in zip(loops, numbers, strict=True)
        for side, number in zip(loop, row, strict=True)
        if number is not None and not side.bend
    }
    found: dict[str, int] = {}
    for loop, row in zip(loops, numbers, strict=True):
        for side, number in zip(loop, row, strict=True):
            if not side.bend or number is None or (measured.bend and side.bend == measured.bend.name):
                continue
            found[side.bend] = number
            carrier = carriers.carriers[number]
            if carrier.kind in ("level", "upright") and not carrier.outward:
                axes = carriers.axes[carrier.axes]
                edge = side.edge
                local = Line(axes.local(edge.start), axes.local(edge.end))
                outward = _outward(local, 0 if carrier.kind == "upright" else 1)
                # A free edge in line with the bend is gauged itself; other bend lines can only be measured
                # from outside.
                inner = side.bend in offsets and not spans_flat(measured, edge)
                plain = number in free or inner or side.bend == offset[0]
                to = "" if plain else side.bend
                carriers.carriers[number] = replace(carrier, outside=to, outward=outward)
    return found


def _pairs(carriers: Carriers, middle: bool) -> Iterator[tuple[int, int]]:
    """Return lines symmetrical about the zero of their axes, where that is a centre; bends are left out."""
    for one, first in enumerate(carriers.carriers):
        for two in range(one + 1, len(carriers.carriers)):
            second = carriers.carriers[two]
            if first.kind not in ("level", "upright") or (second.kind, second.axes) != (
                first.kind,
                first.axes,
            ):
                continue
            a, b = carriers.figures[one][0], carriers.figures[two][0]
            if (
                (middle or first.axes)
                and not (first.outward or second.outward)
                and abs(a + b) < LENGTH < abs(a)
            ):
                yield (one, two) if a > 0 else (two, one)


def spans_flat(measured: Measured, edge: Edge) -> bool:
    """True when a bend spans the whole width of its flat, as in a profile, and so is dimensioned as a leg."""
    n = ((edge.end[0] - edge.start[0]) / edge.length, (edge.end[1] - edge.start[1]) / edge.length)
    along = [
        x * n[0] + y * n[1]
        for loop in measured.loops
        for side in loop
        for x, y in (side.edge.start, side.edge.end)
    ]
    return edge.length >= max(along) - min(along) - LENGTH


def offset_pairs(body: Body) -> list[tuple[Bend, Bend]]:
    """Return bends that make an offset: equal and opposite, with one slope between them that carries nothing else."""
    leading = {bend.child: bend for bend in body.bends}
    count: dict[str, int] = {}
    for bend in body.bends:
        count[bend.parent] = count.get(bend.parent, 0) + 1
    found = []
    for second in body.bends:
        first = leading.get(second.parent)
        if first is None or count[second.parent] != 1 or first.side == second.side:
            continue
        if abs(first.angle - second.angle) < ANGLE_DEG and _OFFSETS[0] <= first.angle <= _OFFSETS[1]:
            found.append((first, second))
    return found


def hole_sketches(drawn: Drawn) -> dict[str, SketchHole]:
    """Return the openings of a flat by name."""
    return {hole.name: hole for hole in drawn.sketch.holes}
