"""The expected spread as text: each dimension that a stop measures, compared with the general tolerances."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.general_tolerances import linear_tolerance
from formparts.planning import BendPlan, Spread, spreads


def spread_lines(plan: BendPlan) -> Iterator[str]:
    """Alike dimensions in one line, then what adds up."""
    found = spreads(plan)
    alike: dict[str, list[str]] = {}
    for spread in found:
        alike.setdefault(_words(spread, plan.tolerance_class), []).append(str(spread.step))
    for words, steps in alike.items():
        yield f"from the stop to the bend, step {', '.join(steps)}: {words}"
    if len(found) > 1:
        together = sum(spread.total for spread in found)
        yield (
            "between two bends that neither stop measures the spreads of both add up: leave such a dimension free; "
            f"across all {len(found)} steps ±{together:.2f} mm"
        )


def _words(spread: Spread, tolerance_class: str) -> str:
    shares = ", ".join(f"{name} {share:.2f}" for name, share in spread.shares)
    without = f"; not in it, {spread.unknown}" if spread.unknown else ""
    return (
        f"{spread.nominal:.2f} ±{spread.total:.2f} mm ({shares}){without}; {_held(spread, tolerance_class)}"
    )


def _held(spread: Spread, tolerance_class: str) -> str:
    """Return whether the general tolerance is kept, and what to do if not."""
    allowed = linear_tolerance(spread.nominal, tolerance_class)
    if allowed is None:
        return "ISO 2768-1 has no tolerance for it"
    least = "at least " if spread.unknown else ""
    share = (
        f"{least}{100.0 * spread.total / allowed:.0f} % of the {allowed:g} mm of ISO 2768-1 {tolerance_class}"
    )
    return (
        share
        if spread.total <= allowed
        else f"{share}: it cannot be relied on; widen it or measure each part"
    )
