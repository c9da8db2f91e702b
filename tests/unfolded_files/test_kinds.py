"""Files of every kind of bent part go through with their checks: hems, rolls, mitred corners, loose faces, splines."""

from __future__ import annotations

import math
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import cadquery as cq
import pytest

from formparts import unfold_file
from formparts.shapes import Axis, rotate
from formparts.solids import solid
from tests.invariants.subjects import body_of
from tests.unfolder.foreign import (
    as_splines,
    by_k,
    cone,
    extruded,
    filleted_angle,
    mitred_box,
    revolved,
    written_coarsely,
)

CURL: list[tuple[float, ...]] = [(40.0,), (90.0, 2.0), (20.0,), (180.0, 3.0), (5.0,)]
Made = Callable[[], cq.Workplane]


def file_of(solid: cq.Workplane, folder: Path) -> Path:
    path = folder / "part.step"
    cq.exporters.export(solid, str(path))
    return path


@pytest.mark.parametrize(
    ("solid", "length"),
    [
        (lambda: extruded([(40.0,), (180.0, 1.0), (12.0,)]), 52.0 + by_k(180, 1, 2)),
        (lambda: extruded([(40.0,), (200.0, 2.0), (4.0,)]), 44.0 + math.radians(200) * 3),
        (lambda: extruded(CURL), 65.0 + by_k(90, 2, 2) + by_k(180, 3, 2)),
        (lambda: revolved(150.0), by_k(150, 40, 2)),
        (lambda: revolved(180.0), by_k(180, 40, 2)),
        (lambda: revolved(300.0), math.radians(300) * 41),
    ],
    ids=["hem", "tear-drop", "curl", "rolled 150", "rolled 180", "rolled 300"],
)  # fmt: skip
def test_bends_of_half_a_turn_and_more_are_checked_like_others(
    solid: Made, length: float, tmp_path: Path
) -> None:
    """
    Flats and the neutral fibre at 0.44 t, by hand; radius and force are asked for too.

    Beyond half a turn the middle of the sheet: Groover, K 0.50 from an inside radius of two thicknesses on.
    """
    made = unfold_file(file_of(solid(), tmp_path), tmp_path / "out", material="DC01")
    assert max(made.found.blank.length, made.found.blank.width) == pytest.approx(length, abs=1e-6)
    assert all(row.agrees for row in made.audit)
    assert len(made.files) == 3


def test_a_cone_alone_goes_through(tmp_path: Path) -> None:
    assert unfold_file(file_of(cone(150.0), tmp_path), tmp_path / "out").found.flats == ()


def test_corners_that_lie_on_one_another_are_said_and_the_files_are_there(tmp_path: Path) -> None:
    """A box whose walls meet in mitres with no relief: on the outer skin, which is the wider, the bends overlap."""
    made = unfold_file(file_of(mitred_box(), tmp_path), tmp_path / "out")
    assert {item.code for item in made.findings} >= {"blank-overlap"}
    assert [item.code for item in made.findings].count("blank-overlap") == 4
    assert len(made.files) == 3


@pytest.mark.parametrize(
    "change",
    [
        lambda solid: solid.rotate((0, 0, 0), (1, 2, 3), 37).translate((12346, -9877, 4321)),
        lambda solid: cq.Workplane(
            cq.Compound.makeCompound([solid.val(), cq.Face.makePlane(10, 10, cq.Vector(0, 0, 90))])
        ),
        lambda solid: cq.Workplane(as_splines(solid)),
    ],
    ids=["far and turned", "with a loose face", "of splines"],
)
def test_the_volume_agrees_with_the_formula_however_the_part_is_drawn(
    change: Callable[[cq.Workplane], cq.Workplane], tmp_path: Path
) -> None:
    """80 x (70 + 2 pi) less a bore of 8 through 2 mm: by unfolder and kernel, to the digits of each kind."""
    bored = filleted_angle().cut(cq.Workplane().center(30, 12).circle(4).extrude(10, both=True))
    made = unfold_file(file_of(change(bored), tmp_path))
    exact = 80.0 * (70.0 + 2.0 * math.pi) - 32.0 * math.pi
    assert made.found.volume == pytest.approx(exact, rel=1e-8)
    assert made.solid.volume == pytest.approx(exact, rel=1e-8)
    assert [row.agrees for row in made.audit] == [True]
    assert sum(made.envelope) < 250.0


def test_a_bore_across_a_bend_is_worked_out_twice(tmp_path: Path) -> None:
    """A rolled strip of 100 inside, t 2, bored through its side: the two methods are two, and agree to 1e-7."""
    strip = cq.Workplane("XZ").moveTo(100, 0).rect(2, 60, centered=False).revolve(150, (0, 0), (0, 1))
    bored = strip.cut(
        cq.Workplane("YZ").center(0, 30).circle(6).extrude(200).rotate((0, 0, 0), (0, 0, 1), 70)
    )
    made = unfold_file(file_of(bored, tmp_path))
    (row,) = made.audit
    assert row.agrees
    assert 0.0 < row.spread < 1e-7 * row.methods["solid"]


def test_what_cannot_be_cut_goes_to_no_cutter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An outline with a self-contact, without overlaps: the figures are written, and neither DXF nor SVG."""
    monkeypatch.setattr(
        import_module("formparts.unfolded_files"), "problem", lambda _: "touches itself at (1, 2)"
    )
    made = unfold_file(file_of(filleted_angle(), tmp_path), tmp_path / "out")
    assert [path.name for path in made.files] == ["part-unfolded.json"]
    assert [path.name for path in (tmp_path / "out").glob("[!.]*")] == ["part-unfolded.json"]


def test_a_file_of_few_digits_goes_through(tmp_path: Path) -> None:
    """Points to 1e-5 mm: the methods agree to what that allows, and the blank is delivered, proved by reading back."""
    turned = rotate(body_of("ring_riser-0"), 37.0, Axis((3, 4, 5), (0.3, 0.5, 1)))
    written_coarsely(solid(turned).shape, tmp_path / "part.step")
    made = unfold_file(tmp_path / "part.step", tmp_path / "out", material="DC01")
    assert all(row.agrees for row in made.audit)
    assert len(made.files) == 3
    assert made.ok
    exact = unfold_file(file_of(cq.Workplane(cq.Shape.cast(solid(turned).shape)), tmp_path), material="DC01")
    # A relief that is just as deep as it must be still is.
    assert [item.code for item in made.findings] == [item.code for item in exact.findings]
