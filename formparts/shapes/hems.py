"""Hems and curls along a straight edge: rims folded back on the sheet, or rolled round."""

from __future__ import annotations

import math
from typing import Any, Literal, TypeAlias

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import RADII, Body, Side
from formparts.errors import InputError
from formparts.outline.edges import Point, cos_deg, sin_deg
from formparts.quantities import POSITIVE, AngleLike, LengthLike, Limits, shown_value
from formparts.quantities import angle as as_angle
from formparts.quantities import length as as_length
from formparts.shapes.flange import Facing, add_flange
from formparts.shapes.naming import checked_body, checked_name
from formparts.shapes.profiles import Datum
from formparts.shapes.reliefs import Relief
from formparts.tolerances import SHORTEST_EDGE

HemKind: TypeAlias = Literal["closed", "open", "teardrop", "rolled"]
KINDS: tuple[HemKind, ...] = ("closed", "open", "teardrop", "rolled")
ROLLED_TURN = 270.0
"""Bend angle of a rolled hem [deg]; common practice, no source."""
_TEARDROP = (180.001, 269.999)
_STEPS = 60


def add_hem(
    body: Body,
    edge: Facing | tuple[Point, Point],
    length: LengthLike,
    *,
    kind: HemKind = "closed",
    gap: LengthLike | None = None,
    inside_radius: LengthLike | None = None,
    flat: str = "",
    width: LengthLike | None = None,
    centre: LengthLike = 0.0,
    side: Side = "up",
    relief: Relief | None = None,
    bend_rule: BendRule | str | float | None = None,
    name: str = "hem",
) -> Body:
    """
    Fold a rim back on the sheet; the overall size of the flat stays, and the hem's length is to its outside.

        closed  ______    open  ______     teardrop  _____     rolled   __
               |______         (              .-'    /             (    )
                -------         -------      (______-------         '--'------

    Parameters
    ----------
    body : Body
        What it is added to.
    edge : "front", "back", "left", "right" or two points [mm]
        The straight edge that faces so and lies farthest out, or two points of an edge, in the flat's coordinates.
    length : length [mm]
        Of the hem, from the outside of its bend to its end, along the sheet; of a rolled one its outside diameter.
    kind : "closed", "open", "teardrop" or "rolled"
        Pressed shut; with a gap all along; with a loop whose end comes back to the sheet; rolled by 270 deg.
    gap : length or None [mm]
        Of an open hem between its two flats, twice the inside radius of the sheet when none is given; of a teardrop
        between its end and the sheet, half the sheet's thickness when none is given.
    inside_radius : length or None [mm]
        Of a teardrop's loop; that of the sheet when none is given.
    flat : str
        Name of the flat; the root flat when none is given.
    width : length or None [mm]
        Along the edge; the whole edge when none is given.
    centre : length [mm]
        Middle of the hem from the middle of the edge, anticlockwise round the flat positive.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    relief : Relief or None
        Notch on each side where the flat goes on beside the bend.
    bend_rule : BendRule, str, float or None [-]
        For the developed length of its bend. When none is given: the rule of the sheet for an open hem, and K 0.5, the
        middle of the sheet, for one that is pressed shut or turned beyond 180 deg.
    name : str
        Name of the new flat; its bend is `name.bend`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        There is no such kind or edge, the hem is shorter than its bend, or a figure is given that its kind has not.

    Source
    ------
    Exact geometry; a closed hem is drawn with an inside radius of 0.001 mm, and its allowance at K 0.5 takes 0.43 t off
    the outside lengths, as trade articles have it.

    Examples
    --------
    >>> base = plate(Sheet(1, 1.5), rectangle(40, 25), name="base")
    >>> body = add_hem(base, "back", 8, kind="open", gap=3)
    >>> kind = {
    ...     "closed": add_hem(base, "back", 8),
    ...     "open": add_hem(base, "back", 8, kind="open", gap=3),
    ...     "teardrop": add_hem(base, "back", 12, kind="teardrop", inside_radius=2),
    ...     "rolled": add_hem(base, "back", 8, kind="rolled"),
    ... }
    """
    checked_name(name, "add_hem")
    sheet = checked_body(body, name).sheet
    if kind not in KINDS:
        raise InputError(
            name, "kind", shown_value(kind), "is not a kind of hem", f"one of {', '.join(KINDS)}"
        )
    _refuse_unused(name, kind, gap=gap, inside_radius=inside_radius)
    rule = None if bend_rule is None else as_bend_rule(bend_rule)
    common: dict[str, Any] = {"flat": flat, "width": width, "centre": centre, "side": side, "relief": relief}
    common["name"] = name
    if kind == "rolled":
        return add_curl(body, edge, length, angle=ROLLED_TURN, bend_rule=rule, **common)
    long, turn, radius = as_length(length, "length", name, POSITIVE), 180.0, SHORTEST_EDGE
    height_to: Datum = "outside"
    if kind == "open":
        smallest = Limits(minimum=2.0 * RADII.minimum)
        radius = sheet.inside_radius if gap is None else as_length(gap, "gap", name, smallest) / 2.0
    elif kind == "teardrop":
        radius = (
            sheet.inside_radius
            if inside_radius is None
            else as_length(inside_radius, "inside_radius", name, RADII)
        )
        room = (
            sheet.thickness / 2.0
            if gap is None
            else as_length(gap, "gap", name, Limits(minimum=SHORTEST_EDGE))
        )
        turn, long = _teardrop(name, long, radius, sheet.thickness, room)
        height_to = "tangent line"
    return add_flange(
        body, edge, long, angle=turn, inside_radius=radius, height_to=height_to, process="hem", bend_rule=rule,
        **common,
    )  # fmt: skip


