"""Bends with no inside radius: the inside is an edge, and a strip on the blank."""

from __future__ import annotations

import math

import cadquery as cq
import pytest

from formparts.unfolder import unfold
from tests.unfolder.foreign import by_k, extruded, flat_size


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


@pytest.mark.parametrize("up", [1, -1])
@pytest.mark.parametrize("side", [1, -1])
def test_a_sharp_bend_whose_flange_tapers_from_it(up: int, side: int) -> None:
    """
    40 and 30 long inside, 30 wide, t 2; the flange narrows by 5 on both sides up to its tip, cut square to its faces.

    The strip of the bend keeps its width: its ends are at right angles to it, and the tapered sides do not.
    """
    solid = extruded([(40,), (side * 90, 0), (30,)])
    low, tip = (2.0, 32.0) if side > 0 else (0.0, -30.0)
    for edge, inner in ((0.0, 5.0), (30.0, 25.0)):
        wedge = cq.Workplane("YZ").polyline([(edge, low), (edge, tip), (inner, tip)]).close()
        solid = solid.cut(wedge.extrude(99))
    found = unfold(solid, by_k, up=(0, 0, up))
    strip = math.pi / 2 * 0.88
    assert found.blank.area == pytest.approx(30.0 * (40.0 + strip) + 25.0 * 30.0, rel=1e-9)
    cut = 30.0 + 20.0 + 2.0 * (40.0 + strip + math.hypot(5.0, 30.0))
    assert found.blank.cut_length == pytest.approx(cut, rel=1e-9)
    assert len(found.blank.outline.edges) == 6


@pytest.mark.parametrize("up", [1, -1])
def test_sharp_bends_that_are_not_parallel(up: int) -> None:
    """A base of 60 x 40 inside, walls of 30 x 20 and 60 x 30 on two of its edges, t 2, no inside radius."""
    base = cq.Workplane().box(60, 40, 2, centered=False)
    one = extruded([(60,), (90, 0), (20,)], w=30.0)
    other = extruded([(40,), (90, 0), (30,)], w=60.0)
    turned = other.rotate((0, 0, 0), (0, 0, 1), -90).mirror("XZ")
    solid = base.union(one).union(turned)
    found = unfold(solid, by_k, up=(0, 0, up))
    strip = math.pi / 2 * 0.88
    assert found.blank.area == pytest.approx(60 * 40 + 30 * (20 + strip) + 60 * (30 + strip), rel=1e-9)
    assert sorted(bend.length for bend in found.bends) == pytest.approx([30.0, 60.0])
