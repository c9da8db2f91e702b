"""Tool lengths: which sections are put side by side for a bend line, and their positions."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from formparts.planning.feasible import Blocked, free
from formparts.planning.stand import Interval
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH

UNCOVERED = 1.5
"""Number of thicknesses that may be left uncovered at each end of a bend line [-]; common practice, no source."""

LEAST_UNCOVERED = 2.0
"""Length that may be left uncovered in any case [mm]; common practice, no source."""

BEYOND = 5000.0
"""How far beyond its ends a line is examined [mm]: longer than any tool."""


@short_repr
@dataclass(frozen=True)
class ToolLength:
    """
    Sections side by side under one stretch of the bend line.

    Parameters
    ----------
    start, end : float [mm]
        Their positions along the line, from the start of the first bend.
    sections : tuple of float [mm]
        Lengths of the sections, the longest first.
    horns : (float, float) [mm]
        Needed reach of the horns of the end sections, to the left and to the right; 0 without.
    """

    start: float
    end: float
    sections: tuple[float, ...]
    horns: Interval = (0.0, 0.0)

    @property
    def length(self) -> float:
        """Length of all sections [mm]."""
        return self.end - self.start


def allowed_uncovered(thickness: float) -> float:
    """Return how much of a bend line's end may be left without a tool [mm]."""
    return max(LEAST_UNCOVERED, UNCOVERED * thickness)


def tool_lengths(
    wanted: Sequence[Interval],
    hits: Sequence[Blocked],
    rack: tuple[float, ...],
    uncovered: float,
    horn: float = 0.0,
) -> tuple[ToolLength, ...] | None:
    """
    Return sections that cover all stretches of a line clear of the part; None when there are none.

    Parameters
    ----------
    wanted : sequence of (float, float) [mm]
        Stretches that are bent.
    hits : sequence of Blocked
        Where tools cannot be placed; contact with the ram or the table rules the step out.
    rack : tuple of float [mm]
        Lengths of the sections.
    uncovered : float [mm]
        How much of each end of a stretch may be left uncovered.
    horn : float [mm]
        How far the feet of end sections reach beyond their bodies.
    """
    if any(hit.tool in ("ram", "table") for hit in hits):
        return None
    feet = [(hit.low, hit.high) for hit in hits if hit.tool in ("foot", "die")]
    bodies = [(hit.low, hit.high) for hit in hits]
    found: list[ToolLength] = []
    for group in _groups(wanted, bodies, uncovered):
        length = _length(group, feet, bodies, rack, uncovered, horn)
        if length is None:
            return None
        found.append(length)
    return tuple(found)


def _groups(wanted: Sequence[Interval], taken: Sequence[Interval], uncovered: float) -> list[Interval]:
    """Return stretches of the line that one row of sections can span."""
    groups: list[Interval] = []
    for low, high in sorted(wanted):
        if groups and _spanned(groups[-1], (low, high), taken, uncovered):
            groups[-1] = (groups[-1][0], max(high, groups[-1][1]))
        else:
            groups.append((low, high))
    return groups


def _spanned(one: Interval, two: Interval, taken: Sequence[Interval], uncovered: float) -> bool:
    low, high = one[0] + uncovered, two[1] - uncovered
    return not any(start < high and end > low for start, end in taken)


def _length(
    need: Interval,
    feet: Sequence[Interval],
    bodies: Sequence[Interval],
    rack: tuple[float, ...],
    uncovered: float,
    horn: float,
) -> ToolLength | None:
    """Return one row of sections; horns only where the body cannot reach and its foot can."""
    low, high = need[0] - BEYOND, need[1] + BEYOND
    middle = (need[0] + need[1]) / 2.0
    room = _around(middle, free(low, high, bodies))
    foot_room = _around(middle, free(low, high, feet))
    if room is None or foot_room is None:
        return None
    least = (need[0] + uncovered, need[1] - uncovered)
    left = max(0.0, room[0] - least[0])
    right = max(0.0, least[1] - room[1])
    if left > 0.0 or right > 0.0:
        reaches = max(left, right) <= horn and foot_room[0] <= least[0] and foot_room[1] >= least[1]
        if not reaches:
            return None
    inner = (max(room[0], need[0]) if left else room[0], min(room[1], need[1]) if right else room[1])
    full = (max(need[0], room[0]), min(need[1], room[1]))
    return _set(full, inner, need, rack, uncovered, (left, right), horn)


def _around(place: float, rooms: Sequence[Interval]) -> Interval | None:
    return next(((low, high) for low, high in rooms if low <= place <= high), None)


def _set(
    full: Interval,
    room: Interval,
    need: Interval,
    rack: tuple[float, ...],
    uncovered: float,
    horns: Interval,
    horn: float,
) -> ToolLength | None:
    """Return the shortest row that covers everything and fits; else the longest that leaves no more than allowed."""
    left, right = (horn if each else 0.0 for each in horns)
    need_low, need_high = full
    lengths, sums = _sums(rack)
    longest = bisect_right(lengths, room[1] - room[0] + LENGTH)
    enough = bisect_left(lengths, need_high - need_low - LENGTH)
    if enough < longest:
        length = lengths[enough]
    else:
        if not longest:
            return None
        length = lengths[longest - 1]
        short = (need[1] - need[0]) - length - left - right
        if short > 2.0 * uncovered + LENGTH:
            return None
    start = (need_low + need_high - length) / 2.0
    start = min(max(start, room[0]), room[1] - length)
    reach = tuple(
        max(0.0, gap) if end else 0.0
        for gap, end in ((start - need[0], horns[0]), (need[1] - start - length, horns[1]))
    )
    return ToolLength(start, start + length, sums[length], (reach[0], reach[1]))


@cache
def _sums(rack: tuple[float, ...]) -> tuple[list[float], dict[float, tuple[float, ...]]]:
    """Return every length that sections of a rack make side by side, each with the fewest sections."""
    found: dict[float, tuple[float, ...]] = {0.0: ()}
    for section in rack:
        for length, used in list(found.items()):
            sum_ = round(length + section, 6)
            if sum_ not in found or len(found[sum_]) > len(used) + 1:
                found[sum_] = (*used, section)
    del found[0.0]
    return sorted(found), found
