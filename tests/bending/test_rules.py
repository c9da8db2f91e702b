"""Bend rules are values with a name and a source, read from text, and long what their source says."""

from __future__ import annotations

import copy
import math
import pickle
from pathlib import Path

import numpy as np
import pytest

from formparts import bending
from formparts.errors import InputError

KINDS = [
    bending.KFactor(0.44),
    bending.KFactor(0.31),
    bending.Din6935(),
    bending.Groover(),
    bending.MachineryHandbook("soft"),
    bending.MachineryHandbook("hard"),
    bending.AircraftHandbook(),
    bending.KTable("air", "soft"),
    bending.KTable("coining", "hard"),
    bending.AllowanceTable(((2.0, 2.0, 30.0, 1.5), (2.0, 2.0, 150.0, 7.5))),
]


@pytest.mark.parametrize("rule", KINDS, ids=lambda rule: rule.name)
def test_rule_is_a_value(rule: bending.BendRule) -> None:
    """A rule equals its pickled and copied self, can be a key, and differs from every other."""
    assert pickle.loads(pickle.dumps(rule)) == rule == copy.deepcopy(rule)
    assert [other for other in KINDS if other == rule] == [rule]
    assert hash(pickle.loads(pickle.dumps(rule))) == hash(rule)
    assert len(rule.name) > 4
    assert len(rule.source) > 10
    assert bending.bend_rule(rule) is rule


@pytest.mark.parametrize("rule", KINDS, ids=lambda rule: rule.name)
def test_allowance_grows_with_the_angle_and_lies_in_the_sheet(rule: bending.BendRule) -> None:
    """The neutral fibre is longer than the inner face, shorter than the outer (above DIN's 15 deg step)."""
    lengths = [rule.allowance(angle, 2, 2) for angle in (30, 60, 90, 150)]
    assert lengths == sorted(lengths)
    for angle, length in zip((30, 60, 90, 150), lengths, strict=True):
        assert type(length) is float
        inner, outer = (bending.bend_allowance(angle, 2, 2, k_factor) for k_factor in (0, 1))
        assert inner < length < outer


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("0.44", bending.KFactor(0.44)),
        (" K 0.44 ", bending.KFactor(0.44)),
        ("k=.3", bending.KFactor(0.3)),
        ("K-factor 0.5", bending.KFactor(0.5)),
        (0.5, bending.KFactor(0.5)),
        (np.float64(0.5), bending.KFactor(0.5)),
        (1, bending.KFactor(1.0)),
        ("din6935", bending.Din6935()),
        ("DIN 6935", bending.Din6935()),
        ("din_6935", bending.Din6935()),
        ("Groover", bending.Groover()),
        ("Machinery's Handbook hard", bending.MachineryHandbook("hard")),
        ("Machinery's Handbook, SOFT", bending.MachineryHandbook("soft")),
        ("aircraft handbook", bending.AircraftHandbook()),
        ("K table air medium", bending.KTable("air", "medium")),
        ("k_table_bottoming_hard", bending.KTable("bottoming", "hard")),
    ],
)
def test_rule_is_read_from_text(text: str | float, rule: bending.BendRule) -> None:
    """The ways to write a rule on a command line."""
    assert bending.bend_rule(text) == rule


@pytest.mark.parametrize("rule", KINDS[:-1], ids=lambda rule: rule.name)
def test_name_of_a_rule_is_a_way_to_write_it(rule: bending.BendRule) -> None:
    """What a report calls a rule can be typed back."""
    assert bending.bend_rule(rule.name) == rule


@pytest.mark.parametrize(
    "bad",
    [
        *("", "K", "K 1.01", "K -0.1", "nan", "K 0.4 mm", "DIN 6936", "Machinery's Handbook", "x" * 500),
        *("a\nb", "none.csv", Path("none.csv"), None, True, float("nan"), float("inf"), 1e300, 10**400),
        *([0.44], {}, bending.KFactor, object()),
    ],
    ids=lambda bad: str(bad)[:20],
)
def test_bad_rule_is_refused_in_one_line(bad: object) -> None:
    """What is not a rule is refused, with the ways to write one or the range of the K-factor."""
    with pytest.raises(InputError) as caught:
        bending.bend_rule(bad)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 260


