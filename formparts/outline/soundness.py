"""Faults that make an outline unusable, each a short phrase with its position, found before anything is built on it."""

from __future__ import annotations

import math
from collections.abc import Iterable

from formparts.kept import is_noted, note
from formparts.outline.edges import Arc, Edge, Line, Point, boxes_meet, near_pairs
from formparts.outline.meeting import meet
from formparts.outline.regions import Loop, Outline, is_known_simple, known_simple
from formparts.tolerances import LENGTH, SHORTEST_EDGE

_SOUND = "is sound"


def problem(outline: Outline) -> str | None:
    """State what makes an outline unusable.

    Parameters
    ----------
    outline : Outline [mm]
        As given; nothing is fixed.

    Returns
    -------
    str or None
        A short phrase with the place; None when the outline is sound.
    """
    if not is_noted(outline, _SOUND):
        found = _problem(outline)
        if found:
            return found
        known_simple(outline)
        note(outline, _SOUND)  # it is asked again and again
    return None


def _problem(outline: Outline) -> str | None:
    simple = is_known_simple(outline)
    for loop in outline.loops:
        found = _loop_problem(loop, simple)
        if found:
            return found
    if outline.outer.signed_area < 0.0:
        return "its outer loop runs clockwise"
    return None if simple else _hole_problem(outline)


def _loop_problem(loop: Loop, simple: bool) -> str | None:
    """What is wrong with one loop by itself."""
    if not isinstance(loop, Loop) or not isinstance(loop.edges, tuple) or not loop.edges:
        return "a loop that is not a chain of edges"
    for edge in loop.edges:
        found = _edge_problem(edge)
        if found:
            return found
    for i, edge in enumerate(loop.edges):
        before = loop.edges[i - 1]
        if before.end != edge.start:
            gap = math.dist(before.end, edge.start)
            return f"not closed: a gap of {gap:.3g} mm at {place_text(edge.start)}"
    found = None if simple else _self_contact(loop)
    if found:
        return found
    if abs(loop.signed_area) <= LENGTH * loop.length:
        return f"encloses no area at {place_text(loop.edges[0].start)}"
    return None


def _edge_problem(edge: Edge) -> str | None:
    """What is wrong with one edge."""
    if type(edge) not in (Line, Arc):
        return "an edge that is neither line nor arc"
    start, end = edge.start, edge.end
    try:
        chord, off = math.dist(start, end), 0.0
        if isinstance(edge, Arc):
            centre, radius = edge.centre, edge.radius
            off = max(abs(math.dist(start, centre) - radius), abs(math.dist(end, centre) - radius))
    except (TypeError, ValueError):
        return "a corner that is not a pair of numbers"
    # A distance is a finite number only when all that it is made of are.
    if not math.isfinite(chord + off):
        return f"not a finite number in the edge from {place_text(start)}"
    if chord < SHORTEST_EDGE - LENGTH:  # one that was to be just so long may have lost its last digits
        return f"an edge of only {chord:.3g} mm (shortest {SHORTEST_EDGE:g} mm) at {place_text(start)}"
    if off > LENGTH:
        return f"an end of an arc is {off:.3g} mm off its circle at {place_text(start)}"
    return None


def _self_contact(loop: Loop) -> str | None:
    """Return where a loop has a self-intersection or self-contact."""
    if len(loop.edges) == 2 and loop.circle is not None:
        return None  # two halves of one circle
    for i, j in sorted(near_pairs(loop.boxes)):
        edge, other = loop.edges[i], loop.edges[j]
        if len(loop.edges) > 2 and (
            (j == i - 1 and _goes_forward(other, edge))
            or (j == 0 and i == len(loop.edges) - 1 and _goes_forward(edge, other))
        ):
            continue
        joints = _joints(loop, j, i)
        points = [p for p in meet(other, edge, LENGTH) if not _at_joint(p, joints, (edge, other))]
        if not points and _share_corner(edge, other, joints):
            points = [edge.start]
        if points:
            return _contact("itself", points[0], (edge, other))
        if len(joints) == 2 and math.dist(edge.middle, other.middle) <= LENGTH:
            return f"folds back on itself at {place_text(edge.start)}"
    return None


