"""Names of the layers of a blank's DXF, in plain words."""

from __future__ import annotations

from typing import Final

CUT: Final = "cut"
"""The layer that the cutter follows, and nothing else."""

BEND_LAYERS: Final = {"up": "bend-up", "down": "bend-down"}
"""Bend lines, by the side that the part is bent to, seen from above."""

FINDINGS: Final = "findings"
"""Numbered circles where a check found something, for people."""

FEATURE_LAYERS: Final = {
    "standing": "standing",
    "formed": "formed",
    "sunk": "sunk",
    "tap": "tapped",
    "marking": "marking",
    "drilled": "drilled",
}
"""Studs and nuts, beads and flared holes, countersinks and counterbores, threads, marking, later holes: not cut."""

MARKED: Final = "marking"
"""The kind whose layer holds lines alone, without text: a machine follows it."""

NOTES: Final = "notes"
"""Text, for people."""
