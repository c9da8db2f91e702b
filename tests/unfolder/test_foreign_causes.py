"""What others draw and a setter would unfold: each cause once, by plain CadQuery, with figures worked by hand."""

from __future__ import annotations

import math
import re
from pathlib import Path

import cadquery as cq
import pytest

from formparts.checks import blank_findings
from formparts.errors import InputError
from formparts.unfolder import read_solid, read_solids, unfold
from tests.unfolder.foreign import by_k, extruded, filleted_angle, flat_size

BEND = math.pi / 2 * (3 + 0.44 * 2)
"""Developed length of the bend of `filleted_angle`: 90 deg, inside radius 3, t 2 [mm]."""
ANGLE = 40 * (45 + 25 + BEND)
"""Area of its blank [mm2]."""


def plate(t: float = 3.0) -> cq.Workplane:
    """100 x 60 on z = 0."""
    return cq.Workplane().box(100, 60, t, centered=(True, True, False))


def capped(radius: float, floor: float) -> cq.Workplane:
    """A ball about z = -5, cut off below a height."""
    return (
        cq.Workplane()
        .sphere(radius)
        .translate((0, 0, -5))
        .intersect(cq.Workplane().box(50, 50, 50, centered=(True, True, False)).translate((0, 0, floor)))
    )


def test_a_stud_stands_on_the_sheet() -> None:
    """10 across and 4 high, fused to a plate of 3."""
    found = unfold(plate().faces(">Z").workplane().circle(5).extrude(4), by_k)
    (feature,) = found.features
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert (feature.kind, feature.height) == ("standing", pytest.approx(4))
    assert feature.volume == pytest.approx(100 * math.pi, rel=1e-9)
    assert feature.outlines[0].circle == (pytest.approx((50, 30)), pytest.approx(5))
    assert found.unexplained == pytest.approx(0, abs=1e-6)


def test_a_dimple_is_formed_and_not_cut() -> None:
    """Balls of 10 and 9 about one centre, 5 below a sheet of 1: a dimple 16 across and 4 high."""
    found = unfold(plate(1).union(capped(10, 1)).cut(capped(9, 0)), by_k)
    (feature,) = found.features
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert found.blank.pierces == 1
    assert (feature.kind, feature.side) == ("formed", "up")
    caps = [math.pi * 16 * (3 * radius - 4) / 3 for radius in (10, 9)]
    assert feature.volume == pytest.approx(caps[0] - caps[1], rel=1e-3)
    assert feature.height == pytest.approx(4, abs=1e-6)


def test_a_half_shear_is_no_hole() -> None:
    """A round of 8 pushed half through a sheet of 2: both skins have the same circle, and nothing is cut."""
    boss = cq.Workplane().circle(4).extrude(3)
    pocket = cq.Workplane().circle(4).extrude(1)
    found = unfold(plate(2).union(boss).cut(pocket), by_k)
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert [feature.kind for feature in found.features] == ["formed"]


def test_a_flared_hole_is_formed_and_the_pierced_hole_of_its_volume_is_said() -> None:
    """A collar 3 high round a hole of 11 in a sheet of 1.5, rounded by 1 and 2.5 into it."""
    share = math.sqrt(0.5)
    section = cq.Workplane("XZ").moveTo(12, 0).lineTo(8, 0)
    section = section.threePointArc((8 - 2.5 * share, 2.5 - 2.5 * share), (5.5, 2.5)).lineTo(5.5, 4.5)
    section = section.lineTo(7, 4.5).lineTo(7, 2.5)
    section = section.threePointArc((8 - share, 2.5 - share), (8, 1.5)).lineTo(12, 1.5).close()
    collar = section.revolve(360, (0, 0), (0, 1))
    solid = plate(1.5).cut(cq.Workplane().circle(10).extrude(9, both=True)).union(collar)
    found = unfold(solid, by_k)
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert [feature.kind for feature in found.features] == ["formed"]
    gone = 9000 - solid.val().Volume()
    pierced = 2 * math.sqrt(gone / 1.5 / math.pi)
    assert f"a hole of {pierced:.4g} mm takes as much volume" in " ".join(found.notes)


def test_a_gusset_across_a_bend_is_formed() -> None:
    """A dart pressed into the corner of an angle, 6 wide inside and 4 outside: the blank is that of the angle."""
    boss = cq.Workplane("XZ").polyline([(1, 1), (15, 1), (1, 15)]).close().extrude(-6)
    pocket = cq.Workplane("XZ").polyline([(-1, -1), (14.17, -1), (-1, 14.17)]).close().extrude(-4)
    solid = filleted_angle().union(boss.translate((0, 17, 0))).cut(pocket.translate((0, 18, 0)))
    found = unfold(solid, by_k)
    assert found.blank.area == pytest.approx(ANGLE, rel=1e-9)
    assert [feature.kind for feature in found.features] == ["formed"]
    assert any("across a bend" in note for note in found.notes)


