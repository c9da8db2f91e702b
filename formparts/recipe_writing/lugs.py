"""Recognise offset lugs and ears on their edges, equal ones together around their axis."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from formparts.body import Bend, Body, Flat, bends_on
from formparts.outline import Arc, Line, Motion, outline_of
from formparts.outline.edges import Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.detours import Detour, outward_frame
from formparts.recipe_writing.expressions import Call, Formula, Literal, Named, Node, Several, Variable
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.outlines import Shape, merged, placed, shape_node, shape_of
from formparts.recipe_writing.patterns import OPENING_ROLES
from formparts.recipe_writing.steps import Assign, Step
from formparts.tolerances import ANGLE_DEG, REDRAWN, TURN_DEG


@dataclass(frozen=True)
class StripEnd:
    """The end of a strip: its shape, and the radius or chamfer of its corners."""

    shape: str = "square"
    size: float = 0.0


@dataclass(frozen=True)
class Lug:
    """An offset lug: its sizes, and the flat and edge that carry it."""

    detour: Detour
    bends: tuple[str, str]
    width: float
    slope: float
    side: str
    radius: float
    straight: float
    level: float
    end: StripEnd
    hole: float
    hole_from_end: float
    start: float
    middle: Point
    outward: Point

    def key(self) -> tuple[object, ...]:
        """What equal lugs have in common."""
        bent = (self.width, self.slope, self.radius, self.straight, self.level, self.start)
        sizes = (*bent, self.end.size, self.hole, self.hole_from_end)
        return (self.side, self.end.shape, *(round(size, 4) for size in sizes))

    def rise(self, thickness: float) -> float:
        """The rise between like faces."""
        turn = math.radians(self.slope)
        return 2.0 * (self.radius + thickness / 2.0) * (1.0 - math.cos(turn)) + self.straight * math.sin(turn)

    def plan(self, thickness: float) -> float:
        """From the first tangent line to the last, seen from above."""
        turn = math.radians(self.slope)
        return 2.0 * (self.radius + thickness / 2.0) * math.sin(turn) + self.straight * math.cos(turn)


def strip_end(flat: Flat, width: float) -> tuple[float, StripEnd] | None:
    """Return length and end of a flat that is a strip as wide as its bend; None for any other."""
    edges = merged(flat.net.outer)
    x0, y0, x1, y1 = flat.net.outer.bounds
    if abs(x0) > REDRAWN or abs(y0) > REDRAWN or abs(x1 - width) > REDRAWN:
        return None
    arcs = [edge for edge in edges if isinstance(edge, Arc)]
    lines = [edge for edge in edges if isinstance(edge, Line)]
    if not arcs and len(lines) == 4:
        return (y1, StripEnd()) if _is_box(lines, width, y1) else None
    if len(arcs) == 1 and len(lines) == 3 and abs(arcs[0].radius - width / 2.0) < REDRAWN:
        return (y1, StripEnd("round")) if abs(arcs[0].centre[1] - (y1 - width / 2.0)) < REDRAWN else None
    if len(arcs) == 2 and len(lines) in (3, 4):
        radius = arcs[0].radius
        level = all(
            abs(arc.centre[1] - (y1 - radius)) < REDRAWN and abs(arc.radius - radius) < REDRAWN
            for arc in arcs
        )
        apart = sorted(arc.centre[0] for arc in arcs)
        inside = abs(apart[0] - radius) < REDRAWN and abs(apart[1] - (width - radius)) < REDRAWN
        return (y1, StripEnd("radiused", radius)) if level and inside else None
    if not arcs and len(lines) == 6:
        slanted = [line for line in lines if min(_run(line)) > REDRAWN]
        size = _run(slanted[0])[0] if slanted else 0.0
        even = len(slanted) == 2 and all(abs(run - size) < REDRAWN for line in slanted for run in _run(line))
        return (
            (y1, StripEnd("chamfered", size))
            if even and all(max(one.start[1], one.end[1]) > y1 - REDRAWN for one in slanted)
            else None
        )
    return None


def _run(line: Line) -> tuple[float, float]:
    return abs(line.end[0] - line.start[0]), abs(line.end[1] - line.start[1])


def _is_box(lines: Sequence[Line], width: float, high: float) -> bool:
    """True for the four sides of a box from the origin."""
    corners = {(round(x / REDRAWN / 10), round(y / REDRAWN / 10)) for line in lines for x, y in (line.start,)}
    wanted = {(round(x / REDRAWN / 10), round(y / REDRAWN / 10)) for x in (0.0, width) for y in (0.0, high)}
    return corners == wanted


def lug_of(body: Body, detour: Detour) -> Lug | None:
    """Return the offset lug on a detour of the root's edge, if there is one."""
    root = body.flats[0].name
    if len(detour.edges) != 3 or not all(isinstance(edge, Line) for edge in detour.edges):
        return None
    first = _bend_on(bends_on(body, root), detour.edges[1].start, detour.edges[1].end)
    if first is None or first.openings:
        return None
    beyond = [bend for bend in bends_on(body, first.child) if bend.child != root]
    if len(beyond) != 1 or len(bends_on(body, beyond[0].child)) != 1 or beyond[0].openings:
        return None
    return _measured(body, detour, first, beyond[0])


