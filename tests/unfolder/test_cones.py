"""Conical bends, alone and between flats, against hand calculation."""

from __future__ import annotations

import cmath
import math

import cadquery as cq
import pytest

from formparts.outline.edges import Arc
from formparts.unfolder import unfold
from tests.unfolder.foreign import by_k, cone


def test_a_right_cone() -> None:
    """
    Half a cone of half angle 30 deg, t 1.5, inner slants 40 to 100: a sector of 180 sin 30 = 90 deg.

    The neutral fibre is 0.66 outside the inner face, so its slants are longer by 0.66 / tan 30.
    """
    found = unfold(cone(180.0), by_k)
    more = 0.66 * math.sqrt(3.0)
    area = math.pi / 4 * ((100 + more) ** 2 - (40 + more) ** 2)
    assert found.blank.area == pytest.approx(area, rel=1e-9)
    radii = sorted({round(e.radius, 6) for e in found.blank.outline.edges if isinstance(e, Arc)})
    assert radii == [round(40 + more, 6), round(100 + more, 6)]
    assert found.bends[0].kind == "cone"
    # By the middle of the slant: 70 sin 30 from the axis to the inside face, whichever skin is rolled out.
    turned = [unfold(cone(180.0), by_k, up=(0, sign, 0)).bends[0] for sign in (1, -1)]
    assert [bend.side for bend in turned] == ["down", "up"]
    # A part without a flat lies with the middle of its bend along x, the apex to the left, and the same above as below.
    (mark,), width = found.blank.bends, math.sqrt(2.0) * (100 + 0.66 * math.sqrt(3.0))
    assert (mark.start[1], mark.end[1]) == pytest.approx((width / 2, width / 2), abs=1e-6)
    assert mark.end[0] - mark.start[0] == pytest.approx(60.0, abs=1e-6)
    assert found.blank.width == pytest.approx(width, abs=1e-6)
    for bend in (*found.bends, *turned):
        assert (bend.angle, bend.inside_radius) == pytest.approx((180.0, 35.0), abs=1e-9)


@pytest.mark.parametrize("turn", [50.0, 100.0, 230.0])
def test_a_right_cone_lies_alike_wherever_it_stands(turn: float) -> None:
    """Turned about an askew axis: the middle of its bend still along x, and the same above it as below."""
    found = unfold(cone(180.0).val().rotate((0, 0, 0), (1, 2, 3), turn), by_k)
    (mark,), width = found.blank.bends, math.sqrt(2.0) * (100 + 0.66 * math.sqrt(3.0))
    assert found.blank.width == pytest.approx(width, abs=1e-6)
    assert (mark.start[1], mark.end[1]) == pytest.approx((width / 2, width / 2), abs=1e-6)
    assert mark.end[0] - mark.start[0] == pytest.approx(60.0, abs=1e-6)


def flats_on_a_cone() -> cq.Shape:
    """A quarter of a cone, and a flat of 20 that carries it on at either end."""
    quarter = cone(90.0)
    ends = [face for face in quarter.faces().vals() if face.geomType() == "PLANE"]
    return quarter.val().fuse(*(cq.Solid.extrudeLinear(face, face.normalAt() * 20) for face in ends))


def test_a_conical_bend_between_two_flats() -> None:
    """
    A quarter of the cone with a flat of 20 on either end, each 60 along the slant.

    The sector is 90 sin 30 = 45 deg; its neutral slants are those of the half cone; the flats keep their 1,200 each.
    """
    found = unfold(flats_on_a_cone(), by_k)
    more = 0.66 * math.sqrt(3.0)
    sector = math.pi / 8 * ((100 + more) ** 2 - (40 + more) ** 2)
    assert found.blank.area == pytest.approx(2 * 1200 + sector, rel=1e-9)
    assert [round(flat.area, 6) for flat in found.flats] == [1200.0, 1200.0]
    (bend,) = found.bends
    assert (bend.kind, round(bend.angle, 6), round(bend.length, 6)) == ("cone", 90.0, 60.0)


def test_a_cone_lies_where_the_flat_before_it_puts_it() -> None:
    """In a frame that is turned within the first flat the bend line is turned by as much the other way."""
    solid = flats_on_a_cone()
    z = unfold(solid, by_k).flats[0].normal
    x = cq.Vector(z).cross(cq.Vector(0, 1, 0) if abs(z[1]) < 0.9 else cq.Vector(1, 0, 0)).normalized()
    y = cq.Vector(z).cross(x)

    def ends(turn: float) -> list[complex]:
        way = x * math.cos(turn) + y * math.sin(turn)
        (mark,) = unfold(solid, by_k, frame=((0, 0, 0), way.toTuple(), z)).blank.bends
        return [complex(*mark.start), complex(*mark.end)]

    straight = ends(0.0)
    assert abs(straight[1] - straight[0]) == pytest.approx(60.0)
    for turn in (0.5, 1.7, 3.0, -1.2):
        assert ends(turn) == pytest.approx([place * cmath.exp(-1j * turn) for place in straight], abs=1e-9)
