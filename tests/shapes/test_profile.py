"""Profiles by every datum a drawing may use, blanks against published figures, and the positions of flats."""

from __future__ import annotations

import math

import pytest

from formparts.bending import Din6935
from formparts.blanks import blank
from formparts.body import Body, Sheet, frames
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.shapes import Run, Turn, down, profile, run, up

T, R = 2.0, 3.0
SHEET = Sheet(T, R, "steel", 0.44)


def straights(body: Body) -> list[float]:
    """Tangent to tangent lengths of all runs."""
    return [flat.outline.bounds[2] - flat.outline.bounds[0] for flat in body.flats]


def setbacks(angle: float) -> dict[str, float]:
    """What a bend takes of a run, by hand, from the geometry of two circles about one centre."""
    half = math.tan(math.radians(angle) / 2)
    sharp = angle > 90
    return {
        "tangent line": 0.0,
        # DIN 6935: up to 90 deg of opening (so from 90 deg of bending on) a leg runs to the outermost tangent,
        # which lies one radius beyond the tangent line; below, to the mould line.
        "outside": (R + T) if sharp else (R + T) * half,
        "inside": R if sharp else R * half,
        "mould line": (R + T) * half,
        "mid-surface": (R + T / 2) * half,
    }


@pytest.mark.parametrize("angle", [0.5, 15, 60, 90, 90.001, 120, 150, 170])
@pytest.mark.parametrize("datum", ["tangent line", "outside", "inside", "mould line", "mid-surface"])
def test_run_is_as_long_as_its_datum_says(datum: str, angle: float) -> None:
    body = profile(SHEET, 10, run(100, datum), up(angle), run(90, datum))  # type: ignore[arg-type]
    taken = setbacks(angle)[datum]
    assert straights(body) == pytest.approx([100 - taken, 90 - taken], abs=1e-9)


def test_ends_of_one_run_may_have_two_datums() -> None:
    """A free end is a free end whatever it is measured to; both ends of the middle run count."""
    body = profile(
        SHEET, 10,
        run(50, ("outside", "inside")), up(90),
        run(60, ("mould line", "mid-surface")), down(60),
        run(40, "tangent line"),
    )  # fmt: skip
    sixty = setbacks(60)
    assert straights(body) == pytest.approx([50 - R, 60 - (R + T) - sixty["mid-surface"], 40], abs=1e-12)


def test_inside_radius_of_the_bend_counts_not_that_of_the_sheet() -> None:
    body = profile(SHEET, 10, run(50), up(90, 10), run(50))
    assert straights(body) == pytest.approx([50 - 12, 50 - 12])


@pytest.mark.parametrize("angle", [30, 90, 120, 165])
def test_outside_of_an_acute_bend_is_its_farthest_point(angle: float) -> None:
    """The length to the outside is what calipers find: for a sharp opening the extreme of the rounded outside."""
    body = profile(SHEET, 10, run(50), up(angle), run(30, "tangent line"))
    if angle >= 90:
        assert properties(body).highest[0] == pytest.approx(50, abs=1e-12)
    else:
        # The mould line lies where the lower faces meet: at x = 50, z = 0, on the lower face of the second run.
        frame = frames(body)["profile.run[2]"]
        _, _, height = frame.local((50.0, 5.0, 0.0))
        assert height == pytest.approx(-T / 2, abs=1e-9)


