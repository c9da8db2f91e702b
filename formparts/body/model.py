"""The model of a formed part: flats joined by bends. Frozen data; everything else is derived from it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body.frame import Frame, frame_across
from formparts.errors import InputError
from formparts.materials import Material
from formparts.materials import material as find_material
from formparts.outline import Outline, cut, problem
from formparts.outline.edges import Point
from formparts.quantities import Limits, angle, length, shown_value
from formparts.tolerances import LENGTH, LONGEST, SHORTEST_EDGE, THICKEST_SHEET, THINNEST_SHEET

Side: TypeAlias = Literal["up", "down"]
BendLine: TypeAlias = tuple[Point, Point]


BEND_ANGLES = Limits(above=0.0, maximum=170.0)
"""A bend further round than this leaves no way out for the tool [deg]."""
RADII = Limits(minimum=SHORTEST_EDGE, maximum=LONGEST)
_THICKNESSES = Limits(minimum=THINNEST_SHEET, maximum=THICKEST_SHEET)
_FRAMES = "frames"
_BENDS_ON = "bends on"


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
        What it is made of, or its name in the material table.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, or a K-factor.

    Raises
    ------
    InputError
        A length is outside its limits, or the material or the rule is not known.
    """

    thickness: float
    inside_radius: float
    material: Material
    bend_rule: BendRule

    def __init__(
        self,
        thickness: object,
        inside_radius: object,
        material: Material | str = "S235JR",
        bend_rule: BendRule | str | float = 0.44,
    ) -> None:
        put = object.__setattr__
        put(self, "thickness", length(thickness, "thickness", "sheet", _THICKNESSES))
        put(self, "inside_radius", length(inside_radius, "inside_radius", "sheet", RADII))
        put(self, "material", find_material(material))
        put(self, "bend_rule", as_bend_rule(bend_rule))


@dataclass(frozen=True)
class Opening:
    """
    A way through a flat that stays open whatever is fused to the flat later.

    Parameters
    ----------
    name : str
        Name within the part.
    outline : Outline
        Its shape, in the flat's coordinates [mm].
    """

    name: str
    outline: Outline


@dataclass(frozen=True)
class Flat:
    """
    A planar piece of the part, drawn on its mid-surface.

    Parameters
    ----------
    name : str
        Name within the part.
    outline : Outline
        The material before its openings are taken out, in coordinates of its own [mm].
    openings : tuple of Opening
        What goes through it.

    Raises
    ------
    InputError
        The openings leave nothing, or cut the flat in pieces; one is not closed or crosses itself; or something is
        of another type.
    """

    name: str
    outline: Outline
    openings: tuple[Opening, ...] = ()
    net: Outline = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        _refuse_other(self.name, "outline", self.outline, Outline)
        _refuse_other(self.name, "openings", self.openings, tuple)
        for opening in self.openings:
            _refuse_other(self.name, "openings", opening, Opening)
            _refuse_other(opening.name, "outline", opening.outline, Outline)
            _refuse_unsound(self.name, opening.name, opening.outline)
        object.__setattr__(self, "net", _net_outline(self))

    def retagged(self, names: Callable[[str], str]) -> Flat:
        """The same flat, with every name in it given by a function of the old one; what is left of it stays."""
        openings = tuple([Opening(names(o.name), o.outline.retagged(names)) for o in self.openings])
        made = object.__new__(Flat)
        outline = self.outline.retagged(names)
        net = outline if self.net is self.outline else self.net.retagged(names)
        values = (names(self.name), outline, openings, net)
        for name, value in zip(("name", "outline", "openings", "net"), values, strict=True):
            object.__setattr__(made, name, value)
        return made


def _net_outline(flat: Flat) -> Outline:
    """What is left of a flat once its openings are out; edges of an opening carry the opening's name."""
    if not flat.openings:
        return flat.outline
    pieces = cut(flat.outline, *(opening.outline for opening in flat.openings))
    if len(pieces) != 1:
        names = ", ".join(opening.name for opening in flat.openings)
        what = "leave nothing of it" if not pieces else f"cut it into {len(pieces)} pieces"
        raise InputError(flat.name, "openings", names, what, "make them smaller, or move them inward")
    return pieces[0]


@dataclass(frozen=True)
class Bend:
    """
    A cylindrical piece between two flats.

    Parameters
    ----------
    name : str
        Name within the part.
    parent, child : str
        Names of the two flats.
    parent_line, child_line : pair of points [mm]
        The tangent line in the coordinates of each flat; the parent lies to the left of its line,
        the child to the right of its own. Point for point the two are opposite each other.
    angle : float [deg]
        Rotation from flat, 0 < angle <= 170.
    side : "up" or "down"
        Towards the upper face of the two flats, or away from it.
    inside_radius : float [mm]
        Radius of the hollow face.

    Raises
    ------
    InputError
        Angle or radius is outside its range, there is no such side, or a line has no length or another than its
        counterpart.
    """

    name: str
    parent: str
    child: str
    parent_line: BendLine
    child_line: BendLine
    angle: float
    side: Side
    inside_radius: float

    def __post_init__(self) -> None:
        try:
            gap = abs(math.dist(*self.parent_line) - math.dist(*self.child_line))
            sound = self.width >= SHORTEST_EDGE - LENGTH and gap <= LENGTH and self.side in ("up", "down")
            # A bend that is not made yet is hardly turned and may have any radius: then its length is held.
            largest = min(self.inside_radius, math.radians(self.angle) * self.inside_radius)
            sound = sound and 0.0 < self.angle <= BEND_ANGLES.maximum
            sound = sound and self.inside_radius >= RADII.minimum and largest <= LONGEST
        except (TypeError, ValueError):
            sound = False
        if not sound:
            _refuse_bend(self)

    @property
    def width(self) -> float:
        """Length of the bend line [mm]."""
        (x0, y0), (x1, y1) = self.parent_line
        return float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)

    def swapped(self) -> Bend:
        """The same bend, seen from its child."""
        (a, b), (c, d) = self.parent_line, self.child_line
        return Bend(
            self.name, self.child, self.parent, (d, c), (b, a), self.angle, self.side, self.inside_radius
        )


