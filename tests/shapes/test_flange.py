"""Flanges: heights and edges by every datum, reliefs and notches by hand, and edges by points as they are typed."""

from __future__ import annotations

import math
from typing import Any

import pytest
from OCP.BRepCheck import BRepCheck_Analyzer

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import Motion, alike, closed_path, disc, polygon, rectangle
from formparts.part import Part
from formparts.shapes import add_flange, cut_opening, hole, mirror, pierced, plate, relief
from formparts.shapes import fuse as join
from formparts.shapes import translate as moved
from formparts.solids import solid

T, R = 2.0, 3.0
SHEET = Sheet(T, R)


def base(wide: float = 60) -> Body:
    return plate(SHEET, rectangle(wide, 40), "base")


@pytest.mark.parametrize("side", ["up", "down"])
@pytest.mark.parametrize(
    ("edge_to", "reach"),
    # Outer face of an upright flange from the middle of the plate, by hand: the edge at 30 marks its outside, its
    # inside, the same two mould lines and mid-surface at 90 deg, or where the bend begins.
    [("outside", 30), ("mould line", 30), ("inside", 32), ("mid-surface", 31), ("tangent line", 35)],
)
def test_edge_marks_what_it_is_said_to(edge_to: Any, reach: float, side: Any) -> None:
    body = add_flange(base(), "right", 25, edge_to=edge_to, side=side)
    assert properties(body).highest[0] == pytest.approx(reach, abs=1e-12)


@pytest.mark.parametrize(
    ("height_to", "high"),
    # Free end over the lower face of the plate: 25 from its outside (the lower face), from its inside (the upper
    # face), from the mid-surface; the tangent line of the bend on the flange is R + t over the lower face.
    [("outside", 25), ("mould line", 25), ("inside", 27), ("mid-surface", 26), ("tangent line", 30)],
)
def test_height_is_measured_to_what_is_said(height_to: Any, high: float) -> None:
    assert properties(add_flange(base(), "right", 25, height_to=height_to)).highest[2] == pytest.approx(
        high, abs=1e-12
    )
    lowest = properties(add_flange(base(), "right", 25, height_to=height_to, side="down")).lowest[2]
    assert lowest == pytest.approx(T - high, abs=1e-12)


@pytest.mark.parametrize("facing", ["front", "right", "back", "left"])
def test_each_side_of_a_plate(facing: Any) -> None:
    """A square plate and one flange: the same part, turned."""
    square = plate(SHEET, rectangle(40, 40), "base")
    figures = properties(add_flange(square, facing, 25))
    assert figures.volume == pytest.approx(properties(add_flange(square, "right", 25)).volume, rel=1e-12)
    axis, sign = {"front": (1, -1), "right": (0, 1), "back": (1, 1), "left": (0, -1)}[facing]
    assert sign * figures.centroid[axis] > 1
    assert figures.envelope == pytest.approx((40, 40, 25), abs=1e-12)


def test_reliefs_by_hand() -> None:
    """
    Edge of 40, bend of 20 in its middle, 5 mm inside the edge; round reliefs 4 wide, 3 beyond the tangent line.

    Each takes 4 x 6 and half a circle of 4; square ones 4 x 8. The room of the bend takes 20 x 5.
    """
    plain, flange = 60 * 40, 20 * (25 - 5)
    bend = math.pi / 2 * (R + T / 2) * 20
    for shape, each in (("round", 4 * 6 + 2 * math.pi), ("square", 4 * 8)):
        body = add_flange(base(), "right", 25, width=20, relief=relief(4, 3, shape))  # type: ignore[arg-type]
        by_hand = T * (plain - 20 * 5 - 2 * each + flange + bend)
        assert properties(body).volume == pytest.approx(by_hand, rel=1e-12)
    one_side = add_flange(base(), "right", 25, width=20, centre=10, relief=relief(4, 3, "square"))
    assert properties(one_side).volume == pytest.approx(
        T * (plain - 20 * 5 - 4 * 8 + flange + bend), rel=1e-12
    )


