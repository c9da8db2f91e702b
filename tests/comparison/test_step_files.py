"""Two revisions of a STEP file that somebody else made, in the words of the part."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import pytest

from formparts.cli import main
from tests.unfolder.foreign import filleted_angle


def drilled(path: Path, x: float) -> str:
    """An angle with a hole in its flat leg, drawn by plain CadQuery."""
    tool = cq.Workplane().center(x, 12).circle(4).extrude(10, both=True)
    cq.exporters.export(filleted_angle().cut(tool), str(path))
    return str(path)


def test_a_hole_that_was_moved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Moved by 5 mm in the solid, and nothing else."""
    old, new = drilled(tmp_path / "a.step", 30), drilled(tmp_path / "b.step", 35)
    assert main(["compare", old, new]) == 1
    assert capsys.readouterr().out.splitlines()[0].endswith("opening[1] moved 5 mm")
    assert main(["compare", old, old]) == 0
    assert capsys.readouterr().out == "no difference\n"
