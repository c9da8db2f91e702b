"""Search from the finished part backwards: an order in which the tools are clear, or bends that cannot be last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from formparts.planning.groups import back_of, can_be_last, steps_now
from formparts.planning.moves import Move, Task, moves
from formparts.planning.stand import stand, together

MOST_LOOKS_BACK = 150
"""Number of last steps tried before the existence of an order is left open."""

MOST_LOOKS_EACH = 12
"""The same number for each bend, where that is more."""


@dataclass(frozen=True)
class Backwards:
    """The result of a search from the finished part.

    Parameters
    ----------
    moves : tuple of Move or None
        Steps in an order in which the tools are clear, stops not checked; None when none was found.
    stuck : int
        The bends, as bits, of which none can be made last after the others of them; the fewest that were met.
    whole : bool
        True when every order was taken into account.
    looks : int
        Number of steps tried.
    """

    moves: tuple[Move, ...] | None
    stuck: int
    whole: bool
    looks: int = 0


def all_of(task: Task) -> int:
    """Return all bends, as bits."""
    return task.model.everything


def last_steps(task: Task, bent: int) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield steps that could be the last of those that lead to these bends, each with what is bent before it."""
    for group in task.groups:
        inside = tuple(number for number in group if can_be_last(task.model, number, bent))
        if not inside:
            continue
        for members in steps_now(task.model, [inside], bent & ~_bits(inside)):
            before = bent & ~_bits(members)
            if len(members) == 1 or together(task.model, stand(task.model, members), before):
                yield members, before


def _bits(members: tuple[int, ...]) -> int:
    return sum(1 << number for number in members)


def without_stops(task: Task) -> Task:
    """Return the same task with only the tools checked."""
    return replace(task, setting=replace(task.setting, stops=False))


def backwards(task: Task, last_up: bool | None = None, most: int | None = None) -> Backwards:
    """Remove bends from the finished part one by one where the tools are clear of it, with backtracking.

    Bends without a turn-over are removed first, then those without a turn, then those without a die change.
    As a rule a removed bend leaves more room for the tools; where it always does, no order has fewer
    turn-overs.

    Parameters
    ----------
    task : Task
        Part, tools, bends.
    last_up : bool, optional
        Which side is up in the last step; either when it is not given.
    most : int, optional
        Largest number of steps tried.
    """
    most = most or max(MOST_LOOKS_BACK, MOST_LOOKS_EACH * len(task.setting.bendings))
    search = _Backwards(without_stops(task), last_up, most)
    found = search.down(all_of(task), ())
    return Backwards(found, search.stuck, search.looks < most, search.looks)


class _Backwards:
    """One search: what was tried, and where it was stuck with the fewest bends left."""

    def __init__(self, task: Task, last_up: bool | None, most: int) -> None:
        self.task, self.looks, self.dead = task, 0, set[int]()
        self.last_up, self.most = last_up, most
        self.stuck = all_of(task)

    def down(self, bent: int, after: tuple[Move, ...]) -> tuple[Move, ...] | None:
        """Return the steps that lead to these bends, before those that follow."""
        if not bent:
            return after
        for members, before in sorted(
            last_steps(self.task, bent), key=lambda step: self._rank(step[0], after)
        ):
            if before in self.dead or self.looks >= self.most:
                continue
            self.looks += 1
            ways = moves(self.task.setting, members, before)
            found = self.down(before, (ways[0], *after)) if ways else None
            if found is not None:
                return found
        self.dead.add(bent)
        if self.looks >= self.most:
            return None
        self.stuck = min(self.stuck, bent, key=lambda bits: bits.bit_count())
        return None

    def _rank(self, members: tuple[int, ...], after: tuple[Move, ...]) -> tuple[bool, bool, bool, float]:
        """Return the priority of a last step: no turn-over, no turn, no die change, the longest distance to an edge."""
        first, setting = members[0], self.task.setting
        mark = self.task.model.mark(first)
        far = -min(setting.reaches[first])
        if not after:
            return self.last_up is not None and self.last_up != (mark.side == "up"), False, False, far
        follows = after[0]
        turned = (back_of(mark, 1) - follows.back) % 180_000 != 0
        other = setting.bendings[first].die.name != setting.bendings[follows.members[0]].die.name
        return follows.up != (mark.side == "up"), turned, other, far
