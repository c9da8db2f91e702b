"""The summary of a part that the command prints: a short table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING

from formparts.audits import AuditRow
from formparts.body import rules_text
from formparts.expect import Expected
from formparts.layout import Blank
from formparts.planning import plan_words
from formparts.records import CAUTIONS
from formparts.report.grouping import grouped, message_of, ranges

if TYPE_CHECKING:
    from formparts.part import Part

_NAMED = 12
"""Number of bends of one line that are named one by one."""
MOST_FINDINGS = 8


def summary(part: Part, files: Sequence[Path] = (), audited: bool = True) -> str:
    """
    A part in a few lines: figures, blank, bends, audit, findings, files, cautions.

    Parameters
    ----------
    part : Part
        The part.
    files : sequence of Path
        What was written.
    audited : bool
        Whether it is audited, which needs the solid.

    Returns
    -------
    str
        Lines of at most about 100 characters.
    """
    return "\n".join(
        [
            *_figures(part),
            *bend_lines(part.numbered_blank),
            f"  plan       {plan_words(part.plan)}",
            *(_audit(part.audit()) if audited else ()),
            *_verdict(part),
            *_files(files),
        ]
    )


def _figures(part: Part) -> Iterator[str]:
    sheet, figures, blank = part.sheet, part.properties, part.blank
    x, y, z = figures.envelope
    yield f"{part.name}: {sheet.material.name}, {sheet.thickness:g} mm, {rules_text(part.body)}"
    yield f"  mass       {mass_text(figures.mass)} at {sheet.material.density:g} kg/m3"
    yield f"  volume     {figures.volume:.1f} mm3"
    yield f"  envelope   {x:.2f} x {y:.2f} x {z:.2f} mm"
    yield f"  blank      {blank.length:.2f} x {blank.width:.2f} mm, area {blank.area:.1f} mm2"
    yield f"  cut        {blank.cut_length:.1f} mm, {_count(blank.pierces, 'pierce')}"


def mass_text(mass: float) -> str:
    """A mass in grams, or from one kilogram on in kilograms."""
    return f"{mass:.4f} kg" if mass >= 1.0 else f"{1000.0 * mass:.2f} g"


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def bend_lines(blank: Blank) -> Iterator[str]:
    """Equal bends in one line; up is towards the upper face of the blank, the side that its drawing shows."""
    groups: dict[tuple[float, str, str, float, float], list[tuple[int, str]]] = {}
    for number, mark in blank.numbered:
        key = (
            round(mark.angle, 6),
            mark.side,
            mark.radius_words,
            round(mark.length, 4),
            round(mark.allowance, 4),
        )
        groups.setdefault(key, []).append((number, mark.name))
    if not blank.bends:
        yield "  bends      none"
        return
    yield f"  bends      {len(blank.bends)} (up and down as seen from the up side, which the blank drawing shows)"
    yield f"             {blank.numbering}"
    for (angle, side, radius, length, allowance), alike in groups.items():
        who = f"{ranges([number for number, _ in alike])}: {_in_order([name for _, name in alike])}"
        yield (
            f"    {len(alike)} x {angle:g} deg {side:<4}  {radius}, {length:g} mm long, "
            f"allowance {allowance:.4f} mm  {who}"
        )


def _in_order(names: Sequence[str]) -> str:
    """Names in the order of their bends; of those that differ in one number, as `lug[2, 1].bend[2]`."""
    parts = [re.split(r"\[(\d+)\]", name) for name in names]
    differing = {at for one in parts for at, (a, b) in enumerate(zip(parts[0], one, strict=False)) if a != b}
    if len(names) > 1 and len({len(one) for one in parts}) == 1 and len(differing) == 1:
        (at,) = differing
        if at % 2 and len(names) <= _NAMED:
            numbers = ", ".join(one[at] for one in parts)
            shown = [numbers if place == at else part for place, part in enumerate(parts[0])]
            return "".join(f"[{part}]" if place % 2 else part for place, part in enumerate(shown))
    between = " and " if len(names) == 2 else " ... "
    return between.join((names[0], *names[1:][-1:]))


def _audit(rows: Sequence[AuditRow]) -> Iterator[str]:
    for row in rows:
        if not row.agrees:
            values = ", ".join(f"{method} {value:.9g}" for method, value in row.methods.items())
            yield f"  AUDIT      {row.figure} disagrees by {row.spread:.3g} (allowed {row.allowed:.3g}): {values}"
    agreeing = [row for row in rows if row.agrees]
    # A comma in the name of a method would be read as one between methods.
    methods = sorted(
        {method.replace(", chord ", " with a chord of ") for row in agreeing for method in row.methods}
    )
    yield f"  audit      {len(agreeing)} of {len(rows)} figures agree by all methods: {', '.join(methods)}"


def _verdict(part: Part) -> Iterator[str]:
    for figure in part.expected:
        yield f"  {_drawing(figure)}"
    findings = part.findings_with_fixes(errors_only=True)
    groups = grouped(findings)
    shown = groups[:MOST_FINDINGS]
    for group, after in zip_longest(shown, shown[1:]):
        finding = group[0]
        yield f"  {finding.severity}: {message_of(group)}"
        # Findings that one change clears are listed together, and share their fix.
        if after is None or (after[0].code, after[0].fix) != (finding.code, finding.fix):
            yield f"    fix: {finding.fix}"
    if len(groups) > MOST_FINDINGS:
        more = _count(sum(len(group) for group in groups[MOST_FINDINGS:]), "more finding")
        yield f"  ... and {more}; all are in the JSON file"
    if not findings:
        order = "no order of bends was looked for" if part.plan.problem else "there is an order of bends"
        words = f"the blank can be cut from one sheet, {order}, the folded part is clear of itself"
        yield f"  checks     nothing found: {words}"


def _drawing(figure: Expected) -> str:
    word = "agrees with" if figure.within_tolerance else "DIFFERS FROM"
    return (
        f"drawing    {figure.figure} {figure.computed:.6g} {figure.unit} {word} the drawing's "
        f"{figure.drawing_value:.6g} {figure.unit}: {100 * figure.deviation:+.3f} %, "
        f"allowed {100 * figure.tolerance:g} %"
    )


def _files(files: Sequence[Path]) -> Iterator[str]:
    if files:
        yield f"  files      {files[0].parent}/: {', '.join(path.name for path in files)}"
    yield from (f"  caution    {caution}" for caution in CAUTIONS)
