"""Where the legs of a profile begin and end, by hand and against the kernel's own outline."""

from __future__ import annotations

import math

import pytest

from formparts import Sheet, add_flange, down, find_recipe, plate, profile, rectangle, run, solid, up
from formparts.drawings import Drawing, drawing
from formparts.drawings.curves import Conic, Words
from formparts.drawings.legs import leg_points
from formparts.drawings.views import views_of

FRONT = ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
"""Towards the viewer of the front view, to its right, and upwards in it."""
SIN_120 = math.sqrt(3.0) / 2.0


def said(of: Drawing) -> set[str]:
    return {mark.text for mark in of.marks if isinstance(mark, Words)}


def test_legs_of_a_hat_by_hand() -> None:
    """
    Docstring of the recipe: brims of 22 to their mould lines, crown 40 between its own, height 30, 75 deg, t = 1.5.

    By hand: an outer mould line is t/2 tan(75/2) = 0.5755 beside that of the mid-surface, so that a wall takes
    30 / tan 75 - 2 x 0.5755 = 6.8874 on plan: 22, 28.89, 68.89, 75.77, and 97.77 overall.
    """
    found = said(drawing(find_recipe("hat_section")()))
    assert {"22", "28.89", "68.89", "75.77", "97.77", "30", "31.5"} <= found


def test_legs_to_the_outside_by_hand() -> None:
    """
    A stair, all runs given to the outside, t = 2: foot of 20, riser of 15, tread of 25, riser of 12.

    By hand, from left and below: the foot goes to 20, its riser's other side is 2 back at 18, the tread ends at
    18 + 25 = 43, which is overall; it is 15 high over all, and the last riser ends at 15 - 2 + 12 = 25, overall.
    """
    stair = profile(Sheet(2, 2, "S235JR", 0.44), 40, run(20, "outside"), up(90), run(15, "outside"), down(90),
                    run(25, "outside"), up(90), run(12, "outside"), name="stair")  # fmt: skip
    front = views_of(solid(stair), "first")["front"]
    low, left = front.box[1], front.box[0]
    places = {(round(x - left, 6), round(y - low, 6)) for x, y in leg_points(stair, *FRONT)[0]}
    assert places == {(0, 0), (20, 0), (18, 15), (43, 13), (43, 25)}
    assert {"20", "18", "43", "15", "13", "25"} <= said(drawing(stair))
    assert any("Legs of the section" in text for text in said(drawing(stair)))


def test_legs_of_a_sharp_bend_by_hand() -> None:
    """
    A rotation of 120 deg, r = 3, t = 2: a leg flat for 25 ends at the outermost line of its bend, r + t further, at 30.

    From there the sheet goes back for 20 and is bent the other way, for 40: on plan 25 + 40 + 2 x 4 sin 120 - 20 / 2,
    and 2 x 4 (1 - cos 120) + 20 sin 120 = 29.32 high on the mid-surface, 31.32 over both faces.
    """
    hook = profile(Sheet(2, 3, "S235JR", 0.44), 40, run(25, "tangent line"), up(120), run(20, "tangent line"),
                   down(120), run(40, "tangent line"), name="hook")  # fmt: skip
    across, upwards = leg_points(hook, *FRONT)
    assert max(x for x, _ in across) == pytest.approx(25 + 40 + 2 * (4 * SIN_120) - 20 / 2)
    assert min(abs(x - 30) for x, _ in across) < 1e-9
    # The bend's outermost points to the right (first bend) and to the left (second bend), as the kernel draws them.
    conics = [
        c
        for c in views_of(solid(hook), "first")["front"].seen.visible
        if isinstance(c, Conic) and c.radius > 4
    ]
    assert len(conics) == 2
    for conic, far in zip(sorted(conics, key=lambda c: c.centre[1]), (5.0, -5.0), strict=True):
        assert min(abs(x - conic.centre[0] - far) for x, _ in across) < 1e-6
    assert max(y for _, y in upwards) == pytest.approx(2 * 4 * 1.5 + 20 * SIN_120 + 2)


def test_only_a_profile_is_said_to_have_legs_of_its_section() -> None:
    """A tray is bent round two directions; the ends of its walls are where its overall size is."""
    tray = find_recipe("corner_tray")()
    assert set(leg_points(tray, *FRONT)[0]) == {(-90.0, 0.0), (-90.0, 25.0), (90.0, 0.0), (90.0, 25.0)}
    assert not any("Legs of the section" in text for text in said(drawing(tray)))
    assert leg_points(tray, (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)) == ((), ())


def test_walls_that_lips_stand_above_and_the_lips_by_hand() -> None:
    """
    A box of 140 by 100, walls 45 high, and two of them carry lips of 14 turned inwards: t = 1.5, inside 2.

    By hand: a lip begins where its wall ends and takes 3.5 more, so that it is 48.5 high over all; the other walls end
    at 45. From the left of the side view, which shows the lips on edge, they end at 14 and at 100 - 14 = 86.
    """
    box = plate(Sheet(1.5, 2, "DC01", 0.44), rectangle(133, 93), name="box")
    for side in ("front", "right", "back", "left"):
        box = add_flange(box, side, 45, edge_to="tangent line", width=80, name=f"wall_{side}")
    for side in ("front", "back"):
        box = add_flange(box, "back", 14, flat=f"wall_{side}", edge_to="tangent line", name=f"lip_{side}")
    assert {"140", "100", "48.5", "45", "14", "86"} <= said(drawing(box))


def test_steps_of_offsets_have_their_levels_and_no_legs() -> None:
    """Lugs of the riser, seen on edge from two sides, are bent up and down again; its flange is only bent up."""
    riser = find_recipe("ring_riser")()
    assert leg_points(riser, *FRONT) == ((), ())
    side = leg_points(riser, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    assert len(side[0]) == 2


def test_heights_beside_a_wide_round_count_from_its_lowest_point() -> None:
    """
    A saddle of R 300 inside, t 4, that turns by 120 deg, with feet of 80 beyond bends of R 6 and rises of 30.

    By hand: from the lowest point of the outside, 304 about the middle, up to the end of the saddle 304 (1 - cos 60),
    30 sin 60 along the rise, and (6 + 4)(1 - cos 60) less the sheet that is now below: the feet's undersides lie
    152 + 25.980762 + 5 - 2 = 180.980762 up.
    """
    foot, rise = run(80, "tangent line"), run(30, "tangent line")
    steps = (foot, down(60), rise, up(120, 300), rise, down(60), foot)
    cradle = profile(Sheet(4, 6, "S235JR", 0.44), 150, *steps, name="cradle")
    found = said(drawing(cradle))
    assert "180.98" in found
    assert "180.6" not in found


@pytest.mark.parametrize("ratio", [1.0, 0.3])
@pytest.mark.parametrize("turn", [0.0, 0.7, 2.5])
def test_the_box_of_a_conic_is_that_of_very_many_points(ratio: float, turn: float) -> None:
    """Whole, and in pieces: to what these leave, not to a chord."""
    for start, end in ((0.0, math.tau), (0.3, 2.9), (4.0, 4.1), (-1.0, 3.0)):
        conic = Conic((5.0, -3.0), (300.0 * math.cos(turn), 300.0 * math.sin(turn)), ratio, start, end)
        fine = [conic.at(start + (end - start) * n / 20_000) for n in range(20_001)]
        for axis in (0, 1):
            found, wanted = ([place[axis] for place in places] for places in (conic.points(), fine))
            assert (min(found), max(found)) == pytest.approx((min(wanted), max(wanted)), abs=1e-5)
