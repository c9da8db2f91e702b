"""The setter's sheet: each step with its number, stop and tools, as worked by hand; one numbering on every paper."""

from __future__ import annotations

import csv
import json
import math
import re
from html import unescape
from pathlib import Path

import ezdxf
import pytest

from formparts.body import Sheet
from formparts.export import write_blank_dxf
from formparts.part import Part
from formparts.planning import CAUTIONS
from formparts.setter_sheets import plan_lines, setter_sheet, write_setter_sheet
from formparts.shapes import down, profile, run, up

ALLOWANCE = math.pi / 2.0 * (2.0 + 0.44 * 2.0)
"""Of a bend of 90 deg, R 2 in 2 mm [mm]: A (R + K t)."""

STOPS = {"z.bend[1]": 30 - 4 + ALLOWANCE / 2, "z.bend[2]": 25 - 4 + ALLOWANCE / 2}
"""By hand, from the bend line to the edge of its flange: the flange less its setback and half the allowance [mm]."""


@pytest.fixture(scope="module")
def part() -> Part:
    """A Z whose plan turns it over once; its model counts the bends from the other end than the plan does."""
    sheet = Sheet(2.0, 2.0, "S235JR", 0.44)
    return Part(profile(sheet, 60, run(30), up(90), run(40), down(90), run(25), name="z"))


def texts(part: Part, folder: Path) -> list[str]:
    """All words of the sheet's picture."""
    write_setter_sheet(setter_sheet(part.plan), folder / "z-setter.svg")
    picture = unescape((folder / "z-setter.svg").read_text(encoding="utf-8"))
    return re.findall(r"<text[^>]*>([^<]*)</text>", picture)


def test_each_step_says_what_is_done_by_hand(part: Part, tmp_path: Path) -> None:
    """V 12 forms 0.16 V = 1.92 mm; Oehler's force of 60 mm over it: (1 + 4 t/V) Rm t2/V = 17 kN; tools 60 mm long."""
    console, words = "\n".join(plan_lines(part.plan)), " ".join(texts(part, tmp_path))
    force = (1 + 4 * 2 / 12) * 510 * 2**2 / 12 * 60 / 1000
    for number, step in enumerate(part.plan.steps, 1):
        stop = f"Stop {STOPS[step.bends[0]]:.2f} mm"
        for text in (console, words):
            assert stop in text
        assert f"Step {number}" in words
    for said in (
        f"Force {force:.0f} kN",
        "     V 12",
        "Punch straight, R 1: 60 mm (",
        "Inside radius 1.92 mm (drawing 2)",
    ):
        assert console.count(said) == 2, said
        assert said.strip() in words
    assert words.count("urn over") == 1
    assert all(caution[:40] in words for caution in CAUTIONS)


def test_one_numbering_on_every_paper(part: Part, tmp_path: Path) -> None:
    """Blank, DXF text, CSV and JSON count bends by the step in which they are made."""
    numbers = {name: step for step, names in enumerate(part.plan.ordered, 1) for name in names}
    assert sorted(numbers.values()) == [1, 2]
    for ending in ("-bends.csv", ".json"):
        part.write(tmp_path / f"z{ending}")
    write_blank_dxf(part.numbered_blank, tmp_path / "z-blank.dxf", notes=True)
    rows = (tmp_path / "z-bends.csv").read_text(encoding="utf-8").splitlines()
    table = list(csv.DictReader(row for row in rows if not row.startswith("#")))
    assert {row["name"]: int(row["number"]) for row in table} == numbers
    assert [int(row["number"]) for row in table] == [1, 2]
    notes = [text.dxf.text for text in ezdxf.readfile(tmp_path / "z-blank.dxf").modelspace().query("TEXT")]
    for name, number in numbers.items():
        assert any(note.startswith(f"step {number}: {name} ") for note in notes), notes
    data = json.loads((tmp_path / "z.json").read_text(encoding="utf-8"))
    assert {bend["name"]: bend["number"] for bend in data["schedule"]["bends"]} == numbers
    assert {mark.name: number for number, mark in part.numbered_blank.numbered} == numbers
