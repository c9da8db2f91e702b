"""An outline as a person would write it: rectangle, disc, slot, ring, polygon, else a path from corner to corner."""

from __future__ import annotations

import math
from dataclasses import dataclass

from formparts.outline import Arc, Line, Outline
from formparts.outline.edges import Edge, Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.expressions import Call, Literal, Node, Several
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.tolerances import ANGLE_DEG, LENGTH, ROUNDING, TURN_DEG, TURN_RAD


@dataclass(frozen=True)
class Shape:
    """A loop as a known shape about its own middle."""

    kind: str
    sizes: tuple[float, ...]
    centre: Point
    turned: float

    @property
    def area(self) -> float:
        """Of the shape that its sizes give [mm2]."""
        if self.kind == "disc":
            return math.pi / 4.0 * self.sizes[0] ** 2
        if self.kind == "obround":
            return (self.sizes[0] - self.sizes[1]) * self.sizes[1] + math.pi / 4.0 * self.sizes[1] ** 2
        return self.sizes[0] * self.sizes[1] - (4.0 - math.pi) * self.sizes[2] ** 2

    def key(self, figures: FoundParameters) -> tuple[object, ...]:
        """What equal shapes have in common, wherever they are."""
        return (self.kind, *map(figures.tidy, self.sizes))


def merged(loop: Loop) -> list[Edge]:
    """Return the edges of a loop with consecutive parts of one line or circle joined, at most a half turn each."""
    edges: list[Edge] = list(loop.edges)
    changed = True
    while changed and len(edges) > 2:
        changed = False
        for k, edge in enumerate(edges):
            joined = _joined(edges[k - 1], edge)
            if joined is not None:
                edges[k] = joined
                del edges[k - 1]
                changed = True
                break
    return edges


def _joined(one: Edge, other: Edge) -> Edge | None:
    """Two edges in a row as one, where they are one line or one arc."""
    if isinstance(one, Line) and isinstance(other, Line):
        along = _heading(one)
        if abs(along[0] * _heading(other)[1] - along[1] * _heading(other)[0]) < ROUNDING and _ahead(
            one, other
        ):
            return Line(one.start, other.end, one.tag)
        return None
    if isinstance(one, Arc) and isinstance(other, Arc) and one.ccw == other.ccw:
        near = math.dist(one.centre, other.centre) < LENGTH and abs(one.radius - other.radius) < LENGTH
        if near and abs(one.sweep_rad) + abs(other.sweep_rad) <= math.pi + ROUNDING:
            return Arc(one.start, other.end, one.centre, one.radius, one.ccw, one.tag)
    return None


def _heading(line: Line) -> Point:
    (x0, y0), (x1, y1) = line.start, line.end
    return ((x1 - x0) / line.length, (y1 - y0) / line.length)


def _ahead(one: Line, other: Line) -> bool:
    (ax, ay), (bx, by) = _heading(one), _heading(other)
    return ax * bx + ay * by > 0.0


def shape_of(loop: Loop) -> Shape | None:
    """Return the named shape of a loop, if it has one."""
    circle = loop.circle
    if circle is not None:
        return Shape("disc", (2.0 * circle[1],), circle[0], 0.0)
    edges = merged(loop)
    found = _slot(edges) or _rectangle(edges)
    return found if found and abs(found.area - abs(loop.signed_area)) <= LENGTH * loop.length else None


def _slot(edges: list[Edge]) -> Shape | None:
    """Two parallel sides and two half circles."""
    arcs = [edge for edge in edges if isinstance(edge, Arc)]
    lines = [edge for edge in edges if isinstance(edge, Line)]
    if len(edges) != 4 or len(arcs) != 2 or not all(abs(abs(a.sweep_rad) - math.pi) < TURN_RAD for a in arcs):
        return None
    if len({arc.ccw for arc in arcs}) != 1 or abs(arcs[0].radius - arcs[1].radius) > LENGTH:
        return None
    apart = math.dist(arcs[0].centre, arcs[1].centre)
    if any(abs(line.length - apart) > LENGTH for line in lines):
        return None
    (x0, y0), (x1, y1) = arcs[0].centre, arcs[1].centre
    turned = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 180.0
    wide = 2.0 * arcs[0].radius
    return Shape("obround", (apart + wide, wide), ((x0 + x1) / 2.0, (y0 + y1) / 2.0), _settled(turned, 180.0))


def _settled(turned: float, whole: float) -> float:
    """Return an angle within a full turn, values just below it as 0."""
    turned = round(turned, 9) % whole
    return 0.0 if whole - turned < TURN_DEG else turned


