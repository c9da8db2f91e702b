"""Findings that differ only in flats, bends or openings, in one line: `lug[1..4].tip`, `bend 1..6 (wall ... lip)`."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import groupby

from formparts.checks import Finding
from formparts.tolerances import ROUNDING

_NUMBER = re.compile(r"(?<=\[)\d+(?=\])")
"""The index of a flat, bend or opening among its equals."""
_BEND = re.compile(r"(\bbend \d+ \([^()]*\))")
"""A bend with its number on the drawing and its name."""
_PLACE = re.compile(r",? at \S+ mm from the left and \S+ mm from the front of the blank")


_FIGURE = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?:e[+-]?\d+)?(?![\w.])")
"""A separate number; one inside a name stays with its name."""
_RANGE = "\0"
"""Placeholder for the measured figure while the texts of groups are made."""
MOST_LINES = 3
"""Findings of one kind with different measurements are listed one by one up to this many lines, beyond that as one."""


def grouped(findings: Sequence[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """
    Return findings in groups of one kind, each at the position of its first.

    A group states the same of all its members; where there would be many groups that differ in the measured
    figure alone, they are one.
    """
    lines: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        lines.setdefault((*_kind(finding), _bare(finding.message)), []).append(finding)
    alike: dict[tuple[str, ...], list[list[Finding]]] = {}
    for group in lines.values():
        alike.setdefault((*_kind(group[0]), _bare(_unmeasured(group[0]))), []).append(group)
    merged = {id(group): groups for groups in alike.values() if len(groups) > MOST_LINES for group in groups}
    found = []
    for group in lines.values():
        groups = merged.get(id(group), [group])
        if groups[0] is group:
            found.append(tuple(finding for each in groups for finding in each))
    return tuple(found)


def _kind(finding: Finding) -> tuple[str, str, str]:
    return (finding.code, finding.severity, finding.fix)


def _bare(message: str) -> str:
    """Return the text without indices and without the place."""
    return _NUMBER.sub("", _BEND.sub("bend", _PLACE.sub("", message)))


def _unmeasured(finding: Finding) -> str:
    """Return the text without the measured figure, the first number that comes near it."""
    for figure in _FIGURE.finditer(finding.message):
        if math.isclose(float(figure[0]), finding.measured, rel_tol=0.01, abs_tol=ROUNDING):
            return f"{finding.message[: figure.start()]}{_RANGE}{finding.message[figure.end() :]}"
    return finding.message


def message_of(group: Sequence[Finding]) -> str:
    """Return the text of a group, indices as ranges; that of a single finding is unchanged."""
    if len(group) == 1:
        return group[0].message
    said = [finding.message for finding in group]
    if len({_bare(message) for message in said}) == 1:
        return f"{_in_one(said)} ({len(group)} places)"
    worst = max(group, key=lambda finding: abs(finding.limit - finding.measured))
    low, high = (f"{pick(finding.measured for finding in group):.4g}" for pick in (min, max))
    where = _PLACE.search(worst.message)
    at = f", the worst{where[0].removeprefix(',')}" if where else ""
    text = _in_one([_unmeasured(finding) for finding in group])
    return f"{text.replace(_RANGE, f'{low} to {high}', 1)} ({len(group)} places{at})"


def _in_one(said: Sequence[str]) -> str:
    """Return texts that differ in bends, indices and place, as one."""
    parts = zip(*(_BEND.split(_PLACE.sub("", text)) for text in said), strict=True)
    return "".join(_bends(part) if number % 2 else _numbered(part) for number, part in enumerate(parts))


def where_of(group: Sequence[Finding]) -> str:
    """Return where a group is: its members, their indices as ranges where nothing else differs."""
    texts = list(dict.fromkeys(finding.where for finding in group))
    alike = len({_NUMBER.sub("", text) for text in texts}) == 1
    return _numbered(texts) if alike else f"{texts[0]} ... {texts[-1]}"


def _bends(texts: Sequence[str]) -> str:
    """Return bends in one text, as `bend 1..4 (lug[1..4].bend)`, or with the first and the last of different names."""
    numbers, names = zip(
        *(text.removeprefix("bend ").removesuffix(")").split(" (") for text in texts), strict=True
    )
    alike = len({_NUMBER.sub("", name) for name in names}) == 1
    return f"bend {ranges(list(map(int, numbers)))} ({_numbered(names) if alike else f'{names[0]} ... {names[-1]}'})"


def _numbered(texts: Sequence[str]) -> str:
    """Return texts that differ only in indices as one, these as ranges."""
    columns = iter(list(zip(*(map(int, _NUMBER.findall(text)) for text in texts), strict=True)))
    return _NUMBER.sub(lambda _: ranges(next(columns)), texts[0])


def ranges(numbers: Sequence[int]) -> str:
    """1, 2, 3, 5 as `1..3, 5`."""
    apart = groupby(enumerate(sorted(set(numbers))), key=lambda pair: pair[1] - pair[0])
    runs = [[number for _, number in run] for _, run in apart]
    return ", ".join(f"{run[0]}..{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
