"""Features on the sheet or formed from it: recognised, measured, and kept out of the blank's contour."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from formparts.errors import InputError
from formparts.outline.regions import Loop, joint_bounds
from formparts.tolerances import FOLLOWED
from formparts.unfolder.cuts import CutContour, cut_of
from formparts.unfolder.develop import Developed
from formparts.unfolder.formed_corners import is_covered
from formparts.unfolder.limits import (
    FEATURE_SHARE,
    FORMED_HEIGHT,
    LIKE_VOLUMES,
    STOUTEST,
)
from formparts.unfolder.measures import cone_to
from formparts.unfolder.placing import FlatMap
from formparts.unfolder.refusing import one_sided, stray
from formparts.unfolder.results import FoundFeature
from formparts.unfolder.skins import SheetSkins
from formparts.unfolder.solid_data import Cylinder, Other, Plane, SolidData, normal_of
from formparts.unfolder.space import Pair, dot, shown
from formparts.unfolder.threads import drilled, tap_of
from formparts.unfolder.walls import Wall, flat_of, is_level, outermost, rise, size

Side: TypeAlias = Literal["up", "down", "both"]


@dataclass(slots=True)
class Examined:
    """All walls of a sheet as they were classified; filled wall by wall."""

    outer: Loop | None = None
    holes: list[Loop] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    features: list[FoundFeature] = field(default_factory=list)
    explained: float = 0.0
    """Volume that features and openings with slanted edges add to that between the skins [mm3]."""
    unknown: float = 0.0
    """Further volume that they may add where it is not computed: at slanted rims and across bends [mm3]."""


def examined(sheet: SheetSkins, upper: Developed, lower: Developed, walls: list[Wall]) -> Examined:
    """
    Pair the loops of the two skins by the faces between them, and classify what is between.

    Returns the outer loop, the openings, features and notes; refuses a solid that has no blank.
    """
    found, lone = Examined(), []
    outer = outermost(upper)
    for wall in walls:
        if not wall.upper or not wall.lower:
            lone.append(wall)
        elif len(wall.upper) != 1 or len(wall.lower) != 1:
            raise stray(sheet, upper, lower, wall, [])
        else:
            pair = (upper.loops[wall.upper[0]], lower.loops[wall.lower[0]])
            if wall.upper[0] == outer:
                _rim(sheet, upper, lower, wall, pair, found)
            else:
                _opening(sheet, upper, lower, wall, pair, found)
    _lone(sheet, upper, lower, lone, found)
    if found.outer is None:
        raise stray(sheet, upper, lower, lone[0] if lone else Wall([0]), [])
    if any(feature.kind in ("standing", "formed") for feature in found.features):
        _require_slender(sheet, upper, found)
    return found


def _require_slender(sheet: SheetSkins, upper: Developed, found: Examined) -> None:
    """Refuse a part as thick as it is wide: with a feature on it, it is a block, not a sheet."""
    assert found.outer is not None
    wide = math.sqrt(abs(size(found.outer)))
    if upper.side.thickness > STOUTEST * wide:
        first = next(each for each in found.features if each.kind in ("standing", "formed"))
        raise InputError(
            sheet.part.name,
            "thickness",
            f"{upper.side.thickness:.6g} mm",
            f"is not that of a sheet {wide:.3g} mm wide, with {first.what} at {shown(first.place)}",
            "a machined or cast part cannot be unfolded",
        )


def _rim(
    sheet: SheetSkins,
    upper: Developed,
    lower: Developed,
    wall: Wall,
    pair: tuple[Loop, Loop],
    found: Examined,
) -> None:
    cut = cut_of(sheet, upper, lower, wall, pair, True)
    found.outer = cut.loop
    found.notes.extend([cut.note] if cut.note else [])
    if not cut.square:
        sizes = [abs(size(loop)) for loop in (*pair, cut.loop)]
        found.unknown += upper.side.thickness * (max(sizes) - min(sizes))


def _opening(
    sheet: SheetSkins,
    upper: Developed,
    lower: Developed,
    wall: Wall,
    pair: tuple[Loop, Loop],
    found: Examined,
) -> None:
    part = sheet.part
    flats = [flat_of(part, skin.chains[rows[0]]) for skin, rows in ((upper, wall.upper), (lower, wall.lower))]
    one, other = flats
    if one is None or other is None:
        cut = cut_of(sheet, upper, lower, wall, pair, False)
        if not cut.square:
            found.unknown += upper.side.thickness * abs(abs(size(pair[0])) - abs(size(pair[1])))
        _take(found, cut)
        return
    out = (rise(part, wall.faces, one)[0], rise(part, wall.faces, other)[0])
    if max(out) > max(sheet.close, FOLLOWED):
        _through(sheet, upper, lower, wall, pair, (one, other), out, found)
        return
    where = _map_of(upper, wall.upper[0])
    tap = tap_of(part, wall.faces, one, where)
    if tap is not None:
        found.holes.append(drilled(tap.centre, tap.drill))
        volume = _added(sheet, upper, wall, pair, one)
        found.explained += volume
        place = shown(part.place(wall.faces[0]))
        what = f"tap {tap.name}, modelled between {tap.minor:.4g} and {tap.major:.4g} mm"
        found.notes.append(f"thread at {place}: {what}; the blank has the tap drill of {tap.drill:g} mm")
        outline = drilled(tap.centre, tap.major)
        spot = part.place(wall.faces[0])
        found.features.append(
            FoundFeature("tap", f"tap {tap.name}", "both", (outline,), tap.centre, spot, 0.0, volume)
        )
        return
    cut = cut_of(sheet, upper, lower, wall, pair, False)
    if not cut.square:
        volume = _added(sheet, upper, wall, pair, one)
        found.explained += volume
        if cut.kind in ("countersink", "chamfer"):
            large = max(pair, key=lambda loop: abs(size(loop)))
            side: Side = "up" if large is pair[0] else "down"
            stepped = any(is_level(part, upper, face) for face in wall.faces)
            what = _sunk(cut.loop, large, stepped)
            centre = _middle(large)
            spot = part.place(wall.faces[0])
            found.features.append(
                FoundFeature("sunk", what, side, (large,), centre, spot, 0.0, volume, stepped)
            )
    _take(found, cut)


def _take(found: Examined, cut: CutContour) -> None:
    found.holes.append(cut.loop)
    found.notes.extend([cut.note] if cut.note else [])


def _sunk(narrow: Loop, wide: Loop, stepped: bool) -> str:
    """Return a countersink or counterbore as text, by its diameters where it is round."""
    one, other = narrow.circle, wide.circle
    if one is None or other is None:
        return "opening that widens to one side"
    word = "counterbore" if stepped else "countersink"
    return f"{word} {2.0 * other[1]:.4g} on hole {2.0 * one[1]:.4g} mm"


def _map_of(skin: Developed, number: int) -> FlatMap:
    where = skin.maps[skin.chains[number][0].piece]
    assert isinstance(where, FlatMap)
    return where


def _middle(loop: Loop) -> Pair:
    x0, y0, x1, y1 = loop.bounds
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)


def _added(sheet: SheetSkins, upper: Developed, wall: Wall, pair: tuple[Loop, Loop], flat: Plane) -> float:
    """
    Return what a wall through a flat adds to the volume between skins with straight edges [mm3].

    Source: exact mathematics (divergence theorem, from a place amid the sheet).
    """
    thickness = upper.side.thickness
    origin = tuple(p - n * thickness / 2.0 for p, n in zip(flat.point, flat.normal, strict=True))
    centre = (origin[0], origin[1], origin[2])
    walls = math.fsum(
        cone_to(sheet.part, sheet.part.faces[face], sheet.sweeps, centre) for face in wall.faces
    )
    return walls + thickness * math.fsum(abs(size(loop)) for loop in pair) / 3.0


def _through(
    sheet: SheetSkins,
    upper: Developed,
    lower: Developed,
    wall: Wall,
    pair: tuple[Loop, Loop],
    flats: tuple[Plane, Plane],
    out: tuple[float, float],
    found: Examined,
) -> None:
    """Return a feature with an opening: a nut or standoff on the sheet, or a flared hole or louvre of the sheet."""
    part, thickness = sheet.part, upper.side.thickness
    volume = _added(sheet, upper, wall, pair, flats[0])
    side: Side = "up" if out[0] >= out[1] else "down"
    large = max(pair, key=lambda loop: abs(size(loop)))
    _require_small(sheet, upper, lower, wall, large)
    spot = part.place(max(wall.faces, key=lambda face: sheet.areas[face]))
    wide = 2.0 * math.sqrt(abs(size(large)) / math.pi)
    over = is_covered(part, wall.faces, pair, _map_of(upper, wall.upper[0]))
    if over or any(_runs_into(part, wall.faces, skin.net.skin) for skin in (upper, lower)):
        if max(out) > FORMED_HEIGHT * thickness:
            raise one_sided(sheet, upper, lower, wall)
        gone = thickness * math.fsum(abs(size(loop)) for loop in pair) / 2.0 - volume
        pierced = 2.0 * math.sqrt(max(0.0, gone) / thickness / math.pi)
        what = f"formed opening {wide:.4g} mm across, {max(out):.4g} mm high"
        missing = "the sheet goes on above it" if over else f"a hole of {pierced:.4g} mm takes as much volume"
        found.notes.append(f"{what} at {shown(spot)} is not cut on the blank; {missing}")
        kind: Literal["formed", "standing"] = "formed"
        kept: list[Loop] = []
    else:
        what = f"{_round_or_not(large)} {wide:.4g} mm across, {max(out):.4g} mm high"
        hole = min(pair, key=lambda loop: abs(size(loop)))
        found.notes.append(
            f"{what} stands on the sheet at {shown(spot)}; the blank has the hole of the other side, "
            f"{2.0 * math.sqrt(abs(size(hole)) / math.pi):.4g} mm: check it against the fastener's own"
        )
        kind, kept = "standing", [hole]
    found.holes.extend(kept)
    found.explained += volume
    found.features.append(FoundFeature(kind, what, side, (large,), _middle(large), spot, max(out), volume))


def _round_or_not(loop: Loop) -> str:
    return "round feature" if loop.circle else "feature"


def _runs_into(part: SolidData, faces: list[int], skin: frozenset[int]) -> bool:
    """True when faces run smoothly into a skin: the sheet itself was formed there."""
    for face in faces:
        for number, _ in part.faces[face].coedges:
            place = part.edges[number].middle
            for other in part.edges[number].faces:
                if other in skin:
                    a = normal_of(part.faces[face].surface, place)
                    if dot(a, normal_of(part.faces[other].surface, place)) > 0.99:
                        return True
    return False


def _require_small(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall, outline: Loop) -> None:
    """Refuse a feature that is a large part of the sheet: that is a drawn or machined part."""
    whole = math.fsum(sheet.areas[face] for face in upper.net.skin)
    if abs(size(outline)) > FEATURE_SHARE * whole:
        raise one_sided(sheet, upper, lower, wall)


@dataclass(slots=True)
class _Lone:
    """A wall that leads to one skin, with its outline on the blank; height and volume where it is on one flat."""

    wall: Wall
    upward: bool
    loops: list[Loop]
    flat: Plane | None
    height: float
    volume: float | None


def _lone(sheet: SheetSkins, upper: Developed, lower: Developed, walls: list[Wall], found: Examined) -> None:
    """Classify walls that lead to one skin: a boss is added to the sheet; a boss over a pocket was formed from it."""
    rows = [_measured(sheet, upper, lower, wall) for wall in walls]
    done: set[int] = set()
    for number, row in enumerate(rows):
        if number in done:
            continue
        done.add(number)
        match = next((n for n, other in enumerate(rows) if n not in done and _is_match(row, other)), None)
        if match is not None:
            done.add(match)
            _formed(sheet, upper, lower, row, rows[match], found)
        elif row.flat is None or row.volume is None or row.volume <= 0.0 or row.height <= 0.0:
            raise one_sided(sheet, upper, lower, row.wall)
        else:
            _standing(sheet, upper, lower, row, found)


def _measured(sheet: SheetSkins, upper: Developed, lower: Developed, wall: Wall) -> _Lone:
    """Measure a wall that leads to one skin."""
    part = sheet.part
    if not wall.upper and not wall.lower:
        raise one_sided(sheet, upper, lower, wall)
    skin, numbers = (upper, wall.upper) if wall.upper else (lower, wall.lower)
    if outermost(skin) in numbers:
        raise stray(sheet, upper, lower, wall, [])
    loops = [skin.loops[number] for number in numbers]
    flats = {flat_of(part, skin.chains[number]) for number in numbers}
    flat = flats.pop() if len(flats) == 1 else None
    if flat is None:
        return _Lone(wall, skin is upper, loops, None, 0.0, None)
    faces = [part.faces[face] for face in wall.faces]
    volume = math.fsum(cone_to(part, face, sheet.sweeps, flat.point) for face in faces)
    high, low = rise(part, wall.faces, flat)
    return _Lone(wall, skin is upper, loops, flat, high if volume > 0.0 else low, volume)


def _is_match(one: _Lone, other: _Lone) -> bool:
    """True when a pocket on one side and a boss on the other lie over each other: formed sheet."""
    if one.upward == other.upward:
        return False
    a, b = (joint_bounds([loop.bounds for loop in row.loops]) for row in (one, other))
    reach = max(a[2] - a[0], a[3] - a[1], b[2] - b[0], b[3] - b[1])
    apart = math.dist(((a[0] + a[2]) / 2, (a[1] + a[3]) / 2), ((b[0] + b[2]) / 2, (b[1] + b[3]) / 2))
    if apart > 0.25 * reach:
        return False
    if one.volume is None or other.volume is None:
        return one.volume is None and other.volume is None
    if one.volume * other.volume >= 0.0:
        return False
    return abs(one.volume + other.volume) <= LIKE_VOLUMES * max(abs(one.volume), abs(other.volume))


def _formed(
    sheet: SheetSkins, upper: Developed, lower: Developed, one: _Lone, other: _Lone, found: Examined
) -> None:
    """Return a dimple, bead, embossing, gusset or half-shear: the sheet continues beneath it."""
    thickness = upper.side.thickness
    boss = max(one, other, key=lambda row: row.volume or 0.0)
    outline = max((*one.loops, *other.loops), key=lambda loop: abs(size(loop)))
    _require_small(sheet, upper, lower, boss.wall, outline)
    if boss.height > FORMED_HEIGHT * thickness:
        raise one_sided(sheet, upper, lower, boss.wall)
    spot = sheet.part.place(max(boss.wall.faces, key=lambda face: sheet.areas[face]))
    x0, y0, x1, y1 = outline.bounds
    across = "across a bend" if boss.flat is None else f"{boss.height:.4g} mm high"
    what = f"formed feature {x1 - x0:.4g} x {y1 - y0:.4g} mm, {across}"
    found.notes.append(f"{what}, at {shown(spot)}: not cut, left on the layer of formed features")
    found.explained += thickness * (_opened(one) + _opened(other)) / 2.0
    volume = (one.volume or 0.0) + (other.volume or 0.0)
    if one.volume is None or other.volume is None:
        found.unknown += thickness * abs(size(outline))
    found.explained += volume
    side: Side = "up" if boss.upward else "down"
    found.features.append(
        FoundFeature("formed", what, side, (outline,), _middle(outline), spot, boss.height, volume)
    )


def _opened(row: _Lone) -> float:
    """Return the area that a feature takes of one skin [mm2]."""
    return math.fsum(abs(size(loop)) for loop in row.loops)


def _standing(sheet: SheetSkins, upper: Developed, lower: Developed, row: _Lone, found: Examined) -> None:
    """Return a stud, standoff, weld nut or rivet head: the sheet beneath is known from the other skin."""
    outline = max(row.loops, key=lambda loop: abs(size(loop)))
    _require_small(sheet, upper, lower, row.wall, outline)
    assert row.volume is not None
    faces = row.wall.faces
    spot = sheet.part.place(max(faces, key=lambda face: sheet.areas[face]))
    wide = 2.0 * math.sqrt(abs(size(outline)) / math.pi)
    round_it = any(isinstance(sheet.part.faces[face].surface, (Cylinder, Other)) for face in faces)
    what = f"{'stud or standoff' if round_it else 'block'} {wide:.4g} mm across, {row.height:.4g} mm high"
    found.notes.append(f"{what} stands on the sheet at {shown(spot)}: not cut, left on a layer of its own")
    found.explained += row.volume + upper.side.thickness * _opened(row) / 2.0
    side: Side = "up" if row.upward else "down"
    found.features.append(
        FoundFeature("standing", what, side, tuple(row.loops), _middle(outline), spot, row.height, row.volume)
    )
