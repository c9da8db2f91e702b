"""`formparts new`: what it writes works as it is, and nothing is replaced."""

from __future__ import annotations

from pathlib import Path

import pytest

from formparts import cli, find_recipe


def test_the_recipe_works_as_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """By its own dimensions, all to the outside: 80 x 50 x 30 mm; two holes are two pierces more than the outline's."""
    monkeypatch.chdir(tmp_path)
    assert cli.main(["new", "cable_tray"]) == 0
    assert "formparts make cable_tray.py:cable_tray" in capsys.readouterr().out
    part = find_recipe("cable_tray.py:cable_tray").part()
    assert part.properties.envelope == pytest.approx((80.0, 50.0, 30.0))
    assert len(part.openings) == 2
    assert part.findings() == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("there", "there.py is there already"),
        ("2x", "cannot be the name of a recipe"),
        ("../x", "cannot be the name of a recipe"),
        ("class", "cannot be the name of a recipe"),
        ("plate", "is a name of formparts itself"),
    ],
)
def test_what_cannot_be_written_is_refused_in_one_line(
    name: str,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there.py").write_text("mine\n", encoding="utf-8")
    assert cli.main(["new", name]) == 2
    told = capsys.readouterr().err
    assert said in told
    assert told.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["there.py"]
    assert (tmp_path / "there.py").read_text(encoding="utf-8") == "mine\n"
