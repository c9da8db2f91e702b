"""The hand calculation as plain text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formparts.arguments import takes
from formparts.body import Body
from formparts.report.calculation.lines import CalculationSection, Step, Table, outcome
from formparts.report.calculation.sequence import hand_calculation


@takes(body="Body")
def calculation_text(body: Body) -> str:
    """
    Write a part's hand calculation as plain text, to be printed and signed.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    str
        Formula in symbols, with numbers, and result, one below the other.

    Raises
    ------
    InputError
        The bend rule has no figure for a bend.

    Examples
    --------
    >>> text = calculation_text(profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle"))
    >>> print(text.splitlines()[0])
    Hand calculation of angle
    """
    lines = [f"Hand calculation of {body.name}"]
    for number, section in enumerate(hand_calculation(body), 1):
        lines += ["", *_section(number, section)]
    return "\n".join([*lines, "", "Checked by: ____________________  Date: ____________", ""])


def _section(number: int, section: CalculationSection) -> Iterator[str]:
    yield f"{number}. {section.title}"
    if section.remark:
        yield f"   {section.remark}"
    for line in section.lines:
        yield from _table(line) if isinstance(line, Table) else _step(line)


def _step(step: Step) -> Iterator[str]:
    source = f"  [{step.source}]" if step.source else ""
    yield f"   {step.what}: {step.symbols}{source}"
    result = outcome(step)
    shown = step.numbers if result.startswith(step.numbers) else f"{step.numbers} ="
    yield f"      = {result}" if shown == step.numbers else f"      = {shown} {result}"


def _table(table: Table) -> Iterator[str]:
    rows = [table.heading, *table.rows]
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.heading))]
    for row in rows:
        yield "      " + _row(row, widths)


def _row(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.rjust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()
