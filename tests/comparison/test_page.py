"""Two versions on one page: what changed is coloured where it is, and described in words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from formparts import Part, Sheet, find_recipe, plate, rectangle
from formparts.cli import main
from formparts.comparison import compare
from formparts.report.html.versions_page import ChangeRow, versions_page


def strip(length: float) -> Part:
    return Part(plate(Sheet(2, 2.5), rectangle(length, 40), name="base"))


def page(before: Part, after: Part) -> str:
    rows = [ChangeRow(each.what, each.how, each.text) for each in compare(before.body, after.body)]
    return versions_page(before, after, ("old", "new"), rows)


def coloured(text: str, kind: str) -> list[tuple[float, float]]:
    """Least and greatest x of each coloured shape."""
    shapes = re.findall(rf'<path class="{kind}" d="([^"]+)"', text)
    places = [[float(x) for x in re.findall(r"[ML] (\S+) ", shape)] for shape in shapes]
    return sorted((round(min(xs), 6), round(max(xs), 6)) for xs in places)


def test_what_is_new_and_what_is_gone_is_coloured() -> None:
    """By hand: from 60 to 75 mm about the middle, 7.5 mm come at either end; the other way round they go."""
    longer = page(strip(60), strip(75))
    assert coloured(longer, "only-after") == [(-37.5, -30.0), (30.0, 37.5)]
    assert coloured(longer, "only-before") == []
    shorter = page(strip(75), strip(60))
    assert coloured(shorter, "only-before") == [(-37.5, -30.0), (30.0, 37.5)]
    assert coloured(shorter, "only-after") == []
    assert longer.count('class="flat changed"') == 2
    assert "base length +15 mm (60 -&gt; 75)" in longer


def test_no_difference_is_said() -> None:
    text = page(strip(60), strip(60))
    assert "No difference." in text
    assert coloured(text, "only-before") == coloured(text, "only-after") == []
    assert text.count(' changed"') == text.count('class="key changed"') == 1


def test_the_command_writes_the_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two versions of one recipe are distinguished by their folders; both masses are side by side."""
    for rise in ("20", "30"):
        (tmp_path / rise).mkdir()
        find_recipe("z_clip").part(rise=float(rise)).write(tmp_path / rise / "z_clip.json")
    files = [str(tmp_path / rise / "z_clip.json") for rise in ("20", "30")]
    assert main(["compare", *files, "--report", "--out", str(tmp_path / "both")]) == 1
    assert f"page {tmp_path / 'both' / 'compare.html'}" in capsys.readouterr().out
    text = (tmp_path / "both" / "compare.html").read_text(encoding="utf-8")
    assert "20/z_clip (A)" in text
    assert text.count("<img ") == 2
