"""Can the part be folded? Flats and bends that intersect, or that touch in the finished part."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from formparts.bending import KFactor
from formparts.body import RADII, Bend, Body, Frame, Sheet, frames
from formparts.body.frame import dot
from formparts.checks.finding import Finding
from formparts.checks.rule_input import RuleInput
from formparts.clash import clashes
from formparts.outline import common_edges
from formparts.outline.edges import Motion
from formparts.tolerances import LENGTH, SHORTEST_EDGE


def folded(part: RuleInput) -> Iterator[Finding]:
    """
    Pairs of flats and bends that would be in the same place.

    Examples
    --------
    >>> runs = (run(60), up(90), run(30), up(90), run(30), up(90))
    >>> inside, outside = (Part(profile(Sheet(2, 2.5, "DC01"), 40, *runs, run(last))) for last in (27.9, 28.1))
    >>> [sum(found.code == "self-intersection" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    for clash in part.clashes:
        x, y, z = clash.place
        where = f"{clash.first} and {clash.second}"
        message = f"folded part: {where} run into each other near x = {x:.1f}, y = {y:.1f}, z = {z:.1f} mm"
        yield Finding(
            "self-intersection",
            "error",
            where,
            message,
            1.0,
            0.0,
            "-",
            "exact geometry",
            "the part cannot be folded as it is: make one of the two shorter, or change an angle",
            None,
            clash.place,
        )


def touching(part: RuleInput) -> Iterator[Finding]:
    """
    Pairs that only touch in the finished part: there is no room left for the tolerances of bending.

    Examples
    --------
    >>> runs = (run(60), up(90), run(30), up(90), run(30), up(90))
    >>> inside, outside = (Part(profile(Sheet(2, 2.5, "DC01"), 40, *runs, run(last))) for last in (27.9, 28.0))
    >>> [sum(found.code == "self-contact" for found in each.findings()) for each in (inside, outside)]
    [0, 1]
    """
    body = part.body
    if body is None:
        return
    meeting = {(clash.first, clash.second) for clash in part.clashes}
    for first, second, place in _touches(body):
        if (first, second) not in meeting:
            where, (x, y, z) = f"{first} and {second}", place
            message = f"folded part: {where} touch near x = {x:.1f}, y = {y:.1f}, z = {z:.1f} mm, with no gap"
            yield Finding(
                "self-contact", "warning", where, message, 0.0, 0.0, "mm", "exact geometry",
                "leave a gap between the two for the tolerances of bending", None, place,
            )  # fmt: skip


def _touches(body: Body) -> Iterator[tuple[str, str, tuple[float, float, float]]]:
    """Faces that touch are found by swelling the sheet a little; edges in one plane, by what they share."""
    seen = set()
    for clash in clashes(_swollen(body)):
        seen.add((clash.first, clash.second))
        yield clash.first, clash.second, clash.place
    placed = frames(body)
    for number, one in enumerate(body.flats):
        for two in body.flats[number + 1 :]:
            motion = _in_plane(placed[one.name], placed[two.name])
            if motion is None or (one.name, two.name) in seen:
                continue
            other = two.net.moved(motion)
            if common_edges(one.net, other) > SHORTEST_EDGE:
                x0, y0, x1, y1 = _common_box(one.net.bounds, other.bounds)
                yield one.name, two.name, placed[one.name].point(((x0 + x1) / 2.0, (y0 + y1) / 2.0))


def _swollen(body: Body) -> Body:
    """Return the same body in slightly thicker sheet, on both sides; its middle surface stays."""
    sheet = body.sheet
    thick = sheet.thickness + 2.0 * SHORTEST_EDGE

    def tighter(bend: Bend) -> Bend:
        radius = max(bend.inside_radius - SHORTEST_EDGE, RADII.minimum)
        fibre = (bend.developed / math.radians(bend.angle) - radius) / thick
        if not bend.openings or not 0.0 <= fibre <= 1.0:
            return bend.uncut(inside_radius=radius)
        # Its ends and openings are drawn for its developed length, which stays.
        return replace(bend, inside_radius=radius, bend_rule=KFactor(fibre))

    thicker = Sheet(thick, sheet.inside_radius, sheet.material, sheet.bend_rule)
    return replace(body, sheet=thicker, bends=tuple(tighter(bend) for bend in body.bends))


def _in_plane(one: Frame, two: Frame) -> Motion | None:
    """From the coordinates of the second frame to those of the first, when they are in one plane."""
    x, y, height = one.local(two.origin)
    if abs(height) > LENGTH or abs(abs(dot(one.z, two.z)) - 1.0) > LENGTH:
        return None
    return Motion(dot(two.x, one.x), dot(two.y, one.x), dot(two.x, one.y), dot(two.y, one.y), x, y)


def _common_box(
    one: tuple[float, float, float, float], two: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    return (max(one[0], two[0]), max(one[1], two[1]), min(one[2], two[2]), min(one[3], two[3]))
