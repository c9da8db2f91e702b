"""The drawing of an assembly, and the list of dimensions as a file."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from formparts import find_recipe
from formparts.assembly_recipes import find_assembly
from formparts.body import Frame
from formparts.cli import main
from formparts.drawings import assembly_drawing, drawing, list_from, rebuilt, write_drawing
from formparts.drawings.assembled import _shown_places, _whole
from formparts.drawings.views import views_of
from tests.drawings.clear import faults
from tests.drawings.test_sheet import said, words


def test_the_stack_has_views_balloons_bill_and_overall_sizes() -> None:
    """
    From the recipe's own hand calculation: the upper plate's outer face is at 16 + 90 + 16 = 122 mm.

    The riser is 240 + 2 x 28 = 296 long and 210 wide; two seats, one meter, eight bolts.
    """
    of = assembly_drawing(find_assembly("riser_stack")())
    found = said(of)
    assert {"122", "296", "210"} <= found
    assert {"ring_riser", "meter", "bolt", "643.5 g", "1.287 kg"} <= found
    numbers = [each.text for each in words(of)]
    assert all(numbers.count(number) >= 2 for number in ("1", "2", "3"))  # a balloon, and a row of the bill
    assert {"front", "from the left", "from above", "isometric, 1 : 5"} <= found
    row = numbers.index("lower_seat: lug.hole")  # four holes of 9 mm, each with a bolt of 8 mm
    assert numbers[row - 1 : row + 4] == ["4", "lower_seat: lug.hole", "lower_seat.bolt: side", "1", "yes"]
    assert of.scale == 0.5  # 296 + 210 mm of views beside each other on 400 mm of paper
    assert faults(of) == []
    assert of.missing == ()


def test_balloons_lead_to_what_is_seen() -> None:
    """The plate of the riser is open in its middle: its balloon ends at a rim, and not on the meter behind it."""
    assembly = find_assembly("riser_stack")()
    whole, shapes = _whole(assembly)
    view = views_of(whole, "first", Frame())["isometric"]  # type: ignore[arg-type]
    plate, meter, bolt = _shown_places(assembly, whole, shapes, view)
    assert max(abs(plate[0]) / 148.0, abs(plate[1]) / 105.0) > 0.6
    assert math.hypot(*meter[:2]) < 41.0 < 1.01 * math.hypot(*bolt[:2])


def test_the_command_draws_an_assembly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By the same word as a part."""
    assert main(["draw", "riser_stack", "--out", str(tmp_path), "--as", "pdf"]) == 0
    assert (tmp_path / "riser_stack-drawing.pdf").exists()
    assert "11 parts" in capsys.readouterr().out


def test_the_list_as_a_file_makes_the_part(tmp_path: Path) -> None:
    """Who has only the file has the part."""
    of = drawing(find_recipe("z_clip")())
    path = write_drawing(of, tmp_path / "z_clip.json")
    data = json.loads(path.read_text(encoding="utf-8"))
    assert list_from(data) == of.dimensions
    assert [bend.angle for bend in rebuilt(list_from(data)).bends] == pytest.approx([90, 90])
    assert {one["view"] for one in data["dimensions"]} >= {"top", "title block"}
