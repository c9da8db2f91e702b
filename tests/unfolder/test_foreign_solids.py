"""
Solids that formparts did not model come out as the blank that is worked out by hand beside each of them.

All lengths in mm. Unless another rule is named, the neutral fibre is at 0.44 thicknesses, so that a bend takes
angle x (inside radius + 0.44 t); legs "to the outside" lose inside radius + t at each bend (exact mathematics).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import pytest

from formparts.body import Sheet
from formparts.outline import disc, rectangle
from formparts.outline.edges import Line
from formparts.shapes import add_flange, pierced, plate
from formparts.solids import solid as modelled
from formparts.unfolder import read_solid, unfold
from formparts.unfolder.reading import has_free_form, only_solid
from tests.unfolder.foreign import (
    as_splines,
    bored_strip,
    box_cutter,
    by_k,
    extruded,
    filleted_angle,
    flat_size,
    revolved,
    tapered_bend,
    tapered_flange,
    tray,
)

EXACT = 1e-9


def test_an_extruded_angle_with_fillets() -> None:
    """Legs 50 and 30 to the outside, t 2, r 3: 45 + 25 + pi/2 x 3.88 = 76.094690; 40 wide."""
    found = unfold(filleted_angle(), by_k)
    assert flat_size(found) == pytest.approx([40.0, 70.0 + math.pi / 2 * 3.88], abs=EXACT)
    assert found.thickness == pytest.approx(2.0, abs=EXACT)
    assert [(b.angle, b.inside_radius, b.length) for b in found.bends] == [
        (pytest.approx(90.0, abs=EXACT), pytest.approx(3.0, abs=EXACT), pytest.approx(40.0, abs=EXACT))
    ]
    # Straights 45 and 25, and a quarter ring of middle radius 4: 2 x 40 x (70 + 2 pi).
    assert found.volume == pytest.approx(80.0 * (70.0 + 2.0 * math.pi), rel=1e-12)
    assert found.blank.area == pytest.approx(40.0 * (70.0 + math.pi / 2 * 3.88), rel=1e-12)


def test_a_number_is_a_k_factor_and_0_44_if_none_is_given() -> None:
    """The same angle: its arc is pi/2 x (3 + 2 K) long; K 0.44 gives 3.88, K 0.3 gives 3.6, K 1 gives 5, 0 gives 3."""
    for given, radius in (((), 3.88), ((0.44,), 3.88), ((0.3,), 3.6), ((1,), 5.0), ((0,), 3.0)):
        found = unfold(filleted_angle(), *given)
        assert found.bends[0].allowance == pytest.approx(math.pi / 2 * radius, rel=1e-9)
        assert found.blank.width == pytest.approx(70.0 + math.pi / 2 * radius, rel=1e-9)


def test_a_channel_with_its_bends_the_same_way() -> None:
    """
    BA-03: U 30/50/30 to the outside, t 2, r 2: 103.047787 with K 0.44, 103.424778 with K 0.5.

    Source: exact mathematics, legs 26 + 42 + 26 and two arcs of pi/2 (2 + 2 K).
    """
    solid = extruded([(26,), (90, 2), (42,), (90, 2), (26,)])
    assert flat_size(unfold(solid, by_k))[1] == pytest.approx(103.047787, abs=1e-6)
    half = unfold(solid, lambda angle, radius, t: math.radians(angle) * (radius + 0.5 * t))
    assert flat_size(half)[1] == pytest.approx(103.424778, abs=1e-6)
    assert len({bend.side for bend in half.bends}) == 1


def test_a_zed_of_unlike_bends() -> None:
    """Straights 30, 20, 25; 60 deg at r 3 one way, 110 deg at r 1 the other; t 1.5."""
    found = unfold(extruded([(30,), (60, 3), (20,), (-110, 1), (25,)], t=1.5), by_k)
    length = 75.0 + math.radians(60) * 3.66 + math.radians(110) * 1.66
    assert flat_size(found) == pytest.approx([30.0, length], abs=EXACT)
    assert {(round(b.angle, 9), round(b.inside_radius, 9)) for b in found.bends} == {
        (60.0, 3.0),
        (110.0, 1.0),
    }
    assert {bend.side for bend in found.bends} == {"up", "down"}


def test_problem_of_groover() -> None:
    """
    A strip 35 wide, t 5, bent to an included angle of 40 deg at r 8.5, straights 58 and 46.5: blank 129.30.

    Source: M. P. Groover, Fundamentals of Modern Manufacturing, problem 20.12, from memory; K 0.33 below r = 2 t.
    """
    solid = extruded([(58,), (140, 8.5), (46.5,)], t=5.0, w=35.0)
    found = unfold(
        solid, lambda angle, radius, t: math.radians(angle) * (radius + (0.33 if radius < 2 * t else 0.5) * t)
    )
    assert flat_size(found) == pytest.approx([35.0, 129.30], abs=0.005)


def test_a_joggle_whose_arcs_meet() -> None:
    """Two arcs of 30 deg, one into the other with no straight between them: 60 + 2 x pi/6 x 3.88."""
    found = unfold(extruded([(30,), (30, 3), (-30, 3), (30,)]), by_k)
    assert flat_size(found)[1] == pytest.approx(60.0 + math.pi / 3 * 3.88, abs=EXACT)
    assert len(found.flats) == 2
    assert sorted(bend.side for bend in found.bends) == ["down", "up"]


@pytest.mark.parametrize("radius", [1.0, 0.005])
def test_a_hem_open_and_closed(radius: float) -> None:
    """Half a turn: 40 + 12 + pi (r + 0.44); at r = 0.005 the layers are 0.01 apart."""
    found = unfold(extruded([(40,), (180, radius), (12,)], t=1.0), by_k)
    assert flat_size(found)[1] == pytest.approx(52.0 + math.pi * (radius + 0.44), abs=EXACT)
    assert found.bends[0].angle == pytest.approx(180.0, abs=1e-9)


def test_a_curl_of_two_radii() -> None:
    """An edge rolled in: 90 deg at r 10, on into 180 deg at r 3, ends in a straight of 5."""
    found = unfold(extruded([(40,), (90, 10), (180, 3), (5,)], t=1.0), by_k)
    assert flat_size(found)[1] == pytest.approx(45.0 + math.pi / 2 * 10.44 + math.pi * 3.44, abs=EXACT)


def test_a_bend_with_no_inside_radius() -> None:
    """Inside a plain edge, outside a cylinder of radius t = 2: 48 + 28 + pi/2 x 0.88, from whichever side."""
    solid = filleted_angle(r=0)
    for up in ((0, 0, 1), (0, 0, -1)):
        found = unfold(solid, by_k, up=up)
        assert flat_size(found) == pytest.approx([40.0, 76.0 + math.pi / 2 * 0.88], abs=EXACT)
        assert found.bends[0].inside_radius == 0.0
        assert found.bends[0].angle == pytest.approx(90.0, abs=EXACT)
        assert found.bends[0].side == ("up" if up[2] > 0 else "down")


def test_a_shelled_box_with_its_corners_cut_away() -> None:
    """
    A tray: floor flat 90 x 50 between the tangent lines, less 5 x 5 at each corner; walls 80 and 40 long, each a
    bend of pi/2 x 3.88 and 35 high. Overall 90 and 50 plus two walls.
    """
    found = unfold(tray(), by_k)
    wall = 35.0 + math.pi / 2 * 3.88
    assert flat_size(found) == pytest.approx([50.0 + 2 * wall, 90.0 + 2 * wall], abs=EXACT)
    assert found.blank.area == pytest.approx(90 * 50 - 4 * 25 + 2 * wall * (80 + 40), rel=1e-11)
    assert len(found.blank.outline.outer.edges) == 12
    assert len(found.flats) == 5
    assert sorted(round(bend.length, 6) for bend in found.bends) == [40.0, 40.0, 80.0, 80.0]


def test_a_rolled_strip_of_one_large_cylinder() -> None:
    """Revolved by 300 deg at inside radius 40: 5 pi/3 x 40.88 long, 25 wide, no flat at all."""
    found = unfold(revolved(), by_k)
    assert flat_size(found) == pytest.approx([25.0, math.radians(300) * 40.88], abs=EXACT)
    assert found.flats == ()
    assert found.bends[0].angle == pytest.approx(300.0, abs=1e-9)


def test_a_large_turn_is_asked_for_in_shares_that_a_bend_rule_knows() -> None:
    """A rule that ends at 180 deg is asked twice for 150, and once for the 180 of a hem."""
    asked = []

    def rule(angle: float, radius: float, t: float) -> float:
        asked.append(angle)
        return by_k(angle, radius, t)

    unfold(revolved(300.0), rule)
    assert {round(angle, 9) for angle in asked} == {150.0}
    asked.clear()
    unfold(extruded([(40,), (180, 1), (12,)], t=1.0), rule)
    assert {round(angle, 9) for angle in asked} == {180.0}
    asked.clear()
    unfold(revolved(180.5), rule)
    assert {round(angle, 9) for angle in asked} == {90.25}


def test_a_slit_tube_has_slanted_edges_and_says_so() -> None:
    """
    A tube 40 / 36 with a slot of 4 sawn along it: the saw cuts straight, so the skins differ.

    The outer skin turns by 360 - 2 asin(2/20) deg, the inner one by 360 - 2 asin(2/18); the blank is the longer.
    """
    tube = cq.Workplane().circle(20).circle(18).extrude(50)
    found = unfold(tube.cut(box_cutter((0, -2, -1), (30, 2, 60))), by_k)
    turn = 2 * math.pi - 2 * math.asin(0.1)
    assert flat_size(found) == pytest.approx([50.0, turn * 18.88], abs=1e-6)
    assert any("slanted" in note for note in found.notes)


def test_free_form_surfaces_that_are_planes_and_cylinders() -> None:
    """The tray again, every surface and curve written as a spline: the same blank."""
    plain, splines = unfold(tray(), by_k), unfold(as_splines(tray()), by_k)
    assert splines.blank.area == pytest.approx(plain.blank.area, abs=1e-6)
    assert flat_size(splines) == pytest.approx(flat_size(plain), abs=1e-6)
    assert len(splines.bends) == 4
    assert splines.notes == ()


def test_a_bend_that_narrows_along_helices() -> None:
    """Quarter bend at r 4, t 2, from 30 wide to 18: on the blank a trapezoid pi/2 x 4.88 high, bend line 24."""
    found = unfold(tapered_bend(), by_k)
    height = math.pi / 2 * 4.88
    assert flat_size(found) == pytest.approx([height, 30.0], abs=1e-6)
    assert found.blank.area == pytest.approx(24.0 * height, rel=1e-6)
    assert found.bends[0].length == pytest.approx(24.0, abs=1e-6)
    assert len(found.blank.outline.outer.edges) == 4


def test_faces_split_by_a_joint() -> None:
    """Two halves put together without cleaning: every skin in two faces, the blank as of one."""
    solid = filleted_angle().val()
    halves = [solid.intersect(box_cutter((-99, a, -99), (99, b, 99)).val()) for a, b in ((-1, 15), (15, 41))]
    joined = halves[0].fuse(halves[1])
    assert len(joined.Faces()) > len(solid.Faces())
    found = unfold(joined, by_k)
    assert flat_size(found) == pytest.approx([40.0, 70.0 + math.pi / 2 * 3.88], abs=1e-9)
    assert len(found.blank.outline.outer.edges) == 4
    assert (len(found.flats), len(found.bends)) == (2, 1)


def test_faces_split_by_several_joints_are_one_flat() -> None:
    """Four boards side by side, their joints left in: one flat, one outline of four edges."""
    solid = cq.Workplane().box(25, 60, 2, centered=False)
    for number in (1, 2, 3):
        solid = solid.union(
            cq.Workplane().box(25, 60, 2, centered=False).translate((25 * number, 0, 0)), clean=False
        )
    assert len(solid.faces("|Z").vals()) == 8
    found = unfold(solid, by_k)
    assert [flat.area for flat in found.flats] == [pytest.approx(6000)]
    assert len(found.blank.outline.outer.edges) == 4


def test_a_bend_skin_split_along_its_rulings() -> None:
    """A bend drawn as two arcs of 45 deg on one axis is one bend of 90."""
    found = unfold(extruded([(45,), (45, 3), (45, 3), (25,)]), by_k)
    assert [round(bend.angle, 9) for bend in found.bends] == [90.0]
    assert flat_size(found)[1] == pytest.approx(70.0 + math.pi / 2 * 3.88, abs=1e-9)


def test_a_sliver_left_by_a_cut() -> None:
    """A cutter that misses the end of the leg by 0.002 leaves a lip of that width, and nothing else is changed."""
    solid = filleted_angle().cut(box_cutter((49.998, 10, -5), (60, 40, 5)))
    found = unfold(solid, by_k)
    length = 70.0 + math.pi / 2 * 3.88
    assert found.blank.area == pytest.approx(40.0 * length - 0.002 * 30.0, abs=1e-9)
    assert len(found.blank.outline.outer.edges) == 6


def test_openings_in_a_flat() -> None:
    """A round hole of 8 in the long leg, a slot 10 x 4 over all in the short one: areas off, shapes kept."""
    solid = filleted_angle()
    solid = solid.cut(cq.Workplane().center(30, 12).circle(4).extrude(10, both=True))
    solid = solid.cut(cq.Workplane("YZ").center(20, 18).slot2D(10, 4).extrude(10, both=True))
    found = unfold(solid, by_k)
    holes = math.pi * 16 + 6 * 4 + math.pi * 4
    assert found.blank.area == pytest.approx(40 * (70.0 + math.pi / 2 * 3.88) - holes, rel=1e-11)
    circles = [hole.circle for hole in found.blank.outline.holes if hole.circle]
    assert [radius for _, radius in circles] == [pytest.approx(4.0, abs=1e-9)]
    assert sorted(len(hole.edges) for hole in found.blank.outline.holes) == [2, 4]


def test_a_window_across_a_bend() -> None:
    """15 wide, from 20 out on the long leg to 15 up on the short one: (20 - 5) + arc + (15 - 5) long on the blank."""
    found = unfold(filleted_angle().cut(box_cutter((-1, 10, -1), (20, 25, 15))), by_k)
    arc = math.pi / 2 * 3.88
    assert found.blank.area == pytest.approx(40 * (70 + arc) - 15 * (25 + arc), rel=1e-11)
    (window,) = found.blank.outline.holes
    xmin, ymin, xmax, ymax = window.bounds
    assert sorted((xmax - xmin, ymax - ymin)) == pytest.approx([15.0, 25.0 + arc], abs=1e-9)
    assert [round(bend.length, 9) for bend in found.bends] == [40.0]  # one bend of two strips, 10 and 15
    assert found.notes == ()


def test_a_cut_out_from_the_edge_across_a_bend() -> None:
    """The same window moved to the side of the part: a notch of 12, and one bend of 28 is left."""
    found = unfold(filleted_angle().cut(box_cutter((-1, -1, -1), (20, 12, 15))), by_k)
    arc = math.pi / 2 * 3.88
    assert found.blank.area == pytest.approx(40 * (70 + arc) - 12 * (25 + arc), rel=1e-11)
    assert [round(bend.length, 9) for bend in found.bends] == [28.0]
    assert len(found.blank.outline.outer.edges) == 8


def test_a_bend_over_part_of_the_width_between_round_reliefs() -> None:
    """
    Leg 50 stays 40 wide, the upright leg is 20 wide between two slots of 3 with round ends, 8 deep.

    Area: plate 40 x 45 and strip and leg 20 x (arc + 25); each slot takes 3 x 6.5 and half a circle of 1.5 from the
    plate, which reaches 8 - 5 = 3 beyond the tangent line there.
    """
    solid = filleted_angle()
    solid = solid.cut(box_cutter((-1, -1, -1), (5, 10, 40))).cut(box_cutter((-1, 30, -1), (5, 41, 40)))
    for y in (8.5, 31.5):
        slot = cq.Workplane().center(0, y).rect(13, 3).extrude(20, both=True)
        solid = solid.cut(slot).cut(cq.Workplane().center(6.5, y).circle(1.5).extrude(20, both=True))
    found = unfold(solid, by_k)
    arc = math.pi / 2 * 3.88
    relief = 3 * 1.5 + math.pi * 1.5**2 / 2
    assert found.blank.area == pytest.approx(40 * 45 + 20 * (arc + 25) - 2 * relief, rel=1e-9)
    assert [round(bend.length, 9) for bend in found.bends] == [20.0]


def test_a_countersink_is_an_opening_with_a_note() -> None:
    """A hole of 5 countersunk to 10: the opening on the blank is that of 5."""
    solid = cq.Workplane().box(100, 60, 3).faces(">Z").workplane().cskHole(5, 10, 90)
    found = unfold(solid, by_k)
    assert found.blank.area == pytest.approx(6000 - math.pi * 6.25, rel=1e-12)
    assert len(found.notes) == 1
    assert "countersunk" in found.notes[0]


def test_a_bevelled_end_gives_the_longer_skin() -> None:
    """A plate 100 long above and 97 below, t 3: cut at 100, and reported."""
    solid = cq.Workplane("XZ").polyline([(0, 0), (97, 0), (100, 3), (0, 3)]).close().extrude(50)
    found = unfold(solid, by_k)
    assert flat_size(found) == pytest.approx([50.0, 100.0], abs=EXACT)
    assert "slanted" in found.notes[0]


MOVES: dict[str, Callable[[cq.Shape], cq.Shape]] = {
    "turned": lambda solid: solid.rotate((1, 2, 3), (4, -1, 9), 71).translate((100, -30, 55)),
    "far away": lambda solid: solid.translate((2e4, -3e4, 1e4)),
    "mirrored": lambda solid: solid.mirror("YZ", (3, 0, 0)),
    "inside out": lambda solid: cq.Shape.cast(solid.wrapped.Reversed()),
    "located": lambda solid: solid.moved(cq.Location(cq.Vector(1, 2, 3), cq.Vector(1, 1, 0), 40)),
}


@pytest.mark.parametrize("move", MOVES)
def test_where_the_solid_stands_does_not_matter(move: str) -> None:
    """A crooked part, moved: areas, lengths and bends stay (the blank may lie turned or mirrored)."""
    solid = filleted_angle().cut(box_cutter((20, -1, -1), (35, 12, 15))).val()
    here, there = unfold(solid, by_k), unfold(MOVES[move](solid), by_k)
    assert there.blank.area == pytest.approx(here.blank.area, abs=1e-6)
    assert flat_size(there) == pytest.approx(flat_size(here), abs=1e-6)
    assert there.blank.cut_length == pytest.approx(here.blank.cut_length, abs=1e-6)
    assert there.volume == pytest.approx(here.volume, rel=1e-9)
    assert len(there.blank.outline.edges) == len(here.blank.outline.edges)


def test_a_file_in_inches_and_askew(tmp_path: Path) -> None:
    """The tray written in inches by the kernel's writer, turned in space: read back in mm, the same blank."""
    path = tmp_path / "tray.step"
    turned = tray().val().rotate((0, 0, 0), (1, 2, 3), 40)
    _write_in_inches(turned, path)
    assert "CONVERSION_BASED_UNIT" in path.read_text(encoding="utf-8")
    found = read_solid(path)
    assert "INCH" in found.unit.upper()
    wall = 35.0 + math.pi / 2 * 3.88
    flat = unfold(found, by_k)
    assert flat_size(flat) == pytest.approx([50.0 + 2 * wall, 90.0 + 2 * wall], abs=1e-6)
    assert flat.thickness == pytest.approx(2.0, abs=1e-9)


