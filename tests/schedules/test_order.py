"""An order of bends: minimum flange first, each step clear of itself and of the punch; or the word that none is."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet, frames, laid_out
from formparts.clash import clashes
from formparts.outline import rectangle
from formparts.schedules import MOST_TRIALS, RULE, bend_order
from formparts.schedules import order as order_module
from formparts.schedules.flanges import flange_reaches, hanging
from formparts.schedules.partly import in_the_way_of_the_punch, partly_folded
from formparts.shapes import add_flange, down, plate, profile, run, up
from tests.parts import CAST

SHEET = Sheet(2.0, 2.0, "S235JR", 0.44)


def channel(base: float, leg: float, radius: float = 2.0) -> Body:
    """Straights between tangent lines."""
    runs = (
        run(leg, to="tangent line"),
        up(90),
        run(base, to="tangent line"),
        up(90),
        run(leg, to="tangent line"),
    )
    return profile(replace(SHEET, inside_radius=radius), 40, *runs, name="channel")


def lipped() -> Body:
    """A channel with lips turned inward: base 60, legs 35, lips 12."""
    runs = (run(12), up(90), run(35), up(90), run(60), up(90), run(35), up(90), run(12))
    return profile(SHEET, 40, *runs, name="lipped")


def of(body: Body) -> order_module.BendOrder:
    return bend_order(body, blank(body))


def allowances(body: Body) -> dict[str, float]:
    return {mark.name: mark.allowance for mark in blank(body).bends}


@pytest.mark.parametrize("radius", [2.0, 12.0, 300.0])
def test_a_channel_can_be_bent_while_its_leg_is_shorter_than_its_base(radius: float) -> None:
    """A fact of the trade: with a straight punch the leg already bent must clear the punch at the second bend.

    By hand, at 90 degrees: the punch leans at 45 degrees over the base; the standing leg meets it when its straight
    is longer than that of the base and one middle radius.
    """
    base, middle = 20.0, radius + 1.0
    limit = base + middle
    assert of(channel(base, limit - 0.01, radius)).found
    too_high = of(channel(base, limit + 0.01, radius))
    assert not too_high.found
    assert too_high.steps == ()
    assert too_high.word == f"no order was found by the rule: {RULE}"


def test_lips_come_before_legs() -> None:
    """A fact of the trade: inner lips are bent first, while the punch still has room; innermost last."""
    found = of(lipped())
    assert found.found
    assert [step[0][-3:] for step in found.steps] == ["[1]", "[4]", "[2]", "[3]"]
    everything = frozenset(bend.name for bend in lipped().bends)
    partly = partly_folded(lipped(), everything, allowances(lipped()))
    assert in_the_way_of_the_punch(partly, (found.steps[0][0],)) is not None


def test_the_shorter_leg_comes_before_the_longer() -> None:
    """By hand: a leg of 60 standing would meet the punch over a base of 30; a leg of 25 does not (25 - 4 < 22 + 3)."""
    body = profile(SHEET, 40, run(60), up(90), run(30), up(90), run(25), name="unequal")
    found = of(body)
    assert [step[0][-3:] for step in found.steps] == ["[2]", "[1]"]
    both = partly_folded(body, frozenset(bend.name for bend in body.bends), allowances(body))
    assert in_the_way_of_the_punch(both, found.steps[0]) is not None
    assert in_the_way_of_the_punch(both, found.steps[1]) is None


def test_the_search_goes_back_from_a_dead_end() -> None:
    """By hand: base 15, so the limit is 18. The left leg of 24 is the next shortest after the lip, but once it
    stands, the punch has no room; the right leg of 14 has a lip outward of 12, which lies below the punch: its
    middle is 14 + 3 up at 18 + 3 out."""
    straight = {"to": "tangent line"}
    runs = (run(24, **straight), up(90), run(15, **straight), up(90), run(14, **straight), down(90))
    body = profile(SHEET, 40, *runs, run(12, **straight), name="dead_end")
    reaches = {name[-3:]: min(reach.sides) for name, reach in flange_reaches(body, blank(body)).items()}
    assert sorted(reaches, key=reaches.get) == ["[3]", "[1]", "[2]"]
    assert [step[0][-3:] for step in of(body).steps] == ["[3]", "[2]", "[1]"]


def test_bends_on_one_line_are_one_stroke() -> None:
    """Two tabs on one edge, to one side: the punch makes both at once. One up and one down take two steps."""
    sheet = plate(SHEET, rectangle(100, 50), "tabs")
    one = add_flange(sheet, "back", 15, width=20, centre=-30, edge_to="tangent line", name="a")
    same = add_flange(one, ((50, 25), (-50, 25)), 15, width=20, centre=30, edge_to="tangent line", name="b")
    assert len(of(same).steps) == 1
    assert set(of(same).steps[0]) == {bend.name for bend in same.bends}
    other = add_flange(
        one, ((50, 25), (-50, 25)), 15, width=20, centre=30, side="down", edge_to="tangent line", name="b"
    )
    assert len(of(other).steps) == 2


def test_no_order_is_looked_for_when_the_part_cannot_be() -> None:
    """A part that runs into itself when folded, and one whose blank overlaps, get a word instead of an order."""
    runs = (run(60), up(90), run(20), up(90), run(30), up(90), run(50))
    closed = of(profile(SHEET, 40, *runs, name="closed"))
    assert not closed.found
    assert closed.word == "no order was found: the folded part runs into itself"
    body = channel(40, 20)
    overlapping = replace(blank(body), overlaps=(object(),))
    assert "cannot be cut from one sheet" in bend_order(body, overlapping).word


def test_the_search_gives_up_after_so_many_trials(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search that is cut short says so, and does not say that there is no order."""
    monkeypatch.setattr(order_module, "MOST_TRIALS", 2)
    assert of(lipped()).word.startswith("no order was found in 2 trials")
    assert MOST_TRIALS > 100


