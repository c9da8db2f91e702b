"""The plate of a part: its bare outline, and the lugs, ears and flanges that were found in its edges."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from formparts.body import Bend, Body, bends_on
from formparts.outline import Arc, Line
from formparts.outline.edges import Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.cutouts import notched, notches_of
from formparts.recipe_writing.detours import Chain, Detour, on_one, stripped
from formparts.recipe_writing.expressions import Call, Formula, Node, Par, Variable, decimals
from formparts.recipe_writing.flanges import FACING, Relieved, plain_holes, relieved_of
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.lugs import Ear, Lug, ear_of, lug_of, ring_of
from formparts.recipe_writing.outlines import loop_node, path_node, placed, shape_node, shape_of
from formparts.recipe_writing.steps import Assign, Step
from formparts.shapes.profiles import setback
from formparts.tolerances import REDRAWN, TURN_DEG

LARGE = 0.15
"""A round opening of this radius, as a share of the width of its plate, is part of the shape of the plate."""
Thing = TypeVar("Thing", Lug, Ear)


class Held:
    """The flats that hang on the root and project from it, and the rest of its outline."""

    def __init__(self, body: Body, idioms: frozenset[str]) -> None:
        self.body, self.idioms = body, idioms
        self.lugs: list[Lug] = []
        self.ears: list[Ear] = []
        self.relieved: list[Relieved] = []
        root = body.flats[0]
        self.outer, _ = stripped(root.net.outer, self._wanted)
        plain = {id(loop) for loop in plain_holes(root, body)}
        self.holes = [stripped(loop, self._wanted)[0] for loop in root.net.holes if id(loop) not in plain]
        self.relieved = [replace(one, whole=_whole_edge(one, self.outer)) for one in self.relieved]
        self.outside: set[str] = set()
        self.before: list[Step] = []
        self.done: list[Loop] = []

    def _wanted(self, detour: Detour) -> bool:
        """Note a detour that a builder makes, and return whether it leaves the outline for that."""
        lug = lug_of(self.body, detour) if "lugs" in self.idioms else None
        if lug is not None and (lug.start > REDRAWN):
            self.lugs.append(lug)
            return True
        relieved = relieved_of(self.body, detour) if "reliefs" in self.idioms else None
        if relieved is not None:
            self.relieved.append(relieved)
            return True
        ear = ear_of(self.body, detour) if "ears" in self.idioms else None
        if ear is not None:
            self.ears.append(ear)
        return ear is not None

    def origin(self) -> Point:
        """The axis of the lugs, else the middle of the plate, else that of the box round it."""
        for row in alike(self.lugs):
            ring = ring_of([(lug.middle, lug.outward) for lug in row])
            if ring is not None and len(row) > 1:
                return ring.centre
        if self.outer.circle:
            return self.outer.circle[0]
        shape = shape_of(Loop(self.outer.edges))
        if shape is not None:
            return shape.centre
        x0, y0, x1, y1 = Loop(self.outer.edges).bounds
        return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)

    def base(self, figures: FoundParameters) -> tuple[Node, tuple[str, Node, float] | None]:
        """The outline of the plate, and the round edge from which lugs go."""
        edge = None
        self._take_opening()
        round_holes = [hole.circle for hole in self.holes]
        if (
            self.outer.circle
            and len(self.holes) == 1
            and round_holes[0]
            and math.dist(round_holes[0][0], self.outer.circle[0]) < REDRAWN
        ):
            outside = figures.length("outside", 2.0 * self.outer.circle[1], "outside diameter of the ring")
            inside = figures.length("inside", 2.0 * round_holes[0][1], "inside diameter of the ring")
            on_outer = any(_on(lug, self.outer) for lug in self.lugs)
            return Call("ring", (outside, inside)), ("ring", outside if on_outer else inside, 0.0)
        node = self._outer_node(figures)
        holes: list[Node] = []
        for hole in self.holes:
            if hole.circle:
                diameter = figures.length("opening", 2.0 * hole.circle[1])
                holes.append(placed(Call("disc", (diameter,)), hole.circle[0], 0.0, figures))
                edge = ("opening", diameter, 0.0)
            else:
                holes.append(loop_node(Loop(hole.edges), figures))
        if self.outer.circle:
            edge = edge or ("diameter", figures.length("diameter", 2.0 * self.outer.circle[1]), 0.0)
        return (Call("pierced", (node, *holes)) if holes else node), edge

    def _take_opening(self) -> None:
        """Make a large round opening in the middle of the plate part of its shape."""
        x0, y0, x1, y1 = Loop(self.outer.edges).bounds
        for hole in plain_holes(self.body.flats[0], self.body):
            circle = hole.circle
            if circle and math.hypot(*circle[0]) < REDRAWN and circle[1] > LARGE * min(x1 - x0, y1 - y0):
                self.holes.append(Chain(hole.edges))
                self.done.append(hole)

    def _outer_node(self, figures: FoundParameters) -> Node:
        if self.outer.circle:
            centre, radius, _ = self.outer.circle
            return placed(Call("disc", (figures.length("diameter", 2.0 * radius),)), centre, 0.0, figures)
        loop = Loop(self.outer.edges)
        shape = shape_of(loop)
        notches = ([], []) if shape else notches_of(loop) if "cutouts" in self.idioms else None
        if notches is None:
            return path_node(loop, figures)
        if shape is None or (
            shape.kind == "rectangle" and shape.turned == 0.0 and not figures.tidy(shape.sizes[2])
        ):
            x0, y0, x1, y1 = loop.bounds
            centre, sizes = self._sides(
                ((x0 + x1) / 2.0, (y0 + y1) / 2.0), (x1 - x0, y1 - y0), bool(shape), figures
            )
            base = placed(Call("rectangle", sizes), centre, 0.0, figures)
            return notched(base, *notches, figures)
        drawn = placed(
            shape_node(shape, figures, ("length", "width", "corner_radius")),
            shape.centre,
            shape.turned,
            figures,
        )
        figures.anchors = [
            (Par(name, size), size)
            for name, (size, _) in figures.found.items()
            if name in ("length", "width")
        ]
        return drawn

    def _sides(
        self, centre: Point, sizes: Point, plain: bool, figures: FoundParameters
    ) -> tuple[Point, tuple[Node, Node]]:
        """Return length and width of a rectangle, to the outside of its flanges where that is a round figure."""
        thickness = self.body.sheet.thickness
        by = dict.fromkeys(("left", "right", "front", "back"), 0.0)
        walls = self._walls(sizes) if "outside" in self.idioms else {}
        pairs = (("left", "right"), ("front", "back"))
        # Walls on neighbouring sides meet in a corner: there the bends begin at the edges of the plate.
        corners = not plain or all(any(side in walls for side in pair) for pair in pairs)
        for side, bend in walls.items():
            by[side] = setback("outside", bend.angle, bend.inside_radius, thickness)
            if not corners:
                self.outside.add(bend.name)
        middle = (centre[0] + (by["right"] - by["left"]) / 2.0, centre[1] + (by["back"] - by["front"]) / 2.0)
        nodes: list[Node] = []
        for name, size, pair in zip(("length", "width"), sizes, pairs, strict=True):
            out = sum(by[side] for side in pair)
            if not corners or not out:
                whole = figures.length(name, size + out)
                figures.anchors.append((whole, whole.value))
                nodes.append(whole)
            else:
                nodes.append(
                    self._between(name, size, [walls[side] for side in pair if side in walls], figures)
                )
        return (centre if corners else middle), (nodes[0], nodes[1])

    def _between(self, name: str, size: float, bends: Sequence[Bend], figures: FoundParameters) -> Node:
        """The plate between the bends of its walls, as a variable of its own, from its length over their outside."""
        one, radius = bends[0], figures.length("inside_radius", bends[0].inside_radius)
        whole = size + len(bends) * setback("outside", 90.0, one.inside_radius, self.body.sheet.thickness)
        square = all(
            abs(b.angle - 90.0) < TURN_DEG and abs(b.inside_radius - one.inside_radius) < REDRAWN
            for b in bends
        )
        if not square or decimals(figures.tidy(whole)) > decimals(figures.tidy(size)):
            node = figures.length(name, size)
            figures.anchors.append((node, node.value))
            return node
        parts = (
            figures.length(name, whole, f"{name} over the outside of the walls"),
            radius,
            figures.length("thickness", self.body.sheet.thickness),
        )
        count = len(bends)
        times = f"{count} * " if count > 1 else ""
        flat = Variable(f"flat_{name}", None)
        made = Formula(f"{{}} - {times}({{}} + {{}})", lambda w, r, t: w - count * (r + t), parts)
        flat.value = made.value
        self.before.append(Assign(flat, made))
        figures.anchors.append((flat, figures.tidy(made.value)))
        return flat

    def _walls(self, sizes: Point) -> dict[str, Bend]:
        """The bends that lie along the sides of the rectangle round the plate, by side."""
        x0, y0, x1, y1 = Loop(self.outer.edges).bounds
        level = {"left": (0, x0), "right": (0, x1), "front": (1, y0), "back": (1, y1)}
        reach = {"left": sizes[1], "right": sizes[1], "front": sizes[0], "back": sizes[0]}
        found = {}
        for bend in bends_on(self.body, self.body.flats[0].name):
            side = facing(bend)
            axis, at = level[side]
            if (
                all(abs(place[axis] - at) < REDRAWN for place in bend.parent_line)
                and bend.width > 0.5 * reach[side]
            ):
                found[side] = bend
        whole = all(abs(bend.width - reach[side]) < REDRAWN for side, bend in found.items())
        return found if whole or len(found) > 1 else {}


def _whole_edge(one: Relieved, outer: Chain) -> Line | None:
    """The edge of the bare outline that a flange is let into."""
    carrier = one.detour.carrier
    return next((edge for edge in outer.edges if isinstance(edge, Line) and on_one(carrier, edge)), None)


def _on(lug: Lug, chain: Chain) -> bool:
    carrier = lug.detour.carrier
    return (
        isinstance(carrier, Arc)
        and chain.circle is not None
        and abs(carrier.radius - chain.circle[1]) < REDRAWN
    )


def facing(bend: Bend) -> str:
    """The side of its flat that a bend looks to."""
    (x0, y0), (x1, y1) = bend.parent_line
    away = (y1 - y0, x0 - x1)
    return max(FACING, key=lambda one: one[0][0] * away[0] + one[0][1] * away[1])[1]


def alike(things: Iterable[Thing]) -> list[list[Thing]]:
    """Equal lugs, or equal ears, together."""
    rows: dict[object, list[Thing]] = {}
    for one in things:
        rows.setdefault(one.key(), []).append(one)
    return list(rows.values())
