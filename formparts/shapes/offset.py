"""Lugs offset out of their plane by two equal and opposite bends."""

from __future__ import annotations

import math
from typing import Literal

from formparts.arguments import takes
from formparts.bending import offset_run, offset_slope, smallest_rise
from formparts.body import Bend, Body, Flat, Frame, Sheet, Side
from formparts.errors import InputError
from formparts.quantities import AngleLike, LengthLike, Limits, angle, length
from formparts.shapes.naming import at_least, checked_name, checked_sheet, named_flat, wall_of
from formparts.shapes.tips import Hole, Tip, TipShape, as_tip, hole_outline, tongue_outline
from formparts.tolerances import LENGTH, LONGEST, SHORTEST_EDGE

SLOPES = Limits(minimum=15.0, maximum=90.0)
STRIP = Limits(minimum=SHORTEST_EDGE, maximum=LONGEST)
RISES = Limits(above=0.0, maximum=LONGEST)


@takes(sheet="Sheet")
def offset_lug(
    sheet: Sheet,
    *,
    width: LengthLike,
    rise: LengthLike,
    reach: LengthLike,
    foot: LengthLike,
    slope: AngleLike = 90.0,
    side: Side = "up",
    end: Tip | TipShape = "round",
    hole: Hole | None = None,
    inside_radius: LengthLike | None = None,
    name: str = "lug",
) -> Body:
    """
    A lug raised parallel to its foot by two equal and opposite bends (a joggle).

    It points along x. The tangent line of its first bend is x = 0; its foot lies behind it, its lower face
    on z = 0, on both sides of the x axis. Move it to its place with `translate` and `rotate`.

    Parameters
    ----------
    sheet : Sheet
        The stock.
    width : length [mm]
        Along the bends.
    rise : length [mm]
        From foot to tip, between like faces.
    reach : length [mm]
        In plan, from the tangent line of the first bend to the end of the tip.
    foot : length [mm]
        Length of the foot, behind the first bend.
    slope : angle [deg]
        Angle of the slope between the two bends, from the plane of the foot; 15 to 90.
    side : "up" or "down"
        Which way it is offset.
    end : Tip or str
        Shape of the tip: `round`, `square`, or `tip("chamfered", 5)`, `tip("radiused", 5)`.
    hole : Hole or None
        Round hole on the middle line of the tip.
    inside_radius : length or None [mm]
        Of both bends; that of the sheet when none is given.
    name : str
        Name of the body; its flats and bends are `name.foot`, `name.slope`, `name.tip`, `name.bend[1]`, `name.bend[2]`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The rise is too small for its two bends, the reach too short for its tip (the smallest that fits is
        named in the error), or a dimension is outside its limits. At the smallest rise the two bends meet.

    Source
    ------
    Exact geometry: rise = 2 (R + t/2)(1 - cos A) + s sin A, with s the straight between the bends.

    Examples
    --------
    >>> lug = offset_lug(Sheet(2, 2.5), width=20, rise=12, reach=40, foot=15, slope=60, hole=hole(8))
    >>> figures = {"width": 20, "rise": 12, "reach": 40, "foot": 15}
    >>> slope = {f"{deg} deg": offset_lug(Sheet(2, 2.5), **figures, slope=deg) for deg in (30, 60, 90)}
    >>> side = {word: offset_lug(Sheet(2, 2.5), **figures, slope=60, side=word) for word in ("up", "down")}
    >>> end = {
    ...     "round": offset_lug(Sheet(2, 2.5), **figures, slope=60),
    ...     "square": offset_lug(Sheet(2, 2.5), **figures, slope=60, end="square"),
    ...     "chamfered": offset_lug(Sheet(2, 2.5), **figures, slope=60, end=tip("chamfered", 6)),
    ...     "radiused": offset_lug(Sheet(2, 2.5), **figures, slope=60, end=tip("radiused", 6)),
    ... }
    """
    checked_name(name, "offset_lug")
    checked_sheet(sheet, name)
    if side not in ("up", "down"):
        raise InputError(name, "side", repr(side), "is not a side", 'give "up" or "down"')
    across, back = length(width, "width", name, STRIP), length(foot, "foot", name, STRIP)
    steep = angle(slope, "slope", name, SLOPES)
    radius = (
        sheet.inside_radius if inside_radius is None else length(inside_radius, "inside_radius", name, STRIP)
    )
    high = length(rise, "rise", name, RISES)
    straight, steep = slope_and_angle(sheet, name, high, steep, radius)
    plan = float(offset_run(high, steep, radius, sheet.thickness))
    level = _level(name, length(reach, "reach", name, RISES), plan)
    shape = as_tip(end)
    last = tongue_outline(name, level, across, shape, "reach", plan)
    ways = (
        ()
        if hole is None
        else (wall_of(f"{name}.hole", hole_outline(name, hole, level, shape, across, plan)),)
    )
    square = Tip("square")
    flats = (
        named_flat(f"{name}.foot", tongue_outline(name, back, across, square), name),
        named_flat(f"{name}.slope", tongue_outline(name, straight, across, square), name),
        named_flat(f"{name}.tip", last, name, ways),
    )
    other: Side = "down" if side == "up" else "up"
    bends = (
        _across(name, 1, flats[0], flats[1], back, across, steep, side, radius),
        _across(name, 2, flats[1], flats[2], straight, across, steep, other, radius),
    )
    return Body(name, sheet, flats, bends, Frame((-back, 0.0, sheet.thickness / 2.0)))


def slope_and_angle(sheet: Sheet, name: str, rise: float, slope: float, radius: float) -> tuple[float, float]:
    """Return length of the sloping flat and angle of its bends; the rise must have room for them.

    At the limit, where the two bends meet, the model keeps the shortest edge between them: the bend angles
    are reduced slightly, so that the rise is as requested.
    """
    least = float(smallest_rise(slope, radius, sheet.thickness))
    if rise < least - LENGTH:
        high = math.ceil(least * 1000.0 - 0.001) / 1000.0
        raise InputError(
            name,
            "rise",
            rise,
            "too small for its two bends",
            f"at least {high:.12g} mm at a slope of {slope:.6g} deg and an inside radius of {radius:.6g} mm; "
            "or take a flatter slope or a smaller radius",
            "mm",
        )
    straight = float(offset_slope(rise, slope, radius, sheet.thickness))
    if straight >= SHORTEST_EDGE:
        return straight, slope
    # rise = D (1 - cos A) + s sin A, with D = 2 R + t and s the shortest edge.
    across = 2.0 * radius + sheet.thickness
    away = math.atan2(SHORTEST_EDGE, across)
    turned = math.acos((across - rise) / math.hypot(across, SHORTEST_EDGE)) - away
    return SHORTEST_EDGE, math.degrees(turned)


def _level(name: str, reach: float, plan: float) -> float:
    """Return the length of the level tip; the reach must leave some."""
    if reach - plan < SHORTEST_EDGE:
        raise InputError(
            name,
            "reach",
            reach,
            f"ends {plan - reach:.6g} mm before the second bend does",
            f"at least {at_least(plan)} and what the tip needs",
            "mm",
        )
    return reach - plan


def _across(
    name: str,
    number: Literal[1, 2],
    parent: Flat,
    child: Flat,
    at: float,
    width: float,
    slope: float,
    side: Side,
    radius: float,
) -> Bend:
    """Return the bend from the end of one strip, at x = `at`, to the start of the next."""
    half = width / 2.0
    return Bend(
        f"{name}.bend[{number}]",
        parent.name,
        child.name,
        ((at, -half), (at, half)),
        ((0.0, -half), (0.0, half)),
        slope,
        side,
        radius,
    )
