"""FoldedPieces of a folded part that run into each other: parts worked out by hand, and no false alarm."""

from __future__ import annotations

import math
import random
from itertools import combinations
from typing import Any

import cadquery as cq
import pytest

from formparts.body import Bend, Body, Flat, Frame, Sheet, frames
from formparts.clash import clashes
from formparts.outline import Line, Loop, Motion, rectangle
from formparts.shapes import (
    Axis,
    add_flange,
    cut_opening,
    down,
    mirror,
    plate,
    profile,
    rotate,
    run,
    translate,
    up,
)
from formparts.tolerances import CLASH_DEPTH
from tests.invariants.subjects import RECIPES, body_of
from tests.parts import CAST

T = 2.0
SHEET = Sheet(T, 3.0)


def pairs(body: Body) -> set[frozenset[str]]:
    """Which flats and bends intersect, by the last word of their names."""
    return {frozenset((clash.first.split(".")[-1], clash.second.split(".")[-1])) for clash in clashes(body)}


def closed_box(last: float) -> Body:
    """Over 40, up 30, back 40, down: the last run comes down on the first where x = 0 to 2."""
    return profile(SHEET, 20, run(40), up(90), run(30), up(90), run(40), up(90), run(last))


@pytest.mark.parametrize(
    ("last", "hits"), [(20, False), (28 - 1e-6, False), (28.01, True), (29, True), (40, True)]
)
def test_tube_that_closes_over_itself(last: float, hits: bool) -> None:
    """The last run reaches down from 30 to 30 - last; the upper face of the first is at 2: free up to 28 mm long."""
    assert bool(pairs(closed_box(last))) == hits
    if hits:
        assert frozenset(("run[1]", "run[4]")) in pairs(closed_box(last))
        (clash,) = [clash for clash in clashes(closed_box(last)) if clash.first.endswith("run[1]")]
        x, y, z = clash.place
        assert -1e-9 <= x <= 2 + 1e-9
        assert -1e-9 <= y <= 20 + 1e-9
        assert max(0.0, 30 - last) - 1e-9 <= z <= 2 + 1e-9


def test_vee_of_170_deg_never_meets() -> None:
    """It opens by 10 deg, however long its flange and small its radius."""
    for radius, length in ((3.0, 60.0), (0.01, 500.0)):
        pieces = (run(60, "tangent line"), up(170), run(length, "tangent line"))
        assert pairs(profile(Sheet(T, radius), 20, *pieces)) == set()


def curl(length: float) -> Body:
    """Bends of 170 and 20 deg, R 3, nearly one: the last flat comes back over the first and down on it by 10 deg."""
    return profile(
        SHEET,
        20,
        run(60, "tangent line"),
        up(170),
        run(0.01, "tangent line"),
        up(20),
        run(length, "tangent line"),
    )


def test_curl_meets_where_the_triangle_says() -> None:
    """Its inner face sinks by sin 10 deg for each mm, from the height that two circles give it."""
    ten = math.radians(10)
    # Axis of the second bend: R + t over the lower face, and what the 0.01 mm between the bends rises by sin 170;
    # its inner face at 190 deg is R cos 10 above; the first flat's upper face is at t.
    high = (3 + T) + 0.01 * math.sin(ten) + 3 * math.cos(ten) - T
    touches = high / math.sin(ten)
    assert touches == pytest.approx(34.300, abs=1e-3)
    assert pairs(curl(touches - 0.01)) == set()
    assert pairs(curl(touches + 0.01)) == {frozenset(("run[1]", "run[3]"))}


def test_zed_is_clear_and_its_folding_back_is_not() -> None:
    """Up and down by the same angle never meets; two bends of 170 deg the same way with a short web do."""
    assert pairs(profile(SHEET, 20, run(40), up(120), run(30), down(120), run(40))) == set()
    rolled = profile(
        SHEET, 20, run(40, "tangent line"), up(170), run(1, "tangent line"), up(170), run(30, "tangent line")
    )
    assert frozenset(("run[1]", "run[3]")) in pairs(rolled)


def cross(width: float) -> Body:
    """A narrow strip folded round until it passes right through the middle of a wide plate."""
    base = plate(SHEET, rectangle(80, 80), "base")
    wall = add_flange(base, "right", 60, width=width, edge_to="tangent line", angle=90, name="wall")
    top = add_flange(wall, "back", 60, flat="wall", edge_to="tangent line", name="roof")
    return add_flange(top, "back", 90, flat="roof", edge_to="tangent line", name="tongue")


@pytest.mark.parametrize("width", [10, 80])
def test_strip_that_pierces_a_plate_is_found_whatever_its_width(width: float) -> None:
    """No edge of the plate and no end of the strip is near; at 80 mm all side faces lie in two common planes."""
    assert frozenset(("base", "tongue")) in pairs(cross(width))


def test_strip_that_goes_through_an_opening_is_clear() -> None:
    """
    The same strip, and an opening where it comes through.

    By hand: the wall's height of 60 is to its outside, so is the roof's; from the edge at 40 the roof's free end
    bend begins 60 - 5 mm back, at -15, and the outer face of the tongue lies 5 mm farther, at -20.
    """
    (found,) = clashes(cross(10))
    assert -20 - 1e-9 <= found.place[0] <= -18 + 1e-9
    assert abs(found.place[1]) <= 5
    assert pairs(cut_opening(cross(10), rectangle(3, 12), "base", [Motion.shift(-19, 0)], "window")) == set()
    narrow = cut_opening(cross(10), rectangle(3, 9), "base", [Motion.shift(-19, 0)], "window")
    assert pairs(narrow) == {frozenset(("base", "tongue"))}


