"""Openings on a circle and in a grid."""

from __future__ import annotations

from collections.abc import Sequence

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.outline.checks import count_of, positive
from formparts.outline.edges import Motion
from formparts.outline.overlay import intersect
from formparts.outline.regions import Outline
from formparts.quantities import AngleLike, LengthLike, angle


@takes(opening=("Outline", "None"))
def bolt_circle(
    opening: Outline | None, count: int, pitch_diameter: LengthLike, start_angle: AngleLike = 0.0
) -> tuple[Motion, ...]:
    """
    Motions that place something evenly on a circle about the origin, each turned with its place.

    Parameters
    ----------
    opening : Outline or None [mm]
        What will be placed, as it lies at the origin; refused when two places overlap. None: not checked.
    count : int [-]
        Number of places, at least 1.
    pitch_diameter : float [mm]
        Diameter of the circle through the places.
    start_angle : float [deg]
        Where the first place is, anticlockwise from the x axis.

    Returns
    -------
    tuple of Motion [mm]
        In order, anticlockwise.

    Raises
    ------
    InputError
        A number is out of its range, or neighbouring places overlap.

    Examples
    --------
    >>> [motion((0, 0)) for motion in bolt_circle(None, 2, 60)]
    [(30.0, 0.0), (-30.0, 0.0)]
    >>> base = plate(Sheet(2, 2.5), disc(80))
    >>> body = cut_opening(base, disc(7), places=bolt_circle(disc(7), 6, 60, start_angle=15))
    """
    where = "bolt_circle"
    count = count_of(where, "count", count)
    radius = positive(where, "pitch_diameter", pitch_diameter) / 2.0
    start = angle(start_angle, "start_angle", where)
    outwards = Motion.shift(radius, 0.0)
    motions = [Motion.turn(start + i * 360.0 / count).after(outwards) for i in range(count)]
    _check_neighbours(where, "count", count, opening, motions[:2])
    return tuple(motions)


@takes(opening=("Outline", "None"))
def grid(
    columns: int, rows: int, pitch_x: LengthLike, pitch_y: LengthLike, opening: Outline | None = None
) -> tuple[Motion, ...]:
    """
    Motions that place something in columns and rows, the whole centred on the origin.

    Parameters
    ----------
    columns, rows : int [-]
        Number of places along x and along y, at least 1.
    pitch_x, pitch_y : float [mm]
        From one place to the next.
    opening : Outline or None [mm]
        What will be placed; refused when two places overlap. None: not checked.

    Returns
    -------
    tuple of Motion [mm]
        Row by row from the front, each from the left.

    Raises
    ------
    InputError
        A number is out of its range, or neighbouring places overlap.

    Examples
    --------
    >>> [motion((0, 0)) for motion in grid(2, 1, 10, 5)]
    [(-5.0, 0.0), (5.0, 0.0)]
    >>> base = plate(Sheet(2, 2.5), rectangle(80, 50))
    >>> body = cut_opening(base, disc(6), places=grid(3, 2, 25, 20))
    """
    where = "grid"
    columns, rows = count_of(where, "columns", columns), count_of(where, "rows", rows)
    dx, dy = positive(where, "pitch_x", pitch_x), positive(where, "pitch_y", pitch_y)
    xs = [(i - (columns - 1) / 2.0) * dx for i in range(columns)]
    ys = [(i - (rows - 1) / 2.0) * dy for i in range(rows)]
    _check_neighbours(where, "pitch_x", dx, opening, [Motion.shift(x, 0.0) for x in xs[:2]])
    _check_neighbours(where, "pitch_y", dy, opening, [Motion.shift(0.0, y) for y in ys[:2]])
    return tuple([Motion.shift(x, y) for y in ys for x in xs])


def _check_neighbours(
    where: str, name: str, value: float, opening: Outline | None, motions: Sequence[Motion]
) -> None:
    """Refuse two neighbouring places that overlap."""
    if opening is None or len(motions) < 2:
        return
    common = intersect(opening.moved(motions[0]), opening.moved(motions[1]))
    if common:
        area = sum(piece.area for piece in common)
        problem = f"neighbouring places overlap by {area:.6g} mm2"
        raise InputError(where, name, value, problem, "place fewer, further apart, or smaller ones")
