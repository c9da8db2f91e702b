"""Openings near a bend, and across one."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.checks.distance import Span, nearest
from formparts.checks.finding import Finding, Severity
from formparts.checks.rule_input import Cutout, RuleInput, Strip, at_blank
from formparts.forming import outer_fibre_strain
from formparts.outline import intersect
from formparts.outline.edges import Line, boxes_meet
from formparts.outline.meeting import meet
from formparts.tolerances import LENGTH, LIMIT_SLACK


def openings_at_bends(part: RuleInput) -> Iterator[Finding]:
    """
    An opening whose edge is too near to the tangent line of a bend, so that it is drawn out of shape.

    Examples
    --------
    >>> inside, outside = (find_recipe("u_channel").part(hole_diameter=value) for value in (30.0, 30.02))
    >>> [sum(found.code == "opening-near-bend" for found in each.findings()) for each in (inside, outside)]
    [0, 8]
    """
    limits = [part.limit("opening_to_bend", radius=strip.mark.inside_radius) for strip in part.strips]
    for cutout in (one for one in part.openings if one.name not in part.after_bending):
        for strip, limit in zip(part.strips, limits, strict=True):
            if not boxes_meet(strip.rectangle.bounds, cutout.shape.bounds, limit):
                continue
            span = _nearest(cutout, strip)
            near = span.length < limit - LIMIT_SLACK and not _is_across(cutout, strip)
            if near and part.reaches(span) and not _over_another(part, strip, span):
                yield _near(part, cutout, strip, span, limit)


def openings_across(part: RuleInput) -> Iterator[Finding]:
    """
    An opening that goes over a bend.

    Examples
    --------
    >>> angle = profile(Sheet(2, 2.5, "DC01"), 60, run(50), up(90), run(30), name="angle")
    >>> inside = Part(cut_opening(angle, disc(24), "angle.run[1]", [(20, 30)]))
    >>> outside = Part(cut_opening(angle, disc(24), "angle.run[1]", [(46, 30)], on="blank"))
    >>> [sum(found.code == "opening-across-bend" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for cutout in part.openings:
        for strip in part.strips:
            if _is_across(cutout, strip):
                yield _across(part, cutout, strip)


def _nearest(cutout: Cutout, strip: Strip) -> Span:
    edges = cutout.shape.outer.edges
    spans = [nearest(edge, line) for edge in edges for line, _ in strip.tangent_lines]
    return min(spans, key=lambda span: span.length)


def _over_another(part: RuleInput, strip: Strip, span: Span) -> bool:
    """True when another bend lies between: that one is nearer, and is checked by itself."""
    if span.length <= LENGTH:
        return False
    way = Line(span.start, span.end)
    others = (line for other in part.strips if other is not strip for line, _ in other.tangent_lines)
    return any(meet(way, line, LENGTH) for line in others)


def _is_across(cutout: Cutout, strip: Strip) -> bool:
    """True when an opening and the strip of a bend have an area in common."""
    if not boxes_meet(cutout.shape.bounds, strip.rectangle.bounds, 0.0):
        return False
    return any(common.area > LENGTH for common in intersect(cutout.shape, strip.rectangle))


def _near(part: RuleInput, cutout: Cutout, strip: Strip, span: Span, limit: float) -> Finding:
    message = (
        f"{span.length:.4g} mm from {cutout.name} to the tangent line of {strip.mark.name}, and {limit:.4g} mm is the "
        f"least, {at_blank(part, span.start)}"
    )
    severity: Severity = "warning"
    if span.length < part.limit("opening_in_bend") - LIMIT_SLACK:
        severity = "error"
        strain = 100.0 * float(outer_fibre_strain(strip.mark.inside_radius, part.thickness))
        message += (
            f"; so near its rim is drawn open with the bend, on the outside by up to about {strain:.2g} %"
        )
    return Finding(
        "opening-near-bend", severity, f"{cutout.name} and {strip.mark.name}", message, span.length, limit, "mm",
        part.source("opening_to_bend"), "move the opening, make it smaller, or cut it after bending",
        span.start, part.on_part(span.start),
    )  # fmt: skip


def _across(part: RuleInput, cutout: Cutout, strip: Strip) -> Finding:
    strain = 100.0 * float(outer_fibre_strain(strip.mark.inside_radius, part.thickness))
    message = (
        f"{cutout.name} goes across {strip.mark.name}: its rim is stretched by about {strain:.2g} % on the outside of "
        "the bend, and beside it the bend comes out flatter"
    )
    return Finding(
        "opening-across-bend", "note", f"{cutout.name} and {strip.mark.name}", message, strain, 0.0, "%",
        "exact mathematics: outer-fibre strain 1/(2 R/t + 1), the middle of the sheet keeping its length",
        "cut the opening after bending where its shape matters", cutout.middle, part.on_part(cutout.middle),
    )  # fmt: skip
