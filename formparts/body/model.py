"""The model of a formed part: flats joined by bends. Frozen data; everything else is derived from it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from formparts.arguments import takes
from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.bending.rules import rule_apart
from formparts.body.bends import HALF_TURN, RADII, Bend
from formparts.body.flats import Flat, few, refuse_other, refuse_unsound
from formparts.body.frame import Frame, bend_frame, frame_across, inverse
from formparts.errors import InputError
from formparts.kept import kept
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.outline.edges import Motion
from formparts.quantities import LengthLike, Limits, length, shown_value
from formparts.short_repr import short_repr
from formparts.tolerances import ANGLE_DEG, LENGTH, SHORTEST_EDGE, THICKEST_SHEET, THINNEST_SHEET

_THICKNESSES = Limits(minimum=THINNEST_SHEET, maximum=THICKEST_SHEET)


@short_repr
@dataclass(frozen=True, init=False)
class Sheet:
    """
    The stock that a part is made of.

    Parameters
    ----------
    thickness : float [mm]
        Thickness of the sheet.
    inside_radius : float [mm]
        Inside radius of a bend that names no other.
    material : Material or str
        What it is made of, or its name in the material table; it has the strengths that its standard gives this
        thickness.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, or a K-factor.

    Raises
    ------
    InputError
        A length is outside its limits, or the material or the rule is not known.

    Examples
    --------
    >>> sheet = Sheet(2, 2.5, "DC01", "DIN 6935")
    >>> sheet.thickness, sheet.material.name, sheet.bend_rule.name
    (2.0, 'DC01', 'DIN 6935')
    >>> body = profile(Sheet(2, 2.5), 30, run(40), up(90), run(25))
    """

    thickness: float
    inside_radius: float
    material: Material
    bend_rule: BendRule

    def __init__(
        self,
        thickness: LengthLike,
        inside_radius: LengthLike,
        material: Material | str = "S235JR",
        bend_rule: BendRule | str | float = 0.44,
    ) -> None:
        put = object.__setattr__
        put(self, "thickness", length(thickness, "thickness", "sheet", _THICKNESSES))
        put(self, "inside_radius", length(inside_radius, "inside_radius", "sheet", RADII))
        put(self, "material", find_material(material).with_thickness(self.thickness))
        put(self, "bend_rule", as_bend_rule(bend_rule))


@short_repr
@dataclass(frozen=True)
class Body:
    """A tree of flats joined by bends: a complete part, or a lug before it is fused.

    Parameters
    ----------
    name : str
        Name of the part; the files are called by it.
    sheet : Sheet
        The stock.
    flats : tuple of Flat
        The root flat first; each later one hangs by a bend on an earlier one.
    bends : tuple of Bend
        One for every flat but the root, in the order of the flats that they lead to.
    frame : Frame
        Position of the mid-surface of the root flat.

    Raises
    ------
    InputError
        Flats and bends are not a tree: a flat that is not there or has two bends leading to it, a bend that hangs
        on nothing yet, or a flat that hangs on nothing. Or something is of another type, an outline is not closed
        or crosses itself, or the axes of the frame are not at right angles.

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle")
    >>> [flat.name for flat in body.flats], [bend.name for bend in body.bends]
    (['angle.run[1]', 'angle.run[2]'], ['angle.bend[1]'])
    """

    name: str
    sheet: Sheet
    flats: tuple[Flat, ...]
    bends: tuple[Bend, ...]
    frame: Frame

    def __post_init__(self) -> None:
        _refuse_other_kinds(self)
        _refuse_no_tree(self)
        _refuse_no_frame(self)
        for flat in self.flats:
            refuse_unsound(self.name, flat.name, flat.net)
            _refuse_sunk_through(self, flat)
        for bend in self.bends:
            _refuse_stale_openings(self, bend)

    def flat(self, name: str) -> Flat:
        """
        Give the flat of that name.

        Parameters
        ----------
        name : str
            As in the bend schedule.

        Returns
        -------
        Flat

        Raises
        ------
        InputError
            There is no such flat.
        """
        for flat in self.flats:
            if flat.name == name:
                return flat
        names = few([flat.name for flat in self.flats], 20)
        raise InputError(self.name, "flat", name, "there is no such flat", f"there are: {names}")

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all flats, bends and openings."""
        return tuple(_names(self))


