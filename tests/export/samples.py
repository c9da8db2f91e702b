"""Small parts and blanks of our own for the tests of the written files."""

from __future__ import annotations

import math

from formparts.bending import KFactor
from formparts.body import Body, Sheet
from formparts.layout import BendMark, Blank, Overlap
from formparts.materials import material
from formparts.outline import Motion, Outline, cut, disc, obround, rectangle
from formparts.shapes import (
    Z_AXIS,
    array_about,
    cut_opening,
    fuse,
    offset_lug,
    plate,
    profile,
    rotate,
    run,
    translate,
    up,
)

SHEET = Sheet(2.0, 3.0, material("S235JR"), KFactor(0.44))
ODD_NAME = "Träger 3 µm"

ANGLE_VOLUME = 2.0 * 50.0 * (35.0 + 25.0 + math.radians(90.0) * (3.0 + 1.0))
"""Volume of `angle_part` by hand [mm3]: two flats, and between them a quarter ring by Pappus' rule."""

ANGLE_SURFACE = (
    2 * 50.0 * (35.0 + 25.0)  # both skins of the flats
    + 50.0 * math.radians(90.0) * (3.0 + 5.0)  # hollow and outer side of the bend
    + 2 * 2.0 * (35.0 + 25.0 + math.radians(90.0) * 4.0)  # the long edge, at both ends of the section
    + 2 * 2.0 * 50.0  # the two free edges
)
"""Surface of `angle_part` by hand [mm2]."""


def angle_part(name: str = ODD_NAME) -> Body:
    """An angle: flats of 35 and 25 mm beside a bend of 90 deg, R 3, in sheet of 2 mm, 50 mm long."""
    runs = (run(35, to="tangent line"), up(90), run(25, to="tangent line"))
    return profile(SHEET, 50, *runs, name=name)


def pierced_plate() -> Body:
    """A flat plate of 60 x 40 mm with a round opening of 20 mm."""
    return cut_opening(plate(SHEET, rectangle(60, 40)), disc(20))


def riser() -> Body:
    """A plate with a round opening into which three offset lugs reach: bends up and down."""
    base = plate(SHEET, cut(rectangle(150, 140, 12), disc(100))[0], "seat")
    lug = offset_lug(SHEET, width=14, rise=10, reach=28, foot=15, slope=60, name="lug")
    lugs = array_about(translate(rotate(lug, 180), (46, 0, 0)), Z_AXIS, 3)
    return fuse(base, *lugs, name="riser")


def drawn_outline() -> Outline:
    """A plate of 120 x 80 mm, corners R 10, with a hole of 25.4 mm and two obrounds, one of them turned."""
    slot = obround(20, 8)
    tools = (disc(25.4), slot.moved(Motion.shift(30, 22)), slot.moved(Motion(0.6, -0.8, 0.8, 0.6, -33, -22)))
    return cut(rectangle(120, 80, 10), *tools)[0]


DRAWN_AREA = 120 * 80 - (4 - math.pi) * 10**2 - math.pi * 12.7**2 - 2 * (12 * 8 + math.pi * 4**2)
"""Area of `drawn_outline` by hand [mm2]."""

DRAWN_CUT = 2 * (100 + 60) + 20 * math.pi + 25.4 * math.pi + 2 * (24 + 8 * math.pi)
"""Length of its cuts by hand [mm]."""


def drawn_blank(name: str = ODD_NAME) -> Blank:
    """The plate above with a bend up and one down."""
    first = BendMark("flange.bend", (-60.0, 31.0), (60.0, 31.0), 90.0, "up", 3.0, 5.2)
    second = BendMark("<tab> & co", (-60.0, -31.0), (-48.0, -31.0), 45.0, "down", 2.0, 2.3)
    return Blank(name, 2.0, drawn_outline(), (first, second))


def overlapping_blank() -> Blank:
    """A blank whose slot breaks through its edge: not to be cut, but to be shown."""
    plain = rectangle(50, 30)
    slot = disc(10).moved(Motion.shift(25, 0)).outer.reversed().started()
    found = (
        Overlap("lug[1]", "lug[2]", (22.0, 0.0), 1.25, 30.0),
        Overlap("lug[2]", "lug[3]", (0.0, 9.0), 0.0, 0.0),
    )
    return Blank("clash", 1.0, Outline(plain.outer, (slot,)), (), found)
