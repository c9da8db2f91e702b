"""Rules on blanks drawn by hand: what an unfolded solid may bring and no builder makes."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from formparts import Blank, Finding, InputError, material
from formparts.checks import blank_findings
from formparts.layout import BendMark
from formparts.outline import Line, Loop, Outline, cut, disc, outline_of, polygon, rectangle
from formparts.shapes import pierced, shifted


def bend(name: str, start: tuple[float, float], end: tuple[float, float]) -> BendMark:
    """A bend of 90 deg up with 5 mm of developed length."""
    return BendMark(name, start, end, 90.0, "up", 2.5, 5.0)


def found(outline: Outline, *bends: BendMark) -> list[Finding]:
    return list(blank_findings(Blank("by_hand", 2.0, outline, bends)))


def codes(outline: Outline, *bends: BendMark) -> set[str]:
    return {item.code for item in found(outline, *bends)}


PLATE = rectangle(100, 60)


def test_bend_lines_that_cross_are_an_error() -> None:
    """One line runs over the plate, the other across it up to the first, or 1 mm short of it."""
    one = bend("one", (-50.0, 0.0), (50.0, 0.0))
    assert "crossing-bend-lines" not in codes(PLATE, one, bend("two", (0.0, 1.0), (0.0, 30.0)))
    (item,) = [
        f for f in found(PLATE, one, bend("two", (0.0, -1.0), (0.0, 30.0))) if f.code == "crossing-bend-lines"
    ]
    assert item.severity == "error"
    assert item.on_blank == pytest.approx((0.0, 0.0))


def test_a_bend_that_ends_within_the_sheet_has_no_relief() -> None:
    """A bend over the whole width needs none; one that stops 10 mm short of the edge tears the sheet."""
    assert codes(PLATE, bend("whole", (-50.0, 0.0), (50.0, 0.0))) == set()
    items = [f for f in found(PLATE, bend("part", (-50.0, 0.0), (40.0, 0.0))) if f.code == "relief-missing"]
    assert [item.severity for item in items] == ["error", "error"]
    assert {item.on_blank for item in items} == {(40.0, 2.5), (40.0, -2.5)}


def test_slits_beside_a_bend_are_reliefs() -> None:
    """The same bend between its end and a slit that reaches R + t = 4.5 mm beyond both tangent lines."""
    (plate,) = cut(PLATE, shifted(rectangle(10.0, 14.0), x=45.0))
    assert codes(plate, bend("part", (-50.0, 0.0), (40.0, 0.0))) == set()
    (plate,) = cut(PLATE, shifted(rectangle(10.0, 13.9), x=45.0))
    assert codes(plate, bend("part", (-50.0, 0.0), (40.0, 0.0))) == {"relief-too-shallow"}


def test_an_opening_across_a_bend_is_noted_with_its_stretch() -> None:
    """Outer fibre at R/t = 1.25: 1 / (2 x 1.25 + 1) = 28.6 % (ORACLES MR-30, textbook formula)."""
    line = bend("line", (-50.0, 0.0), (50.0, 0.0))
    (item,) = found(pierced(PLATE, disc(12)), line)
    assert (item.code, item.severity) == ("opening-across-bend", "note")
    assert item.measured == pytest.approx(100.0 / 3.5, rel=1e-9)
    assert "29 %" in item.message
    # 2.5 mm to the tangent line, 1.5 t + R = 5.5 mm beyond it: at 6 + 8 = 14 mm the hole is clear.
    assert codes(pierced(PLATE, shifted(disc(12), y=14.0)), line) == set()
    assert codes(pierced(PLATE, shifted(disc(12), y=13.9)), line) == {"opening-near-bend"}


def test_a_round_opening_that_cuts_a_bend_in_two_tears_nothing() -> None:
    """Beside the ends of the two bends the sheet goes on, and it is the bends' own: they are wider there."""
    plate = pierced(PLATE, disc(12))
    assert (
        codes(plate, bend("left", (-50.0, 0.0), (-6.0, 0.0)), bend("right", (6.0, 0.0), (50.0, 0.0))) == set()
    )
    short = bend("right", (6.1, 0.0), (50.0, 0.0))
    assert "relief-missing" in codes(plate, bend("left", (-50.0, 0.0), (-6.0, 0.0)), short)


