"""Volume, mass, surface, centroid and envelope of a body in closed form; no solid is needed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from formparts import quantities
from formparts.arguments import takes
from formparts.body import Bend, Body, Frame, bends_on, frames, is_contact
from formparts.body.frame import Vector, bend_frame, combined
from formparts.outline.edges import Arc, Edge
from formparts.outline.integrals import over, stations
from formparts.short_repr import short_repr
from formparts.tolerances import ROUNDING

CUBIC_MM_PER_CUBIC_M = 1e9


@short_repr
@dataclass(frozen=True)
class Properties:
    """
    The figures of a part.

    Parameters
    ----------
    volume : float [mm3]
        Volume of the material.
    mass : float [kg]
        Volume times the density of the sheet's material.
    surface : float [mm2]
        Area of all faces: both skins and all edges.
    centroid : (x, y, z) [mm]
        Centre of mass.
    envelope : (x, y, z) [mm]
        Sides of the smallest box along the axes.
    lowest, highest : (x, y, z) [mm]
        Its two extreme corners.

    Examples
    --------
    >>> figures = Part(plate(Sheet(2, 2.5, "DC01"), rectangle(100, 50))).properties
    >>> figures.envelope
    (100.0, 50.0, 2.0)
    """

    volume: float
    mass: float
    surface: float
    centroid: Vector
    envelope: Vector
    lowest: Vector
    highest: Vector


@takes(body="Body")
def properties(body: Body) -> Properties:
    """
    Work out the figures of a part in closed form.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    Properties
        Volume [mm3], mass [kg], surface [mm2], centroid [mm], envelope [mm].

    Source
    ------
    Exact mathematics: a flat is its area times the thickness, a bend is a sector of a ring (Pappus).

    Examples
    --------
    >>> figures = properties(plate(Sheet(2, 2.5, "DC01"), rectangle(100, 50)))
    >>> figures.volume, figures.mass
    (10000.0, 0.0785)
    """
    placed = frames(body)
    pieces = [*_flats(body, placed), *_bends(body, placed)]
    volume = math.fsum(volume for volume, _ in pieces)
    x, y, z = (math.fsum(part * at[axis] for part, at in pieces) / volume for axis in range(3))
    low, high = _box(_extremes(body, placed))
    return Properties(
        volume=volume,
        mass=volume / CUBIC_MM_PER_CUBIC_M * body.sheet.material.density,
        surface=_surface(body),
        centroid=(x, y, z),
        envelope=(high[0] - low[0], high[1] - low[1], high[2] - low[2]),
        lowest=low,
        highest=high,
    )


def bend_volume(angle: float, inside_radius: float, thickness: float, width: float) -> float:
    """Return the volume of one bend: the area of its end, swept by the angle.

    Parameters
    ----------
    angle : float [deg]
        Bend angle, 0 for flat.
    inside_radius : float [mm]
        Radius of the hollow face.
    thickness : float [mm]
        Thickness of the sheet.
    width : float [mm]
        Length of the bend line.

    Returns
    -------
    float [mm3]

    Raises
    ------
    InputError
        A figure is not a finite number.

    Source
    ------
    Second theorem of Pappus and Guldin: angle x (r + t/2) x t x w; exact mathematics.

    Examples
    --------
    >>> round(bend_volume(90, 3, 2, 40), 6)
    502.654825
    """
    turn, inner = quantities.angle(angle, "angle"), quantities.length(inside_radius, "inside_radius")
    thick, wide = quantities.length(thickness, "thickness"), quantities.length(width, "width")
    return math.radians(turn) * (inner + thick / 2.0) * thick * wide


def _flats(body: Body, placed: dict[str, Frame]) -> Iterator[tuple[float, Vector]]:
    """Volume and centroid of each flat."""
    for flat in body.flats:
        area = flat.net.area
        mx, my = flat.net.first_moments
        frame, thickness = placed[flat.name], body.sheet.thickness
        yield area * thickness, frame.point((mx / area, my / area))
        for sink in flat.sinks:
            height, _, _ = sink.heights(thickness)
            yield -sink.volume, frame.point(sink.centre, height / sink.volume)


def _bends(body: Body, placed: dict[str, Frame]) -> Iterator[tuple[float, Vector]]:
    """Volume and centroid of each bend."""
    thickness = body.sheet.thickness
    for bend in body.bends:
        inner, outer = bend.inside_radius, bend.inside_radius + thickness
        reach = 2.0 / 3.0 * (outer**3 - inner**3) / (outer**2 - inner**2)
        centre, out, along, line = _turn(bend, placed[bend.parent], thickness)
        cos, sin, middle = _middle_of_strip(bend)
        place = combined(centre, (reach * cos, out), (reach * sin, along), (middle, line))
        yield bend_volume(bend.angle, inner, thickness, bend.width) * bend.filled, place


def _middle_of_strip(bend: Bend) -> tuple[float, float, float]:
    """Mean cosine and sine of the angles of a bend from its start, and mean place along its line [mm]."""
    turn = math.radians(bend.angle)
    if not bend.openings:
        half = turn / 2.0
        return (
            math.sin(half) * math.cos(half) / half,
            math.sin(half) * math.sin(half) / half,
            bend.width / 2.0,
        )
    per_mm = turn / bend.developed
    area = math.fsum(net.area for net in bend.nets)
    cos = sum(over(net, lambda at: at[0] * math.cos(per_mm * at[1]), per_mm) for net in bend.nets)
    sin = sum(over(net, lambda at: -at[0] * math.sin(per_mm * at[1]), per_mm) for net in bend.nets)
    along = sum(net.first_moments[0] for net in bend.nets)
    return cos / area, sin / area, along / area


def _turn(bend: Bend, parent: Frame, thickness: float) -> tuple[Vector, Vector, Vector, Vector]:
    """Centre of a bend at the start of its line; the directions to its beginning, onwards, and along the line."""
    frame = parent.moved_in_plane(bend_frame(*bend.parent_line))
    sense = 1.0 if bend.side == "up" else -1.0
    middle = bend.inside_radius + thickness / 2.0
    centre = combined(frame.origin, (sense * middle, frame.z))
    return centre, frame.direction(0.0, 0.0, -sense), frame.direction(0.0, -1.0), frame.x


def _surface(body: Body) -> float:
    """Both skins and all edges."""
    thickness = body.sheet.thickness
    total = 0.0
    for flat in body.flats:
        joined = sum(last - first for bend in bends_on(body, flat.name) for first, last in bend.spans)
        total += 2.0 * flat.net.area + (flat.net.perimeter - joined) * thickness
        total += math.fsum(sink.added_surface for sink in flat.sinks)
    for bend in body.bends:
        middle = math.radians(bend.angle) * (bend.inside_radius + thickness / 2.0)
        walls = _walls(bend, thickness) if bend.openings else 2.0 * middle * thickness
        total += 2.0 * middle * bend.width * bend.filled + walls
    return total


def _walls(bend: Bend, thickness: float) -> float:
    """Area of the edge faces of a bend with openings: each place of its rims, from skin to skin."""
    per_mm, middle = math.radians(bend.angle) / bend.developed, bend.inside_radius + thickness / 2.0
    rims = [edge for net in bend.nets for edge in net.edges if not is_contact(edge)]
    return math.fsum(
        weight * _wall_length(way[0], per_mm * way[1], middle, thickness)
        for edge in rims
        for _, way, weight in stations(edge)
    )


def _wall_length(along: float, round_: float, middle: float, thickness: float) -> float:
    """Length along the line and angle round the axis of a step; its length on each radius, over the thickness."""
    if along == 0.0:
        return abs(round_) * middle * thickness

    def upto(radius: float) -> float:
        # Integral of sqrt(along^2 + (round r)^2) over r.
        arc = radius * round_
        if abs(arc) < ROUNDING * abs(along):
            return radius * abs(along)
        return (arc * math.hypot(along, arc) + along**2 * math.asinh(arc / abs(along))) / (2.0 * round_)

    return upto(middle + thickness / 2.0) - upto(middle - thickness / 2.0)


def _box(points: Iterable[Vector]) -> tuple[Vector, Vector]:
    """Smallest box along the axes round some points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _extremes(body: Body, placed: dict[str, Frame]) -> Iterator[Vector]:
    """Return corners of all flats and bends, and the extreme points of their arcs along an axis."""
    half = body.sheet.thickness / 2.0
    for flat in body.flats:
        frame = placed[flat.name]
        if _is_square(frame):
            # Along the axes the box of the outline, which is exact on arcs, is the box of the flat.
            xmin, ymin, xmax, ymax = flat.net.bounds
            for corner in ((xmin, ymin), (xmax, ymax)):
                yield frame.point(corner, -half)
                yield frame.point(corner, half)
            continue
        for edge in flat.net.outer.edges:
            yield frame.point(edge.start, -half)
            yield frame.point(edge.start, half)
            if isinstance(edge, Arc):
                yield from _arc_in_flat(edge, frame, half)
    for bend in body.bends:
        yield from _bend_extremes(bend, placed[bend.parent], body.sheet.thickness)


