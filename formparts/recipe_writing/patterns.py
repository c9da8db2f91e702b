"""Openings by pattern: on a pitch circle, in a grid, else at a list of places."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from formparts.body import HoleFeature, Opening
from formparts.body.hole_features import SUNK
from formparts.outline.edges import Motion, Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.expressions import Call, Literal, Node, Several, Variable, shown
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.outlines import Shape, path_node, shape_node, shape_of
from formparts.recipe_writing.steps import Assign
from formparts.tolerances import SAME_MIDDLE

OPENING_ROLES = {
    "disc": ("hole_diameter",),
    "obround": ("slot_length", "slot_width"),
    "rectangle": ("cutout_length", "cutout_width", "cutout_radius"),
}
WORDS = {"disc": "hole", "obround": "slot", "rectangle": "cutout"}
FEWEST_ON_A_CIRCLE = 3
RIGHT_ANGLE = 90.0


@dataclass(frozen=True)
class OpeningRow:
    """Equal openings of one flat, all turned the same way."""

    shape: Shape
    places: tuple[Point, ...]
    feature: HoleFeature | None


def opening_steps(
    loops: Sequence[Loop],
    name: str,
    part: Variable,
    figures: FoundParameters,
    root: bool,
    openings: Sequence[Opening] = (),
    across: bool = False,
) -> list[Assign]:
    """All openings of a flat, equal ones together, with what is sunk or tapped in them; or those across bends."""
    steps: list[Assign] = []
    numbers: dict[str, int] = {}

    def called(kind: str) -> Literal:
        numbers[kind] = numbers.get(kind, 0) + 1
        tail = kind if numbers[kind] == 1 else f"{kind}_{numbers[kind]}"
        return Literal(tail if root else f"{name}.{tail}")

    rows, odd = _rows(loops, figures, openings)
    for row in rows:
        tool = _made_node(row, figures) or shape_node(row.shape, figures, OPENING_ROLES[row.shape.kind])
        turn = figures.tidy(row.shape.turned)
        if turn:
            tool = Call("shifted", (tool,), {"turned": Literal(turn)})
        named = {"places": places_node(row.places, figures), "name": called(WORDS[row.shape.kind])}
        steps.append(_cut(part, tool, name, named, root, across))
    for loop in odd:
        steps.append(_cut(part, path_node(loop, figures), name, {"name": called("window")}, root, across))
    return steps


def _cut(part: Variable, tool: Node, flat: str, named: dict[str, Node], root: bool, across: bool) -> Assign:
    on: dict[str, Node] = {} if root else {"flat": Literal(flat)}
    through: dict[str, Node] = {"on": Literal("blank")} if across else {}
    return Assign(part, Call("cut_opening", (part, tool), {**on, **named, **through}))


def _made_node(row: OpeningRow, figures: FoundParameters) -> Node | None:
    """Return a countersunk, tapped, extruded or pressed-part hole by its drawing's figures; None for a plain one."""
    feature = row.feature
    if feature is None:
        return None
    named: dict[str, Node] = {} if feature.face == "upper" else {"face": Literal("lower")}
    if feature.kind == "tapped":
        return Call("tapped", (Literal(feature.callout),), named)
    hole = figures.length("hole_diameter", row.shape.sizes[0])
    if feature.kind in SUNK:
        parts = [
            hole,
            figures.length("head_diameter", feature.diameter, "diameter of what the holes are sunk to"),
        ]
        if feature.kind == "counterbored":
            parts.append(figures.length("head_depth", feature.depth, "depth of the counterbores"))
        elif figures.tidy(feature.angle) != RIGHT_ANGLE:
            parts.append(Literal(figures.tidy(feature.angle)))
        return Call(feature.kind, tuple(parts), named)
    if feature.kind == "pressed":
        asked = {"least_edge": feature.least_edge, "least_thickness": feature.least_thickness}
        named |= {name: Literal(value) for name, value in asked.items() if value}
        return Call("pressed", (hole, Literal(feature.callout), Literal(feature.diameter)), named)
    if feature.pitch:
        named["thread"] = Literal(feature.callout.removeprefix("extruded and tapped "))
    return Call("extruded", (hole, Literal(feature.diameter), Literal(feature.height)), named)


def _feature(loop: Loop, openings: Sequence[Opening]) -> HoleFeature | None:
    """Return the hole feature of the opening that a loop is."""
    circle = loop.circle
    for one in openings if circle is not None else ():
        own = one.outline.outer.circle if one.feature is not None else None
        if circle is not None and own is not None and math.dist(own[0], circle[0]) < SAME_MIDDLE:
            return one.feature
    return None


