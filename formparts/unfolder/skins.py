"""Measure the thickness of a sheet and find its two skins: each a set of faces that continue one another smoothly."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from formparts.errors import InputError
from formparts.tolerances import SAME_DIRECTION, SAME_PLACE, SMOOTH, VOLUME_FIT
from formparts.unfolder.creases import Crease, creases_of, off_axis
from formparts.unfolder.families import Families
from formparts.unfolder.limits import ROUGH_FIT
from formparts.unfolder.solid_data import Cylinder, Other, Plane, SolidData, normal_of
from formparts.unfolder.space import Vector, cross, dot, length, shown

LEAST_COVERED = 0.25
"""Skins with a smaller share of the surface than this are rejected: the part is thicker than it is wide."""
MOST_DEPTHS = 8
"""Number of thicknesses that are tested, those supported by the largest faces first."""
MOST_ROUGH = 2
"""Number of thicknesses tried of those that give the volume only roughly."""
MOST_CURVED = 0.5
"""A part with more than this of its surface doubly curved or free-form is not bent from a sheet [-]."""
LARGEST = 40
"""Number of faces, the largest first, from which thicknesses are taken."""
STOUTER = 5.0
"""A second thickness is tried when it is at most this many times the first: a narrow ring is not a tube."""


@dataclass(frozen=True, slots=True)
class SheetSkins:
    """The facts on a solid before its skins are found."""

    part: SolidData
    families: Families
    areas: list[float]
    sweeps: list[Vector]
    volume: float
    loose_by: float
    close: float = SAME_PLACE
    """Lengths closer than this are one [mm]."""
    assumed_radius: float | None = None
    """Inside radius of bends drawn as edges; None for one thickness [mm]."""
    barred: frozenset[int] = frozenset()
    """Edges that are not bends: those of beads, dimples and louvres with corners."""


@dataclass(frozen=True, slots=True)
class Skins:
    """The two skins of a sheet, as sets of faces; `seed` is the largest face, and lies in the first."""

    thickness: float
    seed: int
    first: frozenset[int]
    second: frozenset[int]
    creases: dict[int, Crease]


def candidates(sheet: SheetSkins, towards: Vector | None, told: bool) -> list[Skins]:
    """Return candidate pairs of skins, the most likely first.

    Those whose thickness x middle area gives the volume come before all others, thin ones first. Of the rest,
    which come near it, those that cover more are the likelier.

    `towards` settles which of equal faces is a skin; `told` when the caller names the flat and its position,
    so that even a part thicker than it is wide is unambiguous.
    """
    least = 0.0 if told else LEAST_COVERED * math.fsum(sheet.areas)
    depths = _depths(sheet)
    grown = [skins for depth in depths if (skins := skins_of(sheet, depth, towards, told)) is not None]
    exact = [s for s in grown if _fits(sheet, s) and _covered(sheet, s) > least]
    if exact:
        exact.sort(key=lambda skins: skins.thickness)
        return [s for s in exact if told or s.thickness <= STOUTER * exact[0].thickness]
    rough = [(area, depth) for depth in depths if (area := _roughly_covered(sheet, depth)) > least]
    ordered = [depth for _, depth in sorted(rough, reverse=True)]
    near = [skins for depth in ordered for skins in grown if skins.thickness == depth]
    if near:
        return near[:MOST_ROUGH]
    raise _no_sheet(sheet.part, sheet.areas)


def _covered(sheet: SheetSkins, skins: Skins) -> float:
    """Return the area of both skins [mm2]."""
    return math.fsum(sheet.areas[face] for skin in (skins.first, skins.second) for face in skin)


def _misfit(sheet: SheetSkins, skins: Skins) -> float:
    """Return the relative deviation of thickness x middle area from the volume [-]."""
    return abs(skins.thickness * _covered(sheet, skins) / 2.0 / sheet.volume - 1.0)


def _fits(sheet: SheetSkins, skins: Skins) -> bool:
    """True when the skins give the volume."""
    return _misfit(sheet, skins) < 100.0 * VOLUME_FIT


def _roughly_covered(sheet: SheetSkins, thickness: float) -> float:
    """Return the area of all faces that have a partner, if it comes near the volume, else 0 [mm2]."""
    covered = math.fsum(sheet.areas[face] for face in paired(sheet, thickness))
    return covered if abs(thickness * covered / 2.0 / sheet.volume - 1.0) < ROUGH_FIT else 0.0


def _depths(sheet: SheetSkins) -> list[float]:
    """Return distances through the material, below the largest faces first.

    Each is that to the nearest face of the same family that looks the other way, is half as large at least and lies no
    farther off than so: floors of counterbores and grooves lie nearer, and so do lugs that are offset by less than the
    thickness, and parallel faces elsewhere in a corrugated part.
    """
    found: dict[int, float] = {}
    for face in sorted(sheet.families.classified, key=lambda face: -sheet.areas[face])[:LARGEST]:
        half = sheet.areas[face] / 2.0
        for depth, other in sorted(sheet.families.below(face)):
            if sheet.areas[other] >= half and _within(sheet.part, face, other, depth):
                found.setdefault(round(depth / (10.0 * SAME_PLACE)), depth)
                break
    return list(found.values())[:MOST_DEPTHS]


def _within(part: SolidData, one: int, other: int, reach: float) -> bool:
    """True when the boxes of two faces are no farther apart than a reach along any axis."""
    first, second = part.box(one), part.box(other)
    return all(
        low - reach <= top + SAME_PLACE and bottom - reach <= high + SAME_PLACE
        for (low, high), (bottom, top) in zip(first, second, strict=True)
    )


def paired(sheet: SheetSkins, thickness: float) -> set[int]:
    """Return all faces with a partner at one thickness, and the outsides of sharp bends, which have an edge instead."""
    found = {face for face in sheet.families.classified if sheet.families.partners(face, thickness)}
    return (found | sharp_outsides(sheet, thickness)) - _drawn(sheet, found, thickness)


def _drawn(sheet: SheetSkins, found: set[int], thickness: float) -> set[int]:
    """Round faces that run into a sphere or torus as large as the sheet is thick: no bends, but beads and dimples."""
    part = sheet.part
    drawn = {
        number
        for number, face in enumerate(part.faces)
        if isinstance(face.surface, Other) and face.surface.radius >= 0.9 * thickness
    }
    if not drawn:
        return set()
    beside = {
        other
        for number in drawn
        for edge, _ in part.faces[number].coedges
        for other in part.edges[edge].faces
        if other in found
        and isinstance(part.faces[other].surface, Cylinder)
        and is_smooth(part, edge, number, other)
    }
    return beside | {below for face in beside for below in sheet.families.partners(face, thickness)}


def sharp_outsides(sheet: SheetSkins, thickness: float) -> set[int]:
    """Return cylinders with the thickness as radius and an edge as axis: outsides of bends of zero inside radius."""
    return {
        number
        for number, face in enumerate(sheet.part.faces)
        if isinstance(face.surface, Cylinder)
        and face.surface.outward > 0
        and abs(face.surface.radius - thickness) <= sheet.close
        and _has_edge_for_axis(sheet, number, face.surface, thickness)
    }


def _has_edge_for_axis(sheet: SheetSkins, face: int, cylinder: Cylinder, thickness: float) -> bool:
    """True when the planes below the neighbours of an outside meet in an edge on its axis."""
    part = sheet.part
    near = [other for other in part.neighbours(face) if isinstance(part.faces[other].surface, Plane)]
    below = {other for plane in near for other in sheet.families.partners(plane, thickness)}
    return any(
        below.issuperset(part.edges[edge].faces) and _is_axis(sheet, edge, cylinder)
        for other in below
        for edge, _ in part.faces[other].coedges
    )


def _is_axis(sheet: SheetSkins, edge: int, cylinder: Cylinder) -> bool:
    """True when both ends of an edge are on the axis of a cylinder."""
    part = sheet.part
    ends = (part.points[part.edges[edge].start], part.points[part.edges[edge].end])
    return all(off_axis(cylinder, place) <= sheet.close for place in ends)


def skins_of(
    sheet: SheetSkins, thickness: float, towards: Vector | None = None, told: bool = False
) -> Skins | None:
    """
    Both skins for one thickness, grown from the largest face and from what is opposite it, if there are two.

    On a part thicker than it is wide that face may be of the rim: then from the next ones, until they give the volume.
    When the caller has stated which way a flat looks, one that looks that way comes before larger ones.
    """
    likeliest = None
    for skins in islice(_skins_by_seed(sheet, thickness, towards, told), MOST_DEPTHS):
        if skins is not None and _fits(sheet, skins):
            return skins
        likeliest = likeliest or skins
    return likeliest


def _skins_by_seed(
    sheet: SheetSkins, thickness: float, towards: Vector | None, told: bool
) -> Iterator[Skins | None]:
    """Yield the skin grown from the largest face, then from the largest of those not in it, and so on."""
    allowed = paired(sheet, thickness)
    axes = [sheet.part.faces[face].surface for face in sorted(sharp_outsides(sheet, thickness))]
    outsides = [axis for axis in axes if isinstance(axis, Cylinder)]
    sharp = creases_of(sheet.part, sheet.families, thickness, outsides, sheet.assumed_radius)
    creases = {edge: crease for edge, crease in sharp.items() if edge not in sheet.barred}
    seen: set[int] = set()
    for seed in sorted(allowed, key=lambda face: _rank(sheet, face, thickness, towards, told), reverse=True):
        if seed in seen:
            continue
        first = _grown(sheet.part, allowed, seed, creases)
        choices: list[frozenset[int]] = []
        for face in sheet.families.partners(seed, thickness):
            if face not in first and not any(face in choice for choice in choices):
                choices.append(_grown(sheet.part, allowed, face, creases))
        seen.update(first, *choices)
        found = (Skins(thickness, seed, first, skin, creases) for skin in choices)
        yield min(found, key=lambda skins: _misfit(sheet, skins), default=None)


def _rank(
    sheet: SheetSkins, face: int, thickness: float, towards: Vector | None, told: bool
) -> tuple[bool, float, float, float, int]:
    """Return how suitable a face is as a start: it has a partner, is large, and faces the requested way."""
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


def _grown(part: SolidData, allowed: set[int], seed: int, creases: dict[int, Crease]) -> frozenset[int]:
    """Return all allowed faces that can be reached from one across smooth edges and creases."""
    found, todo = {seed}, [seed]
    while todo:
        face = todo.pop()
        for number, _ in part.faces[face].coedges:
            for other in part.edges[number].faces:
                if (
                    other in allowed
                    and other not in found
                    and (number in creases or is_smooth(part, number, face, other))
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
    return dot(a, b) > 0.0 and length(cross(a, b)) < SMOOTH


def neither_round_nor_conical(kind: str) -> tuple[str, str]:
    """Return what is wrong with a surface of another kind, and the permitted kinds."""
    why = "is curved, and neither round nor conical" if kind == "free-form" else "is doubly curved"
    no_bending = "" if kind == "free-form" else ", which no bending makes"
    return f"{why} ({kind}){no_bending}", "a part to be unfolded is made of planes, cylinders and cones"


def require_developable(part: SolidData, areas: list[float]) -> None:
    """Refuse a part most of whose surface is doubly curved or free-form, before anything is worked out."""
    curved = math.fsum(
        size for size, face in zip(areas, part.faces, strict=True) if isinstance(face.surface, Other)
    )
    if curved > MOST_CURVED * math.fsum(areas):
        raise _no_sheet(part, areas)


def _no_sheet(part: SolidData, areas: list[float]) -> InputError:
    """Return the reason why no thickness fits."""
    curved = [number for number, face in enumerate(part.faces) if isinstance(face.surface, Other)]
    if curved:
        largest = max(curved, key=lambda face: areas[face])
        surface = part.faces[largest].surface
        kind = surface.kind if isinstance(surface, Other) else ""
        return InputError(part.name, "face", shown(part.place(largest)), *neither_round_nor_conical(kind))
    found = "no two parallel faces with the material between them make up enough of it"
    return InputError(
        part.name, "thickness", "not constant", found, "a part to be unfolded has one thickness everywhere"
    )
