"""`ring_riser` with four lugs against a plain script of the same part (extrude, revolve, union, cut)."""

from __future__ import annotations

from collections.abc import Iterator

from formparts import find_recipe
from formparts.blanks import blank
from formparts.closed_forms import properties
from formparts.kernel import measured
from formparts.solids import solid
from tests.benchmarks.plain_ring_riser import plain_ring_riser
from tests.benchmarks.rounds import in_turn

AGREE = 1e-9


def run() -> Iterator[dict[str, object]]:
    """Solid and its measured volume; and the closed-form mass with all figures of the blank."""
    recipe = find_recipe("ring_riser")

    def plain() -> float:
        return float(plain_ring_riser(lug_count=4).val().Volume())

    def whole() -> float:
        return measured(solid(recipe(lug_count=4)).shape).volume

    def figures() -> float:
        body = recipe(lug_count=4)
        flat = blank(body)
        assert min(flat.length, flat.width, flat.area, flat.cut_length, flat.pierces) > 0.0
        assert not flat.overlaps
        return properties(body).volume

    reference = plain()
    for name, ours, target in (
        ("solid and volume", whole, 10.0),
        ("closed-form mass and blank", figures, 50.0),
    ):
        off = abs(ours() / reference - 1.0)
        assert off < AGREE, f"{name}: the two volumes differ by {off:.2g}"
        yield {
            "benchmark": f"ring_riser, 4 lugs: {name}",
            "reference": "plain script: extrude, revolve, union, cut, and its volume",
            **in_turn(ours, plain),
            "at least": target,
            "volumes_differ": off,
        }
