"""Two parts as shops make them: a plate with countersinks and pressed nuts, a motor mount with tapped holes."""

from __future__ import annotations

import math

import pytest

from formparts.body import Body, Sheet
from formparts.outline import disc, rectangle
from formparts.part import Part
from formparts.shapes import (
    add_flange,
    add_mark,
    clearance_hole,
    cut_opening,
    drill,
    lettering,
    plate,
    pressed,
    tapped,
)


def cover_plate() -> Body:
    """120 x 80 of 5 mm: four M5 countersinks in the corners, two press nuts M4, a part number."""
    body = plate(Sheet(5, 5, "S235JR"), rectangle(120, 80, 6), "cover")
    corners = [(x, y) for x in (-48, 48) for y in (-28, 28)]
    body = cut_opening(body, clearance_hole("M5", head="countersunk"), places=corners, name="screw")
    nut = pressed(5.4, "press nut M4", 8, least_edge=7, least_thickness=1, face="lower")
    body = cut_opening(body, nut, places=[(-20, 0), (20, 0)], name="nut")
    return add_mark(body, lettering("CP-5-120", 5), places=(0, 25), name="number")


def motor_mount() -> Body:
    """80 x 60 of 4 mm with a wall: bore, four M4 threads round it, a pin through the wall drilled after bending."""
    body = plate(Sheet(4, 4, "S235JR"), rectangle(80, 60), "mount")
    body = cut_opening(body, disc(22), name="bore")
    threads = [(x, y) for x in (-17.5, 17.5) for y in (-17.5, 17.5)]
    body = cut_opening(body, tapped("M4"), places=threads, name="tap")
    body = add_flange(body, "back", 30, edge_to="outside", name="wall")
    return drill(body, 6, (0, 0, 20), (0, 1, 0), "pin", after_bending=True)


def test_plate_with_countersinks_and_nuts() -> None:
    """By hand: plate less corners, four frusta 2.45 mm deep on 5.5 mm (ISO 273, ISO 7721), two nuts' holes."""
    part = Part(cover_plate())
    area = 120 * 80 - (4 - math.pi) * 6**2 - math.pi * (4 * 2.75**2 + 2 * 2.7**2)
    cone = math.pi * 2.45 * ((5.2**2 + 5.2 * 2.75 + 2.75**2) / 3 - 2.75**2)
    assert part.properties.volume == pytest.approx(5 * area - 4 * cone, rel=1e-12)
    assert [row for row in part.audit() if not row.agrees] == []
    # 5.4 and 5.5 mm are under 1.2 t = 6 mm: a true warning for whoever punches them.
    assert {one.code for one in part.findings() if one.severity != "note"} == {"opening-too-small"}


def test_motor_mount_with_threads() -> None:
    """The drills of M4 are 3.3 mm (ISO 2306); six loops are cut, and the pin's hole is a mark."""
    part = Part(motor_mount())
    assert [row for row in part.audit() if not row.agrees] == []
    assert [one.length for one in part.openings if one.feature] == [3.3] * 4
    assert part.blank.pierces == 6
    assert [mark.kind for mark in part.blank.features].count("tap") == 4
    assert [mark.what for mark in part.blank.features if mark.kind == "drilled"] == ["pin: after bending"]
    assert [finding for finding in part.findings() if finding.severity == "error"] == []
