"""Rebuild a part from its list of dimensions alone: the proof that nothing is missing, and the names of what is.

Source: exact mathematics, and the bend geometry of `body`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from formparts.bending import bend_rule
from formparts.body import Bend, Body, Flat, Frame, Sheet
from formparts.drawings.crossing import Cut, with_crossing
from formparts.drawings.measuring import mirror, setback
from formparts.drawings.places import InfiniteLine, turned
from formparts.drawings.repeating import copy_of
from formparts.drawings.sketch import DimensionList, SketchBend, SketchFlat, SketchHole
from formparts.drawings.solving import Solver, Surroundings
from formparts.errors import InputError
from formparts.outline import Arc, Edge, Line, Loop, Motion, Point, outline_of


def figures_of(dimensions: DimensionList) -> dict[str, float]:
    """Return the value of each dimension that is not a reference, by what follows from it."""
    found: dict[str, float] = {}
    for each in dimensions.dimensions:
        if not each.reference:
            for target in each.targets:
                key, _, factor = target.partition(":")
                found[key] = each.value * float(factor or 1.0)
    return found


@dataclass(frozen=True)
class Solved:
    """The flats and the stock of a list, as far as they follow from its figures."""

    thickness: float
    bends: Mapping[str, tuple[float, float]]
    """Angle and inside radius of each known bend."""
    flats: Mapping[str, Solver]
    in_bends: Mapping[str, Solver]


def solved(dimensions: DimensionList) -> Solved:
    """Solve a list as far as its figures lead."""
    figures = figures_of(dimensions)
    thickness = figures.get("thickness", math.nan)
    bends = known_bends(dimensions.bends, figures)
    flats: dict[str, Solver] = {}
    for flat in dimensions.flats:
        around = surroundings(flat, dimensions.bends, bends, thickness, flats)
        if around is not None:
            flats[flat.name] = Solver(flat, figures, around).run()
    in_bends = {one.across: Solver(one, figures, Surroundings()).run() for one in dimensions.in_bends}
    return Solved(thickness, bends, flats, in_bends)


def known_bends(
    bends: tuple[SketchBend, ...], figures: Mapping[str, float]
) -> dict[str, tuple[float, float]]:
    """Return angle and inside radius of each bend, by its own figures, its equal or its mirror image."""
    found: dict[str, tuple[float, float]] = {}
    like = {bend.name: bend.like for bend in bends}
    for bend in bends:
        said = bend.name
        while like.get(said):
            said = like[said]
        angle, radius = figures.get(f"{said}.angle"), figures.get(f"{said}.radius")
        if angle is not None and radius is not None:
            found[bend.name] = (angle, radius)
    return found


def surroundings(
    flat: SketchFlat,
    sketched: tuple[SketchBend, ...],
    bends: Mapping[str, tuple[float, float]],
    thickness: float,
    flats: Mapping[str, Solver],
) -> Surroundings | None:
    """Return what a flat gets from the bends around it; None when the bend that leads to it is not known."""
    setbacks = {name: setback(angle, radius, thickness) for name, (angle, radius) in bends.items()}
    if not flat.bend:
        return Surroundings(0.0, 0.0, setbacks, None)
    leading = next(bend for bend in sketched if bend.name == flat.bend)
    parent = flats.get(leading.parent)
    ends = None if parent is None else bend_ends(parent, leading.name)
    if ends is None or flat.bend not in bends:
        return None
    lift: float | None = setbacks[flat.bend]
    if flat.plan:
        lift = _plan_lift(leading, sketched, bends, thickness, flats)
    if lift is None:
        return None
    angle, radius = bends[flat.bend]
    return Surroundings(math.dist(*ends), lift, setbacks, _slope(flat, angle, radius, bends, thickness))


def _slope(
    flat: SketchFlat, angle: float, radius: float, bends: Mapping[str, tuple[float, float]], thickness: float
) -> Callable[[float], float] | None:
    """Return the length of the slope between its tangent lines, from the rise between like faces."""
    if flat.rise < 0:
        return None
    second = next(
        edge.bend
        for loop in flat.loops
        for edge in loop
        if edge.carrier == flat.rise and edge.bend and edge.bend != flat.bend
    )
    if second not in bends:
        return None
    both = radius + bends[second][1] + thickness
    turn = math.radians(angle)
    return lambda rise: (rise - both * (1.0 - math.cos(turn))) / math.sin(turn)


def bend_ends(solver: Solver, bend: str) -> tuple[Point, Point] | None:
    """Return where the tangent line of a bend on a flat begins and ends, if that is known."""
    for at, loop in enumerate(solver.flat.loops):
        for i, edge in enumerate(loop):
            if edge.bend == bend and edge.bend != solver.flat.bend:
                start, end = solver.points.get(solver.before((at, i))), solver.points.get((at, i))
                return None if start is None or end is None else (start, end)
    return None


def _plan_lift(
    second: SketchBend,
    sketched: tuple[SketchBend, ...],
    bends: Mapping[str, tuple[float, float]],
    thickness: float,
    flats: Mapping[str, Solver],
) -> float | None:
    """Return the plan distance over an offset, from the first flat's zero to the tangent line of its second bend."""
    first = next(bend for bend in sketched if bend.child == second.parent)
    base, slope = flats.get(first.parent), flats.get(second.parent)
    if base is None or slope is None or first.name not in bends or second.name not in bends:
        return None
    line, ends = bend_line(base, first.name), bend_ends(slope, second.name)
    if line is None or ends is None:
        return None
    angle, radius = bends[first.name]
    turn, both = math.radians(angle), radius + bends[second.name][1] + thickness
    return line + both * math.sin(turn) + ends[0][1] * math.cos(turn)


