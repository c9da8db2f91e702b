"""The outline of the blank: it closes to the last digit, and the outside and the holes are distinguished."""

from __future__ import annotations

import math

import pytest

from formparts.blanks import blank
from formparts.body import Sheet
from formparts.outline import rectangle
from formparts.shapes import add_flange, pierced, plate
from tests.parts import CAST

SHEET = Sheet(2.0, 2.0, "S235JR", 0.44)


@pytest.mark.parametrize("subject", CAST)
def test_each_edge_ends_in_the_very_figures_in_which_the_next_begins(subject: str) -> None:
    for loop in blank(CAST[subject]()).outline.loops:
        for edge, after in zip(loop.edges, loop.edges[1:] + loop.edges[:1], strict=True):
            assert edge.end == after.start


@pytest.mark.parametrize("leg", [15.0, 60.0, 900.0])
def test_a_flange_in_a_window_however_long_does_not_turn_the_blank_inside_out(leg: float) -> None:
    """
    A plate of 100 by 80 with a window of 40 by 20; a flange of 30 is on the edge of the window.

    Outside it is the plate; the hole is what is left of the window. As each flat and bend counts for itself,
    the area is 100 x 80 - 40 x 20 and the flange: 30 wide, pi/2 x 2.88 and the leg long.
    """
    window = pierced(rectangle(100, 80), rectangle(40, 20))
    base = plate(SHEET, window, "base")
    line = ((-20, 10), (20, 10))
    body = add_flange(
        base, line, leg, width=30, height_to="tangent line", edge_to="tangent line", name="flap"
    )
    flat = blank(body)
    assert flat.outline.outer.signed_area == pytest.approx(8000, rel=1e-12)
    assert flat.outline.outer.bounds == pytest.approx((-50, -40, 50, 40))
    (hole,) = flat.outline.holes
    developed = 30 * (math.pi / 2 * 2.88 + leg)
    assert hole.signed_area == pytest.approx(-(40 * 20 - developed), rel=1e-9)
    assert flat.area == pytest.approx(8000 - 800 + developed, rel=1e-12)
