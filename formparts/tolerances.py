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
"""Arcs are followed to this when two folded flats or bends are tested against each other [mm]: below any sheet."""

CLASH_DEPTH: Final = 1e-4
"""Folded flats and bends that intersect by less than this only touch [mm]."""

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

TURN_RAD: Final = 1e-6
"""Turns of arcs and corners worked out from places of a part are one within this [rad]: 1e-3 mm at a radius of 1 m."""

SQUARE_SIDES: Final = 1e-3
"""Both tangent lines of a bend are opposite each other within this [mm]: else its ends are not square."""

SYMMETRIC: Final = 1e-4
"""Places of a symmetric blank agree within this [mm]."""

# Rounding of double precision, which no shop and no reader sees.

ROUNDING: Final = 1e-9
"""Figures worked out in two ways from the same data differ by less, as a share of them, in counts, in cosines and in
turns [- or rad]: rounding of some thousand steps, no more. Of any radius that a part has it is less than LENGTH."""

NO_LENGTH: Final = 1e-9
"""An edge or an extent below this counts as zero, and has no direction [mm]: a thousandth of LENGTH."""

NOUGHT: Final = 1e-12
"""A sine, a slope or a share below this counts as zero [-]: lines at this angle do not meet within the longest part."""

SAME_SWEEP: Final = 1e-12
"""An angle by its ends is taken for that of a circle when the two differ by more [rad]."""

ROOT_REL: Final = 1e-14
"""A root of a closed form is closed in on to this [-]: the last two digits are rounding."""

LAST_DIGIT: Final = 1e-15
"""A right angle is one to the last digit within this [rad]."""

TINIEST: Final = 1e-300
"""Keeps divisions and logarithms of nothing from failing [-]: no figure of a part is as small."""

ALONG: Final = 1e-6
"""A direction lies along an axis, or square to it, when its sine or cosine is smaller than this [-]: STEP files give
directions with six digits or more, and 1 m of edge then leads 1e-3 mm aside."""

UPRIGHT: Final = 1e-7
"""A direction that leans less than this is upright [-]: 1e-4 mm over 1 m."""

SAME_AXIS: Final = 1e-4
"""Axes whose angle has a smaller sine are one direction [-]: 0.1 mm over 1 m."""

IN_FLAT: Final = 1e-3
"""A direction is taken to lie in a flat, or square on it, from this sine on [-]: 0.06 deg, as sure as it is given."""

# Reading solids of others.

SAME_PLACE: Final = 1e-4
"""Two lengths read from a solid closer than this are one [mm]: exporters state an uncertainty of 1e-3 to 1e-7
mm, and a sheet's own tolerance is a hundred times as wide."""

HEALED: Final = 1e-2
"""Steps, slivers and gaps up to this are healed, and reported [mm]: a tenth of what a cutter holds (ISO 9013, a few
tenths for a few mm of steel), and what exporters leave of coordinates with two decimals."""

SAME_DIRECTION: Final = 1e-5
"""Two directions read from a solid whose cross product is smaller than this are parallel [-]."""

SMOOTH: Final = 1e-3
"""Two faces whose normals differ by less than this at their common edge run into each other smoothly [-]."""

RECOGNISED: Final = 1e-6
"""A free-form curve or surface within this of a line, circle, plane or cylinder is one [mm]."""

FOLLOWED: Final = 1e-3
"""How closely lines and arcs follow a curve that is neither [mm]: a tenth of what a cutter can do. What a face of the
skin is passed by, or a chamfer misses, by less is not seen."""

VOLUME_FIT: Final = 1e-6
"""Volume and thickness times middle area of a bent sheet agree to this, relative: the digits a STEP file
keeps of places, over a sheet's thickness."""

SQUARE_TO_SKIN: Final = 1e-4
"""An edge face is square to the skin when the cosine between the two is smaller than this [-]."""

DRAWN_OUT: Final = 1e-8
"""Normals that are all square to one direction within this are those of a curve drawn out straight [-]."""

FOREIGN_REL: Final = 1e-6
"""How far validation properties of others may be off, relative: they are rounded by whoever wrote them."""

FOREIGN_LENGTH: Final = 1e-3
"""The same for a centroid [mm]."""

ROUND_FIGURE: Final = 2e-7
"""Figures of a file with all its digits are taken for round ones within this [mm]."""

REDRAWN: Final = 1e-5
"""What a recipe is written for lies within this of the part, in its places and its angles [mm or deg]."""