def _refuse_other_kinds(body: Body) -> None:
    refuse_other("body", "name", body.name, str)
    refuse_other(body.name, "sheet", body.sheet, Sheet)
    refuse_other(body.name, "frame", body.frame, Frame)
    for parameter, pieces, kind in (("flats", body.flats, Flat), ("bends", body.bends, Bend)):
        refuse_other(body.name, parameter, pieces, tuple)
        if not {*map(type, pieces)} <= {kind}:
            for piece in pieces:
                refuse_other(body.name, parameter, piece, kind)
    for name in _names(body):
        refuse_other(body.name, "name of a piece", name, str)


def sunk_volume(body: Body) -> float:
    """Return the volume that countersinks and counterbores remove besides their holes [mm3]."""
    return math.fsum(sink.volume for flat in body.flats for sink in flat.sinks)


def _refuse_sunk_through(body: Body, flat: Flat) -> None:
    """Refuse a countersink or counterbore that leaves none of its hole straight."""
    most = body.sheet.thickness - SHORTEST_EDGE
    for sink in flat.sinks:
        if sink.depth > most:
            fix = f"at most {most:.6g} mm: make the head smaller, or its angle or the hole larger"
            raise InputError(sink.name, "depth", sink.depth, "is sunk through the sheet", fix, "mm")


def _refuse_stale_openings(body: Body, bend: Bend) -> None:
    """Refuse a change of stock or rule after cutting: openings in a bend are drawn for one developed length."""
    if not bend.openings:
        return
    found = developed_length(body.sheet, bend)
    if abs(found - bend.developed) > LENGTH:
        what = f"its openings are drawn for it, but the bend rule gives {found:.9g} mm"
        fix = "change sheet, radius or rule before the openings are cut"
        raise InputError(body.name, f"developed length of {bend.name}", bend.developed, what, fix, "mm")


def developed_length(sheet: Sheet, bend: Bend) -> float:
    """
    Developed length of one bend, by its own rule if it has one, else by the sheet's.

    Parameters
    ----------
    sheet : Sheet
        The stock.
    bend : Bend
        Any bend of it; one of more than 180 deg is developed in equal shares, since bend rules end there.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        The rule has no figure for the bend, or one that is less than the shortest edge.
    """
    rule = bend.bend_rule or sheet.bend_rule
    shares = max(1, math.ceil((bend.angle - ANGLE_DEG) / HALF_TURN))
    found = shares * float(rule.allowance(bend.angle / shares, bend.inside_radius, sheet.thickness))
    if not found >= SHORTEST_EDGE:
        what = f"is less than the shortest edge of {SHORTEST_EDGE:g} mm by {rule}"
        fix = "take a larger inside radius or another bend rule"
        raise InputError(bend.name, "allowance", found, what, fix, "mm")
    return found


def _refuse_no_frame(body: Body) -> None:
    if not body.frame.is_right_handed:
        fix = "give finite figures, and x, y, z of length one at right angles, right-handed"
        raise InputError(body.name, "frame", shown_value(body.frame), "is not a frame", fix)


def _refuse_no_tree(body: Body) -> None:
    """Order the bends so that each leads from a flat with a known frame to one without, through the whole body."""
    waiting = dict.fromkeys(flat.name for flat in body.flats)
    if len(waiting) < len(body.flats):
        double = next(name for name in waiting if sum(flat.name == name for flat in body.flats) > 1)
        fix = "give each body a name of its own (name=, or renamed(body, name))"
        raise InputError(body.name, "name", double, "is the name of more than one piece", fix)
    standing = dict.fromkeys(list(waiting)[:1])
    wrong = "" if standing else "there is none"
    for bend in body.bends:
        for end in (bend.parent, bend.child):
            wrong = wrong or (
                "" if end in waiting else f"{bend.name} is on {end}, which is not a flat of the body"
            )
        if not wrong and bend.parent not in standing:
            wrong = f"{bend.name} hangs on {bend.parent}, to which no bend before it leads"
        if not wrong and bend.child in standing:
            wrong = f"{bend.name} leads to {bend.child}, which stands already: two ways lead there"
        standing[bend.child] = None
    loose = [name for name in waiting if name not in standing]
    if wrong or loose:
        fix = "one bend for each flat but the first, each from a flat that is there to one that is not yet"
        what = wrong or f"no bend leads to {loose[0]}"
        raise InputError(body.name, "flats and bends", few(list(waiting)) or "none", what, fix)