@pytest.mark.parametrize("name", CAST)
def test_an_order_makes_every_bend_once_and_each_step_is_clear(name: str) -> None:
    """Each step again, by all pairs and not only by what has moved."""
    body = CAST[name]()
    found = of(body)
    assert found.found
    assert found.word == RULE
    assert sorted(name for step in found.steps for name in step) == sorted(b.name for b in body.bends)
    made: frozenset[str] = frozenset()
    for step in found.steps:
        made = made.union(step)
        partly = partly_folded(body, made, allowances(body))
        assert in_the_way_of_the_punch(partly, step) is None
        assert clashes(partly) == ()


@pytest.mark.parametrize("name", ["zed", "lug_ring", "flange_on_a_flange", "chain"])
def test_with_no_bend_made_the_part_lies_as_the_blank_does(name: str) -> None:
    """Places of all corners against the blank's; 0.001 deg a bend lifts 300 mm by less than 0.01 mm."""
    body = CAST[name]()
    flat = partly_folded(body, frozenset(), allowances(body))
    placed, laid = frames(flat), laid_out(body)
    root = placed[body.flats[0].name]
    for piece in body.flats:
        for edge in piece.net.edges:
            x, y, z = root.local(placed[piece.name].point(edge.start))
            assert math.dist((x, y), laid[piece.name](edge.start)) < 1e-5
            assert abs(z) < 0.02
    everything = frozenset(bend.name for bend in body.bends)
    assert partly_folded(body, everything, allowances(body)) == body


def test_reaches_are_measured_on_the_blank() -> None:
    """By hand: a Z of straights 20, 30, 10: from the middle of the first bend to the left 20 and half an allowance."""
    runs = (
        run(20, to="tangent line"),
        up(90),
        run(30, to="tangent line"),
        down(90),
        run(10, to="tangent line"),
    )
    body = profile(SHEET, 40, *runs, name="zed")
    flat = blank(body)
    allowance = flat.bends[0].allowance
    first, second = (flange_reaches(body, flat)[mark.name] for mark in flat.bends)
    assert sorted(first.sides) == pytest.approx(sorted((20 + allowance / 2, 40 + 1.5 * allowance)), rel=1e-9)
    assert sorted(second.sides) == pytest.approx(sorted((10 + allowance / 2, 50 + 1.5 * allowance)), rel=1e-9)
    assert sorted(first.flats) == pytest.approx(sorted((20 + allowance / 2, 30 + allowance / 2)), rel=1e-9)
    assert [len(hanging(body)[mark.name]) for mark in flat.bends] == [3, 1]


def test_clashes_of_what_has_moved_are_those_among_all() -> None:
    """Held against all pairs: the same clash is found when either side of it is said to have moved."""
    runs = (run(60), up(90), run(20), up(90), run(30), up(90), run(50))
    body = profile(SHEET, 40, *runs, name="closed")
    pairs = {frozenset((clash.first, clash.second)) for clash in clashes(body)}
    assert pairs
    found = set()
    for bend in body.bends:
        moved = hanging(body)[bend.name] | {bend.name}
        across = {frozenset((clash.first, clash.second)) for clash in clashes(body, moved)}
        assert across == {pair for pair in pairs if len(pair & moved) == 1}
        found |= across
    assert found == pairs
