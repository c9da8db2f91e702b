"""Which flat stays put, which side faces up, names, and where the blank lies."""

from __future__ import annotations

import math

import cadquery as cq
import pytest

from formparts.tolerances import FOLLOWED
from formparts.unfolder import Unfolded, unfold
from formparts.unfolder.space import Vector
from tests.unfolder.foreign import by_k, extruded, filleted_angle, revolved


def ends(found: Unfolded) -> list[tuple[float, float]]:
    """Ends of the first bend line, in order."""
    mark = found.blank.bends[0]
    return sorted([mark.start, mark.end])


def test_the_blank_begins_at_the_origin_with_the_bend_along_x() -> None:
    """The largest flat stays, x along its bend: box from (0, 0) to (40, 70 + arc)."""
    found = unfold(filleted_angle(), by_k)
    assert found.blank.outline.bounds == pytest.approx((0.0, 0.0, 40.0, 70.0 + math.pi / 2 * 3.88), abs=1e-9)
    assert found.flats[0].area == pytest.approx(45 * 40, rel=1e-12)
    assert found.flats[0].normal == pytest.approx((0, 0, 1))


def test_side_is_up_when_the_flange_comes_towards_the_viewer() -> None:
    """The short leg points towards +z: up from above, down from below; the blank is turned over."""
    notched = filleted_angle().cut(cq.Workplane().box(10, 6, 10, centered=False).translate((35, 0, -3)))
    above, below = (unfold(notched, by_k, up=(0, 0, sign)) for sign in (1, -1))
    assert above.bends[0].side == "up"
    assert below.bends[0].side == "down"
    assert above.blank.area == pytest.approx(below.blank.area, rel=1e-12)
    # Seen from the other side the part is its mirror image: the notch changes its corner.
    corners, others = (
        sorted((round(x, 6), round(y, 6)) for x, y in (edge.start for edge in found.blank.outline.edges))
        for found in (above, below)
    )
    top = max(y for _, y in corners)
    assert others == sorted((x, round(top - y, 6)) for x, y in corners)
    assert others != corners


def test_another_flat_can_stay_put() -> None:
    """With the short leg fixed its normal leads, and the bend line stays one and the same length."""
    found = unfold(filleted_angle(), by_k, fixed="flat[2]")
    assert found.flats[0].name == "flat[2]"
    assert found.flats[0].normal == pytest.approx((1, 0, 0))
    assert found.bends[0].length == pytest.approx(40.0, abs=1e-9)


def test_a_frame_gives_its_own_coordinates() -> None:
    """
    Origin at the far corner of the long leg, x towards the bend: the flat runs to x = 45, the bend line to
    45 + half an arc, the short leg ends at 70 + an arc.
    """
    found = unfold(filleted_angle(), by_k, frame=((50, 40, 0), (-1, 0, 0), (0, 0, 1)))
    arc = math.pi / 2 * 3.88
    assert found.blank.outline.bounds == pytest.approx((0.0, 0.0, 70.0 + arc, 40.0), abs=1e-9)
    assert ends(found) == [pytest.approx((45 + arc / 2, 0.0)), pytest.approx((45 + arc / 2, 40.0))]


@pytest.mark.parametrize(
    ("normal", "leading"),
    [
        ((0.6, 0, 0.8), 1),
        ((-0.8, 0, 0.6), 1),
        ((0, -0.8, 0.6), 1),
        ((-0.6, 0.8, 0), 1),
        ((0.8, -0.6, 0), -1),
        ((1, 0, 0), 1),
    ],
)
def test_the_side_that_looks_up_is_the_upper_one(normal: tuple[float, float, float], leading: int) -> None:
    """Of an oblique plate the one towards +z; where neither does, towards +y, else +x."""
    for sign in (1, -1):
        plane = cq.Plane(
            (5, 6, 7), (0, 0, 1) if normal[2] == 0 else (0.8, 0.1, 0.3), tuple(sign * n for n in normal)
        )
        (flat,) = unfold(cq.Workplane(plane).rect(40, 30).extrude(2), by_k).flats
        assert flat.normal == pytest.approx([leading * n for n in normal], abs=1e-9)


@pytest.mark.parametrize("axis", [(0, 0, 1), (1, 0, 0), (0, 1, 0), (1, 2, 2)])
@pytest.mark.parametrize("turn", [0, 90, 200])
def test_a_rolled_strip_is_up_where_its_hollow_side_is_seen(axis: tuple[int, int, int], turn: float) -> None:
    """Half a ring: seen from where its middle is both ends fall away, so that it is down; from the other side, up."""
    half = revolved(180.0).val().rotate((0, 0, 0), axis, turn)
    ends = [
        face.Center()
        for face in half.Faces()
        if face.geomType() == "PLANE" and face.Area() == pytest.approx(50)
    ]
    away = half.Center() - (ends[0] + ends[1]) * 0.5
    for sign, side in ((1, "down"), (-1, "up")):
        (bend,) = unfold(half, by_k, up=(away * sign).toTuple()).bends
        assert bend.side == side


