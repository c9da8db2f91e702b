"""Solid to blank: measure the thickness, find the skins, roll both out, compare them, and sew the outline."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from formparts.errors import InputError
from formparts.outline.regions import Loop
from formparts.unfolder.composing import Sewn, composed
from formparts.unfolder.develop import Developed, developed_skin
from formparts.unfolder.families import families_of
from formparts.unfolder.limits import FOLLOWED, SAME_PLACE, VOLUME_FIT
from formparts.unfolder.measures import area, looseness, sweeps_of, volume
from formparts.unfolder.pieces import net_of
from formparts.unfolder.placing import Allowance, Side
from formparts.unfolder.proving import require_covered
from formparts.unfolder.reading import part_of
from formparts.unfolder.results import Unfolded
from formparts.unfolder.rooting import Stand, default_root, other_root, root_map, upper_sign
from formparts.unfolder.skins import (
    SheetSkins,
    Skins,
    attempts,
    sharp_outsides,
)
from formparts.unfolder.solid_data import Cylinder
from formparts.unfolder.space import Vector
from formparts.unfolder.walls import alike, examined, outermost

Frame: TypeAlias = tuple[Vector, Vector, Vector]
CORNER = 0.0173
"""Loops are put in order in steps of this [mm]: an odd figure, so that round ones do not lie between two steps."""


def unfold(
    solid: Any,
    bend_rule: Any = 0.44,
    *,
    fixed: str | None = None,
    up: Vector | None = None,
    frame: Frame | None = None,
    name: str | None = None,
    faces: Mapping[str, Any] | None = None,
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
        A rolled part of more than 180 deg is asked for in equal shares.
    fixed : str, optional
        Name of the flat that stays put; the largest one if none is named.
    up : (x, y, z), optional
        Direction in space of the upper side of the fixed flat; the side called `upper` in the face names,
        else the one that looks up (+z, else +y, else +x).
    frame : (origin, x, z), optional
        A place and two directions in space: origin and x axis of the blank, and its upper side [mm].
    name : str, optional
        Name of the part; that of the solid if it has one.
    faces : dict of str to face, optional
        Names of faces, if the solid brings none. A flat or bend is called by its face on the skin that is developed;
        where only the other skin has names, pieces are numbered.

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
    sweeps = sweeps_of(part)
    areas = [area(part, face, sweeps) for face in part.faces]
    sheet = SheetSkins(part, families_of(part), areas, volume(part, sweeps), looseness(part))
    if not sheet.volume > 0.0:
        raise InputError(
            part.name, "volume", sheet.volume, "is not positive", "save the part as one closed solid", "mm3"
        )
    wish = Stand(fixed, up, frame)
    first_refusal: InputError | None = None
    for skins in attempts(sheet, frame[2] if frame else up, told=frame is not None):
        try:
            return _unfolded(sheet, skins, _allowance(bend_rule), wish)
        except InputError as refusal:
            first_refusal = first_refusal or refusal
    assert first_refusal is not None
    raise first_refusal


def _neutral_fibre(k_factor: float) -> Callable[[float, float, float], float]:
    """Developed length when the neutral fibre lies a share of the thickness from the hollow face."""
    return lambda angle, inside_radius, thickness: (
        math.radians(angle) * (inside_radius + k_factor * thickness)
    )


def _allowance(bend_rule: Any) -> Allowance:
    """The rule as a plain function; a length that is not positive is refused where it is asked for."""
    found: Callable[[float, float, float], float] = getattr(bend_rule, "allowance", bend_rule)
    if isinstance(bend_rule, (int, float)):
        if not 0.0 <= bend_rule <= 1.0:
            raise InputError("unfold", "bend_rule", bend_rule, "is no K-factor", "0 to 1 is allowed")
        found = _neutral_fibre(float(bend_rule))
    if not callable(found):
        raise InputError(
            "unfold", "bend_rule", repr(bend_rule), "is not a bend rule", "give a K-factor, or a rule"
        )

    def checked(angle: float, inside_radius: float, thickness: float) -> float:
        value = float(found(angle, inside_radius, thickness))
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


def _unfolded(sheet: SheetSkins, skins: Skins, allowance: Allowance, wish: Stand) -> Unfolded:
    """Unfold with one thickness."""
    part, thickness = sheet.part, skins.thickness
    outsides = [part.faces[face].surface for face in sorted(sharp_outsides(sheet, thickness))]
    sharp = [surface for surface in outsides if isinstance(surface, Cylinder)]
    nets = [net_of(part, sheet.families, skin, sharp) for skin in (skins.first, skins.second)]
    root, names = default_root(sheet, nets[0], wish)
    sign = upper_sign(sheet, nets[0].pieces[root], thickness, wish)
    sides = (Side(sign, thickness, allowance), Side(-sign, thickness, allowance))
    start = root_map(part, nets[0], root, sides[0], wish)
    one = developed_skin(part, nets[0], root, start, sides[0])
    beyond, other_start = other_root(sheet, nets[0], root, start, nets[1], sides[1])
    other = developed_skin(part, nets[1], beyond, other_start, sides[1])
    for skin in (one, other):
        require_covered(sheet, skin)
    upper, lower = (one, other) if sign > 0 else (other, one)
    sewn = _sewn(sheet, upper, lower)
    return composed(sheet, one, other, names, sewn, to_origin=wish.frame is None)


def _sewn(sheet: SheetSkins, upper: Developed, lower: Developed) -> Sewn:
    """The loops to be cut: at once when both skins agree and the volume fits, else wall by wall."""
    exact = all(run.exact for skin in (upper, lower) for run in skin.runs)
    covered = math.fsum(sheet.areas[face] for skin in (upper, lower) for face in skin.net.skin)
    misfit = abs(upper.side.thickness * covered / 2.0 - sheet.volume)
    slack = VOLUME_FIT * sheet.volume + (
        0.0 if exact else FOLLOWED * max(map(_followed_length, (upper, lower))) * upper.side.thickness
    )
    outer = outermost(upper)
    notes = [] if exact else [_followed_note(upper, lower)]
    if misfit <= slack and _agree(upper.loops, lower.loops, SAME_PLACE if exact else 2.0 * FOLLOWED):
        holes = [loop for number, loop in enumerate(upper.loops) if number != outer]
        return Sewn(upper.loops[outer], holes, notes)
    first, holes, found = examined(sheet, upper, lower)
    if misfit > slack + min(sheet.loose_by, SAME_PLACE) * covered and not found:
        raise InputError(
            sheet.part.name,
            "thickness",
            f"{upper.side.thickness:.6g} mm",
            f"is not constant: the skins would give {upper.side.thickness * covered / 2.0:.9g} mm3, the solid has "
            f"{sheet.volume:.9g} mm3",
            "a part to be unfolded has one thickness everywhere",
        )
    return Sewn(first, holes, notes + found)


def _followed_length(skin: Developed) -> float:
    return math.fsum(edge.length for run in skin.runs if not run.exact for edge in run.traced)


def _followed_note(upper: Developed, lower: Developed) -> str:
    count = max(sum(not run.exact for run in skin.runs) for skin in (upper, lower))
    edges = "1 curved edge is" if count == 1 else f"{count} curved edges are"
    return f"{edges} followed by lines and arcs to within {FOLLOWED:g} mm"


def _agree(upper: list[Loop], lower: list[Loop], tolerance: float) -> bool:
    """
    True when every loop of one skin is seen to lie on one of the other.

    Two that differ by rounding may stand in another order; then they are compared wall by wall, which takes longer.
    """
    one, other = (sorted(loops, key=_corner) for loops in (upper, lower))
    return len(one) == len(other) and all(alike(a, b, tolerance) for a, b in zip(one, other, strict=True))


def _corner(loop: Loop) -> tuple[int, int]:
    """The lower left corner of the box round a loop, in steps of CORNER."""
    x, y, _, _ = loop.bounds
    return (round(x / CORNER), round(y / CORNER))
