"""Hems, curls and rolls in the plan, by hand: two steps of a hem, their tools, stops and forces."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from formparts.body import Body, Sheet
from formparts.outline import rectangle
from formparts.part import Part
from formparts.planning import BendPlan, PlanStep, plan_bends, plan_words, tool_table
from formparts.recipe_functions import find_recipe
from formparts.setter_sheets import plan_lines
from formparts.shapes import add_curl, add_flange, add_hem, plate, profile, run, up

SHEET = Sheet(1.0, 1.5, "DC01", 0.44)
TONNE, SHORT_TON, FOOT = 9.80665, 8.896443, 0.3048
STRONG = 410 / 414
"""DC01 has up to 410 MPa (EN 10130); charts of forces are made for 60,000 psi (common practice, no source)."""


def base() -> Body:
    return plate(SHEET, rectangle(200, 60), name="base")


def kinds(plan: BendPlan) -> list[str]:
    return [step.kind for step in plan.steps]


def only(plan: BendPlan, kind: str) -> PlanStep:
    (step,) = [step for step in plan.steps if step.kind == kind]
    return step


def test_a_closed_hem_is_bent_acute_and_pressed_flat() -> None:
    """
    The two steps of the trade (S. D. Benson, Press Brake Technology, SME 1997, p. 137: an acute bend, then a flattening
    die). Stops by hand: the hem of 8 is developed to 8 - 1 - 0.001 + (pi/2) 0.501 = 7.786 from its bend line; the
    flange then rests on the fold, 60 - (R + t) + A/2 away with A = (pi/2) (R + 0.44 t). Force of the second:
    Benson, p. 138, 40 t/m at 1 mm, 0.2 m of it.
    """
    plan = plan_bends(add_flange(add_hem(base(), "back", 8), "front", 25, name="flange"))
    acute, closed, flange = plan.steps
    assert kinds(plan) == ["acute", "closed", "bend"]
    assert (acute.punch.kind, acute.die.name, acute.angle_under_load) == ("acute", "V 6, 30 deg", 150.0)
    assert (closed.punch.kind, closed.die.name) == ("hemming", "flat block")
    assert acute.stop.distance == pytest.approx(8 - 1.001 + math.pi / 2 * 0.501)
    assert (flange.stop.kind, flange.stop.flat) == ("fold", "hem")
    assert flange.stop.distance == pytest.approx(60 - 2.5 + math.pi / 4 * 1.94)
    assert closed.force == pytest.approx(40 * TONNE * 0.2 * STRONG, rel=1e-9)
    assert plan.numbers == {"hem.bend": 1, "flange.bend": 3}
    lines = "\n".join(plan_lines(plan))
    assert "Closed between flat tools in step 2." in lines
    assert "Pressed shut, without a gap" in lines
    assert "0.001" not in lines
    assert "no die" not in lines


def test_the_hem_of_a_part_is_closed_before_its_wall_stands() -> None:
    """By hand: a hem of 10 mm inside an upright wall of 60 cannot lie level on a block below a ram."""
    plan = plan_bends(find_recipe("bench_drawer")())
    steps = {(name, step.kind): step.number for step in plan.steps for name in step.bends}
    for hem, wall in (("right_hem.bend", "wall[4]"), ("left_hem.bend", "wall[2]")):
        assert steps[hem, "acute"] < steps[hem, "closed"] < steps[f"bench_drawer.{wall}.bend", "bend"]
    assert sum(step.up != plan.steps[0].up for step in plan.steps) == 0


def test_open_hems_get_a_spacer_and_teardrops_keep_their_loop() -> None:
    """A spacer as thick as the gap; Benson, p. 138, open hem: 15 t/m at 1 mm, 200 mm of it."""
    opened = only(plan_bends(add_hem(base(), "back", 10, kind="open", gap=3)), "open")
    assert any("spacer of 3 mm" in note for note in opened.notes)
    tear = only(plan_bends(add_hem(base(), "back", 14, kind="teardrop", inside_radius=2)), "teardrop")
    assert any("loop outside the tools" in note for note in tear.notes)
    for step in (opened, tear):
        assert step.force == pytest.approx(15 * TONNE * 0.2 * STRONG, rel=1e-9)
    # The flat punch is 30 mm wide, the loop 2 (2 + 1) mm: its outside is 15 + 6 mm behind the middle of the punch.
    assert tear.stop.distance == pytest.approx(15 + 6)


def test_a_curl_is_one_step_in_curling_dies_and_a_large_radius_is_rolled() -> None:
    """Die maker's chart (common practice): 300 short tons for each foot and inch of thickness, so 300/25.4 at 1 mm."""
    curl = only(plan_bends(add_curl(base(), "back", 10)), "curl")
    assert curl.force == pytest.approx(300 / 25.4 * SHORT_TON / FOOT * 0.2 * STRONG, rel=1e-6)
    assert any("curling dies made for 10 mm outside" in note for note in curl.notes)
    leg = run(50, "tangent line")
    rolled = plan_bends(profile(Sheet(1, 2, "DC01", 0.44), 100, leg, up(40, 2000), leg, name="roll"))
    assert kinds(rolled) == ["roll"]
    assert rolled.steps[0].force is None
    assert not any("bent to" in note or "step" in note for note in rolled.steps[0].notes)


def test_an_acute_bend_is_pressed_on_between_flat_tools() -> None:
    """By hand: 165 deg is 15 more than dies of 30 deg reach; it gets a second step and no hem's words."""
    bent = profile(SHEET, 100, run(50, "tangent line"), up(165, 2), run(40, "tangent line"), name="sharp")
    plan = plan_bends(bent)
    assert kinds(plan) == ["acute", "pressed on"]
    assert plan.steps[0].angle_under_load == 150
    assert any("where 165 deg are left" in note for note in plan.steps[1].notes)


def test_a_hem_over_its_flange_is_said_to_be_in_the_way() -> None:
    """By hand: a hem that runs to the corner lies double under the punch of the next flange's line."""
    body = add_hem(plate(SHEET, rectangle(200, 160), name="panel"), "left", 8, name="left")
    plan = plan_bends(add_flange(body, "front", 40, name="front", edge_to="tangent line"))
    assert not plan.found
    assert "left" in plan.problem
    assert [found.code for found in Part(plan.body).findings()].count("no-bend-order") == 1


def test_tools_without_a_flat_punch_are_told(tmp_path: Path) -> None:
    """A shop's own table without hemming tools: one line that says what is missing."""
    text = (Path(__file__).parents[2] / "formparts" / "data" / "tools.toml").read_text(encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(
        text.replace('kind = "hemming"', 'kind = "straight"').replace("angle = 180", "angle = 180.0")
    )
    plan = plan_bends(add_hem(base(), "back", 8), tools=tool_table(own))
    assert "own.toml has no punch of the kind hemming" in plan_words(plan)
