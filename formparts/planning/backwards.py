"""From the finished part backwards: an order that the tools are clear in, or bends of which none can be last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from formparts.planning.groups import back_of, can_be_last, steps_now
from formparts.planning.moves import Move, Task, moves
from formparts.planning.stand import stand, together

MOST_LOOKS_BACK = 150
"""So many last steps are looked at before it is left open whether there is an order."""

MOST_LOOKS_EACH = 12
"""And so many for each bend, where that is more."""


@dataclass(frozen=True)
class Backwards:
    """
    What a search from the finished part came to.

    Parameters
    ----------
    moves : tuple of Move or None
        Steps in an order that the tools are clear in, stops not looked at; None when none was found.
    stuck : int
        The bends, as bits, of which none can be made last after the others of them; the fewest that were met.
    whole : bool
        True when every order was taken into account.
    looks : int
        How many steps were looked at.
    """

    moves: tuple[Move, ...] | None
    stuck: int
    whole: bool
    looks: int = 0


def all_of(task: Task) -> int:
    """All bends, as bits."""
    return task.model.everything


def last_steps(task: Task, bent: int) -> Iterator[tuple[tuple[int, ...], int]]:
    """Steps that could be the last of those that lead to these bends, each with what is bent before it."""
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
    """The same, where only the tools are looked at."""
    return replace(task, setting=replace(task.setting, stops=False))


def backwards(task: Task, last_up: bool | None = None, most: int | None = None) -> Backwards:
    """
    Take the bends off the finished part one by one, where the tools are clear of it; back from dead ends.

    As long as there are any, those are taken off that need no turn-over, then those that need no turn, no other die.
    What is taken off leaves more room for the tools, as a rule; where it always does, no order has fewer turn-overs.

    Parameters
    ----------
    task : Task
        Part, tools, bends.
    last_up : bool, optional
        Which side is up in the last step; either when it is not given.
    most : int, optional
        How many steps are looked at at the most.
    """
    most = most or max(MOST_LOOKS_BACK, MOST_LOOKS_EACH * len(task.setting.bendings))
    search = _Backwards(without_stops(task), last_up, most)
    found = search.down(all_of(task), ())
    return Backwards(found, search.stuck, search.looks < most, search.looks)


class _Backwards:
    """One search: what was looked at, and where it was stuck with the fewest bends left."""

    def __init__(self, task: Task, last_up: bool | None, most: int) -> None:
        self.task, self.looks, self.dead = task, 0, set[int]()
        self.last_up, self.most = last_up, most
        self.stuck = all_of(task)

    def down(self, bent: int, after: tuple[Move, ...]) -> tuple[Move, ...] | None:
        """The steps that lead to these bends, before those that follow."""
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
        """Which last step is taken off first: no turn-over, no turn, no other die, the longest way to an edge."""
        first, setting = members[0], self.task.setting
        mark = self.task.model.mark(first)
        far = -min(setting.reaches[first])
        if not after:
            return self.last_up is not None and self.last_up != (mark.side == "up"), False, False, far
        follows = after[0]
        turned = (back_of(mark, 1) - follows.back) % 180_000 != 0
        other = setting.bendings[first].die.name != setting.bendings[follows.members[0]].die.name
        return follows.up != (mark.side == "up"), turned, other, far
