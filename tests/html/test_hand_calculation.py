"""The hand calculation can be followed with a pocket calculator, and ends in the same mass and blank."""

from __future__ import annotations

import math
import re

import pytest

from formparts import Body, Sheet, find_recipe, plate, profile, rectangle, run, up
from formparts.blanks import blank
from formparts.closed_forms import properties
from formparts.report.calculation import CalculationSection, Step, Table, calculation_text, hand_calculation
from formparts.report.calculation.lines import outcome
from tests.parts import CAST

RECIPES = ("corner_tray", "hat_section", "ring_riser", "stepped_seat", "u_channel", "z_clip")
RULES = (0.38, "DIN 6935", "Groover", "Machinery's Handbook hard", "aircraft handbook", "K table air soft")


def bodies() -> list[Body]:
    return [*(maker() for maker in CAST.values()), *(find_recipe(name)() for name in RECIPES)]


def steps(sections: tuple[CalculationSection, ...]) -> list[Step]:
    return [line for section in sections for line in section.lines if isinstance(line, Step)]


def keyed_in(numbers: str) -> float:
    """What a pocket calculator shows for a line of the calculation."""
    text = numbers.replace("·", "*").replace("−", "-").replace("²", "**2").replace("^", "**")
    text = text.replace("π", "pi").replace("|", "").strip()
    text = re.sub(r"tan\(([-\d.]+)°\)", r"tan(radians(\1))", text)
    assert re.fullmatch(r"(?:[\d.e+\-*/() ]|pi|tan|radians|log10)+", text), numbers
    names = {"pi": math.pi, "tan": math.tan, "radians": math.radians, "log10": math.log10}
    value = float(eval(text, {"__builtins__": {}}, names))
    return abs(value) if numbers.startswith("|") else value


@pytest.mark.parametrize("body", bodies(), ids=lambda body: body.name)
def test_every_line_comes_out_when_keyed_in(body: Body) -> None:
    """Each formula with numbers gives the printed result to about six digits (figures are printed to 5 decimals)."""
    keyed = [
        step
        for step in steps(hand_calculation(body))
        if step.numbers[:1].isdigit() or step.numbers[:1] in "(|−π"
    ]
    assert len(keyed) >= 4  # area, volume, mass, and a length at least
    for step in keyed:
        assert keyed_in(step.numbers) == pytest.approx(step.result, rel=4e-6, abs=3e-4), step


@pytest.mark.parametrize("body", bodies(), ids=lambda body: body.name)
def test_it_ends_in_the_mass_and_the_blank(body: Body) -> None:
    """Mass, area, length and width agree with the closed form and the sewn blank, which reckon otherwise."""
    found = {step.symbols.split(" ")[0]: step.result for step in steps(hand_calculation(body))}
    flat, figures = blank(body), properties(body)
    assert found["m"] == pytest.approx(figures.mass, rel=1e-12)
    assert found["V"] == pytest.approx(figures.volume, rel=1e-12)
    assert found["A_blank"] == pytest.approx(flat.area, rel=1e-9)
    assert (found["L"], found["W"]) == pytest.approx((flat.length, flat.width), abs=1e-6)


def test_tables_add_up() -> None:
    """The last step of each table is half the sum of its cross products and its segments, as printed."""
    added_up = 0
    for section in hand_calculation(find_recipe("ring_riser")()):
        for table, step in zip(section.lines, section.lines[1:], strict=False):
            if isinstance(table, Table) and isinstance(step, Step) and step.symbols.startswith("A"):
                crossed = sum(_number(row[3]) for row in table.rows)
                segments = sum(_number(row[6]) for row in table.rows)
                assert abs(crossed / 2 + segments) == pytest.approx(step.result, abs=1e-3)
                added_up += 1
    assert added_up >= 2  # the plate, and a kind of lug


def _number(cell: str) -> float:
    return float(cell.replace("−", "-") or 0)


@pytest.mark.parametrize(
    ("rule", "length"),
    [(0.44, 103.047787), (0.5, 103.424778), ("DIN 6935", 102.325221)],
)
def test_blank_of_a_channel(rule: str | float, length: float) -> None:
    """Channel 30/50/30 outside, t = 2, R = 2: developed by hand from BA = A (R + K t); exact mathematics."""
    sheet = Sheet(2, 2, "S235JR", rule)
    body = profile(sheet, 40, run(30, "outside"), up(90), run(50, "outside"), up(90), run(30, "outside"))
    found = steps(hand_calculation(body))
    assert max(step.result for step in found if step.symbols[0] in "LW") == pytest.approx(length, abs=1e-6)


@pytest.mark.parametrize("rule", RULES)
def test_each_rule_is_written_out(rule: str | float) -> None:
    """The formula of every rule is shown with numbers that give its allowance; none is only stated."""
    sheet = Sheet(2, 3, "S235JR", rule)
    body = profile(sheet, 40, run(30, "outside"), up(70), run(50, "outside"))
    allowances = [step for step in steps(hand_calculation(body)) if step.symbols.startswith("BA")]
    assert len(allowances) == 1
    assert keyed_in(allowances[0].numbers) == pytest.approx(blank(body).bends[0].allowance, rel=1e-5)


def test_shallow_bend_after_din_6935() -> None:
    """Below 15 deg the standard takes nothing off the legs (DIN 6935): the allowance is twice the setback."""
    sheet = Sheet(2, 3, "S235JR", "DIN 6935")
    body = profile(sheet, 40, run(30, "outside"), up(10), run(50, "outside"))
    (step,) = (step for step in steps(hand_calculation(body)) if step.symbols.startswith("BA"))
    assert step.symbols == "BA_1 = 2 (r + s) tan(A/2)"
    assert step.result == pytest.approx(2 * 5 * math.tan(math.radians(5)), rel=1e-12)


def test_plate_by_hand() -> None:
    """100 x 50 x 2 mm of steel at 7850 kg/m3: 10000 mm3, 0.0785 kg."""
    body = plate(Sheet(2, 2, "S235JR"), rectangle(100, 50))
    text = calculation_text(body)
    assert "100 · 50 = 5000 mm²" in text
    assert "7850 · 10000 / 10^9 = 0.0785 kg" in text
    assert outcome(steps(hand_calculation(body))[-1]) == "50 mm"
