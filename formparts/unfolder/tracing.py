"""Edges of a skin to lines and arcs on the blank: exact where the geometry is, else followed within FOLLOWED."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from formparts.outline.edges import Arc, Edge, Line
from formparts.tolerances import FOLLOWED, RECOGNISED
from formparts.unfolder import solid_data
from formparts.unfolder.limits import FARTHEST
from formparts.unfolder.placing import BendMap, FlatMap, Map
from formparts.unfolder.space import Pair, dot, evenly

CHECKS = 9
"""Number of intermediate points at which a part of a curve is compared with its line or arc."""
DEEPEST = 14
"""Largest number of times that a curve is halved."""
MOST_TURN = 0.999 * math.pi
"""An arc of more than this is cut in two: the two halves keep their sense whatever the rounding [rad]."""


def traced(
    edge: solid_data.Edge, forward: bool, ends: tuple[Pair, Pair], where: Map
) -> tuple[list[Edge], bool]:
    """Return the edge on the blank between its ends, run forwards or not, and whether that is exact."""
    if edge.kind == "line":
        return ([Line(*ends)], True)
    if edge.circle is not None and isinstance(where, BendMap) and edge.circle.goes_round(where.axis):
        return ([Line(*ends)], True)
    if edge.circle is not None and isinstance(where, FlatMap):
        return (_arcs(edge, edge.circle, forward, ends, where), True)

    def spot(fraction: float) -> Pair:
        share = fraction if forward else 1.0 - fraction
        return where(edge.value(edge.first + share * (edge.last - edge.first)))

    return followed(spot, *ends)


def _arcs(
    edge: solid_data.Edge, circle: solid_data.Circle, forward: bool, ends: tuple[Pair, Pair], where: FlatMap
) -> list[Edge]:
    """Return a circle in a flat, as arcs of less than half a turn."""
    centre = where(circle.centre)
    turn = edge.last - edge.first
    up = where.x[1] * where.y[2] - where.x[2] * where.y[1], where.x[2] * where.y[0] - where.x[0] * where.y[2]
    facing = dot((up[0], up[1], where.x[0] * where.y[1] - where.x[1] * where.y[0]), circle.axis) * turn > 0.0
    count = max(1, math.ceil(abs(turn) / MOST_TURN))
    inner = [where(circle.point(edge.first + turn * number / count)) for number in range(1, count)]
    places = [ends[0], *(inner if forward else inner[::-1]), ends[1]]
    return [Arc(here, there, centre, circle.radius, facing == forward) for here, there in pairwise(places)]


def followed(spot: Callable[[float], Pair], start: Pair, end: Pair) -> tuple[list[Edge], bool]:
    """Return lines and arcs along a curve given at fractions from 0 to 1; exact when one line or arc is the curve."""
    whole = _fitted(spot, (0.0, start), (1.0, end), RECOGNISED)
    if whole is not None:
        return (whole, True)
    found: list[Edge] = []
    todo = [((0.0, start), (0.5, spot(0.5)), 1), ((0.5, spot(0.5)), (1.0, end), 1)][::-1]
    while todo:
        first, last, depth = todo.pop()
        # Half the tolerance at the tested points leaves the other half for those in between.
        fitted = _fitted(spot, first, last, FOLLOWED / 2.0)
        if fitted is None and depth < DEEPEST:
            half = (first[0] + last[0]) / 2.0
            middle = (half, spot(half))
            todo.extend([(middle, last, depth + 1), (first, middle, depth + 1)])
        else:
            found.extend(fitted or [Line(first[1], last[1])])
    return (found, False)


def _fitted(
    spot: Callable[[float], Pair], first: tuple[float, Pair], last: tuple[float, Pair], tolerance: float
) -> list[Edge] | None:
    """Return lines or arcs through both ends, one or several, if they are within a tolerance of the curve."""
    (s0, start), (s1, end) = first, last
    between = [spot(share) for share in evenly(s0, s1, CHECKS + 2)[1:-1]]
    line = Line(start, end)
    if line.length > 0.0 and all(line.distance(place) <= tolerance for place in between):
        return [line]
    return _arc_through(start, between, end, tolerance)


def _arc_through(start: Pair, between: list[Pair], end: Pair, tolerance: float) -> list[Edge] | None:
    """Return the arc through the start, a middle point and the end, if all points lie on it."""
    middle = between[len(between) // 2]
    ax, ay = middle[0] - start[0], middle[1] - start[1]
    bx, by = (end[0] - start[0], end[1] - start[1]) if start != end else _quarter(start, between)
    twice = 2.0 * (ax * by - ay * bx)
    if twice == 0.0:
        return None
    a2, b2 = ax * ax + ay * ay, bx * bx + by * by
    x, y = (by * a2 - ay * b2) / twice, (ax * b2 - bx * a2) / twice
    centre, radius = (start[0] + x, start[1] + y), math.hypot(x, y)
    if radius > FARTHEST or any(abs(math.dist(place, centre) - radius) > tolerance for place in between):
        return None
    ccw = (
        twice > 0.0 if start != end else twice < 0.0
    )  # the middle lies before the end, but after the quarter
    row = [start, *between, end]
    turned = math.fsum(_turn(here, there, centre) for here, there in pairwise(row))
    # A large one is made of five arcs, so that none is more than half a turn.
    inner = [] if turned < 0.9 * math.pi else row[2:-1:2]
    places = [start, *(_onto(place, centre, radius) for place in inner), end]
    return [Arc(here, there, centre, radius, ccw) for here, there in pairwise(places)]


def _onto(place: Pair, centre: Pair, radius: float) -> Pair:
    """Return the point of a circle nearest to a point."""
    share = radius / math.dist(place, centre)
    return (centre[0] + share * (place[0] - centre[0]), centre[1] + share * (place[1] - centre[1]))


def _turn(here: Pair, there: Pair, centre: Pair) -> float:
    """Angle between two places as seen from a centre [rad]."""
    ax, ay, bx, by = here[0] - centre[0], here[1] - centre[1], there[0] - centre[0], there[1] - centre[1]
    return math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)


def _quarter(start: Pair, between: list[Pair]) -> Pair:
    """From the start of a closed curve to a place a quarter of the way round."""
    place = between[len(between) // 4]
    return (place[0] - start[0], place[1] - start[1])
