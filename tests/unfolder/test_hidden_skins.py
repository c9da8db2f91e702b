"""Parts whose thickness, volume or rims are easily taken for others: floors before skins, splines, faint slants."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import Polygon

from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import Arc
from formparts.tolerances import FOLLOWED
from formparts.unfolder import unfold
from tests.unfolder.foreign import as_splines, by_k, filleted_angle, flat_size, written_coarsely

Shape = Callable[[], cq.Workplane]


def counterbored() -> cq.Workplane:
    """100 x 60 x 10 with a hole of 6 and a counterbore of 12 x 3 from above, and one of each from below."""
    block = cq.Workplane().box(100, 60, 10)
    for x, way in ((-30, 1), (30, -1)):
        block = block.cut(cq.Workplane().center(x, 0).circle(3).extrude(9, both=True))
        block = block.cut(cq.Workplane(origin=(x, 0, way * 2)).circle(6).extrude(way * 9))
    return block


def test_floors_that_hide_both_skins() -> None:
    """Both floors lie nearer to a skin than the other skin does; 6 x 6 holes are what is cut."""
    found = unfold(counterbored(), by_k)
    assert found.thickness == pytest.approx(10.0, abs=1e-9)
    assert found.blank.area == pytest.approx(6000.0 - 2 * math.pi * 9.0, rel=1e-9)
    assert len(found.notes) == 2


@pytest.mark.parametrize(
    ("size", "t", "bore", "deep"), [((1000, 1000), 10, 2.0, 7), ((2000, 1500), 3, 1.0, 70)]
)
def test_a_bore_into_the_edge_of_a_large_plate(size: tuple[int, int], t: int, bore: float, deep: int) -> None:
    """88 of 10,000,000 mm3: so little that no other figure shows it, and no sheet all the same."""
    drill = cq.Workplane("XZ", origin=(0, size[1] / 2 + 100, 0)).circle(bore).extrude(100 + deep)
    with pytest.raises(InputError, match="is not constant"):
        unfold(cq.Workplane().box(*size, t).cut(drill), by_k)


def spline_plate() -> cq.Workplane:
    """3 thick, 60 high and 100 wide, its lower edge a spline through five points."""
    wave = cq.Workplane().spline([(20, 7), (45, -3), (70, 9), (100, 0)], includeCurrent=True)
    return wave.lineTo(100, 60).lineTo(0, 60).close().extrude(3)


def test_a_plate_with_a_spline_for_an_edge() -> None:
    """Its area and rim by 5,000 chords and shapely: the kernel has the volume closely, and the surface to 4e-5."""
    plate = spline_plate()
    (rim,) = [edge for edge in plate.faces("<Z").edges().vals() if edge.geomType() == "BSPLINE"]
    places = [(p.x, p.y) for p in rim.positions(np.linspace(0.0, 1.0, 5001))]
    far = [(100.0, 60.0), (0.0, 60.0)] if places[-1][0] > 50 else [(0.0, 60.0), (100.0, 60.0)]
    section = Polygon([*places, *far])
    found = unfold(plate, by_k)
    assert found.volume == pytest.approx(3.0 * section.area, rel=1e-7)
    assert found.blank.area == pytest.approx(section.area, abs=FOLLOWED * 110)
    kernel = measured(plate.val().wrapped, closely=True)
    assert kernel.volume == pytest.approx(3.0 * section.area, rel=1e-7)
    assert kernel.surface == pytest.approx(2.0 * section.area + 3.0 * section.length, rel=5e-5)
    assert kernel.centroid == pytest.approx((section.centroid.x, section.centroid.y, 1.5), abs=1e-5)


@pytest.mark.parametrize(("radius", "askew"), [(100.0, 2e-4), (300.0, 1e-4), (1000.0, 6e-5)])
def test_a_rim_that_is_hardly_askew_is_no_straight_one(radius: float, askew: float) -> None:
    """
    A half tube of 2 mm, one end cut by a plane that leans by some thousandths of a degree across it.

    Its rim is within RECOGNISED of a circle, and on the blank a sine of some hundredths: height 30 + r askew sin.
    """
    tube = cq.Workplane("XZ").moveTo(radius, 0).rect(2, 60, centered=False).revolve(180, (0, 0), (0, 1))
    far = 3.0 * radius
    rows = [(-far, 30 - far * askew), (far, 30 + far * askew), (far, 400), (-far, 400)]
    found = unfold(tube.cut(cq.Workplane("XZ").polyline(rows).close().extrude(far, both=True)), by_k)
    across = math.pi * (radius + 0.88)
    assert found.blank.area == pytest.approx(30.0 * across, rel=1e-6)
    assert any("followed" in note for note in found.notes)
    corners = (
        found.blank.outline.corners if hasattr(found.blank.outline, "corners") else found.blank.outline.edges
    )
    highest = max(edge.start[1] for edge in corners)
    assert highest == pytest.approx(30.0 + (radius + 2.0) * askew, abs=2.0 * FOLLOWED)
    sense = 1.0 if max(corners, key=lambda edge: edge.start[1]).start[0] > across / 2.0 else -1.0
    for share in np.linspace(0.01, 0.99, 99):
        height = 30.0 + sense * (radius + 2.0) * askew * math.sin(math.pi * (share - 0.5))
        assert found.blank.outline.outer.distance((share * across, height)) <= 2.0 * FOLLOWED


def test_splines_of_six_decimals_are_planes_and_cylinders(tmp_path: Path) -> None:
    """An angle all of whose faces are free-form, askew: 40 x (70 + pi/2 x 3.88)."""
    turned = as_splines(filleted_angle()).rotate((0, 0, 0), (1, 2, 3), 37)
    found = unfold(written_coarsely(turned.wrapped, tmp_path / "part.step", 6), by_k)
    assert flat_size(found) == pytest.approx([40.0, 70.0 + math.pi / 2 * 3.88], abs=1e-4)


def test_a_large_arc_of_few_digits_is_of_one_circle(tmp_path: Path) -> None:
    """A keyhole of 20 with a slot of 4: its arc of 337 deg is two edges, with one centre and radius."""
    plate = cq.Workplane().box(100, 60, 2).cut(cq.Workplane().circle(10).extrude(9, both=True))
    plate = plate.cut(cq.Workplane().box(30, 4, 9, centered=(False, True, True)))
    turned = plate.val().rotate((0, 0, 0), (1, 2, 3), 37)
    (hole,) = unfold(written_coarsely(turned.wrapped, tmp_path / "part.step"), by_k).blank.outline.holes
    arcs = [edge for edge in hole.edges if isinstance(edge, Arc)]
    assert len(arcs) == 2
    assert (arcs[0].centre, arcs[0].radius) == (arcs[1].centre, arcs[1].radius)
    assert arcs[0].radius == pytest.approx(10.0, abs=2e-5)
