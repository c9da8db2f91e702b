"""Openings that are wider on one side, from either side: the narrow contour is cut, and the note says by how much."""

from __future__ import annotations

import math
import re

import cadquery as cq
import pytest

from formparts.tolerances import FOLLOWED
from formparts.unfolder import unfold
from tests.unfolder.foreign import by_k, mitred_channel

Profile = list[tuple[float, float]]
"""Radius and height of a hole, from the lower skin at z = 0 to the upper at z = 4."""

HOLES: dict[str, Profile] = {
    "countersunk above": [(3.0, 0.0), (3.0, 2.0), (5.0, 4.0)],
    "countersunk below": [(5.0, 0.0), (3.0, 2.0), (3.0, 4.0)],
    "conical all the way": [(3.0, 0.0), (5.0, 4.0)],
    "stepped above": [(3.0, 0.0), (3.0, 2.5), (5.0, 2.5), (5.0, 4.0)],
    "stepped below": [(5.0, 0.0), (5.0, 1.5), (3.0, 1.5), (3.0, 4.0)],
    "with a conical step within": [(3.0, 0.0), (3.0, 1.0), (5.0, 3.0), (5.0, 4.0)],
}


def drilled(profile: Profile) -> cq.Workplane:
    """A plate of 60 by 40 by 4 with one hole at (45, 12), turned from its profile."""
    section = [(0.0, 0.0), *profile, (0.0, 4.0)]
    tool = cq.Workplane("XZ").polyline(section).close().revolve(360, (0, 0), (0, 1)).translate((45, 12, 0))
    return cq.Workplane().box(60, 40, 4, centered=False).cut(tool)


@pytest.mark.parametrize("kind", HOLES)
def test_the_narrow_contour_is_cut(kind: str) -> None:
    """Radius 3 on one side and 5 on the other: a disc of 3 is cut, which is 16 pi = 50.2655 mm2 less than one of 5."""
    found = unfold(drilled(HOLES[kind]), by_k)
    (hole,) = found.blank.outline.holes
    assert abs(hole.signed_area) == pytest.approx(9 * math.pi, rel=1e-9)
    assert found.blank.area == pytest.approx(2400 - 9 * math.pi, rel=1e-9)
    (note,) = found.notes
    assert "is wider on one side" in note
    assert "the narrow contour, smaller by 50.2655 mm2" in note
    # The place is that of a face of the hole, in the coordinates of the solid.
    place = re.search(r"opening at \(([^)]*)\)", note)
    assert place is not None
    x, y, z = (float(figure) for figure in place[1].replace(" mm", "").split(","))
    assert math.hypot(x - 45, y - 12) <= 5.0 + 1e-3
    assert -1e-6 <= z <= 4 + 1e-6


def test_a_plain_hole_needs_no_note() -> None:
    found = unfold(drilled([(3.0, 0.0), (3.0, 4.0)]), by_k)
    assert found.blank.area == pytest.approx(2400 - 9 * math.pi, rel=1e-12)
    assert not found.notes


def test_two_holes_widened_from_unlike_sides() -> None:
    """Each is cut as its own narrow side is, and each is reported."""
    other = drilled(HOLES["stepped below"]).translate((-30, 10, 0))  # from (-30, 10), its hole at (15, 22)
    tool = cq.Workplane().box(12, 12, 4, centered=False).translate((9, 16, 0)).cut(other)
    solid = drilled(HOLES["countersunk above"]).cut(tool)
    found = unfold(solid, by_k)
    assert [abs(hole.signed_area) for hole in found.blank.outline.holes] == pytest.approx([9 * math.pi] * 2)
    assert len(found.notes) == 2


def test_a_bevelled_end_by_how_much() -> None:
    """A plate 50 wide, 100 long on one side and 97 on the other: 3 mm more on the longer one."""
    for near, far in ((97.0, 100.0), (100.0, 97.0)):
        solid = cq.Workplane("XZ").polyline([(0, 0), (near, 0), (far, 3), (0, 3)]).close().extrude(50)
        found = unfold(solid, by_k)
        assert found.blank.area == pytest.approx(5000, rel=1e-12)
        (note,) = found.notes
        assert "the blank has the longer of its two skins, by up to 3 mm" in note


@pytest.mark.parametrize("angle", [5.0, 30.0])
@pytest.mark.parametrize("joint", [0.0, 0.3, 40.0])
@pytest.mark.parametrize("up", [1, -1])
def test_a_hole_bored_askew_has_its_upper_contour(angle: float, joint: float, up: int) -> None:
    """
    A bore of 10 through a plate of 100 x 60 x 3, off square by an angle; its wall in one face, or in two with a joint.

    The rims are ellipses of 10 / cos by 10, and lie 3 tan apart; each is half of that off the middle, up or down.
    """
    halves = [
        cq.Workplane().workplane(offset=at).circle(5).extrude(80 * way)
        for at, way in ((joint, 1), (joint, -1))
    ]
    bore = halves[0].union(halves[1], clean=False).val().rotate((0, 0, 0), (0, 1, 0), angle)
    found = unfold(cq.Workplane().box(100, 60, 3).val().cut(bore), by_k, up=(0, 0, up))
    (hole,) = found.blank.outline.holes
    left, _, right, _ = hole.bounds
    lean = math.tan(math.radians(angle))
    assert right - left == pytest.approx(10 / math.cos(math.radians(angle)), abs=FOLLOWED)
    assert (left + right) / 2 == pytest.approx(50 + up * 1.5 * lean, abs=FOLLOWED)
    assert re.search(rf"askew through the sheet; .* lies {3 * lean:.4g} mm off", found.notes[-1])


def test_a_plate_that_leans() -> None:
    """A parallelogram of 100 x 3 that leans by 2, 50 wide: both skins are 100 x 50, and 2 apart."""
    solid = cq.Workplane("XZ").polyline([(0, 0), (100, 0), (102, 3), (2, 3)]).close().extrude(50)
    found = unfold(solid, by_k)
    assert found.blank.area == pytest.approx(5000, rel=1e-12)
    (note,) = found.notes
    assert "slanted; the blank has the upper skin, the lower one lies up to 2 mm off" in note


@pytest.mark.parametrize("turned", [False, True])
def test_a_channel_mitred_at_one_end(turned: bool) -> None:
    """
    60 wide and 50 high outside, t 2, inside 2; one end cut at 45 deg, at 300 on one wall and at 240 on the other.

    One wall is longer outside than inside, by 2, the other the other way round, so that neither skin holds the other:
    300 or 298 long, 240 or 242. The blank has the upper one, and the deviation of the other is reported.
    """
    solid = mitred_channel()
    found = unfold(solid.rotate((0, 0, 0), (1, 1, 0), 180) if turned else solid, by_k)
    sizes = sorted((found.blank.length, found.blank.width))
    assert sizes[0] == pytest.approx(46 + 52 + 46 + math.pi * 2.88, abs=1e-6)
    assert min(abs(sizes[1] - 300.0), abs(sizes[1] - 298.0)) < 1e-6
    assert any("the lower one lies up to 2 mm off" in note for note in found.notes)
