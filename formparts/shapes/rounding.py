"""Round the free outside corners of a part in one step, for handling and coating."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from formparts.body import Body, Flat, bends_on, first_lost
from formparts.errors import InputError
from formparts.outline import Arc, Edge, Line, Loop, Outline, Point, outline_of
from formparts.quantities import LengthLike, Limits, length, shown_value
from formparts.shapes.naming import checked_body, refuse_uncuttable
from formparts.tolerances import LENGTH, SHORTEST_EDGE

_LEAST_TURN = math.radians(1.0)
"""A corner that turns by less is not sharp [rad]; common practice, no source."""


def round_corners(body: Body, radius: LengthLike, flats: Sequence[str] | None = None) -> Body:
    """
    Round all sharp outside corners of a part by one radius: those between two straight edges, clear of bends.

    Inside corners, corners of openings and corners to which a bend comes nearer than the radius needs stay as they are;
    what is cut or fused later has corners of its own, so this comes last.

    Parameters
    ----------
    body : Body
        Any body.
    radius : length [mm]
        Of every corner.
    flats : sequence of str or None
        Names of the flats whose corners are rounded; all of them when none are given.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        There is no such flat, no sharp corner, or a corner has no room for the radius: the error states the
        largest that fits.

    Examples
    --------
    >>> from formparts import Part, Sheet, add_flange, plate, rectangle
    >>> bent = add_flange(plate(Sheet(2, 2), rectangle(60, 40), "base"), "right", 20)
    >>> rounded = round_corners(bent, 4)
    >>> round((Part(bent).properties.volume - Part(rounded).properties.volume) / 2, 6)
    13.734518
    >>> radius = {
    ...     "sharp": bent,
    ...     "R 4": rounded,
    ...     "R 10": round_corners(bent, 10),
    ...     "R 10, base alone": round_corners(bent, 10, ["base"]),
    ... }
    """
    where = "round_corners"
    checked_body(body, where)
    size = length(radius, "radius", where, Limits(minimum=SHORTEST_EDGE))
    if isinstance(flats, str) or not isinstance(flats, Sequence | None):
        fix = 'give a list of names: ["base", "flange"]'
        raise InputError(where, "flats", shown_value(flats), "is not a list of names", fix)
    wanted = [flat.name for flat in body.flats] if flats is None else [body.flat(name).name for name in flats]
    corners = {name: _corners(body, body.flat(name), size) for name in wanted}
    if not any(corners.values()):
        raise InputError(
            where, "flats", ", ".join(wanted[:5]), "have no sharp outside corner", "leave the call away"
        )
    made = tuple(
        _rounded(flat, corners[flat.name], size) if corners.get(flat.name) else flat for flat in body.flats
    )
    rounded = replace(body, flats=made)
    for flat in made:
        lost = first_lost(flat, bends_on(rounded, flat.name))
        if lost is not None:  # no room is given away beside a bend, so this is for what nobody thought of
            raise InputError(
                where, "radius", size, f"cuts into the bend {lost.name}", "make it smaller", "mm"
            )
    return rounded


@dataclass(frozen=True)
class _Corner:
    """An outside corner: its place in the loop, its turn, and the lengths of the sides before and after it."""

    place: int
    turn: float
    before: float
    after: float

    def cut(self, radius: float) -> float:
        """Return what a radius takes from each side."""
        return radius * math.tan(self.turn / 2.0)


def _corners(body: Body, flat: Flat, radius: float) -> dict[int, _Corner]:
    """Return the sharp outside corners of a flat away from bends, by their place in its outer loop."""
    edges = flat.outline.outer.edges
    bend_ends = [end for bend in bends_on(body, flat.name) for end in bend.parent_line]
    found = {}
    for place, edge in enumerate(edges):
        before = edges[place - 1]
        if not isinstance(edge, Line) or not isinstance(before, Line):
            continue
        turn = _turn(before, edge)
        if turn <= _LEAST_TURN:
            continue
        corner = _Corner(place, turn, before.length, edge.length)
        near = [end for end in bend_ends if min(before.distance(end), edge.distance(end)) <= LENGTH]
        if all(math.dist(end, edge.start) > corner.cut(radius) - LENGTH for end in near):
            found[place] = corner
    return found


def _turn(before: Line, after: Line) -> float:
    """Return how far the outline turns at a corner, positive to the left [rad]."""
    (ax, ay), (bx, by) = _along(before), _along(after)
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _along(edge: Line) -> Point:
    (x0, y0), (x1, y1) = edge.start, edge.end
    return (x1 - x0) / edge.length, (y1 - y0) / edge.length


def _rounded(flat: Flat, corners: dict[int, _Corner], radius: float) -> Flat:
    edges = flat.outline.outer.edges
    _refuse_unfit(flat, edges, corners, radius)
    made: list[Edge] = []
    for place, edge in enumerate(edges):
        first, last = corners.get(place), corners.get((place + 1) % len(edges))
        if not isinstance(edge, Line) or not (first or last):
            made.append(edge)
            continue
        start = edge.point_at(first.cut(radius) / edge.length) if first else edge.start
        end = edge.point_at(1.0 - last.cut(radius) / edge.length) if last else edge.end
        if first:
            made.append(_arc(edges[place - 1], corners[place], start, radius))
        if math.dist(start, end) > LENGTH:
            made.append(Line(start, end, edge.tag))
    holes: tuple[Loop, ...] = flat.outline.holes
    outline: Outline = outline_of([Loop(_closed(made, flat.name)), *holes])
    return refuse_uncuttable(replace(flat, outline=outline), "round_corners", "radius", f"{radius:.6g} mm")


def _arc(before: Edge, corner: _Corner, end: Point, radius: float) -> Arc:
    """Return the rounding of one corner, up to the start of the rest of its second side."""
    assert isinstance(before, Line)
    start = before.point_at(1.0 - corner.cut(radius) / before.length)
    x, y = _along(before)
    return Arc(start, end, (start[0] - radius * y, start[1] + radius * x), radius, True, "")


def _closed(edges: Sequence[Edge], name: str) -> tuple[Edge, ...]:
    """Return edges that each start exactly where the one before ends, with numbered roundings."""
    closed: list[Edge] = []
    for place, edge in enumerate(edges):
        start = edges[place - 1].end
        number = sum(1 for one in closed if ".rounding[" in one.tag) + 1
        if isinstance(edge, Line):
            closed.append(Line(start, edge.end, edge.tag))
        else:
            tag = edge.tag or f"{name}.rounding[{number}]"
            closed.append(Arc(start, edge.end, edge.centre, edge.radius, edge.ccw, tag))
    return tuple(closed)


def _refuse_unfit(flat: Flat, edges: Sequence[Edge], corners: dict[int, _Corner], radius: float) -> None:
    """Refuse a radius that needs more than a side has; the error states the largest that fits on this flat."""
    largest, tightest = math.inf, (0.0, 0.0)
    for place, corner in corners.items():
        for room, other in ((corner.before, place - 1), (corner.after, place + 1)):
            # A corner at the other end takes its part of the side.
            beyond = corners.get(other % len(edges))
            share = corner.cut(1.0) + (beyond.cut(1.0) if beyond else 0.0)
            if room / share < largest:
                largest, tightest = room / share, edges[place].start
    if radius > largest + LENGTH:
        x, y = tightest
        what = f"does not fit the corner of {flat.name} at ({x:.6g}, {y:.6g})"
        fits = math.floor(1e3 * largest) / 1e3
        fix = f"at most {fits:.12g} mm, or name the flats to be rounded: flats=[...]"
        raise InputError("round_corners", "radius", radius, what, fix, "mm")
