"""The blank on the page: its dimensions are drawn as on the sheet of its own."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from formparts import Part
from formparts.blanks import blank
from formparts.body import Sheet
from formparts.export.svg import svg_text
from formparts.outline import rectangle
from formparts.report.html import report_page
from formparts.report.html.blank_picture import blank_picture
from formparts.shapes import plate
from tests.parts import angle


def heads(svg: str) -> list[list[float]]:
    """Heights of tip and back corners of each arrow head of an upright dimension: both back corners are level."""
    arrows = [item for item in ElementTree.fromstring(svg).iter() if item.get("class") == "arrow"]
    heights = [[-float(y) for y in re.findall(r"[-\d.]+ ([-\d.]+)", item.get("d", ""))] for item in arrows]
    assert len(heights) == 4
    return [[tip, one, two] for tip, one, two in heights if one == two]


@pytest.mark.parametrize(("width", "inside"), [(3.0, False), (90.0, True)])
def test_arrows_stand_outside_where_there_is_no_room_between(width: float, inside: bool) -> None:
    """ISO 129-1: heads point inward from without where the dimension line is too short for them (from memory)."""
    body = plate(Sheet(1, 1), rectangle(200, width), "strip")
    flat = blank(body)
    for svg in (str(blank_picture(body, flat, ())), svg_text(flat)):
        upright = heads(svg)
        assert sorted(corners[0] for corners in upright) == pytest.approx([-width / 2, width / 2])
        for tip, *back in upright:
            assert all((end * tip < tip * tip) == inside for end in back)


def test_the_legend_says_which_line_is_up() -> None:
    """The sample of the legend has the class, and with it the style, of the bend lines that go that way."""
    text = str(report_page(Part(angle())))
    samples = re.findall(r'<line class="bend-line (up|down)" x2="64"/></svg>([^<]*)</span>', text)
    assert samples == [("up", "bend up, seen from the up side"), ("down", "bend down, seen from the up side")]
    assert len(re.findall('class="bend-line up"', text)) == 2
    assert len(re.findall('class="bend-line down"', text)) == 1  # its sample: the part has none
