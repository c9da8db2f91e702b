"""Where two edges meet: crossings, tangent points, and ends of one that lie on the other. Lengths in mm."""

from __future__ import annotations

import math

from formparts.outline.edges import Arc, Edge, Line, Point


def meet(first: Edge, second: Edge, tolerance: float) -> list[Point]:
    """
    Points that two edges have in common, enough of them to split both so that they then cross nowhere.

    Edges that run on each other for a length give the ends of that length. A tangency within the tolerance is
    one point. Ends of one that fall on an end of the other are left out or not: they are vertices anyway.
    """
    found: list[Point] = []
    if _on(first, second.start, tolerance):
        found.append(second.start)
    if _on(first, second.end, tolerance):
        found.append(second.end)
    if _on(second, first.start, tolerance):
        found.append(first.start)
    if _on(second, first.end, tolerance):
        found.append(first.end)
    if isinstance(first, Line):
        if isinstance(second, Line):
            return found if found else _crossing(first, second, tolerance)
        return found + _line_and_arc(first, second, tolerance)
    if isinstance(second, Line):
        return found + _line_and_arc(second, first, tolerance)
    return found + _arcs(first, second, tolerance)


def _on(edge: Edge, point: Point, tolerance: float) -> bool:
    """True when a point is on an edge within the tolerance (beyond its ends it is not)."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    dx, dy, px, py = x1 - x0, y1 - y0, point[0] - x0, point[1] - y0
    side = dx * py - dy * px
    if isinstance(edge, Arc):
        off = math.hypot(point[0] - edge.centre[0], point[1] - edge.centre[1]) - edge.radius
        return -tolerance <= off <= tolerance and (side <= 0.0) == edge.ccw
    square = dx * dx + dy * dy
    return side * side <= tolerance * tolerance * square and 0.0 <= dx * px + dy * py <= square


def _crossing(first: Line, second: Line, tolerance: float) -> list[Point]:
    """The point where two lines cross that have no end on each other."""
    (ax, ay), (bx, by) = first.start, first.end
    (cx, cy), (dx, dy) = second.start, second.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    start_side = ux * (cy - ay) - uy * (cx - ax)
    end_side = ux * (dy - ay) - uy * (dx - ax)
    if max(abs(start_side), abs(end_side)) <= tolerance * math.hypot(ux, uy):
        return []  # end to end in one line, rounding apart: where they cross would be anywhere
    if (start_side > 0.0) == (end_side > 0.0):
        return []
    if (vx * (ay - cy) - vy * (ax - cx) > 0.0) == (vx * (by - cy) - vy * (bx - cx) > 0.0):
        return []
    part = start_side / (start_side - end_side)
    return [(cx + part * vx, cy + part * vy)]


def _in_reach(arc: Arc, point: Point) -> bool:
    """True when a point of the arc's circle belongs to the arc: it is on the arc's side of the chord."""
    (x0, y0), (x1, y1) = arc.start, arc.end
    return ((x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0) <= 0.0) == arc.ccw


def _line_and_arc(line: Line, arc: Arc, tolerance: float) -> list[Point]:
    """Points where a line crosses or touches an arc."""
    (x0, y0), (x1, y1), (cx, cy), radius = line.start, line.end, arc.centre, arc.radius
    dx, dy = x1 - x0, y1 - y0
    length = math.hypot(dx, dy)
    dx, dy = dx / length, dy / length
    foot = (cx - x0) * dx + (cy - y0) * dy
    height = (cx - x0) * dy - (cy - y0) * dx
    gap = abs(height) - radius
    if gap > tolerance:
        return []
    half = 0.0 if gap >= -tolerance else math.sqrt((radius - height) * (radius + height))
    places = (foot,) if half == 0.0 else (foot - half, foot + half)
    points = [(x0 + t * dx, y0 + t * dy) for t in places if 0.0 <= t <= length]
    return [point for point in points if _in_reach(arc, point)]


def _arcs(first: Arc, second: Arc, tolerance: float) -> list[Point]:
    """Points where arcs of two different circles cross or touch."""
    (ax, ay), (bx, by), r, s = first.centre, second.centre, first.radius, second.radius
    dx, dy = bx - ax, by - ay
    distance = math.hypot(dx, dy)
    if distance + abs(r - s) <= tolerance or distance > r + s + tolerance:
        return []
    if distance < abs(r - s) - tolerance:
        return []
    ux, uy = dx / distance, dy / distance
    if distance >= r + s - tolerance:
        points = [(ax + r * ux, ay + r * uy)]
    elif distance <= abs(r - s) + tolerance:
        # The touching point lies beyond the smaller circle's centre, seen from the larger one's.
        points = [(ax + r * ux, ay + r * uy)] if r > s else [(bx - s * ux, by - s * uy)]
    else:
        along = (distance + (r - s) * (r + s) / distance) / 2.0
        half = math.sqrt(max((r - along) * (r + along), 0.0))
        mx, my = ax + along * ux, ay + along * uy
        points = [(mx - half * uy, my + half * ux), (mx + half * uy, my - half * ux)]
    return [point for point in points if _in_reach(first, point) and _in_reach(second, point)]