def _bend_on(bends: Sequence[Bend], start: Point, end: Point) -> Bend | None:
    """The bend whose line is just this edge."""
    for bend in bends:
        if math.dist(bend.parent_line[0], start) < REDRAWN and math.dist(bend.parent_line[1], end) < REDRAWN:
            return bend
    return None


def _measured(body: Body, detour: Detour, first: Bend, second: Bend) -> Lug | None:
    """Sizes of a lug, where its two bends are equal and opposite and all is symmetrical."""
    width = first.width
    slope, tip = body.flat(first.child), body.flat(second.child)
    web, end = strip_end(slope, width), strip_end(tip, width)
    like = (
        abs(first.angle - second.angle) < REDRAWN
        and abs(first.inside_radius - second.inside_radius) < REDRAWN
    )
    if (
        web is None
        or end is None
        or web[1] != StripEnd()
        or not like
        or first.side == second.side
        or slope.net.holes
    ):
        return None
    if abs(second.width - width) > REDRAWN or first.angle > 90.0 + ANGLE_DEG or first.angle < 15.0:
        return None
    hole, from_end = 0.0, 0.0
    if tip.net.holes:
        circle = tip.net.holes[0].circle if len(tip.net.holes) == 1 else None
        if circle is None or abs(circle[0][0] - width / 2.0) > REDRAWN:
            return None
        hole, from_end = 2.0 * circle[1], end[0] - circle[0][1]
    (ax, ay), (bx, by) = first.parent_line
    middle, (_, outward, _) = ((ax + bx) / 2.0, (ay + by) / 2.0), outward_frame(detour)
    return Lug(
        detour, (first.name, second.name), width, first.angle, first.side, first.inside_radius, web[0], end[0], end[1],
        hole, from_end, _start(detour, middle, outward), middle, outward,
    )  # fmt: skip


def _start(detour: Detour, middle: Point, outward: Point) -> float:
    """Return how far the first bend projects from its edge, on the middle line."""
    if isinstance(detour.carrier, Arc):
        centre, radius = detour.carrier.centre, detour.carrier.radius
        return abs(math.dist(middle, centre) - radius)
    x, y = detour.start
    return (middle[0] - x) * outward[0] + (middle[1] - y) * outward[1]


@dataclass(frozen=True)
class Ring:
    """Equal things about one axis: centre, radius, count, the first angle and the step [deg]."""

    centre: Point
    reach: float
    inward: bool
    count: int
    first: float
    step: float


def ring_of(places: Sequence[tuple[Point, Point]]) -> Ring | None:
    """The axis of equal things, each given by a place and its direction, where they have one."""
    centre = _common_point(places)
    if centre is None:
        return None
    away = [((x - centre[0]), (y - centre[1])) for (x, y), _ in places]
    reach = [math.hypot(*one) for one in away]
    ways = [dx * ux + dy * uy for (dx, dy), (_, (ux, uy)) in zip(away, places, strict=True)]
    if max(reach) - min(reach) > REDRAWN or min(reach) < REDRAWN or len({way > 0 for way in ways}) > 1:
        return None
    turns = sorted(math.degrees(math.atan2(dy, dx)) % 360.0 for dx, dy in away)
    turns = [0.0 if 360.0 - turn < TURN_DEG else turn for turn in turns]
    turns.sort()
    gaps = [round(b - a, 5) for a, b in itertools.pairwise(turns)]
    if len(set(gaps)) > 1:
        return None
    return Ring(centre, sum(reach) / len(reach), ways[0] < 0.0, len(places), turns[0], (turns[1] - turns[0]))


