"""Bends with no inside radius: the inside is an edge, and a strip on the blank."""

from __future__ import annotations

import math

import pytest

from formparts.unfold import unfold
from tests.unfold.foreign import by_k, extruded, flat_size


@pytest.mark.parametrize("up", [1, -1])
@pytest.mark.parametrize("turns", [(90, 30), (30, 90), (60, -90), (-45, -120)])
def test_each_sharp_bend_has_its_own_angle(turns: tuple[int, int], up: int) -> None:
    """50, 30 and 40 long, t 2: each bend takes angle x 0.88, and is listed with its angle, side and place."""
    solid = extruded([(50,), (turns[0], 0), (30,), (turns[1], 0), (40,)])
    found = unfold(solid, by_k, up=(0, 0, up))
    widths = [math.radians(abs(turn)) * 0.88 for turn in turns]
    assert [bend.angle for bend in found.bends] == pytest.approx(list(map(abs, turns)))
    assert [bend.side for bend in found.bends] == ["up" if turn * up > 0 else "down" for turn in turns]
    assert max(flat_size(found)) == pytest.approx(120.0 + sum(widths), abs=1e-6)
    assert found.blank.area == pytest.approx(30.0 * (120.0 + sum(widths)), rel=1e-9)
    assert found.blank.cut_length == pytest.approx(2.0 * (150.0 + sum(widths)), abs=1e-6)
    assert [bend.allowance for bend in found.bends] == pytest.approx(widths, abs=1e-9)
    assert len(found.blank.outline.edges) == 4
