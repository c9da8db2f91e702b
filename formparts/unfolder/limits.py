"""The tolerances of reading foreign solids, each with its reason; our own are in formparts.tolerances."""

from __future__ import annotations

from typing import Final

SAME_PLACE: Final = 1e-4
"""Two lengths read from a solid closer than this are one [mm]: exporters state an uncertainty of 1e-3 to 1e-7
mm, and a sheet's own tolerance is a hundred times as wide."""

LOOSE_LENGTH: Final = 4
LOOSE_ANGLE: Final = 2
"""Decimal places of lengths [mm] and angles [deg] as they are told of a solid whose edges lie off their faces by
more than rounding: those of SAME_PLACE, and what it makes of an angle at a radius of some tenths."""

HEALED: Final = 1e-2
"""Steps, slivers and gaps up to this are healed, and said [mm]: a tenth of what a cutter holds (ISO 9013, a few
tenths for a few mm of steel), and what exporters leave of coordinates with two decimals."""

SAME_DIRECTION: Final = 1e-5
"""Two directions read from a solid whose cross product is smaller than this are parallel [-]."""

TANGENT: Final = 1e-3
"""Two faces whose normals differ by less than this at their common edge run into each other smoothly [-]."""

RECOGNISED: Final = 1e-6
"""A free-form curve or surface within this of a line, circle, plane or cylinder is one [mm]."""

FARTHEST: Final = 1e9
"""A centre farther away than this is that of no arc [mm]: distances from it have no digits left for RECOGNISED."""

FOLLOWED: Final = 1e-3
"""How closely lines and arcs follow a curve that is neither [mm]: a tenth of what a cutter can do."""

VOLUME_FIT: Final = 1e-6
"""Volume and thickness times middle area of a bent sheet agree to this, relative: the digits a STEP file
keeps of places, over a sheet's thickness."""

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
"""A sheet with something standing on it is at most so thick, as a part of the side of a square of its area [-]."""

NARROWEST: Final = 1.5
"""The shorter side of a blank is at least so many thicknesses [-], else it is a block, a bar or a wire: common
practice, no source."""

SLANTED_SHARE: Final = 0.1
"""What slanted rims may leave unknown of the volume at most [-]: more, and it is a cone or a wedge, not a sheet."""

ROUGH_FIT: Final = 0.3
"""How far the same two may differ while a thickness is still worth a try: pockets, countersinks, bevels."""
