"""Moving bodies in space: translate, rotate, mirror, array about an axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from formparts.body import Body, Flat, Frame, mirror_frame
from formparts.body.frame import Vector, combined, cross, dot, opposite, square_frame
from formparts.errors import InputError
from formparts.outline.edges import Motion, cos_deg, sin_deg
from formparts.quantities import AngleLike, Limits, count, shown_value
from formparts.quantities import angle as as_angle
from formparts.quantities import length as as_length
from formparts.shapes.naming import checked_body, renamed
from formparts.short_repr import short_repr
from formparts.tolerances import LONGEST

PlaneName: TypeAlias = Literal["xy", "yz", "xz"]
_NORMALS: dict[str, Vector] = {"xy": (0.0, 0.0, 1.0), "yz": (1.0, 0.0, 0.0), "xz": (0.0, 1.0, 0.0)}
MOST_COPIES = 10_000
_PLACES = Limits(minimum=-LONGEST, maximum=LONGEST)


def three_lengths(where: str, parameter: str, given: Sequence[object]) -> Vector:
    """Three lengths."""
    if isinstance(given, str) or not isinstance(given, Sequence) or len(given) != 3:
        raise InputError(where, parameter, shown_value(given), "is not three figures", "give (x, y, z)")
    x, y, z = (as_length(value, parameter, where, _PLACES) for value in given)
    return (x, y, z)


def unit_direction(where: str, given: Sequence[object]) -> Vector:
    """Return a unit vector."""
    x, y, z = away = three_lengths(where, "direction", given)
    size = math.sqrt(dot(away, away))
    if size == 0.0:
        raise InputError(
            where, "direction", shown_value(given), "has no length", "give (0, 0, 1) for the z axis"
        )
    return (x / size, y / size, z / size)


@short_repr
@dataclass(frozen=True)
class Axis:
    """
    A line in space that things turn about, anticlockwise as seen against its direction.

    Parameters
    ----------
    origin : (x, y, z) [mm]
        A point on it.
    direction : (x, y, z) [-]
        Along it; of any length but zero.

    Raises
    ------
    InputError
        The direction has no length, or a figure is not finite.

    Examples
    --------
    >>> upright = Axis((10, 0, 0), (0, 0, 1))
    >>> lugs = array_about(tongue(Sheet(2, 2.5), 30, 10), upright, 2, step=90)
    >>> len(lugs)
    2
    """

    origin: Vector = (0.0, 0.0, 0.0)
    direction: Vector = (0.0, 0.0, 1.0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "origin", three_lengths("axis", "origin", self.origin))
        object.__setattr__(self, "direction", unit_direction("axis", self.direction))


def _checked_axis(axis: object, where: str) -> None:
    """Refuse what is not an axis."""
    if not isinstance(axis, Axis):
        raise InputError(
            where, "axis", shown_value(axis), "is not an axis", "give X_AXIS, Y_AXIS, Z_AXIS or Axis(...)"
        )


X_AXIS = Axis(direction=(1.0, 0.0, 0.0))
Y_AXIS = Axis(direction=(0.0, 1.0, 0.0))
Z_AXIS = Axis()


def translate(body: Body, by: Sequence[object]) -> Body:
    """
    The same body, shifted.

    Parameters
    ----------
    body : Body
        Any body.
    by : (x, y, z) [mm]
        How far along each axis.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The shift is not three finite lengths, or what is shifted is not a body.

    Examples
    --------
    >>> lug = tongue(Sheet(2, 2.5), 30, 16, name="lug")
    >>> [round(value, 3) for value in Part(translate(lug, (20, 0, 5))).centroid]
    [34.198, 0.0, 6.0]
    """
    x, y, z = three_lengths("translate", "by", by)
    frame = checked_body(body, "translate").frame
    origin = combined(frame.origin, (1.0, (x, y, z)))
    return replace(body, frame=Frame(origin, frame.x, frame.y, frame.z))


def rotate(body: Body, angle: AngleLike, axis: Axis = Z_AXIS) -> Body:
    """
    The same body, turned about an axis.

    Parameters
    ----------
    body : Body
        Any body.
    angle : angle [deg]
        Anticlockwise as seen against the direction of the axis.
    axis : Axis
        The z axis when none is given.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The angle is not a finite angle, or there is no body or no axis.

    Examples
    --------
    >>> lug = offset_lug(Sheet(2, 2.5), width=14, rise=8, reach=24, foot=10, slope=60)
    >>> turned = {"as it is": lug, "90 deg": rotate(lug, 90), "90 deg about x": rotate(lug, 90, X_AXIS)}
    """
    checked_body(body, "rotate")
    _checked_axis(axis, "rotate")
    turn = as_angle(angle, "angle", "rotate")
    cos, sin = cos_deg(turn), sin_deg(turn)

    def turned(vector: Vector) -> Vector:
        # Rodrigues' formula; the part along the axis stays.
        along = dot(axis.direction, vector)
        return combined(
            (0.0, 0.0, 0.0),
            (cos, vector),
            (sin, cross(axis.direction, vector)),
            (along * (1.0 - cos), axis.direction),
        )

    frame = body.frame
    away = combined(frame.origin, (-1.0, axis.origin))
    origin = combined(axis.origin, (1.0, turned(away)))
    return replace(body, frame=square_frame(origin, turned(frame.x), turned(frame.z)))


def mirror(
    body: Body, plane: PlaneName = "xz", through: Sequence[object] = (0, 0, 0), name: str = ""
) -> Body:
    """
    The mirror image of a body.

    Parameters
    ----------
    body : Body
        Any body.
    plane : "xy", "yz" or "xz"
        Direction of the mirror plane.
    through : (x, y, z) [mm]
        A point of the plane.
    name : str
        Name of the image; that of the body when none is given (fuse wants two names for two bodies).

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The plane is not one of the three, the point is not three finite lengths, or there is no body.

    Examples
    --------
    >>> lug = offset_lug(Sheet(2, 2.5), width=14, rise=8, reach=24, foot=10, slope=60, name="right")
    >>> both = {"right": lug, "left": mirror(lug, "yz", name="left")}
    """
    checked_body(body, "mirror")
    if not isinstance(plane, str) or plane not in _NORMALS:
        raise InputError("mirror", "plane", shown_value(plane), "is not a plane", 'one of "xy", "yz", "xz"')
    point = three_lengths("mirror", "through", through)
    image = drawn_over(body)
    flats = tuple(
        replace(flat, marks=tuple(mark.readable() for mark in flat.marks)) if flat.marks else flat
        for flat in image.flats
    )
    image = replace(image, flats=flats, frame=mirror_frame(body.frame, point, _NORMALS[plane]))
    return renamed(image, name) if name else image


def drawn_over(body: Body) -> Body:
    """Return every flat with its y axis reversed, sides kept: half of a mirror, and half of turning over."""
    over = Motion.turn_over()
    flats = tuple(
        Flat(
            flat.name,
            flat.outline.moved(over),
            tuple(opening.moved(over) for opening in flat.openings),
            tuple(mark.moved(over) for mark in flat.marks),
        )
        for flat in body.flats
    )
    return replace(body, flats=flats, bends=tuple(bend.drawn_over(over) for bend in body.bends))


def turned_over(body: Body) -> Body:
    """Return the same part in the same position, described with upper and lower face exchanged."""
    drawn = drawn_over(body)
    flats = tuple(
        replace(
            flat,
            openings=tuple(opening.turned_over() for opening in flat.openings),
            marks=tuple(mark.turned_over() for mark in flat.marks),
        )
        if flat.marks or any(opening.feature for opening in flat.openings)
        else flat
        for flat in drawn.flats
    )
    bends = tuple(replace(bend, side="down" if bend.side == "up" else "up") for bend in drawn.bends)
    frame = body.frame
    back = Frame(frame.origin, frame.x, opposite(frame.y), opposite(frame.z))
    return replace(drawn, flats=flats, bends=bends, frame=back)


def array_about(
    body: Body, axis: Axis, copies: object, start: AngleLike = 0.0, step: AngleLike | None = None
) -> tuple[Body, ...]:
    """
    Copies of a body round an axis, each a body of its own: `name[1]`, `name[2]`...

    Parameters
    ----------
    body : Body
        The first is this one, turned by `start`.
    axis : Axis
        The axis that they are arranged around; `Z_AXIS` for the z axis.
    copies : count [-]
        How many in all.
    start : angle [deg]
        Position of the first.
    step : angle or None [deg]
        From one to the next; a full turn divided by the count when none is given.

    Returns
    -------
    tuple of Body

    Raises
    ------
    InputError
        The count is not a whole number from 1, an angle is not finite, or there is no body or no axis.

    Examples
    --------
    >>> lug = translate(offset_lug(Sheet(2, 2.5), width=14, rise=8, reach=24, foot=10, slope=60), (32, 0, 0))
    >>> lugs = array_about(lug, Z_AXIS, 3)
    >>> [each.name for each in lugs]
    ['lug[1]', 'lug[2]', 'lug[3]']
    >>> body = fuse(plate(Sheet(2, 2.5), disc(60), name="disc"), lugs)
    """
    checked_body(body, "array_about")
    _checked_axis(axis, "array_about")
    number = count(copies, "copies", "array_about", Limits(minimum=1, maximum=MOST_COPIES))
    first = as_angle(start, "start", "array_about")
    each = 360.0 / number if step is None else as_angle(step, "step", "array_about")
    return tuple(
        rotate(renamed(body, f"{body.name}[{place + 1}]"), first + place * each, axis)
        for place in range(number)
    )
