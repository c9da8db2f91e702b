"""Tapped, countersunk and counterbored holes in thin sheet, and the requirements of pressed nuts and studs."""

from __future__ import annotations

import math
from collections.abc import Iterator

from formparts.body import HoleFeature, laid_out
from formparts.checks.distance import nearest
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput, at_blank
from formparts.outline import Loop, disc
from formparts.outline.edges import Motion, Point
from formparts.tolerances import LENGTH, LIMIT_SLACK

_PITCHES = 3.0
"""Least number of thread turns in the sheet; common practice, no source."""


def threads(part: RuleInput) -> Iterator[Finding]:
    """
    A thread with too few turns in the thickness of the sheet.

    Examples
    --------
    >>> from formparts.shapes import tapped
    >>> plates = (plate(Sheet(thickness, 2.5, "DC01"), rectangle(60, 40), name="plate") for thickness in (2.4, 2.39))
    >>> inside, outside = (Part(cut_opening(each, tapped("M5"), name="tap")) for each in plates)
    >>> [sum(found.code == "thread-too-short" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for name, feature, place in _featured(part):
        limit = _PITCHES * feature.pitch
        length = part.thickness + feature.height
        if limit and length < limit - LIMIT_SLACK:
            collar = f" and a collar of {feature.height:g} mm" if feature.height else ""
            message = (
                f"{name}: {feature.callout} has {length / feature.pitch:.2g} turns of thread in a sheet of "
                f"{part.thickness:g} mm{collar}, and {_PITCHES:g} are the least"
            )
            yield Finding(
                "thread-too-short", "warning", name, message, length, limit, "mm",
                "common practice, no source: three turns of thread at least",
                "take a finer or smaller thread, a thicker sheet, or a nut that is pressed in", place,
                part.on_part(place),
            )  # fmt: skip


def sunk_holes(part: RuleInput) -> Iterator[Finding]:
    """
    A countersink or counterbore that leaves too little sheet below it, or beside it to a bend or an edge.

    Examples
    --------
    >>> from formparts.shapes import countersunk
    >>> plates = (plate(Sheet(thickness, 4, "DC01"), rectangle(60, 40), name="plate") for thickness in (3.68, 3.67))
    >>> inside, outside = (Part(cut_opening(each, countersunk(5.5, 10.4), name="sink")) for each in plates)
    >>> [sum(found.code == "sunk-hole-too-deep" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
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
    """Its rim counts as that of an opening; where the hole itself is too near, the finding is about the hole."""
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
    return 2.0 * next(
        loop.distance(place) for loop in part.blank.outline.loops if _is_hole_about(loop, place)
    )


def _loops_about(part: RuleInput, place: Point) -> list[Loop]:
    """All loops of the blank but the hole about a place, if there is one."""
    return [loop for loop in part.blank.outline.loops if not _is_hole_about(loop, place)]


def _is_hole_about(loop: Loop, place: Point) -> bool:
    return loop.circle is not None and math.dist(loop.circle[0], place) <= LENGTH


def formed_features(part: RuleInput) -> Iterator[Finding]:
    """
    A bead, dimple, louvre or collar too near to a bend or an edge, so that it is drawn out of shape.

    Examples
    --------
    >>> from formparts.shapes import add_mark, dimple
    >>> angle = profile(Sheet(2, 2, "DC01"), 60, run(60), up(90), run(40), name="angle")
    >>> inside, outside = (
    ...     Part(add_mark(angle, dimple(8, 1.5), places=(inset, 30), name="dimple")) for inset in (10.0, 9.9)
    ... )
    >>> [sum(found.code == "formed-feature-near-edge" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for name, words, outline, place in _formed(part):
        for strip in part.strips:
            lines = [line for line, _ in strip.tangent_lines]
            room = min(nearest(edge, line).length for edge in outline.edges for line in lines)
            limit = part.limit("formed_to_bend", radius=strip.mark.inside_radius)
            if room < limit - LIMIT_SLACK:
                what = f"the tangent line of {strip.mark.name}"
                yield _close(
                    part, f"{name} and {strip.mark.name}", name, words, place, room, limit, "bend", what
                )
        room = min(
            nearest(edge, other).length
            for loop in _loops_about(part, place)
            for other in loop.edges
            for edge in outline.edges
        )
        limit = part.limit("formed_to_edge")
        if room < limit - LIMIT_SLACK:
            yield _close(part, name, name, words, place, room, limit, "edge", "the nearest edge")


def left_out(part: RuleInput) -> Iterator[Finding]:
    """Report formed features that are not in the solid.

    Examples
    --------
    >>> from formparts.shapes import add_mark, dimple
    >>> inside = Part(plate(Sheet(2, 2, "DC01"), rectangle(60, 40), name="plate"))
    >>> outside = Part(add_mark(inside.body, dimple(8, 1.5), name="dimple"))
    >>> [sum(found.code == "formed-feature-left-out" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    found = list(_formed(part))
    if found:
        names = ", ".join(name for name, *_ in found[:4]) + (" ..." if len(found) > 4 else "")
        message = (
            f"{names}: formed in the sheet; on the blank and the drawing, and not in the solid and the meshes"
        )
        place = found[0][3]
        yield Finding(
            "formed-feature-left-out", "note", found[0][0], message, float(len(found)), 0.0, "",
            "exact geometry: solid and meshes have flats and bends alone",
            "draw it in the solid by hand where its shape or its stiffness matters", place, part.on_part(place),
        )  # fmt: skip


def _formed(part: RuleInput) -> Iterator[tuple[str, str, Loop, Point]]:
    """Return name, text, outline and centre on the blank of each formed feature: it projects from the sheet."""
    if part.body is None:
        return
    laid = laid_out(part.body)
    for flat in part.body.flats:
        for mark in (one.moved(laid[flat.name]) for one in flat.marks if one.height):
            yield mark.name, mark.words, mark.loops[0], mark.middle
    for name, feature, place in _featured(part):
        if feature.height:
            ring = disc(feature.diameter).outer.moved(Motion.shift(*place))
            yield name, feature.callout, ring, place


def _close(
    part: RuleInput,
    where: str,
    name: str,
    words: str,
    place: Point,
    room: float,
    limit: float,
    kind: str,
    what: str,
) -> Finding:
    message = f"{room:.4g} mm from {name}, {words}, to {what}, and {limit:.4g} mm is the least, {at_blank(part, place)}"
    return Finding(
        f"formed-feature-near-{kind}", "warning", where, message, room, limit, "mm",
        part.source(f"formed_to_{kind}"), "move it, or make it smaller", place, part.on_part(place),
    )  # fmt: skip


def pressed_parts(part: RuleInput) -> Iterator[Finding]:
    """
    A pressed nut or stud nearer to an edge or a bend, or in thinner sheet, than its maker's figures allow.

    Examples
    --------
    >>> from formparts.shapes import pressed
    >>> nut = pressed(6.4, "press nut M5", 9, least_edge=8, least_thickness=1.5)
    >>> base = plate(Sheet(2, 2.5, "DC01"), rectangle(60, 40), name="plate")
    >>> inside, outside = (Part(cut_opening(base, nut, places=(30 - inset, 0))) for inset in (8.0, 7.99))
    >>> [sum(found.code == "pressed-part-near-edge" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
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
    """Return name, feature and place on the blank of every hole with a feature."""
    if part.body is None:
        return
    laid = laid_out(part.body)
    for flat in part.body.flats:
        for opening in flat.openings:
            circle = opening.outline.outer.circle
            if opening.feature is not None and circle is not None:
                yield opening.name, opening.feature, laid[flat.name](circle[0])


def _room(part: RuleInput, place: Point) -> float:
    """Return the distance from the centre of a hole to the nearest edge of the blank but its own, or tangent line."""
    rooms = [loop.distance(place) for loop in _loops_about(part, place)]
    rooms += [line.distance(place) for strip in part.strips for line, _ in strip.tangent_lines]
    return min(rooms)