@pytest.mark.parametrize("temper", ["", "Soft", "full hard", None, 3, []], ids=str)
def test_unknown_temper_is_refused(temper: object) -> None:
    """Three tempers are printed, no more."""
    with pytest.raises(InputError, match="one of soft, medium, hard"):
        bending.MachineryHandbook(temper)


@pytest.mark.parametrize("given", [("air", "tough"), ("rolling", "soft"), ("", ""), (None, 3)], ids=str)
def test_unknown_process_or_class_is_refused(given: tuple[str, str]) -> None:
    """Three processes and three classes are printed, no more."""
    with pytest.raises(InputError, match="one of air soft, air medium"):
        bending.KTable(*given)


def test_table_of_rules_reads_its_own_examples() -> None:
    """Each line's first example is read by that line's rule; its text has formula, reach and source."""
    for line, text in zip(bending.RULES, bending.rule_texts(), strict=True):
        example = line.example.split(" | ")[0]
        if example.endswith(".csv"):
            continue  # there is no such file; reading one is tested with the table
        assert bending.bend_rule(example).source == line.source
        for part in (line.example, line.formula, line.reach, line.source):
            assert part in text


def test_every_rule_has_a_line_in_the_table() -> None:
    """No rule is kept out of the table that help and docs are made from."""
    assert {rule.source for rule in KINDS} == {line.source for line in bending.RULES}


def test_rounding_does_not_move_a_bend_over_the_step_of_groover() -> None:
    """R = 2 t is R = 2 t, also where 0.1 + 0.2 is a little more than 0.3."""
    assert bending.Groover().allowance(90, 0.6, 0.1 + 0.2) == pytest.approx(
        bending.bend_allowance(90, 0.6, 0.3, 0.5)
    )
    assert bending.Groover().allowance(90, 0.599, 0.3) == bending.bend_allowance(90, 0.599, 0.3, 0.33)


def test_din_takes_nothing_from_the_legs_of_a_slight_bend() -> None:
    """DIN 6935: above an opening angle of 165 deg v = 0, so the allowance is both outside setbacks."""
    rule = bending.Din6935()
    twice = 2 * bending.outside_setback(14.9, 6, 5)
    assert rule.allowance(14.9, 6, 5) == pytest.approx(twice, rel=1e-12)
    for opening in (20, 60, 90, 91, 120, 165, 170):
        legs = 2 * 11 * (1 if opening <= 90 else bending.outside_setback(180 - opening, 6, 5) / 11)
        by_rule = legs - rule.allowance(180 - opening, 6, 5)
        assert by_rule == pytest.approx(bending.din_6935_compensation(opening, 6, 5), abs=1e-12)


@pytest.mark.parametrize("rule", KINDS, ids=lambda rule: rule.name)
@pytest.mark.parametrize(
    ("angle", "inside_radius", "thickness", "said"),
    [
        (180.001, 2.0, 2.0, "angle = 180.001 deg"),
        (0.0, 2.0, 2.0, "angle = 0 deg"),
        (float("nan"), 2.0, 2.0, "angle = nan"),
        (90.0, -0.001, 2.0, "inside_radius = -0.001 mm"),
        (90.0, float("inf"), 2.0, "inside_radius = inf"),
        (90.0, 2.0, 0.0, "thickness = 0 mm"),
        (90.0, 2.0, -2.0, "thickness = -2 mm"),
    ],
)
def test_no_rule_takes_what_is_no_bend(
    rule: bending.BendRule, angle: float, inside_radius: float, thickness: float, said: str
) -> None:
    """A bend turns by more than nothing and by no more than half a turn, of a sheet that has a thickness."""
    with pytest.raises(
        InputError, match=f"{said}.*: (is outside its range|is not a finite number)"
    ) as caught:
        rule.allowance(angle, inside_radius, thickness)
    if isinstance(
        rule, (bending.Groover, bending.KTable)
    ):  # who was asked is named, not what they make use of
        assert caught.value.where == type(rule).__name__


def test_a_k_factor_that_is_not_named_is_0_44() -> None:
    """A quarter turn about 2 + 0.44 x 2 mm: what air bending is first tried with (common practice, no source)."""
    assert bending.KFactor().allowance(90, 2, 2) == pytest.approx(math.pi / 2 * 2.88, rel=1e-14)