def _write_in_inches(shape: cq.Shape, path: Path) -> None:
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    from formparts.kernel import settings, silence

    with silence(), settings(write_step_unit="INCH"):
        writer = STEPControl_Writer()
        # The kernel's 7.8 states the unit, and writes millimetres, unless its model is given both.
        writer.Model(True).SetLocalLengthUnit(1.0)
        writer.Model().SetWriteLengthUnit(25.4)
        writer.Transfer(shape.wrapped, STEPControl_AsIs)
        writer.Write(str(path))


def test_a_flange_tapered_by_a_slanted_cut() -> None:
    """
    A cut straight down along a slanted line through leg and bend: the bend's wall is not square to its skins.

    On the long leg the edge stays straight and square, at 25 across in 35 along, from y = 0 (so x = 30 - 1.4) to the
    tangent line at x = 5: sqrt(23.6^2 + (23.6 x 25/35)^2) long.
    """
    found = unfold(tapered_flange(), by_k)
    assert any("slanted" in note for note in found.notes)
    slanted = [
        edge
        for edge in found.blank.outline.outer.edges
        if isinstance(edge, Line)
        and abs(abs((edge.end[1] - edge.start[1]) * 25) - abs((edge.end[0] - edge.start[0]) * 35)) < 1e-6
    ]
    assert [edge.length for edge in slanted] == [pytest.approx(math.hypot(23.6, 23.6 * 25 / 35), abs=1e-9)]


