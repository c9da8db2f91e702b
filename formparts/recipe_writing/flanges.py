"""Flanges by their drawing dimensions: height and edge to the datum that makes round figures, else their outline."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.bending import BendRule, KFactor
from formparts.bending.rules import rule_apart
from formparts.body import Bend, Body, Flat, bends_on
from formparts.errors import InputError
from formparts.outline import Arc, Line, Motion, Outline, outline_of
from formparts.outline.edges import Edge, Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.detours import Detour
from formparts.recipe_writing.expressions import Call, Literal, Node, Variable, decimals
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.lugs import StripEnd, end_node, strip_end
from formparts.recipe_writing.outlines import outline_node
from formparts.recipe_writing.steps import Assign
from formparts.shapes.flange import edge_facing
from formparts.shapes.profiles import DATUMS, Datum, datums_at, setback
from formparts.tolerances import REDRAWN, ROUNDING, SHORTEST_EDGE, TURN_DEG

FACINGS = ("front", "back", "left", "right")
FACING = (((0.0, -1.0), "front"), ((0.0, 1.0), "back"), ((-1.0, 0.0), "left"), ((1.0, 0.0), "right"))
"""Each side with its outward direction."""
HEIGHTS = ("flange_height", "lip_height", "return_height")
SQUARE_ANGLE = 90.0


@dataclass(frozen=True)
class Relieved:
    """A flange let into a straight edge, between reliefs or not."""

    detour: Detour
    bend: Bend
    back: float
    width: float
    depth: float
    shape: str
    whole: Line | None = None


def relieved_of(body: Body, detour: Detour) -> Relieved | None:
    """The flange whose bend lies inside an edge, with a like relief on both sides, if a detour is one."""
    if isinstance(detour.carrier, Arc):
        return None
    bends = bends_on(body, body.flats[0].name)
    held = [(edge, bend) for edge in detour.edges for bend in bends if is_edge_of(edge, bend)]
    if len(held) != 1:
        return None
    edge, bend = held[0]
    (x0, y0), (x1, y1) = detour.start, detour.end
    long = math.dist(detour.start, detour.end)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long

    def local(place: Point) -> Point:
        return (place[0] - x0) * ux + (place[1] - y0) * uy, -(place[0] - x0) * uy + (place[1] - y0) * ux

    first, last = local(edge.start), local(edge.end)
    before, after = first[0], long - last[0]
    deepest = max(local(place)[1] for one in detour.edges for place in (one.start, one.middle, one.end))
    round_ = any(isinstance(one, Arc) for one in detour.edges)
    off = max(abs(first[1] - last[1]), -first[1], abs(before - after))
    if off > REDRAWN or before < SHORTEST_EDGE:
        return None
    return Relieved(detour, bend, first[1], before, deepest - first[1], "round" if round_ else "square")


def is_edge_of(edge: Edge, bend: Bend) -> bool:
    """True when the line of a bend is just this edge."""
    (a, b) = bend.parent_line
    return isinstance(edge, Line) and math.dist(edge.start, a) < REDRAWN and math.dist(edge.end, b) < REDRAWN


def best_datum(value: float, bend: Bend, thickness: float, figures: FoundParameters) -> tuple[Datum, float]:
    """Return the datum to which a length from the tangent line is a round figure; the outside if none is."""
    found = []
    for number, datum in enumerate(datums_at(bend.angle)):
        size = value + setback(datum, bend.angle, bend.inside_radius, thickness)
        found.append((decimals(figures.tidy(size)), number, datum, size))
    places, _, datum, size = min(found)
    return (datum, size) if places < 6 else (DATUMS[0], found[0][3])


def flange_step(
    body: Body,
    bend: Bend,
    names: dict[str, str],
    depth: int,
    part: Variable,
    figures: FoundParameters,
    relieved: Relieved | None = None,
    outside: bool = False,
    lips: bool = True,
    by_sides: bool = True,
) -> Assign:
    """Return one `add_flange`, in terms of the target: its flats are drawn as flanges are."""
    parent, child = body.flat(bend.parent), body.flat(bend.child)
    thickness = body.sheet.thickness
    named: dict[str, Node] = {}
    parts: list[Node] = [part, edge_node(parent, bend, named, figures, relieved, by_sides)]
    strip = _strip(child, bend, body)
    if strip is None:
        named["outline"] = outline_node(
            hung(child, body), figures, ("flange_length", "flange_width", "flange_corner")
        )
    else:
        high, wider, end = strip
        high += _lip_setback(body, child) if lips else 0.0
        datum, tall = best_datum(high, bend, thickness, figures)
        text = (
            f"{HEIGHTS[min(depth, 2)].split('_')[0]}, to the {datum}"
            if datum != "mid-surface"
            else "to the mid-surface"
        )
        parts.append(figures.length(HEIGHTS[min(depth, 2)], tall, f"height of the {text}"))
        named.update(_end_words(datum, wider, end, figures))
    if depth:
        named["flat"] = Literal(names[bend.parent])
    _bend_words(named, bend, body, figures, relieved, outside)
    named["name"] = Literal(names[bend.child])
    return Assign(part, Call("add_flange", tuple(parts), named))


def _end_words(
    datum: str, wider: tuple[float, float], end: StripEnd, figures: FoundParameters
) -> dict[str, Node]:
    found: dict[str, Node] = {} if datum == "outside" else {"height_to": Literal(datum)}
    if end != StripEnd():
        found["end"] = end_node(end, figures)
    if any(figures.tidy(side) for side in wider):
        found["extend"] = Literal(tuple(figures.tidy(side) for side in wider))
    return found


def _bend_words(
    named: dict[str, Node],
    bend: Bend,
    body: Body,
    figures: FoundParameters,
    relieved: Relieved | None,
    outside: bool,
) -> None:
    """Return the arguments of a bend that differ from the defaults."""
    if relieved is not None:
        datum = next(d for d in datums_at(bend.angle) if abs(_back(d, bend, body) - relieved.back) < REDRAWN)
        sizes = (
            figures.length("relief_width", relieved.width),
            figures.length("relief_depth", relieved.depth),
        )
        shape: tuple[Node, ...] = () if relieved.shape == "round" else (Literal("square"),)
        named["relief"] = Call("relief", (*sizes, *shape))
        if datum != "outside":
            named["edge_to"] = Literal(datum)
    elif not outside:
        named["edge_to"] = Literal("tangent line")
    if abs(bend.angle - SQUARE_ANGLE) > TURN_DEG:
        named["angle"] = figures.angle("bend_angle", bend.angle)
    if bend.side == "down":
        named["side"] = Literal("down")
    radius = figures.length("inside_radius", bend.inside_radius)
    if radius.text() != "inside_radius":
        named["inside_radius"] = radius
    named.update(how_bent(bend))


def rule_text(rule: BendRule) -> str:
    """Return a rule as users write it."""
    return f"K {rule.k:.12g}" if isinstance(rule, KFactor) else rule.name


def how_bent(bend: Bend) -> dict[str, Node]:
    """The process and the rule of a bend that has its own."""
    named: dict[str, Node] = {} if bend.process == "air bend" else {"process": Literal(bend.process)}
    if bend.bend_rule and bend.bend_rule != rule_apart(bend.angle, bend.inside_radius):
        named["bend_rule"] = Literal(rule_text(bend.bend_rule))
    return named


def _back(datum: Datum, bend: Bend, body: Body) -> float:
    return setback(datum, bend.angle, bend.inside_radius, body.sheet.thickness)


def _strip(child: Flat, bend: Bend, body: Body) -> tuple[float, tuple[float, float], StripEnd] | None:
    """Height, how much wider than its bend, and end of a flange that is a strip."""
    if any(hole for hole in hung(child, body).holes):
        return None
    x0, _, x1, _ = child.net.outer.bounds
    moved = Flat(child.name, outline_of([child.net.outer]).moved(Motion.shift(-x0, 0.0)))
    found = strip_end(moved, x1 - x0)
    if found is None or x0 > REDRAWN or x1 < bend.width - REDRAWN:
        return None
    return found[0], (x1 - bend.width, -x0), found[1]


def _lip_setback(body: Body, child: Flat) -> float:
    """Return what a bend along the whole far edge of a flange adds to its height, which is given to the outside."""
    lip = lip_of(body, child.name)
    return setback("outside", lip.angle, lip.inside_radius, body.sheet.thickness) if lip else 0.0


def lip_of(body: Body, flat: str) -> Bend | None:
    """The bend along the whole far edge of a flange on which nothing else hangs, if there is one."""
    beyond = [
        bend
        for bend in bends_on(body, flat)
        if any(b.name == bend.name and b.parent == flat for b in body.bends)
    ]
    x0, _, x1, y1 = body.flat(flat).net.outer.bounds
    for bend in beyond if len(beyond) == 1 else ():
        level = all(abs(y - y1) < REDRAWN for _, y in bend.parent_line)
        if level and abs(bend.width - (x1 - x0)) < REDRAWN and bend.angle < 170.0:
            return bend
    return None


def edge_node(
    parent: Flat,
    bend: Bend,
    named: dict[str, Node],
    figures: FoundParameters,
    relieved: Relieved | None,
    by_sides: bool = True,
) -> Node:
    """Return the edge of a flange: by the side that it faces, with width and place where it is a part of it."""
    for facing in FACINGS if by_sides else ():
        try:
            edge = edge_facing(parent, facing, "recipe")
        except InputError:
            continue
        if _on_side(edge, bend):
            return Literal(facing)
    if relieved is not None:
        return _relieved_edge(relieved, parent, named, figures)
    return Literal(tuple(tuple(map(figures.tidy, place)) for place in bend.parent_line))


def _on_side(edge: Line, bend: Bend) -> bool:
    """True when a bend is the whole of an edge that faces one way."""
    return (
        math.dist(edge.start, bend.parent_line[0]) < REDRAWN
        and math.dist(edge.end, bend.parent_line[1]) < REDRAWN
    )


def _relieved_edge(
    relieved: Relieved, parent: Flat, named: dict[str, Node], figures: FoundParameters
) -> Node:
    """The edge that a flange between reliefs was let into: by its side, else by two points."""
    (x0, y0), (x1, y1) = relieved.bend.parent_line
    long = relieved.bend.width
    nx, ny = (y1 - y0) / long, -(x1 - x0) / long
    ends = (
        (x0 + relieved.back * nx, y0 + relieved.back * ny),
        (x1 + relieved.back * nx, y1 + relieved.back * ny),
    )
    side = next((word for away, word in FACING if math.dist(away, (nx, ny)) < ROUNDING), "")
    whole = relieved.whole
    if not side or whole is None or not _is_farthest(whole, parent, (nx, ny)):
        return Literal(tuple((figures.tidy(x), figures.tidy(y)) for x, y in ends))
    named["width"] = figures.length("flange_width", long, "width of the flange")
    off = math.dist(whole.start, ends[0]) + long / 2.0 - whole.length / 2.0
    if figures.tidy(off):
        named["centre"] = Literal(figures.tidy(off))
    return Literal(side)


def _is_farthest(whole: Line, parent: Flat, away: Point) -> bool:
    """True when nothing of a flat lies farther out than an edge, and nothing else of it as far."""
    out = whole.start[0] * away[0] + whole.start[1] * away[1]
    reach = max(
        x * away[0] + y * away[1] for edge in parent.net.outer.edges for x, y in (edge.start, edge.middle)
    )
    return reach < out + REDRAWN


def hung(flat: Flat, body: Body) -> Outline:
    """Return the outline of a flat with only those holes on whose rims bends hang: the others are openings."""
    lines = [bend.parent_line for bend in bends_on(body, flat.name)]
    kept = [hole for hole in flat.net.holes if any(hole.distance(line[0]) < REDRAWN for line in lines)]
    return outline_of([flat.net.outer, *kept])


def plain_holes(flat: Flat, body: Body) -> list[Loop]:
    """The holes of a flat on which nothing hangs."""
    lines = [bend.parent_line for bend in bends_on(body, flat.name)]
    return [hole for hole in flat.net.holes if not any(hole.distance(line[0]) < REDRAWN for line in lines)]