def _is_square(frame: Frame) -> bool:
    """True when the axes of a frame are parallel to those of space."""
    return max(map(abs, frame.x)) == 1.0 and max(map(abs, frame.y)) == 1.0


def _arc_in_flat(arc: Arc, frame: Frame, half: float) -> Iterator[Vector]:
    out = ((arc.start[0] - arc.centre[0]) / arc.radius, (arc.start[1] - arc.centre[1]) / arc.radius)
    turn = 1.0 if arc.ccw else -1.0
    along = frame.direction(-turn * out[1], turn * out[0])
    centres = (frame.point(arc.centre, -half), frame.point(arc.centre, half))
    return _reaches(centres, (arc.radius,), frame.direction(*out), along, arc.sweep_rad)


def _bend_extremes(bend: Bend, parent: Frame, thickness: float) -> Iterator[Vector]:
    centre, out, along, line = _turn(bend, parent, thickness)
    radii = (bend.inside_radius, bend.inside_radius + thickness)
    if not bend.openings:
        ends = (centre, combined(centre, (bend.width, line)))
        yield from _reaches(ends, radii, out, along, math.radians(bend.angle))
        return
    per_mm = math.radians(bend.angle) / bend.developed
    for edge in (edge for net in bend.nets for edge in net.edges):
        for radius in radii:
            # What is left is bounded by its rims, and so is how far it reaches: a cylinder is straight along its axis.
            yield from _farthest(_rim_of(edge, radius, per_mm, centre, out, along, line))


