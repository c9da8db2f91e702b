"""The cheapest order of steps: turn-overs first, then turns, tool changes, and how well the part rests on the stops."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import TypeAlias

from formparts.planning.backwards import backwards
from formparts.planning.groups import back_of, groups_with_closings, steps_now, symmetries_of
from formparts.planning.moves import Move, Setting, Task, moves
from formparts.planning.stand import PartModel

EXACT_BENDS = 12
"""Up to this many bends every order is considered, for a proof that the cheapest is found, within a time limit."""

MOST_LOOKS = 40
"""Above that, number of steps tried before the best order so far is given with its gap."""

MOST_LOOKS_EXACT = 10_000
"""The number of steps tried up to it: more than there are, for nearly all parts."""

MOST_LOOKS_IN_PHASES = 600
"""Number of steps tried from the finished part."""

Cost: TypeAlias = tuple[int, int, int, int, int]
"""Turn-overs, steps without a stop, turns about the vertical, tool changes, penalties of the stops: in that order."""

NOTHING: Cost = (0, 0, 0, 0, 0)


@dataclass(frozen=True)
class Found:
    """The result of a search.

    Parameters
    ----------
    moves : tuple of Move or None
        The steps; None when no order was found.
    cost : Cost
        Cost of the steps.
    bound : Cost
        Lower bound of the cost of any order.
    looks : int
        Number of steps tried.
    whole : bool
        True when every order was taken into account.
    farthest : int
        The bends that were made where the search came farthest, as bits.
    stuck : int
        Where it was sought from the finished part: bends of which none can be made last, as bits.
    """

    moves: tuple[Move, ...] | None
    cost: Cost
    bound: Cost
    looks: int
    whole: bool
    farthest: int
    stuck: int = 0


@dataclass(frozen=True)
class _Node:
    """The bends that are made, the orientation of the part, and the tools mounted."""

    made: int
    up: bool | None = None
    back: int = 0
    punch: str = ""
    die: str = ""


@dataclass(frozen=True, order=True)
class _Open:
    """
    A node in the queue, or a step from one that is still to be tried.

    Cheapest first, then the one with the fewest bends left, then the shorter flange or the nearer stop, then
    in order of creation.
    """

    total: Cost
    left: int
    rank: float
    birth: int
    node: _Node = field(compare=False)
    cost: Cost = field(compare=False)
    path: tuple[Move, ...] = field(compare=False)
    step: tuple[int, ...] | None = field(compare=False, default=None)


def task_of(setting: Setting, least: Callable[[tuple[int, ...]], int]) -> Task:
    """Return the search's own form of a part."""
    groups = groups_with_closings(setting.model)
    return Task(setting, groups, symmetries_of(setting.model), tuple(map(least, groups)))


def search(task: Task, most: int | None = None) -> Found:
    """
    Find the cheapest order.

    Best first: the cost of a node and a lower bound of the rest decide which is opened next, so the first
    complete order is the cheapest, and the least total in the queue is a bound for all others. A step is
    tried only when its turn comes.

    Parameters
    ----------
    task : Task
        Part, tools, bends.
    most : int, optional
        Largest number of steps tried.
    """
    number = len(task.setting.bendings)
    small = number <= EXACT_BENDS
    most = most or (MOST_LOOKS_EXACT if small else MOST_LOOKS)
    births, start = count(), _Node(0)
    queue = [_Open(_least(task, start), number, 0.0, next(births), start, NOTHING, ())]
    best: dict[_Node, Cost] = {start: NOTHING}
    looks, farthest = 0, 0
    while queue:
        item = heapq.heappop(queue)
        if item.step is None:
            if item.left == 0:
                return Found(item.path, item.cost, item.total, looks, True, item.node.made)
            if best.get(_alike(task, item.node), item.cost) < item.cost:
                continue
            farthest = max(farthest, item.node.made, key=lambda bits: bits.bit_count())
            for open_ in _steps_from(task, item, births):
                heapq.heappush(queue, open_)
            continue
        if looks >= most:
            return _in_phases(task, item.total, looks, farthest)
        looks += 1
        for open_ in _looked_at(task, item, births):
            key = _alike(task, open_.node)
            if key not in best or open_.cost < best[key]:
                best[key] = open_.cost
                heapq.heappush(queue, open_)
    return Found(None, NOTHING, NOTHING, looks, True, farthest)


def _in_phases(task: Task, bound: Cost, looks: int, farthest: int) -> Found:
    """Return the better of two orders found from the finished part, one for each side, with the bound."""
    found: list[tuple[Cost, tuple[Move, ...]]] = []
    stuck = task.model.everything
    for last_up in (True, False):
        back = backwards(task, last_up, MOST_LOOKS_IN_PHASES)
        looks += back.looks
        stuck = min(stuck, back.stuck, key=int.bit_count)
        if back.moves is not None:
            found += along(task, [(move.members, move.made) for move in back.moves])
    if not found:
        return Found(None, NOTHING, bound, looks, False, farthest, stuck)
    cost, path = min(found, key=lambda each: each[0])
    return Found(path, cost, bound, looks, False, task.model.everything)


