"""An outline as a rectangle with cutouts in its rim: equal ones written once, with their positions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formparts.outline import Arc, Outline, cut, disc, intersect, outline_of, polygon
from formparts.outline.edges import Motion
from formparts.outline.regions import Loop
from formparts.recipe_writing.expressions import Call, Literal, Node, Several, indented
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.likeness import same_outline
from formparts.recipe_writing.outlines import Shape, path_node, placed, shape_node, shape_of
from formparts.shapes import pierced
from formparts.tolerances import LENGTH

MOST, MOST_ODD = 24, 3
LEAST_FILLED = 0.5
ROLES = {
    "disc": ("corner_relief",),
    "obround": ("notch_length", "notch_width"),
    "rectangle": ("notch_length", "notch_width", "notch_radius"),
}


@dataclass(frozen=True)
class Each:
    """The same shape at several places: `*[shifted(shape, x, y) for x, y in (...)]`."""

    shape: Node
    places: tuple[tuple[Node, Node], ...]

    @property
    def value(self) -> list[Outline]:
        return [self.shape.value.moved(Motion.shift(x.value, y.value)) for x, y in self.places]

    def text(self, room: int = 100) -> str:
        xs, ys = ({one[axis].text(): one[axis] for one in self.places} for axis in (0, 1))
        if len(xs) * len(ys) == len(self.places):
            over = [
                f"for {axis} in {Several(tuple(row.values())).text(room)}"
                for axis, row in (("x", xs), ("y", ys))
            ]
        else:
            over = [f"for x, y in {Several(tuple(map(Several, self.places))).text(room - 12)}"]
        inner = "\n".join([f"shifted({self.shape.text(room)}, x, y)", *over])
        line = f"*[{inner.replace(chr(10), ' ')}]"
        return line if len(line) <= room else f"*[\n    {indented(inner)}\n]"

    def pieces(self) -> Iterator[Node]:
        yield self.shape
        yield Call("shifted")
        for place in self.places:
            yield from place


@dataclass(frozen=True)
class Pierced:
    """`pierced(whole, ...)`, where some cutouts are several."""

    whole: Node
    tools: tuple[Node, ...]

    @property
    def value(self) -> object:
        found: list[Outline] = []
        for tool in self.tools:
            found.extend(tool.value if isinstance(tool, Each) else [tool.value])
        return pierced(self.whole.value, *found)

    def text(self, room: int = 100) -> str:
        return Call("pierced", (self.whole, *self.tools)).text(room)

    def pieces(self) -> Iterator[Node]:
        yield self.whole
        yield from self.tools
        yield Call("pierced")


def notches_of(loop: Loop) -> tuple[list[Shape], list[Outline]] | None:
    """Return what is cut out of the rectangle around a loop, where that is little and mostly has named shapes."""
    x0, y0, x1, y1 = loop.bounds
    whole = polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    inside = outline_of([loop])
    if inside.area < LEAST_FILLED * whole.area:
        return None
    pieces = cut(whole, inside)
    shapes = [_tool(piece, whole) for piece in pieces]
    odd = [piece for piece, shape in zip(pieces, shapes, strict=True) if shape is None]
    round_ = any(isinstance(edge, Arc) for piece in odd for edge in piece.outer.edges)
    if round_ or len(pieces) > MOST or len(odd) > MOST_ODD or any(piece.holes for piece in pieces):
        return None
    return [shape for shape in shapes if shape], odd


def notched(base: Node, shapes: Sequence[Shape], odd: Sequence[Outline], figures: FoundParameters) -> Node:
    """A rectangle less its notches."""
    tools = (*_rows(shapes, figures), *(path_node(piece.outer, figures) for piece in odd))
    return Pierced(base, tools) if tools else base


def _tool(piece: Outline, whole: Outline) -> Shape | None:
    """Return the shape of a cutout: a named shape, or a disc that lies partly on the sheet."""
    shape = shape_of(piece.outer)
    if shape is not None:
        return shape
    arcs = [edge for edge in piece.outer.edges if isinstance(edge, Arc)]
    if not arcs or any(abs(arc.radius - arcs[0].radius) > LENGTH for arc in arcs):
        return None
    tool = disc(2.0 * arcs[0].radius).moved(Motion.shift(*arcs[0].centre))
    common = intersect(whole, tool)
    if len(common) == 1 and same_outline(common[0], piece, LENGTH):
        return Shape("disc", (2.0 * arcs[0].radius,), arcs[0].centre, 0.0)
    return None


def _rows(shapes: Sequence[Shape], figures: FoundParameters) -> Iterator[Node]:
    """Equal shapes together."""
    rows: dict[object, list[Shape]] = {}
    for shape in shapes:
        rows.setdefault((shape.key(figures), figures.tidy(shape.turned)), []).append(shape)
    for row in rows.values():
        node = shape_node(row[0], figures, ROLES[row[0].kind])
        turn = figures.tidy(row[0].turned)
        node = Call("shifted", (node,), {"turned": Literal(turn)}) if turn else node
        if len(row) == 1:
            yield placed(node, row[0].centre, 0.0, figures)
        else:
            yield Each(
                node, tuple((figures.tied(shape.centre[0]), figures.tied(shape.centre[1])) for shape in row)
            )
