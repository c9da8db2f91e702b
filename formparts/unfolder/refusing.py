"""Refusals of the unfolder: the face concerned, the reason, and the way out."""

from __future__ import annotations

from collections.abc import Iterable

from formparts.errors import InputError
from formparts.unfolder.develop import Developed
from formparts.unfolder.limits import PARALLEL
from formparts.unfolder.skins import SheetSkins, neither_round_nor_conical
from formparts.unfolder.solid_data import Cone, Cylinder, Other, SolidData, normal_of
from formparts.unfolder.space import dot, shown
from formparts.unfolder.walls import Wall, is_level

SHARP = (
    "belongs to a second flat that meets the first in a sharp corner, without a bend between them",
    "give the corner an inside radius and an outside radius one thickness larger",
)


def one_sided(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall) -> InputError:
    """Refuse a pocket: its walls lead to one skin only; those of a drawn shape do too, but run into it smoothly."""
    part, skins = sheet.part, upper.net.skin | lower.net.skin
    drawn = [
        face
        for face in wall.faces
        if isinstance(part.faces[face].surface, Other) and _is_smooth_to(part, face, skins)
    ]
    if drawn:
        why, fix = _reason(sheet, drawn[0], True, upper.side.thickness)
        return InputError(part.name, "face", shown(part.place(drawn[0])), why, fix)
    floors = [face for face in wall.faces if is_level(part, upper, face)]
    place = shown(part.place(max(floors or wall.faces, key=lambda face: sheet.areas[face])))
    what = "a pocket ends within the sheet" if wall.upper or wall.lower else "a hollow lies within the sheet"
    return InputError(
        part.name,
        "thickness",
        f"{upper.side.thickness:.6g} mm",
        f"is not constant: {what} at {place}",
        "take machined features off before unfolding, or run them right through",
    )


def stray(
    sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, suspects: Iterable[int]
) -> InputError:
    """Name the face that is neither skin nor edge, and its apparent kind."""
    part, thickness = sheet.part, upper.side.thickness
    skins = upper.net.skin | lower.net.skin
    meant = list(suspects) or wall.faces
    near = [face for face in meant if not skins.isdisjoint(part.neighbours(face))] or meant
    smooth = [face for face in wall.faces if _is_smooth_to(part, face, skins)]
    own = set(wall.faces)
    flats = [face for face in wall.faces if not own.isdisjoint(sheet.families.partners(face, thickness))]
    floors = [face for face in meant if is_level(part, upper, face)]
    face = max(smooth or flats or floors or near or wall.faces, key=lambda number: sheet.areas[number])
    why, fix = SHARP if flats and not smooth else _reason(sheet, face, bool(smooth), thickness)
    return InputError(part.name, "face", shown(part.place(face)), why, fix)


def _is_smooth_to(part: SolidData, face: int, skins: frozenset[int]) -> bool:
    """True when a face runs into a skin without a corner."""
    surface = part.faces[face].surface
    return any(
        abs(
            dot(
                normal_of(surface, part.edges[n].middle),
                normal_of(part.faces[other].surface, part.edges[n].middle),
            )
        )
        > PARALLEL
        for n, _ in part.faces[face].coedges
        for other in part.edges[n].faces
        if other in skins
    )


def _reason(sheet: SheetSkins, face: int, smooth: bool, thickness: float) -> tuple[str, str]:
    """Return what is wrong with a face, and the way out."""
    surface = sheet.part.faces[face].surface
    if isinstance(surface, Other) and (smooth or surface.kind != "free-form"):
        return neither_round_nor_conical(surface.kind)
    if smooth and isinstance(surface, (Cylinder, Cone)):
        return (
            f"is rounded into the skin, but has no other skin {thickness:.6g} mm from it",
            "the thickness must be the same in every bend, and edges must be square",
        )
    return (
        f"is neither a skin of the {thickness:.6g} mm sheet nor an edge face square to it",
        "a part to be unfolded has two parallel skins and edge faces between them: take machined features off",
    )
