"""Where two edges meet, by hand."""

from __future__ import annotations

import pytest

from formparts.outline import Arc, Line, Motion
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH


@pytest.mark.parametrize(
    ("off", "count"), [(0.0, 1), (0.5 * LENGTH, 1), (-0.5 * LENGTH, 1), (2.0 * LENGTH, 0), (-0.1, 2)]
)
@pytest.mark.parametrize("angle", [0.0, 40.0, 220.0])
def test_arcs_that_touch_from_outside(off: float, count: int, angle: float) -> None:
    """Half circles of 5 and 3 back to back: one point within what is one place, none farther apart, two deeper in."""
    turn = Motion.turn(angle)
    first = Arc((0, -5), (0, 5), (0, 0), 5, True).moved(turn)
    second = Arc((8 + off, 3), (8 + off, -3), (8 + off, 0), 3, True).moved(turn)
    found = meet(first, second, LENGTH)
    assert len(found) == count
    assert all(point == pytest.approx(turn((5, 0)), abs=1.0 if count == 2 else LENGTH) for point in found)


@pytest.mark.parametrize(
    ("off", "count"), [(0.0, 1), (0.5 * LENGTH, 1), (-0.5 * LENGTH, 1), (-2.0 * LENGTH, 0), (0.1, 2)]
)
@pytest.mark.parametrize("angle", [0.0, 40.0, 220.0])
@pytest.mark.parametrize("turned", [False, True])
def test_arcs_that_touch_from_inside(off: float, count: int, angle: float, turned: bool) -> None:
    """A half circle of 3 within one of 5, its centre 2 off: they touch 5 from the larger one's centre."""
    turn = Motion.turn(angle)
    large = Arc((0, -5), (0, 5), (0, 0), 5, True).moved(turn)
    small = Arc((2 + off, -3), (2 + off, 3), (2 + off, 0), 3, True).moved(turn)
    found = meet(small, large, LENGTH) if turned else meet(large, small, LENGTH)
    assert len(found) == count
    assert all(point == pytest.approx(turn((5, 0)), abs=2.0 if count == 2 else LENGTH) for point in found)


@pytest.mark.parametrize("down", [-5.0, 5.0])
def test_an_end_on_a_line_right_beside_its_start(down: float) -> None:
    """A line of 10, and 0.05 beside its start the end of another, from the one side and from the other."""
    line, other = Line((0.0, 0.0), (10.0, 0.0)), Line((0.05, 0.0), (0.05, down))
    assert meet(line, other, LENGTH) == [(0.05, 0.0)]
    assert meet(other, line, LENGTH) == [(0.05, 0.0)]
    back = Line(other.end, other.start)
    assert meet(line, back, LENGTH) == meet(back, line, LENGTH) == [(0.05, 0.0)]


@pytest.mark.parametrize("size", [0.002, 0.5, 2000.0])
@pytest.mark.parametrize("angle", [0.0, 40.0, 220.0])
def test_lines_cross_whatever_their_size(size: float, angle: float) -> None:
    """Two diagonals, a quarter of their length from the ends of the first and at the middle of the second."""
    turn = Motion.turn(angle)
    first = Line((0.0, 0.0), (size, 0.0)).moved(turn)
    second = Line((size / 4.0, -size / 3.0), (size / 4.0, size / 3.0)).moved(turn)
    for one, other in ((first, second), (second, first)):
        assert meet(one, other, LENGTH) == [pytest.approx(turn((size / 4.0, 0.0)), abs=1e-12 * size)]
