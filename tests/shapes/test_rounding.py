"""All free outside corners rounded by one call: areas by hand, what is left as it is, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import closed_path, disc, polygon, rectangle
from formparts.shapes import add_flange, box, cut_opening, mirror, plate, relief, round_corners, tip
from tests.shapes.agreement import assert_all_methods_agree

T = 2.0
SHEET = Sheet(T, 2.0, "DC01", 0.44)
BASE = plate(SHEET, rectangle(60, 40), "base")
BENT = add_flange(BASE, "right", 20)
SQUARE = 1 - math.pi / 4
"""What a radius of 1 takes off a right corner."""


def lost(body: Body, radius: float, **more: Any) -> float:
    """Area that rounding takes off, by the closed form."""
    return (properties(body).volume - properties(round_corners(body, radius, **more)).volume) / T


@pytest.mark.parametrize(
    ("body", "corners"),
    [
        (BASE, 4),
        (BENT, 4),  # two of the plate, two of the flange; where the bend ends is no corner
        (
            add_flange(BASE, "back", 25, width=30, relief=relief(2, 4)),
            8,
        ),  # four beside the reliefs' mouths too
        (box(SHEET, rectangle(80, 60), 30), 8),
        (cut_opening(BASE, rectangle(10, 10)), 4),
        (add_flange(BASE, "right", 30, end="round"), 2),
    ],
)
def test_right_corners_by_hand(body: Body, corners: int) -> None:
    assert lost(body, 2) == pytest.approx(corners * SQUARE * 4, rel=1e-9)
    assert_all_methods_agree(round_corners(body, 2))


def test_slanted_and_inside_corners() -> None:
    """A corner that turns by a takes r^2 (tan(a/2) - a/2); the inside corner of an L stays sharp."""
    triangle = plate(SHEET, polygon([(0, 0), (60, 0), (0, 60)]))
    slanted = math.radians(135)
    wanted = SQUARE * 9 + 2 * 9 * (math.tan(slanted / 2) - slanted / 2)
    assert lost(triangle, 3) == pytest.approx(wanted, rel=1e-9)
    ell = plate(SHEET, closed_path((0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)))
    assert lost(ell, 3) == pytest.approx(5 * SQUARE * 9, rel=1e-9)


def test_chosen_flats_and_a_mirror_image() -> None:
    assert lost(BENT, 3, flats=["flange"]) == pytest.approx(2 * SQUARE * 9, rel=1e-9)
    image = mirror(round_corners(BENT, 3), "yz")
    assert properties(image).volume == pytest.approx(properties(round_corners(BENT, 3)).volume)
    gusset = add_flange(BASE, "right", 30, end=(tip("chamfered", 20, 26), "square"), edge_to="tangent line")
    assert_all_methods_agree(round_corners(gusset, 1.5))


def test_as_large_as_a_side_allows() -> None:
    """Two corners share a side of 40: radius 20 makes a full round, the figure in the refusal is built."""
    assert lost(BASE, 20) == pytest.approx(4 * SQUARE * 400, rel=1e-9)
    with pytest.raises(InputError, match=r"radius = 21 mm: does not fit the corner of base .* at most 20 mm"):
        round_corners(BASE, 21)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: round_corners(BASE, 0), "radius = 0 mm"),
        (lambda: round_corners(plate(SHEET, disc(40)), 2), "have no sharp outside corner"),
        (lambda: round_corners(BENT, 2, flats="base"), "is not a list of names; give"),
        (lambda: round_corners(BENT, 2, flats=["lid"]), "lid"),
        (lambda: round_corners("base", 2), "is not a body"),
        (lambda: round_corners(BASE, "2 kg"), "radius = 2 kg"),
    ],
)
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
