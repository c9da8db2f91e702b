"""Findings that differ only in their pieces, said in one line: `lug[1..4].tip`, `bend 1..6 (wall ... lip)`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from formparts.checks import Finding

_NUMBER = re.compile(r"(?<=\[)\d+(?=\])")
"""The number of a piece among its like."""
_BEND = re.compile(r"(\bbend \d+ \([^()]*\))")
"""A bend with its number on the drawing and its name."""
_PLACE = re.compile(r",? at \S+ mm from the left and \S+ mm from the front of the blank")


def grouped(findings: Sequence[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings by groups of one kind, each where its first one stood; a group says the same of all its pieces."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        message = _NUMBER.sub("", _BEND.sub("bend", _PLACE.sub("", finding.message)))
        groups.setdefault((finding.code, finding.severity, message, finding.fix), []).append(finding)
    return tuple(tuple(group) for group in groups.values())


def message_of(group: Sequence[Finding]) -> str:
    """What a group says, the numbers of its pieces as ranges; one alone says it in its own words."""
    if len(group) == 1:
        return group[0].message
    parts = zip(*(_BEND.split(_PLACE.sub("", finding.message)) for finding in group), strict=True)
    said = "".join(_bends(part) if number % 2 else _numbered(part) for number, part in enumerate(parts))
    return f"{said} ({len(group)} places)"


def where_of(group: Sequence[Finding]) -> str:
    """Where a group is: its pieces, their numbers as ranges where nothing else differs."""
    texts = list(dict.fromkeys(finding.where for finding in group))
    alike = len({_NUMBER.sub("", text) for text in texts}) == 1
    return _numbered(texts) if alike else f"{texts[0]} ... {texts[-1]}"


def _bends(texts: Sequence[str]) -> str:
    """Bends in one, as `bend 1..4 (lug[1..4].bend)`, or with the first and the last of unlike names."""
    numbers, names = zip(
        *(text.removeprefix("bend ").removesuffix(")").split(" (") for text in texts), strict=True
    )
    alike = len({_NUMBER.sub("", name) for name in names}) == 1
    return f"bend {ranges(list(map(int, numbers)))} ({_numbered(names) if alike else f'{names[0]} ... {names[-1]}'})"


def _numbered(texts: Sequence[str]) -> str:
    """Texts that differ in the numbers of their pieces as one, these as ranges."""
    columns = iter(list(zip(*(map(int, _NUMBER.findall(text)) for text in texts), strict=True)))
    return _NUMBER.sub(lambda _: ranges(next(columns)), texts[0])


def ranges(numbers: Sequence[int]) -> str:
    """1, 2, 3, 5 as `1..3, 5`."""
    apart = groupby(enumerate(sorted(set(numbers))), key=lambda pair: pair[1] - pair[0])
    runs = [[number for _, number in run] for _, run in apart]
    return ", ".join(f"{run[0]}..{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