def sharp_bead() -> cq.Workplane:
    """A half round of 5 outside and 4 inside pressed out of a sheet of 1, its ends square to the sheet."""
    above = cq.Workplane().box(200, 200, 50, centered=(True, True, False))
    boss = cq.Workplane("YZ").circle(5).extrude(50).translate((-25, 0, -2))
    pocket = cq.Workplane("YZ").circle(4).extrude(48).translate((-24, 0, -2))
    return plate(1).union(boss.intersect(above.translate((0, 0, 1)))).cut(pocket.intersect(above))


def sharp_embossing() -> cq.Workplane:
    """20 x 12, raised by 2, with sides square to the sheet."""
    return plate(1).union(cq.Workplane().rect(20, 12).extrude(3)).cut(cq.Workplane().rect(18, 10).extrude(2))


def louvre() -> cq.Workplane:
    """A quarter of an ellipse, open on the side of its axis."""
    half = cq.Workplane().box(100, 20, 20, centered=(True, False, False))
    boss = cq.Workplane("YZ").ellipse(8, 4).extrude(30).translate((-15, 0, 0)).intersect(half)
    pocket = cq.Workplane("YZ").ellipse(7, 3).extrude(28).translate((-14, 0, 0)).intersect(half)
    return plate(1).union(boss).cut(pocket)


def bridge() -> cq.Workplane:
    """Lanced along two sides and raised by 3 between them, 8 wide."""
    boss = cq.Workplane("XZ").polyline([(-14, 1), (-10, 4), (10, 4), (14, 1)]).close().extrude(-8)
    inside = [(-13, -1), (-12.3, 0), (-9.6, 3), (9.6, 3), (12.3, 0), (13, -1)]
    return plate(1).union(boss).cut(cq.Workplane("XZ").polyline(inside).close().extrude(-8))


FORMED = {"bead": sharp_bead, "embossing": sharp_embossing, "louvre": louvre, "bridge": bridge}


@pytest.mark.parametrize("kind", FORMED)
def test_what_is_pressed_out_of_a_flat_with_corners_has_no_bends(kind: str) -> None:
    """The blank is the sheet, 100 x 60, without a hole; the corners are not bends drawn without a radius."""
    found = unfold(FORMED[kind](), by_k)
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert (found.blank.pierces, found.bends) == (1, ())
    assert [feature.kind for feature in found.features] == ["formed"]
    assert found.unexplained == pytest.approx(0, abs=1e-6 * found.volume)


def test_a_block_beside_a_cutout_leaves_the_cutout_open() -> None:
    """10 x 6 cut out, and a block of 4 x 6 that fills 1 mm of it: 9 x 6 stay open."""
    block = cq.Workplane().box(4, 6, 5, centered=(False, True, False)).translate((4, 0, 0))
    found = unfold(plate(2).cut(cq.Workplane().rect(10, 6).extrude(2)).union(block), by_k)
    assert found.blank.area == pytest.approx(6000 - 9 * 6, rel=1e-9)
    assert [feature.kind for feature in found.features] == ["standing"]


def test_a_lug_with_a_sharp_bend_leaves_the_hole_that_it_was_cut_from_once() -> None:
    """
    Cut out 20 x 10 in a sheet of 2, with a lug of 18 to the outside over its end, 2 thick, without a gap beside it.

    The bend's inside is 2: the lug's end lies 2 + 18 - 2 (2 + 2) + allowance from the end of the cutout.
    """
    lug = cq.Workplane().box(2, 10, 18, centered=(False, True, False))
    sheet = plate(2).cut(cq.Workplane().box(20, 10, 2, centered=(False, True, False)))
    found = unfold(sheet.union(lug), by_k)
    reach = 2 + 18 - 8 + math.pi / 2 * (2 + 0.88)
    assert found.blank.area == pytest.approx(6000 - 10 * (20 - reach), rel=1e-9)
    assert (found.blank.pierces, len(found.bends)) == (2, 1)
    assert "cannot be cut" in str(blank_findings(found.blank)[0])


def test_an_edge_too_short_to_cut_is_left_out_and_said() -> None:
    """50 x 40 with a step of 6e-5 in one side."""
    rim = [(0, 0), (50, 0), (50, 20), (50.00006, 20), (50.00006, 40), (0, 40)]
    found = unfold(cq.Workplane().polyline(rim).close().extrude(2), by_k)
    assert found.blank.area == pytest.approx(2000, rel=1e-5)
    assert min(edge.length for edge in found.blank.outline.edges) > 1
    assert any("edges of up to 6e-05 mm left out" in note for note in found.notes)