def _refuse_unused(name: str, kind: str, **given: object) -> None:
    """Refuse a figure that a kind of hem does not have."""
    used = {"open": ("gap",), "teardrop": ("gap", "inside_radius")}.get(kind, ())
    for parameter, value in given.items():
        if value is not None and parameter not in used:
            owners = {"gap": "an open hem and a teardrop have one", "inside_radius": "a teardrop has one"}
            what = f"is given for a {kind} hem, which has none of its own"
            raise InputError(
                name, parameter, shown_value(value), what, f"leave it out: only {owners[parameter]}"
            )


def _teardrop(name: str, long: float, radius: float, thickness: float, gap: float) -> tuple[float, float]:
    """Return angle [deg] and straight length of a teardrop hem of a given overall length and gap at its end.

    The straight leaves the loop at r (1 - cos A) above the sheet and comes down to the gap; overall it is as long as
    from the outside of the loop to the outer corner of the end: (r + t) (1 - sin A) - L cos A.
    """

    def straight(turn: float) -> float:
        return (radius * (1.0 - cos_deg(turn)) - gap) / -sin_deg(turn)

    def overall(turn: float) -> float:
        return (radius + thickness) * (1.0 - sin_deg(turn)) - straight(turn) * cos_deg(turn)

    low, high = _TEARDROP
    if gap >= 2.0 * radius:
        fix = f"less than {2.0 * radius:.6g} mm, or an open hem"
        raise InputError(name, "gap", gap, "is as wide as the loop of the hem", fix, "mm")
    shortest = overall(high)
    if long < shortest:
        fix = f"at least {shortest:.6g} mm, or a smaller inside radius; or a rolled hem"
        raise InputError(name, "length", long, "is too short for the loop of the hem", fix, "mm")
    for _ in range(_STEPS):
        turn = (low + high) / 2.0
        low, high = (turn, high) if overall(turn) > long else (low, turn)
    turn = (low + high) / 2.0
    return turn, straight(turn)


