"""Where a cut is slanted the skins differ: bend lines end on the contour that is cut, however the blank lies."""

from __future__ import annotations

import math
from collections.abc import Callable

import cadquery as cq
import pytest

from formparts.outline.edges import Line
from formparts.unfolder import unfold
from tests.unfolder.foreign import by_k, mitred_box, mitred_channel, tapered_flange


@pytest.mark.parametrize("solid", [mitred_channel, tapered_flange])
@pytest.mark.parametrize("turn", [0, 30, 90, 135, 210, 300])
@pytest.mark.parametrize("up", [1, -1])
def test_bend_lines_run_from_cut_to_cut(solid: Callable[[], cq.Workplane], turn: float, up: int) -> None:
    """Both ends lie on the outline, the middle within it; the same length whichever way the blank is turned."""
    made = solid()
    way = (math.cos(math.radians(turn)), math.sin(math.radians(turn)), 0.0)
    found = unfold(made, by_k, frame=((10.0, -20.0, 0.0), way, (0.0, 0.0, float(up))))
    plain = unfold(made, by_k, frame=((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, float(up))))
    assert found.notes
    assert len(found.blank.bends) == len(plain.blank.bends) > 0
    for mark, other in zip(found.blank.bends, plain.blank.bends, strict=True):
        assert mark.length == pytest.approx(other.length, abs=1e-6)
        assert found.blank.outline.outer.distance(mark.start) <= 1e-6
        assert found.blank.outline.outer.distance(mark.end) <= 1e-6
        assert found.blank.outline.contains(Line(mark.start, mark.end).middle)


def test_a_sine_along_a_bend_line_is_ended_where_it_crosses() -> None:
    """The middle of a half tube that is cut off askew: 60 long, whichever skin is longer there."""
    half = cq.Workplane("XZ").moveTo(20, 0).rect(0.5, 100, centered=False).revolve(180, (0, 0), (0, 1))
    keep = cq.Workplane("XZ").polyline([(-99, 0), (99, 0), (99, 159), (-99, -39)]).close()
    (mark,) = unfold(half.intersect(keep.extrude(200, both=True)), by_k).blank.bends
    assert mark.length == pytest.approx(60.0, abs=2e-3)


@pytest.mark.parametrize("up", [1, -1])
def test_corners_lie_on_one_another_whichever_skin_is_rolled_out(up: int) -> None:
    """Without a relief its outer skin, which is the wider, overlaps itself at all four corners."""
    found = unfold(mitred_box(), by_k, up=(0, 0, up))
    bends = {mark.name for mark in found.blank.bends}
    pairs = {frozenset((overlap.first, overlap.second)) for overlap in found.blank.overlaps}
    assert len(found.blank.overlaps) == len(pairs) == 4
    assert {name for pair in pairs for name in pair} == bends
