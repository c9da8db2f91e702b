"""An outline that cannot be used is reported, with the place; a sound one is not."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from formparts.errors import InputError
from formparts.outline import (
    Arc,
    Line,
    Loop,
    Motion,
    Outline,
    Point,
    circle_loop,
    cut,
    disc,
    intersect,
    obround,
    polygon,
    problem,
    rectangle,
    ring,
    unite,
)


def chain(*points: Point) -> Loop:
    """Straight edges through points, closed."""
    return Loop(tuple(Line(p, q) for p, q in zip(points, (*points[1:], points[0]), strict=True)))


def lines(*points: Point) -> list[Line]:
    """Straight edges from point to point, open."""
    return [Line(*ends) for ends in pairwise(points)]


def hole(x: float, y: float, diameter: float) -> Loop:
    return circle_loop((x, y), diameter / 2, ccw=False)


PLATE = rectangle(60, 40).outer
BOW = (4.5**2 + 2e-6**2) / 4e-6
"""Radius of an arc that rises by 2e-6 mm over a chord of 9."""
SIDE = 21.25**0.5
"""Radius of a circle about (-0.5, 1) through (-5, 0) and (3, 4)."""
TIP = (-0.5 + SIDE * math.cos(0.35), 1 + SIDE * math.sin(0.35))
NOSE = (Arc((-5, 0), TIP, (-0.5, 1), SIDE, False), Line(TIP, (5, 0)))


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        (Outline(Loop(PLATE.edges[:3])), "not closed: a gap of 40 mm at (-30, -20)"),
        (Outline(Loop((*PLATE.edges[:3], Line((-30, 20), (-30, -19.99))))), "not closed: a gap of 0.01 mm"),
        (Outline(chain((0, 0), (9, 0), (9, 5e-4), (9, 9))), "an edge of only 0.0005 mm"),
        (Outline(chain((0, 0), (9, 9), (9, 0), (0, 9))), "crosses itself at (4.5, 4.5)"),
        (Outline(chain((0, 0), (8, 0), (8, 6), (4, 0), (0, 6))), "touches itself at (4, 0)"),
        (Outline(chain((0, 0), (4, 4), (8, 0), (8, 8), (4, 4), (0, 8))), "touches itself at (4, 4)"),
        (
            Outline(chain((0, 0), (8, 0), (4 + 3e-7, 4), (8, 8), (0, 8), (4 - 3e-7, 4))),
            "touches itself at (4, 4)",
        ),
        (Outline(chain((0, 0), (8, 0), (3, 0))), "touches itself"),
        (Outline(chain((0, 0), (8, 0), (8, 5), (8, -5), (0, 5))), "touches itself"),
        (Outline(Loop((Line((0, 0), (8, 0)), Line((8, 0), (0, 0))))), "folds back on itself at (8, 0)"),
        (Outline(chain((0, 0), (8, 0), (math.nan, 5))), "not a finite number"),
        (Outline(chain((0, 0), (math.inf, 0), (0, 5))), "not a finite number"),
        (Outline(PLATE.reversed()), "its outer loop runs clockwise"),
        (Outline(PLATE, (hole(0, 0, 10).reversed(),)), "the hole at (-5, 0) runs anticlockwise"),
        (Outline(PLATE, (hole(50, 0, 10),)), "the hole at (45, 0) lies outside"),
        (Outline(PLATE, (hole(30, 0, 10),)), "crosses the outer loop"),
        (Outline(PLATE, (hole(25, 0, 10),)), "touches the outer loop at (30, 0)"),
        (Outline(PLATE, (hole(0, 0, 10), hole(5, 0, 10))), "crosses another hole"),
        (Outline(PLATE, (hole(0, 0, 10), hole(0, 0, 4))), "overlaps another hole"),
        (Outline(PLATE, (hole(0, 0, 4), hole(0, 0, 10))), "overlaps another hole"),
        (Outline(PLATE, (hole(-5, 0, 10), hole(5, 0, 10))), "touches another hole at (0, 0)"),
        (Outline(PLATE, (disc(10).outer.reversed(), disc(10).outer.reversed())), "another hole"),
        (
            Outline(Loop((Arc((3, 0), (-3, 0), (0, 0), 3.1, True), Line((-3, 0), (3, 0))))),
            "an end of an arc is 0.1 mm off its circle",
        ),
        (
            Outline(Loop((Arc((3, 0), (-3.2, 0), (0, 0), 3, True), Line((-3.2, 0), (3, 0))))),
            "an end of an arc is 0.2 mm off its circle at (3, 0)",
        ),
        (
            Outline(Loop((Arc((3.2, 0), (-3, 0), (0, 0), 3, True), Line((-3, 0), (3.2, 0))))),
            "an end of an arc is 0.2 mm off its circle at (3.2, 0)",
        ),
        (
            Outline(Loop((Arc((3, 0), (-3, 0), (0, 0), 3, True), Arc((-3, 0), (3, 0), (0, 0), 3, False)))),
            "folds back on itself",
        ),
        # A bow 2e-6 mm high over 9 mm: 1.2e-5 mm2, less than a millionth of the 18 mm round it.
        (
            Outline(Loop((Line((0, 0), (9, 0)), Arc((9, 0), (0, 0), (4.5, 2e-6 - BOW), BOW, True)))),
            "encloses no area at (0, 0)",
        ),
        # A line that leaves an arc back through it, and one that comes to half a circle through it.
        (
            Outline(
                Loop(
                    (
                        Arc((5, 0), (0, 5), (0, 0), 5, True),
                        *lines((0, 5), (5.2, 0.2), (8, 0.2), (8, 0), (5, 0)),
                    )
                )
            ),
            "crosses itself at (4.98",
        ),
        (
            Outline(Loop((*lines((0, -5), (8, -5), (8, 4), (0, 5)), Arc((0, 5), (0, -5), (0, 0), 5, False)))),
            "crosses itself at (1.23",
        ),
        (Outline(Loop(())), "a loop that is not a chain of edges"),
        (
            Outline(PLATE, (hole(10, 0, 4), chain((-10, -5), (-10, 5), (10, 5), (10, -5)))),
            "the hole at (-10, -5) crosses",
        ),
        # The second arc leaves the end of the first outwards, and comes in again through it at (3, 4).
        (
            Outline(Loop((Arc((5, 0), (-5, 0), (0, 0), 5, True), *NOSE))),
            "crosses itself at (3, 4)",
        ),
    ],
)
def test_what_is_wrong_is_said_with_its_place(outline: Outline, words: str) -> None:
    found = problem(outline)
    assert found is not None
    assert words in found


def test_an_unsound_outline_is_not_cut_into_nonsense() -> None:
    """A bow tie under a strip gives no consistent areas: it is refused by name, in one line."""
    bow = Outline(chain((0, 0), (9, 9), (9, 0), (0, 9)))
    with pytest.raises(
        InputError, match=r"cut: outlines\[1\] = 4 edges .*crosses itself at .4.5, 4.5."
    ) as caught:
        cut(bow, rectangle(2, 8).moved(Motion.shift(7, 2)))
    assert "\n" not in str(caught.value)
    # Here the walks close, and only the winding numbers do not agree.
    for operation in (unite, intersect):
        with pytest.raises(InputError, match=rf"{operation.__name__}: outlines\[2\] .*crosses itself"):
            operation(rectangle(8, 8).moved(Motion.shift(7, 6)), bow)


@pytest.mark.parametrize("angle", [0.0, 33.3, 90.0])
def test_two_tangent_edges_may_run_out_of_a_corner_side_by_side(angle: float) -> None:
    """A line and an arc of 25 mm that leave a corner 1e-6 mm off tangent: their true second crossing is noise.

    At 0.03 mm from the corner arc and tangent are 0.03^2 / 50 = 1.8e-5 mm apart, at 5e-3 mm less than LENGTH.
    """
    corner, slope = (0.0, 0.0), 1e-4
    far = (25.0 * math.sin(0.2), 25.0 * (1.0 - math.cos(0.2)))
    edges = (
        Line(corner, (6.0, 6.0 * slope)),
        Line((6.0, 6.0 * slope), far),
        Arc(far, corner, (0.0, 25.0), 25.0, False),
    )
    # The line is above the arc for the first 2 x 25 x 1e-4 = 0.005 mm, by at most 25 x 1e-8 / 2 = 1.25e-7 mm.
    assert problem(Outline(Loop(edges)).moved(Motion.turn(angle))) is None
    steep = (Line(corner, (6.0, 0.06)), Line((6.0, 0.06), far), edges[2])
    assert "crosses itself" in str(problem(Outline(Loop(steep)).moved(Motion.turn(angle))))


@pytest.mark.parametrize("angle", [0.0, 33.3, 90.0])
@pytest.mark.parametrize(
    "outline",
    [
        ring(30, 29.99),
        obround(30, 10),
        rectangle(20, 20, 10),
        polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)], radii=5),
        Outline(PLATE, (hole(24.99, 0, 10), hole(14.98, 0, 10))),
        disc(0.5),
        Outline(chain((0, 0), (9, 0), (9, 0.001), (0, 9))),
        polygon([(0, 0), (9, 0), (9, 0.01)]),
    ],
)
def test_a_sound_outline_is_not_found_fault_with(outline: Outline, angle: float) -> None:
    """Tangent edges, thin webs of 0.01 mm and whole circles are all in order."""
    assert problem(outline.moved(Motion.turn(angle))) is None


@pytest.mark.parametrize("diameter", [0.5, 5.0])
def test_a_hole_that_runs_the_wrong_way_round_is_found(diameter: float) -> None:
    """However small it is."""
    anticlockwise = circle_loop((3.0, 2.0), diameter / 2)
    assert "runs anticlockwise" in str(problem(Outline(PLATE, (anticlockwise,))))
    assert problem(Outline(PLATE, (hole(3.0, 2.0, diameter),))) is None


def test_sides_that_fold_back_cannot_be_rounded() -> None:
    """From (10, 0) the way leads back along itself, but for a ten-millionth."""
    with pytest.raises(InputError, match="fold back on each other"):
        polygon([(0, 0), (10, 0), (5, 1e-7), (5, 8)], radii=[0, 1e-3, 0, 0])


def test_a_corner_that_touches_an_edge_is_found_where_the_loop_begins_too() -> None:
    """A notch whose tip lies on the edge opposite it, whichever corner is the first of the loop."""
    corners: list[Point] = [(0, 5), (10, 6), (10, 10), (0, 10), (0, 0), (10, 0), (10, 4)]
    for first in range(len(corners)):
        loop = chain(*corners[first:], *corners[:first])
        assert problem(Outline(loop, ())) == "touches itself at (0, 5)"


@pytest.mark.parametrize("y", [0.0, 7.0, -1e3])
def test_a_line_that_runs_into_a_wide_arc_touches_it_at_their_joint_alone(y: float) -> None:
    """Off the tangent by 1e-9, so that line and circle of 1e4 are nearest 1e-5 beside the joint: no second contact."""
    joint, radius = (0.0, y), 1e4
    angle = 0.01
    end = (radius * math.sin(angle), y + radius * (1.0 - math.cos(angle)))
    for tilt in (1e-9, -1e-9):
        start = (-50.0, y + 50.0 * tilt)
        top = (end[0], y + 60.0)
        edges = [Line(start, joint), Arc(joint, end, (0.0, y + radius), radius, True)]
        loop = Loop((*edges, *lines(end, top, (-50.0, y + 60.0), start)))
        assert problem(Outline(loop, ())) is None


def test_an_arc_that_comes_back_over_the_line_before_it_is_found_at_the_joint_of_the_loop_too() -> None:
    """The line runs to (10, 0), and the arc from there goes below it and up again through (4, 0)."""
    radius = math.hypot(3.0, 0.5)
    arc = Arc((10.0, 0.0), (4.0, 1.0), (7.0, 0.5), radius, False)
    edges = [arc, *lines((4.0, 1.0), (4.0, 5.0), (0.0, 5.0), (0.0, 0.0), (10.0, 0.0))]
    for first in range(len(edges)):
        loop = Loop((*edges[first:], *edges[:first]))
        assert problem(Outline(loop, ())) == "crosses itself at (4, 0)"


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.0, 100.0), (100.0, 0.0), (-70.0, -90.0)])
@pytest.mark.parametrize("angle", [0.0, 90.0, 200.0])
def test_an_edge_that_runs_back_on_the_one_before_it_is_found_wherever_it_lies(
    shift: tuple[float, float], angle: float
) -> None:
    """A square of 20 whose third side goes 5 too far and back, begun at any corner."""
    place = Motion.shift(*shift).after(Motion.turn(angle))
    corners = [place(corner) for corner in ((0, 0), (20, 0), (20, 20), (-5, 20), (0, 20))]
    for first in range(len(corners)):
        said = problem(Outline(chain(*corners[first:], *corners[:first]), ()))
        assert said is not None
        assert "itself" in said
