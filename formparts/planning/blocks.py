"""Search for an order, and report what is in the way where there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from formparts.body import Body
from formparts.layout import Blank
from formparts.planning.backwards import Backwards, backwards, last_steps
from formparts.planning.feasible import blocked, lower, upper
from formparts.planning.groups import steps_now
from formparts.planning.moves import Task
from formparts.planning.search import NOTHING, Found, search
from formparts.planning.stand import PartModel, stand
from formparts.planning.tasks import searching
from formparts.planning.tool_files import tool_table
from formparts.planning.tools import Punch, ToolTable


def what_blocks(body: Body, blank: Blank, tools: ToolTable | None = None) -> tuple[tuple[str, ...], str]:
    """Return the bends that cannot be made after the others, and what is in the way; nothing if there is an order.

    Only tools are checked, not stops, so this takes a fraction of a plan's time.
    """
    task = searching(body, blank, tools or tool_table())
    found = Backwards((), 0, True)
    for narrowed in (_with_plain(task), task):
        if all(narrowed.setting.punches):
            found = backwards(narrowed)
            if found.moves is not None:
                return (), ""
    failed = _failed(found)
    return left_of(task.model, failed), problem_of(task, failed)


def _with_plain(task: Task) -> Task:
    """Return the same with the first straight punch alone."""
    plain = tuple(_plain(punches) for punches in task.setting.punches)
    return replace(task, setting=replace(task.setting, punches=plain))


def searched(task: Task) -> Found:
    """Search with the first straight punch alone, and if there is no such order with all punches."""
    plain = _with_plain(task)
    if all(plain.setting.punches) and backwards(plain).moves is not None:
        found = search(plain)
        if found.moves is not None:
            return found
    back = backwards(task)
    return _failed(back) if back.moves is None and back.whole else search(task)


def _failed(back: Backwards) -> Found:
    return Found(None, NOTHING, NOTHING, back.looks, back.whole, 0, back.stuck)


def _plain(punches: Sequence[Punch]) -> tuple[Punch, ...]:
    return tuple(punch for punch in punches if punch.kind != "swan-neck")[:1]


def left_of(model: PartModel, found: Found) -> tuple[str, ...]:
    """Return bends none of which can be last, or those not made where the search came farthest."""
    left = found.stuck or ~found.farthest
    operations = (n for n in range(len(model.bend_of)) if left >> n & 1)
    return tuple(dict.fromkeys(model.bend(n).name for n in operations))


def problem_of(task: Task, found: Found) -> str:
    """Return which bends block which: whichever of them is made last, or where the search came farthest."""
    if found.stuck:
        steps, how = list(last_steps(task, found.stuck)), "Made last after the others"
    else:
        now = steps_now(task.model, task.groups, found.farthest)
        steps, how = [(members, found.farthest) for members in now], "Left"
    lines = []
    for members, made in steps:
        names = " and ".join(task.model.bend(number).name for number in members)
        lines.append(f"{names}: {_in_the_way(task, members, made)}")
    shown = "; ".join(lines[:3]) + (f"; and {len(lines) - 3} more" if len(lines) > 3 else "")
    tried = "" if found.whole else f" in {found.looks} trials"
    return f"no order was found{tried} that the tools are clear in. {how}: {shown}"


def _in_the_way(task: Task, members: tuple[int, ...], made: int) -> str:
    """Return what the tools run into at a step, with the punch that comes farthest."""
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
