"""What is pointed at on the sheet can be read: no line through figures, no number far from its bend."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, MultiLineString
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import box as rectangular

from formparts.body import Sheet
from formparts.drawings import drawing
from formparts.drawings.curves import DIMENSION, Conic
from formparts.outline import rectangle
from formparts.shapes import add_flange, plate
from tests.drawings.test_sheet import RECIPES, drawn, straights, strokes, words


@pytest.mark.parametrize("name", RECIPES)
def test_no_dimension_line_or_leader_runs_through_words(name: str) -> None:
    """ISO 129-1 (from memory): figures are not to be crossed by any line."""
    of = drawn(name)
    # A figure's line may touch the box of letters, which is a little larger than they are.
    boxes = [(word.text, rectangular(*word.box).buffer(-0.2)) for word in words(of)]
    lines = MultiLineString([(way.start, way.end) for way in straights(of, DIMENSION)])
    assert [text for text, area in boxes if area.intersects(lines)] == []


def test_the_numbers_of_bends_stand_beside_their_lines() -> None:
    """Common practice, no source: a balloon's line crosses no dimension line, as one of the hat section's once did."""
    of = drawn("hat_section")
    curves = [stroke.curve for stroke in strokes(of, DIMENSION)]
    circles = [curve for curve in curves if isinstance(curve, Conic) and curve.radius == 2.7]
    assert len(circles) == 4
    lines = [LineString([way.start, way.end]) for way in straights(of, DIMENSION)]
    for circle in circles:
        ring = ShapelyPoint(circle.centre).buffer(2.7)
        pointing = [line for line in lines if ring.boundary.distance(ShapelyPoint(line.coords[0])) < 0.05]
        assert len(pointing) == 1
        assert not [line for line in lines if line.crosses(pointing[0])]


def test_thickness_and_radius_keep_all_their_digits() -> None:
    """1/8 in is 3.175 mm, and neither 3.17 nor 3.18."""
    body = add_flange(plate(Sheet(3.175, 3.175, "DC01"), rectangle(60, 40), "base"), "back", 25, name="leg")
    texts = [word.text for word in words(drawing(body))]
    assert "t = 3.175 mm" in texts
    assert any("R3.175 unless" in text for text in texts)
