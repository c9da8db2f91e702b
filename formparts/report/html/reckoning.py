"""The hand calculation as part of the page."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.report.calculation.lines import CalculationSection, Step, Table, outcome
from formparts.report.html.tags import Markup, element, formula, said, table


def calculation_section(sections: Sequence[CalculationSection]) -> Markup:
    """Each part of the calculation under its own heading, and a line to sign on."""
    parts = [_section(number, section) for number, section in enumerate(sections, 1)]
    sign = element("p", said("Checked by: ____________________   Date: ____________"), class_="sign")
    return Markup("".join([*parts, sign]))


def _section(number: int, section: CalculationSection) -> Markup:
    title = element("h3", said(f"{number}. {section.title}"))
    remark = element("p", said(section.remark)) if section.remark else Markup("")
    lines = [
        _table(line, f"Figures for: {section.title}, table {at}") if isinstance(line, Table) else _step(line)
        for at, line in enumerate(section.lines, 1)
    ]
    return element("section", title, remark, *lines)


def _step(step: Step) -> Markup:
    """Return quantity, symbols, numbers and result, and the source."""
    result = outcome(step)
    numbers = Markup("") if result.startswith(step.numbers) else Markup(f"{said(step.numbers)} = ")
    source = element("small", said(step.source)) if step.source else Markup("")
    worked = element(
        "span", formula(step.symbols), said(" = "), numbers, element("b", said(result)), class_="worked"
    )
    return element("p", element("span", said(step.what), class_="what"), worked, source, class_="step")


def _table(lines: Table, caption: str) -> Markup:
    rows = [[said(cell) for cell in row] for row in lines.rows]
    numbers = frozenset(range(len(lines.heading))) - _WORDS.get(len(lines.heading), frozenset())
    return table(caption, lines.heading, rows, numbers=numbers)


_WORDS = {3: frozenset({0, 1})}
"""Columns that hold text, by the number of columns: those of the table of advances."""
