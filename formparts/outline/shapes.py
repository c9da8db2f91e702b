"""Outlines from the dimensions that drawings carry. Lengths in mm, angles in deg, anticlockwise from +x.

Edges are tagged by side where the trade has a word: `front` is -y, `back` +y, `left` -x, `right` +x.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, TypeAlias

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.outline.checks import not_negative, pair, positive
from formparts.outline.edges import Arc, Edge, Line, Point
from formparts.outline.regions import Loop, Outline, known_simple, outline_of
from formparts.outline.simplify import circle_loop
from formparts.outline.soundness import place_text
from formparts.outline.soundness import problem as fault_of
from formparts.quantities import LengthLike, PointLike
from formparts.tolerances import LAST_DIGIT, LENGTH, SHORTEST_EDGE, TURN_RAD

PerCorner: TypeAlias = "LengthLike | Sequence[LengthLike]"


def rectangle(length: LengthLike, width: LengthLike, corner_radius: LengthLike = 0.0) -> Outline:
    """
    Rectangle centred on the origin, its length along x.

    Parameters
    ----------
    length, width : float [mm]
        Overall, along x and along y.
    corner_radius : float [mm]
        Of all four corners; 0 is sharp.

    Returns
    -------
    Outline [mm]
        Sides `front`, `right`, `back`, `left`; rounded corners `front_right` and so on.

    Raises
    ------
    InputError
        A dimension is not a positive number, or the radius is more than half the shorter side.

    Examples
    --------
    >>> rectangle(40, 25).area
    1000.0
    >>> shape = rectangle(40, 25, corner_radius=4)
    """
    where = "rectangle"
    length, width = positive(where, "length", length), positive(where, "width", width)
    radius = not_negative(where, "corner_radius", corner_radius)
    largest = min(length, width) / 2.0
    if radius > largest:
        problem = f"the corners do not fit on a side of {2 * largest:.6g} mm"
        raise InputError(where, "corner_radius", radius, problem, f"at most {largest:.6g} mm", "mm")
    x, y = length / 2.0, width / 2.0
    corners = ((-x, -y), (x, -y), (x, y), (-x, y))
    sides = ("front", "right", "back", "left")
    names = ("front_left", "front_right", "back_right", "back_left")
    return _blended(corners, (radius,) * 4, (0.0,) * 4, sides, names)


@takes(points="Sequence")
def polygon(
    points: Sequence[PointLike], radii: PerCorner | None = None, chamfers: PerCorner | None = None
) -> Outline:
    """
    Polygon through its corners in order, either way round, with rounded or chamfered corners.

    Parameters
    ----------
    points : (n, 2) sequence [mm]
        At least three corners.
    radii : float or one per corner [mm]
        Corner radius, tangent to both sides; 0 is sharp.
    chamfers : float or one per corner [mm]
        Length cut off along each side of the corner; 0 is none.

    Returns
    -------
    Outline [mm]
        Side from corner i to the next is `edge[i]`, the blend at corner i is `corner[i]`, from 1.

    Raises
    ------
    InputError
        Fewer than three corners, coinciding corners, blends that do not fit on a side, or sides that cross.

    Examples
    --------
    >>> polygon([(0, 0), (4, 0), (0, 3)]).area
    6.0
    >>> shape = polygon([(0, 0), (50, 0), (50, 20), (20, 30), (0, 30)], radii=5)
    >>> corners = {
    ...     "sharp": polygon([(0, 0), (40, 0), (40, 25), (0, 25)]),
    ...     "rounded": polygon([(0, 0), (40, 0), (40, 25), (0, 25)], radii=6),
    ...     "chamfered": polygon([(0, 0), (40, 0), (40, 25), (0, 25)], chamfers=6),
    ...     "one by one": polygon([(0, 0), (40, 0), (40, 25), (0, 25)], radii=(0, 4, 12, 0)),
    ... }
    """
    where = "polygon"
    corners = tuple([pair(where, f"points[{i}]", point) for i, point in enumerate(points, 1)])
    if len(corners) < 3:
        raise InputError(where, "points", len(corners), "a polygon has at least three corners", "add corners")
    for i, corner in enumerate(corners):
        if math.dist(corner, corners[i - 1]) < SHORTEST_EDGE:
            problem = f"closer than {SHORTEST_EDGE:g} mm to the corner before it"
            raise InputError(where, f"points[{i + 1}]", corner, problem, "leave one of the two out")
    rounds = _per_corner(where, "radii", radii, len(corners))
    cuts = _per_corner(where, "chamfers", chamfers, len(corners))
    numbers = range(1, len(corners) + 1)
    for i, corner in enumerate(corners):
        if rounds[i] and cuts[i]:
            problem = f"the corner at {place_text(corner)} has a chamfer of {cuts[i]:.6g} mm too"
            raise InputError(where, f"radii[{i + 1}]", rounds[i], problem, "set one of the two to 0", "mm")
    sides, names = [f"edge[{i}]" for i in numbers], [f"corner[{i}]" for i in numbers]
    outline = _blended(corners, rounds, cuts, sides, names)
    fault = fault_of(outline)
    if fault:
        raise InputError(where, "points", len(corners), fault, "fix the polygon there", "corners")
    return outline


def _per_corner(where: str, name: str, values: PerCorner | None, count: int) -> tuple[float, ...]:
    """One value for each corner, from none, one for all, or one for each."""
    if values is None:
        return (0.0,) * count
    if isinstance(values, str) or not isinstance(values, Sequence):
        return (not_negative(where, name, values),) * count
    if len(values) != count:
        problem = f"{len(values)} values for {count} corners"
        raise InputError(where, name, tuple(values), problem, "give one for all, or one for each")
    return tuple([not_negative(where, f"{name}[{i}]", value) for i, value in enumerate(values, 1)])


def _blended(
    corners: Sequence[Point],
    radii: Sequence[float],
    chamfers: Sequence[float],
    sides: Sequence[str],
    names: Sequence[str],
) -> Outline:
    """Return a polygon with its corners rounded or chamfered, each tagged with its name."""
    cuts = [_cut_back(corners, i, radii[i], chamfers[i]) for i in range(len(corners))]
    _check_sides(corners, cuts, radii, chamfers)
    edges: list[Edge] = []
    for i, corner in enumerate(corners):
        following = corners[(i + 1) % len(corners)]
        blend = _blend(corners[i - 1], corner, following, cuts[i], radii[i], names[i])
        edges.extend(blend)
        start = blend[-1].end if blend else corner
        end = _towards(following, corner, cuts[(i + 1) % len(corners)])
        if math.dist(start, end) > LENGTH:
            edges.append(Line(start, end, sides[i]))
    return outline_of([Loop(_closed(edges))])


def _cut_back(corners: Sequence[Point], i: int, radius: float, chamfer: float) -> float:
    """Return the length that the blend of a corner takes from each of its sides."""
    if not radius:
        return chamfer
    before, corner, after = corners[i - 1], corners[i], corners[(i + 1) % len(corners)]
    ax, ay = corner[0] - before[0], corner[1] - before[1]
    bx, by = after[0] - corner[0], after[1] - corner[1]
    turn = math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)
    if turn > math.pi - TURN_RAD:
        problem = f"the sides at {place_text(corner)} fold back on each other"
        raise InputError("polygon", f"radii[{i + 1}]", radius, problem, "move the corner", "mm")
    # A right angle takes exactly the radius, which the tangent of 45 deg gives only nearly.
    return radius if abs(turn - math.pi / 2.0) < LAST_DIGIT else radius * math.tan(turn / 2.0)


def _check_sides(
    corners: Sequence[Point], cuts: Sequence[float], radii: Sequence[float], chamfers: Sequence[float]
) -> None:
    """Refuse blends that need more than a side has; say the largest that fits on the tightest one."""
    following = [*range(1, len(corners)), 0]
    lengths = [math.dist(corners[i], corners[j]) for i, j in enumerate(following)]
    needs = [cuts[i] + cuts[j] for i, j in enumerate(following)]
    tightest = max(range(len(corners)), key=lambda i: needs[i] / lengths[i])
    side, needed = lengths[tightest], needs[tightest]
    if needed <= side + LENGTH / 2.0:
        return
    k = max(tightest, following[tightest], key=lambda i: cuts[i])
    name, value = ("radii", radii[k]) if radii[k] else ("chamfers", chamfers[k])
    problem = (
        f"the blends take {needed:.6g} mm of the side of {side:.6g} mm from {place_text(corners[tightest])}"
    )
    fix = f"at most {value * side / needed:.6g} mm, when its neighbour shrinks alike"
    raise InputError("polygon", f"{name}[{k + 1}]", value, problem, fix, "mm")


def _towards(start: Point, target: Point, distance: float) -> Point:
    """Point at a distance from the start on the way to the target."""
    if distance <= LENGTH:
        return start
    if start[1] == target[1]:
        return (start[0] + math.copysign(distance, target[0] - start[0]), start[1])
    if start[0] == target[0]:
        return (start[0], start[1] + math.copysign(distance, target[1] - start[1]))
    part = distance / math.dist(start, target)
    return (start[0] + part * (target[0] - start[0]), start[1] + part * (target[1] - start[1]))


def _blend(before: Point, corner: Point, after: Point, cut: float, radius: float, name: str) -> list[Edge]:
    """The arc or the chamfer at one corner; nothing where it is sharp, or has no turn to blend."""
    if cut <= LENGTH:
        return []
    start, end = _towards(corner, before, cut), _towards(corner, after, cut)
    if not radius:
        return [Line(start, end, name)]
    ax, ay = corner[0] - before[0], corner[1] - before[1]
    bx, by = after[0] - corner[0], after[1] - corner[1]
    left = ax * by - ay * bx > 0.0
    reach = (radius if left else -radius) / math.hypot(ax, ay)
    return [Arc(start, end, (start[0] - reach * ay, start[1] + reach * ax), radius, left, name)]


def _closed(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Let every edge start exactly where the one before it ends (two blends may meet with no side left)."""
    closed: list[Edge] = []
    for i, edge in enumerate(edges):
        start = edges[i - 1].end
        if isinstance(edge, Line):
            closed.append(Line(start, edge.end, edge.tag))
        else:
            closed.append(Arc(start, edge.end, edge.centre, edge.radius, edge.ccw, edge.tag))
    return tuple(closed)


