"""From any solid to the model: flats, bends and openings by name, compared with the solid."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from itertools import starmap
from pathlib import Path
from typing import Any

from formparts.audits import AuditRow
from formparts.bending import BendRule
from formparts.bending import bend_rule as as_bend_rule
from formparts.body import ANGLES, Bend, Body, Flat, Frame, HoleFeature, Opening, Process, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.kernel import guard, measured
from formparts.materials import Material
from formparts.outline import Line, Loop, Outline, common_edges, cut, intersect, merged, outline_of, unite
from formparts.shapes.naming import wall_of
from formparts.shapes.openings import cut_in_blank
from formparts.shapes.round_holes import Face, counterbored, countersunk
from formparts.solids import solid as solid_of
from formparts.tolerances import LENGTH, SAME_PLACE, SHORTEST_EDGE, SQUARE_SIDES
from formparts.unfolder import Unfolded, read_solid, unfold
from formparts.unfolder.reading import only_solid
from formparts.unfolder.results import FoundFeature, LaidBend, LaidFlat

MOST_AIR_BENT = 170.0
"""A bend beyond this angle is a hem or was rolled [deg]: it cannot be removed from the tool."""
MOST_HEMMED = ANGLES["hem"].maximum
"""A bend beyond this angle is a curl [deg]."""


@dataclass(frozen=True)
class Recognised:
    """The model of a foreign solid, and the deviation of its own solid from it.

    Parameters
    ----------
    body : Body
        Flats, bends and openings.
    found : Unfolded
        What the unfolder found in the solid.
    audit : tuple of AuditRow
        Volume and surface of both solids, and the greatest distance between their corners.
    """

    body: Body
    found: Unfolded
    audit: tuple[AuditRow, ...]

    @property
    def ok(self) -> bool:
        """True when both solids are one within what the file's digits leave."""
        return all(row.agrees for row in self.audit)

    @property
    def left_out(self) -> tuple[FoundFeature, ...]:
        """What was found on the solid and is not in the model: all but round holes that are sunk."""
        circles = (
            one.outline.outer.circle for flat in self.body.flats for one in flat.openings if one.feature
        )
        sunk = [circle[0] for circle in circles if circle is not None]
        return tuple(
            feature
            for feature in self.found.features
            if not any(math.dist(feature.centre, place) < SQUARE_SIDES for place in sunk)
        )


def body_from(
    solid: Any,
    bend_rule: BendRule | str | float = 0.44,
    material: Material | str = "S235JR",
    *,
    name: str | None = None,
    inside_radius: float | None = None,
) -> Body:
    """
    Return the model of a bent solid of one thickness, whoever made it.

    Parameters
    ----------
    solid : path, StepSolid, TopoDS_Shape or CadQuery object [mm]
        A STEP file, or one closed solid.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, or a K-factor.
    material : Material or str
        What it is made of.
    name : str, optional
        Name of the part; that of the file or solid if none is given.
    inside_radius : float, optional [mm]
        Inside radius of bends that are drawn without one.

    Returns
    -------
    Body
        Its flats and bends have the names of the file's faces where there are any, else numbers.

    Raises
    ------
    InputError
        The solid cannot be unfolded, or has what the model does not hold: cones, and bends that run into each other.
    """
    return recognised(solid, bend_rule, material, name=name, inside_radius=inside_radius).body


def recognised(
    solid: Any,
    bend_rule: BendRule | str | float = 0.44,
    material: Material | str = "S235JR",
    *,
    name: str | None = None,
    inside_radius: float | None = None,
) -> Recognised:
    """
    Return the model of a bent solid, with its own solid held against the one that was given.

    Parameters
    ----------
    solid : path, StepSolid, TopoDS_Shape or CadQuery object [mm]
        A STEP file, or one closed solid.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend: a rule, its name, or a K-factor.
    material : Material or str
        What it is made of.
    name : str, optional
        Name of the part; that of the file or solid if none is given.
    inside_radius : float, optional [mm]
        Inside radius of bends that are drawn without one.

    Returns
    -------
    Recognised

    Raises
    ------
    InputError
        As `body_from`.
    """
    read = read_solid(solid) if isinstance(solid, (str, Path)) else solid
    found = unfold(read, as_bend_rule(bend_rule), name=name, inside_radius=inside_radius)
    body = modelled(found, name or found.name, bend_rule, material)
    return Recognised(body, found, tuple(_held_against(body, found, read)))


