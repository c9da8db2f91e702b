"""Joggles: an edge set off from its flat by two equal and opposite bends, so that it laps over another sheet."""

from __future__ import annotations

import math

from formparts.bending import BendRule, offset_run, smallest_rise
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import RADII, Bend, Body, Sheet, Side
from formparts.errors import InputError
from formparts.outline.edges import Point
from formparts.quantities import AngleLike, LengthLike, Limits, shown_value
from formparts.quantities import angle as as_angle
from formparts.quantities import length as as_length
from formparts.shapes.flange import Facing, add_flange, checked_relief, place_on, standing, with_flange
from formparts.shapes.naming import checked_body, checked_name
from formparts.shapes.offset import RISES, slope_and_angle
from formparts.shapes.reliefs import Relief, notched
from formparts.shapes.tips import Tip
from formparts.tolerances import LONGEST, SHORTEST_EDGE

SLOPES = Limits(minimum=1.0, maximum=90.0)
USUAL_SLOPE = 45.0
"""Slope used by default if the rise has room for it [deg]; common practice, no source."""


def add_joggle(
    body: Body,
    edge: Facing | tuple[Point, Point],
    lap: LengthLike,
    *,
    rise: LengthLike | None = None,
    slope: AngleLike | None = None,
    within: bool = False,
    flat: str = "",
    width: LengthLike | None = None,
    centre: LengthLike = 0.0,
    side: Side = "up",
    inside_radius: LengthLike | None = None,
    relief: Relief | None = None,
    bend_rule: BendRule | str | float | None = None,
    name: str = "joggle",
) -> Body:
    """
    Set an edge off from its flat by two equal and opposite bends, for lap joints.

                         lap
                    |----------|
        within=False    ________           within=True     ________
        ______________./          rise     _____________./
                      | the edge                                   | the edge

    Parameters
    ----------
    body : Body
        What it is added to.
    edge : "front", "back", "left", "right" or two points [mm]
        The straight edge that faces so and lies farthest out, or two points of an edge, in the flat's coordinates.
    lap : length [mm]
        Of the level part, from the tangent line of the second bend to its end.
    rise : length or None [mm]
        Between like faces; the thickness of the sheet when none is given, so that it laps over a sheet as thick.
    slope : angle or None [deg]
        Angle of the slope between the bends, from the plane of the flat; when none is given 45 deg, or where
        the rise is too small for that the steepest that has room: the two bends meet.
    within : bool
        True: the edge stays where it is, seen from above, and the joggle is formed inside it. False: the first bend
        begins at the edge.
    flat : str
        Name of the flat; the root flat when none is given.
    width : length or None [mm]
        Along the edge; the whole edge when none is given.
    centre : length [mm]
        Middle of the joggle from the middle of the edge, anticlockwise round the flat positive.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    inside_radius : length or None [mm]
        Of both bends; that of the sheet when none is given.
    relief : Relief or None
        Notch on each side where the flat goes on beside the joggle.
    bend_rule : BendRule, str, float or None [-]
        For the developed length of both bends; that of the sheet when none is given.
    name : str
        Name of the level flat; the sloping one is `name.slope`, the bends are `name.slope.bend` and `name.bend`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The rise is too small for its two bends, there is no such edge, or the sheet goes on beside a joggle that is
        formed inside its edge and no relief sets it free.

    Source
    ------
    Exact geometry: rise = 2 (R + t/2)(1 - cos A) + s sin A, with s the straight between the bends.

    Examples
    --------
    >>> from formparts import Part, Sheet, plate, rectangle
    >>> joggled = add_joggle(plate(Sheet(1.5, 2), rectangle(80, 50)), "right", 12)
    >>> tuple(round(x, 6) for x in Part(joggled).properties.envelope)
    (95.774917, 50.0, 3.0)
    """
    checked_name(name, "add_joggle")
    sheet = checked_body(body, name).sheet
    if not isinstance(within, bool):
        raise InputError(name, "within", shown_value(within), "is neither yes nor no", "give True or False")
    if side not in ("up", "down"):
        raise InputError(name, "side", shown_value(side), "is not a side", 'give "up" or "down"')
    radius = sheet.inside_radius
    if inside_radius is not None:
        radius = as_length(inside_radius, "inside_radius", name, RADII)
    high = sheet.thickness if rise is None else as_length(rise, "rise", name, RISES)
    level = as_length(lap, "lap", name, Limits(minimum=SHORTEST_EDGE, maximum=LONGEST))
    straight, turn = slope_and_angle(sheet, name, high, _slope(slope, sheet, name, high, radius), radius)
    back = level + float(offset_run(high, turn, radius, sheet.thickness)) if within else 0.0
    here = body.flat(flat) if flat else body.flats[0]
    place = place_on(here, edge, width, centre, back, name)
    opened = notched(here, place, checked_relief(relief, name), name)
    rule = None if bend_rule is None else as_bend_rule(bend_rule)
    called = f"{name}.slope"
    first = Bend(
        f"{called}.bend", here.name, called, place.line, ((place.width, 0.0), (0.0, 0.0)), turn, side, radius,
        bend_rule=rule,
    )  # fmt: skip
    sloping = standing(called, straight, 0.0, place.width, (0.0, 0.0), Tip("square"), None)
    raised = with_flange(body, opened, sloping, first)
    other: Side = "down" if side == "up" else "up"
    return add_flange(
        raised, ((place.width, straight), (0.0, straight)), level, flat=called, height_to="tangent line",
        edge_to="tangent line", angle=turn, side=other, inside_radius=radius, bend_rule=rule, name=name,
    )  # fmt: skip


def _slope(given: object, sheet: Sheet, name: str, rise: float, radius: float) -> float:
    """Return the requested slope, or the usual one as far as the rise has room for it."""
    if given is not None:
        return as_angle(given, "slope", name, SLOPES)
    if rise >= smallest_rise(USUAL_SLOPE, radius, sheet.thickness):
        return USUAL_SLOPE
    return math.degrees(math.acos(1.0 - rise / (2.0 * radius + sheet.thickness)))