@pytest.mark.parametrize(
    ("plane", "up", "at"),
    [
        ("XY", (0, 0, 1), (22, 18)),
        ("XY", (0, 0, -1), (22, 12)),
        ("XZ", (0, 1, 0), (22, 12)),
        ("XZ", (0, -1, 0), (22, 18)),
        ("YZ", (1, 0, 0), (22, 18)),
        ("YZ", (-1, 0, 0), (22, 12)),
    ],
)
def test_a_disc_has_no_straight_edge_to_lie_along(
    plane: str, up: tuple[int, int, int], at: tuple[int, int]
) -> None:
    """
    Radius 15, t 2, with a hole at (7, 3) of its plane: +x of space lies along x; where that is the normal, +y does.

    The other axis of the plane then runs upwards or downwards, as the normal and the first one make a right hand.
    """
    solid = (
        cq.Workplane(plane).circle(15).extrude(2).cut(cq.Workplane(plane).center(7, 3).circle(2).extrude(2))
    )
    (hole,) = unfold(solid, by_k, up=up).blank.outline.holes
    assert hole.circle is not None
    assert hole.circle[0] == pytest.approx(at, abs=1e-9)


@pytest.mark.parametrize(("turn", "at"), [(0, (30, 10)), (90, (30, 10)), (180, (70, 50)), (270, (70, 50))])
def test_the_longest_edge_lies_along_x_as_it_leads_in_space(turn: int, at: tuple[int, int]) -> None:
    """
    A plate of 100 x 60 with a hole at (30, 10) of one corner, turned about z and seen from above.

    Its long side comes to lie along x, the way it leads to +x, or to +y where it is upright.
    """
    solid = (
        cq.Workplane()
        .rect(100, 60, centered=False)
        .extrude(2)
        .cut(cq.Workplane().center(30, 10).circle(3).extrude(2))
    )
    (hole,) = unfold(solid.val().rotate((0, 0, 0), (0, 0, 1), turn), by_k, up=(0, 0, 1)).blank.outline.holes
    assert hole.circle is not None
    assert hole.circle[0] == pytest.approx(at, abs=1e-9)


def test_names_of_faces_name_the_flats_and_bends() -> None:
    """Stems of the names of skin faces; what has no name is numbered; the side called upper faces up."""
    solid = filleted_angle().val()
    faces = {(round(f.Center().x), round(f.Center().z)): f for f in solid.Faces() if f.geomType() == "PLANE"}
    named = {"base.lower": faces[28, 2], "base.upper": faces[28, 0]}
    found = unfold(solid, by_k, faces=named)
    assert [flat.name for flat in found.flats] == ["base", "flat[2]"]
    assert found.bends[0].side == "down"


@pytest.mark.parametrize(
    ("given", "stem"),
    [
        ("base.upper", "base"),
        ("base.lower.2", "base"),
        ("base.left", "base.left"),
        ("upper", "upper"),
        ("7", "7"),
    ],
)
def test_only_the_word_for_a_skin_is_left_out_of_a_name(given: str, stem: str) -> None:
    """It follows a dot, maybe with a number after it; all else belongs to the name."""
    solid = filleted_angle().val()
    largest = max(
        (face for face in solid.Faces() if face.geomType() == "PLANE"), key=lambda face: face.Area()
    )
    assert stem in {flat.name for flat in unfold(solid, by_k, faces={given: largest}).flats}


@pytest.mark.parametrize(("word", "side"), [("upper", "down"), ("lower", "up")])
def test_the_word_for_a_skin_says_which_side_is_up(word: str, side: str) -> None:
    """The outside of an angle called upper: its flange falls away; called lower, it comes towards the viewer."""
    solid = filleted_angle().val()
    outside = min(
        (face for face in solid.Faces() if face.geomType() == "PLANE"), key=lambda face: face.Center().z
    )
    found = unfold(solid, by_k, faces={f"base.{word}": outside})
    assert [bend.side for bend in found.bends] == [side]
    assert found.flats[0].normal == pytest.approx((0, 0, -1 if word == "upper" else 1))


@pytest.mark.parametrize(("word", "normal"), [("upper", (0, 0, 1)), ("lower", (0, 0, -1))])
def test_the_word_for_a_skin_counts_more_than_which_side_looks_up(
    word: str, normal: tuple[int, int, int]
) -> None:
    """The inside of the long leg looks up; where it is called lower, the other side is the upper one."""
    solid = filleted_angle().val()
    level = [face for face in solid.Faces() if face.geomType() == "PLANE" and face.normalAt().z > 0.9]
    found = unfold(solid, by_k, faces={f"base.{word}": max(level, key=lambda face: face.Area())})
    assert found.flats[0].normal == pytest.approx(normal)


