"""
Degenerate neighbours: what just touches, just fits or is just too much is right to the last digit, or one line says no.

Right means that closed form, solid, blank and unfolder agree; the dimensions are our own, the limits worked out by
exact mathematics beside them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from formparts.bending import offset_run, smallest_rise
from formparts.blanks import blank
from formparts.body import Bend, Body, Flat, Frame, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import Motion, disc, obround, polygon, rectangle
from formparts.shapes import (
    add_flange,
    cut_opening,
    down,
    fuse,
    mirror,
    offset_lug,
    pierced,
    plate,
    profile,
    run,
    tongue,
    translate,
    up,
)
from formparts.solids import solid
from formparts.tolerances import VOLUME_REL
from tests.growing import renamed
from tests.invariants.holds import assert_all_holds, methods

SHEET = Sheet(2.0, 3.0, "S235JR", 0.5)
HAIRS = (0.0, 1e-9, -1e-9)
SETBACK = 5.0  # R + t of a bend of 90 deg, to the outside


def two_plates(x: float, y: float) -> Body:
    return fuse(
        plate(SHEET, rectangle(40, 30), "a"), translate(plate(SHEET, rectangle(20, 10), "b"), (x, y, 0))
    )


def two_discs(apart: float) -> Body:
    return fuse(plate(SHEET, disc(60), "a"), translate(plate(SHEET, disc(20), "b"), (apart, 0, 0)))


def opened(x: float) -> Body:
    """A hole of radius 5, its middle so far inside the right edge at x = 20."""
    return cut_opening(plate(SHEET, rectangle(40, 30), "a"), disc(10), places=[Motion.shift(20 - x, 0)])


def two_holes(apart: float) -> Body:
    places = [Motion.shift(-apart / 2, 0), Motion.shift(apart / 2, 0)]
    return cut_opening(plate(SHEET, rectangle(60, 30), "a"), disc(10), places=places)


def z_bend(spare: float) -> Body:
    """The middle run is longer than its two setbacks by so much."""
    return profile(SHEET, 20, run(30), up(90), run(2 * SETBACK + spare), down(90), run(30), name="z")


def bent(angle: float, radius: float = 3.0, sheet: Sheet = SHEET, size: float = 20.0) -> Body:
    runs = (run(2 * size, "tangent line"), up(angle, radius), run(size, "tangent line"))
    return profile(sheet, size, *runs, name="bent")


def joggle(above: float) -> Body:
    """Two bends of 90 deg, the slope between them so long: rise = 2 (R + t/2) + s."""
    rise = float(smallest_rise(90.0, 3.0, 2.0)) + above
    reach = float(offset_run(rise, 90.0, 3.0, 2.0)) + 10.0
    return offset_lug(SHEET, width=12, rise=rise, reach=reach, foot=10, end="square")


def window_tabs(over: float) -> Body:
    """Tabs from both sides of a window 60 high: on the blank each takes half of it, and so much more."""
    tall = 30.0 - math.pi / 2 * 4.0 + over
    body = plate(SHEET, pierced(rectangle(120, 100), rectangle(80, 60)), "frame")
    for y, name in ((-30, "low"), (30, "high")):
        body = add_flange(
            body,
            ((-40, y), (40, y)),
            tall,
            width=30,
            edge_to="tangent line",
            height_to="tangent line",
            name=name,
        )
    return body


def guest(along: float, beside: float, width: float = 20.0) -> Body:
    """An angle on a plate: its bend line so far past the edge of the plate, its end so far from the corner."""
    angle = profile(SHEET, width, run(20, "tangent line"), up(90), run(20, "tangent line"), name="angle")
    moved = translate(angle, (10 + along, -20 + beside, 0))
    return fuse(plate(SHEET, rectangle(60, 40), "base"), moved, name="part")


def closed_slot(extra: float) -> Body:
    """A tongue as wide as the plate that carries it, but for a hair."""
    ear = translate(tongue(SHEET, 30, 40 + extra, "square", name="ear"), (20, 0, 0))
    return fuse(plate(SHEET, rectangle(60, 40), "base"), ear, name="part")


RIGHT: dict[str, Callable[[], Body]] = {
    "plates that touch along a piece of an edge": lambda: two_plates(30, 20 - 1e-3),
    "edges in one line": lambda: two_plates(25, 10),
    "a disc inside, tangent to the rim": lambda: two_discs(20),
    "discs that cross by 1e-3": lambda: two_discs(40 - 1e-3),
    "full rounds tangent to their sides": lambda: plate(SHEET, rectangle(40, 20, 9.9995), "a"),
    "a slot that is all arcs but 2e-3": lambda: cut_opening(plate(SHEET, rectangle(40, 30)), obround(10.002, 10)),
    "a hole 1e-3 inside an edge": lambda: opened(5 + 1e-3),
    "a hole 1e-3 over an edge": lambda: opened(5 - 1e-3),
    "a hole just within the plate from outside": lambda: opened(-5 + 1e-3),
    "holes 1e-3 apart": lambda: two_holes(10 + 1e-3),
    "holes 1e-3 into each other": lambda: two_holes(10 - 1e-3),
    "a run of its setbacks and 1.001e-3": lambda: z_bend(1.001e-3),
    "1e-3 deg at a radius of 200": lambda: bent(1e-3, 200.0),
    "169.999 deg": lambda: bent(169.999),
    "170 deg": lambda: bent(170.0),
    "sheet of 0.05 mm": lambda: bent(90, 0.05, Sheet(0.05, 0.05)),
    "sheet of 60 mm": lambda: bent(90, 90.0, Sheet(60.0, 90.0), 400.0),
    "a part of 1 mm": lambda: bent(90, 0.1, Sheet(0.1, 0.1), 0.4),
    "a part of 20 m": lambda: bent(90, 3.0, SHEET, 10_000.0),
    "a slope of 1.001e-3": lambda: joggle(1.001e-3),
    "a slope of 0.9e-3": lambda: joggle(0.9e-3),
    **{f"no slope, {hair}": (lambda hair=hair: joggle(hair)) for hair in HAIRS},
    "tabs 1e-3 apart on the blank": lambda: window_tabs(-0.5e-3),
    "a tongue as wide as its plate": lambda: closed_slot(0.0),
    "a tongue a hair wider than its plate": lambda: closed_slot(1e-9),
    "a bend in the corner of its plate": lambda: guest(0.0, 0.0),
    "a bend 1e-3 from the corner": lambda: guest(0.0, 1.001e-3),
    **{f"a bend {hair} off the edge": lambda hair=hair: guest(hair, 5.0) for hair in (1e-9, 1.5e-7, 4e-7, -9e-7)},
    **{f"a bend {hair} off the corner": lambda hair=hair: guest(0.0, hair) for hair in (-1e-9, 1.5e-7, 4e-7, -9e-7)},
    "a bend that fills an edge, a hair narrower": lambda: guest(0.0, 1e-9, 40.0 - 2e-9),
}  # fmt: skip


@pytest.mark.parametrize("case", RIGHT)
def test_neighbours_that_fit_are_right(case: str, tmp_path: Path) -> None:
    body = RIGHT[case]()
    assert_all_holds(body, methods(body), tmp_path)


def slender() -> Body:
    """A flange that leaves half a thousandth of its edge beside it."""
    return add_flange(plate(SHEET, rectangle(40, 30)), "front", 20, width=39.999, edge_to="tangent line")


def by_hand(bends: tuple[tuple[str, str], ...], flats: tuple[str, ...] = ("a", "b", "c")) -> Body:
    """A body with bends between given flats; all lines fit."""
    line = ((10.0, 0.0), (10.0, 10.0))
    drawn = polygon([(0, 0), (10, 0), (10, 10), (0, 10)])
    made = tuple(
        Bend(f"bend[{number}]", one, two, line, ((0.0, 0.0), (0.0, 10.0)), 90.0, "up", 3.0)
        for number, (one, two) in enumerate(bends)
    )
    return Body("part", SHEET, tuple(Flat(name, drawn) for name in flats), made, Frame())


REFUSED: dict[str, tuple[Callable[[], Body], str]] = {
    "plates corner to corner": (lambda: two_plates(30, 20), "only in a point"),
    "plates that touch along 1e-6": (lambda: two_plates(30, 20 - 1e-6), "does not meet"),
    "discs tangent from outside": (lambda: two_discs(40), "does not meet"),
    "discs 1e-3 apart": (lambda: two_discs(40 + 1e-3), "0.001 mm away"),
    **{f"a hole tangent within, {hair}": (lambda hair=hair: opened(5 + hair), "touches") for hair in HAIRS},
    **{f"a hole tangent without, {hair}": (lambda hair=hair: opened(-5 + hair), "misses") for hair in HAIRS},
    **{f"holes that touch, {hair}": (lambda hair=hair: two_holes(10 + hair), "touches") for hair in HAIRS},
    **{f"a run of its setbacks, {hair}": (lambda hair=hair: z_bend(hair), "too short") for hair in HAIRS},
    "a run 1e-3 under its setbacks": (lambda: z_bend(-1e-3), "too short by 0.002 mm"),
    "1e-3 deg": (lambda: bent(1e-3), "less than the shortest edge"),
    "170.001 deg": (lambda: bent(170.001), "170"),
    "180 deg": (lambda: bent(180.0), "170"),
    "a slope of less than none": (lambda: joggle(-2e-6), "too small for its two bends"),
    "a bend 0.5e-3 from the end of its edge": (slender, "cut"),
    "a bend 2e-6 from the corner": (lambda: guest(0.0, 2e-6), "cut short"),
    "a bend that fills an edge, 4e-7 wider": (lambda: guest(0.0, 0.0, 40.0 + 4e-7), "cut short"),
    "a flange extended by less than an edge": (
        lambda: add_flange(plate(SHEET, rectangle(40, 30)), "front", 9, edge_to="tangent line", extend=(5e-4, 0)),
        "less than the shortest edge",
    ),
    "a bend from nowhere": (lambda: by_hand((("a", "b"), ("x", "c"))), "x, which is not a flat"),
    "a bend to nowhere": (lambda: by_hand((("a", "b"), ("b", "x"))), "x, which is not a flat"),
    "two parents": (lambda: by_hand((("a", "b"), ("a", "c"), ("b", "c"))), "c, which stands already"),
    "a ring": (lambda: by_hand((("a", "b"), ("b", "c"), ("c", "a"))), "a, which stands already"),
    "a ring beside the root": (lambda: by_hand((("b", "c"), ("c", "b"))), "no bend before it leads"),
    "a bend onto its own flat": (lambda: by_hand((("a", "a"), ("a", "b"))), "a, which stands already"),
    "a loose flat": (lambda: by_hand((("a", "b"),)), "no bend leads to c"),
    "two flats of one name": (lambda: by_hand((("a", "b"),), ("a", "b", "b")), "more than one piece"),
    "no flat": (lambda: by_hand((), ()), "there is none"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_neighbours_that_do_not_fit_are_refused_in_one_line(case: str) -> None:
    make, words = REFUSED[case]
    with pytest.raises(InputError) as caught:
        methods(make())
    line = str(caught.value)
    assert words in line
    assert "\n" not in line
    assert "nan" not in line.lower().split()


@pytest.mark.parametrize(
    ("over", "depths"), [(0.0, [0.0]), (1e-9, [0.0]), (-1e-9, [0.0]), (0.5e-3, [1e-3]), (-0.5e-3, [])]
)
def test_tabs_that_touch_on_the_blank_are_told(over: float, depths: list[float]) -> None:
    """Two tabs meet in the middle of a window: a cut of no width has depth 0; 2 x 0.5e-3 over, 1e-3."""
    found = blank(window_tabs(over)).overlaps
    assert [overlap.depth for overlap in found] == pytest.approx(depths, abs=1e-6)


def test_lugs_that_touch_on_the_blank_in_a_point_are_told() -> None:
    """
    Lugs 20 wide from three sides of a window of 100 x 100, each 40 long on the blank: so each ends 10 from the middle,
    and has a corner at (10, -10) or (10, 10) in common with the next.
    """
    seat = plate(SHEET, pierced(rectangle(140, 140), rectangle(100, 100)), "seat")
    body, tall = seat, 40.0 - math.pi / 2 * 4.0
    for place, ends in enumerate((((-50, -50), (50, -50)), ((50, -50), (50, 50)), ((-50, 50), (50, 50)))):
        body = add_flange(
            body, ends, tall, width=20, edge_to="tangent line", height_to="tangent line", name=f"lug{place}"
        )
    found = {(one.first, one.second, one.depth) for one in blank(body).overlaps}
    assert found == {("lug0", "lug1", 0.0), ("lug1", "lug2", 0.0)}
    assert_all_holds(body, methods(body))


@pytest.mark.parametrize("beyond", [0.0, 0.0005, 0.000952, 0.0011, 0.0021, 0.004, 0.024])
def test_rounds_that_meet_in_a_cusp(beyond: float) -> None:
    """
    A plate with corners of 11.5 and its mirror image in a plane just beyond where the rounds begin, fused.

    What is left of the two rounds is shorter than any edge, or as good as flat: refused in one line, or right.
    """
    half = plate(Sheet(0.5, 0.5, "steel", 0.44), rectangle(116.152, 60, 11.5), name="part")
    twin = renamed(mirror(half, "yz", (-46.576 - beyond, 0, 0)), "twin")
    if 0.0 < beyond < 0.001:
        with pytest.raises(InputError, match="an edge of only"):
            fuse(half, twin, name="part")
        return
    body = fuse(half, twin, name="part")
    held, figures = measured(solid(body).shape), properties(body)
    assert held.volume == pytest.approx(figures.volume, rel=VOLUME_REL)
    assert held.surface == pytest.approx(figures.surface, rel=VOLUME_REL)
