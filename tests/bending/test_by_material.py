"""K by material: each rule that names it, with the printed K of the rule."""

from __future__ import annotations

import pytest

from formparts import bending
from formparts.bending import bend_rule, k_by_rule
from formparts.errors import InputError
from formparts.materials import known_materials
from formparts.sources import is_known
from tests.house.docstrings import docstring_faults


@pytest.mark.parametrize("name", ["KByRule", "k_by_rule"])
def test_k_by_material_keeps_its_contract(name: str) -> None:
    assert docstring_faults(name, getattr(bending, name)) == []


@pytest.mark.parametrize(
    ("material", "radius", "process", "rule", "k"),
    [
        # R = t. DIN 6935 (seen): 0.325; Machinery's Handbook (from memory): 0.350, 0.407, 0.452 with R = 0.
        ("DC01", 2, "air", "DIN 6935", 0.325),
        ("S235JR", 6, "air", "DIN 6935", 0.4443),
        ("DC01", 0, "coining", "Machinery's Handbook hard", 0.452),
        ("S235JR", 0, "coining", "Machinery's Handbook medium", 0.407),
        ("CuZn37 R300", 0, "air", "Machinery's Handbook soft", 0.350),
        ("CuZn37", 0, "air", "Machinery's Handbook medium", 0.407),
        ("Cu-ETP R360", 0, "air", "Machinery's Handbook hard", 0.452),
        ("2024-T3", 0, "air", "aircraft handbook", 0.447),  # FAA-H-8083-31
        ("1.4301", 3, "air", "Groover", 0.33),
        ("1.4301", 4, "air", "Groover", 0.50),
        ("5754-O", 2, "air", "K table air soft", 0.33),  # Wikipedia, Bending (metalworking)
        ("S235JR", 2, "air", "K table air medium", 0.38),
        ("1.4301", 4, "air", "K table air hard", 0.45),
        ("S235JR", 4, "bottoming", "K table bottoming medium", 0.47),
    ],
)
def test_a_published_k_is_there_by_its_rule(
    material: str, radius: float, process: str, rule: str, k: float
) -> None:
    found = {one.rule: one for one in k_by_rule(material, radius, 2, process)}
    assert found[rule].k == pytest.approx(k, abs=0.0015)
    assert is_known(found[rule].source)
    assert bend_rule(rule).source == found[rule].source


def test_every_material_has_rules_that_are_for_it_and_no_others() -> None:
    """DIN 6935 is for steel bent in air; the aircraft formula for aluminium alloys."""
    for grade in known_materials():
        names = [one.rule for one in k_by_rule(grade, 2, 2)]
        assert len(names) >= 2
        assert ("DIN 6935" in names) == (grade.family == "carbon steel")
        assert ("aircraft handbook" in names) == (grade.family == "aluminium")
        assert "DIN 6935" not in [one.rule for one in k_by_rule(grade, 2, 2, "coining")]


def test_an_unknown_process_is_refused() -> None:
    with pytest.raises(InputError, match="one of air, bottoming, coining"):
        k_by_rule("DC01", 2, 2, "rolling")