def _names(body: Body) -> Iterator[str]:
    # An opening that crosses a bend is one, though it is noted in each flat and bend that it crosses.
    crossing = dict.fromkeys(opening.name for bend in body.bends for opening in bend.openings)
    for flat in body.flats:
        yield flat.name
        yield from (opening.name for opening in flat.openings if opening.name not in crossing)
        yield from (mark.name for mark in flat.marks)
    yield from (bend.name for bend in body.bends)
    yield from crossing


def own_rules(body: Body) -> dict[str, BendRule]:
    """The bend rules of bends that have one of their own, by name."""
    return {bend.name: bend.bend_rule for bend in body.bends if bend.bend_rule is not None}


def rules_text(body: Body) -> str:
    """Return the bend rule of a part's sheet, and those of bends that have their own, as text."""
    apart: dict[str, list[str]] = {}
    for bend in body.bends:
        if bend.bend_rule is not None and bend.bend_rule != body.sheet.bend_rule:
            is_usual = bend.bend_rule == rule_apart(bend.angle, bend.inside_radius)
            kind = ("curls" if bend.angle > HALF_TURN else "closed hems") if is_usual else bend.name
            apart.setdefault(bend.bend_rule.name, []).append(kind)
    own = (f"{_few_kinds(list(dict.fromkeys(kinds)))} {name}" for name, kinds in sorted(apart.items()))
    return "; ".join([body.sheet.bend_rule.name, *own])


def _few_kinds(kinds: list[str]) -> str:
    return " and ".join(kinds) if len(kinds) <= 2 else f"{len(kinds)} bends"


@takes(body="Body")
def frames(body: Body) -> dict[str, Frame]:
    """The position of every flat in the folded part.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    dict of str to Frame
        By the flat's name; the frame's plane is the flat's mid-surface [mm].

    Examples
    --------
    >>> body = profile(Sheet(2, 2.5), 30, run(40), up(90), run(25), name="angle")
    >>> [round(value, 3) + 0.0 for value in frames(body)["angle.run[2]"].x]
    [0.0, 0.0, 1.0]
    """
    return dict(_frames(body))


@kept
def _frames(body: Body) -> dict[str, Frame]:
    half = body.sheet.thickness / 2.0
    placed = {body.flats[0].name: body.frame}
    for bend in body.bends:
        placed[bend.child] = frame_across(
            placed[bend.parent],
            bend.parent_line,
            bend.child_line,
            bend.angle,
            bend.inside_radius + half,
            bend.side == "up",
        )
    return placed


def bends_on(body: Body, flat: str) -> tuple[Bend, ...]:
    """The bends that meet a flat, each oriented with the flat as its parent.

    Parameters
    ----------
    body : Body
        The part.
    flat : str
        Name of the flat.

    Returns
    -------
    tuple of Bend
    """
    return _bends_by_flat(body).get(flat, ())


@kept
def _bends_by_flat(body: Body) -> dict[str, tuple[Bend, ...]]:
    found: dict[str, list[Bend]] = {}
    for bend in body.bends:
        found.setdefault(bend.parent, []).append(bend)
        if bend.child != bend.parent:
            found.setdefault(bend.child, []).append(bend.swapped())
    return {flat: tuple(bends) for flat, bends in found.items()}


def laid_out(body: Body) -> dict[str, Motion]:
    """Return the position of every flat on the blank.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    dict of str to Motion
        By the flat's name: from the flat's coordinates to the blank's [mm].
    """
    laid = {body.flats[0].name: Motion()}
    for bend in body.bends:
        to_line = laid[bend.parent].after(bend_frame(*bend.parent_line))
        across = to_line.after(Motion.shift(0.0, -developed_length(body.sheet, bend)))
        laid[bend.child] = across.after(inverse(bend_frame(*bend.child_line)))
    return laid
