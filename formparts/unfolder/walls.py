"""Faces on neither skin: grouped by contact, with the loops that they lead to, and their position to the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from formparts.outline.regions import Loop
from formparts.tolerances import FOLLOWED, SQUARE_TO_SKIN
from formparts.unfolder.develop import Developed
from formparts.unfolder.sewing import BlankEdge, area_of, chained, sewn
from formparts.unfolder.skins import SheetSkins
from formparts.unfolder.solid_data import Cylinder, Other, Plane, SolidData, normal_of
from formparts.unfolder.space import Vector, along, cross, dot, length, minus

LOOKED_AT = 4
"""Number of points along an edge at which it is tested."""


@dataclass(slots=True)
class Wall:
    """Connected faces between the skins, and the loops of the upper and lower skin that they lead to."""

    faces: list[int]
    upper: list[int] = field(default_factory=list)
    lower: list[int] = field(default_factory=list)


def outermost(skin: Developed) -> int:
    """
    Number of the loop round the whole skin: of those sewn from outer rims of flats and bends only, the largest.

    Where flats overlap, an opening may enclose more than the skin does, so its size is not a guide.
    """
    sizes = [size(loop) for loop in skin.loops]
    inner = _inner_runs(skin)
    outer = [
        n for n, chain in enumerate(skin.chains) if not any((run.face, run.edge) in inner for run in chain)
    ]
    return max(outer or range(len(sizes)), key=sizes.__getitem__)


def _inner_runs(skin: Developed) -> set[tuple[int, int]]:
    """Return face and edge of every run around an opening of its own flat or bend."""
    by_piece: dict[int, list[BlankEdge]] = {}
    for run in skin.runs:
        by_piece.setdefault(run.piece, []).append(run)
    chains = [chain for runs in by_piece.values() for chain in chained(runs)]
    return {(run.face, run.edge) for chain in chains if size(sewn(chain)) < 0.0 for run in chain}


def size(loop: Loop) -> float:
    """Area inside a loop, with the sign of its sense [mm2]."""
    return area_of(loop.edges, loop.edges[0].start)


def walls_of(part: SolidData, upper: Developed, lower: Developed) -> list[Wall]:
    """Group all faces that are on neither skin by contact."""
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
    return _joined(walls)


def _joined(walls: list[Wall]) -> list[Wall]:
    """Walls that lead to one loop are one wall: the sides of a lug beside those of what it was cut from."""
    joined: dict[int, Wall] = {}
    at: dict[int, list[int]] = {}
    for number, wall in enumerate(walls):
        near = sorted({other for loop in wall.upper for other in at.get(loop, ()) if other in joined})
        for other in [joined.pop(other) for other in near if _meet(wall, joined[other])]:
            wall = Wall(
                other.faces + wall.faces,
                sorted({*other.upper, *wall.upper}),
                sorted({*other.lower, *wall.lower}),
            )
        joined[number] = wall
        for loop in wall.upper:
            at.setdefault(loop, []).append(number)
    return list(joined.values())


def _meet(one: Wall, other: Wall) -> bool:
    return not (set(one.upper).isdisjoint(other.upper) and set(one.lower).isdisjoint(other.lower))


def is_threaded(part: SolidData, wall: Wall) -> bool:
    """True when free-form faces of a wall meet each other along curves: it may look alike from both sides."""
    own = set(wall.faces)
    free = [face for face in wall.faces if isinstance(part.faces[face].surface, Other)]
    return any(
        part.edges[number].kind != "line" and own.issuperset(part.edges[number].faces)
        for face in free
        for number, _ in part.faces[face].coedges
    )


def alike(one: Loop, other: Loop, tolerance: float) -> bool:
    """True when corners and middles of edges of each of two loops lie on the other, within a tolerance."""
    return _apart_in_turn(one, other) <= tolerance or apart(one, other) <= tolerance


def _apart_in_turn(one: Loop, other: Loop) -> float:
    """How far the edges of two loops are apart at most when they are taken in turn; infinite if one has more."""
    if len(one.edges) != len(other.edges):
        return math.inf
    first = one.edges[0].start
    turn = min(range(len(other.edges)), key=lambda n: math.dist(first, other.edges[n].start))
    pairs = zip(one.edges, (*other.edges[turn:], *other.edges[:turn]), strict=True)
    return max(max(math.dist(a.start, b.start), math.dist(a.middle, b.middle)) for a, b in pairs)


def apart(one: Loop, other: Loop) -> float:
    """How far corners and middles of edges of either loop lie off the other at most [mm]."""
    pairs = [(loop, edge) for edges, loop in ((one.edges, other), (other.edges, one)) for edge in edges]
    return max(loop.distance(place) for loop, edge in pairs for place in (edge.start, edge.middle))


def touches(part: SolidData, skin: Developed, face: int) -> bool:
    """True when a face shares an edge with a skin."""
    return not skin.net.skin.isdisjoint(part.neighbours(face))


def runs_through(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, face: int) -> bool:
    """True when a face, with what carries it on along the same surface, leads from skin to skin."""
    classified = sheet.families.classified
    one = [face]
    if face in classified:
        one = [other for other in wall.faces if other in classified and sheet.families.alike(face, other)]
    return all(any(touches(sheet.part, skin, other) for other in one) for skin in (upper, lower))


def is_square(sheet: SheetSkins, upper: Developed, lower: Developed, face: int) -> bool:
    """True when a face that touches a skin is square to it; one that touches none must have square neighbours."""
    part, surface = sheet.part, sheet.part.faces[face].surface
    skins = upper.net.skin | lower.net.skin
    least = max(SQUARE_TO_SKIN, sheet.close / upper.side.thickness)
    touched = False
    for number, _ in part.faces[face].coedges:
        edge = part.edges[number]
        for other in edge.faces:
            if other in skins:
                touched = True
                beside = part.faces[other].surface
                for place in edge.places(LOOKED_AT):
                    if abs(dot(normal_of(surface, place), normal_of(beside, place))) > least:
                        return False
    return touched or not isinstance(surface, Plane) or not is_level(part, upper, face)


def askew_length(part: SolidData, skin: Developed) -> float:
    """Return the length of all rims across bends, and of those in flats with slanted edge faces [mm]."""
    total = 0.0
    for run in (run for chain in skin.chains for run in chain):
        surface = part.faces[run.face].surface
        beyond = [other for other in part.edges[run.edge].faces if other not in skin.net.skin]
        place = part.edges[run.edge].middle
        if not isinstance(surface, Plane) or any(
            abs(dot(normal_of(part.faces[other].surface, place), surface.normal)) > SQUARE_TO_SKIN
            for other in beyond
        ):
            total += math.fsum(edge.length for edge in run.traced)
    return total


def is_level(part: SolidData, upper: Developed, face: int) -> bool:
    """True when a plane lies parallel to a flat of the upper skin."""
    surface = part.faces[face].surface
    planes = [part.faces[other].surface for other in upper.net.skin]
    return isinstance(surface, Plane) and any(
        isinstance(plane, Plane) and length(cross(plane.normal, surface.normal)) < SQUARE_TO_SKIN
        for plane in planes
    )


def flat_of(part: SolidData, chain: list[BlankEdge]) -> Plane | None:
    """The one flat in which a loop lies, if it is one."""
    surfaces = [part.faces[face].surface for face in {run.face for run in chain}]
    first = surfaces[0]
    if not isinstance(first, Plane) or len({run.piece for run in chain}) != 1:
        return None
    return first


def rise(part: SolidData, faces: list[int], flat: Plane) -> tuple[float, float]:
    """Return how far faces reach above and below a flat, by points along their edges [mm]."""
    heights = [
        dot(minus(place, flat.point), flat.normal)
        for number in {number for face in faces for number, _ in part.faces[face].coedges}
        for place in part.edges[number].places(LOOKED_AT + 1)
    ]
    return (max(heights), min(heights))


def stands_out(sheet: SheetSkins, skin: Developed, face: int) -> bool:
    """True when a face projects over a skin face that it touches: it is not a chamfer of it."""
    part = sheet.part
    places = [place for number, _ in part.faces[face].coedges for place in part.edges[number].places(3)]
    for other in part.neighbours(face) & skin.net.skin:
        surface = part.faces[other].surface
        if any(_height(surface, place) > max(sheet.close, FOLLOWED) for place in places):
            return True
    return False


def _height(surface: object, place: Vector) -> float:
    """Height of a place above a plane or cylinder, out of the material; 0 for other surfaces [mm]."""
    if isinstance(surface, Plane):
        return dot(minus(place, surface.point), surface.normal)
    if isinstance(surface, Cylinder):
        away = minus(place, surface.point)
        round_it = length(along(away, -dot(away, surface.axis), surface.axis))
        return surface.outward * (round_it - surface.radius)
    return 0.0
