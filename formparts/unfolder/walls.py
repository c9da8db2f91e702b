"""What is neither skin: edge faces that stand square, openings of two widths, and what cannot be unfolded at all."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from formparts.errors import InputError
from formparts.outline.regions import Loop
from formparts.unfolder.develop import Developed
from formparts.unfolder.limits import FOLLOWED, PARALLEL, SAME_PLACE
from formparts.unfolder.sewing import Run, area_of, chained, sewn
from formparts.unfolder.skins import SheetSkins, neither_round_nor_conical
from formparts.unfolder.solid_data import Cone, Cylinder, Other, Plane, SolidData, normal_of
from formparts.unfolder.space import cross, dot, length, minus, shown

SQUARE = 1e-4
"""An edge face is square to the skin when the cosine between the two is smaller than this [-]."""
LOOKED_AT = 4
"""From so many places along an edge it is looked at."""


@dataclass(slots=True)
class Wall:
    """Edge faces that hang together, and the loops of the upper and lower skin that they lead to."""

    faces: list[int]
    upper: list[int] = field(default_factory=list)
    lower: list[int] = field(default_factory=list)


SHARP = (
    "belongs to a second flat that meets the first in a sharp corner, without a bend between them",
    "give the corner an inside radius and an outside radius one thickness larger",
)


def examined(sheet: SheetSkins, upper: Developed, lower: Developed) -> tuple[Loop, list[Loop], list[str]]:
    """
    Pair the loops of the two skins by the edge faces between them, and take of each pair what must be cut.

    Gives the outer loop, the openings and the notes; refuses what has no blank.
    """
    part = sheet.part
    chosen: list[Loop] = []
    notes: list[str] = []
    outer = outermost(upper)
    first: Loop | None = None
    for wall in _walls(part, upper, lower):
        if not wall.upper or not wall.lower:
            raise _one_sided(sheet, upper, lower, wall)
        if len(wall.upper) != 1 or len(wall.lower) != 1:
            raise _stray(sheet, upper, lower, wall, [])
        is_outer = wall.upper[0] == outer
        pair = (upper.loops[wall.upper[0]], lower.loops[wall.lower[0]])
        for skin, number in () if is_outer else ((upper, wall.upper[0]), (lower, wall.lower[0])):
            _require_within(sheet, skin, skin.chains[number], wall)
        loop, note = _of_two(sheet, upper, lower, wall, pair, is_outer)
        notes.extend(note)
        if is_outer:
            first = loop
        else:
            chosen.append(loop)
    assert first is not None
    return (first, chosen, notes)


def _require_within(sheet: SheetSkins, skin: Developed, chain: list[Run], wall: Wall) -> None:
    """Refuse edge faces that stand out over the flat that they lie in: a nut, a collar, a boss with a hole in it."""
    part = sheet.part
    surfaces = [part.faces[face].surface for face in {run.face for run in chain}]
    if len(surfaces) != 1 or not isinstance(surfaces[0], Plane):
        return
    flat = surfaces[0]
    for face in wall.faces:
        ends = {end for n, _ in part.faces[face].coedges for end in (part.edges[n].start, part.edges[n].end)}
        if any(dot(minus(part.points[end], flat.point), flat.normal) > SAME_PLACE for end in ends):
            raise InputError(
                part.name,
                "thickness",
                f"{skin.side.thickness:.6g} mm",
                f"is not constant: something stands on the sheet at {shown(part.place(face))}",
                "take nuts, collars and the like off before unfolding",
            )


def outermost(skin: Developed) -> int:
    """
    Number of the loop round the whole skin: of those that were sewn from outer rims of pieces only, the largest.

    Where pieces lie on one another an opening may wind round more than the skin does, so that its size tells nothing.
    """
    sizes = [size(loop) for loop in skin.loops]
    inner = _inner_runs(skin)
    outer = [
        n for n, chain in enumerate(skin.chains) if not any((run.face, run.edge) in inner for run in chain)
    ]
    return max(outer or range(len(sizes)), key=sizes.__getitem__)


def _inner_runs(skin: Developed) -> set[tuple[int, int]]:
    """Face and edge of every run that goes round an opening of its own piece."""
    by_piece: dict[int, list[Run]] = {}
    for run in skin.runs:
        by_piece.setdefault(run.piece, []).append(run)
    chains = [chain for runs in by_piece.values() for chain in chained(runs)]
    return {(run.face, run.edge) for chain in chains if size(sewn(chain)) < 0.0 for run in chain}


def size(loop: Loop) -> float:
    """Area inside a loop, with the sign of its sense [mm2]."""
    return area_of(loop.edges, loop.edges[0].start)


def _walls(part: SolidData, upper: Developed, lower: Developed) -> list[Wall]:
    """Sort all faces that are on neither skin by what they hang together with."""
    skins = upper.net.skin | lower.net.skin
    wall_of: dict[int, int] = {}
    walls: list[Wall] = []
    for seed in range(len(part.faces)):
        if seed in skins or seed in wall_of:
            continue
        wall_of[seed], todo = len(walls), [seed]
        walls.append(Wall([]))
        while todo:
            face = todo.pop()
            walls[-1].faces.append(face)
            for other in sorted(part.neighbours(face) - skins):
                if other not in wall_of:
                    wall_of[other] = wall_of[seed]
                    todo.append(other)
    for skin, rows in ((upper, [wall.upper for wall in walls]), (lower, [wall.lower for wall in walls])):
        for number, chain in enumerate(skin.chains):
            beyond = {face for run in chain for face in part.edges[run.edge].faces} - skins
            for wall_number in sorted({wall_of[face] for face in beyond}):
                rows[wall_number].append(number)
    return walls


def alike(one: Loop, other: Loop, tolerance: float) -> bool:
    """True when corners and middles of edges of each of two loops lie on the other, within a tolerance."""
    return _apart_in_turn(one, other) <= tolerance or _apart(one, other) <= tolerance


def _apart_in_turn(one: Loop, other: Loop) -> float:
    """How far the edges of two loops are apart at most when they are taken in turn; infinite if one has more."""
    if len(one.edges) != len(other.edges):
        return math.inf
    first = one.edges[0].start
    turn = min(range(len(other.edges)), key=lambda n: math.dist(first, other.edges[n].start))
    pairs = zip(one.edges, (*other.edges[turn:], *other.edges[:turn]), strict=True)
    return max(max(math.dist(a.start, b.start), math.dist(a.middle, b.middle)) for a, b in pairs)


def _apart(one: Loop, other: Loop) -> float:
    """How far corners and middles of edges of either loop lie off the other at most [mm]."""
    ways = [(loop, edge) for edges, loop in ((one.edges, other), (other.edges, one)) for edge in edges]
    return max(loop.distance(place) for loop, edge in ways for place in (edge.start, edge.middle))


def _of_two(
    sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, pair: tuple[Loop, Loop], is_outer: bool
) -> tuple[Loop, list[str]]:
    """
    Of an opening that is wider on one side, the narrow contour; of an outer edge, the further one.

    Contours of one size lie apart where a cut runs askew through the sheet: then the upper one.
    """
    slanted = [face for face in wall.faces if not _is_square(sheet.part, upper, lower, face)]
    if not slanted and alike(*pair, 2.0 * SAME_PLACE):
        return (pair[0], [])
    through = [face for face in wall.faces if _runs_through(sheet, upper, lower, wall, face)]
    small, large = sorted(pair, key=lambda loop: abs(size(loop)))
    wider = abs(size(large)) - abs(size(small))
    more = f"{wider:.6g} mm2"
    place = shown(sheet.part.place((slanted or wall.faces)[0]))
    off = f"{_apart(*pair):.4g} mm"
    askew = wider <= 2.0 * FOLLOWED * sum(edge.length for edge in large.edges)
    if is_outer:
        stray = sorted(set(slanted) - set(through))
        if stray:
            raise _stray(sheet, upper, lower, wall, stray)
        if askew:
            return (
                pair[0],
                [
                    f"edge at {place} is slanted; the blank has the upper skin, the lower one lies up to {off} off"
                ],
            )
        return (
            large,
            [f"edge at {place} is slanted; the blank has the longer of its two skins, by up to {off}"],
        )
    skin = upper if small is pair[0] else lower
    if set(slanted) - set(through) and any(_touches(sheet.part, skin, face) for face in slanted):
        raise _stray(sheet, upper, lower, wall, slanted)
    if askew:
        what = f"runs askew through the sheet; the blank has its upper contour, the lower one lies {off} off"
        return (pair[0], [f"opening at {place} {what}"])
    what = "is wider on one side (countersunk, stepped or slanted)"
    return (small, [f"opening at {place} {what}; the blank has the narrow contour, smaller by {more}"])


def _runs_through(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, face: int) -> bool:
    """True when a face, with what carries it on along the same surface, leads from skin to skin."""
    standing = sheet.families.standing
    one = [face]
    if face in standing:
        one = [other for other in wall.faces if other in standing and sheet.families.alike(face, other)]
    return all(any(_touches(sheet.part, skin, other) for other in one) for skin in (upper, lower))


def _touches(part: SolidData, skin: Developed, face: int) -> bool:
    """True when a face shares an edge with a skin."""
    return not skin.net.skin.isdisjoint(part.neighbours(face))


def _is_square(part: SolidData, upper: Developed, lower: Developed, face: int) -> bool:
    """True when a face that touches a skin stands square on it; one that touches none must do so to its neighbours."""
    surface = part.faces[face].surface
    skins = upper.net.skin | lower.net.skin
    touched = False
    for number, _ in part.faces[face].coedges:
        edge = part.edges[number]
        for other in edge.faces:
            if other in skins:
                touched = True
                beside = part.faces[other].surface
                for place in edge.places(LOOKED_AT):
                    if abs(dot(normal_of(surface, place), normal_of(beside, place))) > SQUARE:
                        return False
    return touched or not isinstance(surface, Plane) or not _is_level(part, upper, face)


def _is_level(part: SolidData, upper: Developed, face: int) -> bool:
    """True when a plane lies parallel to a flat of the upper skin."""
    surface = part.faces[face].surface
    planes = [part.faces[other].surface for other in upper.net.skin]
    return isinstance(surface, Plane) and any(
        isinstance(plane, Plane) and length(cross(plane.normal, surface.normal)) < SQUARE for plane in planes
    )


def _one_sided(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall) -> InputError:
    """A pocket or a boss: its walls lead to one skin only; so do those of a dent, but they run into it smoothly."""
    part, skins = sheet.part, upper.net.skin | lower.net.skin
    dents = [
        face
        for face in wall.faces
        if isinstance(part.faces[face].surface, Other) and _is_smooth_to(part, face, skins)
    ]
    if dents:
        why, fix = _reason(sheet, dents[0], True, upper.side.thickness)
        return InputError(part.name, "face", shown(part.place(dents[0])), why, fix)
    floors = [face for face in wall.faces if _is_level(part, upper, face)]
    place = shown(part.place((floors or wall.faces)[0]))
    what = (
        "a pocket or boss ends within the sheet"
        if wall.upper or wall.lower
        else "a hollow lies within the sheet"
    )
    return InputError(
        part.name,
        "thickness",
        f"{upper.side.thickness:.6g} mm",
        f"is not constant: {what} at {place}",
        "take machined features off before unfolding, or run them right through",
    )


def _stray(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, stray: list[int]) -> InputError:
    """Name a face that is neither skin nor edge, with what it seems to be."""
    part, thickness = sheet.part, upper.side.thickness
    skins = upper.net.skin | lower.net.skin
    near = [face for face in stray or wall.faces if not skins.isdisjoint(part.neighbours(face))]
    smooth = [face for face in wall.faces if _is_smooth_to(part, face, skins)]
    own = set(wall.faces)
    flats = [face for face in wall.faces if not own.isdisjoint(sheet.families.partners(face, thickness))]
    face = max(smooth or flats or near or wall.faces, key=lambda number: sheet.areas[number])
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
    """What is wrong with a face, and the way out."""
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
        "a part to be unfolded has two parallel skins and edge faces between them: take chamfers, broken edges and "
        "machined features off",
    )
