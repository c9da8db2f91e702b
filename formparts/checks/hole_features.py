"""Tapped holes in thin sheet, and what pressed nuts and studs ask for."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.body import HoleFeature, laid_out
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput
from formparts.outline.edges import Point
from formparts.tolerances import LIMIT_SLACK

_PITCHES = 3.0
"""Turns of thread that a screw is to find in the sheet; common practice, no source."""


def threads(part: RuleInput) -> Iterator[Finding]:
    """A thread with too few turns in the thickness of the sheet."""
    for name, feature, place in _featured(part):
        limit = _PITCHES * feature.pitch
        if feature.kind == "tapped" and part.thickness < limit - LIMIT_SLACK:
            turns = part.thickness / feature.pitch
            message = (
                f"{name}: {feature.callout} has {turns:.2g} turns of thread in a sheet of {part.thickness:g} mm, and "
                f"{_PITCHES:g} are the least"
            )
            yield Finding(
                "thread-too-short", "warning", name, message, part.thickness, limit, "mm",
                "common practice, no source: three turns of thread at least",
                "take a finer or smaller thread, a thicker sheet, or a nut that is pressed in", place,
                part.on_part(place),
            )  # fmt: skip


def pressed_parts(part: RuleInput) -> Iterator[Finding]:
    """A pressed nut or stud nearer to an edge or a bend, or in thinner sheet, than its maker's figures allow."""
    for name, feature, place in _featured(part):
        rows = (
            (
                "pressed-part-near-edge",
                _room(part, place),
                feature.least_edge,
                "from its middle to an edge or a bend",
            ),
            ("sheet-too-thin-for-pressed-part", part.thickness, feature.least_thickness, "of sheet"),
        )
        for code, measured, limit, what in rows if feature.kind == "pressed" else ():
            if measured < limit - LIMIT_SLACK:
                message = (
                    f"{name}: {feature.callout} has {measured:.4g} mm {what}, and {limit:.4g} mm is the least"
                )
                yield Finding(
                    code, "error", name, message, measured, limit, "mm",
                    "common practice, no source: the maker's figures, as the recipe states them",
                    "move it inward, or take another fastener", place, part.on_part(place),
                )  # fmt: skip


def _featured(part: RuleInput) -> Iterator[tuple[str, HoleFeature, Point]]:
    """Name, feature and place on the blank of every hole that is more than one."""
    if part.body is None:
        return
    laid = laid_out(part.body)
    for flat in part.body.flats:
        for opening in flat.openings:
            circle = opening.outline.outer.circle
            if opening.feature is not None and circle is not None:
                yield opening.name, opening.feature, laid[flat.name](circle[0])


def _room(part: RuleInput, place: Point) -> float:
    """From the middle of a hole to the nearest edge of the blank but its own, or tangent line."""
    own = min(part.blank.outline.loops, key=lambda loop: loop.distance(place))
    rooms = [loop.distance(place) for loop in part.blank.outline.loops if loop is not own]
    rooms += [line.distance(place) for strip in part.strips for line, _ in strip.tangent_lines]
    return min(rooms)
