"""From a body to the lines of its recipe: ways of saying it are proposed, and kept only if they give the part."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from formparts.body import Bend, Body, Flat, Frame, bends_on, frames
from formparts.body.frame import combined, dot
from formparts.errors import FormpartsError
from formparts.outline import Arc, Line, outline_of
from formparts.outline.edges import Motion, Point
from formparts.outline.regions import Loop
from formparts.recipe_writing.cutouts import notched, notches_of
from formparts.recipe_writing.detours import Chain, Detour, on_one, outward_frame, stripped
from formparts.recipe_writing.expressions import Call, Formula, Literal, Named, Node, Par, Variable, decimals
from formparts.recipe_writing.figures import Figures
from formparts.recipe_writing.flanges import (
    FACING,
    Relieved,
    flange_step,
    lip_of,
    plain_holes,
    relieved_of,
)
from formparts.recipe_writing.likeness import same_part
from formparts.recipe_writing.lugs import NEAR, Ear, Lug, ear_holes, ear_of, ear_steps, lug_of, lug_steps, ring_of
from formparts.recipe_writing.outlines import loop_node, path_node, placed, shape_node, shape_of
from formparts.recipe_writing.patterns import opening_steps
from formparts.recipe_writing.profiles import chain_of, profile_node, runs_of
from formparts.recipe_writing.redrawing import as_flanges, largest_first, redrawn, shifted_to, squared, turn_of
from formparts.recipe_writing.steps import Assign, Loop as LoopStep, Step, grouped
from formparts.shapes import rooted
from formparts.shapes.profiles import setback

IDIOMS: Final = ("profile", "lugs", "ears", "reliefs", "outside", "cutouts", "lips", "sides")
LARGE = 0.15
"""A round opening of this radius, as a share of the width of its plate, is part of the shape of the plate."""
DEPTHS = ("flange", "lip", "return", "edge")


@dataclass
class Plan:
    """The lines of a recipe and its parameters; `part` is what they end with."""

    figures: Figures
    part: Variable
    steps: list[Step]
    says: list[str] = field(default_factory=list)

    def built(self) -> Body:
        """Run all lines."""
        for step in self.steps:
            step.run()
        body = self.part.value
        assert isinstance(body, Body)
        return body


def plan_of(body: Body, tolerance: float) -> Plan | None:
    """The first way of saying a part that gives it; the plainest comes last. None when none of them does."""
    ways = [IDIOMS, *(tuple(i for i in IDIOMS if i != left) for left in IDIOMS), ()]
    for idioms in ways:
        try:
            plan = _planned(body, frozenset(idioms), Figures(tolerance))
            if same_part(plan.built(), body, 20.0 * tolerance + 1e-6):
                return plan
        except (FormpartsError, LookupError, ValueError, ZeroDivisionError, AssertionError):
            continue
    return None


def _planned(body: Body, idioms: frozenset[str], figures: Figures) -> Plan:
    sheet = figures.sheet
    common = Counter(figures.tidy(bend.inside_radius) for bend in body.bends)
    radius = common.most_common(1)[0][0] if common else body.sheet.inside_radius
    thickness = figures.length("thickness", body.sheet.thickness)
    parts = (thickness, figures.length("inside_radius", radius), Par("material", body.sheet.material), Par("bend_rule", body.sheet.bend_rule))
    steps: list[Step] = [Assign(sheet, Call("Sheet", parts))]
    profile = _profile(body, idioms, figures)
    found, here, part, says = profile or _branched(squared(as_flanges(largest_first(body))), idioms, figures)
    steps.extend(found)
    steps.extend(_placing(body, here, part, figures))
    return Plan(figures, part, steps, says)


def _profile(body: Body, idioms: frozenset[str], figures: Figures) -> tuple[list[Step], Body, Variable, list[str]] | None:
    """The part as a profile with openings."""
    if "profile" not in idioms:
        return None
    order = chain_of(body)
    if order is None or runs_of(body, order) is None:
        return None
    body, order = _best_run(body, order)
    runs = runs_of(body, order)
    assert runs is not None
    part = Variable("part")
    node, names = profile_node(body, order, runs, "part", figures)
    steps: list[Assign] = []
    for flat, name in zip(order, names, strict=True):
        steps += opening_steps(body.flat(flat), list(plain_holes(body.flat(flat), body)), name, part, figures, root=False)
    sides = "".join("U" if bend.side == "up" else "D" for bend in body.bends)
    says = [f"A profile of {len(runs)} runs and {len(sides)} bend{'s' if len(sides) > 1 else ''}"]
    return [Assign(part, node), *grouped(steps)], body, part, says


def _best_run(body: Body, order: list[str]) -> tuple[Body, list[str]]:
    """The part drawn on the run, and from the end, that need no moving to where it stands; else on its largest run."""
    largest = largest_first(body).flats[0].name
    ways = []
    for names in (order, order[::-1]):
        drawn = _as_runs(body, names)
        for name in order:
            on = rooted(drawn, name)
            frame, half = on.frame, body.sheet.thickness / 2.0
            off = math.dist(frame.origin, (0.0, 0.0, half)) + 1e6 * (math.dist(frame.x, (1, 0, 0)) + math.dist(frame.z, (0, 0, 1)))
            ways.append((off > NEAR, name != largest, round(off, 3), len(ways), on, names))
    *_, on, names = min(ways, key=lambda way: way[:4])
    return on, names


def _as_runs(body: Body, order: list[str]) -> Body:
    """Every run with x along the profile from the end that comes first, and y across it from its right side."""
    motions = {}
    for number, name in enumerate(order):
        near = order[number - 1] if number else ""
        bends = {bend.child: bend.parent_line for bend in bends_on(body, name)}
        # The flat is to the left of its line: a line at its start runs against y, one at its end along it.
        (x0, y0), (x1, y1) = bends[near] if near else bends[order[number + 1]]
        turn = math.degrees(math.atan2(y1 - y0, x1 - x0))
        motion = Motion.turn((-90.0 if near else 90.0) - turn)
        box = body.flat(name).net.outer.moved(motion).bounds
        motions[name] = Motion.shift(-box[0], -box[1]).after(motion)
    return redrawn(body, motions)


def _branched(body: Body, idioms: frozenset[str], figures: Figures) -> tuple[list[Step], Body, Variable, list[str]]:
    """The part as a plate with what hangs on it."""
    held = _Held(body, idioms)
    body = shifted_to(body, held.origin(figures))
    held = _Held(body, idioms)
    part, root = Variable("part"), body.flats[0]
    name = "plate"
    base, edge = held.base(figures)
    steps: list[Step] = [*held.before, Assign(part, Call("plate", (figures.sheet, base), {} if name == "plate" else {"name": Literal(name)}))]
    says = ["A plate"]
    thickness = body.sheet.thickness
    taken: set[str] = set()
    rows = _alike(held.lugs, figures)
    for number, row in enumerate(rows, 1):
        steps += lug_steps(row, edge, thickness, "lug" if len(rows) == 1 else f"lug_{number}", figures, part)
        taken.update(name for lug in row for name in lug.bends)
    ears = _alike(held.ears, figures)
    for number, row_ in enumerate(ears, 1):
        held.done += ear_holes(row_, [h for h in plain_holes(root, body) if not any(h is one for one in held.done)])
        steps += ear_steps(row_, "ear" if len(ears) == 1 else f"ear_{number}", figures, part)
    names = _names(body, taken, root.name, name)
    steps += _flange_steps(body, held, names, taken, part, figures)
    steps += _openings(body, names, held.done, part, figures)
    says += _counts(held, body, taken)
    return steps, body, part, says


def _counts(held: _Held, body: Body, taken: set[str]) -> list[str]:
    flanges = sum(bend.name not in taken for bend in body.bends)
    words = ((len(held.lugs), "offset lug"), (len(held.ears), "ear"), (flanges, "flange"))
    return [f"{count} {word}{'s' if count > 1 else ''}" for count, word in words if count]


def _flange_steps(body: Body, held: _Held, names: dict[str, str], taken: set[str], part: Variable, figures: Figures) -> Iterator[Step]:
    """All flanges, nearest to the root first, equal ones in a loop."""
    depth = {body.flats[0].name: 0}
    rows: dict[int, list[Assign]] = {}
    for bend in body.bends:
        depth[bend.child] = depth[bend.parent] + 1
        if bend.name in taken:
            continue
        relieved = next((one for one in held.relieved if one.bend.name == bend.name), None)
        lips = "lips" in held.idioms
        outside = bend.name in held.outside or (lips and _is_lip(body, bend))
        step = flange_step(body, bend, names, depth[bend.parent], part, figures, relieved, outside, lips, "sides" in held.idioms)
        rows.setdefault(depth[bend.parent], []).append(step)
    for level in sorted(rows):
        yield from grouped(rows[level])


def _is_lip(body: Body, bend: Bend) -> bool:
    """True for the bend along the whole far edge of a flange: its place is given to its outside."""
    if bend.parent == body.flats[0].name:
        return False
    lip = lip_of(body, bend.parent)
    return lip is not None and lip.name == bend.name and not body.flat(bend.parent).outline.holes


def _openings(body: Body, names: dict[str, str], done: Sequence[Loop], part: Variable, figures: Figures) -> Iterator[Step]:
    steps: list[Assign] = []
    root = body.flats[0].name
    lug_tips = {flat for flat, name in names.items() if not name}
    for flat in body.flats:
        if flat.name not in lug_tips:
            holes = [hole for hole in plain_holes(flat, body) if not any(hole is one for one in done)]
            steps += opening_steps(flat, holes, names[flat.name], part, figures, root=flat.name == root)
    return iter(grouped(steps))


def _names(body: Body, taken: set[str], root: str, name: str) -> dict[str, str]:
    """What the flats are called: by the side of the plate that they stand on, and what hangs on them by its order."""
    found, used = {root: name}, Counter({name: 1})
    depth = {root: 0}
    for bend in body.bends:
        depth[bend.child] = depth[bend.parent] + 1
        if bend.name in taken:
            found[bend.child] = ""
            continue
        word = DEPTHS[min(depth[bend.parent], len(DEPTHS) - 1)]
        called = f"{word}_{_facing(bend)}" if bend.parent == root else f"{found[bend.parent]}.{word}"
        used[called] += 1
        found[bend.child] = called if used[called] == 1 else f"{called}[{used[called]}]"
    return found


def _facing(bend: Bend) -> str:
    """The side of its flat that a bend looks to."""
    (x0, y0), (x1, y1) = bend.parent_line
    away = (y1 - y0, x0 - x1)
    return max(FACING, key=lambda one: one[0][0] * away[0] + one[0][1] * away[1])[1]


def _alike(things: Sequence[Lug] | Sequence[Ear], figures: Figures) -> list[list]:
    rows: dict[object, list] = {}
    for one in things:
        rows.setdefault(one.key(figures), []).append(one)
    return list(rows.values())


class _Held:
    """What hangs on the root and stands out of it, and what is left of its outline without that."""

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
        """Takes a detour out of the outline when it is something that a builder makes."""
        lug = lug_of(self.body, detour) if "lugs" in self.idioms else None
        if lug is not None and (lug.start > NEAR):
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

    def origin(self, figures: Figures) -> Point:
        """The axis of the lugs, else the middle of the plate where its outline has one, else the middle of the box round it."""
        for row in _alike(self.lugs, figures):
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

    def base(self, figures: Figures) -> tuple[Node, tuple[str, Node, float] | None]:
        """The outline of the plate, and the round edge from which lugs go."""
        edge = None
        self._take_opening()
        round_holes = [hole.circle for hole in self.holes]
        if self.outer.circle and len(self.holes) == 1 and round_holes[0] and math.dist(round_holes[0][0], self.outer.circle[0]) < NEAR:
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
        """A large round opening in the middle of the plate belongs to its shape."""
        x0, y0, x1, y1 = Loop(self.outer.edges).bounds
        for hole in plain_holes(self.body.flats[0], self.body):
            circle = hole.circle
            if circle and math.hypot(*circle[0]) < NEAR and circle[1] > LARGE * min(x1 - x0, y1 - y0):
                self.holes.append(Chain(hole.edges))
                self.done.append(hole)

    def _outer_node(self, figures: Figures) -> Node:
        if self.outer.circle:
            centre, radius, _ = self.outer.circle
            return placed(Call("disc", (figures.length("diameter", 2.0 * radius),)), centre, 0.0, figures)
        loop = Loop(self.outer.edges)
        shape = shape_of(loop)
        notches = ([], []) if shape else notches_of(loop) if "cutouts" in self.idioms else None
        if notches is None:
            return path_node(loop, figures)
        if shape is None or (shape.kind == "rectangle" and shape.turned == 0.0 and not figures.tidy(shape.sizes[2])):
            x0, y0, x1, y1 = loop.bounds
            centre, sizes = self._sides(((x0 + x1) / 2.0, (y0 + y1) / 2.0), (x1 - x0, y1 - y0), bool(shape), figures)
            base = placed(Call("rectangle", sizes), centre, 0.0, figures)
            return notched(base, *notches, figures)
        drawn = placed(shape_node(shape, figures, ("length", "width", "corner_radius")), shape.centre, shape.turned, figures)
        figures.anchors = [(Par(name, size), size) for name, (size, _) in figures.found.items() if name in ("length", "width")]
        return drawn

    def _sides(self, centre: Point, sizes: Point, plain: bool, figures: Figures) -> tuple[Point, tuple[Node, Node]]:
        """Length and width of a rectangle: to the outside of the flanges on its sides where that makes round figures."""
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
                nodes.append(self._between(name, size, [walls[side] for side in pair if side in walls], figures))
        return (centre if corners else middle), (nodes[0], nodes[1])

    def _between(self, name: str, size: float, bends: Sequence[Bend], figures: Figures) -> Node:
        """The plate between the bends of its walls, as a variable of its own, from its length over their outside."""
        one, radius = bends[0], figures.length("inside_radius", bends[0].inside_radius)
        whole = size + len(bends) * setback("outside", 90.0, one.inside_radius, self.body.sheet.thickness)
        square = all(abs(b.angle - 90.0) < 1e-6 and abs(b.inside_radius - one.inside_radius) < NEAR for b in bends)
        if not square or decimals(figures.tidy(whole)) > decimals(figures.tidy(size)):
            node = figures.length(name, size)
            figures.anchors.append((node, node.value))
            return node
        parts = (figures.length(name, whole, f"{name} over the outside of the walls"), radius, figures.length("thickness", self.body.sheet.thickness))
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
            side = _facing(bend)
            axis, at = level[side]
            if all(abs(place[axis] - at) < NEAR for place in bend.parent_line) and bend.width > 0.5 * reach[side]:
                found[side] = bend
        whole = all(abs(bend.width - reach[side]) < NEAR for side, bend in found.items())
        return found if whole or len(found) > 1 else {}


def _whole_edge(one: Relieved, outer: Chain) -> Line | None:
    """The edge of the bare outline that a flange is let into."""
    carrier = one.detour.carrier
    return next((edge for edge in outer.edges if isinstance(edge, Line) and on_one(carrier, edge)), None)


def _on(lug: Lug, chain: Chain) -> bool:
    carrier = lug.detour.carrier
    return isinstance(carrier, Arc) and chain.circle is not None and abs(carrier.radius - chain.circle[1]) < NEAR


def _placing(body: Body, drawn: Body, part: Variable, figures: Figures) -> Iterator[Step]:
    """From where the builders put the part to where it stands."""
    target = drawn.frame
    axis, angle = turn_of(target)
    node: Node = part
    if abs(angle) > 1e-9:
        named = {(1.0, 0.0, 0.0): "X_AXIS", (0.0, 1.0, 0.0): "Y_AXIS", (0.0, 0.0, 1.0): "Z_AXIS"}
        rounded = tuple(round(value, 9) + 0.0 for value in axis)
        if tuple(-value + 0.0 for value in rounded) in named:
            rounded, angle = tuple(-value + 0.0 for value in rounded), -angle
        about: Node = Named(named[rounded]) if rounded in named else Call("Axis", (), {"direction": Literal(tuple(round(v, 12) for v in axis))})
        turn = Literal(figures.tidy(angle) if abs(figures.tidy(angle) - angle) < 1e-9 else round(angle, 12))
        node = Call("rotate", (node, turn) if about == Named("Z_AXIS") else (node, turn, about))
    half = body.sheet.thickness / 2.0
    origin = combined(target.origin, (-half, target.z))
    by = tuple(figures.tidy(value) for value in origin)
    if any(by):
        node = Call("translate", (node, Literal(by)))
    if node is not part:
        yield Assign(part, node)