def obround(length: LengthLike, width: LengthLike) -> Outline:
    """
    Slot with two full-round ends, centred on the origin.

    Parameters
    ----------
    length : float [mm]
        Overall, along x, ends included.
    width : float [mm]
        Along y; the ends are half circles of this diameter.

    Returns
    -------
    Outline [mm]
        Sides `front` and `back`, ends `left` and `right`; a circle `rim` when length and width are equal.

    Raises
    ------
    InputError
        A dimension is not a positive number, or the slot is shorter than it is wide.

    Examples
    --------
    >>> round(obround(30, 10).area, 6)
    278.539816
    >>> shape = obround(40, 16)
    """
    return _round_ended("obround", length, width, both=True)


def round_ended_rectangle(
    length: LengthLike, width: LengthLike, ends: Literal["one", "both"] = "one"
) -> Outline:
    """
    Rectangle with a full-round right end (+x), or two; centred on the origin by its overall length.

    Parameters
    ----------
    length : float [mm]
        Overall, along x, round ends included.
    width : float [mm]
        Along y; a round end is a half circle of this diameter.
    ends : str
        `one`: the right end is round, the left one square; `both`: both are round.

    Returns
    -------
    Outline [mm]
        Sides `front` and `back`, ends `left` and `right`.

    Raises
    ------
    InputError
        A dimension is not a positive number, or the length leaves no room for the round ends.

    Examples
    --------
    >>> round(round_ended_rectangle(30, 10).area, 6)
    289.269908
    >>> shape = round_ended_rectangle(40, 20)
    >>> ends = {word: round_ended_rectangle(40, 20, word) for word in ("one", "both")}
    """
    where = "round_ended_rectangle"
    if ends not in ("one", "both"):
        raise InputError(where, "ends", ends, "not a choice", "give 'one' or 'both'")
    return _round_ended(where, length, width, both=ends == "both")


