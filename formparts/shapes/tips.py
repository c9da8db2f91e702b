"""The end of a tongue or lug: its shape, and the hole in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

from formparts.errors import InputError
from formparts.outline import Outline, disc, polygon, round_ended_rectangle
from formparts.outline.edges import Motion
from formparts.quantities import POSITIVE, LengthLike, length, shown_value
from formparts.shapes.naming import at_least
from formparts.short_repr import short_repr
from formparts.tolerances import LENGTH, SHORTEST_EDGE

TipShape: TypeAlias = Literal["round", "square", "chamfered", "radiused"]
HoleDatum: TypeAlias = Literal["end", "start", "foot bend"]

SHAPES: tuple[TipShape, ...] = ("round", "square", "chamfered", "radiused")
SIDES = {"front": "right_side", "right": "end", "back": "left_side", "left": "start"}


@short_repr
@dataclass(frozen=True)
class Tip:
    """
    Shape of the end of a tongue, lug or flange.

    Parameters
    ----------
    shape : str
        `round` (full round), `square`, `chamfered` or `radiused`.
    size : float [mm]
        What a chamfer takes off the end, from each corner, or radius of a radiused corner.
    along : float [mm]
        What a chamfer takes off each side; 0: as much as off the end, at 45 deg.
    """

    shape: TipShape
    size: float = 0.0
    along: float = 0.0

    @property
    def corner(self) -> tuple[float, float]:
        """Return what a corner takes off the end and off the side."""
        return self.size, self.along or self.size


Ends: TypeAlias = tuple[Tip, Tip]
"""The two corners of an end: the right and the left one, seen from above and looking out."""


@short_repr
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


def tip(shape: TipShape, size: LengthLike = 0.0, along: LengthLike | None = None) -> Tip:
    """
    Shape of the end of a tongue, lug or flange.

    Parameters
    ----------
    shape : str
        `round` (full round), `square`, `chamfered` or `radiused`.
    size : length [mm]
        What a chamfer takes off the end, from each corner, or radius of a radiused corner.
    along : length or None [mm]
        What a chamfer takes off each side: a taper, a gusset, the mitre of a frame. As much as off the end, so at
        45 deg, when none is given.

    Returns
    -------
    Tip

    Raises
    ------
    InputError
        The shape is not one of the four, a chamfered or radiused tip has no size, or another has a length along.

    Examples
    --------
    >>> body = tongue(Sheet(2, 2.5), 40, 20, end=tip("chamfered", 6))
    >>> shape = {
    ...     "round": tongue(Sheet(2, 2.5), 40, 20, tip("round")),
    ...     "square": tongue(Sheet(2, 2.5), 40, 20, tip("square")),
    ...     "chamfered": tongue(Sheet(2, 2.5), 40, 20, tip("chamfered", 6)),
    ...     "radiused": tongue(Sheet(2, 2.5), 40, 20, tip("radiused", 6)),
    ... }
    >>> Part(tongue(Sheet(2, 2), 30, 20, tip("chamfered", 10, 30))).properties.volume
    600.0
    >>> along = {str(size): tongue(Sheet(2, 2.5), 40, 20, tip("chamfered", 6, size)) for size in (6, 20, 40)}
    """
    if shape not in SHAPES:
        raise InputError("tip", "shape", repr(shape), "is not a tip", f"one of {', '.join(SHAPES)}")
    sized = shape in ("chamfered", "radiused")
    if along is not None and shape != "chamfered":
        fix = 'leave it away, or choose tip("chamfered", size, along)'
        raise InputError(f"{shape} tip", "along", shown_value(along), "is for chamfers only", fix)
    off = length(size, "size", f"{shape} tip", POSITIVE) if sized else 0.0
    return Tip(shape, off, 0.0 if along is None else length(along, "along", f"{shape} tip", POSITIVE))


def hole(diameter: LengthLike, distance: LengthLike | None = None, datum: HoleDatum = "end") -> Hole:
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

    Examples
    --------
    >>> body = tongue(Sheet(2, 2.5), 40, 20, "square", hole=hole(8, 12))
    >>> lug = {"rise": 12, "reach": 40, "foot": 15, "width": 20, "slope": 60}
    >>> datum = {
    ...     "end": offset_lug(Sheet(2, 2.5), **lug, hole=hole(7, 14, "end")),
    ...     "start": offset_lug(Sheet(2, 2.5), **lug, hole=hole(7, 14, "start")),
    ...     "foot bend": offset_lug(Sheet(2, 2.5), **lug, hole=hole(7, 26, "foot bend")),
    ... }
    """
    if datum not in ("end", "start", "foot bend"):
        raise InputError("hole", "datum", repr(datum), "is not a datum", "one of end, start, foot bend")
    across = length(diameter, "diameter", "hole", POSITIVE)
    return Hole(across, None if distance is None else length(distance, "distance", "hole", POSITIVE), datum)


def as_tip(given: Tip | TipShape) -> Tip:
    """Return a tip from a tip, or from the name of one without a size."""
    return given if isinstance(given, Tip) else tip(given)


