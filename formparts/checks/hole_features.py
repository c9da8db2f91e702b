"""Tapped and sunk holes in thin sheet, and what pressed nuts and studs ask for."""

from __future__ import annotations

from collections.abc import Iterator

from formparts.body import HoleFeature, laid_out
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.outline import Loop
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


def sunk_holes(part: RuleInput) -> Iterator[Finding]:
    """A countersink or counterbore that leaves too little sheet below it, or beside it to a bend or an edge."""
    for name, feature, place in _featured(part):
        if feature.depth:
            yield from _below(part, name, feature, place)
            yield from _beside(part, name, feature, place)


def _below(part: RuleInput, name: str, feature: HoleFeature, place: Point) -> Iterator[Finding]:
    left, limit = part.thickness - feature.depth, part.limit("under_sunk_hole")
    if left < limit - LIMIT_SLACK:
        message = (
            f"{name}: {feature.callout} is {feature.depth:.4g} mm deep and leaves {left:.4g} mm of the sheet below it, "
            f"and {limit:.4g} mm is the least"
        )
        yield Finding(
            "sunk-hole-too-deep", "warning", name, message, left, limit, "mm", part.source("under_sunk_hole"),
            "take a smaller head or a thicker sheet", place, part.on_part(place),
        )  # fmt: skip


def _beside(part: RuleInput, name: str, feature: HoleFeature, place: Point) -> Iterator[Finding]:
    """Its rim counts as that of an opening; where the hole itself is too near, that is said of the hole."""
    rim, more = feature.diameter / 2.0, (feature.diameter - _hole_at(part, place)) / 2.0
    for strip in part.strips:
        room = min(line.distance(place) for line, _ in strip.tangent_lines) - rim
        limit = part.limit("opening_to_bend", radius=strip.mark.inside_radius)
        if room < limit - LIMIT_SLACK <= room + more:
            yield _near(part, name, feature, place, room, limit, "bend", strip.mark.name)
    room = min(loop.distance(place) for loop in _loops_about(part, place)) - rim
    limit = part.limit("opening_to_edge", diameter=feature.diameter)
    if room < limit - LIMIT_SLACK:
        yield _near(part, name, feature, place, room, limit, "edge", "the nearest edge")


def _near(
    part: RuleInput,
    name: str,
    feature: HoleFeature,
    place: Point,
    room: float,
    limit: float,
    kind: str,
    what: str,
) -> Finding:
    beyond = f"the tangent line of {what}" if kind == "bend" else what
    message = (
        f"{room:.4g} mm from the rim of {name}, {feature.callout}, to {beyond}, and {limit:.4g} mm is the least, "
        f"{at_blank(part, place)}"
    )
    where = f"{name} and {what}" if kind == "bend" else name
    return Finding(
        f"sunk-hole-near-{kind}", "warning", where, message, room, limit, "mm",
        part.source(f"opening_to_{kind}"), "move it, make its head smaller, or sink it after bending", place,
        part.on_part(place),
    )  # fmt: skip


def _hole_at(part: RuleInput, place: Point) -> float:
    """Diameter of the hole about a place."""
    return 2.0 * _own_loop(part, place).distance(place)


def _own_loop(part: RuleInput, place: Point) -> Loop:
    return min(part.blank.outline.loops, key=lambda loop: loop.distance(place))


def _loops_about(part: RuleInput, place: Point) -> list[Loop]:
    own = _own_loop(part, place)
    return [loop for loop in part.blank.outline.loops if loop is not own]


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
    rooms = [loop.distance(place) for loop in _loops_about(part, place)]
    rooms += [line.distance(place) for strip in part.strips for line, _ in strip.tangent_lines]
    return min(rooms)
