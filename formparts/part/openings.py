"""The openings of a part: shape and size, and where each lies on its flat, on the blank and on the folded part."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from formparts.body import Body, HoleFeature, Opening, frames, laid_out
from formparts.body.frame import Vector
from formparts.outline import Line, Loop, Point, minimal_width
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH


@short_repr
@dataclass(frozen=True)
class OpeningPlace:
    """
    One opening of a part.

    Parameters
    ----------
    name, flat : str
        Name of the opening, and of the flat that it goes through.
    shape : str
        `round`, `slot` (two straight sides and round ends), `rectangle` (corners sharp or rounded) or `other`.
    length, width : float [mm]
        Longest and shortest overall size; both the diameter of a round one.
    on_flat, on_blank : (x, y) [mm]
        Its middle in the coordinates of the flat, and on the blank.
    on_part : (x, y, z) [mm]
        Its middle on the folded part, on the mid-surface.
    feature : HoleFeature or None
        What it is besides a hole: countersunk, counterbored, tapped, or pressed into.
    after_bending : bool
        True when it is drilled or cut after bending, and only marked on the blank.

    Examples
    --------
    >>> part = find_recipe("angle_bracket").part()
    >>> opening = part.openings[0]
    >>> opening.name
    'shelf_slot[1]'
    """

    name: str
    flat: str
    shape: str
    length: float
    width: float
    on_flat: Point
    on_blank: Point
    on_part: Vector
    feature: HoleFeature | None = None
    after_bending: bool = False


def opening_places(body: Body) -> tuple[OpeningPlace, ...]:
    """
    List the openings of a part, in the order of its flats.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    tuple of OpeningPlace
    """
    laid, placed = laid_out(body), frames(body)
    found: list[OpeningPlace] = []
    for flat in body.flats:
        for opening in flat.openings:
            if any(place.name == opening.name for place in found):
                continue  # one that crosses a bend is listed with the first flat that it goes through
            shape, length, width, middle = _described(opening)
            on_blank, on_part = laid[flat.name](middle), placed[flat.name].point(middle)
            found.append(
                OpeningPlace(
                    opening.name,
                    flat.name,
                    shape,
                    length,
                    width,
                    middle,
                    on_blank,
                    on_part,
                    opening.feature,
                    opening.after_bending,
                )
            )
    return tuple(found)


def _described(opening: Opening) -> tuple[str, float, float, Point]:
    """Shape, longest and shortest overall size, and middle."""
    loop, circle = opening.outline.outer, opening.outline.outer.circle
    if circle is not None:
        return "round", 2.0 * circle[1], 2.0 * circle[1], circle[0]
    along, across, middle = _box(loop)
    if _is_slot(loop):
        return "slot", max(along, across), min(along, across), middle
    if _is_rectangle(loop):
        return "rectangle", max(along, across), min(along, across), middle
    sx, sy = opening.outline.first_moments
    area = opening.outline.area
    return "other", max(along, across), minimal_width(opening.outline), (sx / area, sy / area)


def _box(loop: Loop) -> tuple[float, float, Point]:
    """Size along the longest straight edge and across it (along x and y without one), and the middle of that box."""
    lines = [edge for edge in loop.edges if isinstance(edge, Line)]
    longest = max(lines, key=lambda edge: edge.length, default=None)
    ux, uy = (1.0, 0.0)
    if longest is not None:
        (x0, y0), (x1, y1) = longest.start, longest.end
        ux, uy = (x1 - x0) / longest.length, (y1 - y0) / longest.length
    points = [point for edge in loop.edges for point in (edge.start, edge.middle)]
    left, right = _extent([x * ux + y * uy for x, y in points])
    low, high = _extent([y * ux - x * uy for x, y in points])
    u, v = (left + right) / 2.0, (low + high) / 2.0
    return right - left, high - low, (u * ux - v * uy, u * uy + v * ux)


def _extent(values: list[float]) -> tuple[float, float]:
    return min(values), max(values)


def _is_slot(loop: Loop) -> bool:
    lines = [edge for edge in loop.edges if isinstance(edge, Line)]
    radii = {round(edge.radius, 4) for edge in loop.edges if not isinstance(edge, Line)}
    if len(lines) != 2 or len(radii) != 1:
        return False
    along, across, _ = _box(loop)
    return abs(across - 2.0 * radii.pop()) <= LENGTH and along > across


def _is_rectangle(loop: Loop) -> bool:
    lines = [edge for edge in loop.edges if isinstance(edge, Line)]
    return len(lines) == 4 and all(_is_square(one, other) for one, other in pairwise(lines))


def _is_square(one: Line, other: Line) -> bool:
    (ax, ay), (bx, by) = _direction(one), _direction(other)
    return abs(ax * bx + ay * by) <= LENGTH


def _direction(line: Line) -> Point:
    return (
        (line.end[0] - line.start[0]) / line.length,
        (line.end[1] - line.start[1]) / line.length,
    )