# Blank lengths of real bodies. Legs to the outside in mm or in; A, R, t in the same unit.
# BA-02, BA-03: exact mathematics, flat = sum of legs - sum of deductions.
# DIN-10: Tabellenbuch Metall, worked example to DIN 6935 (seen), with k from the formula (DIN-11).
# FAA-03, FAA-15, WB-xx: FAA-H-8083-31 ch. 4 and its workbook, BA = (0.01743 R + 0.0078 T) N; mould-line dimensions.
# GR-01, GR-02: Groover, Fundamentals of Modern Manufacturing, example 20.2 and problem 20.12; straights given.
EXACT = 1e-6
BLANKS = {
    "BA-02": (Sheet(2, 2, "steel", 0.44), 90, (60, 40), "outside", 96.523893, EXACT),
    "BA-03 K 0.44": (Sheet(2, 2, "steel", 0.44), 90, (30, 50, 30), "outside", 103.047787, EXACT),
    "BA-03 K 0.5": (Sheet(2, 2, "steel", 0.5), 90, (30, 50, 30), "outside", 103.424778, EXACT),
    "BA-03 DIN": (Sheet(2, 2, "steel", Din6935()), 90, (30, 50, 30), "outside", 102.325221, EXACT),
    "DIN-11": (Sheet(5, 6, "steel", Din6935()), 120, (16, 21), "outside", 31.1771, 1e-4),
    "DIN-15": (Sheet(2, 2, "steel", Din6935()), 60, (30, 30), "outside", 60 - 1.8437, 1e-4),
    "FAA-03": (
        Sheet(0.04, 0.16, "6061-T6", "aircraft handbook"),
        90,
        (1, 2, 1),
        "mould line",
        3.758144,
        1e-5,
    ),
    "FAA-15": (
        Sheet(0.05, 0.032, "6061-T6", "aircraft handbook"),
        90,
        (0.74, 0.42, 1.05, 1.0),
        "mould line",
        2.973,
        1e-3,
    ),
    "WB-01": (
        Sheet(0.063, 3 / 32, "6061-T6", "aircraft handbook"),
        120,
        (2.125, 1.75),
        "mould line",
        3.5871,
        1e-4,
    ),
    "WB-02": (
        Sheet(0.063, 3 / 32, "6061-T6", "aircraft handbook"),
        90,
        (1.75, 1.875),
        "mould line",
        3.5028,
        1e-4,
    ),
    "WB-03": (Sheet(0.063, 3 / 32, "6061-T6", "aircraft handbook"), 45, (2, 2), "mould line", 3.9658, 1e-4),
    "WB-07": (
        Sheet(0.048, 1 / 16, "6061-T6", "aircraft handbook"),
        120,
        (2.125, 1.75),
        "mould line",
        3.6679,
        1e-4,
    ),
    "WB-08": (
        Sheet(0.048, 1 / 16, "6061-T6", "aircraft handbook"),
        90,
        (1.75, 1.875),
        "mould line",
        3.5357,
        1e-4,
    ),
    "WB-09": (Sheet(0.048, 1 / 16, "6061-T6", "aircraft handbook"), 45, (2, 2), "mould line", 3.9743, 1e-4),
    "GR-01": (Sheet(3.2, 4.75, "steel", "Groover"), 60, (38, 25), "tangent line", 69.08, 0.005),
    "GR-02": (Sheet(5, 8.5, "steel", "Groover"), 140, (58, 46.5), "tangent line", 129.30, 0.005),
}


@pytest.mark.parametrize("row", BLANKS)
def test_blank_of_a_real_profile_is_the_published_figure(row: str) -> None:
    sheet, angle, legs, datum, expected, tol = BLANKS[row]
    pieces: list[Run | Turn] = [run(legs[0], datum)]  # type: ignore[arg-type]
    for leg in legs[1:]:
        pieces += [up(angle), run(leg, datum)]  # type: ignore[arg-type]
    flat = blank(profile(sheet, 1.5, *pieces))
    assert flat.length == pytest.approx(expected, abs=tol)
    assert flat.width == pytest.approx(1.5, abs=1e-12)
    assert flat.area == pytest.approx(flat.length * 1.5, rel=1e-12)


def test_navy_bend_allowance_on_the_blank() -> None:
    """BA-06: t 1/2 in, R 3 in, 90 deg, K 1/2: 5.10 in (NAVEDTRA 14119, ch. 13, example 1); here in true mm."""
    body = profile(Sheet("1/2 in", "3 in", "steel", 0.5), "2 in", run("10 in"), up("90 deg"), run("254 mm"))
    (mark,) = blank(body).bends
    assert mark.allowance / 25.4 == pytest.approx(5.10, abs=0.01)
    assert mark.allowance / 25.4 == pytest.approx(5.105088, abs=1e-6)
    assert body.sheet.thickness == 12.7