def _rim_of(
    edge: Edge, radius: float, per_mm: float, centre: Vector, out: Vector, along: Vector, line: Vector
) -> Callable[[float], Vector]:
    """An edge of a bend's strip as it runs on one of the skins, from 0 to 1."""

    def at(share: float) -> Vector:
        x, y = edge.point_at(share)
        cos, sin = math.cos(per_mm * y), -math.sin(per_mm * y)
        return combined(centre, (radius * cos, out), (radius * sin, along), (x, line))

    return at


_STEPS = 64
"""Number of points along a rim from which its extreme point is refined."""


def _farthest(at: Callable[[float], Vector]) -> Iterator[Vector]:
    """Return the extreme points of a rim along each axis, its ends included."""
    places = [at(step / _STEPS) for step in range(_STEPS + 1)]
    yield places[0]
    yield places[-1]
    for axis in range(3):
        for sign in (1.0, -1.0):
            best = max(range(_STEPS + 1), key=lambda step: sign * places[step][axis])
            low, high = max(best - 1, 0) / _STEPS, min(best + 1, _STEPS) / _STEPS
            yield at(_peak(at, axis, sign, low, high))


def _peak(at: Callable[[float], Vector], axis: int, sign: float, low: float, high: float) -> float:
    """Where between two places a rim that turns once reaches farthest along an axis: golden section."""

    def value(share: float) -> float:
        return sign * at(share)[axis]

    ratio = (math.sqrt(5.0) - 1.0) / 2.0
    one, two = high - ratio * (high - low), low + ratio * (high - low)
    first, second = value(one), value(two)
    for _ in range(60):
        if first >= second:
            high, two, second = two, one, first
            one = high - ratio * (high - low)
            first = value(one)
        else:
            low, one, first = one, two, second
            two = low + ratio * (high - low)
            second = value(two)
    return (low + high) / 2.0


def _reaches(
    centres: Iterable[Vector], radii: Iterable[float], out: Vector, along: Vector, sweep_rad: float
) -> Iterator[Vector]:
    """Return where equal arcs are extreme along each axis; they start at `out` and go towards `along`."""
    for axis in range(3):
        top = math.atan2(along[axis], out[axis])
        for angle in (top % math.tau, (top + math.pi) % math.tau):
            if angle <= sweep_rad:
                cos, sin = math.cos(angle), math.sin(angle)
                for centre in centres:
                    for radius in radii:
                        yield combined(centre, (radius * cos, out), (radius * sin, along))
