"""
Files that give points to five decimal places of a mm only, so that edges lie off their faces by 1e-5 mm.

Makers of solids hold edges to their faces to 1e-5 mm or less closely (common practice, no source), and write
what they have. The parts are formparts' own, turned askew so that no coordinate is a round figure; each is
held against its own blank.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import cadquery as cq
import pytest

from formparts.blanks import blank
from formparts.body import Body, Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.outline import Arc, polygon
from formparts.shapes import Axis, add_flange, plate, rotate
from formparts.solids import solid
from formparts.unfolder import unfold
from tests.invariants.subjects import body_of, solid_of
from tests.invariants.test_unfold_agrees import apart, furthest, unfolded
from tests.unfolder.foreign import written_coarsely

ASKEW = Axis((3, 4, 5), (0.3, 0.5, 1))
PLACE = 2e-4
"""How far places on a blank may be off [mm]: 1e-5 over some bends of small radius."""
SUBJECTS = (
    *("angle", "chain", "flange_and_ears", "lug_ring", "outward_ring", "reliefs", "washer", "zed"),
    *("ring_riser-0", "ring_riser-3", "corner_tray-2", "u_channel-0", "stepped_seat-1"),
)  # fmt: skip


def askew(body: Body) -> Body:
    return rotate(body, 37.0, ASKEW)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_coarse_points_give_the_same_blank(subject: str, tmp_path: Path) -> None:
    """The same outline, bends and figures, to what the points allow; nothing is reported as curved or slanted."""
    body = askew(body_of(subject))
    read = written_coarsely(solid(body).shape, tmp_path / "part.step")
    frame = (body.frame.origin, body.frame.x, body.frame.z)
    found, model = unfold(read, body.sheet.bend_rule, frame=frame), blank(body)
    assert furthest(model.outline, found.blank.outline) <= PLACE
    assert furthest(found.blank.outline, model.outline) <= PLACE
    assert found.blank.pierces == model.pierces
    assert (found.thickness, found.blank.thickness) == (model.thickness, model.thickness)
    assert found.volume == pytest.approx(properties(body).volume, rel=1e-5)
    assert len(found.blank.bends) == len(model.bends)
    for mark in model.bends:
        other = min(found.blank.bends, key=lambda one: apart(one, mark))
        assert apart(mark, other) <= PLACE
        assert (other.side, other.inside_radius) == (mark.side, pytest.approx(mark.inside_radius, abs=1e-9))
        assert other.angle == pytest.approx(mark.angle, abs=0.01)
    assert found.blank.overlaps == ()
    assert 1e-6 < found.loose_by < 3e-5
    (note,) = found.notes
    assert re.fullmatch(
        r"ends of edges lie up to \S+e-0[56] mm off their faces: thickness and radii are rounded to 0.0001 mm, "
        r"angles to 0.01 deg",
        note,
    )


def test_arcs_end_on_their_circles(tmp_path: Path) -> None:
    """A contour whose arcs end beside their circles is not a contour to a cutter."""
    for subject in ("ring_riser-0", "corner_tray-2"):
        read = written_coarsely(solid(askew(body_of(subject))).shape, tmp_path / "part.step")
        arcs = [edge for edge in unfold(read, 0.44).blank.outline.edges if isinstance(edge, Arc)]
        off = [math.dist(end, arc.centre) - arc.radius for arc in arcs for end in (arc.start, arc.end)]
        assert len(arcs) > 3
        assert max(map(abs, off)) < 1e-9


def test_exact_solids_are_not_loose() -> None:
    """Nothing is reported, and no figure is rounded: a thickness of 1/16 in stays one."""
    found = unfolded(body_of("u_channel-1"), solid_of("u_channel-1"))
    assert found.loose_by < 1e-9
    assert found.notes == ()
    assert found.thickness == pytest.approx(1.5875, abs=1e-12)


@pytest.mark.parametrize("fixed", ["base", "tab"])
def test_a_short_bend_line_does_not_turn_what_is_beyond(fixed: str, tmp_path: Path) -> None:
    """
    A plate of 200 x 100 on a neck 1 mm wide, whose bend is 1 mm long: its ends off by 1e-5 would turn it by 2e-5 rad.

    That is 0.002 mm at the far corner; the axis of the bend, which has all its digits, gives the direction.
    """
    places = [(-100, 0), (100, 0), (100, 100), (0.5, 100), (0.5, 110), (-0.5, 110), (-0.5, 100), (-100, 100)]
    body = plate(Sheet(1.0, 2.0, "S235JR", 0.44), polygon(places), "base")
    body = askew(add_flange(body, ((0.5, 110), (-0.5, 110)), 10, name="tab"))
    read = written_coarsely(solid(body).shape, tmp_path / "part.step")
    found = unfold(read, 0.44, fixed={"base": "flat[1]", "tab": "flat[2]"}[fixed])
    assert found.blank.length == pytest.approx(200.0, abs=5e-4)
    assert found.blank.width == pytest.approx(blank(body).width, abs=5e-4)


def test_a_pocket_is_none_of_the_looseness(tmp_path: Path) -> None:
    """A hollow of 0.05 mm in one side of a coarse plate is refused as ever."""
    hollow = cq.Workplane().box(60, 40, 2).faces(">Z").workplane().rect(20, 10).cutBlind(-0.05)
    turned = hollow.rotate((0, 0, 0), (1, 2, 3), 37.0)
    read = written_coarsely(turned.val().wrapped, tmp_path / "part.step")
    with pytest.raises(InputError, match="a pocket ends within"):
        unfold(read, 0.44)
