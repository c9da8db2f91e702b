"""The round values of a parameter, numbered: the places at which a fix is sought."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from formparts.parameters import Count, Parameter
from formparts.tolerances import ROUNDING


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
        """The place from which a search sets out: of the value itself, or the one before it."""
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
        """How many places a share of the value is."""
        return max(1, round(share * max(abs(self.start), 10.0 * self.step) / self.step))