def _rectangle(edges: list[Edge]) -> Shape | None:
    """Four sides at right angles, with four equal corner radii or none."""
    lines = [edge for edge in edges if isinstance(edge, Line)]
    arcs = [edge for edge in edges if isinstance(edge, Arc)]
    if len(lines) != 4 or len(arcs) not in (0, 4) or len(edges) != len(lines) + len(arcs):
        return None
    first = _heading(lines[0])
    for number, line in enumerate(lines):
        x, y = _heading(line)
        along, across = first[0] * x + first[1] * y, first[0] * y - first[1] * x
        if abs(along if number % 2 else across) > ROUNDING:
            return None
    radius = arcs[0].radius if arcs else 0.0
    if any(
        abs(arc.radius - radius) > LENGTH or abs(abs(arc.sweep_rad) - math.pi / 2) > TURN_RAD for arc in arcs
    ):
        return None
    if len({arc.ccw for arc in arcs}) > 1:
        return None
    turned = math.degrees(math.atan2(first[1], first[0])) % 180.0
    long, wide = lines[0].length + 2.0 * radius, lines[1].length + 2.0 * radius
    if turned > 45.0 + ANGLE_DEG and turned <= 135.0:
        turned, long, wide = turned - 90.0, wide, long
    elif turned > 135.0:
        turned -= 180.0
    corners = [place for line in lines for place in (line.start, line.end)]
    middle = (sum(x for x, _ in corners) / 8.0, sum(y for _, y in corners) / 8.0)
    return Shape("rectangle", (long, wide, radius), middle, round(turned, 9) + 0.0)


def shape_node(shape: Shape, figures: FoundParameters, roles: tuple[str, ...]) -> Node:
    """A known shape about its middle, its sizes as parameters of the meanings given."""
    sizes = [figures.length(role, size) for role, size in zip(roles, shape.sizes, strict=False)]
    if shape.kind == "rectangle" and figures.tidy(shape.sizes[2]) == 0.0:
        sizes = sizes[:2]
    return Call(shape.kind, tuple(sizes))


def placed(node: Node, centre: Point, turned: float, figures: FoundParameters) -> Node:
    """A shape that was drawn about its middle at its place."""
    x, y, turn = figures.tidy(centre[0]), figures.tidy(centre[1]), figures.tidy(turned)
    if (x, y, turn) == (0.0, 0.0, 0.0):
        return node
    named = {"turned": Literal(turn)} if turn else {}
    return Call("shifted", (node, figures.tied(x), figures.tied(y)), named)


def path_node(loop: Loop, figures: FoundParameters) -> Node:
    """A loop as a polygon, or as a path where it has arcs, from its corner that is lowest on the left."""
    edges = merged(loop if loop.signed_area > 0.0 else loop.reversed())
    corners = [edge.start for edge in edges]
    first = min(range(len(corners)), key=lambda k: (round(corners[k][1], 3), round(corners[k][0], 3)))
    edges = edges[first:] + edges[:first]
    if all(isinstance(edge, Line) for edge in edges):
        return Call("polygon", (Several(tuple(_point(e.start, figures) for e in edges), "[]"),))
    steps: list[Node] = []
    for edge in edges:
        if isinstance(edge, Line):
            steps.append(_point(edge.end, figures))
        else:
            steps.append(_arc(edge, figures))
    if isinstance(edges[-1], Line):
        steps.pop()
    return Call("closed_path", (_point(edges[0].start, figures), *steps))


def _arc(edge: Arc, figures: FoundParameters) -> Node:
    """An arc: by its radius where it is well below a half turn, else by its centre."""
    named: dict[str, Node] = {}
    if abs(edge.sweep_rad) < 0.9 * math.pi and edge.length > 1.0:
        named["radius"] = Literal(figures.tidy(edge.radius))
    else:
        named["centre"] = _point(edge.centre, figures)
    if not edge.ccw:
        named["ccw"] = Literal(False)
    return Call("arc_to", (_point(edge.end, figures),), named)


def _point(place: Point, figures: FoundParameters) -> Literal:
    return Literal((figures.tidy(place[0]), figures.tidy(place[1])))


def outline_node(
    outline: Outline, figures: FoundParameters, roles: tuple[str, ...] = ("length", "width", "corner_radius")
) -> Node:
    """A whole outline with its holes: by shapes where they reproduce it, else by paths."""
    whole = plate_shape(outline, figures, roles)
    holes = [loop_node(hole, figures) for hole in outline.holes]
    return Call("pierced", (whole, *holes)) if holes else whole


def plate_shape(outline: Outline, figures: FoundParameters, roles: tuple[str, ...]) -> Node:
    """The outer loop: a shape with a name, a rectangle with cut-outs, or a path."""
    shape = shape_of(outline.outer)
    if shape is not None:
        names = ("diameter",) if shape.kind == "disc" else roles
        return placed(shape_node(shape, figures, names), shape.centre, shape.turned, figures)
    return path_node(outline.outer, figures)


def loop_node(loop: Loop, figures: FoundParameters) -> Node:
    """One hole of an outline."""
    shape = shape_of(loop)
    if shape is None:
        return path_node(loop, figures)
    return placed(shape_node(shape, figures, ROLES[shape.kind]), shape.centre, shape.turned, figures)


ROLES = {
    "disc": ("opening",),
    "obround": ("slot_length", "slot_width"),
    "rectangle": ("cutout_length", "cutout_width", "cutout_radius"),
}
