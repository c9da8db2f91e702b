"""Solid to blank: measure the thickness, find the skins, roll both out, compare them, and sew the outline."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeAlias

from formparts.arguments import takes
from formparts.errors import InputError
from formparts.outline.regions import Loop
from formparts.tolerances import FOLLOWED, HEALED, LENGTH, ROUNDING, SAME_PLACE, SHORTEST_EDGE, VOLUME_FIT
from formparts.unfolder.composing import composed
from formparts.unfolder.develop import Developed, developed_skin
from formparts.unfolder.families import families_of
from formparts.unfolder.features import Examined, examined
from formparts.unfolder.formed_corners import creases_formed
from formparts.unfolder.healing import healed_part
from formparts.unfolder.laid import Sewn
from formparts.unfolder.limits import SLANTED_SHARE
from formparts.unfolder.measures import area, looseness, sweeps_of, volume
from formparts.unfolder.naming import stem_of
from formparts.unfolder.pieces import net_of
from formparts.unfolder.placing import Allowance, SkinSide, figures
from formparts.unfolder.proving import require_covered, require_wide
from formparts.unfolder.reading import part_of
from formparts.unfolder.results import Unfolded
from formparts.unfolder.rooting import Wanted, default_root, other_root, root_map, upper_sign
from formparts.unfolder.skins import SheetSkins, Skins, candidates, require_developable
from formparts.unfolder.solid_data import SolidData
from formparts.unfolder.space import Vector
from formparts.unfolder.walls import alike, askew_length, is_threaded, outermost, walls_of

Frame: TypeAlias = tuple[Vector, Vector, Vector]
Rules: TypeAlias = tuple[Allowance, Mapping[str, Allowance]]
"""The rule of the sheet, and those of bends that have their own, by name."""
CORNER = 0.0173
"""Loops are put in order in steps of this [mm]: an odd figure, so that round ones do not lie between two steps."""


@takes(fixed=("str", "None"), name=("str", "None"), faces=("Mapping", "None"))
def unfold(
    solid: Any,
    bend_rule: Any = 0.44,
    *,
    fixed: str | None = None,
    up: Vector | None = None,
    frame: Frame | None = None,
    name: str | None = None,
    inside_radius: float | None = None,
    faces: Mapping[str, Any] | None = None,
    own_rules: Mapping[str, Any] | None = None,
) -> Unfolded:
    """
    Lay a bent solid of one thickness flat, whoever made it, in whatever position.

    The fixed flat lies as it is seen from its upper side: x runs along its longest bend line (else along its
    longest straight edge), as far as may be towards +x, else +y, else +z of space; the origin is the lower left
    corner of the whole blank. With `frame` the blank comes out in the coordinates of that frame instead.

    Parameters
    ----------
    solid : TopoDS_Shape, CadQuery object, or anything with a `shape` and `faces` by name
        One closed solid [mm].
    bend_rule : float, callable, or object with such a method `allowance` [-]
        A K-factor, or what gives the developed length [mm] from angle [deg], inside radius [mm] and thickness [mm].
        A rolled part of more than 180 deg, or what an attribute `largest_angle` says, is asked for in equal shares.
    fixed : str, optional
        Name of the flat that stays put; the largest one if none is named.
    up : (x, y, z), optional
        Direction in space of the upper side of the fixed flat; the side called `upper` in the face names,
        else the one that looks up (+z, else +y, else +x).
    frame : (origin, x, z), optional
        A place and two directions in space: origin and x axis of the blank, and its upper side [mm].
    name : str, optional
        Name of the part; that of the solid if it has one.
    inside_radius : float, optional [mm]
        Inside radius of bends that are drawn as edges on both sides; one thickness if none is given.
    faces : dict of str to face, optional
        Names of faces, if the solid brings none. A flat or bend is called by its face on the skin that is developed;
        where only the other skin has names, flats and bends are numbered.
    own_rules : dict of str to bend rule, optional
        By the name of a bend that has another rule than the rest.

    Returns
    -------
    Unfolded
        Thickness, flats, bends, blank, volume and notes.

    Raises
    ------
    InputError
        The solid cannot be unfolded; the message says why, and where.

    Source
    ------
    Exact mathematics: flats keep their shape, cylinders and cones are developable.
    """
    part = part_of(solid, name, faces)
    rule = (_allowance(bend_rule), {bend: _allowance(own) for bend, own in (own_rules or {}).items()})
    wish = Wanted(fixed, up, frame)
    repaired = tuple((note, 0.0) for note in getattr(solid, "notes", ()))
    sweeps = sweeps_of(part)
    areas = [area(part, face, sweeps) for face in part.faces]
    require_developable(part, areas)
    as_it_is: Unfolded | InputError
    try:
        as_it_is = _best(
            _measured_sheet(part, sweeps, areas, SAME_PLACE, inside_radius), rule, wish, repaired
        )
    except InputError as refusal:
        as_it_is = refusal
    else:
        if min(edge.length for edge in as_it_is.blank.outline.edges) >= SHORTEST_EDGE - LENGTH:
            return as_it_is
    healed, said = healed_part(part, areas, HEALED)
    sweeps = sweeps_of(healed)
    areas = [area(healed, face, sweeps) for face in healed.faces]
    try:
        sheet = _measured_sheet(healed, sweeps, areas, HEALED, inside_radius)
        return _best(sheet, rule, wish, repaired + said)
    except InputError:
        if isinstance(as_it_is, InputError):
            raise as_it_is from None
        return as_it_is


def _measured_sheet(
    part: SolidData, sweeps: list[Vector], areas: list[float], close: float, inside_radius: float | None
) -> SheetSkins:
    """Return the facts on a part before its skins are found."""
    families = families_of(part, close)
    sheet = SheetSkins(
        part, families, areas, sweeps, volume(part, sweeps), looseness(part), close, inside_radius
    )
    if not sheet.volume > 0.0:
        raise InputError(
            part.name, "volume", sheet.volume, "is not positive", "save the part as one closed solid", "mm3"
        )
    return sheet


def _best(sheet: SheetSkins, rule: Rules, wish: Wanted, healed: tuple[tuple[str, float], ...]) -> Unfolded:
    """Return the first of the candidate skins that can be unfolded; raise the error of the most likely if none can."""
    first_refusal: InputError | None = None
    towards = wish.frame[2] if wish.frame else wish.up
    tried: frozenset[int] = frozenset()
    for skins in candidates(sheet, towards, told=wish.frame is not None):
        tried |= skins.creases.keys()
        try:
            found, formed = _unfolded(sheet, skins, rule, wish, healed)
        except InputError as refusal:
            first_refusal = first_refusal or refusal
            continue
        if formed:  # the corners of a bead are not bends: try again without them
            return _best(replace(sheet, barred=sheet.barred | formed), rule, wish, healed)
        return found
    assert first_refusal is not None
    if not tried:
        raise first_refusal
    try:  # a shape with corners that is not a bend may have been pressed out of a flat
        found = _best(replace(sheet, barred=sheet.barred | tried), rule, wish, healed)
    except InputError:
        raise first_refusal from None
    if any(feature.kind == "standing" for feature in found.features):  # or it is a lug with a sharp bend
        raise first_refusal
    return found


def _own_by_face(part: SolidData, own: Mapping[str, Allowance]) -> dict[int, Allowance]:
    """Return the rules of single bends, by the faces that are named after them."""
    stems = ((number, stem_of(part, (number,))) for number in range(len(part.faces))) if own else ()
    return {number: own[stem] for number, stem in stems if stem in own}


def _neutral_fibre(k_factor: float) -> Callable[[float, float, float], float]:
    """Developed length when the neutral fibre lies a share of the thickness from the hollow face."""
    return lambda angle, inside_radius, thickness: (
        math.radians(angle) * (inside_radius + k_factor * thickness)
    )


def _allowance(bend_rule: Any) -> Allowance:
    """Return the rule as a plain function, which refuses a length that is not positive."""
    found: Callable[[float, float, float], float] = getattr(bend_rule, "allowance", bend_rule)
    if isinstance(bend_rule, (int, float)):
        if not 0.0 <= bend_rule <= 1.0:
            raise InputError("unfold", "bend_rule", bend_rule, "is no K-factor", "0 to 1 is allowed")
        found = _neutral_fibre(float(bend_rule))
    if not callable(found):
        raise InputError(
            "unfold", "bend_rule", repr(bend_rule), "is not a bend rule", "give a K-factor, or a rule"
        )

    # Most rules end at 180 deg: a rolled part that turns further is asked for in equal shares.
    largest = float(getattr(bend_rule, "largest_angle", 180.0))

    def checked(angle: float, inside_radius: float, thickness: float) -> float:
        shares = max(1, math.ceil(angle / largest - ROUNDING))
        value = shares * float(found(min(angle / shares, largest), inside_radius, thickness))
        if not value > 0.0:
            raise InputError(
                "unfold",
                "allowance",
                value,
                f"is not positive for {angle:.6g} deg at inside radius {inside_radius:.6g} mm",
                "take another bend rule",
                "mm",
            )
        return value

    return checked


def _unfolded(
    sheet: SheetSkins, skins: Skins, rule: Rules, wish: Wanted, healed: tuple[tuple[str, float], ...]
) -> tuple[Unfolded, frozenset[int]]:
    """Unfold with one thickness; return also the edges of formed features that were taken for bends."""
    part, thickness = sheet.part, skins.thickness
    nets = [net_of(part, sheet.families, skin, skins.creases) for skin in (skins.first, skins.second)]
    root, names = default_root(sheet, nets[0], wish)
    sign = upper_sign(sheet, nets[0].pieces[root], thickness, wish)
    rules = (rule[0], sheet.close, _own_by_face(part, rule[1]))
    sides = (SkinSide(sign, thickness, *rules), SkinSide(-sign, thickness, *rules))
    start = root_map(part, nets[0], root, sides[0], wish)
    one = developed_skin(part, nets[0], root, start, sides[0])
    beyond, other_start = other_root(sheet, nets[0], root, start, nets[1], sides[1])
    other = developed_skin(part, nets[1], beyond, other_start, sides[1])
    for skin in (one, other):
        require_covered(sheet, skin)
    upper, lower = (one, other) if sign > 0 else (other, one)
    sewn = _sewn(sheet, upper, lower, healed + _assumed(one))
    formed = frozenset(edge for skin in (one, other) for edge in creases_formed(skin, sewn.features))
    found = composed(sheet, one, other, names, sewn, to_origin=wish.frame is None)
    if wish.frame is None:  # a caller with a frame has drawn the sheet itself
        require_wide(part.name, thickness, found.blank)
    return found, formed


def _assumed(skin: Developed) -> tuple[tuple[str, float], ...]:
    """The radius that was assumed for bends which are drawn as edges."""
    bends = [piece for piece in skin.net.pieces if piece.assumed]
    if not bends:
        return ()
    _, radius = figures(bends[0], skin.side.thickness)
    count = "1 bend is" if len(bends) == 1 else f"{len(bends)} bends are"
    said = f"{count} drawn without a radius: an inside radius of {radius:.4g} mm is assumed"
    return ((said, radius),)


def _sewn(
    sheet: SheetSkins, upper: Developed, lower: Developed, healed: tuple[tuple[str, float], ...]
) -> Sewn:
    """Return the loops to be cut: at once when both skins agree and the volume fits, else wall by wall."""
    exact = all(run.exact for skin in (upper, lower) for run in skin.runs)
    covered = math.fsum(sheet.areas[face] for skin in (upper, lower) for face in skin.net.skin)
    thickness = upper.side.thickness
    unexplained = sheet.volume - thickness * covered / 2.0
    slack = VOLUME_FIT * sheet.volume + (
        0.0 if exact else FOLLOWED * max(map(_followed_length, (upper, lower))) * thickness
    )
    outer = outermost(upper)
    notes = [said for said, _ in healed] + ([] if exact else [_followed_note(upper, lower)])
    walls = walls_of(sheet.part, upper, lower)
    through = all(wall.upper and wall.lower and not is_threaded(sheet.part, wall) for wall in walls)
    tolerance = sheet.close if exact else max(sheet.close, 2.0 * FOLLOWED)
    if through and abs(unexplained) <= slack and _agree(upper.loops, lower.loops, tolerance):
        holes = [loop for number, loop in enumerate(upper.loops) if number != outer]
        return Sewn(upper.loops[outer], holes, notes, (), unexplained, healed)
    found = examined(sheet, upper, lower, walls)
    assert found.outer is not None
    left = unexplained - found.explained
    askew = max(askew_length(sheet.part, skin) for skin in (upper, lower))
    slack += max(FOLLOWED, sheet.close / 2.0) * askew * thickness + min(sheet.loose_by, SAME_PLACE) * covered
    _require_explained(sheet, thickness, covered, found, left, slack)
    notes.extend(found.notes)
    if abs(left) > max(VOLUME_FIT * sheet.volume, min(sheet.loose_by, SAME_PLACE) * covered):
        notes.append(_left_note(left, sheet.volume, found))
    return Sewn(found.outer, found.holes, notes, tuple(found.features), left, healed)


def _require_explained(
    sheet: SheetSkins, thickness: float, covered: float, found: Examined, left: float, slack: float
) -> None:
    """Refuse a part whose volume is not that of skins, openings and features."""
    if abs(left) <= slack + found.unknown and found.unknown <= SLANTED_SHARE * sheet.volume:
        return
    given = thickness * covered / 2.0 + found.explained
    raise InputError(
        sheet.part.name,
        "thickness",
        f"{thickness:.6g} mm",
        f"is not constant: the skins would give {given:.9g} mm3, the solid has {sheet.volume:.9g} mm3",
        "a part to be unfolded has one thickness everywhere",
    )


def _left_note(left: float, whole: float, found: Examined) -> str:
    """Return how much of the volume is not explained, and where it may be."""
    where = "slanted edges and what is formed across bends" if found.unknown else "edges across bends"
    return f"{left:.3g} mm3 of the volume ({100.0 * left / whole:.2g} %) are not worked out: {where}"


def _followed_length(skin: Developed) -> float:
    return math.fsum(edge.length for run in skin.runs if not run.exact for edge in run.traced)


def _followed_note(upper: Developed, lower: Developed) -> str:
    count = max(sum(not run.exact for run in skin.runs) for skin in (upper, lower))
    edges = "1 curved edge is" if count == 1 else f"{count} curved edges are"
    return f"{edges} followed by lines and arcs to within {FOLLOWED:g} mm"


def _agree(upper: list[Loop], lower: list[Loop], tolerance: float) -> bool:
    """
    True when every loop of one skin is seen to lie on one of the other.

    Two that differ by rounding may be in another order; then they are compared wall by wall, which takes longer.
    """
    one, other = (sorted(loops, key=_corner) for loops in (upper, lower))
    return len(one) == len(other) and all(alike(a, b, tolerance) for a, b in zip(one, other, strict=True))


def _corner(loop: Loop) -> tuple[int, int]:
    """The lower left corner of the box round a loop, in steps of CORNER."""
    x, y, _, _ = loop.bounds
    return (round(x / CORNER), round(y / CORNER))