def test_mass_of_an_angle() -> None:
    """MP-22: L 60 x 40 x 40, t 2, R 2: V = 7736.991118 mm3, 60.735380 g at 7850 kg/m3 (exact geometry)."""
    figures = properties(profile(Sheet(2, 2, "steel", 0.44), 40, run(60), up(90), run(40)))
    assert figures.volume == pytest.approx(7736.991118, abs=1e-6)
    assert figures.mass == pytest.approx(0.060735380, abs=1e-9)
    assert figures.envelope == pytest.approx((60, 40, 40), abs=1e-12)


def test_up_and_down_are_mirror_images() -> None:
    """The same runs with all sides changed: mirrored in the mid-surface of the root, so z goes to t - z."""
    first = properties(profile(SHEET, 10, run(30), up(70), run(25), down(100), run(20)))
    other = properties(profile(SHEET, 10, run(30), down(70), run(25), up(100), run(20)))
    x, y, z = first.centroid
    assert other.centroid == pytest.approx((x, y, T - z), abs=1e-12)
    assert other.highest[2] == pytest.approx(T - first.lowest[2], abs=1e-12)


def test_root_run_stays_at_the_origin() -> None:
    """Whichever run is the root, it starts at the origin along x, its lower face on z = 0."""
    pieces = (run(30), up(70), run(25), down(100), run(20))
    for root in (1, 2, 3):
        body = profile(SHEET, 10, *pieces, root=root)
        assert body.flats[0].name == f"profile.run[{root}]"
        assert body.frame.origin == (0.0, 0.0, T / 2)
        assert body.frame.x == (1.0, 0.0, 0.0)


def test_one_run_is_a_flat_strip() -> None:
    assert properties(profile(SHEET, 10, run(30))).volume == pytest.approx(2 * 10 * 30)


def test_names_given_are_the_names_kept() -> None:
    body = profile(SHEET, 10, run(30, name="foot"), up(90, name="heel"), run(30), name="boot")
    assert body.names == ("boot.foot", "boot.run[2]", "boot.heel")


@pytest.mark.parametrize(("first", "second"), [("a", "a"), ("run[2]", ""), ("a", "run[1]")])
def test_names_that_clash_are_refused(first: str, second: str) -> None:
    pieces = (run(30, name=first), up(90), run(30, name=second))
    if (first, second) == ("a", "run[1]"):
        assert len(profile(SHEET, 10, *pieces).flats) == 2
        return
    with pytest.raises(InputError, match="more than one piece"):
        profile(SHEET, 10, *pieces)


def test_too_short_run_says_by_how_much_and_what_fits() -> None:
    """A 90 deg bend takes R + t = 5 mm at either end: 9.5 mm is 0.5 mm and the shortest edge too short."""
    with pytest.raises(InputError) as caught:
        profile(SHEET, 10, run(30), up(90), run(9.5), up(90), run(30))
    assert str(caught.value) == (
        "profile: run 2 = 9.5 mm: too short by 0.501 mm: its bends take 10 mm of it; "
        "make it 10.002 mm or longer, or the inside radius smaller"
    )
    assert profile(SHEET, 10, run(30), up(90), run(10.002), up(90), run(30))


def test_least_bend_is_the_one_that_is_said() -> None:
    """The middle of the sheet must turn through an arc of 0.001 mm: at R 3, t 2 that is 0.001/4 rad."""
    least = math.degrees(1e-3 / 4)
    with pytest.raises(InputError, match=r"at least 0\.0143"):
        profile(SHEET, 10, run(30, "tangent line"), up(0.99 * least), run(30, "tangent line"))
    assert profile(SHEET, 10, run(30, "tangent line"), up(1.01 * least), run(30, "tangent line"))
