"""The thickness of a sheet is measured, and its two skins are found: each a set of faces that run on smoothly."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from formparts.errors import InputError
from formparts.unfolder.families import Families
from formparts.unfolder.limits import ROUGH_FIT, SAME_DIRECTION, SAME_PLACE, TANGENT, VOLUME_FIT
from formparts.unfolder.solid_data import Cylinder, Other, Plane, SolidData, normal_of
from formparts.unfolder.space import Vector, along, cross, dot, length, minus, shown

LEAST_COVERED = 0.25
"""Skins that are less of the whole surface than this are no skins: the part is thicker than it is wide."""
GUESSES = 8
"""So many thicknesses are weighed, those first that the largest faces speak for."""
LARGEST = 40
"""So many faces are asked for a thickness, the largest first."""
STOUTER = 5.0
"""A second thickness is tried when it is at most this many times the first: a narrow ring is no tube."""


@dataclass(frozen=True, slots=True)
class SheetSkins:
    """What is known of a solid before its skins are found."""

    part: SolidData
    families: Families
    areas: list[float]
    volume: float
    loose_by: float


@dataclass(frozen=True, slots=True)
class Skins:
    """The two skins of a sheet, as sets of faces; `seed` is the largest face, and lies in the first."""

    thickness: float
    seed: int
    first: frozenset[int]
    second: frozenset[int]


def attempts(sheet: SheetSkins, towards: Vector | None, told: bool) -> list[Skins]:
    """
    Pairs of skins worth a try, the likeliest first: thickness x middle area must give the volume.

    `towards` settles which of equal faces is a skin; `told` when the caller says which flat lies where, so
    that even a part thicker than it is wide is no riddle.
    """
    least = 0.0 if told else LEAST_COVERED * math.fsum(sheet.areas)
    guesses = _guesses(sheet)
    grown = [skins for guess in guesses if (skins := skins_of(sheet, guess, towards, told)) is not None]
    exact = [s for s in grown if _fits(sheet, s) and _covered(sheet, s) > least]
    if exact:
        exact.sort(key=lambda skins: skins.thickness)
        return [s for s in exact if told or s.thickness <= STOUTER * exact[0].thickness]
    rough = [(area, guess) for guess in guesses if (area := _roughly_covered(sheet, guess)) > least]
    for _, guess in sorted(rough, reverse=True):
        skins = skins_of(sheet, guess, towards, told)
        if skins is not None:
            return [skins]
    raise _no_sheet(sheet)


def _covered(sheet: SheetSkins, skins: Skins) -> float:
    """Area of both skins [mm2]."""
    return math.fsum(sheet.areas[face] for skin in (skins.first, skins.second) for face in skin)


def _misfit(sheet: SheetSkins, skins: Skins) -> float:
    """By how much thickness x middle area misses the volume, as a part of it [-]."""
    return abs(skins.thickness * _covered(sheet, skins) / 2.0 / sheet.volume - 1.0)


def _fits(sheet: SheetSkins, skins: Skins) -> bool:
    """True when the skins give the volume."""
    return _misfit(sheet, skins) < 100.0 * VOLUME_FIT


def _roughly_covered(sheet: SheetSkins, thickness: float) -> float:
    """Area of all faces that have a partner, if it comes near the volume, else 0 [mm2]."""
    covered = math.fsum(sheet.areas[face] for face in paired(sheet, thickness))
    return covered if abs(thickness * covered / 2.0 / sheet.volume - 1.0) < ROUGH_FIT else 0.0


def _guesses(sheet: SheetSkins) -> list[float]:
    """
    Distances through the material, below the largest faces first.

    Each is that to the nearest face of the same family that looks the other way and is half as large at least: floors
    of counterbores and grooves lie nearer, and so do lugs that are offset by less than the thickness.
    """
    found: dict[int, float] = {}
    for face in sorted(sheet.families.standing, key=lambda face: -sheet.areas[face])[:LARGEST]:
        below = sheet.families.below(face)
        large = [depth for depth, other in below if sheet.areas[other] >= sheet.areas[face] / 2.0]
        if large:
            found.setdefault(round(min(large) / (10.0 * SAME_PLACE)), min(large))
    return list(found.values())[:GUESSES]


def paired(sheet: SheetSkins, thickness: float) -> set[int]:
    """All faces that have a partner at one thickness, and the outsides of sharp bends, which have an edge instead."""
    found = {face for face in sheet.families.standing if sheet.families.partners(face, thickness)}
    return found | sharp_outsides(sheet, thickness)


def sharp_outsides(sheet: SheetSkins, thickness: float) -> set[int]:
    """Cylinders of the thickness as radius with an edge for axis: the outsides of bends with no inside radius."""
    return {
        number
        for number, face in enumerate(sheet.part.faces)
        if isinstance(face.surface, Cylinder)
        and face.surface.outward > 0
        and abs(face.surface.radius - thickness) <= SAME_PLACE
        and _has_edge_for_axis(sheet, number, face.surface, thickness)
    }


def _has_edge_for_axis(sheet: SheetSkins, face: int, cylinder: Cylinder, thickness: float) -> bool:
    """True when the planes below the neighbours of an outside meet in an edge on its axis."""
    part = sheet.part
    near = [other for other in part.neighbours(face) if isinstance(part.faces[other].surface, Plane)]
    below = {other for plane in near for other in sheet.families.partners(plane, thickness)}
    return any(
        below.issuperset(part.edges[edge].faces) and _lies_on_axis(part, edge, cylinder)
        for other in below
        for edge, _ in part.faces[other].coedges
    )


def skins_of(
    sheet: SheetSkins, thickness: float, towards: Vector | None = None, told: bool = False
) -> Skins | None:
    """
    Both skins for one thickness, grown from the largest face and from what is opposite it, if there are two.

    On a part thicker than it is wide that face may be of the rim: then from the next ones, until they give the volume.
    When the caller has told which way a flat looks, one that looks that way comes before larger ones.
    """
    likeliest = None
    for skins in islice(_skins_by_seed(sheet, thickness, towards, told), GUESSES):
        if skins is not None and _fits(sheet, skins):
            return skins
        likeliest = likeliest or skins
    return likeliest


def _skins_by_seed(
    sheet: SheetSkins, thickness: float, towards: Vector | None, told: bool
) -> Iterator[Skins | None]:
    """What grows from the largest face, then from the largest of those that were not in it, and so on."""
    allowed = paired(sheet, thickness)
    axes = [sheet.part.faces[face].surface for face in sorted(sharp_outsides(sheet, thickness))]
    sharp = [axis for axis in axes if isinstance(axis, Cylinder)]
    seen: set[int] = set()
    for seed in sorted(allowed, key=lambda face: _rank(sheet, face, thickness, towards, told), reverse=True):
        if seed in seen:
            continue
        first = _grown(sheet.part, allowed, seed, sharp)
        choices: list[frozenset[int]] = []
        for face in sheet.families.partners(seed, thickness):
            if face not in first and not any(face in choice for choice in choices):
                choices.append(_grown(sheet.part, allowed, face, sharp))
        seen.update(first, *choices)
        found = (Skins(thickness, seed, first, skin) for skin in choices)
        yield min(found, key=lambda skins: _misfit(sheet, skins), default=None)


def _rank(
    sheet: SheetSkins, face: int, thickness: float, towards: Vector | None, told: bool
) -> tuple[bool, float, float, float, int]:
    """How good a face is to grow a skin from: it has a partner, is large, and looks the way that was asked for."""
    surface = sheet.part.faces[face].surface
    looks = round(abs(dot(surface.normal, towards)), 6) if towards and isinstance(surface, Plane) else 0.0
    # A sharp bend's outside has nothing opposite it to grow the other skin from.
    return (
        bool(sheet.families.partners(face, thickness)),
        looks if told else 0.0,
        round(sheet.areas[face], 6),
        looks,
        -face,
    )


def _grown(part: SolidData, allowed: set[int], seed: int, sharp: list[Cylinder]) -> frozenset[int]:
    """All allowed faces that can be reached from one across smooth edges, or across the edge of a sharp bend."""
    found, todo = {seed}, [seed]
    while todo:
        face = todo.pop()
        for number, _ in part.faces[face].coedges:
            for other in part.edges[number].faces:
                if (
                    other in allowed
                    and other not in found
                    and (is_smooth(part, number, face, other) or sharp_bend(part, number, face, other, sharp))
                ):
                    found.add(other)
                    todo.append(other)
    return frozenset(found)


def is_smooth(part: SolidData, edge: int, one: int, other: int) -> bool:
    """True when two faces run into each other without a corner at the middle of their common edge."""
    first, second = part.faces[one].surface, part.faces[other].surface
    if isinstance(first, Plane) and isinstance(second, Plane):
        # Two planes are one flat or meet in a corner; there is nothing in between.
        return dot(first.normal, second.normal) > 0.0 and (
            length(cross(first.normal, second.normal)) < 2.0 * SAME_DIRECTION
        )
    place = part.edges[edge].middle
    a, b = normal_of(first, place), normal_of(second, place)
    return dot(a, b) > 0.0 and length(cross(a, b)) < TANGENT


def sharp_bend(part: SolidData, edge: int, one: int, other: int, sharp: list[Cylinder]) -> Cylinder | None:
    """The outside of the bend whose inside is this one edge between two planes, if there is one."""
    first, second = part.faces[one].surface, part.faces[other].surface
    if (
        not sharp
        or part.edges[edge].kind != "line"
        or not isinstance(first, Plane)
        or not isinstance(second, Plane)
    ):
        return None
    return next((cylinder for cylinder in sharp if _lies_on_axis(part, edge, cylinder)), None)


def _lies_on_axis(part: SolidData, edge: int, cylinder: Cylinder) -> bool:
    """True when both ends of an edge are on the axis of a cylinder."""
    ends = (part.points[part.edges[edge].start], part.points[part.edges[edge].end])
    return all(_off_axis(cylinder, place) <= SAME_PLACE for place in ends)


def _off_axis(cylinder: Cylinder, place: tuple[float, float, float]) -> float:
    """Distance of a place from the axis of a cylinder."""
    away = minus(place, cylinder.point)
    return length(along(away, -dot(away, cylinder.axis), cylinder.axis))


def neither_round_nor_conical(kind: str) -> tuple[str, str]:
    """What is wrong with a surface of another kind, and what there may be instead."""
    why = "is curved, and neither round nor conical" if kind == "free-form" else "is doubly curved"
    no_bending = "" if kind == "free-form" else ", which no bending makes"
    return f"{why} ({kind}){no_bending}", "a part to be unfolded is made of planes, cylinders and cones"


def _no_sheet(sheet: SheetSkins) -> InputError:
    """Say why no thickness fits."""
    part = sheet.part
    curved = [number for number, face in enumerate(part.faces) if isinstance(face.surface, Other)]
    if curved:
        largest = max(curved, key=lambda face: sheet.areas[face])
        surface = part.faces[largest].surface
        kind = surface.kind if isinstance(surface, Other) else ""
        return InputError(part.name, "face", shown(part.place(largest)), *neither_round_nor_conical(kind))
    found = "no two parallel faces with the material between them make up enough of it"
    return InputError(
        part.name, "thickness", "not constant", found, "a part to be unfolded has one thickness everywhere"
    )