CHAMFERED = {
    "broken rim": lambda: plate().edges(">Z").chamfer(1),
    "rim broken on both sides": lambda: plate().edges(">Z or <Z").chamfer(0.5),
    "rounded rim": lambda: plate().edges(">Z").fillet(1),
}


@pytest.mark.parametrize("kind", CHAMFERED)
def test_a_chamfered_or_rounded_rim_is_cut_at_its_widest(kind: str) -> None:
    """100 x 60, whatever was taken off the edges; the note says by how much."""
    found = unfold(CHAMFERED[kind](), by_k)
    assert found.blank.area == pytest.approx(6000, rel=1e-9)
    assert len(found.blank.outline.edges) == 4
    assert any("is chamfered or rounded by up to" in note for note in found.notes)


def test_a_chamfer_along_a_bent_end_leaves_the_blank_as_it_is() -> None:
    """The rim of one end of an angle, across its bend, is broken on both skins by 0.3."""
    angle = filleted_angle()
    along = angle.faces("<Y").edges().filter(lambda edge: edge.Length() > 2.01)
    found = unfold(along.chamfer(0.3), by_k)
    assert found.blank.area == pytest.approx(ANGLE, rel=1e-9)


def test_a_hole_sunk_from_both_sides_is_cut_at_its_narrowest() -> None:
    """A hole of 5 in a plate of 3, countersunk to 8 below and to 7 above."""
    solid = plate().faces(">Z").workplane().cskHole(5, 7, 90).faces("<Z").workplane().cskHole(5, 8, 90)
    found = unfold(solid, by_k)
    assert found.blank.area == pytest.approx(6000 - 6.25 * math.pi, rel=1e-9)
    assert [feature.kind for feature in found.features] == ["sunk"]
    assert found.unexplained == pytest.approx(0, abs=1e-6)


def sharp_angle() -> cq.Workplane:
    """50 x 30 outside, t 2, 40 wide, with an edge inside and one outside."""
    steps = [(0, 0), (50, 0), (50, 2), (2, 2), (2, 30), (0, 30)]
    return cq.Workplane("XZ").polyline(steps).close().extrude(40)


@pytest.mark.parametrize(("asked", "radius"), [(None, 2.0), (1.0, 1.0), (3.0, 3.0)])
@pytest.mark.parametrize("up", [1, -1])
def test_a_bend_that_is_sharp_on_both_sides_has_a_radius_assumed(
    asked: float | None, radius: float, up: int
) -> None:
    """50 + 30 less two outside setbacks (r + t) and plus the allowance; one thickness where no radius is asked for."""
    found = unfold(sharp_angle(), by_k, inside_radius=asked, up=(0, 0, up))
    allowance = math.pi / 2 * (radius + 0.88)
    assert flat_size(found) == pytest.approx([40, 80 - 2 * (radius + 2) + allowance], abs=1e-9)
    assert found.bends[0].inside_radius == pytest.approx(radius)
    assert found.bends[0].allowance == pytest.approx(allowance)
    assert len(found.blank.outline.edges) == 4
    assert found.blank.overlaps == ()
    assert any(f"an inside radius of {radius:g} mm is assumed" in note for note in found.notes)
    assert any(size == pytest.approx(radius) for _, size in found.healed)


def test_a_kink_of_a_few_degrees_is_a_bend() -> None:
    """Two flats of 50 at 5 deg to each other, t 2, with edges for a bend."""
    turn = math.radians(5)
    sin, cos, tan = math.sin(turn), math.cos(turn), math.tan(turn / 2)
    outer = [(0.0, 0.0), (50.0, 0.0), (50 + 50 * cos, 50 * sin)]
    inner = [(50 + 50 * cos - 2 * sin, 50 * sin + 2 * cos), (50 - 2 * tan, 2.0), (0.0, 2.0)]
    found = unfold(cq.Workplane("XZ").polyline([*outer, *inner]).close().extrude(40), by_k)
    assert found.bends[0].angle == pytest.approx(5)
    assert max(flat_size(found)) == pytest.approx(100 - 8 * tan + turn * 2.88, abs=1e-9)


def test_a_step_of_some_thousandths_is_healed_and_said() -> None:
    """The right half of a plate of 2 lies 0.004 higher than the left one."""
    right = cq.Workplane().box(50, 60, 2, centered=False).translate((0, -30, 0.004))
    left = cq.Workplane().box(50, 60, 2, centered=False).translate((-50, -30, 0))
    found = unfold(left.union(right), by_k)
    assert (found.thickness, len(found.flats)) == (pytest.approx(2, abs=1e-3), 1)
    assert found.blank.area == pytest.approx(6000, rel=1e-6)
    assert found.healed
    assert all(said in found.notes for said, _ in found.healed)
    assert max(size for _, size in found.healed) <= 0.01