def test_notch_stays_on_its_side_of_a_slot() -> None:
    """A flange out of the edge of a slot of 4 mm: its room is cut on its own side only, not across the slot."""
    slotted = plate(SHEET, pierced(rectangle(60, 40), rectangle(20, 4)), "base")
    body = add_flange(slotted, ((-10, 2), (10, 2)), 12, width=10, relief=relief(2, 1))
    outline = body.flat("base").outline
    assert outline.contains((0, -2.001))
    assert not outline.contains((0, 6.9))  # 5 mm of room behind the edge at y = 2
    assert outline.contains((0, 7.001))


def test_relief_of_just_its_radius_is_enough() -> None:
    """A round end begins at the tangent line: nothing of the flat is left beside the bend, and the blank is clean."""
    body = add_flange(base(), "right", 25, width=20, relief=relief(6, 3))
    assert blank(body).overlaps == ()
    with pytest.raises(InputError, match="would not set the bend free; at least 3 mm"):
        add_flange(base(), "right", 25, width=20, relief=relief(6, 2.999))


@pytest.mark.parametrize("digits", [6, 7, 9])
def test_points_of_a_slanted_edge_may_be_typed(digits: int) -> None:
    """Rounded to a millionth they lie beside the edge: the bend lies on it all the same, to the kernel's precision."""
    slanted = plate(SHEET, closed_path((0, 0), (60, 0), (47, 39), (0, 40)), "base")
    first, last = ((60 - 13 * share, 39 * share) for share in (0.21374, 0.76513))
    ends = tuple((round(x, digits), round(y, digits)) for x, y in (first, last))
    body = add_flange(slanted, ends, 20, edge_to="tangent line")  # type: ignore[arg-type]
    made = solid(body).shape
    assert BRepCheck_Analyzer(made).IsValid()
    assert measured(made).volume == pytest.approx(properties(body).volume, rel=1e-9)


@pytest.mark.parametrize("shape", ["square", "round"])
def test_a_relief_may_take_all_that_is_left_beside_an_ear(shape: Any) -> None:
    """
    Edge of 80 beside an ear, a flange of 56 on it: 12 are left on each side. The order of building does not matter.

    By hand: the plate and ear, less the room of the bend and two reliefs 12 wide, 6 beyond the tangent line 5 inside.
    """
    big, ear = plate(SHEET, rectangle(100, 60), "base"), plate(SHEET, rectangle(20, 20), "ear")
    ear = moved(ear, (40, -40, 0))
    whole: dict[str, Any] = {"width": 56, "relief": relief(12, 6, shape)}
    after = join(add_flange(big, ((-50, -30), (50, -30)), 25, centre=-10, **whole), ear)
    before = add_flange(join(big, ear), ((-50, -30), (30, -30)), 25, **whole)
    each = 12 * 11 if shape == "square" else 12 * 5 + 18 * math.pi
    by_hand = T * (6000 + 400 - 56 * 5 - 2 * each + 56 * 20 + math.pi / 2 * (R + T / 2) * 56)
    for body in (before, after):
        assert properties(body).volume == pytest.approx(by_hand, rel=1e-12)
        assert measured(solid(body).shape).volume == pytest.approx(by_hand, rel=1e-9)
    assert alike(blank(before).outline, blank(after).outline)


@pytest.mark.parametrize("wide", [0.001, 0.2])
def test_a_tear_relief_is_a_slit_as_wide_as_its_cut(wide: float) -> None:
    """
    A flange of 30 on an edge of 60, slit 8 mm deep on both sides: from the shortest edge there is up to a laser's cut.

    By hand: the tangent line lies 5 inside the edge, the bend takes pi/2 (3 + 0.44 x 2) on the blank, 20 are straight.
    Slits change the length of the cut by their two walls, the area by their own. The unfolder finds the same, and what
    is too narrow to be cut is an error.
    """
    part = Part(
        add_flange(
            plate(Sheet(T, R, bend_rule="K 0.44"), rectangle(60, 40), "base"),
            "back", 25, width=30, relief=relief(wide, 3, "square"),
        )
    )  # fmt: skip
    beyond = math.pi / 2 * (R + 0.44 * T) + 20 - 5
    assert part.blank.cut_length == pytest.approx(200 + 2 * beyond + 2 * 2 * 8, abs=1e-9)
    assert part.blank.area == pytest.approx(2400 + 30 * beyond - 2 * 8 * wide, abs=1e-9)
    assert all(row.agrees for row in part.audit())
    assert [found.code for found in part.findings() if found.severity == "error"] == ["narrow-cut"] * 2


