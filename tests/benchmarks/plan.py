"""How the time of a bend plan grows: with bends of a profile, and with lugs of a ring; as shares of the smallest."""

from __future__ import annotations

import time
from collections.abc import Iterator

from formparts import shapes
from formparts.body import Body, Sheet
from formparts.planning import plan_bends
from formparts.recipe_functions import find_recipe


def corrugated(bends: int) -> Body:
    """A profile that goes up and down by 30 deg."""
    runs = [shapes.run(30)]
    for number in range(bends):
        runs += [shapes.up(30) if number % 4 in (0, 3) else shapes.down(30), shapes.run(40)]
    return shapes.profile(Sheet(2.0, 2.0, "S235JR", 0.44), 100, *runs, name=f"corrugated_{bends}")


def seconds(body: Body) -> float:
    """Processor time of one plan, the first time that the part is seen."""
    start = time.process_time()
    plan_bends(body)
    return time.process_time() - start


def parts() -> Iterator[tuple[str, Body]]:
    """Parts of each kind, the smallest first."""
    for bends in (4, 8, 20):
        yield "profile", corrugated(bends)
    for lugs in (2, 4, 8):
        yield "ring", find_recipe("ring_riser")(lug_count=lugs, lug_width=14, pitch_diameter=100)


def run() -> Iterator[dict[str, object]]:
    """One row a part: its bends, its processor time, and that over the smallest of its kind."""
    smallest: dict[str, float] = {}
    for kind, body in parts():
        took = seconds(body)
        first = smallest.setdefault(kind, took)
        times = round(took / first, 2)
        yield {
            "benchmark": "plan",
            "kind": kind,
            "bends": len(body.bends),
            "s": round(took, 3),
            "times": times,
        }