def as_ends(given: object, where: str) -> Ends:
    """One shape for both corners of an end, or a pair for start and end, seen along the edge that carries it."""
    if not isinstance(given, (tuple, list)):
        one = as_tip(given)  # type: ignore[arg-type]  # refused there when it is neither
        return one, one
    if len(given) != 2:
        raise InputError(
            where, "end", shown_value(given), "is not a pair", 'give (tip("chamfered", 12), "square")'
        )
    first, last = (as_tip(one) for one in given)
    if "round" in (first.shape, last.shape) and first != last:
        fix = 'give end="round", or radiused tips: tip("radiused", 5)'
        raise InputError(where, "end", "round", "is for both corners together", fix)
    return first, last


def tongue_outline(
    where: str, along: float, across: float, end: Tip | Ends, parameter: str = "length", before: float = 0.0
) -> Outline:
    """Return a strip from x = 0, symmetrical about the x axis, its far end shaped; tags by the side seen from above.

    `parameter` is the name of its length, which is measured from `before` its start.
    """
    ends = (end, end) if isinstance(end, Tip) else end
    if ends[0].shape == "round":
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
    _refuse_unfit(where, along, across, ends)
    return _cornered(along, across / 2.0, *ends)


def _refuse_unfit(where: str, along: float, across: float, ends: Ends) -> None:
    """Refuse corners that take more than all of an end or all of a side."""
    off = sum(end.corner[0] for end in ends)
    for end in ends:
        size, side = end.corner
        room = across / 2.0 if ends[0] == ends[1] else across - (off - size)
        for called, given, most in (
            (f"{end.shape} tip", size, room),
            (f"{end.shape} tip along", side, along),
        ):
            fits = given <= most - SHORTEST_EDGE or (end.shape == "chamfered" and abs(most - given) <= LENGTH)
            if not fits and end.shape != "square":
                what = f"does not fit the end of a strip {across:.6g} mm wide and {along:.6g} mm long"
                all_of_it = f", {most:.6g} mm to take all there is" if end.shape == "chamfered" else ""
                fix = f"make it smaller than {most:.6g} mm{all_of_it}, or choose a round tip"
                raise InputError(where, called, given, what, fix, "mm")


def _cornered(along: float, half: float, right: Tip, left: Tip) -> Outline:
    """Return a strip with its two corners shaped; a side or end that they take completely is not an edge any more."""
    (end_r, side_r), (end_l, side_l) = right.corner, left.corner
    points: list[tuple[float, float, float, str]] = [(0.0, -half, 0.0, "right_side")]
    if right.shape == "chamfered":
        points += [(along - side_r, -half, 0.0, "corner[2]"), (along, end_r - half, 0.0, "end")]
    else:
        points += [(along, -half, right.size, "end")]
    if left.shape == "chamfered":
        points += [(along, half - end_l, 0.0, "corner[3]"), (along - side_l, half, 0.0, "left_side")]
    else:
        points += [(along, half, left.size, "left_side")]
    points += [(0.0, half, 0.0, "start")]
    kept = [one for one, after in pairwise([*points, points[0]]) if math.dist(one[:2], after[:2]) > LENGTH]
    tags = {f"edge[{number}]": one[3] for number, one in enumerate(kept, 1)}
    for number, one in enumerate(kept, 1):
        tags[f"corner[{number}]"] = "corner[3]" if one[3] == "left_side" else "corner[2]"
    return polygon([one[:2] for one in kept], radii=[one[2] for one in kept]).retagged(tags)


def hole_outline(
    where: str, wanted: Hole, along: float, end: Tip | Ends, across: float, before: float | None = None
) -> Outline:
    """Return the hole on the middle line of a strip that begins at x = 0; refuse one that breaks out.

    `before` is how far the `foot bend` lies before the start, in plan, where there is one.
    """
    if not isinstance(wanted, Hole):
        raise InputError(where, "hole", shown_value(wanted), "is not a hole", "give hole(diameter, distance)")
    ends = (end, end) if isinstance(end, Tip) else end
    x = _hole_x(where, wanted, along, ends[0], across, before)
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
    _refuse_breaking_out(where, wanted, x, along, ends, across)
    return disc(wanted.diameter).moved(Motion.shift(x, 0.0))


def _refuse_breaking_out(where: str, wanted: Hole, x: float, along: float, ends: Ends, across: float) -> None:
    """Refuse a hole that is cut by an end of its strip, as it would not be round."""
    strip = tongue_outline(where, along, across, ends)
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
        _places_that_fit(radius, along, ends, across),
        "mm",
    )


def _places_that_fit(radius: float, along: float, ends: Ends, across: float) -> str:
    """State where the centre of a hole may be, to a thousandth, with a shortest edge left on all sides."""
    least = radius + SHORTEST_EDGE
    most = along - least
    for off, side in (end.corner for end in ends if end.shape == "chamfered"):
        # The slanting line off x + side y = off (along - side) + side across / 2, seen from the middle line.
        reach = along - side + side * across / 2.0 / off
        most = min(most, reach - least * math.hypot(off, side) / off)
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
