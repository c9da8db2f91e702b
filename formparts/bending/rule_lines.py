"""The named bend rules, and how a rule is read from text."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from formparts.bending.allowance_tables import allowance_table
from formparts.bending.ranges import shortened
from formparts.bending.rules import (
    HANDBOOK_FACTORS,
    AircraftHandbook,
    BendRule,
    Din6935,
    Groover,
    KFactor,
    KTable,
    MachineryHandbook,
)
from formparts.errors import InputError


def _read_k_table(text: str) -> KTable:
    process, material_class = text.split()
    return KTable(process, material_class)


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One line of the table of rules: its spelling, its formula, its range of validity, its source."""

    pattern: str
    example: str
    formula: str
    reach: str
    source: str
    make: Callable[[str], BendRule]


def _read_k_factor(text: str) -> KFactor:
    return KFactor(float(text))


RULES: Final = (
    RuleLine(
        r"(?:k(?:-?factor)?\s*=?\s*)?([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)",
        "K 0.44",
        "A (R + K t)",
        "0 < A <= 180 deg, 0 <= K <= 1",
        KFactor.source,
        _read_k_factor,
    ),
    RuleLine(
        r"din[ _-]?6935()",
        "DIN 6935",
        "A (r + k s/2), k = 0.65 + 0.5 log10(r/s) up to r/s = 5, then 1; under 15 deg 2 x outside setback",
        "r/s >= 0.0501; steel, cold",
        Din6935.source,
        lambda _: Din6935(),
    ),
    RuleLine(
        r"groover()",
        "Groover",
        "A (R + K t), K = 0.33 for R < 2 t, else 0.50",
        "0 < A <= 180 deg",
        Groover.source,
        lambda _: Groover(),
    ),
    RuleLine(
        r"machinery'?s?[ _-]handbook,?[ _-](soft|medium|hard)",
        "Machinery's Handbook soft | medium | hard",
        "(c T + 1.57 R) A/90 deg, c = " + " | ".join(f"{c:g}" for c in HANDBOOK_FACTORS.values()),
        "0 < A <= 180 deg, printed for 90 deg",
        MachineryHandbook.source,
        MachineryHandbook,
    ),
    RuleLine(
        r"aircraft[ _-]handbook()",
        "aircraft handbook",
        "(0.01743 R + 0.0078 T) a degree",
        "0 < A <= 180 deg; aluminium alloys, R and T in one unit",
        AircraftHandbook.source,
        lambda _: AircraftHandbook(),
    ),
    RuleLine(
        r"k[ _-]table[ _-]((?:air|bottoming|coining)[ _-](?:soft|medium|hard))",
        "K table air soft | medium | hard",
        "A (R + K t), K from 0.33 to 0.50 by R/t up to 1, up to 3, above",
        "0 < A <= 180 deg; or bottoming, coining for air; other sources disagree by up to 0.1",
        KTable.source,
        lambda text: _read_k_table(re.sub("[_-]", " ", text)),
    ),
    RuleLine(
        r"(.+\.csv)",
        "press_brake.csv",
        "allowances or deductions measured, interpolated linearly in thickness, radius and angle",
        "inside the rows of the table, never beyond",
        "the user's own measurements",
        allowance_table,
    ),
)
"""Every bend rule, once. The pattern takes the whole text; what is in its brackets goes to `make`."""


def rule_texts() -> tuple[str, ...]:
    """
    One line for each bend rule: how it is written, its formula, its reach and its source.

    Returns
    -------
    tuple of str
    """
    return tuple(f"{rule.example}: {rule.formula} ({rule.reach}) - {rule.source}" for rule in RULES)


def bend_rule(rule: str | float | Path | BendRule) -> BendRule:
    """
    Give the bend rule that a text, a bare K-factor, a file or a rule itself means.

    Parameters
    ----------
    rule : str, float, Path or BendRule [-]
        `K 0.44`, `DIN 6935`, `Groover`, `Machinery's Handbook medium`, `aircraft handbook`, the path of a CSV
        file with your own table, a bare K-factor, or a rule, which is given back.

    Returns
    -------
    BendRule

    Raises
    ------
    InputError
        No rule is written so, or what it says is outside its range.

    Examples
    --------
    >>> bend_rule("K 0.44")
    KFactor(k=0.44)
    >>> bend_rule("din 6935").name
    'DIN 6935'
    >>> rule = bend_rule("K 0.44")
    >>> rule.name, round(rule.allowance(90, 2.5, 2), 4)
    ('K-factor 0.44', 5.3093)
    """
    if isinstance(rule, (str, Path)):
        return _rule_from_text(str(rule).strip())
    if isinstance(rule, (int, float)):
        return KFactor(rule)
    if isinstance(rule, type) or not callable(getattr(rule, "allowance", None)):
        raise _not_a_rule(rule)
    return rule


def _rule_from_text(text: str) -> BendRule:
    for line in RULES:
        if found := re.fullmatch(line.pattern, text, re.IGNORECASE):
            # A path keeps its capitals; every other word is written small.
            return line.make(found[1] if text.lower().endswith(".csv") else found[1].lower())
    raise _not_a_rule(text)


def _not_a_rule(given: object) -> InputError:
    known = ", ".join(rule.example for rule in RULES)
    return InputError("bend_rule", "rule", shortened(given), "is not a bend rule", f"one of: {known}")
