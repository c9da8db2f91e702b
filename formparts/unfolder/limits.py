"""The tolerances of reading foreign solids, each with its reason; our own are in formparts.tolerances."""

from __future__ import annotations

from typing import Final

LOOSE_LENGTH: Final = 4
LOOSE_ANGLE: Final = 2
"""Decimal places of lengths [mm] and angles [deg] as reported for a solid whose edges lie off their faces by
more than rounding: those of SAME_PLACE, and what it makes of an angle at a radius of some tenths."""


FARTHEST: Final = 1e9
"""A centre farther away than this is that of no arc [mm]: distances from it have no digits left for RECOGNISED."""


PARALLEL: Final = 0.999
"""Cosine from which on two axes count as one direction [-]: a circle on a cylinder has its axis or is far off it."""

FEATURE_SHARE: Final = 0.25
"""A feature that covers more of the sheet than this is not a feature of it: a drawn, cast or machined part [-]."""

FORMED_HEIGHT: Final = 5.0
"""Beads, dimples, flared holes and louvres are at most so many thicknesses high; what is higher is drawn [-]:
common practice, no source."""

LIKE_VOLUMES: Final = 0.5
"""By how much the boss and the pocket of a formed feature may differ, as a part of the larger [-]: the sheet that
is drawn out between them."""

STOUTEST: Final = 0.125
"""Largest thickness of a sheet with a feature on it, as a share of the side of a square of its area [-]."""

NARROWEST: Final = 1.5
"""The shorter side of a blank is at least so many thicknesses [-], else it is a block, a bar or a wire: common
practice, no source."""

SLANTED_SHARE: Final = 0.1
"""What slanted rims may leave unknown of the volume at most [-]: more, and it is a cone or a wedge, not a sheet."""

ROUGH_FIT: Final = 0.3
"""How far the same two may differ while a thickness is still worth a try: pockets, countersinks, bevels."""