def _round_ended(where: str, length: LengthLike, width: LengthLike, both: bool) -> Outline:
    """Rectangle whose right end, or both ends, are half circles."""
    length, width = positive(where, "length", length), positive(where, "width", width)
    least = width if both else width / 2.0
    if length < least - LENGTH:
        problem = f"shorter than its round ends ({least:.6g} mm)"
        raise InputError(where, "length", length, problem, f"at least {least:.6g} mm", "mm")
    x, y = length / 2.0, width / 2.0
    inner = x - y
    start = -inner if both else -x
    if inner - start < SHORTEST_EDGE and both:
        return disc(width)
    edges: list[Edge] = [
        Line((start, -y), (inner, -y), "front"),
        Arc((inner, -y), (inner, y), (inner, 0.0), y, True, "right"),
        Line((inner, y), (start, y), "back"),
    ]
    if inner - start < SHORTEST_EDGE:
        edges = [Arc((start, -y), (start, y), (start, 0.0), y, True, "right")]
    if both:
        edges.append(Arc((start, y), (start, -y), (start, 0.0), y, True, "left"))
    else:
        edges.append(Line((start, y), (start, -y), "left"))
    return known_simple(outline_of([Loop(tuple(edges))]))


def disc(diameter: LengthLike) -> Outline:
    """
    Disc centred on the origin.

    Parameters
    ----------
    diameter : float [mm]
        Of the disc.

    Returns
    -------
    Outline [mm]
        Two half arcs, both tagged `rim`.

    Raises
    ------
    InputError
        The diameter is not a positive number.

    Examples
    --------
    >>> round(disc(2).area, 6)
    3.141593
    >>> shape = disc(30)
    """
    rim = circle_loop((0.0, 0.0), positive("disc", "diameter", diameter) / 2.0, True, "rim")
    return known_simple(Outline(rim))


def ring(outside_diameter: LengthLike, inside_diameter: LengthLike) -> Outline:
    """
    Ring centred on the origin.

    Parameters
    ----------
    outside_diameter, inside_diameter : float [mm]
        Of the rim and of the bore.

    Returns
    -------
    Outline [mm]
        Outer circle `rim`, hole `bore`.

    Raises
    ------
    InputError
        A diameter is not a positive number, or the bore is not smaller than the rim.

    Examples
    --------
    >>> round(ring(4, 2).area, 6)
    9.424778
    >>> shape = ring(40, 24)
    """
    rim = positive("ring", "outside_diameter", outside_diameter)
    bore = positive("ring", "inside_diameter", inside_diameter)
    if rim - bore < 2.0 * SHORTEST_EDGE:
        problem = f"leaves no ring inside the outside diameter of {rim:.6g} mm"
        raise InputError("ring", "inside_diameter", bore, problem, f"less than {rim:.6g} mm", "mm")
    outer = circle_loop((0.0, 0.0), rim / 2.0, True, "rim")
    return Outline(outer, (circle_loop((0.0, 0.0), bore / 2.0, False, "bore"),))
