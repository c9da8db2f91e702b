"""Round holes drilled in space: along one direction, through every flat in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from formparts.body import Bend, Body, Flat, Frame, frames
from formparts.body.frame import Vector, bend_frame, combined, dot
from formparts.errors import InputError
from formparts.outline import Outline, Point, disc
from formparts.outline.edge_rows import edge_rows
from formparts.quantities import POSITIVE, length
from formparts.shapes.moves import three_lengths, unit_direction
from formparts.shapes.naming import checked_body, checked_name
from formparts.shapes.openings import cut_opening
from formparts.shapes.round_holes import RoundHole
from formparts.tolerances import ANGLE_DEG, LENGTH


def drill(
    body: Body,
    hole: object,
    through: Sequence[object],
    direction: Sequence[float] = (0.0, 0.0, 1.0),
    name: str = "drill",
    after_bending: bool = False,
) -> Body:
    """
    Drill a round hole in space: square through every flat of the folded part in its way.

            | |                 | |
      ------|-|-----------------|-|------>  direction
            | |                 | |
            |  \\_______________/  |
             \\___________________/

    Parameters
    ----------
    body : Body
        What is drilled.
    hole : length, Outline or RoundHole [mm]
        Diameter, a `disc`, or what `tapped`, `clearance_hole` and their like give.
    through : (x, y, z) [mm]
        A point of its axis, in the coordinates of the folded part.
    direction : (x, y, z) [-]
        Of its axis; of any length.
    name : str
        Name of the hole; through several flats `name[1]`, `name[2]`..., in the order of the direction.
    after_bending : bool
        It is drilled in the bent part: the blank has a mark of it, and no cut.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        It meets no flat, one askew, or a bend; or cuts into a bend.

    Examples
    --------
    >>> channel = profile(Sheet(2, 3), 80, run(40), up(90), run(60), up(90), run(40), name="channel")
    >>> body = drill(channel, 8, (10, 40, 0), name="bolt")
    >>> len(Part(body).openings)
    2
    """
    checked_name(name, "drill")
    checked_body(body, name)
    shape = _round(hole, name)
    point, way = three_lengths(name, "through", through), unit_direction(name, direction)
    standing = frames(body)
    for bend in body.bends:
        _refuse_bend(bend, standing[bend.parent], body, point, way, name)
    met = sorted(_met(body, standing, shape, point, way, name), key=lambda each: each[0])
    if not met:
        fix = "move it, or give another direction"
        raise InputError(name, "through", _stated(point), "meets no flat along its direction", fix)
    for number, (_, flat, place) in enumerate(met, 1):
        called = name if len(met) == 1 else f"{name}[{number}]"
        body = cut_opening(body, shape, flat.name, place, called, after_bending=after_bending)
    return body


def _round(hole: object, name: str) -> Outline | RoundHole:
    """Return the hole, from a diameter or unchanged."""
    if isinstance(hole, RoundHole):
        return hole
    if not isinstance(hole, Outline):
        return disc(length(hole, "hole", name, POSITIVE))
    circle = hole.outer.circle
    if circle is None or hole.holes or math.hypot(*circle[0]) > LENGTH:
        fix = "give its diameter; other openings are cut in each flat: cut_opening"
        raise InputError(name, "hole", "an outline", "is not a disc about the origin", fix)
    return hole


def _met(
    body: Body, standing: dict[str, Frame], shape: Outline | RoundHole, point: Vector, way: Vector, name: str
) -> Iterator[tuple[float, Flat, Point]]:
    """Return how far along, which flat, and the point on it."""
    outline = shape.outline if isinstance(shape, RoundHole) else shape
    radius = outline.bounds[2]
    for flat in body.flats:
        frame = standing[flat.name]
        square = dot(frame.z, way)
        away = combined(frame.origin, (-1.0, point))
        if abs(square) <= math.sin(math.radians(ANGLE_DEG)):
            continue
        along = dot(frame.z, away) / square
        there = combined(point, (along, way), (-1.0, frame.origin))
        place = (dot(there, frame.x), dot(there, frame.y))
        inside = edge_rows(flat.net).contains(place)
        if flat.net.distance_to_edge(place) < radius - LENGTH:
            what = f"runs over an edge of {flat.name}"
            raise InputError(name, "through", _stated(point), what, "move it, or make it smaller")
        off = combined(way, (-square, frame.z))
        if inside and math.sqrt(dot(off, off)) > math.sin(math.radians(ANGLE_DEG)):
            askew = math.degrees(math.acos(min(1.0, abs(square))))
            what = f"meets {flat.name} {askew:.4g} deg off square, and walls of holes are square to the sheet"
            raise InputError(name, "direction", _stated(way), what, "cut that flat by itself: cut_opening")
        if not inside:
            continue
        yield along, flat, place


def _refuse_bend(bend: Bend, parent: Frame, body: Body, point: Vector, way: Vector, name: str) -> None:
    """Refuse an axis through the middle of a bend's sheet."""
    line = parent.moved_in_plane(bend_frame(*bend.parent_line))
    sense = 1.0 if bend.side == "up" else -1.0
    middle = bend.inside_radius + body.sheet.thickness / 2.0
    away = combined(point, (-1.0, line.point((0.0, 0.0), sense * middle)))
    # Relative to the bend's axis: -y continues around the bend, -z (bent up) is where it begins.
    p, d = ((-dot(each, line.y), -sense * dot(each, line.z)) for each in (away, way))
    square = d[0] ** 2 + d[1] ** 2
    half = p[0] * d[0] + p[1] * d[1]
    rest = half**2 - square * (p[0] ** 2 + p[1] ** 2 - middle**2)
    if square <= LENGTH**2 or rest < 0.0:
        return
    for sign in (1.0, -1.0):
        step = (-half + sign * math.sqrt(rest)) / square
        turn = math.degrees(math.atan2(p[0] + step * d[0], p[1] + step * d[1])) % 360.0
        along = dot(away, line.x) + step * dot(way, line.x)
        if 0.0 < turn < bend.angle and 0.0 < along < bend.width:
            fix = "move it to a flat, or cut it across the bend before bending: cut_opening(..., on='blank')"
            raise InputError(name, "through", _stated(point), f"goes through the bend {bend.name}", fix)


def _stated(value: Vector) -> str:
    return "({:.6g}, {:.6g}, {:.6g})".format(*value)
