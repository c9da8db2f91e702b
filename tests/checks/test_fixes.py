"""Fixes: the nearest value that clears a finding, and the truth when there is none."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import pytest

from formparts import (
    Angle,
    Body,
    Finding,
    Length,
    Motion,
    Sheet,
    add_flange,
    cut_opening,
    disc,
    grid,
    plate,
    recipe,
    rectangle,
)
from formparts.blanks import blank
from formparts.checks import RULES, Rule, RuleInput, findings, part_findings, rule_of
from formparts.cli import main
from formparts.fixes import NONE_FOUND, suggested_fixes, with_fixes
from formparts.recipe_functions import Recipe
from recipes.corner_tray import corner_tray
from recipes.ring_riser import ring_riser
from recipes.u_channel import u_channel
from recipes.z_clip import z_clip
from tests.checks.samples import lug_ring


def found_by(rules: tuple[Rule, ...], recipe_: Recipe, **values: object) -> Iterator[Finding]:
    body = recipe_(**values)
    return part_findings(RuleInput(blank(body), body.sheet.material, body=body), rules)


def first(recipe_: Recipe, code: str, **values: object) -> Finding:
    return next(item for item in found_by((rule_of(code),), recipe_, **values) if item.code == code)


def cleared(recipe_: Recipe, code: str, **values: object) -> bool:
    return all(item.code != code for item in found_by((rule_of(code),), recipe_, **values))


@pytest.mark.parametrize(
    ("recipe_", "code", "values", "digit"),
    [
        (u_channel, "flange-too-short", {"height": 7.0}, 0.01),
        (u_channel, "opening-near-opening", {"hole_pitch": 8.0}, 0.01),
        (z_clip, "offset-too-short", {"rise": 6.0, "bend_angle": 60.0}, 0.1),
        (lug_ring, "blank-overlap", {"lug_count": 7}, 0.01),
    ],
)
def test_one_digit_nearer_the_finding_is_still_there(
    recipe_: Recipe, code: str, values: dict[str, object], digit: float
) -> None:
    """Nearest means nearest: no rounder value between the old one and the fix will do."""
    given = recipe_.resolved(**values)
    found = suggested_fixes(recipe_, given, first(recipe_, code, **values))
    assert found
    for fix in (fix for fix in found if fix.bound != "="):  # of a sheet the nearest that is sold
        back = 1.0 if fix.bound == "at most" else -1.0
        step = 1 if isinstance(fix.value, int) else (digit if fix.value < 10.0 else 0.1)
        assert cleared(recipe_, code, **{**values, fix.parameter: fix.value})
        nearer = {**values, fix.parameter: fix.value + back * step}
        # Still there, or gone for something as bad, which is why the fix lies farther off; its own rule is asked first.
        rules = (rule_of(code), *RULES)
        assert any(item.severity in ("error", "warning") for item in found_by(rules, recipe_, **nearer))


def test_lugs_that_overlap_are_mended_by_number_or_width() -> None:
    """
    As the design page has it: so many lugs, or a width at which one more fits.

    By hand at the defaults: a tip's middle lies on the blank on radius 41 - (2 x 3.540 + 12.124 - 12.124) = 33.92,
    where round tips of 26 mm touch at pi / asin(13 / 33.92) = 8.0 less a hair, so 7 fit; nine have 2 x 33.92
    sin 20 = 23.20 mm each, less a cut of 0.3 mm.
    """
    given = ring_riser.resolved(lug_count=9)
    found = suggested_fixes(ring_riser, given, first(ring_riser, "blank-overlap", lug_count=9))
    assert {fix.text for fix in found} == {"lug_count at most 7", "lug_width at most 22.9 mm"}


@recipe
def long_plate(length: Annotated[float, Length("of the plate", 4000, 5000)] = 4200) -> Body:
    """Plate that is longer than any stock sheet."""
    return plate(Sheet(2, 2.5, "DC01"), rectangle(length, 100), name="long_plate")


def test_when_nothing_helps_it_is_said() -> None:
    """The shortest plate that the recipe makes is a metre longer than the stock sheet."""
    body = long_plate()
    before = findings(body, blank(body))
    (item,) = with_fixes(long_plate, long_plate.resolved(), before)
    assert item.code == "blank-larger-than-stock"
    assert item.fix == NONE_FOUND
    assert suggested_fixes(long_plate, long_plate.resolved(), before[0]) == ()


def test_findings_of_a_kind_share_their_mend_and_notes_keep_their_advice() -> None:
    """Two flanges are too short by the same height; the odd thickness is a note."""
    values = {"height": 7.0, "thickness": 2.2}
    body = u_channel(**values)
    fixed = with_fixes(u_channel, u_channel.resolved(**values), findings(body, blank(body)))
    flanges = [item.fix for item in fixed if item.code == "flange-too-short"]
    assert len(flanges) == 2
    assert len(set(flanges)) == 1
    assert "height at least " in flanges[0]
    (note,) = [item for item in fixed if item.severity == "note"]
    assert "ask what is in stock" in note.fix


def test_a_mend_brings_no_new_error() -> None:
    """Among all fixes of a narrow web of holes none makes the flanges short or the blank overlap."""
    values = {"hole_diameter": 40.0}
    finding = first(u_channel, "opening-near-bend", **values)
    found = suggested_fixes(u_channel, u_channel.resolved(**values), finding)
    assert found
    for fix in (fix for fix in found if fix.bound != "="):  # of a sheet the nearest that is sold
        body = u_channel(**{**values, fix.parameter: fix.value})
        assert findings(body, blank(body)) == ()


def test_mends_are_the_same_each_time() -> None:
    """No clock and no chance has a say."""
    finding = first(u_channel, "flange-too-short", height=7.0)
    runs = [suggested_fixes(u_channel, u_channel.resolved(height=7.0), finding) for _ in range(2)]
    assert runs[0] == runs[1]


@recipe
def two_holes(
    pitch: Annotated[float, Length("of two holes", 1, 80)] = 30,
    bore: Annotated[float, Length("diameter of the holes", 0.2, 50)] = 10,
    aside: Annotated[float, Length("of both from the middle", 0, 60)] = 0,
    height: Annotated[float, Length("of a flange along the back", 5, 80)] = 20,
    angle_: Annotated[float, Angle("of the flange", 10, 170)] = 90,
) -> Body:
    """A plate of 100 x 60 and 2 mm, with two holes and a flange."""
    base = plate(Sheet(2, 3, "DC01", 0.44), rectangle(100, 60), "base")
    body = add_flange(base, "back", height, angle=angle_)
    places = [Motion.shift(aside, 0)] if aside else grid(2, 1, pitch, 1)
    return cut_opening(body, disc(bore), "base", places, name="hole")


@pytest.mark.parametrize(
    ("given", "code", "wanted"),
    [
        # A web of 0.5 mm, and twice the thickness is wanted: holes that run into each other have no web any more.
        ({"pitch": 10.5}, "opening-near-opening", {"pitch at least 14 mm", "bore at most 6.5 mm"}),
        # 1 mm to the edge at x = 50: beyond it the hole would be a notch with two sharp cusps.
        ({"aside": 44}, "opening-near-edge", {"aside at most 43 mm", "bore at most 8 mm"}),
        # Bent farther the flange would be a hem, for which no die is asked; 6 / cos (A / 2) is 8 mm at 82.8 deg.
        ({"height": 8}, "flange-too-short", {"height at least 8.49 mm", "angle_ at most 82.8 deg"}),
        # Far away from what will do.
        ({"bore": 0.5}, "opening-too-small", {"bore at least 2.4 mm"}),
    ],
)
def test_a_mend_leaves_the_part_what_it_is(given: dict[str, float], code: str, wanted: set[str]) -> None:
    """No holes that run together or out of the plate, no flange that becomes a hem."""
    resolved = two_holes.resolved(**given)
    body = two_holes(**given)
    (finding, *_) = (item for item in findings(body, blank(body)) if item.code == code)
    assert {fix.text for fix in suggested_fixes(two_holes, resolved, finding)} == wanted


def test_a_mend_by_another_sheet_is_one_that_is_sold() -> None:
    """
    Walls of 16 mm, t 3, r 3: by the die table 2.6 mm would do, and the next sheet below it is 2.5 mm.

    2.5 mm is a usual thickness of cold rolled sheet (common practice, no source); the series has its own test.
    """
    values = {"thickness": 3.0, "inside_radius": 3.0, "height": 16.0}
    found = suggested_fixes(
        corner_tray, corner_tray.resolved(**values), first(corner_tray, "flange-too-short", **values)
    )
    by_name = {fix.parameter: fix for fix in found}
    assert by_name["thickness"].text == "thickness = 2.5 mm"
    assert cleared(corner_tray, "flange-too-short", **{**values, "thickness": 2.5})


def test_a_search_without_time_says_so_and_the_finding_stands() -> None:
    """No time at all: the same findings, and in place of a fix how long was sought and which option gives more."""
    before = findings(long_plate(), blank(long_plate()))
    after = with_fixes(long_plate, long_plate.resolved(), before, budget=0.0)
    assert [(each.code, each.where, each.measured) for each in after] == [
        (each.code, each.where, each.measured) for each in before
    ]
    sought = [each for each in after if each.severity in ("error", "warning")]
    assert sought
    assert {each.fix for each in sought} == {
        "the search for a fix was ended after 0 s; --fix-budget gives it longer"
    }


@pytest.mark.parametrize("given", ["-1", "nan", "soon", "inf"])
def test_a_budget_that_cannot_be_used(given: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One line with the option and what it takes."""
    assert main(["check", "z_clip", "--fix-budget", given]) == 2
    assert "--fix-budget" in capsys.readouterr().err
