"""Hems and curls: sizes by hand, every method agrees, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.checks import findings
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import rectangle
from formparts.shapes import add_curl, add_flange, add_hem, mirror, plate, rooted, rotate
from formparts.solids import solid
from tests.shapes.agreement import assert_all_methods_agree

THICKNESS = 1.0
SHEET = Sheet(THICKNESS, 1.5, "DC01", 0.44)
BASE = plate(SHEET, rectangle(80, 50), "base")

CASES: dict[str, Body] = {
    "closed": add_hem(BASE, "back", 8),
    "closed, below": add_hem(BASE, "back", 8, side="down"),
    "open": add_hem(BASE, "back", 8, kind="open", gap=2),
    "teardrop": add_hem(BASE, "back", 10, kind="teardrop", gap=0.2),
    "rolled": add_hem(BASE, "back", 6, kind="rolled"),
    "half a turn": add_curl(BASE, "back", 10, angle=180),
    "a curl of 300": add_curl(BASE, "back", 10, angle=300),
    "a curl of 317": add_curl(BASE, "back", 10, angle=317, side="down"),
    "a curl of 340": add_curl(BASE, "back", 60, angle=340, tip=0.01),
    "a curl on a flange": add_curl(add_flange(BASE, "right", 30), "back", 8, flat="flange"),
    "a hem of another rule": add_hem(BASE, "back", 8, kind="open", gap=3, bend_rule="DIN 6935"),
    "two rules at one angle and radius": add_hem(
        add_hem(BASE, "back", 8, kind="open", gap=3, bend_rule=0.3), "front", 8, kind="open", gap=3, name="other"
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_all_methods_agree(case: str) -> None:
    """Closed form, solid, blank and unfolder, also turned, mirrored and hung on the tip."""
    whole = CASES[case]
    for body in (whole, rotate(mirror(rooted(whole, whole.flats[-1].name), "yz", (7, 0, 0)), 33.0)):
        assert_all_methods_agree(body)


def test_a_closed_hem_takes_043_thicknesses() -> None:
    """50 + 8 outside, less 0.43 t, as trade articles have it: row HM-01 of tests/handbook."""
    flat = blank(CASES["closed"])
    assert flat.width == pytest.approx(50 + 8 - 0.43 * THICKNESS, abs=0.005)
    assert properties(CASES["closed"]).envelope == pytest.approx((80, 50, 2.002), abs=1e-9)


def test_an_open_hem_by_hand() -> None:
    """
    R = 1 for a gap of 2: flats 50 - 2 and 8 - 2 to the tangent lines, BA = pi (1 + 0.44), BA-04's formula.

    It is 1 + 2 + 1 = 4 mm high, and is as wide as the plate.
    """
    flat, box = blank(CASES["open"]), properties(CASES["open"])
    assert flat.width == pytest.approx(48 + 6 + math.pi * 1.44, abs=1e-9)
    assert box.envelope == pytest.approx((80, 50, 4), abs=1e-9)


def test_a_teardrop_by_hand() -> None:
    """Its loop is 2 (1.5 + 1) high; its end has the gap asked for, its outer corner lies 10 in from the outside."""
    body = CASES["teardrop"]
    lip, made = body.flats[-1], solid(body)
    assert properties(body).envelope == pytest.approx((80, 50, 5), abs=1e-9)
    (bend,) = body.bends
    turn, long = math.radians(bend.angle), lip.outline.bounds[3] - lip.outline.bounds[1]
    inner = (1.5 * math.sin(turn) + long * math.cos(turn), 1.5 * (1 - math.cos(turn)) + long * math.sin(turn))
    assert inner[1] == pytest.approx(0.2, abs=1e-9)
    outer = 2.5 * math.sin(turn) + long * math.cos(turn)
    assert 2.5 - outer == pytest.approx(10.0, abs=1e-9)
    assert made.shape is not None


def test_a_rolled_rim_by_hand() -> None:
    """Of 10 mm outside: R = 4, BA = 300 deg x (4 + 0.5), and half a millimetre of tip; 45 of the plate are left."""
    flat = blank(CASES["a curl of 300"])
    assert flat.width == pytest.approx(45 + math.radians(300) * 4.5 + 0.5, abs=1e-9)
    assert properties(CASES["a curl of 300"]).envelope == pytest.approx((80, 50, 10), abs=1e-9)


def test_hems_are_pressed_not_punched() -> None:
    """No finding of a punch without room, and no touching faces."""
    for case in ("closed", "open", "teardrop", "rolled", "a curl of 300"):
        body = CASES[case]
        codes = {found.code for found in findings(body, blank(body))}
        assert codes & {"no-bend-order", "self-contact", "self-intersection"} == set(), case


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: add_hem(BASE, "back", 8, kind="folded"), "kind = folded: is not a kind of hem; one of closed, open"),
        (lambda: add_hem(BASE, "back", 8, gap=1), "gap = 1: is given for a closed hem, which has none of its own"),
        (lambda: add_hem(BASE, "back", 8, kind="open", inside_radius=1), "inside_radius = 1: is given for a open hem"),
        (lambda: add_hem(BASE, "back", 1), "height = 1 mm: lower than its bend"),
        (lambda: add_hem(BASE, "back", 0), "length = 0 mm"),
        (lambda: add_hem(BASE, "back", 3, kind="teardrop"), "length = 3 mm: is too short for the loop of the hem"),
        (lambda: add_hem(BASE, "back", 9, kind="teardrop", gap=4), "gap = 4 mm: is as wide as the loop; less|gap = 4"),
        (lambda: add_hem(BASE, "up", 8), "edge = up: is not a side"),
        (lambda: add_hem(BASE, "back", 8, bend_rule="K 2"), "is outside its range"),
        (lambda: add_curl(BASE, "back", 2), "diameter = 2 mm: leaves no inside radius .* at least 2.002"),
        (lambda: add_curl(BASE, "back", 10, angle=340), "angle = 340 deg: lets the tip run into .*at most 317"),
        (lambda: add_curl(BASE, "back", 10, angle=170), "angle = 170 deg"),
        (lambda: add_curl(BASE, "back", 10, tip=0), "tip = 0 mm"),
        (lambda: add_flange(BASE, "back", 20, angle=175), "angle = 175 deg"),
        (lambda: add_flange(BASE, "back", 20, process="pressed"), "process = pressed: is not a process"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
