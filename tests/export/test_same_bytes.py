"""The same part gives the same bytes: in one process, in two, and after other files; another date gives others."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

from formparts.blanks import blank
from formparts.export import write_blank_dxf, write_blank_svg, write_json, write_step, write_stl
from formparts.solids import solid
from tests.export.samples import angle_part, drawn_blank, riser

FORMATS: dict[str, Callable[[Any, Path], Path]] = {
    "step": lambda part, path: write_step(solid(part), path),
    "dxf": lambda part, path: write_blank_dxf(blank(part), path, notes=True),
    "svg": lambda part, path: write_blank_svg(blank(part), path),
    "stl": lambda part, path: write_stl(part, path),
    "json": lambda part, path: write_json({"name": part.name, "area_mm2": blank(part).area}, path),
}
DATED = ("step", "dxf")


def bytes_of(kind: str, folder: Path) -> bytes:
    return FORMATS[kind](riser(), folder / f"riser.{kind}").read_bytes()


def main(folder: str) -> None:
    """Write every format and say what came out; run by the test in a process of its own."""
    for kind in FORMATS:
        sys.stdout.write(f"{kind} {hashlib.sha256(bytes_of(kind, Path(folder))).hexdigest()}\n")


@pytest.mark.parametrize("kind", FORMATS)
def test_twice_in_one_process_and_after_other_files(kind: str, tmp_path: Path) -> None:
    first = bytes_of(kind, tmp_path)
    for number in range(3):
        # A writer that is given no name takes one from a counter of the process.
        other = STEPControl_Writer()
        other.Transfer(BRepPrimAPI_MakeBox(1.0 + number, 2.0, 3.0).Solid(), STEPControl_AsIs)
        other.Write(str(tmp_path / "other.step"))
        write_step(
            replace(solid(angle_part()), name=f"other {number}"), tmp_path / "other.step", schema="AP242"
        )
        write_blank_dxf(drawn_blank(), tmp_path / "other.dxf", "R2018")
    assert bytes_of(kind, tmp_path) == first


@pytest.mark.slow
def test_another_process_with_another_order_of_sets_gives_the_same_bytes(tmp_path: Path) -> None:
    folder = tmp_path / "there"
    folder.mkdir()
    command = [sys.executable, "-c", f"from tests.export.test_same_bytes import main; main({str(folder)!r})"]
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    environment = {**os.environ, "PYTHONHASHSEED": seed}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    here = {kind: hashlib.sha256(bytes_of(kind, tmp_path)).hexdigest() for kind in FORMATS}
    assert dict(line.split() for line in done.stdout.splitlines()) == here


@pytest.mark.parametrize("kind", FORMATS)
def test_another_date_gives_other_bytes_where_a_date_is_written(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = []
    for date in ("0", "86400", "86400"):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", date)
        found.append(bytes_of(kind, tmp_path))
    assert (found[0] != found[1]) == (kind in DATED)
    assert found[1] == found[2]


@pytest.mark.parametrize("kind", FORMATS)
def test_no_folder_and_no_clock_gets_into_a_file(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    content = bytes_of(kind, tmp_path)
    assert str(tmp_path).encode() not in content
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    assert bytes_of(kind, folder) == content
