"""Flanges and upright lugs on a straight edge of a flat, with reliefs beside their bends."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal, TypeAlias

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import RADII, Bend, Body, Flat, Process, Sheet, Side, bends_on, first_lost
from formparts.errors import InputError
from formparts.outline import Outline
from formparts.outline.edges import Line, Motion, Point
from formparts.quantities import NOT_NEGATIVE, POSITIVE, AngleLike, LengthLike, Limits, shown_value
from formparts.quantities import length as as_length
from formparts.shapes.naming import (
    at_least,
    checked_body,
    checked_name,
    checked_outline,
    named_flat,
    refuse_doubles,
    wall_of,
)
from formparts.shapes.profiles import DATUMS, Datum, refuse_slight, setback, turned_by
from formparts.shapes.reliefs import BendPlace, Relief, notched
from formparts.shapes.tips import Ends, Hole, Tip, TipShape, as_ends, hole_outline, tongue_outline
from formparts.tolerances import DIRECTION, LENGTH, SHORTEST_EDGE

Facing: TypeAlias = Literal["front", "back", "left", "right"]
_OUTWARD: dict[str, Point] = {
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
}


def add_flange(
    body: Body,
    edge: Facing | tuple[Point, Point],
    height: LengthLike | None = None,
    *,
    outline: Outline | None = None,
    flat: str = "",
    width: LengthLike | None = None,
    centre: LengthLike = 0.0,
    height_to: Datum = "outside",
    edge_to: Datum = "outside",
    angle: AngleLike = 90.0,
    side: Side = "up",
    inside_radius: LengthLike | None = None,
    end: Tip | TipShape | tuple[Tip | TipShape, Tip | TipShape] = "square",
    hole: Hole | None = None,
    relief: Relief | None = None,
    extend: tuple[object, object] = (0.0, 0.0),
    process: Process = "air bend",
    bend_rule: BendRule | str | float | None = None,
    name: str = "flange",
) -> Body:
    """
    Add a flange or an upright lug to a straight edge of a flat, or to a part of it.

    In its own coordinates a flange has its bend along "front"; its free edge is "back", where a lip goes.

    Parameters
    ----------
    body : Body
        What it is added to.
    edge : "front", "back", "left", "right" or two points [mm]
        The straight edge that faces so and lies farthest out, or two points of an edge, in the flat's coordinates.
    height : length [mm]
        Of the flange, to `height_to`; none where it has an outline of its own.
    outline : Outline or None
        The flange as it is drawn in its own coordinates [mm]: x along its bend line from its left end seen on its
        upper face, y away from the bend, whose tangent line is y = 0. Height, end and hole are then not given.
    flat : str
        Name of the flat; the root flat when none is given.
    width : length or None [mm]
        Along the edge; the whole edge when none is given.
    centre : length [mm]
        Middle of the flange from the middle of the edge, anticlockwise round the flat positive.
    height_to, edge_to : str
        What the height is measured to, and what of the flange the edge of the flat marks: `outside`,
        `inside`, `mould line`, `tangent line` or `mid-surface`. With `edge_to="outside"` the overall size of
        the flat stays; with `"tangent line"` the bend begins at the edge.
    angle : angle [deg]
        Bend angle, 0 for flat, just above 0 to 170; to 270 as a hem, to 350 as a roll or a curl.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    end : Tip, str or pair of them
        Shape of the free end, as of a lug; a pair shapes its corners at the start and at the end, seen along the edge:
        `("square", tip("chamfered", 20, 30))` tapers a gusset.
    hole : Hole or None
        Round hole on the middle line.
    relief : Relief or None
        Notch on each side where the flat goes on beside the bend.
    extend : pair of lengths [mm]
        How far the flange is wider than its bend at its start and at its end, seen along the edge.
    process : "air bend", "hem", "roll" or "curl"
        How its bend is made.
    bend_rule : BendRule, str, float or None [-]
        For the developed length of its bend; that of the sheet when none is given.
    name : str
        Name of the new flat; its bend is `name.bend`, its hole `name.hole`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        There is no such edge, the flange is lower than its bend, the bend lies inside the edge of a flat that
        goes on beside it and no relief sets it free, or its own outline has no edge where the bend is.

    Examples
    --------
    >>> base = plate(Sheet(3, 4), rectangle(60, 40, corner_radius=4), name="base")
    >>> body = add_flange(base, "back", 25, width=30, centre=5, relief=relief(3, 8), hole=hole(8, 10))
    >>> datums = ("outside", "inside", "mould line", "tangent line", "mid-surface")
    >>> plain = plate(Sheet(3, 4), rectangle(40, 30))
    >>> edge_to = {datum: add_flange(plain, "back", 20, edge_to=datum, angle=60) for datum in datums}
    >>> height_to = {datum: add_flange(plain, "back", 20, height_to=datum, angle=60) for datum in datums}
    >>> side = {word: add_flange(plain, "back", 20, side=word) for word in ("up", "down")}
    >>> angle = {f"{deg} deg": add_flange(plain, "back", 25, angle=deg) for deg in (30, 90, 135)}
    >>> end = {
    ...     "square": add_flange(base, "back", 30, width=24, relief=relief(3, 8)),
    ...     "round": add_flange(base, "back", 30, width=24, relief=relief(3, 8), end="round"),
    ...     "chamfered": add_flange(base, "back", 30, width=24, relief=relief(3, 8), end=tip("chamfered", 8)),
    ...     "radiused": add_flange(base, "back", 30, width=24, relief=relief(3, 8), end=tip("radiused", 8)),
    ... }
    >>> free = {"width": 24, "edge_to": "tangent line", "relief": relief(6, 8)}
    >>> extend = {str(pair): add_flange(base, "back", 20, **free, extend=pair) for pair in ((0, 0), (5, 0), (5, 5))}
    """
    checked_name(name, "add_flange")
    checked_body(body, name)
    here = body.flat(flat) if flat else body.flats[0]
    bent = bend_figures(body.sheet, name, angle, side, inside_radius, process, height_to, edge_to)
    rule = None if bend_rule is None else as_bend_rule(bend_rule)
    back = setback(edge_to, bent[0], bent[1], body.sheet.thickness)
    place = place_on(here, edge, width, centre, back, name)
    taken = setback(height_to, bent[0], bent[1], body.sheet.thickness)
    opened = notched(here, place, checked_relief(relief, name), name)
    if outline is None:
        tall = as_length(height, "height", name, POSITIVE)
        refuse_low(tall, taken, name)
        new = standing(name, tall, taken, place.width, _wider(extend, name), as_ends(end, name), hole)
    else:
        _refuse_both(name, height=height, hole=hole, extend=None if extend == (0.0, 0.0) else extend)
        new = named_flat(name, checked_outline(outline, name, "outline"), name)
    child_line = ((place.width, 0.0), (0.0, 0.0))
    bend = Bend(
        f"{name}.bend", here.name, name, place.line, child_line, bent[0], side, bent[1], process, rule
    )
    return with_flange(body, opened, new, bend)


def with_flange(body: Body, opened: Flat, new: Flat, bend: Bend) -> Body:
    """The body with its flange, every bend of the flat that carries it still on an edge of its own."""
    flats = (*(opened if old.name == opened.name else old for old in body.flats), new)
    grown = refuse_doubles(replace(body, flats=flats, bends=(*body.bends, bend)), "add_flange")
    astray = first_lost(new, bends_on(grown, new.name))
    if astray is not None:
        fix = f"let a straight edge run from (0, 0) to ({bend.width:.6g}, 0), the sheet above it"
        raise InputError(new.name, "outline", new.name, "has no edge along its bend line", fix)
    lost = first_lost(opened, bends_on(grown, opened.name))
    if lost is not None:
        for old in bends_on(body, opened.name):
            if _overlap(old.parent_line, bend.parent_line):
                fix = "choose another edge, or the two ends of what is free of it: edge=((x, y), (x, y))"
                raise InputError(new.name, "edge", f"on {opened.name}", f"holds {old.name} already", fix)
        whose = "its bend line" if lost.name == bend.name else f"the bend line of {lost.name}"
        raise InputError(
            new.name,
            "place",
            f"on {opened.name}",
            f"{whose} is cut by a notch, a relief, an opening or another bend",
            "move it, make it or its reliefs narrower, let a flange begin at the edge: edge_to='tangent line', "
            "or make walls that meet at a corner by box",
        )
    return grown


def _overlap(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """True when two bend lines run the same way, one beside the other."""
    (x, y), (x1, y1) = one
    along = ((x1 - x) / math.dist(*one), (y1 - y) / math.dist(*one))
    run, off = ([(px - x) * u + (py - y) * v for px, py in other] for u, v in (along, (-along[1], along[0])))
    parallel = abs(off[0] - off[1]) <= LENGTH
    return parallel and min(run) < math.dist(*one) - LENGTH and max(run) > LENGTH


def _refuse_both(name: str, **others: object) -> None:
    """Refuse settings that an outline of its own already gives."""
    for parameter, value in others.items():
        if value is not None:
            fix = "leave it away, or the outline"
            raise InputError(
                name, parameter, shown_value(value), "is given beside the flange's own outline", fix
            )


def checked_relief(relief: Relief | None, name: str) -> Relief | None:
    if relief is not None and not isinstance(relief, Relief):
        raise InputError(name, "relief", shown_value(relief), "is not a relief", "give relief(width, depth)")
    return relief


def _wider(extend: object, name: str) -> tuple[float, float]:
    """Return how much a flange is wider than its bend at either end."""
    if not isinstance(extend, (tuple, list)) or len(extend) != 2:
        fix = "give how far it is wider at its start and at its end: (2, 0)"
        raise InputError(name, "extend", shown_value(extend), "is not a pair of lengths", fix)
    first, last = (as_length(value, "extend", name, NOT_NEGATIVE) for value in extend)
    for value in (first, last):
        if 0.0 < value < SHORTEST_EDGE:
            fix = f"give 0, or at least {SHORTEST_EDGE:g} mm"
            raise InputError(name, "extend", value, "is less than the shortest edge", fix, "mm")
    return first, last


def bend_figures(
    sheet: Sheet,
    name: str,
    angle: AngleLike,
    side: Side,
    inside_radius: LengthLike,
    process: Process,
    *datums: Datum,
) -> tuple[float, float]:
    """Return angle and inside radius, checked."""
    if side not in ("up", "down"):
        raise InputError(name, "side", repr(side), "is not a side", 'give "up" or "down"')
    for datum in datums:
        if datum not in DATUMS:
            raise InputError(name, "datum", repr(datum), "is not a datum", f"one of {', '.join(DATUMS)}")
    turn = turned_by(angle, process, name)
    radius = sheet.inside_radius
    if inside_radius is not None:
        radius = as_length(inside_radius, "inside_radius", name, RADII)
    refuse_slight(name, "angle", turn, radius, sheet.thickness)
    return turn, radius


def refuse_low(height: float, taken: float, name: str) -> None:
    """Refuse a flange that does not rise above the tangent line of its bend."""
    if height - taken < SHORTEST_EDGE:
        raise InputError(
            name,
            "height",
            height,
            f"lower than its bend, which takes {taken:.6g} mm",
            f"at least {at_least(taken)}, or a smaller inside radius",
            "mm",
        )


def place_on(
    flat: Flat,
    edge: Facing | tuple[Point, Point],
    width: LengthLike,
    centre: LengthLike,
    back: float,
    name: str,
) -> BendPlace:
    """Return where the bend begins and ends, and how much edge is left beside it."""
    whole, start, end = _edge_and_part(flat, edge, name)
    if width is not None:
        wide = as_length(width, "width", name, Limits(minimum=SHORTEST_EDGE))
        off = as_length(centre, "centre", name)
        middle = (math.dist(whole.start, start) + math.dist(whole.start, end)) / 2.0 + off
        first, last = middle - wide / 2.0, middle + wide / 2.0
        if first < -LENGTH or last > whole.length + LENGTH:
            over = max(-first, last - whole.length)
            raise InputError(
                name,
                "width",
                wide,
                f"runs past the end of its edge by {over:.6g} mm",
                f"the edge is {whole.length:.6g} mm long; make the flange narrower, move its centre, "
                "or let it run out beyond its bend: extend",
                "mm",
            )
        start, end = whole.point_at(first / whole.length), whole.point_at(last / whole.length)
    before, after = math.dist(whole.start, start), math.dist(end, whole.end)
    start = whole.start if before <= LENGTH else start
    end = whole.end if after <= LENGTH else end
    return BendPlace(start, end, 0.0 if before <= LENGTH else before, 0.0 if after <= LENGTH else after, back)


def _edge_and_part(flat: Flat, edge: Facing | tuple[Point, Point], name: str) -> tuple[Line, Point, Point]:
    """Return the straight edge meant, and the requested part of it."""
    if isinstance(edge, str):
        found = edge_facing(flat, edge, name)
        return found, found.start, found.end
    ends = _two_points(edge, name)
    for candidate in flat.net.edges:
        if not isinstance(candidate, Line):
            continue
        if all(candidate.distance(end) <= LENGTH for end in ends):
            # Typed coordinates lie beside a slanted edge by their last digit: move them onto it.
            shares = sorted(math.dist(candidate.start, end) / candidate.length for end in ends)
            return candidate, candidate.point_at(shares[0]), candidate.point_at(shares[1])
    fix = f"give two points of a straight edge, in the coordinates of {flat.name}"
    shown = " to ".join(f"({x:.6g}, {y:.6g})" for x, y in ends)
    raise InputError(name, "edge", shown, f"is not on one straight edge of {flat.name}", fix)


def _two_points(edge: object, name: str) -> tuple[Point, Point]:
    """Return two distinct points, or an error that explains how an edge is given."""
    ends = edge if isinstance(edge, (tuple, list)) and len(edge) == 2 else ()
    points = [end for end in ends if isinstance(end, (tuple, list)) and len(end) == 2]
    if len(points) != 2:
        fix = f"one of {', '.join(_OUTWARD)}, or two points: ((0, 0), (40, 0))"
        raise InputError(name, "edge", shown_value(edge), "is not an edge", fix)
    first, last = ((as_length(x, "edge", name), as_length(y, "edge", name)) for x, y in points)
    if math.dist(first, last) < SHORTEST_EDGE:
        raise InputError(name, "edge", shown_value(edge), "its two points are one", "give two points apart")
    return first, last


def edge_facing(flat: Flat, facing: str, name: str) -> Line:
    """Return the straight outer edge of a flat that faces along an axis; of several, the outermost."""
    if facing not in _OUTWARD:
        raise InputError(
            name, "edge", shown_value(facing), "is not a side", f"one of {', '.join(_OUTWARD)}, or two points"
        )
    outward = _OUTWARD[facing]
    edges = [edge for edge in flat.net.outer.edges if isinstance(edge, Line) and _faces(edge, outward)]
    far = max((_out(edge, outward) for edge in edges), default=0.0)
    farthest = [edge for edge in edges if _out(edge, outward) > far - LENGTH]
    if len(farthest) != 1:
        many = (
            "has no straight edge facing" if not farthest else f"has {len(farthest)} edges in one line facing"
        )
        raise InputError(
            name, "edge", facing, f"{flat.name} {many} so", "give the two ends of the edge meant"
        )
    return farthest[0]


def _faces(edge: Line, outward: Point) -> bool:
    """True when the outward side of an edge looks along a direction."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    away = ((y1 - y0) / edge.length, (x0 - x1) / edge.length)
    return math.dist(away, outward) < DIRECTION


def _out(edge: Line, outward: Point) -> float:
    """Return how far out an edge lies."""
    return edge.start[0] * outward[0] + edge.start[1] * outward[1]


def standing(
    name: str,
    height: float,
    taken: float,
    wide: float,
    wider: tuple[float, float],
    end: Tip | Ends,
    hole: Hole | None,
) -> Flat:
    """Return the flange: x along its bend line from its left end seen on its upper face, y away from the bend."""
    # The edge runs against x of the flange, so the start of the edge is at the flange's far x.
    across, tall = wide + wider[0] + wider[1], height - taken
    # A strip along x, its middle on the x axis, is stood up and shifted over the bend line.
    stand = Motion.shift(wide + wider[0] - across / 2.0, 0.0).after(Motion.turn(90.0))
    outline = tongue_outline(name, tall, across, end, "height", taken).moved(stand)
    ways = (
        ()
        if hole is None
        else (wall_of(f"{name}.hole", hole_outline(name, hole, tall, end, across).moved(stand)),)
    )
    return named_flat(name, outline, name, ways)
