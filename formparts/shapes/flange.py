"""Flanges and upright lugs on a straight edge of a flat, with reliefs beside their bends."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from formparts.body import Bend, Body, Flat, Sheet, Side, bends_on, flat_rims
from formparts.body.frame import bend_frame
from formparts.errors import InputError
from formparts.outline import Outline, cut, polygon, rectangle, round_ended_rectangle
from formparts.outline.edges import Line, Motion, Point
from formparts.quantities import NOT_NEGATIVE, POSITIVE, Limits, angle, length
from formparts.shapes.naming import all_tagged, checked_name, named_flat, refuse_doubles, wall_of
from formparts.shapes.profile import BEND_ANGLES, DATUMS, Datum, setback
from formparts.shapes.tip import Hole, Tip, TipShape, as_tip, hole_outline, tongue_outline
from formparts.tolerances import DIRECTION, LENGTH, SHORTEST_EDGE

Facing: TypeAlias = Literal["front", "back", "left", "right"]
_OUTWARD: dict[str, Point] = {
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
}


@dataclass(frozen=True)
class Relief:
    """
    The notch beside a bend that does not run the full width of its edge.

    Parameters
    ----------
    width : float [mm]
        Along the edge.
    depth : float [mm]
        Beyond the tangent line of the bend, into the flat.
    shape : "square" or "round"
        Of its inner end.
    """

    width: float
    depth: float
    shape: Literal["square", "round"] = "round"


def relief(width: object, depth: object, shape: Literal["square", "round"] = "round") -> Relief:
    """
    The notch beside a bend that does not run the full width of its edge.

    Parameters
    ----------
    width : length [mm]
        Along the edge.
    depth : length [mm]
        Beyond the tangent line of the bend, into the flat.
    shape : "square" or "round"
        Of its inner end.

    Returns
    -------
    Relief

    Raises
    ------
    InputError
        A length is out of its limits, or the shape is neither.
    """
    if shape not in ("square", "round"):
        raise InputError("relief", "shape", repr(shape), "is not a shape", 'give "square" or "round"')
    across = length(width, "width", "relief", Limits(minimum=SHORTEST_EDGE))
    return Relief(across, length(depth, "depth", "relief", NOT_NEGATIVE), shape)


@dataclass(frozen=True)
class _Place:
    """Where a bend goes: its ends on the edge, the free lengths of edge beside them, and how far it is set back."""

    start: Point
    end: Point
    before: float
    after: float
    back: float

    @property
    def width(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def motion(self) -> Motion:
        """From along the edge (x) and into the flat (y) to the flat's coordinates."""
        return bend_frame(self.start, self.end)


def add_flange(
    body: Body,
    edge: Facing | tuple[Point, Point],
    height: object,
    *,
    flat: str = "",
    width: object = None,
    centre: object = 0.0,
    height_to: Datum = "outside",
    edge_to: Datum = "outside",
    angle_: object = 90.0,
    side: Side = "up",
    inside_radius: object = None,
    end: Tip | TipShape = "square",
    hole: Hole | None = None,
    relief: Relief | None = None,
    extend: tuple[object, object] = (0.0, 0.0),
    name: str = "flange",
) -> Body:
    """
    Add a flange or an upright lug to a straight edge of a flat, or to a part of it.

    Parameters
    ----------
    body : Body
        What it is added to.
    edge : "front", "back", "left", "right" or two points [mm]
        The straight edge that faces so and lies farthest out, or two points of an edge, in the flat's coordinates.
    height : length [mm]
        Of the flange, to `height_to`.
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
    angle_ : angle [deg]
        Rotation from flat, just above 0 to 170.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    end : Tip or str
        Shape of the free end, as of a lug.
    hole : Hole or None
        Round hole on the middle line.
    relief : Relief or None
        Notch on each side where the flat goes on beside the bend.
    extend : pair of lengths [mm]
        How far the flange is wider than its bend at its start and at its end, seen along the edge.
    name : str
        Name of the new flat; its bend is `name.bend`, its hole `name.hole`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        There is no such edge, the flange is lower than its bend, or the bend lies inside the edge of a flat that
        goes on beside it and no relief sets it free.
    """
    checked_name(name, "add_flange")
    here = body.flat(flat) if flat else body.flats[0]
    bent = _bend_figures(body.sheet, name, angle_, side, inside_radius, height_to, edge_to)
    back = setback(edge_to, bent[0], bent[1], body.sheet.thickness)
    place = _place(here, edge, width, centre, back, name)
    tall = length(height, "height", name, POSITIVE)
    up_to = _above_tangent(tall, setback(height_to, bent[0], bent[1], body.sheet.thickness), name)
    opened = _notched(here, place, relief, name)
    line = (place.motion((0.0, back)), place.motion((place.width, back)))
    wider = tuple(length(value, "extend", name, NOT_NEGATIVE) for value in extend)
    new = _standing(name, up_to, place.width, (wider[0], wider[1]), as_tip(end), hole)
    child_line = ((place.width, 0.0), (0.0, 0.0))
    bend = Bend(f"{name}.bend", here.name, name, line, child_line, bent[0], side, bent[1])
    return _with_flange(body, opened, new, bend)


