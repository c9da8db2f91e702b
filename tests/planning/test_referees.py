"""Referees: the solid kernel's intersection for collisions on random states, all orders for the search."""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.outline import rectangle
from formparts.planning import plan_bends, tool_table
from formparts.planning import search as search_module
from formparts.planning.collide import profile_of, stretches
from formparts.planning.feasible import Bending, Tool, lower, pieces, placed, solid_cells, swings, upper
from formparts.planning.moves import Task, moves
from formparts.planning.search import NOTHING, Cost
from formparts.planning.stand import PartModel, part_model, stand
from formparts.planning.tasks import searching
from formparts.recipe_functions import find_recipe
from formparts.shapes import add_flange, down, plate, profile, run, up

FEW, MANY = 3, 500
BAND = 0.3
"""How far part and tool are grown or drawn in where the two methods may differ [mm]: chords of 0.1 mm on both."""


def tray() -> Body:
    body = plate(Sheet(1.0, 1.0, "DC01", 0.44), rectangle(90, 60), "tray")
    for side in ("front", "right", "back"):
        body = add_flange(body, side, 25, edge_to="tangent line", name=side)
    return body


def lipped() -> Body:
    runs = (run(12), up(90), run(30), up(90), run(40), up(90), run(35), down(45), run(20))
    return profile(Sheet(2.0, 2.0, "S235JR", 0.44), 60, *runs, name="lipped")


PARTS = (tray, lipped, lambda: find_recipe("hat_section")(length=60), lambda: find_recipe("ring_riser")())


def kernel_meets(
    model: PartModel, at: object, made: int, bending: Bending, tool: Tool
) -> Iterator[tuple[str, float]]:
    """For each profile of a tool, 300 mm long, the volume that the kernel finds in both, of one place at least."""
    import cadquery as cq

    stage = swings(bending, model.body.sheet.thickness, tool.tip_radius)[-1]
    for name, cells in tool.groups:
        up_ = stage.tip if tool.rides else 0.0
        volume = 0.0
        for cell in cells:
            points = [cq.Vector(-150.0, y, max(-150.0, min(150.0, z)) + up_) for y, z in dict.fromkeys(cell)]
            if len({(p.y, p.z) for p in points}) < 3:
                continue
            block = cq.Solid.extrudeLinear(
                cq.Wire.makePolygon(points, close=True), [], cq.Vector(300.0, 0.0, 0.0)
            )
            for piece in pieces(model, at):  # type: ignore[arg-type]
                for corners in placed_cells(model, at, piece, made, stage):
                    if not volume > 1e-6 and near(corners, block.BoundingBox()):
                        volume += float(block.intersect(hexahedron(corners)).Volume())
        yield name, volume


def placed_cells(model: PartModel, at: object, piece: object, made: int, stage: object) -> object:
    return placed(solid_cells(model, at, piece, made), stage.wings[at.sides[piece.flat]])  # type: ignore[attr-defined, arg-type]


def near(corners: object, box: object) -> bool:
    low, high = corners.min(axis=0), corners.max(axis=0)  # type: ignore[attr-defined]
    return bool(
        low[0] < box.xmax and high[0] > box.xmin and low[1] < box.ymax  # type: ignore[attr-defined]
        and high[1] > box.ymin and low[2] < box.zmax and high[2] > box.zmin  # type: ignore[attr-defined]
    )  # fmt: skip


def hexahedron(corners: object) -> object:
    """A cell as a kernel solid: the sheet's own thickness between two like outlines."""
    import cadquery as cq

    rows = [tuple(map(float, corner)) for corner in corners]  # type: ignore[attr-defined]
    low = [cq.Vector(*p) for p in dict.fromkeys(tuple(round(c, 9) for c in row) for row in rows[:4])]
    way = cq.Vector(*rows[4]) - cq.Vector(*rows[0])
    return cq.Solid.extrudeLinear(cq.Wire.makePolygon(low, close=True), [], way)


def ours(
    model: PartModel, at: object, made: int, bending: Bending, tool: Tool, touch: float
) -> dict[str, bool]:
    """For each profile whether we say that they meet, 300 mm of it, drawn in by `touch`."""
    stage = swings(bending, model.body.sheet.thickness, tool.tip_radius)[-1]
    found = {}
    for name, cells in tool.groups:
        profile_ = profile_of(cells, stage.tip if tool.rides else 0.0, touch)
        found[name] = False
        for piece in pieces(model, at):  # type: ignore[arg-type]
            first, last, _ = stretches(placed_cells(model, at, piece, made, stage), profile_)  # type: ignore[arg-type]
            found[name] |= bool(((first < 150.0 - touch) & (last > -150.0 + touch)).any())
    return found