def test_a_rounded_corner_wants_a_relief_as_any_other() -> None:
    """The edge ends where the corner begins to round, but the plate goes on beside the bend."""
    rounded = plate(SHEET, rectangle(60, 40, 6), "base")
    with pytest.raises(InputError, match="goes on beside a bend that lies 5 mm inside its edge"):
        add_flange(rounded, "right", 20)
    body = add_flange(rounded, "right", 20, relief=relief(2, 2))
    assert blank(body).overlaps == ()
    assert BRepCheck_Analyzer(solid(body).shape).IsValid()


def test_names_of_a_renamed_or_mirrored_body_all_follow() -> None:
    """A body with a flange can be mirrored and fused with itself: no name is there twice."""
    wing = moved(
        add_flange(plate(SHEET, rectangle(20, 20), "wing"), "right", 15, edge_to="tangent line"), (35, 0, 0)
    )
    other = mirror(wing, "yz", name="left")
    assert {"left", "left.flange", "left.flange.bend"} == set(other.names)
    body = join(base(), wing, other)
    assert {bend.name for bend in body.bends} == {"flange.bend", "left.flange.bend"}
    assert mirror(other, "yz", name="again").names == ("again", "again.flange", "again.flange.bend")


@pytest.mark.parametrize(
    ("diameter", "x", "words"),
    [(10, 20, "touches another hole"), (6, 27, "touches the outer loop"), (8, 26, "touches the outer loop")],
)
def test_an_opening_that_only_touches_is_refused(diameter: float, x: float, words: str) -> None:
    """A web of no width can be cut by nobody, and is not a solid: by hand, a disc whose edge is just at x = 30."""
    holed = cut_opening(base(), disc(10), places=[Motion.shift(10, 0)], name="first")
    with pytest.raises(InputError, match="could not be cut") as caught:
        cut_opening(holed, disc(diameter), places=[Motion.shift(x, 0)], name="second")
    assert words in str(caught.value)


def test_a_flange_of_any_outline() -> None:
    """Volume by hand: plate 100 x 50, quarter ring, triangle of half 60 x 40, all 2 mm thick."""
    sheet = Sheet(2, 3, "S235JR", 0.44)
    gusset = polygon([(0, 0), (60, 0), (0, 40)])
    flat = plate(sheet, rectangle(100, 50), "base")
    part = add_flange(flat, ((-30, 25), (30, 25)), outline=gusset, edge_to="tangent line", name="gusset")
    ring = math.pi / 4 * (5**2 - 3**2) * 60
    assert properties(part).volume == pytest.approx(100 * 50 * 2 + ring + 0.5 * 60 * 40 * 2, rel=1e-12)


@pytest.mark.parametrize(
    ("outline", "more", "words"),
    [
        (polygon([(0, 1), (60, 1), (0, 40)]), {}, "has no edge along its bend line"),
        (polygon([(0, 0), (30, 0), (0, 40)]), {}, "has no edge along its bend line"),
        (polygon([(0, 0), (100, 0), (0, 40)]), {"height": 20}, "is given beside the flange's own outline"),
        (polygon([(0, 0), (100, 0), (0, 40)]), {"hole": hole(5, 9)}, "leave it away, or the outline"),
        ("round", {}, "is not an outline"),
    ],
)
def test_an_outline_that_is_none_of_a_flange_is_refused(outline: Any, more: Any, words: str) -> None:
    flat = plate(Sheet(2, 3, "S235JR", 0.44), rectangle(100, 50), "base")
    with pytest.raises(InputError, match=words):
        add_flange(flat, "back", outline=outline, edge_to="tangent line", name="gusset", **more)


def test_an_edge_that_is_bent_already_is_said_by_the_name_of_its_bend() -> None:
    one = add_flange(plate(SHEET, rectangle(60, 60)), "back", 20, name="first")
    with pytest.raises(
        InputError, match=r"^second: edge = on plate: holds first\.bend already; choose another edge"
    ):
        add_flange(one, "back", 20, name="second")
    with pytest.raises(InputError, match="walls that meet at a corner by box"):
        add_flange(one, "left", 20, name="second")
