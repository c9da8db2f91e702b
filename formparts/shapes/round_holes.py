"""Round holes by use: screws and their heads, threads, pressed-in nuts and studs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeAlias

from formparts import toml
from formparts.body import HoleFeature
from formparts.errors import InputError
from formparts.outline import Outline, disc
from formparts.quantities import NOT_NEGATIVE, POSITIVE, AngleLike, LengthLike, Limits, length, shown_value
from formparts.quantities import angle as checked_angle
from formparts.short_repr import short_repr

Face: TypeAlias = Literal["upper", "lower"]
Fit: TypeAlias = Literal["fine", "medium", "coarse"]
Head: TypeAlias = Literal["", "countersunk", "socket countersunk", "socket cap"]
_DATA = Path(__file__).parent.parent / "data"
_INCH = 25.4
_FITS = ("fine", "medium", "coarse")
_HEADS = ("", "countersunk", "socket countersunk", "socket cap")
_SINKS = Limits(60.0, 150.0)
"""Range of countersink angles; 60, 75, 82, 90, 100 and 120 deg are common in the trade."""


@short_repr
@dataclass(frozen=True)
class RoundHole:
    """A round hole about the origin, with its hole feature; `cut_opening` cuts it.

    Parameters
    ----------
    diameter : float [mm]
        Of the hole that is cut.
    feature : HoleFeature or None
        What is sunk round it, its thread, or what is pressed into it.
    """

    diameter: float
    feature: HoleFeature | None = None

    @property
    def outline(self) -> Outline:
        """The contour cut, about the origin."""
        return disc(self.diameter)


def tapped(thread: str, *, face: Face = "upper") -> RoundHole:
    """
    A tapped hole: its drill is cut; its thread is in the blank's files and the JSON, and is not modelled.

    Parameters
    ----------
    thread : str
        `M5`, a fine `M10x1`, or a unified `1/4-20 UNC` (`1/4-20` will do).
    face : "upper" or "lower"
        The face from which it is tapped.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        The thread is not in the table: the error lists it; or there is no such face.

    Source
    ------
    ISO 261 (diameters, pitches), ISO 2306 (drills before tapping); ASME B1.1; Machinery's Handbook, Tap Drill Sizes.

    Examples
    --------
    >>> tapped("M5").diameter
    4.2
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = cut_opening(base, tapped("M5"), "base", [(-18, 0), (18, 0)], name="tap")
    """
    name, (diameter, pitch, drill) = _thread(thread, "tapped")
    return RoundHole(drill, HoleFeature("tapped", name, checked_face(face, "tapped"), diameter, pitch))


def _thread(thread: object, where: str) -> tuple[str, tuple[float, float, float]]:
    """Return name, diameter, pitch and drill of a thread of the table."""
    known = _threads()
    asked = thread.strip().upper().replace(" X ", "X") if isinstance(thread, str) else ""
    name = next((one for one in known if asked and asked in (one.upper(), one.upper().split(" ")[0])), None)
    if name is None:
        listed = ", ".join(known)
        raise InputError(where, "thread", shown_value(thread), "is not in the table", f"one of {listed}")
    return name, known[name]


@cache
def _threads() -> dict[str, tuple[float, float, float]]:
    """Return diameter, pitch and drill of every thread of the table, by name [mm]."""
    document: dict[str, Any] = toml.loads((_DATA / "threads.toml").read_text(encoding="utf-8"))
    found = {}
    for row in document["metric"]:
        found[row["name"]] = (float(row["diameter"]), float(row["pitch"]), float(row["drill"]))
    for row in document["unified"]:
        figures = (row["diameter"], 1.0 / row["threads_per_inch"], row["drill"])
        found[row["name"]] = (_INCH * figures[0], _INCH * figures[1], _INCH * figures[2])
    return found


def checked_face(face: object, where: str) -> Face:
    if face == "upper":
        return "upper"
    if face == "lower":
        return "lower"
    raise InputError(where, "face", shown_value(face), "is not a face", 'give "upper" or "lower"')


def countersunk(
    hole: LengthLike, head: LengthLike, angle: AngleLike = 90.0, *, face: Face = "upper"
) -> RoundHole:
    """
    A countersunk hole by its drawing's figures: the cone is in the solid, and is not cut with the blank.

    Parameters
    ----------
    hole : length [mm]
        Diameter of the hole.
    head : length [mm]
        Diameter of the countersink at the face.
    angle : angle [deg]
        Between opposite sides of the cone, 60 to 150.
    face : "upper" or "lower"
        The face from which it is sunk.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        A figure is out of its limits, or the head is no wider than the hole.

    Source
    ------
    Exact mathematics: the cone is (head - hole) / 2 / tan(angle / 2) deep.

    Examples
    --------
    >>> round(countersunk(5.5, 10.4).feature.depth, 6)
    2.45
    >>> base = plate(Sheet(3, 3), rectangle(60, 30), "base")
    >>> body = cut_opening(base, countersunk(5.5, 10.4), "base", [(-18, 0), (18, 0)], name="screw")
    """
    across, wide = _hole_and_head(hole, head, "countersunk")
    opened = checked_angle(angle, "angle", "countersunk", _SINKS)
    deep = (wide - across) / 2.0 / math.tan(math.radians(opened) / 2.0)
    words = f"countersunk to {wide:.6g} mm at {opened:.6g} deg"
    side = checked_face(face, "countersunk")
    return RoundHole(across, HoleFeature("countersunk", words, side, wide, depth=deep, floor=across))


def counterbored(hole: LengthLike, head: LengthLike, depth: LengthLike, *, face: Face = "upper") -> RoundHole:
    """
    A counterbored hole by its drawing's figures: the bore is in the solid, and is not cut with the blank.

    Parameters
    ----------
    hole : length [mm]
        Diameter of the hole.
    head : length [mm]
        Diameter of the counterbore.
    depth : length [mm]
        Of the counterbore, from the face; less than the thickness of the sheet.
    face : "upper" or "lower"
        The face from which it is bored.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        A figure is out of its limits, or the counterbore is no wider than the hole.

    Examples
    --------
    >>> base = plate(Sheet(6, 6), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = cut_opening(base, counterbored(5.5, 10, 4), name="screw")
    """
    across, wide = _hole_and_head(hole, head, "counterbored")
    deep = length(depth, "depth", "counterbored", POSITIVE)
    words = f"counterbored to {wide:.6g} mm, {deep:.6g} mm deep"
    side = checked_face(face, "counterbored")
    return RoundHole(across, HoleFeature("counterbored", words, side, wide, depth=deep, floor=wide))


def clearance_hole(screw: str, *, fit: Fit = "medium", head: Head = "", face: Face = "upper") -> RoundHole:
    """
    A hole for a metric screw by the standards' tables, plain or sunk for its head.

    Parameters
    ----------
    screw : str
        `M5`.
    fit : "fine", "medium" or "coarse"
        How much wider than the screw.
    head : str
        Empty: a plain hole; `countersunk`: 90 deg, for cross-recessed and slotted heads; `socket countersunk`: 90 deg,
        for hexagon socket heads; `socket cap`: counterbored, as deep as the head of a cap screw is high.
    face : "upper" or "lower"
        The face on which the head is.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        The table has no such screw, fit or head: the error lists what there is.

    Source
    ------
    ISO 273 (holes); ISO 7721, ISO 15065 and ISO 10642 (theoretical diameters of countersunk heads); DIN 974-1, row 1
    (counterbores for ISO 4762).

    Examples
    --------
    >>> clearance_hole("M5").diameter
    5.5
    >>> base = plate(Sheet(4, 4), rectangle(60, 30), "base")
    >>> body = cut_opening(base, clearance_hole("M5", head="countersunk"), "base", [(-18, 0), (18, 0)], name="screw")
    """
    named = screw.strip().upper() if isinstance(screw, str) else ""
    row = _screws().get(named)
    if row is None:
        listed = ", ".join(_screws())
        fix = f"one of {listed}"
        raise InputError("clearance_hole", "screw", shown_value(screw), "is not in the table", fix)
    if fit not in _FITS:
        fix = "give fine, medium or coarse"
        raise InputError("clearance_hole", "fit", shown_value(fit), "is not in the table", fix)
    across = float(row["clearance"][_FITS.index(fit)])
    if head == "":
        return RoundHole(across)
    key = {
        "countersunk": "countersunk",
        "socket countersunk": "socket_countersunk",
        "socket cap": "counterbored",
    }
    if head not in key or key[head] not in row:
        listed = ", ".join(f"'{one}'" for one in _HEADS if one == "" or key[one] in row)
        raise InputError(
            "clearance_hole",
            "head",
            shown_value(head),
            f"is not in the table for {named}",
            f"one of {listed}",
        )
    wide = float(row[key[head]])
    if head == "socket cap":
        return counterbored(across, wide, row["diameter"], face=face)
    return countersunk(across, wide, face=face)


@cache
def _screws() -> dict[str, dict[str, Any]]:
    document: dict[str, Any] = toml.loads((_DATA / "screws.toml").read_text(encoding="utf-8"))
    return {row["name"]: row for row in document["screw"]}


def _hole_and_head(hole: object, head: object, where: str) -> tuple[float, float]:
    across, wide = length(hole, "hole", where, POSITIVE), length(head, "head", where, POSITIVE)
    if wide <= across:
        fix = "give the diameter at the face, wider than the hole"
        raise InputError(where, "head", wide, f"is no more than its hole of {across:.6g} mm", fix, "mm")
    return across, wide


def pressed(
    diameter: LengthLike,
    fastener: str,
    outside: LengthLike,
    *,
    least_edge: LengthLike = 0.0,
    least_thickness: LengthLike = 0.0,
    face: Face = "upper",
) -> RoundHole:
    """
    A hole for a nut or stud that is pressed in, by the figures of its maker; what is pressed in is not modelled.

    Parameters
    ----------
    diameter : length [mm]
        Of the hole, by the maker's figures.
    fastener : str
        What is pressed in, as the blank's files state it: `press nut M5`.
    outside : length [mm]
        Outside diameter of the part that then projects from the sheet.
    least_edge : length [mm]
        From its middle to the nearest edge or bend, by the maker's figures; 0: not stated.
    least_thickness : length [mm]
        Of the sheet, by the maker's figures; 0: not stated.
    face : "upper" or "lower"
        The face that it is on.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        A length is out of its limits, what is pressed in has no name or is narrower than its hole.

    Examples
    --------
    >>> nut = pressed(7, "press nut M5", 9.5, least_edge=7.5, least_thickness=1.2)
    >>> base = plate(Sheet(2, 2.5), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = cut_opening(base, nut, "base", [(-18, 0), (18, 0)], name="nut")
    >>> [(place.name, place.feature.kind) for place in Part(body).openings]
    [('nut[1]', 'pressed'), ('nut[2]', 'pressed')]
    """
    across, wide = (
        length(diameter, "diameter", "pressed", POSITIVE),
        length(outside, "outside", "pressed", POSITIVE),
    )
    if not isinstance(fastener, str) or not fastener.strip() or not fastener.isprintable():
        fix = "say what is pressed in: 'press nut M5'"
        raise InputError("pressed", "fastener", shown_value(fastener), "is not a name", fix)
    if wide <= across:
        fix = "give the outside diameter of what is pressed in"
        raise InputError(
            "pressed", "outside", wide, f"is no more than its hole of {across:.6g} mm", fix, "mm"
        )
    edge = length(least_edge, "least_edge", "pressed", NOT_NEGATIVE)
    thick = length(least_thickness, "least_thickness", "pressed", NOT_NEGATIVE)
    side = checked_face(face, "pressed")
    return RoundHole(across, HoleFeature("pressed", fastener.strip(), side, wide, 0.0, edge, thick))


def extruded(
    pierced: LengthLike, outside: LengthLike, height: LengthLike, *, thread: str = "", face: Face = "upper"
) -> RoundHole:
    """
    An extruded hole: a smaller one is cut, and a collar is drawn out of the sheet round it; perhaps tapped.

    The solid has the pierced hole and no collar; `pierced_diameter` gives the hole whose material makes the collar.

    Parameters
    ----------
    pierced : length [mm]
        Diameter of the hole that is cut in the blank.
    outside : length [mm]
        Outside diameter of the collar.
    height : length [mm]
        Height of the collar above the sheet.
    thread : str
        That is tapped in it, `M4`; empty: none.
    face : "upper" or "lower"
        The face that the collar is on.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        A length is out of its limits, the collar is no wider than its hole or thread, or there is no such thread.

    Examples
    --------
    >>> base = plate(Sheet(1.5, 2), rectangle(60, 40, corner_radius=5), name="base")
    >>> body = cut_opening(base, extruded(2.5, 4.8, 1, thread="M4"), name="flare")
    >>> [place.feature.callout for place in Part(body).openings]
    ['extruded and tapped M4']
    """
    across, wide = (
        length(pierced, "pierced", "extruded", POSITIVE),
        length(outside, "outside", "extruded", POSITIVE),
    )
    tall = length(height, "height", "extruded", POSITIVE)
    name, (diameter, pitch, _) = _thread(thread, "extruded") if thread else ("", (across, 0.0, 0.0))
    if wide <= max(across, diameter):
        what = f"is no more than its {name or 'hole'} of {max(across, diameter):.6g} mm"
        raise InputError("extruded", "outside", wide, what, "give the outside diameter of the collar", "mm")
    words = f"extruded and tapped {name}" if name else "extruded"
    side = checked_face(face, "extruded")
    return RoundHole(across, HoleFeature("extruded", words, side, wide, pitch, height=tall))


def pierced_diameter(
    bore: LengthLike, outside: LengthLike, height: LengthLike, thickness: LengthLike
) -> float:
    """
    Diameter of the hole to be pierced for an extruded one, if the sheet's volume is kept.

    Parameters
    ----------
    bore, outside : length [mm]
        Inside and outside diameter of the collar.
    height : length [mm]
        Height above the sheet.
    thickness : length [mm]
        Of the sheet.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        The sheet inside the bore has too little material for the collar.

    Source
    ------
    Exact mathematics, for sharp corners: (bore^2 - pierced^2) t = (outside^2 - bore^2) h.

    Examples
    --------
    >>> round(pierced_diameter(3.3, 4.5, 1.0, 1.5), 3)
    2.156
    """
    where = "pierced_diameter"
    inner, outer = length(bore, "bore", where, POSITIVE), length(outside, "outside", where, POSITIVE)
    tall, thick = length(height, "height", where, POSITIVE), length(thickness, "thickness", where, POSITIVE)
    if outer <= inner:
        fix = "give the outside diameter of the collar"
        raise InputError(where, "outside", outer, f"is no more than its bore of {inner:.6g} mm", fix, "mm")
    square = inner**2 - (outer**2 - inner**2) * tall / thick
    if square <= 0.0:
        fix = f"less than {inner**2 * thick / (outer**2 - inner**2):.6g} mm for this bore and wall"
        raise InputError(
            where, "height", tall, "takes more material than there is inside the bore", fix, "mm"
        )
    return math.sqrt(square)
