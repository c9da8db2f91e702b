"""A solid that anybody made as a model again: its own solid is the file's, and what works on a recipe works on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import pytest

from formparts import find_recipe
from formparts.blanks import blank
from formparts.body import Sheet
from formparts.closed_forms import properties
from formparts.errors import InputError
from formparts.kernel import measured
from formparts.outline import disc, obround, rectangle
from formparts.part import Part
from formparts.recipe_writing.likeness import same_part
from formparts.recognition import body_from, recognised
from formparts.shapes import add_curl, counterbored, countersunk, cut_opening, plate, profile, run, up
from formparts.solids import solid
from formparts.unfolder import unfold
from tests.unfolder.foreign import by_k, cone, extruded, filleted_angle, tapered_flange, tray


def drilled() -> cq.Workplane:
    return filleted_angle().cut(cq.Workplane().center(30, 12).circle(4).extrude(10, both=True))


FOREIGN: dict[str, tuple[Callable[[], cq.Workplane], int]] = {
    "angle with a hole": (drilled, 1),
    "profile of three bends": (lambda: extruded([(20,), (90, 2), (40,), (-60, 2), (20,), (45, 3), (30,)]), 3),
    "tray": (tray, 4),
    "turned in space": (lambda: drilled().rotate((0, 0, 0), (1, 2, 3), 37.0), 1),
}


@pytest.mark.parametrize("kind", FOREIGN)
def test_the_solid_of_the_model_is_the_solid_that_was_given(kind: str) -> None:
    """Volume and surface by the kernel on the solid as drawn, and the greatest distance between the two."""
    made, bends = FOREIGN[kind]
    solid = made()
    found = recognised(solid)
    assert len(found.body.bends) == bends
    assert properties(found.body).volume == pytest.approx(solid.val().Volume(), rel=1e-9)
    assert found.ok
    rows = {row.figure: row for row in found.audit}
    assert rows["surface_mm2"].methods["model"] == pytest.approx(solid.val().Area(), rel=1e-9)
    assert rows["distance_mm"].methods["greatest"] == pytest.approx(0, abs=1e-6)


def test_both_blanks_are_one() -> None:
    """The blank of the model, and that of the unfolder with the same rule."""
    mine, theirs = blank(body_from(drilled(), 0.33)), unfold(drilled(), 0.33).blank
    assert mine.area == pytest.approx(theirs.area, rel=1e-9)
    assert (mine.length, mine.width) == pytest.approx((theirs.length, theirs.width), abs=1e-6)
    assert [mark.side for mark in mine.bends] == [mark.side for mark in theirs.bends]


def test_a_file_is_read_and_named(tmp_path: Path) -> None:
    cq.exporters.export(drilled(), str(tmp_path / "angle.step"))
    body = body_from(tmp_path / "angle.step", material="DC01")
    assert (body.name, body.sheet.thickness, body.sheet.material.name) == ("angle", pytest.approx(2), "DC01")
    assert [bend.inside_radius for bend in body.bends] == pytest.approx([3])


@pytest.mark.parametrize(("made", "said"), [(cone, "rolled throughout"), (tapered_flange, "not square")])
def test_what_the_model_does_not_hold_is_refused(made: Callable[[], cq.Workplane], said: str) -> None:
    assert unfold(made(), by_k).blank.area > 0
    with pytest.raises(InputError, match=said):
        body_from(made())


def test_openings_across_bends_and_sunk_holes_come_back(tmp_path: Path) -> None:
    """
    A channel with a slot across each of two bends, one that ends in a bend, and a hole in the middle of one.

    Its web has a countersink from above and a counterbore from below: all of it is read from the solid alone.
    """
    channel = profile(
        Sheet(3, 3, "DC01", 0.4), 80, run(40), up(90), run(50), up(90), run(40), name="c", root=2
    )
    (low, _, high, _), bent = channel.flats[0].outline.bounds, (3 + 0.4 * 3) * math.pi / 2
    places = [(low - bent / 2, 20), (high + bent / 2, 20), (low - bent + 6, 55), (high + bent / 2, 60)]
    for number, (place, shape) in enumerate(
        zip(places, (obround(24, 9),) * 2 + (disc(14), disc(3)), strict=True)
    ):
        channel = cut_opening(channel, shape, "c.run[2]", place, f"drain_{number}", on="blank")
    channel = cut_opening(channel, countersunk(4.5, 8), "c.run[2]", (12, 40), "head")
    channel = cut_opening(channel, counterbored(4.5, 8, 2.2, face="lower"), "c.run[2]", (30, 40), "bore")
    Part(channel).write(tmp_path / "channel.step")
    found = recognised(tmp_path / "channel.step", 0.4)
    assert found.ok
    assert properties(found.body).volume == pytest.approx(properties(channel).volume, rel=1e-9)
    assert same_part(found.body, channel, 1e-6)
    assert sum(len(bend.openings) for bend in found.body.bends) == 4
    assert found.left_out == ()


def test_a_hole_sunk_from_both_sides_is_told_as_another() -> None:
    """A hole of 5 in a plate of 3, sunk to 8 below and to 7 above: no one cone is that, and the solids differ."""
    whole = (
        cq.Workplane().box(60, 40, 3, centered=(True, True, False)).cut(cq.Workplane().circle(2.5).extrude(3))
    )
    both = whole.faces("<Z").workplane().cskHole(5, 8, 90).faces(">Z").workplane().cskHole(5, 7, 90)
    assert not recognised(both).ok


def test_a_long_purlin_is_measured_closely_and_soon() -> None:
    """Against the closed form: the kernel's other way takes minutes for its long bends."""
    body = find_recipe("roof_purlin")()
    assert measured(solid(body).shape, closely=True).volume == pytest.approx(
        properties(body).volume, rel=1e-9
    )


@pytest.mark.parametrize(("angle", "process"), [(250, "hem"), (285, "curl")])
def test_what_is_turned_further_than_a_hem_is_a_curl(angle: float, process: str, tmp_path: Path) -> None:
    """By its angle: a hem ends at 270 deg; the same volume comes back."""
    body = add_curl(plate(Sheet(2, 2, "DC01"), rectangle(30, 40)), "back", 9.2, angle=angle)
    Part(body).write(tmp_path / "curl.step")
    found = body_from(tmp_path / "curl.step", material="DC01")
    assert [bend.process for bend in found.bends] == [process]
    assert properties(found).volume == pytest.approx(properties(body).volume, rel=1e-6)
