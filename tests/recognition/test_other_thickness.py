"""The same part from another sheet, held against the part drawn anew in that thickness by plain CadQuery."""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq
import pytest

from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.other_thickness import with_thickness
from formparts.recognition import body_from
from formparts.solids import solid
from tests.unfolder.foreign import filleted_angle, tray


def step_profile(t: float = 2.0, rise: float = 24.0) -> cq.Workplane:
    """A Z of flanges 40 and 30 to the outside, r 3 inside, 20 wide; the rise goes over both sheets."""
    end = 70 - t
    points = [
        (0, 0),
        (40, 0),
        (40, rise - t),
        (end, rise - t),
        (end, rise),
        (40 - t, rise),
        (40 - t, t),
        (0, t),
    ]
    bar = cq.Workplane("XZ").polyline(points).close().extrude(-20)
    for (x, z), r in (((40, 0), 3 + t), ((40 - t, t), 3), ((40 - t, rise), 3 + t), ((40, rise - t), 3)):
        bar = bar.edges(cq.selectors.NearestToPointSelector((x, 10, z))).fillet(r)
    return bar


KEPT: dict[str, tuple[Callable[[], cq.Workplane], float, str, Callable[[], cq.Workplane]]] = {
    "angle, thinner, outside": (filleted_angle, 1.5, "outside", lambda: filleted_angle(t=1.5)),
    "angle, thicker, outside": (filleted_angle, 3.0, "outside", lambda: filleted_angle(t=3.0)),
    "angle, thinner, inside": (filleted_angle, 1.5, "inside", lambda: filleted_angle(t=1.5, a=49.5, b=29.5)),
    "Z, thinner, outside": (step_profile, 1.5, "outside", lambda: step_profile(1.5)),
}


@pytest.mark.parametrize("kind", KEPT)
def test_it_is_the_part_drawn_in_that_thickness(kind: str) -> None:
    drawn, thickness, keep, wanted = KEPT[kind]
    made = with_thickness(body_from(drawn()), thickness, keep)
    again = wanted().val()
    assert properties(made).volume == pytest.approx(again.Volume(), rel=1e-9)
    box, mine = again.BoundingBox(), cq.Shape.cast(solid(made).shape).BoundingBox()
    assert (mine.xlen, mine.ylen, mine.zlen) == pytest.approx((box.xlen, box.ylen, box.zlen), abs=1e-6)


def test_a_tray_keeps_its_outside() -> None:
    """Four walls: 100 x 60 x 40 outside, whatever the sheet is."""
    box = cq.Shape.cast(solid(with_thickness(body_from(tray()), 1.2)).shape).BoundingBox()
    assert (box.xlen, box.ylen, box.zlen) == pytest.approx((100, 60, 40), abs=1e-6)


def test_a_flat_that_is_too_short_is_refused() -> None:
    """Legs of 30 mm to the outside have nothing left behind a bend of 3 mm inside in a sheet of 28 mm."""
    with pytest.raises(InputError, match="leaves nothing of"):
        with_thickness(body_from(filleted_angle()), 28.0)
