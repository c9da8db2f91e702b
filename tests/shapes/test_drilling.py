"""Holes drilled in space and holes cut after bending: where they come out, and what the cutter gets."""

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
from formparts.outline import disc
from formparts.part import Part
from formparts.shapes import X_AXIS, cut_opening, drill, mirror, profile, rotate, run, tapped, translate, up
from tests.shapes.test_openings_across_bends import assert_agrees

SHEET = Sheet(2.0, 3.0, "S235JR", 0.44)


def channel() -> Body:
    """Legs 40 high on a base 60 wide, 80 long, to the outside."""
    return profile(SHEET, 80, run(40), up(90), run(60), up(90), run(40), name="channel", root=2)


def across(body: Body) -> Body:
    """A hole of 6 across both legs, 25 above the base's lower face, in the middle of the length."""
    at = frames_of(body)
    return drill(body, 6, (at[0], 40.0, 24.0), (1, 0, 0), "bolt")


def frames_of(body: Body) -> tuple[float, float, float]:
    """The lowest corner of the part in space."""
    return Part(body).properties.lowest


def test_one_direction_goes_through_both_legs() -> None:
    """Both at the same place in space, 60 - 2 mm apart; the volume of two discs is gone; every method agrees."""
    body = across(channel())
    places = {one.name: one.on_part for one in Part(body).openings}
    assert set(places) == {"bolt[1]", "bolt[2]"}
    (x0, y0, z0), (x1, y1, z1) = places["bolt[1]"], places["bolt[2]"]
    assert (y0, z0) == pytest.approx((40.0, 24.0), abs=1e-9)
    assert (y1, z1) == pytest.approx((40.0, 24.0), abs=1e-9)
    assert x1 - x0 == pytest.approx(58.0, abs=1e-9)
    lost = Part(channel()).properties.volume - Part(body).properties.volume
    assert lost == pytest.approx(2.0 * 2.0 * math.pi * 9.0, rel=1e-9)
    assert_agrees(body)


def test_in_any_position() -> None:
    """The same hole in a part in another position, mirrored and turned: the direction turns with it."""
    body = translate(rotate(channel(), 90, X_AXIS), (5, 6, 7))
    drilled = drill(body, 6, (0, 6 - 24.0, 7 + 40.0), (2, 0, 0), "bolt")
    assert len(Part(drilled).openings) == 2
    assert_agrees(mirror(drilled, "yz", (7, 0, 0)))


def test_a_thread_in_one_flat_keeps_its_name() -> None:
    """Upright through the base alone."""
    x, _, _ = frames_of(channel())
    body = drill(channel(), tapped("M5"), (x + 30, 20, 0), name="tap")
    (one,) = Part(body).openings
    assert (one.name, one.feature and one.feature.callout) == ("tap", "M5")


def test_the_cutter_gets_a_mark_and_no_cut(tmp_path: Path) -> None:
    """Drilled after bending: the DXF has the circle on a layer of its own; cut length and pierces are without it."""
    plain = Part(cut_opening(channel(), disc(6), places=(25, 40), name="hole"))
    part = Part(cut_opening(channel(), disc(6), places=(25, 40), name="hole", after_bending=True))
    assert part.properties.volume == plain.properties.volume
    assert part.blank.area == plain.blank.area
    assert part.blank.pierces == plain.blank.pierces - 1
    assert plain.blank.cut_length - part.blank.cut_length == pytest.approx(6.0 * math.pi)
    assert [row for row in part.audit() if not row.agrees] == []
    for ending in ("-blank.dxf", "-blank.svg", ".json"):
        part.write(tmp_path / f"part{ending}")
    space = ezdxf.readfile(tmp_path / "part-blank.dxf").modelspace()
    assert [(c.dxf.layer, c.dxf.radius) for c in space.query("CIRCLE")] == [("drilled", 3.0)]
    opening = json.loads((tmp_path / "part.json").read_text(encoding="utf-8"))["openings"][0]
    assert opening["after_bending"] is True
    words = {mark.text for mark in drawing(part.body).marks if isinstance(mark, Words)}
    assert "Ø6, after bending" in words
    texts = [change.text for change in compare(plain.body, part.body)]
    assert "hole is a plain opening, after bending, before a plain opening" in texts


def test_near_a_bend_it_is_drilled_afterwards() -> None:
    """1 mm from the tangent line a hole is an error in 3 mm sheet and a warning in 2; after bending it is neither."""
    for thickness, severity in ((3.0, "error"), (2.0, "warning")):
        sheet = Sheet(thickness, 3.0, "DC01", 0.44)
        base = profile(sheet, 60, run(60), up(90), run(40), name="angle")
        tangent = 60.0 - 3.0 - thickness
        for later, wanted in ((False, [severity]), (True, [])):
            body = cut_opening(base, disc(10), places=(tangent - 6.0, 30), name="hole", after_bending=later)
            found = [one.severity for one in Part(body).findings() if one.code == "opening-near-bend"]
            assert found == wanted


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: drill(channel(), 6, (0, 200, 24), (1, 0, 0)), "meets no flat along its direction"),
        (lambda: drill(channel(), 6, (0, 79, 24), (1, 0, 0)), "runs over an edge of channel.run"),
        (lambda: drill(channel(), 6, (0, 40, 24), (1, 0.2, 0)), "deg off square, and walls of holes are square"),
        (lambda: drill(channel(), 6, (frames_of(channel())[0] + 1.5, 40, 0), (0.1, 0, 1)), "goes through the bend"),
        (lambda: drill(channel(), 6, (0, 40)), "is not three figures; give"),
        (lambda: drill(channel(), 6, (0, 40, 24), (0, 0, 0)), "has no length"),
        (lambda: drill(channel(), 0, (0, 40, 24)), "hole = 0 mm"),
        (
            lambda: cut_opening(channel(), disc(6), places=(0, 0), on="blank", after_bending=True),
            "is not for what is cut in the blank",
        ),
        (
            lambda: cut_opening(channel(), disc(30), places=(25, 0), name="notch", after_bending=True),
            "leaves no whole opening to be cut after bending",
        ),
        (lambda: cut_opening(channel(), disc(10), places=(2, 40)), r'cut it across the bend: on="blank"$'),
    ],
)  # fmt: skip
def test_refusals(made: Any, message: str) -> None:
    with pytest.raises(InputError, match=message):
        made()
