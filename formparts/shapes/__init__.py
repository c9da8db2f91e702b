"""Builders: functions from the dimensions of a drawing to bodies."""

from formparts.shapes.arrays import array_along, array_in_rows
from formparts.shapes.box_corners import CornerRelief, corner_relief
from formparts.shapes.boxes import box
from formparts.shapes.drilling import drill
from formparts.shapes.flange import add_flange
from formparts.shapes.folding import FoldLine, fold, fold_line
from formparts.shapes.fusing import fuse
from formparts.shapes.hems import add_curl, add_hem
from formparts.shapes.joggles import add_joggle
from formparts.shapes.marking import MarkShape, add_mark, bead, dimple, lettering, louvre
from formparts.shapes.moves import X_AXIS, Y_AXIS, Z_AXIS, Axis, array_about, mirror, rotate, translate
from formparts.shapes.naming import renamed
from formparts.shapes.offset import offset_lug
from formparts.shapes.openings import cut_opening
from formparts.shapes.perforating import perforation
from formparts.shapes.plates import pierced, plate, shifted, tongue
from formparts.shapes.profiles import Run, Turn, down, profile, run, up
from formparts.shapes.reliefs import Relief, relief
from formparts.shapes.round_holes import (
    RoundHole,
    clearance_hole,
    counterbored,
    countersunk,
    extruded,
    pierced_diameter,
    pressed,
    tapped,
)
from formparts.shapes.rounding import round_corners
from formparts.shapes.tabs import add_tab
from formparts.shapes.tips import Hole, Tip, hole, tip
from formparts.shapes.tree import rooted

__all__ = [
    "X_AXIS",
    "Y_AXIS",
    "Z_AXIS",
    "Axis",
    "CornerRelief",
    "FoldLine",
    "Hole",
    "MarkShape",
    "Relief",
    "RoundHole",
    "Run",
    "Tip",
    "Turn",
    "add_curl",
    "add_flange",
    "add_hem",
    "add_joggle",
    "add_mark",
    "add_tab",
    "array_about",
    "array_along",
    "array_in_rows",
    "bead",
    "box",
    "clearance_hole",
    "corner_relief",
    "counterbored",
    "countersunk",
    "cut_opening",
    "dimple",
    "down",
    "drill",
    "extruded",
    "fold",
    "fold_line",
    "fuse",
    "hole",
    "lettering",
    "louvre",
    "mirror",
    "offset_lug",
    "perforation",
    "pierced",
    "pierced_diameter",
    "plate",
    "pressed",
    "profile",
    "relief",
    "renamed",
    "rooted",
    "rotate",
    "round_corners",
    "run",
    "shifted",
    "tapped",
    "tip",
    "tongue",
    "translate",
    "up",
]
