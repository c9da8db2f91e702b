"""Every rule keeps quiet just inside its limit and speaks just outside it; sources are with the cases."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from formparts import Sheet, add_flange, find_recipe, limit_profile, plate, recipes, rectangle
from formparts.blanks import blank
from formparts.checks import (
    GENERAL,
    RULES,
    Finding,
    LimitProfile,
    RuleInput,
    findings,
    part_findings,
    rule_of,
)
from formparts.checks.finding import RANK
from formparts.closed_forms import properties
from formparts.expect import Expectation, compared, expectation
from formparts.fixes import suggested_fixes
from formparts.recipe_functions import Recipe
from formparts.shapes import profile, run, up
from formparts.sources import is_known
from recipes.u_channel import u_channel
from tests.checks.cases import CASES, Case, every_case

BY_HAND = {"blank-outline-not-simple", "crossing-bend-lines", "relief-missing", "opening-across-bend"}
"""Codes that no shipped recipe leads to; test_blanks.py has them on blanks drawn by hand."""


def profile_of(case: Case, folder: Path) -> LimitProfile:
    """The general limits, or those of a shop's file."""
    if not case.limits:
        return limit_profile(GENERAL)
    path = folder / "shop.toml"
    path.write_text(case.limits, encoding="utf-8")
    return limit_profile(str(path))


def expected_of(case: Case) -> tuple[Expectation, ...]:
    return tuple(expectation(text, 0.005) for text in case.expect)


def part_of(case: Case, values: object, folder: Path) -> RuleInput:
    """The recipe's part, as the rules see it."""
    assert isinstance(values, dict)
    body = case.recipe(**values)
    flat = blank(body)
    figures = compared(expected_of(case), properties(body), flat) if case.expect else ()
    return RuleInput(flat, body.sheet.material, profile_of(case, folder), body, figures)


def found_on(case: Case, values: object, folder: Path) -> list[Finding]:
    """Findings of the case's code on its recipe; the other rules are not asked."""
    found = part_findings(part_of(case, values, folder), (rule_of(case.code),))
    return [item for item in found if item.code == case.code]


def as_bad(case: Case, values: object, finding: Finding, folder: Path) -> set[str]:
    """Codes of all findings as bad as one; rules that have no such findings are not asked."""
    rules = tuple(rule for rule in RULES if RANK[rule.worst] <= RANK[finding.severity])
    found = part_findings(part_of(case, values, folder), rules)
    return {item.code for item in found if RANK[item.severity] <= RANK[finding.severity]}


@every_case
def test_a_part_just_inside_its_limit_is_let_pass(case: Case, tmp_path: Path) -> None:
    """The rule says nothing."""
    assert found_on(case, case.inside, tmp_path) == []


@every_case
def test_a_part_just_outside_its_limit_is_found(case: Case, tmp_path: Path) -> None:
    """The rule says what, where, how much, from where and what to do, in one line."""
    part = part_of(case, case.outside, tmp_path)
    assert part.body is not None
    all_found = findings(part.body, part.blank, part.profile, part.expected)
    found = [item for item in all_found if item.code == case.code]
    assert found
    worst = next(rule.worst for rule in RULES if case.code in rule.codes)
    for item in found:
        assert RANK[item.severity] >= RANK[worst]
        assert item.message
        assert "\n" not in str(item)
        assert is_known(item.source) or case.limits, item.source
        assert item.fix


def worse(case: Case, values: dict[str, Any], finding: Finding, folder: Path) -> bool:
    """True when a finding is still there, or as bad a one of another code has come instead."""
    if [item for item in found_on(case, values, folder) if item.severity == finding.severity]:
        return True
    now = as_bad(case, values, finding, folder)
    return not now <= as_bad(case, case.outside, finding, folder)


@every_case
def test_a_mend_is_the_nearest_that_clears_the_finding(case: Case, tmp_path: Path) -> None:
    """Made again with the fix the finding is gone; one digit nearer to the old value it, or another, is there."""
    if not case.fixed_by:
        return  # the finding is a note, or another case has the same fix on a smaller part
    finding = found_on(case, case.outside, tmp_path)[0]
    profile, expect = profile_of(case, tmp_path), expected_of(case)
    given = case.recipe.resolved(**case.outside)
    found = suggested_fixes(case.recipe, given, finding, profile, expect)
    assert set(case.fixed_by) <= {fix.parameter for fix in found}
    for fix in found:
        fixed = {**case.outside, fix.parameter: fix.value}
        assert not [item for item in found_on(case, fixed, tmp_path) if item.severity == finding.severity]
        start = given[fix.parameter]
        step = (
            1 if isinstance(start, int) else 0.1 if abs(start) >= 10 else 0.01 if abs(start) >= 0.1 else 0.001
        )
        if fix.parameter == "thickness" and fix.bound == "=" and case.code != "drawing-value-missed":
            continue  # the nearest that is sold; see test_mends
        nearer = fix.value - math.copysign(step, fix.value - start)
        if abs(nearer - start) < abs(fix.value - start) and (nearer - start) * (fix.value - start) >= 0:
            back = {**case.outside, fix.parameter: type(start)(round(nearer, 9))}
            assert worse(case, back, finding, tmp_path), fix