def _goes_forward(before: Edge, after: Edge) -> bool:
    """
    True for two edges, one of them a line, that go on at a right angle or blunter.

    They have their joint in common and no more: an arc of at most half a turn does not come back to the line.
    """
    if isinstance(before, Arc) and isinstance(after, Arc):
        return False
    (ax, ay), (bx, by) = _heading(before, before.end), _heading(after, after.start)
    return ax * bx + ay * by >= 0.0


def _heading(edge: Edge, point: Point) -> Point:
    """Direction of an edge, of any length, at a point of it."""
    if isinstance(edge, Line):
        return (edge.end[0] - edge.start[0], edge.end[1] - edge.start[1])
    across, up = point[0] - edge.centre[0], point[1] - edge.centre[1]
    return (-up, across) if edge.ccw else (up, -across)


def _joints(loop: Loop, i: int, j: int) -> list[Point]:
    """Vertices at which two edges of a loop are meant to meet."""
    joints = [loop.edges[j].start] if j == i + 1 else []
    if i == 0 and j == len(loop.edges) - 1:
        joints.append(loop.edges[0].start)
    return joints


def _at_joint(point: Point, joints: list[Point], edges: tuple[Edge, Edge]) -> bool:
    """True when a meeting point is a joint, or two tangent edges run on each other from a joint to it."""
    tangent = isinstance(edges[0], Arc) != isinstance(edges[1], Arc)
    for joint in joints:
        between = ((point[0] + joint[0]) / 2.0, (point[1] + joint[1]) / 2.0)
        if math.dist(point, joint) <= 2.0 * LENGTH:
            return True
        if tangent and all(edge.distance(between) <= LENGTH for edge in edges):
            return True
    return False


def _share_corner(edge: Edge, other: Edge, joints: list[Point]) -> bool:
    """True when two edges start in one point that is not a joint of theirs."""
    return math.dist(edge.start, other.start) <= LENGTH and edge.start not in joints


def _hole_problem(outline: Outline) -> str | None:
    """Return the problem of the loops of an outline with each other."""
    for hole in outline.holes:
        if hole.signed_area > 0.0:
            return f"the hole at {place_text(hole.edges[0].start)} runs anticlockwise"
        place = place_text(hole.edges[0].start)
        contact = _contact_between(hole, outline.outer, "the outer loop")
        if contact:
            return f"the hole at {place} {contact}"
        if outline.outer.winds_round(hole.edges[0].start) == 0:
            return f"the hole at {place} lies outside"
    for i, j in sorted(near_pairs([hole.bounds for hole in outline.holes])):
        hole, other = outline.holes[i], outline.holes[j]
        place = place_text(hole.edges[0].start)
        contact = _contact_between(hole, other, "another hole")
        if contact:
            return f"the hole at {place} {contact}"
        if other.winds_round(hole.edges[0].start) or hole.winds_round(other.edges[0].start):
            return f"the hole at {place} overlaps another hole"
    return None


def _contact_between(first: Loop, second: Loop, name: str) -> str | None:
    """Where two loops cross or touch each other."""
    if not boxes_meet(first.bounds, second.bounds):
        return None
    whole = first.bounds
    near = [each for each in zip(second.edges, second.boxes, strict=True) if boxes_meet(each[1], whole)]
    for edge, box in zip(first.edges, first.boxes, strict=True):
        for other, other_box in near:
            if not boxes_meet(box, other_box):
                continue
            points = meet(edge, other, LENGTH)
            if not points and math.dist(edge.start, other.start) <= LENGTH:
                points = [edge.start]
            if points:
                return _contact(name, points[0], (edge, other))
    return None


def _contact(name: str, point: Point, edges: Iterable[Edge]) -> str:
    """Say that something crosses or touches something at a place."""
    ends = [end for edge in edges for end in (edge.start, edge.end)]
    touches = any(math.dist(point, end) <= LENGTH for end in ends)
    return f"{'touches' if touches else 'crosses'} {name} at {place_text(point)}"


def shown(outline: Outline) -> str:
    """An outline in a few words, for a message."""
    count = len(outline.holes)
    return f"{len(outline.outer.edges)} edges from {place_text(outline.outer.edges[0].start)}, {count} holes"


def place_text(point: Point) -> str:
    """Return a position as written in a message."""
    return f"({point[0]:.6g}, {point[1]:.6g})"
