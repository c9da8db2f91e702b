"""Curves that are neither lines nor circles are followed within the tolerance that is stated, and no arc is lost."""

from __future__ import annotations

import math
from itertools import pairwise

import cadquery as cq
import pytest

from formparts.outline.edges import Arc, Edge, Line
from formparts.tolerances import FOLLOWED, RECOGNISED
from formparts.unfolder import unfold
from formparts.unfolder.sewing import area_of
from formparts.unfolder.tracing import followed
from tests.unfolder.foreign import by_k, filleted_angle


def off(edges: list[Edge], place: tuple[float, float]) -> float:
    """Distance of a place from the nearest of some edges."""
    return min(edge.distance(place) for edge in edges)


def test_an_ellipse_is_followed_all_the_way() -> None:
    """Half axes 20 and 10: 1,000 places on it lie within 0.001 of the arcs, and the area is 200 pi to 1e-5 of it."""

    def spot(share: float) -> tuple[float, float]:
        return (20 * math.cos(math.tau * share), 10 * math.sin(math.tau * share))

    edges, exact = followed(spot, spot(0.0), spot(0.0))
    assert not exact
    assert max(off(edges, spot(number / 1000)) for number in range(1000)) <= FOLLOWED
    assert area_of(edges, (0.0, 0.0)) == pytest.approx(200 * math.pi, rel=1e-5)
    assert len(edges) < 80


def test_a_sine_between_two_walls_is_followed() -> None:
    """What a slanted plane makes of a cylinder when it is rolled out is a sine (exact mathematics)."""

    def spot(share: float) -> tuple[float, float]:
        return (30 * share, 4 * math.sin(math.pi * share))

    edges, exact = followed(spot, spot(0.0), spot(1.0))
    assert not exact
    assert max(off(edges, spot(number / 777)) for number in range(778)) <= FOLLOWED
    assert edges[0].start == spot(0.0)
    assert edges[-1].end == spot(1.0)
    assert all(first.end == second.start for first, second in pairwise(edges))


def test_an_arc_in_disguise_is_one_arc() -> None:
    """Two thirds of a circle of 7, run unevenly, clockwise."""

    def spot(share: float) -> tuple[float, float]:
        angle = -4 * math.pi / 3 * share * share
        return (3 + 7 * math.cos(angle), 7 * math.sin(angle))

    edges, exact = followed(spot, spot(0.0), spot(1.0))
    assert exact
    assert all(isinstance(edge, Arc) and not edge.ccw for edge in edges)
    assert all(edge.radius == pytest.approx(7, abs=RECOGNISED) for edge in edges if isinstance(edge, Arc))
    assert math.fsum(edge.length for edge in edges) == pytest.approx(7 * 4 * math.pi / 3, abs=1e-6)


def test_a_line_in_disguise_is_one_line() -> None:
    edges, exact = followed(lambda share: (share**3 * 9, share**3 * 4), (0.0, 0.0), (9.0, 4.0))
    assert (edges, exact) == ([Line((0.0, 0.0), (9.0, 4.0))], True)


def test_an_elliptic_opening_in_a_flat() -> None:
    """Half axes 8 and 5 through the long leg: 40 pi is gone, to what the tolerance allows on its rim."""
    solid = filleted_angle().cut(cq.Workplane().center(30, 20).ellipse(8, 5).extrude(20, both=True))
    found = unfold(solid, by_k)
    area = 40 * (70 + math.pi / 2 * 3.88) - 40 * math.pi
    assert found.blank.area == pytest.approx(area, abs=FOLLOWED * 42)
    assert found.notes == ("1 curved edge is followed by lines and arcs to within 0.001 mm",)
    both = solid.cut(cq.Workplane().center(40, 20).ellipse(1, 2).extrude(20, both=True))
    assert unfold(both, by_k).notes == ("2 curved edges are followed by lines and arcs to within 0.001 mm",)


def test_a_tube_cut_off_askew_rolls_out_to_a_sine() -> None:
    """
    A half tube of inside radius 20, t 0.5, its one end cut by a plane at 45 deg along the axis.

    The cut is straight through the sheet, so it is not square to it and the skins differ; the blank has the longer.
    On the outer skin the plane z = 60 + x makes a height of 60 + 20.5 sin(angle) over the angle from the middle.
    """
    half = cq.Workplane("XZ").moveTo(20, 0).rect(0.5, 100, centered=False).revolve(180, (0, 0), (0, 1))
    keep = (
        cq.Workplane("XZ")
        .polyline([(-99, 0), (99, 0), (99, 159), (-99, -39)])
        .close()
        .extrude(200, both=True)
    )
    found = unfold(half.intersect(keep), by_k)
    assert found.bends[0].angle == pytest.approx(180.0, abs=1e-6)
    assert found.blank.length == pytest.approx(math.pi * 20.22, abs=1e-6)
    # Middle height 60 over the whole width; the sine adds nothing to the area.
    assert found.blank.area == pytest.approx(60 * math.pi * 20.22, rel=2e-3)
    # Lower edge, the sides of 39.5 and 80.5 where the sine has its ends, and the sine itself.
    width, steps = math.pi * 20.22, 2000
    heights = [60 + 20.5 * math.sin(math.pi * (number / steps - 0.5)) for number in range(steps + 1)]
    sine = math.fsum(math.hypot(width / steps, after - before) for before, after in pairwise(heights))
    assert found.blank.cut_length == pytest.approx(width + 39.5 + 80.5 + sine, abs=0.01)
    assert any("slanted" in note for note in found.notes)


@pytest.mark.parametrize("count", [12, 50])
def test_a_cam_whose_rim_is_one_spline_of_many_spans(count: int) -> None:
    """
    Five lobes about a place far from the origin, 3 mm thick: area of a polygon of 20,000 corners times the thickness.

    The kernel's integrals over such a rim are off by up to 3 parts in 1000, and 65 places along it by 2 in 10,000.
    """
    turns = [math.tau * number / count for number in range(count)]
    reach = [60 + 8 * math.sin(5 * turn) + 2 * math.sin(41 * turn) for turn in turns]
    corners = [(300 + r * math.cos(a), 700 + r * math.sin(a)) for r, a in zip(reach, turns, strict=True)]
    solid = cq.Workplane(origin=(0, 0, -2)).spline(corners, periodic=True).close().extrude(3)
    (rim, *_) = (edge for edge in solid.edges("<Z").vals() if edge.geomType() == "BSPLINE")
    places = [rim.positionAt(number / 20_000) for number in range(20_001)]
    size = abs(math.fsum(a.x * b.y - b.x * a.y for a, b in pairwise(places))) / 2.0
    found = unfold(solid, by_k)
    assert found.volume == pytest.approx(3.0 * size, rel=1e-6)
    assert found.blank.area == pytest.approx(size, rel=1e-6)
    assert found.volume_by == "rims"
