"""The contour to cut where edge faces are not square: the narrow contour of an opening, the wide one of the rim."""

from __future__ import annotations

from dataclasses import dataclass

from formparts.errors import InputError
from formparts.outline.regions import Loop
from formparts.tolerances import FOLLOWED
from formparts.unfolder.develop import Developed
from formparts.unfolder.refusing import stray
from formparts.unfolder.sewing import BlankEdge, chained, sewn, straightened
from formparts.unfolder.skins import SheetSkins
from formparts.unfolder.space import Pair, shown
from formparts.unfolder.tracing import traced
from formparts.unfolder.walls import (
    Wall,
    alike,
    apart,
    is_level,
    is_square,
    runs_through,
    size,
    stands_out,
    touches,
)


@dataclass(frozen=True, slots=True)
class CutContour:
    """A contour to be cut, its note, and whether its edge faces are square on both skins."""

    loop: Loop
    note: str = ""
    square: bool = True
    kind: str = ""


def cut_of(
    sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, pair: tuple[Loop, Loop], is_outer: bool
) -> CutContour:
    """
    Return the narrow contour of an opening that is wider on one side; of an outer edge, the outer contour.

    If a slanted cut has contours of equal size that do not coincide, the upper one is returned.
    """
    slanted = [face for face in wall.faces if not is_square(sheet, upper, lower, face)]
    if not slanted and alike(*pair, 2.0 * sheet.close):
        return CutContour(pair[0])
    through = {face for face in wall.faces if runs_through(sheet, upper, lower, wall, face)}
    rest = [face for face in slanted if face not in through]
    place = shown(sheet.part.place((slanted or wall.faces)[0]))
    if not slanted and is_outer and _has_creases(upper) and apart(*pair) < upper.side.thickness:
        return CutContour(pair[0], f"sides of bends without a radius are off by up to {apart(*pair):.3g} mm")
    if rest:
        found = _core(sheet, upper, lower, wall, rest, pair, is_outer)
        if found is not None:
            return _note(pair, found, place, is_outer)
    if is_outer:
        return _rim(sheet, upper, lower, wall, pair, rest, place)
    small, large = sorted(pair, key=lambda loop: abs(size(loop)))
    skin = upper if small is pair[0] else lower
    if rest and any(touches(sheet.part, skin, face) for face in slanted):
        raise stray(sheet, upper, lower, wall, slanted)
    wider = abs(size(large)) - abs(size(small))
    off = f"{apart(*pair):.4g} mm"
    if _is_askew(large, wider):
        what = f"runs askew through the sheet; the blank has its upper contour, the lower one lies {off} off"
        return CutContour(pair[0], f"opening at {place} {what}", False, "slanted")
    return CutContour(small, _wider(small, large, place), False, "countersink")


def _wider(small: Loop, large: Loop, place: str) -> str:
    what = "is wider on one side (countersunk, stepped or slanted)"
    by = abs(size(large)) - abs(size(small))
    return f"opening at {place} {what}; the blank has the narrow contour, smaller by {by:.6g} mm2"


def _has_creases(skin: Developed) -> bool:
    return any(piece.assumed for piece in skin.net.pieces)


def _is_askew(large: Loop, wider: float) -> bool:
    """True when two contours are of one size."""
    return wider <= 2.0 * FOLLOWED * sum(edge.length for edge in large.edges)


def _rim(
    sheet: SheetSkins,
    upper: Developed,
    lower: Developed,
    wall: Wall,
    pair: tuple[Loop, Loop],
    rest: list[int],
    place: str,
) -> CutContour:
    """Return the outer of the two contours of a slanted rim."""
    if rest:
        raise stray(sheet, upper, lower, wall, sorted(rest))
    if _has_creases(upper):
        raise InputError(
            sheet.part.name,
            "bend",
            place,
            f"is drawn without a radius, and its sides run up to {apart(*pair):.3g} mm apart on the two skins",
            "give the bend its inside and outside radius, or square sides",
        )
    small, large = sorted(pair, key=lambda loop: abs(size(loop)))
    off = f"{apart(*pair):.4g} mm"
    if _is_askew(large, abs(size(large)) - abs(size(small))):
        said = f"edge at {place} is slanted; the blank has the upper skin, the lower one lies up to {off} off"
        return CutContour(pair[0], said, False, "slanted")
    said = f"edge at {place} is slanted; the blank has the longer of its two skins, by up to {off}"
    return CutContour(large, said, False, "slanted")


