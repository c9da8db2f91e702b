"""Two parts worked by hand: every figure with its unit, before anything of the library has been asked."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi, sqrt
from pathlib import Path

RECIPES = Path(__file__).with_name("two_parts.py")

Hand = Mapping[str, tuple[float, str]]

_ALLOWANCE = pi / 2 * (3 + 0.4 * 2)
_WIDTH = 11 + 30 + 16 + 2 * _ALLOWANCE
_FLATS = 60 * (11 + 30 + 16)
_VOLUME = 2 * _FLATS + 2 * (pi / 2) * (3 + 2 / 2) * 2 * 60
_OEHLER = (1 + 4 * 2 / 12) * 510 * 2**2 / 12

JOGGED: Hand = {
    "thickness": (2, "mm"),
    "density": (7850, "kg/m**3"),
    "mass": (_VOLUME * 7.85e-3, "g"),
    "volume": (_VOLUME, "mm**3"),
    # Both faces, the rim, which is as long as that of the blank but for the ends of the bends: a ring's end is a
    # quarter of it, pi/4 (5^2 - 3^2), and its two faces lie at R 3 and R 5.
    "surface": (
        2 * _FLATS
        + 2 * (pi / 2) * (3 + 5) * 60
        + 2 * 2 * 60
        + 2 * 2 * (11 + 30 + 16)
        + 4 * (pi / 4) * (5**2 - 3**2),
        "mm**2",
    ),
    "envelope x": (60, "mm"),
    "envelope y": (40, "mm"),
    "envelope z": (16 + 21 - 2, "mm"),
    "blank length": (60, "mm"),
    "blank width": (_WIDTH, "mm"),
    "blank area": (60 * _WIDTH, "mm**2"),
    "cut length": (2 * (60 + _WIDTH), "mm"),
    "pierces": (1, ""),
    "bends": (2, ""),
    "angle": (90, "deg"),
    "inside radius": (3, "mm"),
    "bend line": (60, "mm"),
    "allowance": (_ALLOWANCE, "mm"),
    "deduction": (2 * 5 - _ALLOWANCE, "mm"),
    "position of rear": (16 + _ALLOWANCE + 30 + _ALLOWANCE / 2, "mm"),
    "position of fore": (16 + _ALLOWANCE / 2, "mm"),
    "flange of rear": (16, "mm"),
    "flange of fore": (21, "mm"),
    "die opening": (6 * 2, "mm"),
    "natural radius": (0.16 * 12, "mm"),
    "minimum flange": (12 / sqrt(2), "mm"),
    "force by length": (_OEHLER, "N/mm"),
    "force": (_OEHLER * 60, "N"),
    "strain": (2 / (2 * 3 + 2), ""),
    "strength": (510, "MPa"),
    "stop of rear": (11 + _ALLOWANCE / 2, "mm"),
    "stop of fore": (16 + _ALLOWANCE / 2, "mm"),
}
"""
A strip 60 x 40 of 2 mm S235JR, R 3, K 0.4, a flange of 16 mm up along its back and one of 21 mm down along its front.

Each bend takes 5 mm of both its legs, so that flats of 11, 30 and 16 mm are left between tangent lines. Tensile
strength at most 510 MPa and density 7850 kg/m3: EN 10025-2 and -1, from memory. Force of a V bend: Oehler, (1 + 4 t/V)
Rm t2/V, as in Lange, Umformtechnik, volume 3, from memory; V = 6 t, natural radius 0.16 V and a minimum flange of half
the diagonal over V: common practice, no source.
"""

_HEAVY_ALLOWANCE = pi / 2 * (3 + 0.4 * 3)
_HEAVY_VOLUME = 3 * 500 * (194 + 54) + (pi / 2) * (3 + 3 / 2) * 3 * 500
_HEAVY_OEHLER = (1 + 4 * 3 / 20) * 510 * 3**2 / 20

HEAVY: Hand = {
    "thickness": (3, "mm"),
    "density": (7850, "kg/m**3"),
    "mass": (_HEAVY_VOLUME * 7.85e-6, "kg"),
    "volume": (_HEAVY_VOLUME, "mm**3"),
    "surface": (
        2 * 500 * 248 + (pi / 2) * (3 + 6) * 500 + 2 * 3 * 500 + 2 * 3 * 248 + 2 * (pi / 4) * (6**2 - 3**2),
        "mm**2",
    ),
    "envelope x": (500, "mm"),
    "envelope y": (200, "mm"),
    "envelope z": (60, "mm"),
    "blank length": (500, "mm"),
    "blank width": (248 + _HEAVY_ALLOWANCE, "mm"),
    "blank area": (500 * (248 + _HEAVY_ALLOWANCE), "mm**2"),
    "cut length": (2 * (500 + 248 + _HEAVY_ALLOWANCE), "mm"),
    "pierces": (1, ""),
    "bends": (1, ""),
    "angle": (90, "deg"),
    "inside radius": (3, "mm"),
    "bend line": (500, "mm"),
    "allowance": (_HEAVY_ALLOWANCE, "mm"),
    "deduction": (2 * 6 - _HEAVY_ALLOWANCE, "mm"),
    "position of rear": (194 + _HEAVY_ALLOWANCE / 2, "mm"),
    "flange of rear": (60, "mm"),
    "die opening": (20, "mm"),
    "natural radius": (0.16 * 20, "mm"),
    "minimum flange": (20 / sqrt(2), "mm"),
    "force by length": (_HEAVY_OEHLER, "N/mm"),
    "force": (_HEAVY_OEHLER * 500, "N"),
    "stop of rear": (54 + _HEAVY_ALLOWANCE / 2, "mm"),
    "strain": (3 / (2 * 3 + 3), ""),
    "strength": (510, "MPa"),
}
"""
A plate 500 x 200 of 3 mm S235JR, R 3, K 0.4, with a flange of 60 mm up along its back: more than a kilogram.

Of the usual openings V 16 forms 2.56 mm and V 20 forms 3.2 mm, the nearer to R 3: V 20.
"""
