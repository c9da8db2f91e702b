"""The round values of a parameter, numbered: the candidates of a fix."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

from formparts.parameters import Count, Parameter
from formparts.tolerances import ROUNDING

State: TypeAlias = Literal["cleared", "as before", "overshot", "not to be built"]
"""The state of a finding: overshot when the part misses a drawing's figure on the other side."""

Test: TypeAlias = Callable[[float], State]
"""Returns the state of a finding at a value of the parameter."""

_GROWTH: Final = (0.02, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.4, 12.8)
"""Range of trial values of a parameter, as a share of its value; a count by 1, 2, 3... instead."""


@dataclass(frozen=True)
class Grid:
    """The round values of a parameter, numbered; its own value lies at or between them."""

    parameter: Parameter
    start: float

    @property
    def step(self) -> float:
        """A tenth from 10 on, a hundredth below, a thousandth below 0.1; counts whole."""
        if self.is_count:
            return 1.0
        return 0.1 if abs(self.start) >= 10.0 else 0.01 if abs(self.start) >= 0.1 else 0.001

    @property
    def is_count(self) -> bool:
        return isinstance(self.parameter.kind, Count)

    @property
    def middle(self) -> int:
        return round(self.start / self.step)

    def begin(self, sign: int) -> int:
        """Return the place from which a search starts: that of the value itself, or the one before it."""
        exact = self.start / self.step
        return math.floor(exact + ROUNDING) if sign > 0 else math.ceil(exact - ROUNDING)

    def value(self, place: int) -> float:
        return place if self.is_count else round(place * self.step, 9)

    def within(self, place: int) -> int:
        """The place, or the nearest within the limits of the parameter."""
        kind: Any = self.parameter.kind
        least, most = float(kind.minimum) / self.step, float(kind.maximum) / self.step
        return max(math.ceil(least - ROUNDING), min(math.floor(most + ROUNDING), place))

    def away(self, share: float) -> int:
        """Return the number of places for a share of the value."""
        return max(1, round(share * max(abs(self.start), 10.0 * self.step) / self.step))


def nearest(grid: Grid, start: int, sign: int, test: Test) -> int | None:
    """The nearest place beyond a first one at which a test finds the finding cleared."""
    ends = _bracket(grid, start, sign, test)
    if ends is None:
        return None
    place, state = _narrowed(grid, *ends, test)
    return place if state == "cleared" else None


def _bracket(grid: Grid, start: int, sign: int, test: Test) -> tuple[int, int, State] | None:
    """The last place tried that leaves the finding as it was, and the first that does not, with its state."""
    bad = start
    for place in _places(grid, start, sign):
        good = place
        for _ in range(3):
            state = test(grid.value(good))
            if state in ("cleared", "overshot"):
                return bad, good, state
            if state == "as before":
                bad = good
                break
            good = (bad + good) // 2  # it cannot be built so far away: perhaps nearer by
        else:
            return None
    return None


def _places(grid: Grid, start: int, sign: int) -> Iterator[int]:
    """Yield places farther and farther away, to the limits of the parameter."""
    before = start
    for number, share in enumerate(_GROWTH, 1):
        away = number if grid.is_count else grid.away(share)
        place = grid.within(start + sign * away)
        if place != before:
            yield place
        before = place


def _narrowed(grid: Grid, bad: int, good: int, state: State, test: Test) -> tuple[int, State]:
    """The nearest place that clears the finding, or overshoots it."""
    while abs(good - bad) > 1:
        middle = (bad + good) // 2
        there = test(grid.value(middle))
        if there in ("cleared", "overshot"):
            good, state = middle, there
        else:
            bad = middle
    return good, state
