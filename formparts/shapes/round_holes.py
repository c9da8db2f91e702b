"""Holes that are more than holes: tapped, or made for a nut or stud that is pressed in."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeAlias

from formparts import toml
from formparts.body import HoleFeature
from formparts.errors import InputError
from formparts.outline import Outline, disc
from formparts.quantities import NOT_NEGATIVE, POSITIVE, length, shown_value

Face: TypeAlias = Literal["upper", "lower"]
_TABLE = Path(__file__).parent.parent / "data" / "threads.toml"
_INCH = 25.4


@dataclass(frozen=True)
class RoundHole:
    """
    A round hole about the origin, and what it is besides; `cut_opening` cuts it.

    Parameters
    ----------
    diameter : float [mm]
        Of the hole that is cut.
    feature : HoleFeature
        Its thread, or what is pressed into it.
    """

    diameter: float
    feature: HoleFeature

    @property
    def outline(self) -> Outline:
        """What is cut, about the origin."""
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
    """
    known = _threads()
    asked = thread.strip().upper().replace(" X ", "X") if isinstance(thread, str) else ""
    name = next((one for one in known if asked and asked in (one.upper(), one.upper().split(" ")[0])), None)
    if name is None:
        listed = ", ".join(known)
        raise InputError("tapped", "thread", shown_value(thread), "is not in the table", f"one of {listed}")
    diameter, pitch, drill = known[name]
    return RoundHole(drill, HoleFeature("tapped", name, _checked_face(face, "tapped"), diameter, pitch))


@cache
def _threads() -> dict[str, tuple[float, float, float]]:
    """Diameter, pitch and drill of every thread of the table, by name [mm]."""
    document: dict[str, Any] = toml.loads(_TABLE.read_text(encoding="utf-8"))
    found = {}
    for row in document["metric"]:
        found[row["name"]] = (float(row["diameter"]), float(row["pitch"]), float(row["drill"]))
    for row in document["unified"]:
        figures = (row["diameter"], 1.0 / row["threads_per_inch"], row["drill"])
        found[row["name"]] = (_INCH * figures[0], _INCH * figures[1], _INCH * figures[2])
    return found


def _checked_face(face: object, where: str) -> Face:
    if face == "upper":
        return "upper"
    if face == "lower":
        return "lower"
    raise InputError(where, "face", shown_value(face), "is not a face", 'give "upper" or "lower"')


def pressed(
    diameter: object,
    fastener: str,
    outside: object,
    *,
    least_edge: object = 0.0,
    least_thickness: object = 0.0,
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
        Outside diameter of what then stands on the sheet.
    least_edge : length [mm]
        From its middle to the nearest edge or bend, by the maker's figures; 0: not stated.
    least_thickness : length [mm]
        Of the sheet, by the maker's figures; 0: not stated.
    face : "upper" or "lower"
        The face on which it stands.

    Returns
    -------
    RoundHole

    Raises
    ------
    InputError
        A length is out of its limits, what is pressed in has no name or is narrower than its hole.
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
    side = _checked_face(face, "pressed")
    return RoundHole(across, HoleFeature("pressed", fastener.strip(), side, wide, 0.0, edge, thick))