def _common_point(places: Sequence[tuple[Point, Point]]) -> Point | None:
    """Where the middle lines of all meet; of two that face each other, halfway."""
    if len(places) < 2:
        return None
    (px, py), (ux, uy) = places[0]
    for (qx, qy), (vx, vy) in places[1:]:
        turn = ux * vy - uy * vx
        if abs(turn) > TURN_DEG:
            s = ((qx - px) * vy - (qy - py) * vx) / turn
            centre = (px + s * ux, py + s * uy)
            break
    else:
        if len(places) != 2 or ux * places[1][1][0] + uy * places[1][1][1] > 0.0:
            return None
        centre = ((px + places[1][0][0]) / 2.0, (py + places[1][0][1]) / 2.0)
    for (x, y), (vx, vy) in places:
        if abs((centre[0] - x) * vy - (centre[1] - y) * vx) > REDRAWN:
            return None
    return centre


def lug_steps(lugs: Sequence[Lug], edge: tuple[str, Node, float] | None, thickness: float, name: str,
              figures: FoundParameters, part: Variable) -> Iterator[Step]:  # fmt: skip
    """Equal lugs drawn once, put round their axis or at their places, and fused to the part."""
    ring = ring_of([(lug.middle, lug.outward) for lug in lugs])
    lug, drawn = lugs[0], Variable(name)
    yield Assign(drawn, _drawn(lug, ring, edge, thickness, name, figures))
    yield from put_round(drawn, [(one.middle, one.outward) for one in lugs], ring, _out(lug, ring, edge, figures), part,
                         "lug_count", figures)  # fmt: skip


def _out(
    lug: Lug, ring: Ring | None, edge: tuple[str, Node, float] | None, figures: FoundParameters
) -> Node | None:
    """Return the radius of the first bend about the axis, in terms of the recipe."""
    if ring is None:
        return None
    if edge is not None and isinstance(lug.detour.carrier, Arc):
        _, diameter, _ = edge
        start = figures.length("lug_start", lug.start)
        sign = "-" if ring.inward else "+"
        of = (lambda d, s: d / 2 - s) if ring.inward else (lambda d, s: d / 2 + s)
        return (
            Formula(f"{{}} / 2 {sign} {{}}", of, (diameter, start))
            if start.value
            else Formula("{} / 2", lambda d: d / 2, (diameter,))
        )
    return Literal(figures.tidy(ring.reach))


def _drawn(lug: Lug, ring: Ring | None, edge: tuple[str, Node, float] | None, thickness: float, name: str,
           figures: FoundParameters) -> Node:  # fmt: skip
    """`offset_lug(...)` with its sizes as parameters."""
    width = figures.length("lug_width", lug.width)
    start = figures.length("lug_start", lug.start) if figures.tidy(lug.start) else None
    foot = (
        Formula("{} + {} / 2", lambda s, w: s + w / 2, (start, width))
        if start
        else Formula("{} / 2", lambda w: w / 2, (width,))
    )
    named: dict[str, Node] = {
        "width": width,
        "rise": figures.length("rise", lug.rise(thickness)),
        "reach": _reach(lug, ring, edge, width, thickness, figures),
        "foot": foot,
        "slope": figures.angle("slope", lug.slope),
    }
    if lug.side == "down":
        named["side"] = Literal("down")
    if lug.end != StripEnd("round"):
        named["end"] = end_node(lug.end, figures)
    if lug.hole:
        sizes: list[Node] = [figures.length("lug_hole", lug.hole)]
        if lug.end != StripEnd("round") or abs(lug.hole_from_end - lug.width / 2.0) > REDRAWN:
            sizes.append(figures.length("hole_from_end", lug.hole_from_end))
        named["hole"] = Call("hole", tuple(sizes))
    named["inside_radius"] = figures.length("inside_radius", lug.radius)
    if named["inside_radius"].text() == "inside_radius":
        del named["inside_radius"]
    if name != "lug":
        named["name"] = Literal(name)
    return Call("offset_lug", (figures.sheet,), named)


