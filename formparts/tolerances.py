"""Every tolerance of the library, once, named for its quantity, with its reason."""

from __future__ import annotations

from typing import Final

LENGTH: Final = 1e-6
"""Two points closer than this are one point [mm]: a thousandth of what any shop can measure, and ten
times what the solid kernel itself takes for one point (1e-7 mm)."""

FIT: Final = 1e-8
"""The end of a bend and the corner of its flat are one within this [mm]: a tenth of what the solid kernel takes for
one point, as a part may be turned and shifted after. Corners within LENGTH are brought to it; the rest is refused."""

LIMIT_SLACK: Final = 1e-4
"""A limit is met when no more than this is missing [mm]: limits are round figures, no shop measures it, and in files
of others places are no closer."""

SHORTEST_EDGE: Final = 1e-3
"""The shortest edge a part may have [mm]: a thousand times LENGTH; no cutter follows a shorter one, and
the kernel loses very small edges."""

LONGEST: Final = 1e6
"""The longest dimension a part may have [mm]: a kilometre. The last digit of such a figure is 1e-10 mm, still
far below LENGTH; no strip of sheet is longer, and figures stay finite."""

THICKEST_SHEET: Final = 1e3
"""The thickest sheet that is taken [mm]: more is a block, and is not bent."""

THINNEST_SHEET: Final = 1e-2
"""The thinnest sheet that is taken [mm]: thinner stock is foil, and is not bent on a press brake."""

ANGLE_DEG: Final = 1e-9
"""Two angles closer than this are one [deg]: a lever of 10 m then moves by 2e-7 mm."""

DIRECTION: Final = 1e-10
"""Two unit vectors whose cross product is smaller than this are parallel [-]."""

VOLUME_REL: Final = 1e-9
"""Closed form, solid and read-back agree to this, relative: rounding over some thousand faces, no more."""

CHORD: Final = 1e-3
"""Arcs are followed to this when two folded pieces are tested against each other [mm]: below any sheet."""

CLASH_DEPTH: Final = 1e-4
"""Folded pieces that run into each other by less than this only touch [mm]."""

MESH_CHORD: Final = 0.05
"""Default distance between a mesh and the true surface [mm]."""

KERNEL_CHORD: Final = 0.5
"""The same of the kernel's own mesh in the audit [mm]: coarse, as its time grows fast with the triangles."""

FINEST_CHORD: Final = 1e-4
"""The least of it [mm]: a tenth of a micrometre is below any shop; a finer mesh takes minutes and fills the memory."""

CLOSE: Final = 1e-3
"""Edges of what can be made are closed in on to this [mm or deg]: far finer than any drawing asks for."""

ALIGNED: Final = 0.1
"""Axes of holes that take one bolt may lie so far apart unasked [mm]: a tenth of what a clearance hole for M8 to M12
has in its diameter (common practice, no source)."""

TURN_DEG: Final = 1e-6
"""Turns worked out from places of a part are one within this [deg]: a lever of 10 m then moves by 2e-4 mm."""
