"""Openings that overlap or touch, so that several become one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formparts.body import Body, Opening, laid_out
from formparts.body.frame import bend_frame
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.outline import Outline, intersect, minimal_width
from formparts.outline.edge_rows import edge_rows
from formparts.outline.edges import Motion, Point, pairs_within
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH

_NAMED = 3
"""Number of openings named besides the first two."""


@dataclass(frozen=True)
class _Meeting:
    """Two openings that have an area or a point in common: how deep, and where on the blank."""

    first: str
    second: str
    depth: float
    place: Point


def merged_openings(part: RuleInput) -> Iterator[Finding]:
    """
    Openings that overlap or touch, so that they are cut as one.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(hole_pitch=value) for value in (6.61, 6.59))
    >>> [sum(found.code == "merged-openings" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    if part.body is not None:
        for group in _groups(list(_meetings(part.body))):
            yield _finding(part, group)


def _meetings(body: Body) -> Iterator[_Meeting]:
    """Every two openings that meet in the sheet; those across bends are compared in each flat and bend."""
    seen: set[tuple[str, str]] = set()
    for openings, sheet, to_blank in _pieces(body):
        for one, two in pairs_within([opening.outline.bounds for opening in openings], LENGTH):
            first, second = openings[one], openings[two]
            names = (first.name, second.name)
            if names not in seen and (found := _common(first.outline, second.outline, sheet)):
                seen.add(names)
                yield _Meeting(*names, found[0], to_blank(found[1]))


def _pieces(body: Body) -> Iterator[tuple[Sequence[Opening], Outline, Motion]]:
    """The openings of each flat and bend, what they are cut from, and where that lies on the blank."""
    laid = laid_out(body)
    for flat in body.flats:
        yield flat.openings, flat.outline, laid[flat.name]
    for bend in body.bends:
        if bend.openings:
            at = laid[bend.parent].after(bend_frame(*bend.parent_line))
            yield bend.openings, bend.strip(bend.developed), at


def _common(one: Outline, two: Outline, sheet: Outline) -> tuple[float, Point] | None:
    """How deep two openings lie in each other and where, as far as there is sheet; 0 where they only touch."""
    one_round, two_round = one.outer.circle, two.outer.circle
    if (
        one_round
        and two_round
        and math.dist(one_round[0], two_round[0]) > one_round[1] + two_round[1] + LENGTH
    ):
        return None
    shared = [piece for common in intersect(one, two) for piece in intersect(common, sheet)]
    if shared:
        largest = max(shared, key=lambda piece: piece.area)
        mx, my = largest.first_moments
        return minimal_width(largest), (mx / largest.area, my / largest.area)
    touched = (point for a in one.edges for b in two.edges for point in meet(a, b, LENGTH))
    inside = (point for point in touched if edge_rows(sheet).contains(point))
    return next(((0.0, point) for point in inside), None)


def _groups(meetings: list[_Meeting]) -> list[list[_Meeting]]:
    """Return the meetings grouped by the openings that become one."""
    leader = {name: name for meeting in meetings for name in (meeting.first, meeting.second)}

    def led(name: str) -> str:
        while leader[name] != name:
            leader[name] = name = leader[leader[name]]
        return name

    for meeting in meetings:
        leader[led(meeting.second)] = led(meeting.first)
    groups: dict[str, list[_Meeting]] = {}
    for meeting in meetings:
        groups.setdefault(led(meeting.first), []).append(meeting)
    return list(groups.values())


def _finding(part: RuleInput, group: list[_Meeting]) -> Finding:
    """One finding for all openings that become one: the two that lie deepest in each other are named first."""
    worst = max(group, key=lambda meeting: round(meeting.depth, 6))
    where = f"{worst.first} and {worst.second}"
    how = f"overlap by {worst.depth:.3g} mm" if worst.depth > LENGTH else "touch"
    message = f"{where} {how} and become one opening{_others(group, worst)}, {at_blank(part, worst.place)}"
    return Finding(
        "merged-openings", "error", where, message, worst.depth, 0.0, "mm", "exact geometry",
        "move them apart or make them smaller; where one opening is meant, unite their outlines and cut it once",
        worst.place, part.on_part(worst.place),
    )  # fmt: skip


def _others(group: list[_Meeting], worst: _Meeting) -> str:
    names = dict.fromkeys(name for meeting in group for name in (meeting.first, meeting.second))
    rest = [name for name in names if name not in (worst.first, worst.second)]
    if not rest:
        return ""
    more = len(rest) - _NAMED
    return f" with {', '.join(rest[:_NAMED])}" + (f" and {more} more" if more > 0 else "")