def _reach(lug: Lug, ring: Ring | None, edge: tuple[str, Node, float] | None, width: Node, thickness: float,
           figures: FoundParameters) -> Node:  # fmt: skip
    """In plan; by the pitch circle of the holes where the lugs are arranged around an axis."""
    reach = lug.plan(thickness) + lug.level
    at_centre = lug.end == StripEnd("round") and abs(lug.hole_from_end - lug.width / 2.0) < REDRAWN
    if ring is None or not lug.hole or edge is None or not at_centre:
        return figures.length("lug_reach", reach)
    out = _out(lug, ring, edge, figures)
    assert out is not None
    sign = -1.0 if ring.inward else 1.0
    pitch = figures.length("pitch_diameter", 2.0 * (ring.reach + sign * (reach - lug.hole_from_end)))
    if ring.inward:
        return Formula("{} - {} / 2 + {} / 2", lambda o, p, w: o - p / 2 + w / 2, (out, pitch, width))
    return Formula("{} / 2 - ({}) + {} / 2", lambda p, o, w: p / 2 - o + w / 2, (pitch, out, width))


def end_node(end: StripEnd, figures: FoundParameters) -> Node:
    """The end of a strip as a call, or as its word."""
    if end.shape in ("square", "round"):
        return Literal(end.shape)
    role = "tip_radius" if end.shape == "radiused" else "tip_chamfer"
    return Call("tip", (Literal(end.shape), figures.length(role, end.size)))


def put_round(drawn: Variable, places: Sequence[tuple[Point, Point]], ring: Ring | None, out: Node | None,
              part: Variable, count_role: str, figures: FoundParameters) -> Iterator[Step]:  # fmt: skip
    """Put what was drawn along x at its positions in the plane of the root and fuse it to that."""
    if ring is None or out is None:
        yield from _one_by_one(drawn, places, part, figures)
        return
    turned: Node = Call("rotate", (drawn, Literal(180))) if ring.inward else drawn
    placed = Call("translate", (turned, Several((out, Literal(0), Literal(0)))))
    if any(abs(figures.tidy(value)) for value in ring.centre):
        shift = tuple(figures.tidy(value) for value in ring.centre)
        axis: Node = Call("Axis", (Literal((*shift, 0.0)),))
        placed = Call("translate", (placed, Literal((*shift, 0.0))))
    else:
        axis = Named("Z_AXIS")
    yield Assign(drawn, placed)
    named: dict[str, Node] = {}
    if figures.tidy(ring.first):
        named["start"] = Literal(figures.tidy(ring.first))
    if abs(ring.step - 360.0 / ring.count) > REDRAWN:
        named["step"] = Literal(figures.tidy(ring.step))
    ringed = Call("array_about", (drawn, axis, figures.count(count_role, ring.count)), named)
    yield Assign(part, Call("fuse", (part, ringed)))


def _one_by_one(
    drawn: Variable, places: Sequence[tuple[Point, Point]], part: Variable, figures: FoundParameters
) -> Iterator[Step]:
    for number, ((x, y), (ux, uy)) in enumerate(places, 1):
        turn = figures.tidy(math.degrees(math.atan2(uy, ux)))
        node: Node = (
            drawn if len(places) == 1 else Call("renamed", (drawn, Literal(f"{drawn.name}[{number}]")))
        )
        node = Call("rotate", (node, Literal(turn))) if turn else node
        place = Several((figures.tied(x), figures.tied(y), Literal(0)))
        yield Assign(part, Call("fuse", (part, Call("translate", (node, place)))))


