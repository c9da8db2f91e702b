"""Timing two ways to the same thing in turn, in one process, so that a machine's changing speed hits both."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable

LEAST_S = (
    0.1  # a round calls a quick way as often as fills this time, so that one interrupt is not the answer
)


def in_turn(
    ours: Callable[[], object], reference: Callable[[], object], rounds: int = 9
) -> dict[str, object]:
    """Medians of both [s a call] and their ratio (reference / formparts), after a round that is not counted."""
    times: tuple[list[float], list[float]] = ([], [])
    calls = [1 + int(LEAST_S / (_seconds(way) or LEAST_S)) for way in (ours, reference)]
    for _ in range(rounds):
        for way, count, kept in zip((ours, reference), calls, times, strict=True):
            kept.append(_seconds(way, count))
    median, other = (statistics.median(kept) for kept in times)
    return {
        "median_s": median,
        "reference_median_s": other,
        "ratio": other / median,
        "rounds": rounds,
        "calls a round": calls,
    }


def _seconds(way: Callable[[], object], count: int = 1) -> float:
    """Time of one call, as the mean of so many."""
    gc.collect()
    start = time.perf_counter()
    for _ in range(count):
        way()
    return (time.perf_counter() - start) / count