def modelled(found: Unfolded, name: str, bend_rule: BendRule | str | float, material: Material | str) -> Body:
    """
    Return the flats and bends that were found in a solid as a tree of the model.

    Parameters
    ----------
    found : Unfolded
        What the unfolder found.
    name : str
        Name of the part.
    bend_rule : BendRule, str or float [-]
        Gives the developed length of each bend; openings across bends ask for the one that it was unfolded by.
    material : Material or str
        What it is made of.

    Returns
    -------
    Body

    Raises
    ------
    InputError
        As `body_from`.
    """
    if not found.laid_flats:
        raise InputError(name, "flats", 0, "a part rolled throughout is not in the model", "give it a flat")
    radii = [bend.inside_radius for bend in found.bends] or [found.thickness]
    sheet = Sheet(found.thickness, max(min(radii), SHORTEST_EDGE), material, bend_rule)
    first = found.laid_flats[0]
    frame = Frame(first.origin, first.x, first.y, first.z)
    bends = tuple(_bend(name, laid, found, number) for number, laid in enumerate(found.laid_bends))
    standing = {first.name, *(bend.child for bend in bends)}
    across = [_filled(hole) for hole in _holes_across(found, bends)]
    flats = tuple(_flat(laid, found, bends, across) for laid in found.laid_flats if laid.name in standing)
    body = Body(name, sheet, flats, bends, frame)
    if not across:
        return body
    names = [f"{name}.across[{number}]" for number in range(1, len(across) + 1)]
    return cut_in_blank(body, flats[0], tuple(map(wall_of, names, across)), name)


def _holes_across(found: Unfolded, bends: Sequence[Bend]) -> Iterator[Loop]:
    """The holes of the blank that take something out of a bend."""
    within = {_near(hole.bounds) for laid in found.laid_flats for hole in (*laid.holes, *laid.inner)}
    strips = [_strip(bend, laid) for bend, laid in zip(bends, found.laid_bends, strict=True)]
    for hole in found.blank.outline.holes:
        if _near(hole.bounds) not in within and any(intersect(_filled(hole), strip) for strip in strips):
            yield hole


def _near(bounds: tuple[float, float, float, float]) -> tuple[float, ...]:
    return tuple(round(value, 5) for value in bounds)


def _strip(bend: Bend, laid: LaidBend) -> Outline:
    """A bend as it lies on the blank, between its two tangent lines."""
    assert laid.child_line is not None
    one, two = bend.parent_line
    far = sorted(laid.child_line, key=lambda place: math.dist(place, one))
    return outline_of([Loop((Line(one, two), Line(two, far[1]), Line(far[1], far[0]), Line(far[0], one)))])


def _flat(laid: LaidFlat, found: Unfolded, bends: Sequence[Bend], across: Sequence[Outline]) -> Flat:
    """One flat in the coordinates of the blank, its openings by number; what goes on across a bend is filled in."""
    names = [f"{laid.name}.opening[{number}]" for number in range(1, len(laid.holes) + 1)]
    openings = map(partial(_opening, found), names, laid.holes)
    outline = outline_of([laid.outer, *laid.inner])
    beside = [
        (bend, place)
        for bend, place in zip(bends, found.laid_bends, strict=True)
        if laid.name in (place.parent, place.child)
    ]
    strips = list(starmap(_strip, beside))
    corners = frozenset(place for bend, _ in beside for place in (*bend.parent_line, *bend.child_line))
    pieces = [piece for hole in across for piece in cut(hole, *strips) if common_edges(piece, outline)]
    if pieces:
        (outline,) = unite(outline, *pieces)
        outline = outline_of([merged(loop, corners) for loop in outline.loops])
    return Flat(laid.name, outline, tuple(openings))


def _opening(found: Unfolded, name: str, hole: Loop) -> Opening:
    """An opening, with what is sunk round it."""
    return Opening(name, _filled(hole), _sunk(found, hole))


def _sunk(found: Unfolded, hole: Loop) -> HoleFeature | None:
    """The cone or bore round a hole: as deep as the volume says that is gone beside the hole."""
    circle = hole.circle
    for feature in found.features if circle is not None else ():
        head = feature.outlines[0].circle if feature.kind == "sunk" else None
        if circle is None or head is None or math.dist(head[0], circle[0]) > SQUARE_SIDES:
            continue
        with suppress(InputError):  # without a builder it stays a plain hole, reported as left out
            return _sink(circle[1], head[1], feature, found.thickness)
    return None


