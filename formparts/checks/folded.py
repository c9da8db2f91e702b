"""Can the part be folded? Pieces that run into each other."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.body import Body
from formparts.checks.finding import Finding
from formparts.clash import clashes


def folded(body: Body) -> Iterator[Finding]:
    """Pairs of flats and bends that would be in the same place."""
    for clash in clashes(body):
        x, y, z = clash.place
        where = f"{clash.first} and {clash.second}"
        message = f"folded part: {where} run into each other near x = {x:.1f}, y = {y:.1f}, z = {z:.1f} mm"
        yield Finding(
            "folded-clash",
            "error",
            where,
            message,
            1.0,
            0.0,
            "clashes",
            "exact geometry",
            "the part cannot be folded as it is: make one of the two shorter, or change an angle",
        )
