"""Many files and many solids through the command: one table, files for each part, features on layers of their own."""

from __future__ import annotations

import json
from pathlib import Path

import cadquery as cq
import ezdxf
import pytest

from formparts.bending import bend_rule
from formparts.cli import main
from formparts.unfolded_files import Wishes, unfold_file
from formparts.unfolding_runs import unfold_files
from tests.unfolder.foreign import filleted_angle


def studded() -> cq.Workplane:
    """60 x 40 x 2 with a stud of 6, 5 high, in the middle of its up side."""
    return cq.Workplane().box(60, 40, 2).faces(">Z").workplane().circle(3).extrude(5)


def test_features_are_on_layers_of_their_own_and_in_the_figures(tmp_path: Path) -> None:
    """One circle of 6 on the layer for features on the sheet; the cut layer has the rim alone."""
    cq.exporters.export(studded(), str(tmp_path / "studded.step"))
    made = unfold_file(tmp_path / "studded.step", tmp_path / "out")
    space = ezdxf.readfile(made.files[0]).modelspace()
    (circle,) = space.query('CIRCLE[layer=="standing"]')
    assert circle.dxf.radius == pytest.approx(3)
    assert (circle.dxf.center.x, circle.dxf.center.y) == pytest.approx((30, 20))
    assert [entity.dxftype() for entity in space.query('*[layer=="cut"]')] == ["LWPOLYLINE"]
    figures = json.loads(made.files[2].read_text(encoding="utf-8"))
    (feature,) = figures["features"]
    assert (feature["kind"], feature["height_mm"]) == ("standing", pytest.approx(5))
    assert figures["unexplained_volume_mm3"] == pytest.approx(0, abs=1e-6)
    assert "not cut: stud or standoff" in made.files[1].read_text(encoding="utf-8")


def test_a_file_of_several_solids_and_one_that_cannot_be_read(tmp_path: Path) -> None:
    """Two like angles count as one, a ball is refused, and so is a file other than STEP: one line each."""
    whole = cq.Compound.makeCompound(
        [filleted_angle().val(), filleted_angle().val().translate((0, 90, 0)), cq.Solid.makeSphere(9)]
    )
    cq.exporters.export(cq.Workplane(whole), str(tmp_path / "all.step"))
    (tmp_path / "broken.step").write_text("no STEP file", encoding="utf-8")
    paths = [tmp_path / "all.step", tmp_path / "broken.step"]
    found = unfold_files(paths, tmp_path / "out", Wishes(bend_rule(0.44)), jobs=1)
    assert [(each.count, each.bends, bool(each.refusal)) for each in found] == [
        (2, 1, False),
        (1, 0, True),
        (1, 0, True),
    ]
    assert len(list((tmp_path / "out").glob("*-unfolded.dxf"))) == 2


def test_the_command_takes_an_assembly_and_prints_a_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = cq.Compound.makeCompound([filleted_angle().val(), studded().val().translate((0, 90, 0))])
    cq.exporters.export(cq.Workplane(whole), str(tmp_path / "two.step"))
    assert main(["unfold", str(tmp_path / "two.step"), "--out", str(tmp_path / "out")]) == 0
    assert "2 of 2 solids unfolded, 0 refused" in capsys.readouterr().out