def test_a_rim_has_the_name_of_its_edge_face() -> None:
    """The far end of the long leg is called so, and nothing else."""
    solid = filleted_angle().val()
    end = max(
        (face for face in solid.Faces() if face.geomType() == "PLANE"), key=lambda face: face.Center().x
    )
    tags = [edge.tag for edge in unfold(solid, by_k, faces={"long end": end}).blank.outline.edges]
    assert sorted(set(tags)) == ["", "long end"]
    assert tags.count("long end") == 1


def test_a_name_that_is_taken_gets_a_number_and_one_without_a_skin_is_kept() -> None:
    """A channel with legs of 50 and 20 and a web of 30, named on its outer skin; x and z find the faces."""
    solid = extruded([(50,), (90, 2), (30,), (90, 2), (20,)]).val()
    faces = {(round(f.Center().x), round(f.Center().z)): f for f in solid.Faces()}
    named = {"side.upper.1": faces[25, 0], "side.upper.2": faces[54, 19], "lip": faces[40, 38]}
    found = unfold(solid, by_k, faces=named)
    assert [(flat.name, round(flat.area, 6)) for flat in found.flats] == [
        ("side", 1500.0),
        ("side.2", 900.0),
        ("lip", 600.0),
    ]


def test_sharp_bends_the_one_way_and_the_other_have_their_lines_right_across() -> None:
    """
    A zed with no inside radius: 45, 30 and 40 long, 30 wide, t 2, so that each bend takes pi/2 x 0.88.

    Whichever skin is rolled out, one of its two bends is a plain edge there, and a strip on the blank. From the
    long flat on, the lines lie half a bend beyond 45, and half a bend and a whole one beyond 75.
    """
    arc = math.pi / 2 * 0.88
    solid = extruded([(40,), (90, 0), (30,), (-90, 0), (45,)])
    for up, places in (
        ((0, 0, 1), (45 + arc / 2, 75 + 1.5 * arc)),
        ((0, 0, -1), (70 + 1.5 * arc, 40 + arc / 2)),
    ):
        found = unfold(solid, by_k, up=up)
        assert [bend.angle for bend in found.bends] == pytest.approx([90, 90])
        for mark, place in zip(found.blank.bends, places, strict=True):
            assert mark.inside_radius == 0.0
            assert sorted([mark.start, mark.end]) == [
                pytest.approx((0.0, place), abs=1e-6),
                pytest.approx((30.0, place), abs=1e-6),
            ]
        assert found.blank.overlaps == ()


def test_bends_are_listed_from_the_fixed_flat_on() -> None:
    found = unfold(extruded([(80,), (90, 2), (30,), (-45, 2), (20,)]), by_k)
    assert [flat.name for flat in found.flats] == ["flat[1]", "flat[2]", "flat[3]"]
    assert [(bend.name, round(bend.angle, 6)) for bend in found.bends] == [
        ("bend[1]", 90.0),
        ("bend[2]", 45.0),
    ]


def test_a_rule_may_be_an_object_with_the_method() -> None:
    class Rule:
        def allowance(self, angle: float, inside_radius: float, thickness: float) -> float:
            return by_k(angle, inside_radius, thickness)

    assert unfold(filleted_angle(), Rule()).blank == unfold(filleted_angle(), by_k).blank


def test_same_solid_same_blank() -> None:
    """Two runs give equal values."""
    assert unfold(filleted_angle(), by_k) == unfold(filleted_angle(), by_k)


@pytest.mark.parametrize(("turn", "height"), [(0, 6.0), (180, 19.0)])
@pytest.mark.parametrize("up", [(0, 0, 1), (0, 0, -1)])
def test_a_rolled_strip_lies_with_y_along_its_axis(turn: float, height: float, up: Vector) -> None:
    """
    Half a ring about y from y = 0 to 25, with a hole at y = 6: so high it is on the blank, as the axis leads to +y.

    Turned about z by half a turn the strip is at y = -25 to 0 and the hole at -6, which is 19 above its lower end.
    """
    corners = [cq.Vector(x, y, 0) for x, y in ((40, 0), (42, 0), (42, 25), (40, 25))]
    profile = cq.Wire.makePolygon(corners, close=True)
    ring = cq.Solid.revolve(profile, [], 180, cq.Vector(0, 0, 0), cq.Vector(0, 1, 0))
    drill = cq.Workplane().moveTo(20, 6).circle(3).extrude(100, both=True).val()
    (hole,) = unfold(ring.cut(drill).rotate((0, 0, 0), (0, 0, 1), turn), by_k, up=up).blank.outline.holes
    _, low, _, high = hole.bounds
    assert (low + high) / 2 == pytest.approx(height, abs=FOLLOWED)