def _refuse_bend(bend: Bend) -> None:
    """Say what is wrong with a bend."""
    angle(bend.angle, "angle", bend.name, BEND_ANGLES)
    length(bend.inside_radius, "inside_radius", bend.name, RADII)
    if bend.side not in ("up", "down"):
        raise InputError(bend.name, "side", shown_value(bend.side), "is no side", "give up or down")
    lines = shown_value((bend.parent_line, bend.child_line))
    fix = f"two pairs of points, equally far apart, by {SHORTEST_EDGE:g} mm or more"
    raise InputError(bend.name, "parent_line, child_line", lines, "are not the two of a bend", fix)


@dataclass(frozen=True)
class Body:
    """
    A tree of flats joined by bends: everything that is known of a part, or of a piece of one.

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
        Where the mid-surface of the root flat stands.

    Raises
    ------
    InputError
        Flats and bends are no tree: a flat that is not there or has two bends leading to it, a bend that hangs
        on nothing yet, or a flat that hangs on nothing. Or something is of another type, an outline is not closed
        or crosses itself, or the axes of the frame are not at right angles.
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
            _refuse_unsound(self.name, flat.name, flat.net)

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
        names = ", ".join(flat.name for flat in self.flats)
        raise InputError(self.name, "flat", name, "there is no such flat", f"there are: {names}")

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all flats, bends and openings."""
        return tuple(_names(self))


def _refuse_other(where: object, parameter: str, value: object, kind: type) -> None:
    """Refuse what is not of the kind that the model is made of."""
    if not isinstance(value, kind):
        problem_ = f"is of type {type(value).__name__}"
        raise InputError(str(where), parameter, shown_value(value), problem_, f"{kind.__name__} is wanted")


def _refuse_other_kinds(body: Body) -> None:
    _refuse_other("body", "name", body.name, str)
    _refuse_other(body.name, "sheet", body.sheet, Sheet)
    _refuse_other(body.name, "frame", body.frame, Frame)
    for parameter, pieces, kind in (("flats", body.flats, Flat), ("bends", body.bends, Bend)):
        _refuse_other(body.name, parameter, pieces, tuple)
        if not {*map(type, pieces)} <= {kind}:
            for piece in pieces:
                _refuse_other(body.name, parameter, piece, kind)
    for name in _names(body):
        _refuse_other(body.name, "name of a piece", name, str)


def _refuse_unsound(where: str, name: str, outline: Outline) -> None:
    """What our own builders draw was proved when it was drawn; this is for what is put together by hand."""
    wrong = problem(outline)
    if wrong is not None:
        fix = "give a closed outline that does not cross itself"
        raise InputError(where, "outline", name, wrong, fix)


def _refuse_no_frame(body: Body) -> None:
    if not body.frame.is_right_handed:
        fix = "give finite figures, and x, y, z of length one at right angles, right-handed"
        raise InputError(body.name, "frame", shown_value(body.frame), "is no frame", fix)


def _refuse_no_tree(body: Body) -> None:
    """Bends lead from flats that stand already to flats that do not yet, until all of them stand."""
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
                "" if end in waiting else f"{bend.name} is on {end}, which is no flat of the body"
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
        raise InputError(body.name, "flats and bends", ", ".join(waiting) or "none", what, fix)


def _names(body: Body) -> Iterator[str]:
    for flat in body.flats:
        yield flat.name
        yield from (opening.name for opening in flat.openings)
    yield from (bend.name for bend in body.bends)


def frames(body: Body) -> dict[str, Frame]:
    """
    Where every flat stands when the part is folded.

    Parameters
    ----------
    body : Body
        The part.

    Returns
    -------
    dict of str to Frame
        By the flat's name; the frame's plane is the flat's mid-surface [mm].
    """
    known: dict[str, Frame] | None = vars(body).get(_FRAMES)
    if known is None:
        # Noted on the body, which never changes: they are asked for again and again.
        known = vars(body)[_FRAMES] = _frames(body)
    return dict(known)


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
    """
    The bends that meet a flat, each turned so that the flat is its parent.

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
    known: dict[str, tuple[Bend, ...]] | None = vars(body).get(_BENDS_ON)
    if known is None:
        # Noted on the body, which never changes: one look at all bends does for all flats.
        known = vars(body)[_BENDS_ON] = _bends_by_flat(body)
    return known.get(flat, ())


def _bends_by_flat(body: Body) -> dict[str, tuple[Bend, ...]]:
    found: dict[str, list[Bend]] = {}
    for bend in body.bends:
        found.setdefault(bend.parent, []).append(bend)
        if bend.child != bend.parent:
            found.setdefault(bend.child, []).append(bend.swapped())
    return {flat: tuple(bends) for flat, bends in found.items()}