@dataclass(frozen=True)
class Ear:
    """A tongue in the plane of the root, with what is cut in it."""

    detour: Detour
    length: float
    width: float
    end: StripEnd
    hole: Shape | None
    middle: Point
    outward: Point

    def key(self) -> tuple[object, ...]:
        """What equal ears have in common."""
        return (round(self.length, 4), round(self.width, 4), self.end)


def ear_of(body: Body, detour: Detour) -> Ear | None:
    """Return the tongue that projects from a straight edge, if that is what a detour is."""
    if isinstance(detour.carrier, Arc) or len(detour.edges) > 6:
        return None
    bends = bends_on(body, body.flats[0].name)
    if any(_touches(edge, bend) for edge in detour.edges for bend in bends):
        return None
    middle, outward, along = outward_frame(detour)
    width = math.dist(detour.start, detour.end)
    x1, y1 = detour.end
    # In the coordinates of a flange: x along its foot from its left end, y away from the edge.
    there = Motion(
        -along[0], -along[1], outward[0], outward[1],
        along[0] * x1 + along[1] * y1, -(outward[0] * x1 + outward[1] * y1),
    )  # fmt: skip
    strip = outline_of([Loop((*detour.edges, Line(detour.end, detour.start)))]).moved(there)
    if strip.bounds[1] < -REDRAWN:
        return None
    found = strip_end(Flat("ear", strip), width)
    return None if found is None else Ear(detour, found[0], width, found[1], None, middle, outward)


def ear_holes(ears: list[Ear], holes: Sequence[Loop]) -> list[Loop]:
    """Put the one opening that each of some equal ears has into them; return those openings."""
    found = []
    for ear in ears:
        inside = [hole for hole in holes if _is_in_ear(hole, ear)]
        if len(inside) != 1:
            return []
        found.append(inside[0])
    shapes = [shape_of(hole.moved(_to_ear(ear))) for hole, ear in zip(found, ears, strict=True)]
    first = shapes[0]
    if first is None or any(shape is None or not _like(shape, first) for shape in shapes):
        return []
    ears[0] = replace(ears[0], hole=first)
    return found


def _like(one: Shape, other: Shape) -> bool:
    near = math.dist(one.centre, other.centre) < REDRAWN and abs(one.turned - other.turned) < TURN_DEG
    return (
        near
        and one.kind == other.kind
        and all(abs(a - b) < REDRAWN for a, b in zip(one.sizes, other.sizes, strict=True))
    )


def _to_ear(ear: Ear) -> Motion:
    """From the plane of the plate to the coordinates of an ear: x out of the edge, its middle line on x."""
    (x, y), (ux, uy) = ear.middle, ear.outward
    return Motion(ux, uy, -uy, ux, -(ux * x + uy * y), uy * x - ux * y)


def _is_in_ear(hole: Loop, ear: Ear) -> bool:
    x0, y0, x1, y1 = hole.moved(_to_ear(ear)).bounds
    return x0 > 0.0 and x1 < ear.length and y0 > -ear.width / 2.0 and y1 < ear.width / 2.0


def _touches(edge: object, bend: Bend) -> bool:
    if not isinstance(edge, Line):
        return False
    return any(edge.distance(place) < REDRAWN for place in bend.parent_line)


def ear_steps(ears: Sequence[Ear], name: str, figures: FoundParameters, part: Variable) -> Iterator[Step]:
    """Equal ears drawn once and put at their places."""
    ear, drawn = ears[0], Variable(name)
    sizes = (figures.length("ear_length", ear.length), figures.length("ear_width", ear.width))
    named: dict[str, Node] = {} if ear.end == StripEnd("round") else {"end": end_node(ear.end, figures)}
    if ear.hole is not None:
        tool = shape_node(ear.hole, figures, OPENING_ROLES[ear.hole.kind])
        named["opening"] = placed(tool, ear.hole.centre, ear.hole.turned, figures)
    named["name"] = Literal(name)
    yield Assign(drawn, Call("tongue", (figures.sheet, *sizes), named))
    ring = ring_of([(one.middle, one.outward) for one in ears]) if len(ears) > 1 else None
    out = None if ring is None else figures.tied(ring.reach)
    yield from put_round(
        drawn, [(one.middle, one.outward) for one in ears], ring, out, part, "ear_count", figures
    )
