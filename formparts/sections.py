"""Section properties of a bent part: what a plane across its bends cuts, in closed form, for a beam by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from formparts.arguments import takes
from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, bend_frame, combined, cross, dot
from formparts.errors import InputError
from formparts.outline import Loop, Motion
from formparts.outline.edges import Arc, Edge, Line, Point
from formparts.outline.measures import moments
from formparts.quantities import Limits, number
from formparts.short_repr import short_repr
from formparts.tolerances import DIRECTION, JUST_INSIDE, LENGTH


@short_repr
@dataclass(frozen=True)
class Section:
    """
    Properties of the section that a plane across the bends cuts out of a part.

    The plane's axes: u lies in the root flat, v points out of its upper face; both begin at the origin of
    the root flat's mid-surface.

    Parameters
    ----------
    area : float [mm2]
        Of the material that is cut.
    centroid : (u, v) [mm]
        Of that area.
    inertia_u, inertia_v, product : float [mm4]
        Second moments about the axes through the centroid that run along u and along v, and their product.
    greatest, least : float [mm4]
        Principal second moments.
    principal_angle : float [deg]
        From u to the axis of the greatest second moment.
    modulus_u, modulus_v : float [mm3]
        Elastic section moduli: second moment by distance of the farthest fibre.
    torsion : float [mm4]
        Torsion constant of the open thin section.
    lowest, highest : (u, v) [mm]
        Corners of the box round the section.
    """

    area: float
    centroid: Point
    inertia_u: float
    inertia_v: float
    product: float
    greatest: float
    least: float
    principal_angle: float
    modulus_u: float
    modulus_v: float
    torsion: float
    lowest: Point
    highest: Point


@takes(body="Body")
def section(body: Body, at: float = 0.5) -> Section:
    """
    Work out the section properties of a part whose bends all run in one direction.

    Parameters
    ----------
    body : Body
        The part; openings that the plane meets are left out of the section.
    at : float [-]
        Position of the plane, as a share of the first bend's length (of the root flat's own length along y when
        there is no bend).

    Returns
    -------
    Section

    Raises
    ------
    InputError
        The bends do not all run in one direction, or the plane misses the part.

    Source
    ------
    Second moments: exact mathematics (Green's theorem over lines and arcs). Torsion constant: sum of L t^3 / 3 along
    the middle line, Saint-Venant's open thin section; S. Timoshenko, Strength of Materials (from memory).

    Examples
    --------
    >>> cut_through = section(profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle"))
    >>> round(cut_through.area, 3)
    122.996
    """
    share = number(at, "at", body.name, Limits(minimum=0.0, maximum=1.0))
    plane = _plane(body, min(max(share, JUST_INSIDE), 1.0 - JUST_INSIDE))
    pieces = list(_areas(body, plane))
    if not pieces:
        raise InputError(body.name, "at", at, "the plane misses the part", "give a share from 0 to 1")
    thickness = body.sheet.thickness
    area = math.fsum(moments(loop.edges, loop.edges[0].start)[0] for loop in pieces)
    return _section(pieces, area / thickness * thickness**3 / 3.0)


def _section(pieces: Sequence[Loop], torsion: float) -> Section:
    """Properties of the area inside some loops."""
    sums = [moments(loop.edges, loop.edges[0].start) for loop in pieces]
    area, su, sv, suu, svv, suv = (math.fsum(column) for column in zip(*sums, strict=True))
    u, v = su / area, sv / area
    about_u, about_v, product = svv - area * v * v, suu - area * u * u, suv - area * u * v
    mean, half = (about_u + about_v) / 2.0, (about_u - about_v) / 2.0
    radius = math.hypot(half, product)
    boxes = [loop.bounds for loop in pieces]
    low = (min(box[0] for box in boxes), min(box[1] for box in boxes))
    high = (max(box[2] for box in boxes), max(box[3] for box in boxes))
    return Section(
        area,
        (u, v),
        about_u,
        about_v,
        product,
        mean + radius,
        mean - radius,
        math.degrees(math.atan2(-product, half)) / 2.0,
        about_u / max(high[1] - v, v - low[1]),
        about_v / max(high[0] - u, u - low[0]),
        torsion,
        low,
        high,
    )


@dataclass(frozen=True, slots=True)
class _Plane:
    """The cutting plane: a place on it, its normal along the bends, and its two axes."""

    place: Vector
    along: Vector
    u: Vector
    v: Vector
    origin: Vector

    def flat(self, place: Vector) -> Point:
        """The plane's coordinates of a place."""
        away = combined(place, (-1.0, self.origin))
        return (dot(away, self.u), dot(away, self.v))


def _plane(body: Body, at: float) -> _Plane:
    """The plane across the bends, at a share of the first bend or of the root flat."""
    root = body.frame
    if body.bends:
        bend = body.bends[0]
        line = frames(body)[bend.parent].moved_in_plane(bend_frame(*bend.parent_line))
        place, along = combined(line.origin, (at * bend.width, line.x)), line.x
    else:
        low, high = body.flats[0].net.bounds[1::2]
        place, along = root.point((0.0, low + at * (high - low))), root.y
    if dot(along, root.y) + dot(along, root.x) < 0.0:
        along = (-along[0], -along[1], -along[2])
    # u, v and the way along are a right-handed set with u pointing along x when the bends run along y.
    return _Plane(place, along, cross(along, root.z), root.z, root.origin)


def _areas(body: Body, plane: _Plane) -> Iterator[Loop]:
    """Return the cut areas: rectangles of flats, ring sectors of bends."""
    placed = frames(body)
    for flat in body.flats:
        if abs(dot(placed[flat.name].z, plane.along)) > math.sqrt(DIRECTION):
            raise InputError(
                body.name,
                "section",
                flat.name,
                "does not run along the first bend",
                "its bends must be parallel",
            )
        yield from _flat_areas(flat, placed[flat.name], plane, body.sheet.thickness)
    for bend in body.bends:
        yield from _bend_area(bend, placed[bend.parent], plane, body.sheet.thickness)


def _flat_areas(flat: Flat, frame: Frame, plane: _Plane, thickness: float) -> Iterator[Loop]:
    """Rectangles where the plane crosses a flat."""
    cos, sin = dot(plane.along, frame.x), dot(plane.along, frame.y)
    turn = Motion(cos, sin, -sin, cos)  # lays the way along on x
    station = dot(combined(plane.place, (-1.0, frame.origin)), plane.along)
    turned = frame.moved_in_plane(Motion(cos, -sin, sin, cos))
    heights = sorted(y for edge in flat.net.edges for y in _crossings(edge.moved(turn), station))
    for low, high in zip(heights[::2], heights[1::2], strict=True):
        corners = [(low, -0.5), (high, -0.5), (high, 0.5), (low, 0.5)]
        yield _loop([plane.flat(turned.point((station, y), up * thickness)) for y, up in corners])


def _loop(corners: Sequence[Point]) -> Loop:
    """The closed polygon through some corners, run anticlockwise."""
    edges = tuple(Line(corner, corners[(i + 1) % len(corners)]) for i, corner in enumerate(corners))
    return _anticlockwise(Loop(edges))


def _anticlockwise(loop: Loop) -> Loop:
    return loop if loop.signed_area > 0.0 else loop.reversed()


def _crossings(edge: Edge, x: float) -> Iterator[float]:
    """The y at which an edge crosses the upright line at x; each end belongs to one side only."""
    if isinstance(edge, Line):
        (x0, y0), (x1, y1) = edge.start, edge.end
        if (x0 <= x) != (x1 <= x):
            yield y0 + (x - x0) / (x1 - x0) * (y1 - y0)
        return
    for start, end in _one_way(edge):
        if (start[0] <= x) != (end[0] <= x):
            middle = Arc(start, end, edge.centre, edge.radius, edge.ccw).middle
            rise = math.sqrt(max(0.0, edge.radius**2 - (x - edge.centre[0]) ** 2))
            yield edge.centre[1] + math.copysign(rise, middle[1] - edge.centre[1])


def _one_way(arc: Arc) -> Iterator[tuple[Point, Point]]:
    """Return the parts of an arc along which x only rises or only falls."""
    (cx, cy), radius = arc.centre, arc.radius
    extremes = [point for point in ((cx - radius, cy), (cx + radius, cy)) if arc.distance(point) < LENGTH]
    stops = sorted(extremes, key=lambda point: math.dist(arc.start, point))
    points = [
        arc.start,
        *(p for p in stops if min(math.dist(p, arc.start), math.dist(p, arc.end)) > LENGTH),
        arc.end,
    ]
    yield from pairwise(points)


def _bend_area(bend: Bend, parent: Frame, plane: _Plane, thickness: float) -> Iterator[Loop]:
    """Return the ring sector where the plane crosses a bend."""
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    if abs(dot(line.z, plane.along)) > math.sqrt(DIRECTION) or abs(dot(line.y, plane.along)) > math.sqrt(
        DIRECTION
    ):
        raise InputError(
            "section", "bend", bend.name, "does not run along the first bend", "its bends must be parallel"
        )
    station = dot(combined(plane.place, (-1.0, line.origin)), line.x)
    if not 0.0 <= station <= bend.width:
        return
    up = 1.0 if bend.side == "up" else -1.0
    centre = line.point((station, 0.0), up * (bend.inside_radius + thickness / 2.0))
    sweep = math.radians(bend.angle)

    def place(radius: float, angle: float) -> Point:
        out, onward = -up * radius * math.cos(angle), -radius * math.sin(angle)
        return plane.flat(combined(centre, (out, line.z), (onward, line.y)))

    middle = plane.flat(centre)
    inner, outer = bend.inside_radius, bend.inside_radius + thickness
    a, b, c, d = place(outer, 0.0), place(outer, sweep), place(inner, sweep), place(inner, 0.0)
    ccw = (a[0] - middle[0]) * (b[1] - middle[1]) > (a[1] - middle[1]) * (b[0] - middle[0])
    edges = (Arc(a, b, middle, outer, ccw), Line(b, c), Arc(c, d, middle, inner, not ccw), Line(d, a))
    yield _anticlockwise(Loop(edges))
