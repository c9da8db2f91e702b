"""Is there enough flange for the die? Short flanges, offset lugs whose two bends are close, hems."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from formparts.bending import outside_setback
from formparts.checks.bending import die_of
from formparts.checks.distance import Span
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, Strip, is_parallel, moved
from formparts.forming import HEM_ANGLE, minimum_flange
from formparts.outline.edges import Line, Point
from formparts.tolerances import LENGTH, LIMIT_SLACK, SHORTEST_EDGE

_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
"""Where along a bend line the flange is measured; the longest counts."""

_DIE_SOURCE = (
    "exact mathematics: half the die opening by the bend angle; the opening is common practice, no source"
)

_ROLLED = 180.0
"""A bend beyond this is a loop or rolled: no return is closed on the sheet [deg]."""


def short_flange(part: RuleInput) -> Iterator[Finding]:
    """
    A flange that does not reach the shoulder of the die that its sheet is bent on.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(height=value) for value in (8.49, 8.48))
    >>> [sum(found.code == "flange-too-short" for found in each.findings()) for each in (inside, outside)]
    [0, 2]
    """
    for strip in part.strips:
        mark = strip.mark
        opening = die_of(part, mark)
        if opening is None or mark.angle > HEM_ANGLE:
            continue
        limit = float(minimum_flange(opening, mark.angle))
        setback = float(outside_setback(mark.angle, mark.inside_radius, part.thickness))
        leg = setback + min(_reach(part, side) for side in strip.tangent_lines)
        if leg < limit - LIMIT_SLACK:
            message = (
                f"the flange at {mark.name} is {leg:.4g} mm long to its mould line, and {limit:.4g} mm is the least "
                f"on a die opening of {opening:g} mm"
            )
            yield Finding(
                "flange-too-short", "error", mark.name, message, leg, limit, "mm", _DIE_SOURCE,
                "make the flange longer, or cut it back after bending", strip.middle, part.on_part(strip.middle),
            )  # fmt: skip


def offset_web(part: RuleInput) -> Iterator[Finding]:
    """
    The two bends of an offset, one up and one down, that are too close for standard tools.

    Examples
    --------
    >>> inside, outside = (find_recipe("z_clip").part(rise=value) for value in (11.70, 11.68))
    >>> [sum(found.code == "offset-too-short" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for one, two in combinations(part.strips, 2):
        if one.mark.side == two.mark.side or not is_parallel(one.along, two.along):
            continue
        spans = list(_spans(one, two))  # all of one length
        openings = [opening for opening in (die_of(part, one.mark), die_of(part, two.mark)) if opening]
        limit = part.limit("offset_web", die_opening=max(openings, default=0.0))
        if not spans or not openings or not LENGTH < spans[0].length < limit - LIMIT_SLACK:
            continue
        span = next((span for span in spans if part.reaches(span)), None)
        if span is not None:
            where = f"{one.mark.name} and {two.mark.name}"
            message = (
                f"the bend lines of {where} are {span.length:.4g} mm apart, and {limit:.4g} mm is the least for "
                "standard tools"
            )
            yield Finding(
                "offset-too-short", "warning", where, message, span.length, limit, "mm", part.source("offset_web"),
                "make the offset higher or flatter, or have an offset tool made", span.middle,
                part.on_part(span.middle),
            )  # fmt: skip


def hems(part: RuleInput) -> Iterator[Finding]:
    """
    A hem whose return is too short to be closed, or whose inside is too tight to stay open.

    Examples
    --------
    >>> base = plate(Sheet(1, 1.5, "DC01"), rectangle(40, 25), name="base")
    >>> inside, outside = (Part(add_hem(base, "back", length)) for length in (4.1, 3.9))
    >>> [sum(found.code == "hem-too-short" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for strip in part.strips:
        mark = strip.mark
        if mark.angle <= HEM_ANGLE:
            continue
        reach = min(_reach(part, side) for side in strip.tangent_lines)
        back = reach + mark.inside_radius + part.thickness
        if mark.angle <= _ROLLED:
            yield from _hem(part, strip, "hem-too-short", "hem_leg", back, "return")
        if mark.inside_radius > 2.0 * SHORTEST_EDGE:  # a closed hem is to have none
            yield from _hem(
                part, strip, "hem-radius-too-large", "hem_radius", mark.inside_radius, "inside radius"
            )


def _hem(
    part: RuleInput, strip: Strip, code: str, name: str, measured: float, word: str
) -> Iterator[Finding]:
    limit = part.limit(name)
    if measured < limit - LIMIT_SLACK:
        message = (
            f"the hem at {strip.mark.name} has {_article(word)} {word} of {measured:.4g} mm, and {limit:.4g} mm is "
            "the least"
        )
        yield Finding(
            code, "warning", strip.mark.name, message, measured, limit, "mm", part.source(name),
            f"make the {word} larger", strip.middle, part.on_part(strip.middle),
        )  # fmt: skip


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"


def _reach(part: RuleInput, side: tuple[Line, Point]) -> float:
    """From a tangent line to the free edge opposite; no limit when another bend comes first."""
    line, out = side
    return max(_free(part, line.point_at(share), out) for share in _SHARES)


def _free(part: RuleInput, start: Point, out: Point) -> float:
    reach = part.rims.first_hit(start, out)
    return math.inf if part.tangent_lines.first_hit(start, out) < reach else reach


def _spans(one: Strip, two: Strip) -> Iterator[Span]:
    """Ways square across from one bend line to a parallel one, over what they have side by side."""
    ux, uy = one.along

    def place(point: Point) -> float:
        return (point[0] - one.mark.start[0]) * ux + (point[1] - one.mark.start[1]) * uy

    ends = sorted((place(two.mark.start), place(two.mark.end)))
    low, high = max(0.0, ends[0]), min(one.mark.length, ends[1])
    for share in _SHARES if high - low > LENGTH else ():
        start = moved(one.mark.start, one.along, low + share * (high - low))
        dx, dy = two.mark.start[0] - start[0], two.mark.start[1] - start[1]
        along = dx * ux + dy * uy
        yield Span(start, (start[0] + dx - along * ux, start[1] + dy - along * uy))