def add_curl(
    body: Body,
    edge: Facing | tuple[Point, Point],
    diameter: LengthLike,
    *,
    angle: AngleLike = 300.0,
    tip: LengthLike | None = None,
    flat: str = "",
    width: LengthLike | None = None,
    centre: LengthLike = 0.0,
    side: Side = "up",
    relief: Relief | None = None,
    bend_rule: BendRule | str | float | None = None,
    name: str = "curl",
) -> Body:
    """
    Roll a rim round by more than half a turn; the overall size of the flat stays.

    Parameters
    ----------
    body : Body
        What it is added to.
    edge : "front", "back", "left", "right" or two points [mm]
        The straight edge that faces so and lies farthest out, or two points of an edge, in the flat's coordinates.
    diameter : length [mm]
        Outside diameter of the curl.
    angle : angle [deg]
        How far it is turned: from 180 to 350, less what keeps its tip clear of the sheet.
    tip : length or None [mm]
        Straight length at its end that cannot be curled; half the sheet's thickness when none is given.
    flat : str
        Name of the flat; the root flat when none is given.
    width : length or None [mm]
        Along the edge; the whole edge when none is given.
    centre : length [mm]
        Middle of the curl from the middle of the edge, anticlockwise round the flat positive.
    side : "up" or "down"
        Towards the upper face of the flat, or away.
    relief : Relief or None
        Notch on each side where the flat goes on beside the bend.
    bend_rule : BendRule, str, float or None [-]
        For its developed length; K 0.5 beyond 180 deg when none is given, as for a foreign solid that is unfolded.
    name : str
        Name of the flat at its tip; its bend is `name.bend`.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        The diameter leaves no inside radius, or the tip would run into the sheet: the error states the greatest angle.

    Source
    ------
    Exact geometry; K 0.5: Groover from an inside radius of two thicknesses on, below it and for the straight tip common
    practice, no source.

    Examples
    --------
    >>> base = plate(Sheet(1, 1.5), rectangle(40, 25), name="base")
    >>> body = add_curl(base, "back", 10)
    >>> angle = {f"{deg} deg": add_curl(base, "back", 10, angle=deg) for deg in (200, 260, 310)}
    """
    checked_name(name, "add_curl")
    sheet = checked_body(body, name).sheet
    across = as_length(diameter, "diameter", name, POSITIVE)
    radius = across / 2.0 - sheet.thickness
    if radius < RADII.minimum:
        least = 2.0 * (sheet.thickness + RADII.minimum)
        what = f"leaves no inside radius in sheet of {sheet.thickness:.6g} mm"
        raise InputError(name, "diameter", across, what, f"at least {least:.6g} mm", "mm")
    turn = as_angle(angle, "angle", name, Limits(minimum=180.0, maximum=350.0))
    straight = (
        sheet.thickness / 2.0 if tip is None else as_length(tip, "tip", name, Limits(minimum=SHORTEST_EDGE))
    )
    _refuse_tip_in_sheet(name, turn, radius, sheet.thickness, straight)
    return add_flange(
        body, edge, straight, flat=flat, width=width, centre=centre, height_to="tangent line", angle=turn, side=side,
        inside_radius=radius, relief=relief, process="curl", bend_rule=bend_rule, name=name,
    )  # fmt: skip


def _tip_room(turn: float, radius: float, thickness: float, straight: float) -> float:
    """Return the clearance of both corners of a tip from the sheet and from the start of its own bend [mm]."""
    rooms = []
    for ring in (radius, radius + thickness):
        x = ring * sin_deg(turn) + straight * cos_deg(turn)
        height = radius - ring * cos_deg(turn) + straight * sin_deg(turn)
        rooms.append(height if x <= 0.0 else min(height, radius - math.hypot(x, radius - height)))
    return min(rooms)


def _refuse_tip_in_sheet(name: str, turn: float, radius: float, thickness: float, straight: float) -> None:
    room = _tip_room(turn, radius, thickness, straight)
    if room >= SHORTEST_EDGE:
        return
    low, high = 180.0, turn
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        is_clear = _tip_room(middle, radius, thickness, straight) >= SHORTEST_EDGE
        low, high = (middle, high) if is_clear else (low, middle)
    what = f"lets the tip run into the sheet by {SHORTEST_EDGE - room:.4g} mm"
    fix = f"at most {math.floor(low * 100.0) / 100.0:.6g} deg at this diameter, or a shorter tip"
    raise InputError(name, "angle", turn, what, fix, "deg")
