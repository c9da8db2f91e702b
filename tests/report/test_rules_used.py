"""Every rule and figure of a part's papers is listed with what may be cited; nothing is written of how it was read."""

from __future__ import annotations

import pytest

from formparts.blanks import blank
from formparts.body import Sheet
from formparts.checks import GENERAL, findings, limit_profile
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.report.html import report_page
from formparts.report.rules_used import cited, rules_used
from formparts.shapes import profile, run, up
from formparts.sources import is_known

RECIPES = ("angle_bracket", "ring_riser", "u_channel", "corner_tray")


@pytest.mark.parametrize("name", RECIPES)
def test_every_rule_of_a_part_can_be_looked_up(name: str) -> None:
    body = find_recipe(name)()
    flat = blank(body)
    rules = rules_used(body.sheet, flat, findings(body, flat))
    assert len(set(rules)) == len(rules)
    uses = {rule.use for rule in rules}
    assert {"mass", "developed length", "smallest inside radius", "angle under load", "die opening"} <= uses
    for rule in rules:
        assert is_known(rule.citation), rule
        assert rule.figure
        assert "seen" not in rule.citation
        assert "memory" not in rule.citation


def test_the_rules_of_an_angle_by_hand() -> None:
    """S235JR, 2 mm, R 2, 90 deg: DIN 6935 asks 2.5 mm; factor 0.99 gives 90.9 deg; V is 6 t = 12; EN 10051 +- 0.19."""
    body = profile(Sheet(2.0, 2.0, "S235JR", 0.44), 40, run(60), up(90), run(40))
    rules = {rule.use: rule for rule in rules_used(body.sheet, blank(body))}
    assert rules["mass"].figure == "density of S235JR: 7850 kg/m3"
    assert rules["smallest inside radius"].figure.startswith("2.5 mm at 90 deg (DIN 6935")
    assert rules["angle under load"].figure.startswith("90.9 deg for 90 deg, R 2 mm")
    assert rules["die opening"].figure == "V 12 mm for 90 deg, R 2 mm, 6 t or wider"
    assert rules["thickness of the sheet"].figure.startswith("2 mm +- 0.19 mm")
    assert "EN 10051:2010" in rules["thickness of the sheet"].publication
    assert cited(rules["die opening"]) == "common practice"
    assert cited(rules["developed length"]) == ""  # the user's own K-factor


def test_the_limits_that_a_part_was_held_against_are_listed_by_what_is_on_it() -> None:
    """data/limits.toml: 1.5 t + R beside a bend (common practice); a plain flat is not asked for it."""
    body = find_recipe("angle_bracket")()
    rules = {rule.use: rule for rule in rules_used(body.sheet, blank(body), (), limit_profile(GENERAL))}
    assert rules["limit: opening to bend"].figure == "1.5 t + 1 R"
    assert rules["limit: relief width"].figure == "1 t, at least 1 mm"
    assert rules["limit: press force"].figure == "1000 kN"
    assert "Bralla" in rules["limit: relief width"].publication
    assert "limit: hem leg" not in rules
    assert all(is_known(rule.citation) for rule in rules.values())
    plain = profile(Sheet(2.0, 2.0, "S235JR", 0.44), 40, run(60))
    asked = {rule.use for rule in rules_used(plain.sheet, blank(plain), (), limit_profile(GENERAL))}
    assert "limit: web" in asked
    assert not {"limit: opening to bend", "limit: press force", "limit: relief width"} & asked


def test_the_page_lists_the_rules_and_says_nothing_of_how_they_were_read() -> None:
    body = find_recipe("angle_bracket")()
    page = report_page(Part(body))
    assert "Rules and figures used for this part" in page
    for rule in rules_used(body.sheet, blank(body), (), limit_profile(GENERAL)):
        assert rule.use in page
    assert "(seen)" not in page
    assert "from memory" not in page