SAME_MIDDLE: Final = 1e-3
"""A hole and what is sunk in it have their middles within this of each other, and holes of a row lie in it [mm]."""

# The kernel and its meshes, files read back.

KERNEL_POINT: Final = 1e-7
"""What the kernel takes for one point [mm]."""

INTEGRATED_REL: Final = 1e-9
"""How closely the kernel integrates where faces are free-form [-]: its usual way is off by 1e-4 there."""

INTEGRATED_RIMS_REL: Final = 1e-6
"""The same where edges alone are free-form [-], by another way of the kernel, which holds what it is asked for."""

SAME_NORMAL: Final = 1e-4
"""Unit normals that differ by less belong to two faces that run into each other without a corner [-]."""

JUST_INSIDE: Final = 1e-9
"""A plane at an end is moved into the part by this share of it [-]: at the end itself it might cut nothing."""

TOUCHING_VOLUME: Final = 1e-3
"""Parts that share less than this only touch [mm3]: a contact of a square metre a millionth of a millimetre deep."""

SAME_COLOUR: Final = 1e-4
"""Colours read back agree to this [-]: a fortieth of what eight bits can tell apart."""

WRITTEN_REL: Final = 1e-12
"""Figures written with all their digits are read back to this [-]."""

# Solving, fixes and families.

MET_REL: Final = 1e-9
"""A target is met to this, relative; whatever is farther off is a jump and no root."""

MET_UNDER_LOAD_REL: Final = 2e-3
"""A target under load is met to this, relative: a mesh of another thickness is another mesh."""

NEAR_REL: Final = 1e-3
"""So near a rounded parameter must come to the target, relative: no shop weighs or measures closer."""

SEARCHED_REL: Final = 1e-6
"""A search over several parameters ends when it spreads by no more [-]; what it ends at is closed in on afterwards."""

JUST_MET: Final = 1e-6
"""Added for each finding to the shares by which limits are missed [-], so that one just met counts."""

NUDGE: Final = 1e-3
"""A parameter is moved by this share of itself to see what follows it [-]."""

STILL: Final = 1e-6
"""A dimension that moves by less than this for 1 of the parameter does not follow it [-]."""

IN_PROPORTION: Final = 1e-4
"""A dimension follows in proportion when its two halves of a step differ by less, for 1 of the parameter [-]."""

IN_STEP: Final = 1e-5
"""The length or width of a blank follows a figure of a script when it moves by more for a nudge of it [mm]."""

# Finite elements.

MESH_REL: Final = 1e-6
"""How far the mesh's volume may be from the closed form, relative."""

ROLLED_MESH_REL: Final = 1e-5
"""The same where openings cross bends, relative: elements that are rolled up askew follow the cylinder to the
fourth order only (1e-6 to 3e-6 on an angle of 60 mm with the largest holes that it can have)."""

FLAT_SHARE: Final = 1e-6
"""How much of a face's area may be lost between its own normals before it has no one direction to press in [-]."""

TREMBLE: Final = 1e-6
"""Points are moved by so many sizes while triangles are sought [-]: four on one circle would have no one answer."""

SETTLED_REL: Final = 1e-4
"""Figures of finer and finer meshes that differ by no more, relative, have settled."""

REACTION_REL: Final = 1e-4
"""How far the reaction may be from the load, relative, without a word: the solver prints seven digits."""

SOLVER_DIGITS: Final = 1e-7
"""Less than this share of the largest figure is the solver's rounding [-]: it prints seven digits."""

# Drawings, in mm of the part unless stated otherwise.

DRAWN: Final = 1e-4
"""What a drawing shows is one within this [mm]."""

SHORTEST_DRAWN: Final = 1e-3
"""A line shorter than this is not drawn, and a joint nearer than this to an end is the end [mm]."""

MEETING: Final = 1e-5
"""Lines no farther apart than this meet, and points no farther off a line are on it [mm, or rad on a
conic]: a hundredth of what is drawn at all."""

DRAWN_TURN: Final = 1e-7
"""Turns shown in a drawing are one within this [deg or rad]: 1e-4 mm at 1 m, DRAWN."""

UNSEEN_CORNER: Final = 1e-3
"""Edges that meet at less than this are not dimensioned by the point where they meet [rad]."""

OFF_GRID: Final = 3.7e-6
"""Added to what is rounded to four places to compare it [mm]: round figures then lie on no border of the rounding."""

LEAST_RATIO: Final = 1e-6
"""The least ratio of an ellipse's axes that readers of DXF take [-]."""