def threaded(t: float = 3.0) -> cq.Workplane:
    """A plate with a modelled M3 thread: ISO 261 pitch 0.5, ISO 724 minor diameter 2.459, cut by a helix."""
    helix = cq.Wire.makeHelix(0.5, t + 1.25, 1.3)
    tooth = cq.Workplane("XZ", origin=(1.3, 0, 0)).polyline([(-0.15, -0.2), (0.2, 0.0), (-0.15, 0.2)]).close()
    thread = tooth.sweep(cq.Workplane(helix), isFrenet=True).translate((0, 0, -0.6))
    return plate(t).cut(cq.Workplane().circle(2.459 / 2).extrude(5).translate((0, 0, -1)).union(thread))


def test_a_modelled_thread_is_a_tap_hole() -> None:
    """M3 has a tap drill of 2.5 (ISO 2306): one round hole, concentric with the thread."""
    found = unfold(threaded(), by_k)
    (hole,) = found.blank.outline.holes
    assert hole.circle == (pytest.approx((50, 30), abs=1e-3), pytest.approx(1.25))
    assert [feature.kind for feature in found.features] == ["tap"]
    assert any("tap M3" in note for note in found.notes)


def _file(shape: cq.Workplane | cq.Assembly, path: Path) -> str:
    (shape.export if isinstance(shape, cq.Assembly) else lambda p: cq.exporters.export(shape, p))(str(path))
    return path.read_text("latin-1")


def test_tiny_exponents_are_zeros(tmp_path: Path) -> None:
    """DIRECTION('',(1.,0.,-1.24E-104)), as published."""
    path = tmp_path / "angle.step"
    text = _file(filleted_angle(), path)
    path.write_text(re.sub(r"(DIRECTION\('',\(1\.,0\.,)-?0\.", r"\1-1.24E-104", text), "latin-1")
    assert "-1.24E-104" in path.read_text("latin-1")
    assert unfold(read_solid(path), by_k).blank.area == pytest.approx(ANGLE, rel=1e-9)


def test_a_closed_shell_is_a_solid(tmp_path: Path) -> None:
    """SHELL_BASED_SURFACE_MODEL with one CLOSED_SHELL."""
    path = tmp_path / "angle.step"
    text = _file(filleted_angle(), path)
    text = re.sub(r"MANIFOLD_SOLID_BREP\('([^']*)',(#\d+)\)", r"SHELL_BASED_SURFACE_MODEL('\1',(\2))", text)
    text = text.replace("ADVANCED_BREP_SHAPE_REPRESENTATION", "MANIFOLD_SURFACE_SHAPE_REPRESENTATION")
    path.write_text(text, "latin-1")
    found = unfold(read_solid(path), by_k)
    assert found.blank.area == pytest.approx(ANGLE, rel=1e-9)
    assert any("closed shell and no solid" in note for note in found.notes)


def test_an_assembly_gives_each_part_once_with_its_count_and_colour(tmp_path: Path) -> None:
    """Two angles, one of them turned, and a plate."""
    path = tmp_path / "all.step"
    whole = cq.Assembly()
    angle = filleted_angle().val()
    whole.add(angle, name="angle", color=cq.Color(1, 0, 0))
    whole.add(angle, name="angle2", loc=cq.Location(cq.Vector(0, 90, 5), cq.Vector(0, 0, 1), 30))
    whole.add(plate().val(), name="plate")
    _file(whole, path)
    found = read_solids(path)
    assert sum(solid.count for solid in found) == 3
    areas = {round(unfold(solid, by_k).blank.area, 6) for solid in found}
    assert areas == {round(ANGLE, 6), 6000}
    assert "#ff0000" in {solid.colour for solid in found}
    with pytest.raises(
        InputError, match=r"solids = [23]: a blank is cut for one part at a time; name one of"
    ):
        read_solid(path)
    assert read_solid(path, solid=found[1].name).name == found[1].name
    with pytest.raises(InputError, match="there is no solid of that name"):
        read_solid(path, solid="none")


def test_flats_and_bends_are_unfolded_the_same_with_a_stud_in_reach_of_a_bend() -> None:
    """A channel with a weld nut on each flange: all flats are found."""
    solid = extruded([(20,), (90, 2), (40,), (90, 2), (20,)])
    nut = cq.Workplane("XY").circle(3).circle(1.5).extrude(3).translate((8, 15, 2))
    plain = unfold(solid, by_k)
    found = unfold(solid.union(nut), by_k)
    assert found.blank.area == pytest.approx(plain.blank.area, rel=1e-9)
    assert len(found.flats) == 3
