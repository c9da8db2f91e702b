"""What a round opening is besides a hole: tapped, or one that a nut or stud is pressed into."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Face: TypeAlias = Literal["upper", "lower"]
FeatureKind: TypeAlias = Literal["tapped", "pressed"]


@dataclass(frozen=True)
class HoleFeature:
    """
    What a round opening is besides a hole.

    Parameters
    ----------
    kind : "tapped" or "pressed"
        A thread is cut in it, or a nut or stud is pressed into it.
    callout : str
        Its words, without its hole: `M5`.
    face : "upper" or "lower"
        The face from which it is made.
    diameter : float [mm]
        Of the thread, or of what is pressed in where it stands on the sheet.
    pitch : float [mm]
        Of its thread; 0 without one.
    least_edge, least_thickness : float [mm]
        What a pressed part asks for: from its middle to the nearest edge or bend, and of the sheet; 0: not stated.
    """

    kind: FeatureKind
    callout: str
    face: Face = "upper"
    diameter: float = 0.0
    pitch: float = 0.0
    least_edge: float = 0.0
    least_thickness: float = 0.0