def _note(pair: tuple[Loop, Loop], core: Loop, place: str, is_outer: bool) -> CutContour:
    """Return the note on a contour between chamfers."""
    small, large = sorted(pair, key=lambda loop: abs(size(loop)))
    if not is_outer and alike(core, small, FOLLOWED):
        return CutContour(small, _wider(small, large, place), False, "countersink")
    off = max(apart(core, loop) for loop in pair)
    what = "edge" if is_outer else "opening"
    said = (
        f"{what} at {place} is chamfered or rounded by up to {off:.3g} mm; the blank has the contour between"
    )
    return CutContour(core, said, False, "chamfer")


def _core(
    sheet: SheetSkins,
    upper: Developed,
    lower: Developed,
    wall: Wall,
    rest: list[int],
    pair: tuple[Loop, Loop],
    is_outer: bool,
) -> Loop | None:
    """Return the contour between chamfers, countersinks or rounded rims on both sides of the sheet, if there is one."""
    part = sheet.part
    levels = [face for face in rest if is_level(part, upper, face)]
    if any(stands_out(sheet, skin, face) for face in rest for skin in (upper, lower)):
        return None
    if is_outer and levels:
        return None
    found = []
    for skin, loop, far in ((upper, pair[0], lower), (lower, pair[1], upper)):
        group = _group(sheet, skin, far, rest)
        contour = _border(sheet, skin, wall, group) if group else loop
        if contour is None:
            return None
        found.append(contour)
    return (max if is_outer else min)(found, key=lambda loop: abs(size(loop)))


def _group(sheet: SheetSkins, skin: Developed, far: Developed, rest: list[int]) -> set[int]:
    """Return the chamfers along one skin: faces that touch it, and their continuations that do not touch the other."""
    part = sheet.part
    todo = [face for face in rest if touches(part, skin, face)]
    found = set(todo)
    while todo:
        for other in part.neighbours(todo.pop()):
            if other in rest and other not in found and not touches(part, far, other):
                found.add(other)
                todo.append(other)
    return found


def _border(sheet: SheetSkins, skin: Developed, wall: Wall, group: set[int]) -> Loop | None:
    """Return the loop in which chamfers of one skin end, on the blank, if it is one closed chain."""
    part, own = sheet.part, set(wall.faces)
    runs: list[BlankEdge] = []
    for face in sorted(own):
        piece = _flat_beside(skin, face, group)
        for number, along in part.faces[face].coedges:
            beyond = [other for other in part.edges[number].faces if other != face]
            in_skin = bool(beyond) and beyond[0] in skin.net.skin
            if face in group and beyond and beyond[0] in own - group:
                runs.append(_run(skin, face, number, along == (skin.side.sign > 0), piece))
            elif face not in group and in_skin:
                # Where there is no chamfer the skin itself ends at the square face.
                runs.append(
                    _run(skin, face, number, along != (skin.side.sign > 0), skin.net.piece_of[beyond[0]])
                )
    chains = chained(runs)
    if len(chains) != 1 or chains[0][-1].end != chains[0][0].start:
        return None
    return straightened(sewn(chains[0]))


def _flat_beside(skin: Developed, face: int, group: set[int]) -> int:
    """Return the flat or bend that a chamfer runs along: of those that it touches the one with the longest edge."""
    part = skin.part
    sizes: dict[int, float] = {}
    for near in (face, *sorted(part.neighbours(face) & group)):
        for number, _ in part.faces[near].coedges:
            for other in part.edges[number].faces:
                if other in skin.net.piece_of:
                    edge = part.edges[number]
                    reach = sum(abs(a - b) for a, b in zip(edge.value(edge.first), edge.middle, strict=True))
                    piece = skin.net.piece_of[other]
                    sizes[piece] = sizes.get(piece, 0.0) + reach
        if sizes:
            break
    return max(sizes, key=lambda piece: sizes[piece]) if sizes else next(iter(skin.maps))


def _run(skin: Developed, face: int, number: int, forward: bool, piece: int) -> BlankEdge:
    """Return one edge of a wall on the blank."""
    edge, where = skin.part.edges[number], skin.maps[piece]
    start, end = (edge.start, edge.end) if forward else (edge.end, edge.start)
    spots: tuple[Pair, Pair] = (where(skin.part.points[start]), where(skin.part.points[end]))
    lines, exact = traced(edge, forward, spots, where)
    return BlankEdge(start, end, number, face, piece, tuple(lines), exact)
