"""Ends of flanges and lugs: full mitres, tapers, one shape for each corner; volumes by hand, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import disc, rectangle
from formparts.shapes import add_flange, cut_opening, hole, mirror, offset_lug, plate, tip, tongue
from tests.shapes.agreement import assert_all_methods_agree

T, R, K = 2.0, 3.0, 0.44
SHEET = Sheet(T, R, "DC01", K)
BASE = plate(SHEET, rectangle(60, 40), "base")
BEND = math.pi / 2 * (R + T / 2) * T * 40
"""Volume of a bend of 90 deg along the right edge, by hand."""


def flange(end: Any, **more: Any) -> Body:
    """On the right edge, 40 wide: 45 to the outside less R + t leave 40 above the tangent line."""
    return add_flange(BASE, "right", 45, edge_to="tangent line", end=end, **more)


# What is cut off the 40 x 40 of the flange, by hand [mm2].
CASES: dict[str, tuple[Any, float]] = {
    "full mitre": (tip("chamfered", 20), 400),
    "a point, from the bend": (tip("chamfered", 20, 40), 800),
    "tapered": (tip("chamfered", 10, 40), 400),
    "gusset": ((tip("chamfered", 40, 40), "square"), 800),
    "gusset with a toe": (["square", tip("chamfered", 32, 34)], 16 * 34),
    "each of its own": ((tip("chamfered", 20, 10), tip("radiused", 15)), 100 + 15**2 * (1 - math.pi / 4)),
    "meeting in a point": ((tip("chamfered", 30, 10), tip("chamfered", 10, 40)), 150 + 200),
}


@pytest.mark.parametrize("case", CASES)
def test_volumes_by_hand(case: str) -> None:
    end, lost = CASES[case]
    body = flange(end)
    assert properties(body).volume == pytest.approx(T * (60 * 40 + 1600 - lost) + BEND, rel=1e-12)
    assert_all_methods_agree(body)


def test_first_is_the_start_of_the_edge() -> None:
    """The right edge runs from the front to the back: the first corner of a pair is in front."""
    ends = [edge for edge in flange((tip("chamfered", 30, 20), "square")).flats[1].outline.edges if edge.tag]
    (end,) = [edge for edge in ends if edge.tag == "flange.end"]
    # x of a flange runs against the edge, so the back is x = 0.
    assert sorted((round(end.start[0], 9), round(end.end[0], 9))) == [0.0, 10.0]


def test_a_gusset_in_a_mirror_image() -> None:
    body = flange((tip("chamfered", 40, 40), "square"), extend=(0, 3))
    image = mirror(body, "xz")
    assert properties(image).volume == pytest.approx(properties(body).volume, rel=1e-12)
    assert_all_methods_agree(image)


def test_a_gusset_with_a_hole_and_an_opening() -> None:
    body = cut_opening(
        flange((tip("chamfered", 20, 30), "square"), hole=hole(8, 20)), disc(5), "flange", (8, 30)
    )
    lost = 300 + math.pi * (16 + 6.25)
    assert properties(body).volume == pytest.approx(T * (60 * 40 + 1600 - lost) + BEND, rel=1e-12)
    assert_all_methods_agree(body)


def test_the_place_that_is_proposed_beside_a_taper_can_be_made() -> None:
    taper = tip("chamfered", 15, 30)
    with pytest.raises(InputError, match="put its middle") as caught:
        tongue(SHEET, 60, 40, taper, hole(10, 3))
    least, most = (
        float(one) for one in str(caught.value).split("put its middle ")[1].split(" mm")[0].split(" to ")
    )
    for place in (least, most):
        assert isinstance(tongue(SHEET, 60, 40, taper, hole(10, place, "start")), Body)
    with pytest.raises(InputError):
        tongue(SHEET, 60, 40, taper, hole(10, most + 0.003, "start"))


def test_an_offset_lug_to_a_point() -> None:
    assert_all_methods_agree(
        offset_lug(SHEET, width=20, rise=10, reach=45, foot=15, slope=45, end=tip("chamfered", 10))
    )


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (
            lambda: flange(tip("chamfered", 21)),
            "chamfered tip = 21 mm: does not fit .* 40 mm wide .* smaller than 20 mm, 20 mm to take",
        ),
        (lambda: flange(tip("chamfered", 19.9995)), "does not fit"),
        (lambda: flange(tip("chamfered", 10, 41)), "chamfered tip along = 41 mm: .* smaller than 40 mm"),
        (lambda: flange((tip("chamfered", 30), tip("chamfered", 11))), "smaller than 29 mm, 29 mm to take all|10 mm"),
        (lambda: flange(("round", "square")), "end = round: is for both corners together; give"),
        (lambda: flange(("square",)), "is not a pair; give"),
        (lambda: flange(("square", "blunt")), "is not a tip"),
        (lambda: tip("radiused", 5, 8), "along = 8: is for chamfers only; leave it away"),
        (lambda: tip("chamfered", 5, 0), "along = 0 mm"),
        (lambda: tip("chamfered", "5 kg"), "size = 5 kg"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
