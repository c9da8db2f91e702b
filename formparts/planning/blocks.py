"""Looking for an order, and saying what is in the way where there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formparts.body import Body
from formparts.layout import Blank
from formparts.planning.feasible import blocked, lower, upper
from formparts.planning.groups import steps_now
from formparts.planning.search import NOTHING, Found, Task, any_order, search
from formparts.planning.stand import PartModel, stand
from formparts.planning.tasks import searching
from formparts.planning.tools import Punch, ToolTable, tool_table


def what_blocks(body: Body, blank: Blank, tools: ToolTable | None = None) -> tuple[tuple[str, ...], str]:
    """
    Which bends cannot be made after the others, and what is in the way; nothing when there is an order.

    Only tools are looked at, no stops, so this takes a fraction of a plan's time.
    """
    task = searching(body, blank, tools or tool_table())
    for narrowed in (_with_plain(task), task):
        found = any_order(narrowed) if all(narrowed.setting.punches) else None
        if found is not None and found.moves is not None:
            return (), ""
    found = found or Found(None, NOTHING, NOTHING, 0, True, 0)
    return left_of(task.model, found), problem_of(task, found)


def _with_plain(task: Task) -> Task:
    """The same with the first straight punch alone."""
    plain = tuple(_plain(punches) for punches in task.setting.punches)
    return replace(task, setting=replace(task.setting, punches=plain))


def searched(task: Task) -> Found:
    """With the first straight punch alone where there is such an order, else with all punches."""
    plain = _with_plain(task)
    if all(plain.setting.punches):
        found = search(plain)
        if found.moves is not None:
            return found
    return search(task)


def _plain(punches: Sequence[Punch]) -> tuple[Punch, ...]:
    return tuple(punch for punch in punches if punch.kind != "swan-neck")[:1]


def left_of(model: PartModel, found: Found) -> tuple[str, ...]:
    """Bends that were not made where the search came farthest."""
    return tuple(bend.name for n, bend in enumerate(model.body.bends) if not found.farthest >> n & 1)


def problem_of(task: Task, found: Found) -> str:
    """Which bends block which, where the search came farthest."""
    lines = []
    for members in steps_now(task.model, task.groups, found.farthest):
        names = " and ".join(task.model.body.bends[number].name for number in members)
        what = _in_the_way(task, members, found.farthest)
        lines.append(f"{names}: {what}")
    shown = "; ".join(lines[:3]) + (f"; and {len(lines) - 3} more" if len(lines) > 3 else "")
    tried = "" if found.whole else f" in {found.looks} trials"
    return f"no order was found{tried} that the tools are clear in. Left: {shown}"


def _in_the_way(task: Task, members: tuple[int, ...], made: int) -> str:
    """What the tools run into at a step, with the punch that comes farthest."""
    model, machine, first = task.model, task.setting.machine, members[0]
    at, bending = stand(model, members), task.setting.bendings[first]
    hits = blocked(model, at, made, bending, lower(bending.die, machine))
    if not hits:
        tries = [
            blocked(model, at, made, bending, upper(punch, machine)) for punch in task.setting.punches[first]
        ]
        hits = min(tries, key=len, default=())
    if not hits:
        return "the part runs into itself"
    tool = {"foot": "punch"}.get(hits[0].tool, hits[0].tool)
    pieces = list(dict.fromkeys(hit.piece for hit in hits))
    return f"the {tool} meets {' and '.join(pieces[:2])}"
