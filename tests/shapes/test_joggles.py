"""Joggles: rises and lengths by hand, the limit at which the two bends meet, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import closed_path, rectangle
from formparts.shapes import add_joggle, offset_lug, plate, relief
from formparts.solids import solid
from tests.shapes.agreement import assert_all_methods_agree

T, R, K = 1.5, 2.0, 0.44
SHEET = Sheet(T, R, "DC01", K)
BASE = plate(SHEET, rectangle(80, 50), "base")
SLANTED = plate(SHEET, closed_path((0, 0), (60, 0), (50, 40), (0, 30)), "base")

CASES: dict[str, Body] = {
    "by the thickness": add_joggle(BASE, "right", 12),
    "by more": add_joggle(BASE, "right", 12, rise=6, slope=60, side="down"),
    "inside its edge": add_joggle(BASE, "right", 12, within=True),
    "a part of an edge": add_joggle(
        BASE, "back", 10, rise=3, width=30, centre=5, within=True, relief=relief(3, 4)
    ),
    "on a slanted edge": add_joggle(SLANTED, ((60, 0), (50, 40)), 10, rise=4),
    "two of them": add_joggle(add_joggle(BASE, "right", 12), "left", 12, rise=2, side="down", name="other"),
}


@pytest.mark.parametrize("case", CASES)
def test_all_methods_agree(case: str) -> None:
    assert_all_methods_agree(CASES[case])


def test_a_joggle_by_hand() -> None:
    """
    Rise 6 at 60 deg: 2 (2 + 0.75)(1 - cos 60) = 2.75 are the bends' own, so s = 3.25 / sin 60 lies between them.

    In plan it takes 5.5 sin 60 + s cos 60; on the blank 40 + 40, s, two bends of pi/3 (2 + 0.66) and the lap of 12.
    """
    body, straight = CASES["by more"], 3.25 / math.sin(math.pi / 3)
    run = 5.5 * math.sin(math.pi / 3) + straight / 2
    assert properties(body).envelope == pytest.approx((80 + run + 12, 50, 6 + T), abs=1e-9)
    developed = math.pi / 3 * (R + K * T)
    assert blank(body).length == pytest.approx(80 + straight + 2 * developed + 12, abs=1e-9)


def test_a_joggle_by_the_thickness_by_hand() -> None:
    """At 45 deg the bends alone rise 5.5 (1 - cos 45) = 1.61 > 1.5, so they meet: cos A = 1 - 1.5 / 5.5, 43.3 deg."""
    body = CASES["by the thickness"]
    assert properties(body).envelope[2] == pytest.approx(2 * T, abs=1e-9)
    limit = math.degrees(math.acos(1 - 1.5 / 5.5))
    assert [bend.angle for bend in body.bends] == pytest.approx([limit] * 2, abs=0.02)
    assert properties(body).envelope[0] == pytest.approx(
        80 + 5.5 * math.sin(math.radians(limit)) + 12, abs=2e-3
    )


def test_inside_its_edge_the_size_stays() -> None:
    assert properties(CASES["inside its edge"]).envelope == pytest.approx((80, 50, 2 * T), abs=1e-9)


@pytest.mark.parametrize("radius", [0.001, 0.0015, 0.002, 2.0])
def test_the_limit_is_allowed(radius: float) -> None:
    """rise = 2 (R + t/2)(1 - cos A) is made, to the last digit of the rise; the checks take the tightest radii too."""
    sheet = Sheet(T, radius, "DC01", K)
    limit = 2 * (radius + T / 2) * (1 - math.cos(math.radians(60)))
    lug = offset_lug(sheet, width=20, rise=limit, reach=30, foot=12, slope=60, end="square")
    joggle = add_joggle(plate(sheet, rectangle(80, 50)), "right", 12, rise=limit, slope=60)
    for body in (lug, joggle):
        assert properties(body).envelope[2] == pytest.approx(limit + T, abs=1e-9)
        assert measured(solid(body).shape).volume == pytest.approx(properties(body).volume, rel=1e-9)
        assert all("cannot" not in found.message for found in findings(body, blank(body)))


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (
            lambda: add_joggle(BASE, "right", 12, rise=1.6, slope=45),
            "rise = 1.6 mm: too small .* at least 1.611 mm",
        ),
        (lambda: add_joggle(BASE, "right", 12, rise=0), "rise = 0 mm"),
        (lambda: add_joggle(BASE, "right", 0), "lap = 0 mm"),
        (lambda: add_joggle(BASE, "right", 12, slope=91), "slope = 91 deg"),
        (lambda: add_joggle(BASE, "right", 12, within="yes"), "within = yes: is neither yes nor no"),
        (lambda: add_joggle(BASE, "right", 12, side="left"), "side = left: is not a side"),
        (lambda: add_joggle(BASE, "up", 12), "edge = up: is not a side"),
        (lambda: add_joggle(BASE, "right", 12, inside_radius=0), "inside_radius = 0 mm"),
        (
            lambda: add_joggle(BASE, "right", 12, width=20, within=True),
            "relief = none: base goes on beside a bend",
        ),
        (lambda: add_joggle(BASE, "right", 90, within=True), "runs out of base|could not be cut|leave"),
        (
            lambda: add_joggle(BASE, "right", 12, width=60),
            "runs past the end of its edge .* run out beyond .* extend",
        ),
        (lambda: add_joggle("base", "right", 12), "body = base: is not a body"),
    ],
)
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()


def test_the_rise_that_is_proposed_can_be_made() -> None:
    assert isinstance(add_joggle(BASE, "right", 12, rise=1.611, slope=45), Body)
