"""The strip of a bend on the blank: how wide it is by the rule of the sheet, and when there is none."""

from __future__ import annotations

import math

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.errors import InputError
from formparts.shapes import down, profile, run, up


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
    with pytest.raises(InputError, match=r"slight.bend\[1\]: allowance = 0.000.*shortest edge of 0.001 mm"):
        blank(slight(one_radian - 1e-3, 0.0))
    with pytest.raises(InputError, match="another bend rule"):
        blank(slight(30.0, 0.0))
    assert blank(slight(30.0, 0.5)).length == pytest.approx(40 + math.radians(30) * 0.501, rel=1e-12)


def test_bend_lines_lie_in_the_middle_of_their_strips_by_hand() -> None:
    """
    Runs of 40, 25 and 30, 50 wide, up 90 at R 3 and down 60 at R 5, t 2 and K 0.44: the strips begin 40 from the end.

    They are pi/2 x 3.88 and pi/3 x 5.88 wide, and between them lie 25.
    """
    runs = (run(40, "tangent line"), up(90), run(25, "tangent line"), down(60, 5.0), run(30, "tangent line"))
    flat = blank(profile(Sheet(2.0, 3.0, "S235JR", 0.44), 50, *runs, name="crank"))
    first, second = math.pi / 2 * 3.88, math.pi / 3 * 5.88
    assert flat.length == pytest.approx(40 + first + 25 + second + 30, rel=1e-12)
    begins = flat.outline.bounds[0]
    lines = [sorted({mark.start[0] - begins, mark.end[0] - begins}) for mark in flat.bends]
    assert lines == [
        [pytest.approx(40 + first / 2, rel=1e-12)],
        [pytest.approx(40 + first + 25 + second / 2, rel=1e-12)],
    ]
    assert [(mark.side, mark.angle, mark.inside_radius) for mark in flat.bends] == [
        ("up", 90, 3),
        ("down", 60, 5),
    ]
    assert [mark.allowance for mark in flat.bends] == pytest.approx([first, second], rel=1e-12)
    for mark in flat.bends:
        assert sorted((mark.start[1], mark.end[1])) == pytest.approx(
            [flat.outline.bounds[1], flat.outline.bounds[3]]
        )
