"""The strip of a bend on the blank: how wide it is by the rule of the sheet, and when there is none."""

from __future__ import annotations

import math

import pytest

from formparts.blank import blank
from formparts.body import Body, Sheet
from formparts.errors import InputError
from formparts.shapes import profile, run, up


def slight(angle: float, k_factor: float) -> Body:
    """Two runs of 20 and one slight bend of the sharpest radius."""
    sheet = Sheet(1.0, 0.001, "S235JR", k_factor)
    return profile(sheet, 10, run(20, "tangent line"), up(angle), run(20, "tangent line"), name="slight")


def test_a_strip_that_is_narrower_than_any_edge_is_refused() -> None:
    """
    At K = 0 the fibre is the inner face: 0.001 x angle [rad], which is a micrometre long at 57.3 deg only.

    One line says what the rule gives, and by which rule.
    """
    one_radian = math.degrees(1.0)
    assert blank(slight(one_radian + 1e-6, 0.0)).length == pytest.approx(40.001, abs=1e-9)
    with pytest.raises(
        InputError, match=r"slight: allowance of slight.bend\[1\] = 0.000.*shortest edge of 0.001 mm"
    ):
        blank(slight(one_radian - 1e-3, 0.0))
    with pytest.raises(InputError, match="another bend rule"):
        blank(slight(30.0, 0.0))
    assert blank(slight(30.0, 0.5)).length == pytest.approx(40 + math.radians(30) * 0.501, rel=1e-12)