def _with_flange(body: Body, opened: Flat, new: Flat, bend: Bend) -> Body:
    flats = (*(opened if old.name == opened.name else old for old in body.flats), new)
    grown = replace(body, flats=flats, bends=(*body.bends, bend))
    flat_rims(opened, bends_on(grown, opened.name))  # refuses a bend that is not on the edge any more
    return refuse_doubles(grown, "add_flange")


def _bend_figures(
    sheet: Sheet, name: str, angle_: object, side: Side, inside_radius: object, *datums: Datum
) -> tuple[float, float]:
    """Angle and inside radius, checked."""
    if side not in ("up", "down"):
        raise InputError(name, "side", repr(side), "is not a side", 'give "up" or "down"')
    for datum in datums:
        if datum not in DATUMS:
            raise InputError(name, "datum", repr(datum), "is not a datum", f"one of {', '.join(DATUMS)}")
    turn = angle(angle_, "angle", name, BEND_ANGLES)
    if inside_radius is None:
        return turn, sheet.inside_radius
    return turn, length(inside_radius, "inside_radius", name, Limits(minimum=SHORTEST_EDGE))


def _above_tangent(height: float, taken: float, name: str) -> float:
    """Height of the flange above the tangent line of its bend."""
    if height - taken < SHORTEST_EDGE:
        raise InputError(
            name,
            "height",
            height,
            f"lower than its bend, which takes {taken:.6g} mm",
            f"at least {taken + SHORTEST_EDGE:.6g} mm, or a smaller inside radius",
            "mm",
        )
    return height - taken


def _place(
    flat: Flat, edge: Facing | tuple[Point, Point], width: object, centre: object, back: float, name: str
) -> _Place:
    """Where the bend begins and ends, and how much edge is left beside it."""
    whole, start, end = _edge_and_part(flat, edge, name)
    if width is not None:
        wide = length(width, "width", name, Limits(minimum=SHORTEST_EDGE))
        off = length(centre, "centre", name)
        middle = (math.dist(whole.start, start) + math.dist(whole.start, end)) / 2.0 + off
        first, last = middle - wide / 2.0, middle + wide / 2.0
        if first < -LENGTH or last > whole.length + LENGTH:
            over = max(-first, last - whole.length)
            raise InputError(
                name,
                "width",
                wide,
                f"runs past the end of its edge by {over:.6g} mm",
                f"the edge is {whole.length:.6g} mm long; make the flange narrower or move its centre",
                "mm",
            )
        start, end = whole.point_at(first / whole.length), whole.point_at(last / whole.length)
    before, after = math.dist(whole.start, start), math.dist(end, whole.end)
    start = whole.start if before <= LENGTH else start
    end = whole.end if after <= LENGTH else end
    return _Place(start, end, 0.0 if before <= LENGTH else before, 0.0 if after <= LENGTH else after, back)


def _edge_and_part(flat: Flat, edge: Facing | tuple[Point, Point], name: str) -> tuple[Line, Point, Point]:
    """The straight edge meant, and the part of it that was asked for."""
    if isinstance(edge, str):
        found = edge_facing(flat, edge, name)
        return found, found.start, found.end
    ends = tuple((length(x, "edge", name), length(y, "edge", name)) for x, y in edge)
    for candidate in flat.net.edges:
        if not isinstance(candidate, Line):
            continue
        along = [_on(candidate, end) for end in ends]
        if None not in along:
            first, last = sorted(ends, key=lambda end: math.dist(candidate.start, end))
            return candidate, first, last
    raise InputError(
        name,
        "edge",
        edge,
        f"is not on one straight edge of {flat.name}",
        "give two points of a straight edge",
    )


