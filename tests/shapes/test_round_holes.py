"""Tapped holes and holes for pressed parts: drills by the table, and where they are listed."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from formparts.body import Body, Sheet
from formparts.errors import InputError
from formparts.outline import disc, rectangle
from formparts.part import Part
from formparts.shapes import (
    X_AXIS,
    cut_opening,
    fuse,
    mirror,
    plate,
    pressed,
    profile,
    renamed,
    rotate,
    run,
    tapped,
    up,
)
from tests.shapes.test_openings_across_bends import assert_agrees

SHEET = Sheet(3.0, 3.0, "S235JR", 0.44)


def mount() -> Body:
    body = profile(SHEET, 60, run(60), up(90), run(40), name="mount")
    body = cut_opening(body, tapped("M5"), places=[(15, 15), (15, 45)], name="tap")
    return cut_opening(body, pressed(6.4, "press nut M5", 9, least_edge=8), "mount.run[2]", (20, 30), "nut")


@pytest.mark.parametrize(
    ("thread", "drill"),
    [
        ("M3", 2.5),
        ("m5", 4.2),
        ("M6", 5.0),
        ("M8", 6.8),
        ("M10 x 1", 9.0),
        ("1/4-20", 5.1054),
        ("#8-32 UNC", 3.4544),
    ],
)
def test_drills_by_the_table(thread: str, drill: float) -> None:
    """ISO 2306 for metric threads; Machinery's Handbook for unified ones: No. 7 is 0.201, No. 29 0.136 inch."""
    assert tapped(thread).diameter == pytest.approx(drill, abs=1e-9)


def test_only_the_drill_is_cut() -> None:
    """Volume by hand: two holes of 4.2 and one of 6.4 through 3 mm; every method agrees, threads are not modelled."""
    bare = profile(SHEET, 60, run(60), up(90), run(40), name="mount")
    lost = Part(bare).properties.volume - Part(mount()).properties.volume
    assert lost == pytest.approx(3.0 * math.pi * (2 * 2.1**2 + 3.2**2), rel=1e-9)
    assert_agrees(mount())


def test_every_output_says_it(tmp_path: Path) -> None:
    """The list of openings, the JSON, the blank and a layer of its own in the DXF: the thread's circle, not cut."""
    part = Part(mount())
    assert [one.feature.callout for one in part.openings if one.feature] == ["M5", "M5", "press nut M5"]
    assert [mark.kind for mark in part.blank.features] == ["tap", "tap", "standing"]
    part.write(tmp_path / "mount-blank.dxf")
    space = ezdxf.readfile(tmp_path / "mount-blank.dxf").modelspace()
    circles = sorted((c.dxf.layer, c.dxf.radius) for c in space.query("CIRCLE"))
    assert circles == [
        ("cut", 2.1),
        ("cut", 2.1),
        ("cut", 3.2),
        ("standing", 4.5),
        ("tapped", 2.5),
        ("tapped", 2.5),
    ]


def test_the_json_gives_thread_and_drill_in_mm(tmp_path: Path) -> None:
    """M5 is 5 mm at a pitch of 0.8 mm (ISO 261), its drill 4.2 mm (ISO 2306); the nut sits 9 mm wide in 6.4 mm."""
    Part(mount()).write(tmp_path / "mount.json")
    openings = json.loads((tmp_path / "mount.json").read_text(encoding="utf-8"))["openings"]
    found = [
        (
            one["length_mm"],
            one["feature"]["callout"],
            one["feature"]["diameter_mm"],
            one["feature"]["pitch_mm"],
        )
        for one in openings
    ]
    assert found == [(4.2, "M5", 5.0, 0.8), (4.2, "M5", 5.0, 0.8), (6.4, "press nut M5", 9.0, 0.0)]


def test_the_face_turns_with_the_part() -> None:
    """Fused upside down, what was tapped from above is tapped from below; renamed and mirrored it stays."""
    strip = cut_opening(plate(SHEET, rectangle(40, 20), "strip"), tapped("M5"), places=(10, 0), name="tap")
    over = rotate(strip, 180, X_AXIS)
    other = plate(SHEET, rectangle(40, 60), "host")
    joined = fuse(
        Body("host", SHEET, other.flats, (), over.frame.moved_in_plane(_turned())), renamed(over, "guest")
    )
    faces = [one.feature.face for flat in joined.flats for one in flat.openings if one.feature]
    assert faces == ["lower"]
    kept = mirror(renamed(strip, "left"), "yz").flats[0].openings[0].feature
    assert kept is not None
    assert kept.face == "upper"


def _turned() -> Any:
    from formparts.outline import Motion

    return Motion.turn_over()


def test_findings_just_inside_and_outside() -> None:
    """M5 has three turns in 2.4 mm (pitch 0.8); a nut 8 mm from the edge by its maker's figures."""
    for thickness, codes in ((2.4, set()), (2.3, {"thread-too-short"})):
        body = cut_opening(plate(Sheet(thickness, 3), rectangle(60, 60)), tapped("M5"), name="tap")
        assert {one.code for one in Part(body).findings()} & {"thread-too-short"} == codes
    nut = pressed(6.4, "press nut M5", 9, least_edge=8, least_thickness=2)
    for y, thickness, codes in (
        (22.0, 2.0, set()),
        (22.1, 2.0, {"pressed-part-near-edge"}),
        (22.0, 1.5, {"sheet-too-thin-for-pressed-part"}),
    ):
        body = cut_opening(plate(Sheet(thickness, 3), rectangle(60, 60)), nut, places=(0, y), name="nut")
        found = {one.code for one in Part(body).findings()}
        assert found & {"pressed-part-near-edge", "sheet-too-thin-for-pressed-part"} == codes


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: tapped("M7"), "thread = M7: is not in the table; one of M1.6, M2"),
        (lambda: tapped(5), "thread = 5: is not in the table"),
        (lambda: tapped("M5", face="top"), 'face = top: is not a face; give "upper" or "lower"'),
        (lambda: pressed(6.4, "", 9), "is not a name; say what is pressed in"),
        (lambda: pressed(6.4, "nut", 5), "outside = 5 mm: is no more than its hole of 6.4 mm"),
        (lambda: pressed(0, "nut", 5), "diameter = 0 mm"),
        (lambda: cut_opening(mount(), disc(6), places=(17, 15), name="cut"), "leaves no whole hole for M5"),
        (lambda: cut_opening(mount(), tapped("M5"), places=(57, 30), on="blank"), "is made in a flat; move it off"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