def lying_on(height: float) -> Body:
    """A U whose last flat lies over the first, the gap between their faces given."""
    radius = (height + 0.0) / 2.0
    return profile(
        Sheet(T, radius),
        20,
        run(30, "tangent line"),
        up(90),
        run(0.001, "tangent line"),
        up(90),
        run(30, "tangent line"),
    )


def test_faces_that_lie_on_each_other_only_touch() -> None:
    """A hair of gap, and no gap but a hair of depth: neither runs into the other by CLASH_DEPTH."""
    assert pairs(lying_on(0.002)) == set()
    assert pairs(closed_box(28 + CLASH_DEPTH / 4)) == set()
    assert pairs(closed_box(28 + 2 * CLASH_DEPTH)) != set()


@pytest.mark.parametrize("last", [28.01, 40])
def test_clash_is_found_however_the_part_lies(last: float) -> None:
    for body in (
        rotate(closed_box(last), 37, Axis((1, 2, 3), (1, 1, 1))),
        mirror(closed_box(last), "xy"),
        translate(closed_box(last), (500, -300, 200)),
    ):
        assert pairs(body) == pairs(closed_box(last))


@pytest.mark.parametrize(
    "subject", [*CAST, *(name for name in RECIPES if not name.startswith("ring_riser-4"))]
)
def test_no_false_alarm(subject: str) -> None:
    assert clashes(body_of(subject)) == ()


def wire(loop: Loop) -> cq.Wire:
    edges = []
    for edge in loop.edges:
        start, middle, end = (cq.Vector(*point) for point in (edge.start, edge.middle, edge.end))
        straight = isinstance(edge, Line)
        edges.append(
            cq.Edge.makeLine(start, end) if straight else cq.Edge.makeThreePointArc(start, middle, end)
        )
    return cq.Wire.assembleEdges(edges)


def flat_of_kernel(flat: Flat, frame: Frame, thickness: float) -> Any:
    """Its outline, pulled up through the sheet."""
    made = cq.Solid.extrudeLinear(
        wire(flat.net.outer), [wire(hole) for hole in flat.net.holes], cq.Vector(0, 0, thickness)
    )
    plane = cq.Plane(frame.point((0, 0), -thickness / 2), cq.Vector(*frame.x), cq.Vector(*frame.z))
    return made.located(cq.Location(plane))


def bend_of_kernel(bend: Bend, parent: Frame, thickness: float) -> Any:
    """The edge of the sheet at its parent, turned about the bend's axis away from the parent, which is on the left."""
    first, last = bend.parent_line
    half = thickness / 2
    rim = [
        parent.point(first, -half),
        parent.point(last, -half),
        parent.point(last, half),
        parent.point(first, half),
    ]
    high = (half + bend.inside_radius) * (1 if bend.side == "up" else -1)
    axis = [parent.point(first, high), parent.point(last, high)]
    if bend.side == "up":
        axis.reverse()
    face = cq.Wire.makePolygon([cq.Vector(*point) for point in rim], close=True)
    return cq.Solid.revolve(face, [], bend.angle, *(cq.Vector(*point) for point in axis))


def shared(body: Body) -> dict[frozenset[str], float]:
    """What the kernel finds each two flats or bends to have in common [mm3]."""
    placed, thickness = frames(body), body.sheet.thickness
    made = {flat.name: flat_of_kernel(flat, placed[flat.name], thickness) for flat in body.flats}
    made |= {bend.name: bend_of_kernel(bend, placed[bend.parent], thickness) for bend in body.bends}
    return {
        frozenset((one, two)): made[one].intersect(made[two]).Volume() for one, two in combinations(made, 2)
    }


def curled(chance: random.Random) -> Body:
    """A strip of four to six runs, most bends to one side."""
    pieces: list[Any] = [run(chance.uniform(5, 60), "tangent line")]
    for _ in range(chance.randint(3, 5)):
        turn = chance.choice((up, up, up, down))
        pieces += [turn(chance.uniform(40, 165)), run(chance.uniform(2, 60), "tangent line")]
    strip = profile(Sheet(chance.uniform(0.5, 4), chance.uniform(0.3, 6)), chance.uniform(5, 40), *pieces)
    return rotate(strip, chance.uniform(-180, 180), Axis((3, 4, 5), (1, chance.uniform(-1, 1), 1)))


def test_random_strips_clash_where_the_kernel_says() -> None:
    """Pairs that have a volume in common and no others; none of these goes in by so little that it is in doubt."""
    chance, hits = random.Random(20), 0
    for _ in range(20):
        body = curled(chance)
        common = shared(body)
        assert not any(1e-9 < volume < 1e-3 for volume in common.values())
        found = {frozenset((clash.first, clash.second)) for clash in clashes(body)}
        assert found == {pair for pair, volume in common.items() if volume > 1e-3}
        hits += len(found)
    assert hits >= 10