def bend_line(solver: Solver, bend: str) -> float | None:
    """Return the distance of a bend's tangent line from the zero of its axes, towards the bend."""
    for loop in solver.flat.loops:
        for edge in loop:
            if edge.bend == bend and edge.carrier >= 0:
                carrier = solver.flat.carriers[edge.carrier]
                line, axes = solver.lines.get(edge.carrier), solver.axes.get(carrier.axes)
                if line is None or axes is None or not carrier.outward:
                    return None
                level = carrier.kind == "level"
                at = axes.local(line.foot(axes.origin))
                return carrier.outward * (at[1] if level else at[0])
    return None


def missing(dimensions: DimensionList) -> tuple[str, ...]:
    """Name what does not follow from a list of dimensions.

    Parameters
    ----------
    dimensions : DimensionList
        Of a drawing.

    Returns
    -------
    tuple of str
        Empty when the part can be made from the list.
    """
    if not dimensions.flats:
        return ()  # the list of an assembly: each part has its own drawing
    found = solved(dimensions)
    out: list[str] = [] if math.isfinite(found.thickness) else ["thickness of the sheet"]
    twins = {name for bend in dimensions.bends for name, _ in bend.twins}
    out += [f"angle or radius of {bend.name}" for bend in dimensions.bends if bend.name not in found.bends]
    for flat in dimensions.flats:
        if flat.name not in found.flats:
            out.append(f"where {flat.name} begins")
        else:
            out += [f"{flat.name}: {what}" for what in found.flats[flat.name].unknown()]
    walls = {edge.tag for flat in dimensions.flats for loop in flat.loops for edge in loop}
    for name, one in found.in_bends.items():
        out += [f"{name}: {what}" for what in one.unknown()]
        cut = [opening for opening, _ in one.flat.through if f"{opening}.wall" in walls]
        out += [f"{name}: its ends, as a bend hangs on the wall of {opening}" for opening in cut]
    known = {flat.name for flat in dimensions.flats} | twins
    out += [f"shape of {bend.child}" for bend in dimensions.bends if bend.child not in known]
    return tuple(out)


# --- the part again ---


def rebuilt(dimensions: DimensionList) -> Body:
    """
    Make a part again from its list of dimensions.

    Parameters
    ----------
    dimensions : DimensionList
        Of a drawing.

    Returns
    -------
    Body
        The first flat with its zero at the origin.

    Raises
    ------
    InputError
        The list is incomplete: the message names what is missing.
    """
    lacking = missing(dimensions)
    if lacking:
        names = ", ".join(lacking[:4])
        raise InputError("drawing", "dimensions", names, "is missing", "dimension it")
    found = solved(dimensions)
    source, mirrored = _sources(dimensions), mirror_images(dimensions)
    root = dimensions.flats[0].name
    stock = Sheet(found.thickness, 1.0, dimensions.material, dimensions.bend_rule)
    shapes = {name: outline_of(list(_loops(solver))) for name, solver in found.flats.items()}
    flats = [Flat(root, shapes[root])]
    bends = []
    for bend in dimensions.bends:
        said, holder, child = bend.name, bend.parent, bend.child
        while holder not in found.flats:
            said, holder = source[said], source[holder]
        while child not in shapes:
            child = source[child]
        over = mirror(found.flats[child].around.width)
        flats.append(Flat(bend.child, shapes[child].moved(over) if bend.child in mirrored else shapes[child]))
        ends = bend_ends(found.flats[holder], said)
        assert ends is not None
        if bend.parent in mirrored:
            over = mirror(found.flats[holder].around.width)
            ends = (over(ends[1]), over(ends[0]))
        angle, radius = found.bends[bend.name]
        wide = math.dist(*ends)
        bends.append(
            Bend(
                bend.name,
                bend.parent,
                bend.child,
                ends,
                ((wide, 0.0), (0.0, 0.0)),
                angle,
                bend.side,
                radius,
                bend.process,
                bend_rule(bend.rule) if bend.rule else None,
            )
        )
    body = Body(dimensions.name, stock, tuple(flats), tuple(bends), Frame())
    return with_crossing(body, _cuts(dimensions, found)) if found.in_bends else body