def _rows(
    loops: Sequence[Loop], figures: FoundParameters, openings: Sequence[Opening]
) -> tuple[list[OpeningRow], list[Loop]]:
    """Equal shapes together, in the order in which they are met; and what has no name."""
    found: dict[object, list[tuple[Shape, HoleFeature | None]]] = {}
    odd = []
    for loop in loops:
        shape = shape_of(loop)
        if shape is None:
            odd.append(loop)
            continue
        feature = _feature(loop, openings)
        key = (
            shape.key(figures),
            figures.tidy(shape.turned),
            feature and (feature.kind, feature.callout, feature.face),
        )
        found.setdefault(key, []).append((shape, feature))
    rows = [
        OpeningRow(row[0][0], tuple(sorted((shape.centre for shape, _ in row), key=_order)), row[0][1])
        for row in found.values()
    ]
    return rows, odd


def _order(place: Point) -> Point:
    return (round(place[1], 6), round(place[0], 6))


def places_node(places: Sequence[Point], figures: FoundParameters) -> Node:
    """Where equal openings go: one place, a pitch circle, a grid, or a list."""
    if len(places) == 1:
        return Literal(tuple(map(figures.tidy, places[0])))
    for pattern in (_grid, _circle):
        found = pattern(places, figures)
        if found is not None:
            return found
    return Several(tuple(Literal((figures.tidy(x), figures.tidy(y))) for x, y in places), "[]")


def _circle(places: Sequence[Point], figures: FoundParameters) -> Node | None:
    """Evenly spaced on a circle about the origin."""
    if len(places) < FEWEST_ON_A_CIRCLE:
        return None
    radii = [math.hypot(x, y) for x, y in places]
    step = 360.0 / len(places)
    turns = sorted(math.degrees(math.atan2(y, x)) % 360.0 for x, y in places)
    first = min((turn for turn in turns), key=lambda turn: round(turn % step, 6))
    even = all(
        abs(((turn - first + step / 2) % step) - step / 2) * radii[0] < 57.0 * figures.tolerance
        for turn in turns
    )
    gaps = {round((b - a) / step) for a, b in itertools.pairwise(turns)}
    if max(radii) - min(radii) > figures.tolerance or not even or gaps != {1}:
        return None
    pitch = figures.length("hole_circle", 2.0 * radii[0])
    count = figures.count("hole_count", len(places))
    start = figures.tidy(min(turns))
    named = {"start_angle": Literal(start)} if start else {}
    return Call("bolt_circle", (Literal(None), count, pitch), named)


def _grid(places: Sequence[Point], figures: FoundParameters) -> Node | None:
    """Columns and rows, evenly spaced both ways."""
    xs, ys = (_levels([place[axis] for place in places], figures) for axis in (0, 1))
    if xs is None or ys is None or len(xs) * len(ys) != len(places):
        return None
    middle = ((xs[0] + xs[-1]) / 2.0, (ys[0] + ys[-1]) / 2.0)
    pitches = [(row[-1] - row[0]) / (len(row) - 1) if len(row) > 1 else 0.0 for row in (xs, ys)]
    nodes = [figures.length(f"pitch_{axis}", pitch, f"from one to the next along {axis}") if pitch else Literal(1)
             for axis, pitch in zip("xy", pitches, strict=True)]  # fmt: skip
    found = Call("grid", (Literal(len(xs)), Literal(len(ys)), *nodes))
    x, y = (figures.tidy(value) for value in middle)
    return found if (x, y) == (0.0, 0.0) else Moved(found, (x, y))


def _levels(values: Sequence[float], figures: FoundParameters) -> list[float] | None:
    """Distinct values, if they are evenly spaced."""
    rows: list[float] = []
    for value in sorted(values):
        if not rows or value - rows[-1] > SAME_MIDDLE:
            rows.append(value)
    gaps = [b - a for a, b in itertools.pairwise(rows)]
    return rows if not gaps or max(gaps) - min(gaps) <= 2.0 * figures.tolerance else None


@dataclass(frozen=True)
class Moved:
    """Places of a pattern about another middle: `[Motion.shift(x, y).after(place) for place in grid(...)]`."""

    of: Node
    by: Point

    @property
    def value(self) -> Any:
        return [Motion.shift(*self.by).after(place) for place in self.of.value]

    def text(self, room: int = 100) -> str:
        x, y = map(shown, self.by)
        return f"[Motion.shift({x}, {y}).after(place) for place in {self.of.text(room)}]"

    def pieces(self) -> Iterator[Node]:
        yield Call("Motion.shift")
        yield self.of
