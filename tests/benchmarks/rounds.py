"""Timing two ways to the same thing in turn, in one process, so that a machine's changing speed hits both."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable


def in_turn(
    ours: Callable[[], object], reference: Callable[[], object], rounds: int = 9
) -> dict[str, object]:
    """Medians of both [s] and their ratio (reference / ours), after one round that is not counted."""
    times: tuple[list[float], list[float]] = ([], [])
    for number in range(rounds + 1):
        for way, kept in zip((ours, reference), times, strict=True):
            gc.collect()
            start = time.perf_counter()
            way()
            if number:
                kept.append(time.perf_counter() - start)
    median, other = (statistics.median(kept) for kept in times)
    return {"median_s": median, "reference_median_s": other, "ratio": other / median, "rounds": rounds}