def _on(edge: Line, point: Point) -> Point | None:
    """The point, when it lies on the edge."""
    return point if Line.distance(edge, point) <= LENGTH else None


def edge_facing(flat: Flat, facing: str, name: str) -> Line:
    """The straight outer edge of a flat that faces along an axis; of several, the one that lies farthest out."""
    if facing not in _OUTWARD:
        raise InputError(
            name, "edge", repr(facing), "is not a side", f"one of {', '.join(_OUTWARD)}, or two points"
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
    """How far out an edge lies."""
    return edge.start[0] * outward[0] + edge.start[1] * outward[1]


def _notched(flat: Flat, place: _Place, relief: Relief | None, name: str) -> Flat:
    """The flat with the room for the bend and its reliefs cut out."""
    tools = list(_tools(place, relief, name))
    if not tools:
        return flat
    pieces = cut(flat.outline, *(tool.moved(place.motion) for tool in tools))
    if len(pieces) != 1:
        raise InputError(
            name, "relief", flat.name, f"cuts the flat into {len(pieces)} pieces", "make it smaller"
        )
    return Flat(flat.name, pieces[0], flat.openings)


def _tools(place: _Place, relief: Relief | None, name: str) -> list[Outline]:
    """What is cut away, along the edge (x) and into the flat (y)."""
    beside = [end for end, free in ((0, place.before), (1, place.after)) if free]
    if beside and place.back > 0.0 and relief is None:
        raise InputError(
            name,
            "relief",
            "none",
            f"the flat goes on beside a bend that lies {place.back:.6g} mm inside its edge",
            "give a relief, or let the bend begin at the edge: edge_to='tangent line'",
        )
    out = 1.0 + place.back
    tools = []
    if place.back > 0.0:
        corners = [(0.0, -out), (place.width, -out), (place.width, place.back), (0.0, place.back)]
        tools.append(all_tagged(polygon(corners), f"{name}.notch"))
    if relief is not None:
        for end in beside:
            _check_room(relief, (place.before, place.after)[end], place.back, name)
            middle = -relief.width / 2.0 if end == 0 else place.width + relief.width / 2.0
            deep = place.back + relief.depth
            tools.append(all_tagged(_slot(relief, middle, -out, deep), f"{name}.relief[{end + 1}]"))
    return tools


def _check_room(relief: Relief, free: float, back: float, name: str) -> None:
    if relief.width > free - SHORTEST_EDGE:
        raise InputError(
            name,
            "relief width",
            relief.width,
            f"wider than the {free:.6g} mm of edge beside the bend",
            "make it narrower, or the flange narrower",
            "mm",
        )
    if relief.depth + back < SHORTEST_EDGE or (
        relief.shape == "round" and relief.depth + back < relief.width / 2.0
    ):
        raise InputError(
            name,
            "relief depth",
            relief.depth,
            "too shallow for its inner end",
            f"at least {max(0.0, relief.width / 2.0 - back) or SHORTEST_EDGE:.6g} mm",
            "mm",
        )


def _slot(relief: Relief, middle: float, low: float, high: float) -> Outline:
    """A notch from below the edge to its inner end."""
    tall = high - low
    if relief.shape == "round":
        made = round_ended_rectangle(tall, relief.width, "one").moved(Motion.turn(90.0))
    else:
        made = rectangle(relief.width, tall)
    return made.moved(Motion.shift(middle, (low + high) / 2.0))


def _standing(
    name: str, tall: float, wide: float, wider: tuple[float, float], end: Tip, hole: Hole | None
) -> Flat:
    """The flange: x along its bend line from its left end seen on its upper face, y away from the bend."""
    # Along the edge is against x of the flange, so that what comes first along the edge is at its far x.
    across = wide + wider[0] + wider[1]
    # A strip along x, its middle on the x axis, is stood up and shifted over the bend line.
    stand = Motion.shift(wide + wider[0] - across / 2.0, 0.0).after(Motion.turn(90.0))
    outline = tongue_outline(name, tall, across, end).moved(stand)
    ways = (
        ()
        if hole is None
        else (wall_of(f"{name}.hole", hole_outline(name, hole, tall, end, across).moved(stand)),)
    )
    return named_flat(name, outline, name, ways)
