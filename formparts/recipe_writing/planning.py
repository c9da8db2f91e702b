"""From a body to the lines of its recipe: candidate forms are tried, and kept only if they build the part."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from formparts.body import Bend, Body, bends_on
from formparts.body.frame import combined
from formparts.errors import FormpartsError
from formparts.outline.edges import Motion
from formparts.outline.regions import Loop
from formparts.recipe_writing.crossing import apart, on_root_of
from formparts.recipe_writing.expressions import Call, Literal, Named, Node, Par, Variable
from formparts.recipe_writing.flanges import (
    flange_step,
    lip_of,
    plain_holes,
)
from formparts.recipe_writing.found_parameters import FoundParameters
from formparts.recipe_writing.likeness import same_part
from formparts.recipe_writing.lugs import (
    ear_holes,
    ear_steps,
    lug_steps,
)
from formparts.recipe_writing.patterns import opening_steps
from formparts.recipe_writing.plates import Held, alike, facing
from formparts.recipe_writing.profiles import chain_of, profile_node, runs_of
from formparts.recipe_writing.redrawing import (
    as_flanges,
    largest_first,
    redrawn,
    shifted_to,
    squared,
    turn_of,
)
from formparts.recipe_writing.steps import Assign, Step, grouped
from formparts.shapes import rooted
from formparts.tolerances import ANGLE_DEG, LENGTH, REDRAWN

IDIOMS: Final = ("profile", "lugs", "ears", "reliefs", "outside", "cutouts", "lips", "sides")
DEPTHS = ("flange", "lip", "return", "edge")


@dataclass
class RecipePlan:
    """The lines of a recipe and its parameters; `part` is their result."""

    figures: FoundParameters
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


def plan_of(body: Body, tolerance: float) -> RecipePlan | None:
    """Return the first candidate form of a part that builds it, the plainest last; None when none of them does."""
    ways = [IDIOMS, *(tuple(i for i in IDIOMS if i != left) for left in IDIOMS), ()]
    for idioms in ways:
        try:
            plan = _planned(body, frozenset(idioms), FoundParameters(tolerance))
            if same_part(plan.built(), body, 20.0 * tolerance + LENGTH):
                return plan
        except (FormpartsError, LookupError, ValueError, ZeroDivisionError, AssertionError):
            continue
    return None


def _planned(body: Body, idioms: frozenset[str], figures: FoundParameters) -> RecipePlan:
    sheet = figures.sheet
    common = Counter(figures.tidy(bend.inside_radius) for bend in body.bends)
    radius = common.most_common(1)[0][0] if common else body.sheet.inside_radius
    thickness = figures.length("thickness", body.sheet.thickness)
    parts = (
        thickness,
        figures.length("inside_radius", radius),
        Par("material", body.sheet.material),
        Par("bend_rule", body.sheet.bend_rule),
    )
    steps: list[Step] = [Assign(sheet, Call("Sheet", parts))]
    plain, across = apart(body)
    profile = _profile(plain, idioms, figures)
    found, here, part, says = profile or _branched(squared(as_flanges(largest_first(plain))), idioms, figures)
    steps.extend(found)
    steps.extend(opening_steps(on_root_of(here, plain, across), "across", part, figures, True, across=True))
    steps.extend(_placing(body, here, part, figures))
    return RecipePlan(figures, part, steps, says)


def _profile(
    body: Body, idioms: frozenset[str], figures: FoundParameters
) -> tuple[list[Step], Body, Variable, list[str]] | None:
    """Write the part as a profile with openings."""
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
        here = body.flat(flat)
        steps += opening_steps(plain_holes(here, body), name, part, figures, False, here.openings)
    sides = "".join("U" if bend.side == "up" else "D" for bend in body.bends)
    says = [f"A profile of {len(runs)} runs and {len(sides)} bend{'s' if len(sides) > 1 else ''}"]
    return [Assign(part, node), *grouped(steps)], body, part, says


def _best_run(body: Body, order: list[str]) -> tuple[Body, list[str]]:
    """Draw the part on the run, and from the end, that need no move to its position; else on its largest run."""
    largest = largest_first(body).flats[0].name
    ways: list[tuple[bool, bool, float, int, Body, list[str]]] = []
    for names in (order, order[::-1]):
        drawn = _as_runs(body, names)
        for name in order:
            on = rooted(drawn, name)
            frame, half = on.frame, body.sheet.thickness / 2.0
            off = math.dist(frame.origin, (0.0, 0.0, half)) + 1e6 * (
                math.dist(frame.x, (1, 0, 0)) + math.dist(frame.z, (0, 0, 1))
            )
            ways.append((off > REDRAWN, name != largest, round(off, 3), len(ways), on, names))
    *_, on, names = min(ways, key=lambda way: way[:4])
    return on, names


def _as_runs(body: Body, order: list[str]) -> Body:
    """Every run with x along the profile from the end that comes first, and y across it from its right side."""
    motions = {}
    for number, name in enumerate(order):
        near = order[number - 1] if number else ""
        bends = {bend.child: bend.parent_line for bend in bends_on(body, name)}
        # The flat is to the left of its line, so a line at its start runs against y, one at its end along y.
        (x0, y0), (x1, y1) = bends[near] if near else bends[order[number + 1]]
        turn = math.degrees(math.atan2(y1 - y0, x1 - x0))
        motion = Motion.turn((-90.0 if near else 90.0) - turn)
        box = body.flat(name).net.outer.moved(motion).bounds
        motions[name] = Motion.shift(-box[0], -box[1]).after(motion)
    return redrawn(body, motions)


def _branched(
    body: Body, idioms: frozenset[str], figures: FoundParameters
) -> tuple[list[Step], Body, Variable, list[str]]:
    """Write the part as a plate with what hangs on it."""
    held = Held(body, idioms)
    body = shifted_to(body, held.origin())
    held = Held(body, idioms)
    part, root = Variable("part"), body.flats[0]
    name = "plate"
    base, edge = held.base(figures)
    steps: list[Step] = [
        *held.before,
        Assign(
            part, Call("plate", (figures.sheet, base), {} if name == "plate" else {"name": Literal(name)})
        ),
    ]
    says = ["A plate"]
    thickness = body.sheet.thickness
    taken: set[str] = set()
    rows = alike(held.lugs)
    for number, row in enumerate(rows, 1):
        steps += lug_steps(row, edge, thickness, "lug" if len(rows) == 1 else f"lug_{number}", figures, part)
        taken.update(name for lug in row for name in lug.bends)
    ears = alike(held.ears)
    for number, row_ in enumerate(ears, 1):
        held.done += ear_holes(
            row_, [h for h in plain_holes(root, body) if not any(h is one for one in held.done)]
        )
        steps += ear_steps(row_, "ear" if len(ears) == 1 else f"ear_{number}", figures, part)
    names = _names(body, taken, root.name, name)
    steps += _flange_steps(body, held, names, taken, part, figures)
    steps += _openings(body, names, held.done, part, figures)
    says += _counts(held, body, taken)
    return steps, body, part, says


def _counts(held: Held, body: Body, taken: set[str]) -> list[str]:
    flanges = sum(bend.name not in taken for bend in body.bends)
    words = ((len(held.lugs), "offset lug"), (len(held.ears), "ear"), (flanges, "flange"))
    return [f"{count} {word}{'s' if count > 1 else ''}" for count, word in words if count]


def _flange_steps(
    body: Body, held: Held, names: dict[str, str], taken: set[str], part: Variable, figures: FoundParameters
) -> Iterator[Step]:
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
        step = flange_step(
            body,
            bend,
            names,
            depth[bend.parent],
            part,
            figures,
            relieved,
            outside,
            lips,
            "sides" in held.idioms,
        )
        rows.setdefault(depth[bend.parent], []).append(step)
    for level in sorted(rows):
        yield from grouped(rows[level])


def _is_lip(body: Body, bend: Bend) -> bool:
    """True for the bend along the whole far edge of a flange: its position is given to its outside."""
    if bend.parent == body.flats[0].name:
        return False
    lip = lip_of(body, bend.parent)
    return lip is not None and lip.name == bend.name and not body.flat(bend.parent).outline.holes


def _openings(
    body: Body, names: dict[str, str], done: Sequence[Loop], part: Variable, figures: FoundParameters
) -> Iterator[Step]:
    steps: list[Assign] = []
    root = body.flats[0].name
    lug_tips = {flat for flat, name in names.items() if not name}
    for flat in body.flats:
        if flat.name not in lug_tips:
            holes = [hole for hole in plain_holes(flat, body) if not any(hole is one for one in done)]
            on_root = flat.name == root
            steps += opening_steps(holes, names[flat.name], part, figures, on_root, flat.openings)
    return iter(grouped(steps))


def _names(body: Body, taken: set[str], root: str, name: str) -> dict[str, str]:
    """Return the names of the flats: by the side of the plate that carries them; what hangs on them by its order."""
    found, used = {root: name}, Counter({name: 1})
    depth = {root: 0}
    for bend in body.bends:
        depth[bend.child] = depth[bend.parent] + 1
        if bend.name in taken:
            found[bend.child] = ""
            continue
        word = DEPTHS[min(depth[bend.parent], len(DEPTHS) - 1)]
        called = f"{word}_{facing(bend)}" if bend.parent == root else f"{found[bend.parent]}.{word}"
        used[called] += 1
        found[bend.child] = called if used[called] == 1 else f"{called}[{used[called]}]"
    return found


def _placing(body: Body, drawn: Body, part: Variable, figures: FoundParameters) -> Iterator[Step]:
    """Return the motion from the builders' position of the part to its own."""
    target = drawn.frame
    axis, angle = turn_of(target)
    node: Node = part
    if abs(angle) > ANGLE_DEG:
        named = {(1.0, 0.0, 0.0): "X_AXIS", (0.0, 1.0, 0.0): "Y_AXIS", (0.0, 0.0, 1.0): "Z_AXIS"}
        rounded = tuple(round(value, 9) + 0.0 for value in axis)
        if tuple(-value + 0.0 for value in rounded) in named:
            rounded, angle = tuple(-value + 0.0 for value in rounded), -angle
        about: Node = (
            Named(named[rounded])
            if rounded in named
            else Call("Axis", (), {"direction": Literal(tuple(round(v, 12) for v in axis))})
        )
        turn = Literal(
            figures.tidy(angle) if abs(figures.tidy(angle) - angle) < ANGLE_DEG else round(angle, 12)
        )
        node = Call("rotate", (node, turn) if about == Named("Z_AXIS") else (node, turn, about))
    half = body.sheet.thickness / 2.0
    origin = combined(target.origin, (-half, target.z))
    by = tuple(figures.tidy(value) for value in origin)
    if any(by):
        node = Call("translate", (node, Literal(by)))
    if node is not part:
        yield Assign(part, node)
