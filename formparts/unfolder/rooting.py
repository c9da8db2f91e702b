"""The root of the unfolding: which flat stays fixed, which of its sides faces up, and its position on the blank."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from formparts.errors import InputError
from formparts.tolerances import ALONG, IN_FLAT
from formparts.unfolder.naming import names_of, skin_word
from formparts.unfolder.pieces import Net, UnfoldedPiece, hinges_at, is_flat
from formparts.unfolder.placing import ConeMap, FlatMap, Map, SkinSide, bend_map, cone_map, flat_map
from formparts.unfolder.skins import SheetSkins
from formparts.unfolder.solid_data import Cone, Cylinder, Plane, SolidData
from formparts.unfolder.space import Vector, cross, dot, length, minus, shown, times, unit


@dataclass(frozen=True, slots=True)
class Wanted:
    """The position of the blank that the caller wants: fixed flat by name, direction of its upper side, frame."""

    fixed: str | None = None
    up: Vector | None = None
    frame: tuple[Vector, Vector, Vector] | None = None


def default_root(sheet: SheetSkins, net: Net, wish: Wanted) -> tuple[int, dict[int, str]]:
    """Return the fixed flat (the largest, or the one named), and the names of all flats and bends."""
    sizes = [math.fsum(sheet.areas[face] for face in piece.faces) for piece in net.pieces]
    order = sorted(range(len(sizes)), key=lambda n: (not is_flat(net.pieces[n]), -round(sizes[n], 6), n))
    names = names_of(sheet.part, net, _reached(net, order[0]))
    if wish.fixed is None:
        return (order[0], names)
    flats = {name: piece for piece, name in names.items() if is_flat(net.pieces[piece])}
    if wish.fixed not in flats:
        raise InputError(
            sheet.part.name,
            "fixed",
            wish.fixed,
            "there is no such flat",
            f"there are: {', '.join(flats) or 'none'}",
        )
    return (flats[wish.fixed], names)


def _reached(net: Net, root: int) -> list[int]:
    """Return all flats and bends in the order in which they are reached from one."""
    near, order, seen = hinges_at(net), [root], {root}
    for piece in order:
        for hinge in near.get(piece, []):
            beyond = hinge.beyond(piece)
            if beyond not in seen:
                seen.add(beyond)
                order.append(beyond)
    return order


def upper_sign(sheet: SheetSkins, root: UnfoldedPiece, thickness: float, wish: Wanted) -> int:
    """Return 1 when the skin of the root flat is the upper one, else -1, from the names of both sides."""
    part, normal = sheet.part, _outward(root)
    wanted = wish.frame[2] if wish.frame else wish.up
    if wanted is not None:
        rise = dot(unit(wanted), normal) if length(wanted) > 0.0 else 0.0
        if abs(rise) < IN_FLAT:
            raise InputError(
                part.name,
                "up",
                shown(wanted),
                "lies in the fixed flat, so neither side faces it",
                f"give a direction on one side, such as {shown(normal)[:-3]}",
            )
        return 1 if rise > 0.0 else -1
    below = {face for mine in root.faces for face in sheet.families.partners(mine, thickness)}
    for faces, sign in ((root.faces, 1), (tuple(sorted(below)), -1)):
        word = skin_word(part, faces)
        if word:
            return sign if word == "upper" else -sign
    return 1 if _leading(normal[::-1]) > 0.0 else -1


def _leading(values: tuple[float, ...]) -> float:
    """Return the first nonzero value."""
    return next((value for value in values if abs(value) > ALONG), 0.0)


def _outward(piece: UnfoldedPiece) -> Vector:
    """Return the direction of a flat's face, or of a bend's in the middle of its angles."""
    surface = piece.surface
    if isinstance(surface, Plane):
        return surface.normal
    assert isinstance(surface, (Cylinder, Cone))
    assert piece.round is not None
    turn = piece.round
    cos, sin = math.cos(turn.middle_rad), math.sin(turn.middle_rad)
    radial = tuple(surface.outward * (cos * x + sin * y) for x, y in zip(turn.x, turn.y, strict=True))
    return (radial[0], radial[1], radial[2])


def root_map(part: SolidData, net: Net, root: int, side: SkinSide, wish: Wanted) -> Map:
    """Return the map of the root flat onto the blank."""
    piece = net.pieces[root]
    if isinstance(piece.surface, Plane):
        up = times(float(side.sign), piece.surface.normal)
        return _framed(part, up, wish) if wish.frame else flat_map(up, *_first_way(part, net, root, up))
    if isinstance(piece.surface, Cylinder):
        way = (0.0, 1.0) if _leading(piece.surface.axis) > 0.0 else (0.0, -1.0)
        return bend_map(piece, way, side)
    return cone_map(piece, (1.0, 0.0), side, _middle_place(piece))


def _middle_place(cone: UnfoldedPiece) -> Vector:
    """Return a point on the middle ruling of a cone."""
    assert isinstance(cone.surface, Cone)
    assert cone.round is not None
    turn = cone.round
    cos, sin = math.cos(turn.middle_rad), math.sin(turn.middle_rad)
    place = [p + cos * x + sin * y for p, x, y in zip(cone.surface.point, turn.x, turn.y, strict=True)]
    return (place[0], place[1], place[2])


def _framed(part: SolidData, up: Vector, wish: Wanted) -> FlatMap:
    """Return the map that gives the coordinates of the frame asked for."""
    assert wish.frame is not None
    origin, x, z = wish.frame
    if abs(dot(unit(z), up)) < 1.0 - ALONG or abs(dot(unit(x), unit(z))) > ALONG:
        raise InputError(
            part.name,
            "frame",
            shown(z),
            f"is not square to the fixed flat, which looks towards {shown(up)[:-3]}",
            "give the frame of the fixed flat, or name another one",
        )
    along = unit(x)
    left = cross(up, along)
    return FlatMap(along, left, (-dot(origin, along), -dot(origin, left)))


def _first_way(part: SolidData, net: Net, root: int, up: Vector) -> tuple[Vector, tuple[float, float]]:
    """Return the direction in the root flat that runs along x: its longest bend line, else longest straight edge."""
    hinges = {hinge.edge for hinge in hinges_at(net).get(root, [])}
    rims = {edge for face in net.pieces[root].faces for edge, _ in part.faces[face].coedges}
    straight = [edge for edge in sorted(rims) if part.edges[edge].kind == "line"]
    chords = {e: minus(part.points[part.edges[e].end], part.points[part.edges[e].start]) for e in straight}
    if not chords:
        return (_flattened((1.0, 0.0, 0.0), up), (1.0, 0.0))
    longest = max(straight, key=lambda e: (e in hinges, round(length(chords[e]), 6), -e))
    way = unit(chords[longest])
    return (way if _leading(way) > 0.0 else times(-1.0, way), (1.0, 0.0))


def _flattened(direction: Vector, up: Vector) -> Vector:
    """Return a direction of space projected into a flat; another one where the first is perpendicular to it."""
    for choice in (direction, (0.0, 1.0, 0.0)):
        across = cross(up, choice)
        if length(across) > IN_FLAT:
            return unit(cross(across, up))
    return direction


def other_root(
    sheet: SheetSkins, one: Net, root: int, known: Map, other: Net, side: SkinSide
) -> tuple[int, Map]:
    """Return the flat of the other skin under the root, and its map: points under each other coincide."""
    part, piece = sheet.part, one.pieces[root]
    below = {face for mine in piece.faces for face in sheet.families.partners(mine, side.thickness)}
    choices = sorted({other.piece_of[face] for face in below if face in other.piece_of})
    if not choices:
        raise InputError(
            part.name,
            "thickness",
            f"{side.thickness:.6g} mm",
            f"is not constant: nothing lies under the largest flat, near {shown(part.place(piece.faces[0]))}",
            "a part to be unfolded has one thickness everywhere",
        )
    here = _box(part, piece, known)
    chosen = min(choices, key=lambda number: math.dist(here, _box(part, other.pieces[number], known)))
    if isinstance(known, ConeMap):
        lower = cone_map(other.pieces[chosen], known.way, side, _middle_place(piece))
        return (chosen, replace(lower, shift=known.shift))
    return (chosen, known)


def _box(part: SolidData, piece: UnfoldedPiece, where: Map) -> tuple[float, float, float, float]:
    """Return the box around the corners of a flat or bend on the blank."""
    edges = [part.edges[edge] for face in piece.faces for edge, _ in part.faces[face].coedges]
    xs, ys = zip(*(where(part.points[edge.start]) for edge in edges), strict=True)
    return (min(xs), min(ys), max(xs), max(ys))
