"""`formparts draw` from outside."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from formparts.cli import main


def test_draw_writes_all_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """PDF, DXF, SVG and the line picture, which is 800 points wide; the parameters are followed."""
    out = tmp_path / "new"
    assert main(["draw", "z_clip", "--set", "rise=30", "--out", str(out), "--projection", "third"]) == 0
    names = {path.name for path in out.glob("[!.]*")}
    assert names == {"z_clip-drawing.pdf", "z_clip-drawing.dxf", "z_clip-drawing.svg", "z_clip-lines.svg"}
    assert "scale" in capsys.readouterr().out
    picture = ElementTree.parse(out / "z_clip-lines.svg").getroot()
    assert picture.get("width") == "800"
    text = (out / "z_clip-drawing.svg").read_text(encoding="utf-8")
    assert ">30</text>" in text
    assert "third angle" in text


def test_a_part_that_cannot_be_made_is_drawn_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nine lugs lie on one another when flat: whoever draws them gets one line about it, and the files are there."""
    assert main(["draw", "ring_riser", "--set", "lug_count=9", "--out", str(tmp_path), "--as", "svg"]) == 1
    said = [line for line in capsys.readouterr().out.splitlines() if "error" in line]
    assert len(said) == 1
    assert "lug[1..8].tip and lug[2..9].tip overlap by 2.8 mm (9 places)" in said[0]
    assert {path.name for path in tmp_path.glob("[!.]*")} == {
        "ring_riser-drawing.svg",
        "ring_riser-lines.svg",
    }


@pytest.mark.parametrize(
    ("options", "told"),
    [(["--sheet", "B5"], "B5"), (["--as", "pdf,doc"], ".doc"), (["--general", "z"], "ISO 2768-1")],
)
def test_bad_options_in_one_line(
    options: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, one line that says what can be chosen, and nothing half-written."""
    assert main(["draw", "z_clip", "--out", str(tmp_path), *options]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert told in said
    assert list(tmp_path.iterdir()) == []
