"""Area and moments of what lies inside a chain of lines and arcs, exact, by Green's theorem. Lengths in mm.

Every edge spans a triangle with the reference point; an arc adds the segment between its chord and itself.
Source: exact mathematics (triangle and circular segment integrated in closed form).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeAlias

from formparts.outline.edges import Arc, Edge, Point

Moments: TypeAlias = tuple[float, float, float, float, float, float]
"""Area, int x, int y, int x^2, int y^2, int xy over the area."""


def segment_factor(angle_rad: float) -> float:
    """Return angle - sin(angle), with full precision at small angles."""
    if angle_rad > 0.2:
        return angle_rad - math.sin(angle_rad)
    square = angle_rad * angle_rad
    return angle_rad * square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0)))


def segment_area(arc: Arc) -> float:
    """Area between an arc and its chord, positive when the arc runs anticlockwise."""
    area = 0.5 * arc.radius * arc.radius * segment_factor(arc.sweep_rad)
    return area if arc.ccw else -area


def edge_area(edge: Edge, reference: Point) -> float:
    """Area that an edge spans with a reference point, with its sign."""
    rx, ry = reference
    (x0, y0), (x1, y1) = edge.start, edge.end
    area = 0.5 * ((x0 - rx) * (y1 - ry) - (x1 - rx) * (y0 - ry))
    return area + segment_area(edge) if isinstance(edge, Arc) else area


def _triangle(p: Point, q: Point) -> Moments:
    """Moments about the origin of the triangle origin, p, q."""
    (x0, y0), (x1, y1) = p, q
    area = 0.5 * (x0 * y1 - x1 * y0)
    return (
        area,
        area * (x0 + x1) / 3.0,
        area * (y0 + y1) / 3.0,
        area * (x0 * x0 + x0 * x1 + x1 * x1) / 6.0,
        area * (y0 * y0 + y0 * y1 + y1 * y1) / 6.0,
        area * (2.0 * x0 * y0 + x0 * y1 + x1 * y0 + 2.0 * x1 * y1) / 12.0,
    )


def _segment(arc: Arc) -> Moments:
    """Moments of the segment between arc and chord about the arc's centre, with the sign of its sense."""
    half, r = arc.sweep_rad / 2.0, arc.radius
    sin, cos = math.sin(half), math.cos(half)
    base, cube = segment_factor(2.0 * half) / 2.0, sin * sin * sin
    along = r**4 / 4.0 * (base + 2.0 * cube * cos)
    across = r**4 / 12.0 * (3.0 * base - 2.0 * cube * cos)
    mx, my = arc.middle
    ux, uy = (mx - arc.centre[0]) / r, (my - arc.centre[1]) / r
    first = 2.0 / 3.0 * r**3 * cube
    sign = 1.0 if arc.ccw else -1.0
    return (
        sign * r * r * base,
        sign * first * ux,
        sign * first * uy,
        sign * (along * ux * ux + across * uy * uy),
        sign * (along * uy * uy + across * ux * ux),
        sign * (along - across) * ux * uy,
    )


def shifted(moments: Moments, x: float, y: float) -> Moments:
    """Moments of the same area after a shift by x, y."""
    area, sx, sy, sxx, syy, sxy = moments
    return (
        area,
        sx + area * x,
        sy + area * y,
        sxx + 2.0 * x * sx + area * x * x,
        syy + 2.0 * y * sy + area * y * y,
        sxy + x * sy + y * sx + area * x * y,
    )


def moments(edges: Iterable[Edge], reference: Point) -> Moments:
    """Moments about the origin of the axes, summed near a reference point to keep digits far away."""
    rx, ry = reference
    parts: list[Moments] = []
    for edge in edges:
        (x0, y0), (x1, y1) = edge.start, edge.end
        parts.append(_triangle((x0 - rx, y0 - ry), (x1 - rx, y1 - ry)))
        if isinstance(edge, Arc):
            parts.append(shifted(_segment(edge), edge.centre[0] - rx, edge.centre[1] - ry))
    a, sx, sy, sxx, syy, sxy = (math.fsum(column) for column in zip(*parts, strict=True))
    return shifted((a, sx, sy, sxx, syy, sxy), rx, ry)