def _cuts(dimensions: DimensionList, found: Solved) -> Iterator[tuple[str, Cut]]:
    """Return the openings in bends, at each bend equal to the one from which they are measured."""
    source = _sources(dimensions)
    bends = {bend.name: bend for bend in dimensions.bends}
    for bend in dimensions.bends:
        said = bend.name
        while said in source:
            said = source[said]
        solver, first = found.in_bends.get(said), bends[said]
        if solver is not None:
            moved = {said: bend.name, first.parent: bend.parent, first.child: bend.child}
            for (name, through), loop in zip(solver.flat.through, _loops(solver), strict=True):
                called = name if bend is first else f"{name} in {bend.name}"
                pieces = tuple(moved.get(piece, piece) for piece in through)
                yield bend.name, (called, outline_of([loop.reversed()]), pieces)


def _sources(dimensions: DimensionList) -> dict[str, str]:
    """Return, for each flat or bend that equals another, that other."""
    return {here: there for bend in dimensions.bends for here, there in bend.twins}


def mirror_images(dimensions: DimensionList) -> dict[str, str]:
    """Return the flats and bends that are mirror images of drawn ones (not images of images), and their originals."""
    of = {here: (there, bend.mirrored) for bend in dimensions.bends for here, there in bend.twins}
    found = {}
    for name in of:
        at, odd = name, False
        while at in of:
            at, more = of[at]
            odd ^= more
        if odd:
            found[name] = at
    return found


def _loops(solver: Solver) -> Iterator[Loop]:
    flat = solver.flat
    for at, loop in enumerate(flat.loops):
        yield Loop(tuple(_edge(solver, (at, i)) for i in range(len(loop))))
    for hole in flat.holes:
        yield _hole_loop(solver, hole)


def _edge(solver: Solver, spot: tuple[int, int]) -> Edge:
    start, end, edge = solver.points[solver.before(spot)], solver.points[spot], solver.edge(spot)
    if edge.sense == "straight":
        return Line(start, end, edge.tag)
    copied = copy_of(solver, spot)
    circle = solver.circle(solver.edge(copied[0] if copied else spot).carrier)
    assert circle is not None
    centre = turned(circle.centre, copied[1], copied[2]) if copied else circle.centre
    return Arc(start, end, centre, circle.radius, edge.sense == "ccw", edge.tag)


def _hole_loop(solver: Solver, hole: SketchHole) -> Loop:
    """Return an opening in its position, or the outline when that is a circle."""

    def size(part: str) -> float:
        value = solver.figure(f"{hole.size}.{part}")
        assert value is not None
        return value

    at = solver.places[hole.name]
    if hole.kind == "circle":
        r = size("d") / 2.0
        edges: list[Edge] = [
            Arc((r, 0.0), (-r, 0.0), (0.0, 0.0), r, True),
            Arc((-r, 0.0), (r, 0.0), (0.0, 0.0), r, True),
        ]
        turn = 0.0
    else:
        a, b, turn = size("a") / 2.0, size("b") / 2.0, solver.turns[hole.name]
        edges = (
            _slot_edges(a, b)
            if hole.kind == "slot"
            else _rectangle_edges(a, b, size("r") if hole.rounded else 0.0)
        )
    placed = Loop(tuple(edges)).moved(Motion.shift(*at).after(Motion.turn(turn)))
    return placed if hole.outer else placed.reversed()


def _slot_edges(a: float, b: float) -> list[Edge]:
    s = a - b
    return [
        Line((-s, -b), (s, -b)), Arc((s, -b), (s, b), (s, 0.0), b, True),
        Line((s, b), (-s, b)), Arc((-s, b), (-s, -b), (-s, 0.0), b, True),
    ]  # fmt: skip


def _rectangle_edges(a: float, b: float, r: float) -> list[Edge]:
    corners = [(a, -b), (a, b), (-a, b), (-a, -b)]
    if not r:
        return [Line(corners[n - 1], corners[n]) for n in range(4)]
    found: list[Edge] = []
    inner = [(a - r, r - b), (a - r, b - r), (r - a, b - r), (r - a, r - b)]
    out = [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)]
    for n in range(4):
        (cx, cy), (ox, oy), (px, py) = inner[n], out[n], out[(n + 1) % 4]
        (bx, by) = inner[n - 1]
        found.append(Line((bx + r * ox, by + r * oy), (cx + r * ox, cy + r * oy)))
        found.append(Arc((cx + r * ox, cy + r * oy), (cx + r * px, cy + r * py), (cx, cy), r, True))
    return found


def line_through(line: InfiniteLine) -> Point:
    """Return the point of a line nearest to the zero."""
    return line.foot((0.0, 0.0))
