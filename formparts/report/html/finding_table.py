"""The table of findings for a page: equal findings in one row, with all their places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from formparts.checks import Finding
from formparts.report.grouping import grouped, message_of, where_of
from formparts.report.html.tags import Markup, element, said, table

_HEADING = ("no.", "severity", "where", "finding", "measured", "limit", "source", "fix")


def finding_table(findings: Sequence[Finding], alone: bool = False) -> Markup:
    """Return the findings, numbered as on blank and part; picking a number shows its places."""
    if not findings:
        return element("p", said("Nothing was found by the checks that were run."), class_="well")
    rows = [_row(number, group) for number, group in enumerate(grouped(findings), 1)]
    if alone:  # no blank and no part beside it whose places could be shown
        return table("Findings", _HEADING[1:], [row[1:] for row in rows], numbers=frozenset({3, 4}))
    return table(
        "Findings (numbered F1, F2 … on blank and part: pick one to see its place)",
        _HEADING,
        rows,
        numbers=frozenset({4, 5}),
    )


def _row(number: int, group: Sequence[Finding]) -> list[str]:
    first = group[0]
    severity = element("strong", said(first.severity), class_=first.severity)
    worst = max(group, key=lambda each: abs(each.measured - each.limit))
    figures = [f"{value:.6g} {first.unit}".strip() for value in (worst.measured, worst.limit)]
    words = (where_of(group), message_of(group), *figures, first.source, first.fix)
    return [_number(number, group), severity, *(said(each) for each in words)]


def _number(number: int, group: Sequence[Finding]) -> Markup:
    name = f"F{number}"
    if all(each.on_blank is None and each.on_part is None for each in group):
        return said(name)
    return element("button", said(name), type="button", class_="piece", data_finding=number)


def finding_marks(findings: Sequence[Finding]) -> list[dict[str, Any]]:
    """The places on the folded part that the 3D view marks."""
    return [
        {"finding": number, "severity": each.severity, "at": [round(value, 4) for value in each.on_part]}
        for number, group in enumerate(grouped(findings), 1)
        for each in group
        if each.on_part is not None
    ]