def _sink(small: float, big: float, feature: FoundFeature, thickness: float) -> HoleFeature | None:
    """The sink of a hole by the radii of hole and head, and by the volume that is missing between the skins."""
    gone = thickness * math.pi * (big**2 - small**2) / 2.0 - feature.volume
    face: Face = "upper" if feature.side == "up" else "lower"
    if feature.stepped:
        deep = gone / math.pi / (big**2 - small**2)
        return counterbored(2.0 * small, 2.0 * big, deep, face=face).feature
    deep = gone / math.pi / ((big**2 + big * small + small**2) / 3.0 - small**2)
    angle = 2.0 * math.degrees(math.atan2(big - small, deep))
    return countersunk(2.0 * small, 2.0 * big, round(angle, 6), face=face).feature


def _filled(hole: Loop) -> Outline:
    """The area inside an opening."""
    return outline_of([hole.reversed() if hole.signed_area < 0.0 else hole])


def _bend(name: str, laid: LaidBend, found: Unfolded, number: int) -> Bend:
    """One bend between two flats, the parent to the left of its line."""
    figures = found.bends[number]
    one, other = laid.parent_line, laid.child_line
    if one is None or other is None:
        problem = f"the bend {laid.name} runs into another one, or an opening crosses it"
        raise InputError(
            name, "bend", laid.name, problem, "such bends are unfolded, but are not in the model yet"
        )
    if figures.kind == "cone" or figures.inside_radius < SHORTEST_EDGE:
        problem = "is conical" if figures.kind == "cone" else "has no inside radius"
        raise InputError(
            name, "bend", laid.name, problem, "the model holds round bends with an inside radius"
        )
    if abs(math.dist(*one) - math.dist(*other)) > SQUARE_SIDES:
        raise InputError(
            name, "bend", laid.name, "has ends that are not square", "it is unfolded, but not modelled yet"
        )
    if _is_right(one, other[0]):
        one, other = (one[0], one[1]), (other[0], other[1])
    else:
        one, other = (one[1], one[0]), (other[1], other[0])
    span = math.dist(*one) / math.dist(*other)
    (x0, y0), (x1, y1) = other
    other = ((x0, y0), (x0 + span * (x1 - x0), y0 + span * (y1 - y0)))
    thin = figures.inside_radius < 2.0 * found.thickness
    rolled: Process = "roll" if not thin else "hem" if figures.angle <= MOST_HEMMED else "curl"
    process: Process = "air bend" if figures.angle <= MOST_AIR_BENT else rolled
    ends = (laid.parent, laid.child, one, other)
    return Bend(laid.name, *ends, figures.angle, figures.side, figures.inside_radius, process)


def _is_right(line: tuple[tuple[float, float], tuple[float, float]], place: tuple[float, float]) -> bool:
    """True when a point is to the right of a line."""
    (x0, y0), (x1, y1) = line
    return (x1 - x0) * (place[1] - y0) - (y1 - y0) * (place[0] - x0) < 0.0


def _held_against(body: Body, found: Unfolded, solid: Any) -> Iterator[AuditRow]:
    """Return volume and surface of both solids, and the deviation of the corners of one from the other."""
    mine, theirs = solid_of(body).shape, only_solid(solid)
    here, there = measured(mine), measured(theirs, closely=True)
    loose = max(found.loose_by, LENGTH) * there.surface
    volume = there.volume if found.volume_by == "unfolder" else found.volume
    yield AuditRow("volume_mm3", {"model": properties(body).volume, "solid": volume}, loose)
    reach = max(found.loose_by, LENGTH) * there.surface**0.5 * 100.0
    yield AuditRow("surface_mm2", {"model": here.surface, "solid": there.surface}, reach)
    off = max(_farthest(theirs, mine), _farthest(mine, theirs))
    yield AuditRow("distance_mm", {"greatest": off, "none": 0.0}, SAME_PLACE + 10.0 * found.loose_by)


def _farthest(one: Any, other: Any) -> float:
    """Return the greatest distance of corners of one solid from the skin of another [mm]."""
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.TopAbs import TopAbs_SHELL, TopAbs_VERTEX

    from formparts.kernel import found_in

    with guard("comparing two solids"):
        (shell,) = found_in(other, TopAbs_SHELL)
        return max(
            float(BRepExtrema_DistShapeShape(corner, shell).Value())
            for corner in found_in(one, TopAbs_VERTEX)
        )
