"""Thin-walled sections from straight runs and bends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from formparts import bending
from formparts.bending import BendRule, inside_setback, mid_setback, outside_setback
from formparts.body import ANGLES, RADII, Bend, Body, Flat, Frame, Process, Sheet, Side
from formparts.body.bends import HALF_TURN
from formparts.errors import InputError
from formparts.outline import polygon
from formparts.quantities import POSITIVE, AngleLike, LengthLike, Limits, shown_value
from formparts.quantities import angle as as_angle
from formparts.quantities import length as as_length
from formparts.shapes.naming import at_least, checked_name, checked_sheet, named_flat, refuse_doubles
from formparts.shapes.tree import rooted
from formparts.short_repr import short_repr
from formparts.tolerances import SHORTEST_EDGE

Datum: TypeAlias = Literal["outside", "inside", "mould line", "tangent line", "mid-surface"]

DATUMS: tuple[Datum, ...] = ("outside", "inside", "mould line", "tangent line", "mid-surface")


@short_repr
@dataclass(frozen=True)
class Run:
    """
    One straight length of a profile.

    Parameters
    ----------
    length : float [mm]
        As the drawing gives it.
    to : str or pair of str
        What the length is measured to, at both ends or at each: `outside`, `inside`, `mould line`,
        `tangent line` or `mid-surface`. A free end is a free end for all of them.
    name : str
        Name of the flat; `run[1]`, `run[2]`... when none is given.
    """

    length: float
    to: tuple[Datum, Datum]
    name: str = ""


@short_repr
@dataclass(frozen=True)
class Turn:
    """
    One bend of a profile.

    Parameters
    ----------
    angle : float [deg]
        Bend angle, 0 for flat, just above 0 to 170; to 270 as a hem, to 350 as a roll or a curl.
    side : "up" or "down"
        Towards the upper face of the run before it, or away.
    inside_radius : float or None [mm]
        That of the sheet when none is given.
    name : str
        Name of the bend; `bend[1]`, `bend[2]`... when none is given.
    process : "air bend", "hem", "roll" or "curl"
        How it is made.
    bend_rule : BendRule or None
        For its developed length; that of the sheet when none is given.
    """

    angle: float
    side: Side
    inside_radius: float | None = None
    name: str = ""
    process: Process = "air bend"
    bend_rule: BendRule | None = None


def run(length: LengthLike, to: Datum | tuple[Datum, Datum] = "outside", name: str = "") -> Run:
    """
    One straight length of a profile.

    Parameters
    ----------
    length : length [mm]
        As the drawing gives it.
    to : str or pair of str
        What it is measured to: `outside` (the farthest outside of the bend up to 90 deg of opening, else the
        outside mould line, as DIN 6935 does), `inside` (the same on the inner faces), `mould line` (where
        the outer faces would meet), `tangent line`, `mid-surface` (where the mid-surfaces would meet).
    name : str
        Name of the flat.

    Returns
    -------
    Run

    Raises
    ------
    InputError
        The length is not positive, or the datum is not one of the five.

    Examples
    --------
    >>> body = profile(Sheet(3, 4), 30, run(40, to="outside"), up(60), run(30, to="mould line"))
    >>> to = {
    ...     datum: profile(Sheet(3, 4), 30, run(30), up(60), run(25, to=datum))
    ...     for datum in ("outside", "inside", "mould line", "tangent line", "mid-surface")
    ... }
    """
    ends = tuple(to) if isinstance(to, (tuple, list)) else (to, to)
    for end in ends:
        if end not in DATUMS or len(ends) != 2:
            fix = f"one of {', '.join(DATUMS)}, or a pair of them"
            raise InputError("run", "to", shown_value(to), "is not a datum", fix)
    return Run(as_length(length, "length", "run", POSITIVE), (ends[0], ends[1]), _name(name, "run"))


def _name(name: object, where: str) -> str:
    """Return a name, or None."""
    return "" if name == "" else checked_name(name, where)


def up(
    angle: AngleLike,
    inside_radius: LengthLike | None = None,
    name: str = "",
    *,
    process: Process = "air bend",
    bend_rule: BendRule | str | float | None = None,
) -> Turn:
    """
    A bend towards the upper face.

    Parameters
    ----------
    angle : angle [deg]
        Bend angle, 0 for flat, just above 0 to 170; to 270 as a hem, to 350 as a roll or a curl.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    name : str
        Name of the bend.
    process : "air bend", "hem", "roll" or "curl"
        How it is made.
    bend_rule : BendRule, str, float or None [-]
        For its developed length; that of the sheet when none is given.

    Returns
    -------
    Turn

    Raises
    ------
    InputError
        The angle or the radius is outside its limits, or there is no such process or rule.

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(30), up(120, inside_radius=6), run(25))
    >>> body.bends[0].side
    'up'
    """
    return _turn("up", angle, inside_radius, name, process, bend_rule)


def down(
    angle: AngleLike,
    inside_radius: LengthLike | None = None,
    name: str = "",
    *,
    process: Process = "air bend",
    bend_rule: BendRule | str | float | None = None,
) -> Turn:
    """
    A bend away from the upper face.

    Parameters
    ----------
    angle : angle [deg]
        Bend angle, 0 for flat, just above 0 to 170; to 270 as a hem, to 350 as a roll or a curl.
    inside_radius : length or None [mm]
        That of the sheet when none is given.
    name : str
        Name of the bend.
    process : "air bend", "hem", "roll" or "curl"
        How it is made.
    bend_rule : BendRule, str, float or None [-]
        For its developed length; that of the sheet when none is given.

    Returns
    -------
    Turn

    Raises
    ------
    InputError
        The angle or the radius is outside its limits, or there is no such process or rule.

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(30), down(45), run(25))
    >>> body.bends[0].side
    'down'
    >>> ear, leg = run(25), run(30)
    >>> saddle = profile(Sheet(2, 3), 30, ear, up(90), leg, down(180, 21, process="roll"), leg, up(90), ear)
    """
    return _turn("down", angle, inside_radius, name, process, bend_rule)


def _turn(
    side: Side,
    angle: object,
    inside_radius: object,
    name: str,
    process: Process,
    rule: BendRule | str | float | None,
) -> Turn:
    radius = None
    if inside_radius is not None:
        radius = as_length(inside_radius, "inside_radius", side, RADII)
    turned = turned_by(angle, process, side)
    own = None if rule is None else bending.bend_rule(rule)
    return Turn(turned, side, radius, _name(name, side), process, own)


def turned_by(angle: object, process: Process, where: str) -> float:
    """A bend angle that its process reaches; else the error names the processes that do."""
    limits = ANGLES[checked_process(process, where)]
    try:
        return as_angle(angle, "angle", where, limits)
    except InputError as refusal:
        size = refusal.value
        fit = [
            f"{word!r} (to {one.maximum:g} deg)" for word, one in ANGLES.items() if _within(size, limits, one)
        ]
        if not fit:
            raise
        what = f"larger than the greatest, {limits.maximum:g} deg for process={process!r}"
        fix = (
            f"at most {limits.maximum:g} deg, or process={' or '.join(fit)}; a closed rim is made by add_hem"
        )
        raise InputError(where, "angle", size, what, fix, "deg") from None


def _within(size: object, one: Limits, other: Limits) -> bool:
    """True for an angle that is too large for one process and not for another."""
    assert one.maximum is not None
    assert other.maximum is not None
    return isinstance(size, float) and one.maximum < size <= other.maximum


def checked_process(process: Process, where: str) -> Process:
    """Return one of the bending processes, checked."""
    if process not in tuple(ANGLES):
        known = ", ".join(ANGLES)
        raise InputError(where, "process", shown_value(process), "is not a process", f"one of {known}")
    return process


def datums_at(angle: float) -> tuple[Datum, ...]:
    """Return the datums that exist at a bend angle: from 180 deg on there is no mould line."""
    return DATUMS if angle < HALF_TURN else ("outside", "inside", "tangent line")


def setback(datum: Datum, angle: float, inside_radius: float, thickness: float) -> float:
    """Return the distance from the datum of a length back to the tangent line of the bend.

    Parameters
    ----------
    datum : str
        One of the five that `run` takes.
    angle : float [deg]
        Bend angle, 0 for flat.
    inside_radius, thickness : float [mm]
        Of the bend and of the sheet.

    Returns
    -------
    float [mm]

    Source
    ------
    Exact geometry; that a leg runs to the outermost tangent when the opening angle is 90 deg or less, and to
    the mould line above, is the convention of DIN 6935.
    """
    # Beyond 90 deg the mould line goes to infinity, while the farthest point of the bend stays near.
    farthest = min(angle, 90.0)
    if datum == "tangent line":
        return 0.0
    if datum == "inside":
        return float(inside_setback(farthest, inside_radius))
    if datum == "outside":
        return float(outside_setback(farthest, inside_radius, thickness))
    if datum == "mould line":
        return float(outside_setback(angle, inside_radius, thickness))
    return float(mid_setback(angle, inside_radius, thickness))


def refuse_slight(where: str, parameter: str, turn: float, radius: float, thickness: float) -> None:
    """Refuse a bend so slight that its own faces are shorter than the shortest edge."""
    middle = radius + thickness / 2.0
    long = math.radians(turn) * middle
    if long < SHORTEST_EDGE:
        least = math.degrees(SHORTEST_EDGE / middle)
        raise InputError(
            where,
            parameter,
            turn,
            f"makes a bend only {long:.3g} mm long, less than the shortest edge of {SHORTEST_EDGE:g} mm",
            f"at least {least * 1.00001:.6g} deg at an inside radius of {radius:.6g} mm; or leave it flat",
            "deg",
        )


def profile(
    sheet: Sheet, width: LengthLike, *runs_and_bends: Run | Turn, name: str = "profile", root: int = 1
) -> Body:
    """
    A thin-walled section: straight runs with bends between them, of any number, up and down mixed.

    The section lies in the x-z plane and is `width` wide along y, from y = 0. The root run starts at the
    origin, along x, its lower face on z = 0.

    Parameters
    ----------
    sheet : Sheet
        The stock.
    width : length [mm]
        Along the bends.
    *runs_and_bends : Run and Turn in turn
        `run(30), up(90), run(50), down(90), run(30)`; begins and ends with a run.
    name : str
        Name of the body; its flats are `name.run[1]`..., its bends `name.bend[1]`...
    root : int [-]
        Number of the run that stays where it is, from 1.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        A run is shorter than its setbacks (the error states by how much), runs and turns do not alternate, a
        name occurs twice, or a dimension is outside its limits.

    Examples
    --------
    >>> zed = profile(Sheet(2, 2.5), 30, run(25), up(90), run(40), down(60), run(30), name="zed")
    >>> left, web, right = run(20, name="left"), run(40, name="web"), run(20, name="right")
    >>> channel = profile(Sheet(2, 2.5), 60, left, up(90), web, up(90), right)
    >>> [flat.name for flat in channel.flats]
    ['profile.left', 'profile.web', 'profile.right']
    """
    checked_name(name, "profile")
    checked_sheet(sheet, name)
    across = as_length(width, "width", name, Limits(minimum=SHORTEST_EDGE))
    runs, turns = _alternating(runs_and_bends, name)
    if isinstance(root, bool) or not isinstance(root, int) or not 1 <= root <= len(runs):
        raise InputError(name, "root", root, "there is no such run", f"give 1 to {len(runs)}")
    straights = [_straight(sheet, name, runs, turns, number) for number in range(len(runs))]
    flats = tuple(_flat(name, item, number, straights[number], across) for number, item in enumerate(runs))
    bends = tuple(
        _bend(sheet, name, turn, number, flats, straights[number], across)
        for number, turn in enumerate(turns)
    )
    on_floor = Frame((0.0, 0.0, sheet.thickness / 2.0))
    body = refuse_doubles(Body(name, sheet, flats, bends, on_floor), name)
    body = rooted(body, flats[root - 1].name)
    return Body(name, sheet, body.flats, body.bends, on_floor)


def _alternating(pieces: tuple[Run | Turn, ...], name: str) -> tuple[list[Run], list[Turn]]:
    """Separate runs and turns, which must alternate with a run at either end."""
    kinds = [type(piece) for piece in pieces]
    if not pieces or kinds != [(Run, Turn)[place % 2] for place in range(len(pieces))] or kinds[-1] is Turn:
        shown = ", ".join(kind.__name__.lower() for kind in kinds) or "nothing"
        raise InputError(
            name,
            "pieces",
            shown,
            "runs and bends do not take turns",
            "begin and end with a run, one bend between two",
        )
    runs = [piece for piece in pieces if isinstance(piece, Run)]
    return runs, [piece for piece in pieces if isinstance(piece, Turn)]


def _radius(sheet: Sheet, turn: Turn) -> float:
    return sheet.inside_radius if turn.inside_radius is None else turn.inside_radius


def _straight(sheet: Sheet, name: str, runs: list[Run], turns: list[Turn], number: int) -> float:
    """Return the length of one run from tangent line to tangent line."""
    item = runs[number]
    taken = 0.0
    for end, place in ((0, number - 1), (1, number)):
        if 0 <= place < len(turns):
            turn = turns[place]
            taken += setback(item.to[end], turn.angle, _radius(sheet, turn), sheet.thickness)
    left = item.length - taken
    if left < SHORTEST_EDGE:
        raise InputError(
            name,
            f"run {number + 1}",
            item.length,
            f"too short by {SHORTEST_EDGE - left:.6g} mm: its bends take {taken:.6g} mm of it",
            f"make it {at_least(taken)} or longer, or the inside radius smaller",
            "mm",
        )
    return left


def _flat(name: str, item: Run, number: int, straight: float, width: float) -> Flat:
    corners = [(0.0, 0.0), (straight, 0.0), (straight, width), (0.0, width)]
    tags = {"edge[1]": "front", "edge[2]": "right", "edge[3]": "back", "edge[4]": "left"}
    outline = polygon(corners).retagged(tags)
    return named_flat(f"{name}.{item.name or f'run[{number + 1}]'}", outline, name)


def _bend(
    sheet: Sheet, name: str, turn: Turn, number: int, flats: tuple[Flat, ...], straight: float, width: float
) -> Bend:
    radius = _radius(sheet, turn)
    refuse_slight(name, f"angle of bend {number + 1}", turn.angle, radius, sheet.thickness)
    return Bend(
        f"{name}.{turn.name or f'bend[{number + 1}]'}",
        flats[number].name,
        flats[number + 1].name,
        ((straight, 0.0), (straight, width)),
        ((0.0, 0.0), (0.0, width)),
        turn.angle,
        turn.side,
        radius,
        turn.process,
        turn.bend_rule,
    )
