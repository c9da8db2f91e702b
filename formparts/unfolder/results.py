"""The results of the unfolder: frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from formparts.layout import Blank
from formparts.outline.regions import Loop
from formparts.short_repr import short_repr
from formparts.unfolder.space import Pair, Vector


@short_repr
@dataclass(frozen=True)
class FoundFlat:
    """
    A flat found on the solid.

    Parameters
    ----------
    name : str
        From the names of its faces, or `flat[n]`.
    area : float [mm2]
        Area of its upper face.
    place : (x, y, z) [mm]
        A place on the rim of its upper face, in space.
    normal : (x, y, z) [-]
        Direction of its upper face.
    """

    name: str
    area: float
    place: Vector
    normal: Vector


@short_repr
@dataclass(frozen=True)
class FoundBend:
    """
    A bend found on the solid.

    Parameters
    ----------
    name : str
        From the names of its faces, or `bend[n]`.
    angle : float [deg]
        Bend angle, 0 for flat.
    inside_radius : float [mm]
        Radius of the hollow face; the mean one of a conical bend.
    side : "up" or "down"
        Towards the viewer of the blank, or away.
    length : float [mm]
        Length of the bend line.
    allowance : float [mm]
        Developed length.
    place : (x, y, z) [mm]
        A place on the rim of the bend, in space.
    kind : "cylinder" or "cone"
        Kind of its faces.
    """

    name: str
    angle: float
    inside_radius: float
    side: Literal["up", "down"]
    length: float
    allowance: float
    place: Vector
    kind: Literal["cylinder", "cone"] = "cylinder"


@short_repr
@dataclass(frozen=True)
class LaidFlat:
    """
    A flat on the blank, and its position in space.

    Parameters
    ----------
    name : str
        As in FoundFlat.
    outer : Loop [mm]
        Its rim on the blank.
    inner : tuple of Loop [mm]
        Rims of openings on which bends hang.
    holes : tuple of Loop [mm]
        What is cut in it.
    origin : (x, y, z) [mm]
        Position of the blank's origin in space when this flat keeps its place, on the mid-surface.
    x, y, z : (x, y, z) [-]
        Directions of the blank's axes in space; z is out of the upper face.
    """

    name: str
    outer: Loop
    inner: tuple[Loop, ...]
    holes: tuple[Loop, ...]
    origin: Vector
    x: Vector
    y: Vector
    z: Vector


@short_repr
@dataclass(frozen=True)
class LaidBend:
    """
    A bend between two flats on the blank.

    Parameters
    ----------
    name : str
        As in FoundBend.
    parent, child : str
        The flats that it joins; empty where it runs into another bend.
    parent_line, child_line : pair of points or None [mm]
        The tangent line on either flat, over all openings that cross it; None where the bend runs into another one.
    """

    name: str
    parent: str
    child: str
    parent_line: tuple[Pair, Pair] | None
    child_line: tuple[Pair, Pair] | None


@short_repr
@dataclass(frozen=True)
class FoundFeature:
    """
    A feature on the sheet, formed from it, sunk into it or tapped.

    Parameters
    ----------
    kind : "standing", "formed", "sunk" or "tap"
        A stud, standoff or nut; a bead, dimple, gusset, flared hole or louvre; a countersink or counterbore; a thread.
    what : str
        In words, with its size [mm].
    side : "up", "down" or "both"
        The side from which it projects, seen from the up side of the blank.
    outlines : tuple of Loop [mm]
        Where it meets the sheet, on the blank.
    centre : (x, y) [mm]
        Its middle on the blank.
    place : (x, y, z) [mm]
        A place on it, in space.
    height : float [mm]
        Height above the sheet.
    volume : float [mm3]
        What it adds to the volume of the sheet, whose openings have the mean area of both faces; negative: takes away.
    stepped : bool
        True when what is sunk has a level floor: a counterbore.
    """

    kind: Literal["standing", "formed", "sunk", "tap"]
    what: str
    side: Literal["up", "down", "both"]
    outlines: tuple[Loop, ...]
    centre: Pair
    place: Vector
    height: float
    volume: float
    stepped: bool = False


@short_repr
@dataclass(frozen=True)
class Unfolded:
    """
    A solid of one thickness, laid flat.

    Parameters
    ----------
    name : str
        Name of the part.
    thickness : float [mm]
        As measured between the two skins.
    flats : tuple of FoundFlat
        The flat that stays put first.
    bends : tuple of FoundBend
        In the order in which they are reached from it.
    blank : Blank
        The flat part, seen from its upper side [mm].
    volume : float [mm3]
        Volume of the solid.
    notes : tuple of str
        What a reader of the blank must know: countersinks, slanted edges, curves that are not exact.
    volume_by : "unfolder", "rims" or "kernel"
        How the volume was worked out: from edges and recognised faces; from edges alone, where a face is a spline drawn
        out straight; by the kernel, where one is doubly curved.
    loose_by : float [mm]
        How far ends of edges lie off their faces: what the digits of a file leave, or its maker's own tolerance.
    features : tuple of FoundFeature
        Features on the sheet or formed from it.
    unexplained : float [mm3]
        Volume of the solid less that of the sheet between its skins and that of the features.
    healed : tuple of (str, float) [mm]
        What was healed or assumed, each with its size.
    laid_flats : tuple of LaidFlat
        Every flat on the blank, with its frame in space; the fixed one first.
    laid_bends : tuple of LaidBend
        Which flats each bend joins, in the order of `bends`.
    """

    name: str
    thickness: float
    flats: tuple[FoundFlat, ...]
    bends: tuple[FoundBend, ...]
    blank: Blank
    volume: float
    notes: tuple[str, ...]
    volume_by: Literal["unfolder", "rims", "kernel"]
    loose_by: float
    features: tuple[FoundFeature, ...] = ()
    unexplained: float = 0.0
    healed: tuple[tuple[str, float], ...] = ()
    laid_flats: tuple[LaidFlat, ...] = ()
    laid_bends: tuple[LaidBend, ...] = ()