def along(task: Task, order: Sequence[tuple[tuple[int, ...], int]]) -> list[tuple[Cost, tuple[Move, ...]]]:
    """Return the cheapest orientations and punches for steps in a given order; None when a step cannot be made."""
    row: dict[_Node, tuple[Cost, tuple[Move, ...]]] = {_Node(0): (NOTHING, ())}
    for members, made in order:
        after: dict[_Node, tuple[Cost, tuple[Move, ...]]] = {}
        for move in moves(task.setting, members, made):
            for node, (cost, path) in row.items():
                to = _node_after(task, node, move)
                total = _sum(cost, _price(node, to, move))
                if to not in after or total < after[to][0]:
                    after[to] = (total, (*path, move))
        row = after
    return [min(row.values(), key=lambda each: each[0])] if row else []


def _steps_from(task: Task, item: _Open, births: Iterator[int]) -> Iterator[_Open]:
    """Return all possible steps from a node, each with the least that it can cost."""
    node = item.node
    for members in steps_now(task.model, task.groups, node.made):
        mark = task.model.mark(members[0])
        after = _Node(
            node.made | sum(1 << number for number in members),
            mark.side == "up", back_of(mark, 1), node.punch, task.setting.bendings[members[0]].die.name,
        )  # fmt: skip
        cost = _sum(item.cost, _price_at_least(task, node, members))
        total = max(item.total, _sum(cost, _least(task, after)))
        rank = min(task.setting.reaches[members[0]])
        yield _Open(total, item.left, rank, next(births), node, item.cost, item.path, members)


def _looked_at(task: Task, item: _Open, births: Iterator[int]) -> Iterator[_Open]:
    """Return the nodes that one step leads to: both orientations, with every punch that is clear of the part."""
    node, members = item.node, item.step or ()
    for move in moves(task.setting, members, node.made):
        after = _node_after(task, node, move)
        cost = _sum(item.cost, _price(node, after, move))
        left, rank = item.left - len(members), move.stop.distance
        total = _sum(cost, _least(task, after))
        yield _Open(total, left, rank, next(births), after, cost, (*item.path, move))


def _node_after(task: Task, node: _Node, move: Move) -> _Node:
    made = node.made | sum(1 << number for number in move.members)
    return _Node(made, move.up, move.back, move.punch.name, task.setting.bendings[move.members[0]].die.name)


def _sum(one: Cost, two: Cost) -> Cost:
    return one[0] + two[0], one[1] + two[1], one[2] + two[2], one[3] + two[3], one[4] + two[4]


def _price(before: _Node, after: _Node, move: Move) -> Cost:
    """Return the cost from one step to the next; the first costs only its stop."""
    without = int(move.stop.kind == "none")
    if before.up is None:
        return 0, without, 0, 0, move.stop.quality
    over = before.up != after.up
    same = before.back == after.back or (over and (before.back - after.back) % 360_000 == 180_000)
    changes = (before.punch != after.punch) + (before.die != after.die)
    return int(over), without, int(not same), changes, move.stop.quality


def _price_at_least(task: Task, node: _Node, members: tuple[int, ...]) -> Cost:
    """Return the least cost of a step, in either orientation."""
    mark = task.model.mark(members[0])
    group = next(n for n, group in enumerate(task.groups) if members[0] in group)
    if node.up is None:
        return 0, 0, 0, 0, task.least[group]
    over, turned = node.up != (mark.side == "up"), (node.back - back_of(mark, 1)) % 180_000 != 0
    die = node.die != task.setting.bendings[members[0]].die.name
    return int(over), 0, int(turned), int(die), task.least[group]


def _least(task: Task, node: _Node) -> Cost:
    """Return a lower bound of the remaining cost, whatever the order."""
    marks = [task.model.mark(number) for number in range(len(task.setting.bendings))]
    left = [number for number in range(len(marks)) if not node.made >> number & 1]
    if not left:
        return NOTHING
    ways = {(marks[number].side == "up", back_of(marks[number], 1) % 180_000) for number in left}
    sides = {up for up, _ in ways}
    dies = {task.setting.bendings[number].die.name for number in left}
    stops = sum(
        least
        for least, group in zip(task.least, task.groups, strict=True)
        if any(not node.made >> number & 1 for number in group)
    )
    if node.up is None:
        return len(sides) - 1, 0, max(0, len(ways) - len(sides)), len(dies) - 1, stops
    over = int(bool(sides - {node.up}))
    turns = max(0, len(ways - {(node.up, node.back % 180_000)}) - over)
    return over, 0, turns, len(dies - {node.die}), stops


def _alike(task: Task, node: _Node) -> _Node:
    """Return one representative of all nodes equal up to a symmetry of the blank."""
    if len(task.symmetries) == 1:
        return node
    made, back = min((way.made(node.made), way.back(node.back)) for way in task.symmetries)
    return _Node(made, node.up, back if node.up is not None else 0, node.punch, node.die)


def blank_reaches(model: PartModel) -> tuple[tuple[float, float], ...]:
    """Return the extent of the blank to the left and right of each bend line, all lines drawn the same way [mm]."""
    found = []
    for mark in map(model.mark, range(len(model.bend_of))):
        (x0, y0), (x1, y1) = sorted((mark.start, mark.end))
        ux, uy = (x1 - x0) / mark.length, (y1 - y0) / mark.length
        off = [ux * (y - y0) - uy * (x - x0) for x, y in model.blank.outline.outer.vertices]
        found.append((max(off), -min(off)))
    return tuple(found)
