"""Volume, mass, surface, centroid and envelope of a body in closed form; no solid is needed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from formparts import quantities
from formparts.body import Bend, Body, Frame, bends_on, frames
from formparts.body.frame import Vector, bend_frame, combined
from formparts.outline.edges import Arc

CUBIC_MM_PER_CUBIC_M = 1e9


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
    """

    volume: float
    mass: float
    surface: float
    centroid: Vector
    envelope: Vector
    lowest: Vector
    highest: Vector


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
    Exact mathematics: a flat is its area times the thickness, a bend is a piece of a ring (Pappus).
    """
    placed = frames(body)
    pieces = [*_flat_pieces(body, placed), *_bend_pieces(body, placed)]
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
    """
    Volume of one bend: the area of its end, carried round by the angle.

    Parameters
    ----------
    angle : float [deg]
        Rotation from flat.
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


def _flat_pieces(body: Body, placed: dict[str, Frame]) -> Iterator[tuple[float, Vector]]:
    """Volume and centroid of each flat."""
    for flat in body.flats:
        area = flat.net.area
        mx, my = flat.net.first_moments
        yield area * body.sheet.thickness, placed[flat.name].point((mx / area, my / area))


def _bend_pieces(body: Body, placed: dict[str, Frame]) -> Iterator[tuple[float, Vector]]:
    """Volume and centroid of each bend."""
    thickness = body.sheet.thickness
    for bend in body.bends:
        inner, outer = bend.inside_radius, bend.inside_radius + thickness
        half = math.radians(bend.angle) / 2.0
        reach = 2.0 * math.sin(half) / (3.0 * half) * (outer**3 - inner**3) / (outer**2 - inner**2)
        centre, out, along, line = _turn(bend, placed[bend.parent], thickness)
        place = combined(
            centre, (reach * math.cos(half), out), (reach * math.sin(half), along), (bend.width / 2.0, line)
        )
        yield bend_volume(bend.angle, inner, thickness, bend.width), place


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
        joined = sum(bend.width for bend in bends_on(body, flat.name))
        total += 2.0 * flat.net.area + (flat.net.perimeter - joined) * thickness
    for bend in body.bends:
        middle = math.radians(bend.angle) * (bend.inside_radius + thickness / 2.0)
        total += 2.0 * middle * bend.width + 2.0 * middle * thickness
    return total


def _box(points: Iterable[Vector]) -> tuple[Vector, Vector]:
    """Smallest box along the axes round some points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _extremes(body: Body, placed: dict[str, Frame]) -> Iterator[Vector]:
    """Corners of all pieces, and the points where their arcs reach farthest along an axis."""
    half = body.sheet.thickness / 2.0
    for flat in body.flats:
        frame = placed[flat.name]
        if _stands_square(frame):
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


def _stands_square(frame: Frame) -> bool:
    """True when the axes of a frame run along those of space."""
    return max(map(abs, frame.x)) == 1.0 and max(map(abs, frame.y)) == 1.0


def _arc_in_flat(arc: Arc, frame: Frame, half: float) -> Iterator[Vector]:
    out = ((arc.start[0] - arc.centre[0]) / arc.radius, (arc.start[1] - arc.centre[1]) / arc.radius)
    turn = 1.0 if arc.ccw else -1.0
    along = frame.direction(-turn * out[1], turn * out[0])
    centres = (frame.point(arc.centre, -half), frame.point(arc.centre, half))
    return _reaches(centres, (arc.radius,), frame.direction(*out), along, arc.sweep_rad)


def _bend_extremes(bend: Bend, parent: Frame, thickness: float) -> Iterator[Vector]:
    centre, out, along, line = _turn(bend, parent, thickness)
    ends = (centre, combined(centre, (bend.width, line)))
    radii = (bend.inside_radius, bend.inside_radius + thickness)
    return _reaches(ends, radii, out, along, math.radians(bend.angle))


def _reaches(
    centres: Iterable[Vector], radii: Iterable[float], out: Vector, along: Vector, sweep_rad: float
) -> Iterator[Vector]:
    """Where arcs alike reach farthest along each axis; they start at `out` and go towards `along`."""
    for axis in range(3):
        top = math.atan2(along[axis], out[axis])
        for angle in (top % math.tau, (top + math.pi) % math.tau):
            if angle <= sweep_rad:
                cos, sin = math.cos(angle), math.sin(angle)
                for centre in centres:
                    for radius in radii:
                        yield combined(centre, (radius * cos, out), (radius * sin, along))
