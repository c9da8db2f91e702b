"""The end of a tongue or lug: its shape, and the hole in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from formparts.errors import InputError
from formparts.outline import Outline, disc, polygon, round_ended_rectangle
from formparts.outline.edges import Motion
from formparts.quantities import POSITIVE, length, shown_value
from formparts.shapes.naming import at_least
from formparts.tolerances import LENGTH, SHORTEST_EDGE

TipShape: TypeAlias = Literal["round", "square", "chamfered", "radiused"]
HoleDatum: TypeAlias = Literal["end", "start", "foot bend"]

SHAPES: tuple[TipShape, ...] = ("round", "square", "chamfered", "radiused")
SIDES = {"front": "right_side", "right": "end", "back": "left_side", "left": "start"}


@dataclass(frozen=True)
class Tip:
    """
    Shape of the end of a tongue, lug or flange.

    Parameters
    ----------
    shape : str
        `round` (full round), `square`, `chamfered` or `radiused`.
    size : float [mm]
        Length cut off along each side of a chamfered corner, or radius of a radiused one.
    """

    shape: TipShape
    size: float = 0.0


@dataclass(frozen=True)
class Hole:
    """
    A round hole on the middle line of a tongue or lug.

    Parameters
    ----------
    diameter : float [mm]
        Of the hole.
    distance : float or None [mm]
        From the datum to the middle of the hole; none: the centre of a full-round end.
    datum : str
        `end` (of the tongue), `start` (where it begins: its base, or the last bend's tangent line), or
        `foot bend` (of an offset lug: the first bend's tangent line, in plan).
    """

    diameter: float
    distance: float | None = None
    datum: HoleDatum = "end"


def tip(shape: TipShape, size: object = 0.0) -> Tip:
    """
    Shape of the end of a tongue, lug or flange.

    Parameters
    ----------
    shape : str
        `round` (full round), `square`, `chamfered` or `radiused`.
    size : length [mm]
        Length cut off along each side of a chamfered corner, or radius of a radiused one.

    Returns
    -------
    Tip

    Raises
    ------
    InputError
        The shape is not one of the four, or a chamfered or radiused tip has no size.
    """
    if shape not in SHAPES:
        raise InputError("tip", "shape", repr(shape), "is not a tip", f"one of {', '.join(SHAPES)}")
    sized = shape in ("chamfered", "radiused")
    return Tip(shape, length(size, "size", f"{shape} tip", POSITIVE) if sized else 0.0)


def hole(diameter: object, distance: object = None, datum: HoleDatum = "end") -> Hole:
    """
    A round hole on the middle line of a tongue or lug.

    Parameters
    ----------
    diameter : length [mm]
        Of the hole.
    distance : length or None [mm]
        From the datum to the middle of the hole; none: the centre of a full-round end.
    datum : str
        `end` (of the tongue), `start` (where it begins: its base, or the last bend's tangent line), or
        `foot bend` (of an offset lug: the first bend's tangent line, in plan).

    Returns
    -------
    Hole

    Raises
    ------
    InputError
        A length is not positive, or the datum is not one of the three.
    """
    if datum not in ("end", "start", "foot bend"):
        raise InputError("hole", "datum", repr(datum), "is not a datum", "one of end, start, foot bend")
    across = length(diameter, "diameter", "hole", POSITIVE)
    return Hole(across, None if distance is None else length(distance, "distance", "hole", POSITIVE), datum)


def as_tip(given: Tip | TipShape) -> Tip:
    """A tip, or the name of one that needs no size."""
    return given if isinstance(given, Tip) else tip(given)


def tongue_outline(
    where: str, along: float, across: float, end: Tip, parameter: str = "length", before: float = 0.0
) -> Outline:
    """
    A strip from x = 0, on both sides of the x axis, its far end shaped; tagged by the side seen from above.

    `parameter` is what the drawing calls its length, which is measured from `before` its beginning.
    """
    if end.shape == "round":
        if along < across / 2.0 + SHORTEST_EDGE:
            raise InputError(
                where,
                parameter,
                before + along,
                f"leaves {along:.6g} mm for a full-round end of {across / 2.0:.6g} mm",
                f"make it {at_least(before + across / 2.0)} or longer, or narrower than "
                f"{2.0 * (along - SHORTEST_EDGE):.6g} mm, or choose a square tip",
                "mm",
            )
        made = round_ended_rectangle(along, across, "one").moved(Motion.shift(along / 2.0, 0.0))
        return made.retagged(SIDES)
    half = across / 2.0
    corners = [(0.0, -half), (along, -half), (along, half), (0.0, half)]
    cut = (0.0, end.size, end.size, 0.0)
    if end.size > min(half, along) - LENGTH:
        raise InputError(
            where,
            f"{end.shape} tip",
            end.size,
            f"does not fit the end of a strip {across:.6g} mm wide",
            f"make it smaller than {min(half, along):.6g} mm, or choose a round tip",
            "mm",
        )
    if end.shape == "radiused":
        return polygon(corners, radii=cut).retagged(_NUMBERED)
    return polygon(corners, chamfers=cut if end.shape == "chamfered" else None).retagged(_NUMBERED)


_NUMBERED = {"edge[1]": "right_side", "edge[2]": "end", "edge[3]": "left_side", "edge[4]": "start"}


def hole_outline(
    where: str, wanted: Hole, along: float, end: Tip, across: float, before: float | None = None
) -> Outline:
    """
    The hole on the middle line of a strip that begins at x = 0; it breaks out nowhere.

    `before` is how far the `foot bend` lies before the start, in plan, where there is one.
    """
    if not isinstance(wanted, Hole):
        raise InputError(where, "hole", shown_value(wanted), "is not a hole", "give hole(diameter, distance)")
    x = _hole_x(where, wanted, along, end, across, before)
    widest = across - 2.0 * SHORTEST_EDGE
    if wanted.diameter >= widest:
        raise InputError(
            where,
            "hole diameter",
            wanted.diameter,
            f"leaves nothing of the lug beside it ({across:.6g} mm wide)",
            f"make it smaller than {widest:.6g} mm, or the lug wider",
            "mm",
        )
    _refuse_breaking_out(where, wanted, x, along, end, across)
    return disc(wanted.diameter).moved(Motion.shift(x, 0.0))


def _refuse_breaking_out(where: str, wanted: Hole, x: float, along: float, end: Tip, across: float) -> None:
    """A hole that is cut by the end of its strip, or by its beginning, is not a round hole."""
    strip = tongue_outline(where, along, across, end)
    radius = wanted.diameter / 2.0
    room = (
        strip.distance_to_edge((x, 0.0)) if strip.contains((x, 0.0)) else -abs(x - along / 2.0) + along / 2.0
    )
    if room - radius > SHORTEST_EDGE:
        return
    over = radius - room
    away = f"breaks out of the strip by {over:.6g} mm" if over > 0.0 else f"leaves a web of {-over:.6g} mm"
    raise InputError(
        where,
        "hole distance",
        f"{x:.6g} mm from the start, the centre of the round end"
        if wanted.distance is None
        else wanted.distance,
        f"the hole of {wanted.diameter:.6g} mm {away}",
        _places_that_fit(radius, along, end, across),
        "mm",
    )


def _places_that_fit(radius: float, along: float, end: Tip, across: float) -> str:
    """Say where the middle of a hole may be, to a thousandth, so that a shortest edge is left on all sides."""
    least = radius + SHORTEST_EDGE
    most = along - least
    if end.shape == "chamfered":
        # The slanting line x + y = along + across / 2 - size, seen from the middle line at 45 deg.
        most = min(most, along + across / 2.0 - end.size - math.sqrt(2.0) * least)
    lowest, highest = math.ceil(1e3 * least + 0.001) / 1e3, math.floor(1e3 * most - 0.001) / 1e3
    if lowest > highest:
        return "make it smaller, or the strip longer"
    return f"put its middle {lowest:.12g} to {highest:.12g} mm from the start of the strip"


def _hole_x(where: str, wanted: Hole, along: float, end: Tip, across: float, before: float | None) -> float:
    if wanted.distance is None:
        if end.shape != "round":
            raise InputError(
                where,
                "hole distance",
                "none",
                "only a full-round end has a centre of its own",
                "say how far the hole is from the end: hole(diameter, distance)",
            )
        return along - across / 2.0
    if wanted.datum == "end":
        return along - wanted.distance
    if wanted.datum == "start":
        return wanted.distance
    if before is None:
        fix = "measure from its end, or from its start"
        raise InputError(where, "hole datum", "foot bend", "only an offset lug has a foot bend", fix)
    return wanted.distance - before
