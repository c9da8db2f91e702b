"""Offset lugs against the closed form of a joggle: h = 2 rho (1 - cos A) + w sin A, x = 2 rho sin A + w cos A."""

from __future__ import annotations

import math

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet, frames
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.shapes import hole, offset_lug, tip

# Exact mathematics. t, R, slope, w, K; rise h, run x, developed length L from first to last tangent line.
JOGGLES = {
    "JG-03": (2, 2, 90, 4, 0.5, 10, 6, 13.424778),
    "JG-03 K 0.4": (2, 2, 90, 4, 0.4, 10, 6, 12.796459),
    "JG-05": (1, 1.5, 30, 2, 0.45, 1.535898, 3.732051, 4.042035),
}


def lug(row: str, **more: object) -> Body:
    thickness, radius, slope, _, k, rise, run, _ = JOGGLES[row]
    # The rise is known to six digits only; the exact one is what gives w.
    rho, turn = radius + thickness / 2, math.radians(slope)
    exact = 2 * rho * (1 - math.cos(turn)) + JOGGLES[row][3] * math.sin(turn)
    assert exact == pytest.approx(rise, abs=1e-6)
    given = {"width": 8, "rise": exact, "reach": run + 10, "foot": 7, "slope": slope, "end": "square", **more}
    return offset_lug(Sheet(thickness, radius, "steel", k), **given)  # type: ignore[arg-type]


@pytest.mark.parametrize("row", JOGGLES)
def test_slope_run_and_developed_length(row: str) -> None:
    _, _, slope, straight, _, _, run, developed = JOGGLES[row]
    body = lug(row)
    xmin, _, xmax, _ = body.flat("lug.slope").outline.bounds
    assert xmax - xmin == pytest.approx(straight, abs=1e-9)
    # The tip begins where the last bend ends: `run` from the first tangent line, which is x = 0.
    assert frames(body)["lug.tip"].origin[0] == pytest.approx(run, abs=1e-6)
    assert [bend.angle for bend in body.bends] == [slope, slope]
    # On the blank: 7 mm of foot, the joggle, and a level tip of 10 mm (to the six digits of the run).
    assert blank(body).length == pytest.approx(7 + developed + 10, abs=2e-6)


@pytest.mark.parametrize("row", JOGGLES)
@pytest.mark.parametrize("side", ["up", "down"])
def test_tip_is_parallel_to_the_foot_and_higher_by_the_rise(row: str, side: str) -> None:
    """JG-10: net rotation 0; mid-plane shift = h; upper face to upper face as lower to lower."""
    placed = frames(lug(row, side=side))
    foot, end = placed["lug.foot"], placed["lug.tip"]
    assert end.z == pytest.approx(foot.z, abs=1e-15)
    assert end.x == pytest.approx(foot.x, abs=1e-15)
    sign = 1 if side == "up" else -1
    assert end.origin[2] - foot.origin[2] == pytest.approx(sign * JOGGLES[row][5], abs=1e-6)


@pytest.mark.parametrize("slope", [15, 31.5, 60, 89.999, 90])
def test_reach_is_in_plan_and_rise_between_like_faces(slope: float) -> None:
    body = offset_lug(Sheet(2, 3), width=12, rise=9, reach=60, foot=10, slope=slope)
    figures = properties(body)
    assert figures.lowest == pytest.approx((-10, -6, 0), abs=1e-9)
    assert figures.highest == pytest.approx((60, 6, 2 + 9), abs=1e-9)


def test_hole_from_each_datum() -> None:
    """Reach 40, plan run of 2 rho = 8 at 90 deg, tip 32 long: the same hole, given in three ways, and the round end."""
    common = {"width": 12, "rise": 20, "reach": 40, "foot": 10}
    sheet = Sheet(2, 3)
    for datum, distance in (("end", 11), ("start", 21), ("foot bend", 29)):
        body = offset_lug(sheet, **common, hole=hole(5, distance, datum))  # type: ignore[arg-type]
        (opening,) = body.flat("lug.tip").openings
        middle, radius = opening.outline.outer.circle or ((0.0, 0.0), 0.0)
        assert (*middle, radius) == pytest.approx((21, 0, 2.5), abs=1e-9)
        assert frames(body)["lug.tip"].point(middle)[0] == pytest.approx(29, abs=1e-9)
    round_end = offset_lug(sheet, **common, hole=hole(5))  # type: ignore[arg-type]
    (opening,) = round_end.flat("lug.tip").openings
    assert (opening.outline.outer.circle or ((0, 0), 0))[0] == pytest.approx((32 - 6, 0))


@pytest.mark.parametrize("slope", [15.0, 60.0, 90.0])
def test_smallest_rise_is_the_one_that_is_said(slope: float) -> None:
    """2 (R + t/2)(1 - cos A) is what two bends take: that and the message's figure are made, less is refused."""
    sheet = Sheet(2, 3)
    least = 2 * 4 * (1 - math.cos(math.radians(slope)))
    with pytest.raises(InputError, match="too small for its two bends; at least") as caught:
        offset_lug(sheet, width=12, rise=least - 0.0005, reach=60, foot=10, slope=slope)
    said = float(caught.value.fix.split()[2])
    assert least - 1e-6 <= said <= least + 0.001
    for rise in (least, said):
        assert offset_lug(sheet, width=12, rise=rise, reach=60, foot=10, slope=slope)


TIPS = {
    "square": ("square", 144),
    "round": ("round", 72 + 18 * math.pi),
    "chamfered": (tip("chamfered", 3), 144 - 9),
    "radiused": (tip("radiused", 3), 144 - 18 + 4.5 * math.pi),
}


@pytest.mark.parametrize("shape", TIPS)
def test_tip_shapes_by_hand(shape: str) -> None:
    """A level tip 12 mm long and wide: whole, half circle, two corners of 3 x 3 / 2, two of (1 - pi/4) 9."""
    end, area = TIPS[shape]
    body = offset_lug(Sheet(2, 3), width=12, rise=20, reach=8 + 12, foot=10, end=end)  # type: ignore[arg-type]
    assert body.flat("lug.tip").net.area == pytest.approx(area, rel=1e-12)