def test_every_rule_has_a_case() -> None:
    """No rule is left without a part on either side of its limit."""
    codes = {code for rule in RULES for code in rule.codes}
    assert codes == {case.code for case in CASES} | BY_HAND


def test_rules_are_named_once_and_say_what_they_look_for() -> None:
    """Names and codes are stable keys."""
    names = [rule.name for rule in RULES]
    codes = [code for rule in RULES for code in rule.codes]
    assert len(set(names)) == len(names)
    assert len(set(codes)) == len(codes)
    assert all(rule.text.endswith(".") for rule in RULES)


@pytest.mark.parametrize("recipe", recipes(), ids=lambda recipe: recipe.name)
def test_no_rule_fires_on_a_recipe_as_shipped(recipe: Recipe) -> None:
    """The defaults of our recipes are sound practice; slots across a corner are noted, which is what they are."""
    body = recipe()
    noted = {"opening-across-bend"} if recipe.name == "roof_purlin" else set()
    assert {(one.code, one.severity) for one in findings(body, blank(body))} == {
        (code, "note") for code in noted
    }


def test_a_distance_wanted_grows_with_thickness_and_radius() -> None:
    """DR-14: any rule, whatever its figures."""
    for name in (GENERAL, "structural", "aircraft"):
        limit = limit_profile(name).limits["opening_to_bend"]
        assert limit.at(2, 2) < limit.at(3, 2) < limit.at(3, 4)


def test_findings_are_the_same_in_a_mirror() -> None:
    """DR-14: a part and its mirror image have the same findings."""
    from formparts import mirror

    body = find_recipe("ring_riser")(lug_start=3, relief_width=1.5)
    there = mirror(body, "yz", name="ring_riser")

    def figures(one: object) -> list[tuple[str, float]]:
        return sorted((item.code, round(item.measured, 6)) for item in findings(one, blank(one)))  # type: ignore[arg-type]

    assert figures(body) == figures(there)
    assert len(figures(body)) == 10


def test_two_bends_to_one_side_are_no_offset() -> None:
    """In a narrow channel the bend lines are 13.9 - 9 + 5.02 = 9.9 mm apart; only up and down make an offset."""
    body = u_channel(width=13.9, hole_count=1, hole_diameter=2.4)
    assert "offset-too-short" not in {item.code for item in findings(body, blank(body))}


@pytest.mark.parametrize(
    ("angle", "rule", "found"), [(10, "DIN 6935", False), (10, 0.6, True), (20, 0.6, True)]
)
def test_a_slight_bend_that_the_standard_neglects_is_no_finding(angle: float, rule: Any, found: bool) -> None:
    """DIN 6935 makes no correction below 15 deg (from memory), which no K-factor up to 0.5 would give."""
    base = plate(Sheet(2, 3, "S235JR", rule), rectangle(100, 60), "base")
    body = add_flange(base, "back", 30, angle=angle)
    codes = [finding.code for finding in findings(body, blank(body))]
    assert ("neutral-fibre-outside-middle" in codes) == found


@pytest.mark.parametrize(
    ("material", "thickness", "radius", "severity"),
    [
        ("S235JR", 2.0, 2.0, "note"),  # R = t in ordinary steel: daily work (common practice, no source)
        ("DC01", 1.5, 1.5, "note"),
        ("S235JR", 2.0, 1.9, "warning"),  # DIN 6935 asks 2.5 mm
        ("S235JR", 8.0, 8.0, "warning"),  # and 12 mm: no daily work in plate
        ("S355J2", 2.0, 2.0, "note"),
        ("HCT590X+Z", 2.0, 2.0, "warning"),  # no ordinary steel
        ("6061-T6", 2.0, 2.0, "warning"),
        ("5754-O", 2.0, 2.0, ""),  # EN 485-2 allows 1 t
        ("1.4301", 2.0, 2.0, ""),
    ],
)
def test_a_radius_of_one_thickness_in_ordinary_steel_is_no_warning(
    material: str, thickness: float, radius: float, severity: str
) -> None:
    body = profile(Sheet(thickness, radius, material, 0.44), 60, run(80), up(90), run(80))
    found = [item for item in findings(body, blank(body)) if item.code == "inside-radius-too-small"]
    assert [item.severity for item in found] == ([severity] if severity else [])


def test_an_estimate_of_the_radius_is_a_note_that_says_so(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('[[material]]\nname = "shop metal"\ndensity = 7850\nelongation = 10\n')
    body = profile(Sheet(2.0, 2.0, f"{path}:shop metal", 0.44), 60, run(80), up(90), run(80))
    (item,) = [each for each in findings(body, blank(body)) if each.code == "inside-radius-too-small"]
    assert item.severity == "note"
    assert "an estimate from its elongation of 10 %" in item.message
    assert item.fix.startswith("bend a test strip")
