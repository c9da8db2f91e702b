"""
The `ring_riser` once more, as a plain CadQuery script: what one would write without formparts.

Extrude, revolve, union, cut, in the order in which the part is thought of; every bend is the sheet's cross-section
turned about the axis of the bend. It knows no blank, no bend schedule and no name; it is here to be timed and to be
compared with, so it shares nothing with formparts but the numbers on the drawing.
"""

from __future__ import annotations

import math

import cadquery as cq


def plain_ring_riser(
    *,
    length: float = 240.0,
    width: float = 210.0,
    corner_radius: float = 15.0,
    opening: float = 150.0,
    rise: float = 14.0,
    slope: float = 60.0,
    lug_count: int = 4,
    lug_width: float = 26.0,
    lug_hole: float = 9.0,
    pitch_diameter: float = 82.0,
    lug_start: float = 6.0,
    flange_width: float = 120.0,
    flange_height: float = 22.0,
    ear_reach: float = 28.0,
    ear_width: float = 30.0,
    slot_length: float = 16.0,
    slot_width: float = 9.0,
    relief_width: float = 4.0,
    relief_depth: float = 4.5,
    thickness: float = 2.0,
    inside_radius: float = 2.5,
) -> cq.Workplane:
    """Give the part as one solid; lengths in mm, the slope in degrees, lower face of the plate on z = 0."""
    plate = cq.Workplane("XY").rect(length, width).extrude(thickness)
    if corner_radius > 0:
        plate = plate.edges("|Z").fillet(corner_radius)
    part = plate.cut(cq.Workplane("XY").circle(opening / 2).extrude(thickness))

    lug = plain_lug(
        first_bend=opening / 2 - lug_start,
        foot=lug_start + lug_width / 2,
        tip=pitch_diameter / 2,
        width=lug_width,
        hole=lug_hole,
        rise=rise,
        slope=slope,
        thickness=thickness,
        inside_radius=inside_radius,
    )
    for number in range(lug_count):
        part = part.union(lug.rotate((0, 0, 0), (0, 0, 1), 360.0 / lug_count * number))

    ear = plain_ear(length / 2 - corner_radius, length / 2 + ear_reach, ear_width, thickness)
    slot = (
        cq.Workplane("XY")
        .center(length / 2 + ear_reach / 2, 0)
        .slot2D(slot_length, slot_width, 90)
        .extrude(thickness)
    )
    part = part.union(ear).union(ear.mirror("YZ")).cut(slot).cut(slot.mirror("YZ"))

    tangent = width / 2 - (inside_radius + thickness)
    part = part.cut(
        cq.Workplane("XY")
        .rect(flange_width, 2 * (width / 2 - tangent))
        .extrude(thickness)
        .translate((0, width / 2, 0))
    )
    for side in (-1, 1):
        middle = side * (flange_width + relief_width) / 2
        part = part.cut(plain_relief(middle, tangent - relief_depth, width / 2, relief_width, thickness))
    return part.union(plain_flange(tangent, flange_width, flange_height, thickness, inside_radius))


def plain_lug(
    first_bend: float,
    foot: float,
    tip: float,
    width: float,
    hole: float,
    rise: float,
    slope: float,
    thickness: float,
    inside_radius: float,
) -> cq.Workplane:
    """A lug on the x axis that points at the z axis; `tip` is the radius on which its hole lies."""
    r, t = inside_radius, thickness
    sin, cos = math.sin(math.radians(slope)), math.cos(math.radians(slope))
    straight = (rise - (2 * r + t) * (1 - cos)) / sin
    along = (2 * r + t) * sin + straight * cos  # of the two bends and the slope, on plan
    second_bend = first_bend - along

    lug = cq.Workplane("XY").box(foot, width, t, centered=(False, True, False)).translate((first_bend, 0, 0))
    # The cross-section of the sheet is across x; in a YZ plane local x is y and local y is z.
    section = cq.Workplane("YZ").workplane(offset=first_bend).center(0, t / 2).rect(width, t)
    lug = lug.union(section.revolve(slope, (0, t / 2 + r), (1, t / 2 + r)))
    start = (first_bend - (r + t) * sin, (r + t) * (1 - cos))  # outside of the first bend, where it ends
    sheet = [(0, 0), (-straight * cos, straight * sin)]
    sheet += [(sheet[1][0] + t * sin, sheet[1][1] + t * cos), (t * sin, t * cos)]
    sloping = cq.Workplane("XZ").polyline([(start[0] + x, start[1] + z) for x, z in sheet]).close()
    lug = lug.union(sloping.extrude(width / 2, both=True))
    section = cq.Workplane("YZ").workplane(offset=second_bend).center(0, rise + t / 2).rect(width, t)
    lug = lug.union(section.revolve(slope, (0, -t / 2 - r), (1, -t / 2 - r)))
    level = cq.Workplane("XY").workplane(offset=rise)
    strip = level.center((tip + second_bend) / 2, 0).rect(second_bend - tip, width).extrude(t)
    lug = lug.union(strip).union(level.center(tip, 0).circle(width / 2).extrude(t))
    return lug.cut(level.center(tip, 0).circle(hole / 2).extrude(t))


def plain_ear(start: float, end: float, width: float, thickness: float) -> cq.Workplane:
    """A tongue along x with a full-round end."""
    middle = end - width / 2
    strip = cq.Workplane("XY").center((start + middle) / 2, 0).rect(middle - start, width).extrude(thickness)
    return strip.union(cq.Workplane("XY").center(middle, 0).circle(width / 2).extrude(thickness))


def plain_relief(middle: float, inner: float, edge: float, width: float, thickness: float) -> cq.Workplane:
    """What is cut out beside the flange: a notch along y with a round inner end."""
    centre = inner + width / 2
    notch = (
        cq.Workplane("XY").center(middle, (centre + edge) / 2).rect(width, edge - centre).extrude(thickness)
    )
    return notch.union(cq.Workplane("XY").center(middle, centre).circle(width / 2).extrude(thickness))


def plain_flange(
    tangent: float, width: float, height: float, thickness: float, inside_radius: float
) -> cq.Workplane:
    """A bend of a quarter turn that begins at y = `tangent`, and the upright sheet above it."""
    r, t = inside_radius, thickness
    section = cq.Workplane("XZ").workplane(offset=-tangent).center(0, t / 2).rect(width, t)
    bend = section.revolve(90, (0, t / 2 + r), (1, t / 2 + r))
    upright = cq.Workplane("XY").workplane(offset=t + r).center(0, tangent + r + t / 2).rect(width, t)
    return bend.union(upright.extrude(height - t - r))
