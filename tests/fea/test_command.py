"""`make --fea`: the deck of a real part with its load case, by names; solved and drawn when it is asked for."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from formparts.cli import main
from formparts.fea import solver_there

CASE = ["--fix", "foot_hole[1]", "--load", "z_clip.head.upper=80N"]


def run(out: Path, *more: str) -> int:
    return main(["make", "z_clip", "--out", str(out), *more])


def test_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Deck, MSH and VTU of a shell; mass as in the report; the caution that goes with it."""
    assert run(tmp_path, "--fea", "shell", "--size", "4 mm", *CASE) == 0
    assert {f"z_clip-shell.{end}" for end in ("inp", "msh", "vtu")} <= {
        path.name for path in tmp_path.iterdir()
    }
    said = capsys.readouterr().out
    assert "mass 0.0434115 kg" in said
    assert "mass       43.41 g" in said
    # The section in the middle, by hand: 2 mm by the middle line of 25.5 + 13 + 22.5 and two quarters of R 3.5, less
    # the hole of 7 and the slot of 6 across.
    assert f"section across the bends {2 * (61 + math.pi * 3.5 - 13):.5g} mm2" in said
    assert "a qualified engineer decides" in said


@pytest.mark.skipif(
    not solver_there(), reason="CalculiX is not on this machine: install the Debian package calculix-ccx"
)
def test_solved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The reaction is the load, and there is a picture of the deflected shape."""
    assert run(tmp_path, "--fea", "solid", "--size", "5", *CASE, "--solve") == 0
    said = capsys.readouterr().out
    assert "80 N: the load turned about" in said
    assert (tmp_path / "z_clip-solid-deflected.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--size", "3"], "--fea"),
        (["--fea", "cubes"], "is no kind of mesh"),
        (["--fea", "shell", "--fix", "no.such"], "names nothing of the part"),
        (["--fea", "shell", "--load", "z_clip.head.upper=80kg"], "NAMES=FORCE"),
        (["--fea", "shell", "--load", "z_clip.head.upper=80N"], "not held"),
        (["--fea", "shell", "--solve"], "nothing is held"),
        (["--fea", "shell", "--frequencies", "-1"], "less than none"),
    ],
)
def test_bad_input(more: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, and exit code 2."""
    assert run(tmp_path, *more) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert said in line