@pytest.mark.parametrize(
    "changed",
    [
        {"end": (0.0, 1e-7)},
        {"start": (0.0,)},
        {"start": ("a", 0.0)},
        {"end": (math.nan, 0.0)},
        {"end": (2e6, 0.0)},
        {"side": "left"},
        {"angle": 0.0},
        {"angle": math.inf},
        {"inside_radius": -1.0},
        {"inside_radius": math.nan},
        {"allowance": 0.0},
        {"allowance": "5"},
    ],
)
def test_what_is_no_bend_is_refused_in_one_line(changed: dict[str, Any]) -> None:
    """A bend line of no length has no direction; the rest would be about a bend that cannot exist."""
    whole = bend("line", (0.0, 0.0), (50.0, 0.0))
    with pytest.raises(InputError, match="are not the figures of a bend") as refusal:
        replace(whole, **changed)
    assert "bend line" in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_a_cut_between_shields_an_opening() -> None:
    """A hole 2.5 mm from a bend is found; behind a slit it is not, and the slit, 0.85 mm from the bend, is."""
    line = bend("line", (-50.0, -20.0), (50.0, -20.0))
    near, slit = shifted(disc(10), y=-10.0), shifted(rectangle(30.0, 0.5), y=-16.4)

    def distances(outline: Outline) -> list[float]:
        return [round(item.measured, 6) for item in found(outline, line) if item.code == "opening-near-bend"]

    assert distances(pierced(PLATE, near)) == [2.5]
    assert distances(pierced(PLATE, near, slit)) == [0.85]


def test_an_outline_that_crosses_itself_is_an_error() -> None:
    """A loop like an hour-glass cannot be cut."""
    corners = [(0.0, 0.0), (40.0, 30.0), (40.0, 0.0), (0.0, 40.0)]
    loop = Loop(tuple(Line(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)))
    assert "blank-outline-not-simple" in codes(outline_of([loop]))


def test_without_a_material_nothing_is_said_of_radius_and_force() -> None:
    """With one the radius of 0.5 mm is too small: DIN 6935 wants 2.5 mm for 2 mm of DC01 (K 0.44: 2.17 mm long)."""
    mark = BendMark("line", (-50.0, 0.0), (50.0, 0.0), 90.0, "up", 0.5, 2.17)
    flat = Blank("by_hand", 2.0, PLATE, (mark,))
    assert blank_findings(flat) == ()
    (item,) = blank_findings(flat, material("DC01"))
    assert (item.code, item.limit) == ("inside-radius-too-small", 2.5)


def test_a_narrow_tongue_is_a_web() -> None:
    """A tongue of 1.9 mm in a sheet of 2 mm."""
    tongue = polygon([(0, 0), (40, 0), (40, 30), (21.9, 30), (21.9, 60), (20, 60), (20, 30), (0, 30)])
    assert codes(tongue) == {"narrow-web"}


def test_a_hole_between_the_bends_of_an_offset_hides_nothing() -> None:
    """Up and down 9 mm apart, with a hole of 3 mm in between: 12/2 + 2 x 2 = 10 mm is wanted, hole or no hole."""
    up = bend("up", (-50.0, 4.5), (50.0, 4.5))
    down = BendMark("down", (-50.0, -4.5), (50.0, -4.5), 90.0, "down", 2.5, 5.0)
    for plate in (PLATE, pierced(PLATE, disc(3))):
        assert [item.measured for item in found(plate, up, down) if item.code == "offset-too-short"] == [9.0]