def test_what_is_free_form_is_seen_by_faces_and_by_edges() -> None:
    """Lines and arcs on planes and cylinders are not; splines are, be it that two cylinders meet in one."""
    rim = cq.Workplane().circle(20).extrude(5).faces(">Z").edges().fillet(1)  # a torus between circles
    for solid, free in (
        (filleted_angle(), False),
        (revolved(150.0), False),
        (bored_strip(), True),
        (rim, True),
        (as_splines(filleted_angle()), True),
    ):
        assert has_free_form(only_solid(solid)) is free


@pytest.mark.parametrize("wide", [1.0, 3.0])
def test_a_stub_thicker_than_wide_is_found_from_a_smaller_face(wide: float) -> None:
    """
    A stub of 4 x 5 with a bore of 1, t 4, and an ear on it: the largest face is of the rim, and grows no skin.

    As the audit asks of a part that is known to be sheet; of a stranger it would be refused as a block.
    """
    body = plate(Sheet(4.0, 0.5, "S235JR", 0.44), pierced(rectangle(4, 5), disc(1)), "stub")
    body = add_flange(body, "front", 5.5, width=wide, edge_to="tangent line", name="ear")
    found = unfold(modelled(body), by_k, frame=((0, 0, 2), (1, 0, 0), (0, 0, 1)))
    assert found.thickness == pytest.approx(4.0, abs=1e-9)
    assert len(found.flats) == 2
