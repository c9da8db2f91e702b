"""Lettering, outlines, beads, dimples, louvres and extruded holes: on the blank, not in the solid, and reported."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from formparts.body import Body, Sheet
from formparts.comparison import compare
from formparts.drawings.curves import Words
from formparts.drawings.sheet import drawing
from formparts.errors import InputError
from formparts.outline import Motion, rectangle
from formparts.part import Part
from formparts.shapes import (
    add_flange,
    add_mark,
    bead,
    cut_opening,
    dimple,
    extruded,
    fuse,
    lettering,
    louvre,
    mirror,
    pierced_diameter,
    plate,
    profile,
    renamed,
    run,
    translate,
    up,
)
from tests.shapes.test_openings_across_bends import assert_agrees

SHEET = Sheet(2.0, 2.0, "S235JR", 0.44)


def panel(number: str = "FP-1204") -> Body:
    """A panel with a part number, a bead, two dimples below, a label, an extruded M4, and a louvre in its wall."""
    body = profile(SHEET, 80, run(90), up(90), run(50), name="panel")
    body = add_mark(body, lettering(number, 6), places=(40, 70), name="number")
    body = add_mark(body, bead(40, 8, 2), places=(40, 40), name="bead")
    body = add_mark(body, dimple(8, 1.5), places=[(15, 15), (65, 15)], name="dimple", face="lower")
    body = add_mark(body, rectangle(20, 10), places=(70, 50), name="label")
    body = add_mark(body, louvre(8, 30, 4), "panel.run[2]", (24, 40), "louvre")
    return cut_opening(body, extruded(2.5, 4.8, 1, thread="M4"), places=(40, 15), name="flare")


def test_the_solid_does_not_change() -> None:
    """Only the pierced hole of 2.5 mm is in the solid; every method agrees with and without marks."""
    bare = profile(SHEET, 80, run(90), up(90), run(50), name="panel")
    lost = Part(bare).properties.volume - Part(panel()).properties.volume
    assert lost == pytest.approx(2.0 * math.pi * 1.25**2, rel=1e-9)
    assert_agrees(panel())
    assert_agrees(mirror(panel(), "yz", (7, 0, 0)))


def test_lines_stand_on_their_own_layers_and_no_text_among_what_is_marked(tmp_path: Path) -> None:
    """Letters are open lines; FP-1204 has 2 + 1 + 1 + 2 + 1 + 2 + 1 of them, counted in the alphabet."""
    for version in ("R2000", "R12"):
        part, path = Part(panel()), tmp_path / version / "panel-blank.dxf"
        path.parent.mkdir()
        from formparts.export import write_blank_dxf

        write_blank_dxf(part.blank, path, version)
        entities = list(ezdxf.readfile(path).modelspace())
        marking = [one for one in entities if one.dxf.layer == "marking"]
        assert all(one.dxftype() in ("LWPOLYLINE", "POLYLINE") for one in marking)
        assert sum(not one.is_closed for one in marking) == 10
        assert sum(one.is_closed for one in marking) == 1
        formed = [one.dxftype() for one in entities if one.dxf.layer == "formed"]
        assert (formed.count("CIRCLE"), formed.count("TEXT")) == (3, 5)
        assert sum(one.dxf.layer == "cut" for one in entities) == 2


def test_letters_have_their_height_and_read_from_their_face() -> None:
    """6 mm high, the first letter on the left; on the lower face and in a mirror image it still reads from its face."""
    (mark,) = [one for one in panel().flats[0].marks if one.name == "number"]
    ys = [y for line in mark.lines for _, y in line]
    assert (min(ys), max(ys)) == (67.0, 73.0)
    assert mark.lines[0][0][0] == pytest.approx(40.0 - (7 * 6 - 2) / 2.0)
    under = (
        add_mark(plate(SHEET, rectangle(80, 40)), lettering("L", 6), name="under", face="lower")
        .flats[0]
        .marks[0]
    )
    (line,) = under.lines
    assert [x for x, _ in line] == [2.0, 2.0, -2.0]
    image = mirror(add_mark(plate(SHEET, rectangle(80, 40)), lettering("L", 6), places=(10, 5)), "yz").flats[
        0
    ]
    (line,) = image.marks[0].lines
    (x0, y0), (x1, y1), (x2, y2) = line
    assert (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) == pytest.approx(-6.0 * -4.0)


def test_marks_go_with_their_flat() -> None:
    """Fused, renamed and beside a flange they stay, at their place and under the new name."""
    strip = add_mark(plate(SHEET, rectangle(40, 20), "strip"), dimple(6, 1), places=(10, 0), name="dimple")
    both = fuse(plate(SHEET, rectangle(40, 20), "host"), translate(renamed(strip, "guest"), (40, 0, 0)))
    (mark,) = both.flats[0].marks
    assert mark.name.endswith("dimple")
    assert mark.middle == pytest.approx((50.0, 0.0), abs=1e-12)
    assert [one.name for one in add_flange(strip, "back", 15, name="wall").flats[0].marks] == ["dimple"]


def test_json_drawing_and_compare_say_them(tmp_path: Path) -> None:
    """Kind, words, face, height and place; callouts with their place; a changed number is a change."""
    part = Part(panel())
    part.write(tmp_path / "panel.json")
    data = json.loads((tmp_path / "panel.json").read_text(encoding="utf-8"))
    found = {one["name"]: one for one in data["marks"]}
    assert found["number"]["words"] == "FP-1204"
    assert (found["dimple[2]"]["kind"], found["dimple[2]"]["face"], found["dimple[2]"]["height_mm"]) == (
        "dimple",
        "lower",
        1.5,
    )
    assert found["bead"]["on_blank_mm"] == pytest.approx([40.0, 40.0])
    flare = next(one["feature"] for one in data["openings"] if one["name"] == "flare")
    assert (flare["kind"], flare["height_mm"], flare["pitch_mm"]) == ("extruded", 1.0, 0.7)
    words = {mark.text for mark in drawing(panel()).marks if isinstance(mark, Words)}
    assert "marked FP-1204, at 40 | 70" in words
    assert "dimple of 8 mm, 1.5 mm high, at 65 | 15, far side" in words
    assert "extruded and tapped M4, pierced Ø2.5, collar Ø4.8, 1 high" in words
    assert (
        "louvre 8 x 30 mm, 4 mm high, at 40 | 28" in words
    )  # 24 beyond the tangent line, and R + t = 4 to it
    assert [change.text for change in compare(panel(), panel("FP-1205"))] == [
        "number is FP-1205, before FP-1204"
    ]


def test_pierced_hole_of_a_collar() -> None:
    """Bore 3.3, outside 4.5, 1 mm high, of 1.5 mm sheet: 3.3^2 - (4.5^2 - 3.3^2) / 1.5 = 4.65, its root 2.156 mm."""
    assert pierced_diameter(3.3, 4.5, 1.0, 1.5) == pytest.approx(math.sqrt(4.65), rel=1e-12)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: lettering(""), "is nothing to write"),
        (lambda: lettering("50 %"), "has letters that this alphabet lacks: %"),
        (lambda: lettering("A", 0), "height = 0 mm"),
        (lambda: bead(8, 8, 2), "overall = 8 mm: is no more than its width of 8 mm"),
        (lambda: dimple(8, 0), "height = 0 mm"),
        (lambda: louvre(0, 8, 2), "slit = 0 mm"),
        (lambda: extruded(3, 3.5, 1, thread="M4"), "outside = 3.5 mm: is no more than its M4 of 4 mm"),
        (lambda: pierced_diameter(3, 5, 3, 1), r"takes more material than there is inside the bore; less than 0\.5625"),
        (lambda: add_mark(panel(), dimple(8, 1), places=(3, 40)), "runs over an edge of panel.run"),
        (lambda: add_mark(panel(), lettering("LONG TEXT", 12), places=(40, 20)), "runs over an edge of panel.run"),
        (lambda: add_mark(panel(), dimple(8, 1), places=(40, 15)), "runs over an edge of panel.run"),
        (lambda: add_mark(panel(), dimple(8, 1), places=(40, 60), face="top"), "face = top: is not a face"),
        (lambda: add_mark(panel(), dimple(8, 1), places=(15, 60), name="bead"), "bead"),
        (lambda: add_mark(panel(), Motion(), places=(15, 60)), "outline"),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