def states(number: int) -> Iterator[tuple[PartModel, object, int, Bending, Tool]]:
    """Random states: any bends made, any bend in any tools at any angle."""
    seed = int(os.environ.get("SOAK_SEED", "20"))
    draw, table = random.Random(seed), tool_table()
    models = [part_model(body, blank(body)) for body in (make() for make in PARTS)]
    for _ in range(number):
        model = draw.choice(models)
        bend = draw.randrange(len(model.body.bends))
        at = stand(model, (bend,))
        made = draw.getrandbits(len(model.body.bends)) & ~(1 << bend)
        angle, die = (
            draw.uniform(5.0, 95.0),
            draw.choice([die for die in table.dies if 8 <= die.opening <= 25]),
        )
        bending = Bending(angle, model.body.bends[bend].inside_radius, model.allowances[bend], die)
        punch = draw.choice([punch for punch in table.punches if punch.kind != "hemming"])
        tool = draw.choice([upper(punch, table.machine), lower(die, table.machine)])
        yield model, at, made, bending, tool


def hold(number: int) -> None:
    """What meets by the kernel meets here with the tool grown; what meets here with it drawn in meets by the kernel."""
    met = 0
    for model, at, made, bending, tool in states(number):
        grown, drawn_in = (ours(model, at, made, bending, tool, touch) for touch in (-BAND, BAND))
        for name, volume in kernel_meets(model, at, made, bending, tool):
            met += volume > 1e-6
            where = (model.body.name, at, made, bending, tool.name, name, volume)
            assert volume <= 1e-6 or grown[name], where
            assert not drawn_in[name] or volume > 0.0, where
    assert met > 0


def test_the_kernel_agrees_where_part_and_tools_meet() -> None:
    """A few random states; the soak run has 500."""
    hold(FEW)


@pytest.mark.soak
def test_the_kernel_agrees_on_500_random_states() -> None:
    hold(MANY)


def cheapest(task: Task) -> Cost | None:
    """The least cost of all orders, all ways round and all punches, by trying every one of them."""
    count = len(task.setting.bendings)
    best: Cost | None = None
    for order in permutations(range(count)):
        row: dict[object, Cost] = {search_module._Node(0): NOTHING}
        for number in order:
            after: dict[object, Cost] = {}
            for node, cost in row.items():
                for move in moves(task.setting, (number,), node.made):
                    die = task.setting.bendings[number].die.name
                    to = search_module._Node(
                        node.made | 1 << number, move.up, move.back, move.punch.name, die
                    )
                    total = search_module._sum(cost, search_module._price(node, to, move))
                    after[to] = min(total, after.get(to, total))
            row = after
        ended = min(row.values(), default=None)
        best = ended if best is None or (ended is not None and ended < best) else best
    return best


def five_bends() -> Body:
    runs = (run(20), up(90), run(30), down(60), run(30), up(45), run(40), down(90), run(25), up(30), run(30))
    return profile(Sheet(1.5, 1.5, "DC01", 0.44), 50, *runs, name="five")


def six_bends() -> Body:
    runs = (run(15), up(90), run(25), down(90), run(30), up(45), run(40), down(45), run(30), up(90), run(25))
    return profile(Sheet(1.5, 1.5, "DC01", 0.44), 50, *runs, down(90), run(15), name="six")


SIX = pytest.param(six_bends, marks=pytest.mark.soak, id="six")


@pytest.mark.parametrize("make", [tray, lipped, five_bends, lambda: find_recipe("hat_section")(), SIX])
def test_no_order_of_all_is_cheaper(make: object) -> None:
    """The search against every order of up to 6 bends, with the punches that the plan was searched with."""
    body = make()  # type: ignore[operator]
    plan = plan_bends(body)
    task = searching(body, blank(body), tool_table())
    if {step.punch.kind for step in plan.steps} <= {"straight"}:
        first = tuple(punches[:1] for punches in task.setting.punches)
        task = replace(task, setting=replace(task.setting, punches=first))
    assert plan.exact
    assert plan.cost == plan.bound == cheapest(task)
