"""Plans worked by hand: order, turn-overs, stops and tool lengths of parts that every setter knows."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from formparts.body import Body, Sheet
from formparts.cli import main
from formparts.errors import InputError
from formparts.outline import rectangle
from formparts.planning import BendPlan, plan_bends, radius_as_formed, spreads
from formparts.recipe_functions import find_recipe
from formparts.shapes import add_flange, box, down, plate, profile, run, up

SHEET = Sheet(2.0, 2.0, "S235JR", 0.44)
ALLOWANCE = math.pi / 2.0 * (2.0 + 0.88)
"""Of a bend of 90 deg in it [mm]: A (R + K t)."""


def turns_over(plan: BendPlan) -> int:
    return sum(one.up != two.up for one, two in zip(plan.steps, plan.steps[1:], strict=False))


def order(plan: BendPlan) -> list[str]:
    return [step.bends[0].rsplit(".", 1)[-1] for step in plan.steps]


def channel(base: float, left: float, right: float, width: float = 100.0) -> Body:
    return profile(SHEET, width, run(left), up(90), run(base), up(90), run(right), name="channel")


def test_a_z_is_turned_over_once_and_each_flange_rests_on_its_own_edge() -> None:
    """By hand: from the bend line to the edge is the flange less its setback and half the allowance: 30 - 4 + 2.262."""
    plan = plan_bends(profile(SHEET, 60, run(30), up(90), run(40), down(90), run(25), name="z"))
    assert turns_over(plan) == 1
    assert sorted(step.stop.distance for step in plan.steps) == pytest.approx(
        [25 - 4 + ALLOWANCE / 2, 30 - 4 + ALLOWANCE / 2]
    )
    assert {step.stop.kind for step in plan.steps} == {"edge"}
    assert [(sum(row.sections), len(row.sections)) for step in plan.steps for row in step.punches] == [
        (60.0, 2)
    ] * 2


def test_the_second_bend_of_a_u_rests_against_the_flange_that_stands() -> None:
    """By hand: from the second line to the outer face of the standing flange is 60 - 4 + 2.262; no turn is needed."""
    plan = plan_bends(channel(60, 20, 20))
    first, second = plan.steps
    assert (first.stop.kind, second.stop.kind) == ("edge", "flange")
    assert first.stop.distance == pytest.approx(20 - 4 + ALLOWANCE / 2)
    assert second.stop.distance == pytest.approx(60 - 4 + ALLOWANCE / 2)
    assert second.turn == "as it lies"
    assert plan.exact


def test_a_u_goes_with_a_straight_punch_while_its_flange_clears_the_body() -> None:
    """By hand, at 90 deg: the inner end of the flange is at (56 - (L - 2)) / sqrt 2 from the middle of the punch,
    whose body is 6 mm thick to each side: L = 58 - 6 sqrt 2 = 49.5 is the longest; the overbend of 0.9 deg (springback
    factor 0.99) brings the flange about 49 x 0.9 pi/180 = 0.8 nearer."""
    assert plan_bends(channel(60, 20, 48)).steps[-1].punch.kind == "straight"
    either = plan_bends(channel(60, 48, 48))
    assert {step.punch.kind for step in either.steps} == {"straight"}
    longer = plan_bends(channel(60, 51, 51))
    assert longer.steps[-1].punch.kind == "swan-neck"


def test_a_deep_u_has_no_plan_and_the_word_says_what_meets_what() -> None:
    """By hand: flanges of 80 over a base of 40 cross the middle of the punch at 57 mm and end 28 mm beyond it."""
    plan = plan_bends(channel(40, 80, 80))
    assert not plan.found
    assert plan.left == (
        "channel.bend[1]",
        "channel.bend[2]",
    )  # alike from both sides: neither can be the last
    assert "channel.bend[1]: the punch meets channel.run[3]" in plan.problem
    assert "channel.bend[2]: the punch meets channel.run[1]" in plan.problem


def test_lips_come_before_walls() -> None:
    """A fact of the trade: the inward lips of a channel are bent first, then its walls, with a swan-neck punch."""
    runs = (run(15), up(90), run(40), up(90), run(60), up(90), run(40), up(90), run(15))
    plan = plan_bends(profile(SHEET, 100, *runs, name="lipped"))
    assert set(order(plan)[:2]) == {"bend[1]", "bend[4]"}
    assert turns_over(plan) == 0
    assert plan.steps[-1].punch.kind == "swan-neck"


def test_brims_of_a_hat_come_before_its_crown() -> None:
    """By hand: once the crown is bent, its walls hang down beside the die and the second brim meets the die."""
    plan = plan_bends(find_recipe("hat_section")())
    assert set(order(plan)[:2]) == {"bend[1]", "bend[4]"}
    assert turns_over(plan) == 1


def test_opposite_walls_of_a_box_come_one_after_the_other() -> None:
    """One turn about the vertical does for four walls; the last two take tools shorter than the gap between walls."""
    box = plate(Sheet(1.0, 1.0, "DC01", 0.44), rectangle(160, 100), "box")
    for side in ("front", "right", "back", "left"):
        box = add_flange(box, side, 30, edge_to="tangent line", name=side)
    plan = plan_bends(box)
    names = [step.bends[0].split(".")[0] for step in plan.steps]
    assert {frozenset(names[:2]), frozenset(names[2:])} == {
        frozenset({"front", "back"}),
        frozenset({"left", "right"}),
    }
    assert plan.cost[2] == 1
    assert all(length.length <= 162.0 for step in plan.steps for length in step.punches)


@pytest.mark.parametrize("lugs", [4, 3])
def test_a_riser_is_turned_over_once(lugs: int) -> None:
    """Bends to both sides need one turn-over at least, and a ring of offset lugs needs no more."""
    plan = plan_bends(find_recipe("ring_riser")(lug_count=lugs))
    assert turns_over(plan) == 1
    assert sorted(name for step in plan.steps for name in step.bends) == sorted(
        b.name for b in plan.body.bends
    )
    flange = next(step for step in plan.steps if step.bends == ("flange.bend",))
    assert flange.stop.distance == pytest.approx(
        22.0 - 4.5 + math.pi / 4.0 * (2.5 + 0.88)
    )  # height - (R + t) + A/2


def test_a_long_staircase_is_not_turned_over_more_often_than_from_both_ends_inward() -> None:
    """By hand: steps of 25 mm go up and down in turn, so one end begins with an up bend, the other with a down bend.
    From both ends inward the first lie takes one bend, each later one two, the last one: 14 bends, 7 turn-overs."""
    runs = [run(25)]
    for number in range(14):
        runs += [(up, down)[number % 2](90), run(25)]
    plan = plan_bends(profile(Sheet(1.0, 1.0, "DC01", 0.44), 200, *runs, name="stairs"))
    assert 1 <= turns_over(plan) == plan.cost[0] <= 7
    assert plan.bound <= plan.cost


def test_a_mitred_box_has_an_order() -> None:
    """By hand: the strip of a mitred bend is slanted by 45 deg, from the floor, 100 - 2 (R + t) = 93 mm less its gap,
    to the wall, 97 mm less its gap; what is bent is as long as its middle, less than 95 mm, and 95 mm of tools fit
    between walls 97 mm apart."""
    plan = plan_bends(box(Sheet(1.5, 2.0, "DC01", 0.44), rectangle(160, 100), 25, corner="mitred"))
    assert plan.cost[:3] == (0, 0, 1)
    ((low, high),) = plan.steps[0].spans
    assert 91 < high - low < 95
    assert [sum(row.sections) for row in plan.steps[0].punches] == [95]


def test_two_tabs_on_one_edge_are_one_step_with_one_row_of_tools() -> None:
    """Collinear bends, to one side: one step, and the tools span both (20 + 40 + 20 mm)."""
    sheet = plate(SHEET, rectangle(100, 50), "tabs")
    one = add_flange(sheet, "back", 15, width=20, centre=-30, edge_to="tangent line", name="a")
    both = add_flange(one, ((50, 25), (-50, 25)), 15, width=20, centre=30, edge_to="tangent line", name="b")
    plan = plan_bends(both)
    assert len(plan.steps) == 1
    assert [length.length for length in plan.steps[0].punches] == [80.0]


def test_blank_and_part_as_formed_have_the_radius_that_the_v_makes() -> None:
    """By hand: 16 % of the opening in carbon steel (common practice): R 2.5 comes nearest over V 16, which forms
    2.56; legs of 20 and 30 are then 50 - 2 (2.56 + 2) + pi/2 (2.56 + 0.88) long, and no flange is off."""

    def angle(radius: float) -> Body:
        return profile(Sheet(2.0, radius, "S235JR", 0.44), 60, run(20), up(90), run(30), name="angle")

    formed = radius_as_formed(angle, 2.5)
    assert formed == pytest.approx(2.56)
    plan = plan_bends(angle(formed))
    developed = 50.0 - 2.0 * 4.56 + math.pi / 2.0 * 3.44
    assert min(plan.blank.length, plan.blank.width) == pytest.approx(developed)
    assert plan.body.bends[0].inside_radius == formed
    assert plan.radii[0].flange_change == pytest.approx(0.0)


def test_bends_that_form_otherwise_and_parts_that_do_not_follow_are_told() -> None:
    """A leg of 9 mm reaches the shoulder of V 12 (8.49 mm from the mould line) and not of V 16 (11.31):
    over V 12 a punch of R 3 comes nearer to 2.5 than the natural 1.92."""

    def uneven(radius: float) -> Body:
        runs = (run(9), up(90), run(60), up(90), run(30))
        return profile(Sheet(2.0, radius, "S235JR", 0.44), 60, *runs, name="uneven")

    with pytest.raises(InputError, match=r"is formed as R 2\.56 at uneven\.bend.2. and R 3\.00"):
        radius_as_formed(uneven, 2.5)
    with pytest.raises(InputError, match=r"inside_radius = 2\.56 mm: is the radius of no air bend"):
        radius_as_formed(_angle_with_a_radius_of_its_own, 2.5)
    with pytest.raises(InputError, match="no natural radius is known"):
        radius_as_formed(_brass, 2.5)


def _brass(radius: float) -> Body:
    return profile(Sheet(2.0, radius, "CuZn37", 0.44), 60, run(20), up(90), run(30), name="brass")


def _angle_with_a_radius_of_its_own(radius: float) -> Body:
    sheet = Sheet(2.0, radius, "S235JR", 0.44)
    return profile(sheet, 60, run(20), up(90, 2.5), run(30), name="angle")


def test_the_spread_of_a_flange_by_hand() -> None:
    """By hand, 2 mm DC01, R 2, K 0.44, 90 deg, over V 12 (R 1.92): from the stop 0.05; the angle's 0.5 deg are
    0.00873 rad times (R + t) / (2 cos2 45) - (R + K t) / 2 = 4 - 1.44 = 2.56, so 0.022; the thickness may be 0.11 off
    (EN 10131, as cited by `thickness_deviation`), times tan 45 - 0.44 pi/4 = 0.654, so 0.072; the radius 1 % of 12,
    times tan 45 - pi/4 = 0.215, so 0.026. Together 0.170, less than the 0.2 that ISO 2768-1 m allows from 6 to 30."""
    body = profile(Sheet(2.0, 2.0, "DC01", 0.44), 60, run(20), up(90), run(40), down(90), run(25), name="z")
    found = {round(each.nominal, 6): each for each in spreads(plan_bends(body))}
    assert set(found) == {20.0, 25.0}
    for each in found.values():
        assert {name: round(share, 3) for name, share in each.shares} == {
            "stop": 0.05, "angle": 0.022, "thickness": 0.072, "radius": 0.026,
        }  # fmt: skip
        assert each.total == pytest.approx(0.170, abs=0.001)
        assert each.unknown == ""


@pytest.mark.parametrize(
    ("letter", "words"), [("m", "215 % of the 0.2"), ("c", "86 % of the 0.5"), ("v", "")]
)
def test_what_the_radius_does_is_held_against_the_class_that_is_asked_for(letter: str, words: str) -> None:
    """By hand: a leg of 9 mm rests on V 12 at the most, where a punch of R 3 comes nearest to 4: each leg is then
    1 - pi/4 shorter, both 0.43 mm; ISO 2768-1, 6 to 30 mm: 0.2 m, 0.5 c, 1 v, and less than half is not noted."""
    body = profile(Sheet(2.0, 4.0, "S235JR", 0.44), 60, run(9), up(90), run(60), name="tight")
    notes = plan_bends(body, tolerance_class=letter).steps[0].notes
    said = [note for note in notes if "changes both flanges" in note]
    assert len(said) == bool(words)
    assert not words or (f"by -0.43 mm, {words} mm of ISO 2768-1 {letter} for 9 mm" in said[0])


def test_stops_of_a_tray_by_hand() -> None:
    """Sheet of `corner_tray`: walls of 25, R 2, t 1.5, K 0.44: 25 - 3.5 + pi/4 (2 + 0.66) = 23.59 to the edge of a
    wall, and across the tray, 180 or 120 outside, 180 - 3.5 + 2.09 = 178.59 and 118.59 to the upright wall."""
    stops = [round(step.stop.distance, 2) for step in plan_bends(find_recipe("corner_tray")()).steps]
    assert stops == [23.59, 178.59, 23.59, 118.59]


def test_what_helps_is_planned_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By hand (tests/checks/cases.py): the leg may be 82.5 mm high and not 83.5, so the nearest change is between."""
    recipe = f"{Path(__file__).parents[1] / 'checks' / 'samples.py'}:deep_channel"
    assert main(["plan", recipe, "--set", "height=83.5", "--out", str(tmp_path)]) == 1
    helps = re.search(r"helps +height at most ([\d.]+) mm: planned again, 2 steps", capsys.readouterr().out)
    assert helps is not None
    assert 82.5 <= float(helps[1]) < 83.5
    assert main(["plan", recipe, "--set", "height=83.5", "--fix-budget", "0", "--out", str(tmp_path)]) == 1
    assert "what would help was sought for 0 s; --fix-budget gives it longer" in capsys.readouterr().out
