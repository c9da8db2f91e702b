"""Holes that lie on one another and pins in them: distances by hand, and what the command and its JSON say."""

from __future__ import annotations

import json
import math
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from formparts.assembly import Assembly, Placed, Turned, matings
from formparts.body import Body, Frame, Sheet
from formparts.cli import main
from formparts.errors import InputError
from formparts.outline import Motion, disc, rectangle
from formparts.shapes import cut_opening, plate
from tests.assembly.samples import stack

RECIPE = '''
from formparts import Assembly, Frame, Length, Placed, Turned, assembly_recipe, place, Sheet
from formparts.outline import disc, rectangle
from formparts.shapes import cut_opening, plate
from typing import Annotated

def tab(name):
    return cut_opening(plate(Sheet(2, 2), rectangle(40, 30), name), disc(9), name="hole")

@assembly_recipe
def pair(apart: Annotated[float, Length("of the axes", 0, 5)] = 0.0) -> Assembly:
    """Two tabs with a bolt through both."""
    low, high = Placed("low", tab("low_tab")), Placed("high", tab("high_tab"), Frame((apart, 0, 2)))
    bolt = place(Turned("bolt", ((8, 12), (13, 5))), "shoulder[1]", high.at("hole.upper"), name="bolt")
    return Assembly("pair", (low, high, bolt), {"low_tab": {"number": "FP-1", "revision": "B"}})
'''


def tab(diameter: float, name: str) -> Body:
    """A plate of 40 x 30, 2 mm thick, with one hole in its middle and one 12 mm beside it."""
    body = plate(Sheet(2, 2), rectangle(40, 30), name)
    return cut_opening(body, disc(diameter), name, [Motion.shift(0, 0), Motion.shift(12, 0)], "hole")


def two(offset: tuple[float, float], gap: float = 0.0, diameter: float = 7.0) -> Assembly:
    return Assembly(
        "two", (Placed("a", tab(9, "a")), Placed("b", tab(diameter, "b"), Frame((*offset, 2 + gap))))
    )


def test_two_plates_by_hand() -> None:
    """Axes 0.3 and 0.4 apart in x and y lie 0.5 apart; through 9 and 7 mm a pin of (9 + 7)/2 - 0.5 = 7.5 would go, but
    the smaller hole takes 7 at most; through two of 9 mm one of 9 - 0.5."""
    found = matings(two((0.3, 0.4)))
    assert [(row.first, row.second) for row in found] == [
        ("a: hole[1]", "b: hole[1]"),
        ("a: hole[2]", "b: hole[2]"),
    ]
    assert [row.offset for row in found] == pytest.approx([0.5, 0.5])
    assert [row.clear for row in found] == pytest.approx([7, 7])
    assert not any(row.ok for row in found)
    assert all(row.ok for row in matings(two((0.3, 0.4)), "0.6 mm"))
    assert [row.clear for row in matings(two((0.3, 0.4), diameter=9))] == pytest.approx([8.5, 8.5])


def test_what_does_not_belong_together() -> None:
    """Sheets 1.5 mm apart, holes that do not overlap, a hole more than twice as wide, and one that looks across."""
    assert matings(two((0, 0), gap=1.5)) == ()
    assert matings(two((0, 9))) == ()
    assert matings(two((0, 0), diameter=4)) == ()
    across = Placed("b", tab(9, "b"), Frame((0, 0, 0), (0, 0, 1), (0, 1, 0), (-1, 0, 0)))
    assert matings(Assembly("two", (Placed("a", tab(9, "a")), across))) == ()


@pytest.mark.parametrize(("turn", "gap"), [((1, 0, 0), 0.0), ((0, 1, 0), 0.05)])
def test_a_plate_upside_down(turn: tuple[float, float, float], gap: float) -> None:
    """Turned about its own x axis, or another, it mates all the same: axes have no sense."""
    y = (-turn[1], -turn[0], 0.0) if turn[0] else (1.0, 0.0, 0.0)
    over = Placed("b", tab(9, "b"), Frame((0, 0, 4 + gap), turn, y, (0, 0, -1)))
    found = matings(Assembly("two", (Placed("a", tab(9, "a")), over)))
    assert (found[0].first, found[0].second, found[0].offset) == (
        "a: hole[1]",
        "b: hole[1]",
        pytest.approx(0),
    )


def test_bolt_and_spacer() -> None:
    """M8 through a hole of 9 and a bore of 8.5: 1 and 0.5 mm are left, and the two holes lie on one axis. The head of
    13 rests on the hole and is not in it."""
    found = {(row.first, row.second): row.clear for row in matings(stack())}
    assert found == {
        ("bracket: foot_hole[1]", "spacer: bore"): pytest.approx(8.5),
        ("bracket: foot_hole[1]", "bolt: side[1]"): pytest.approx(1.0),
        ("spacer: bore", "bolt: side[1]"): pytest.approx(0.5),
    }


def test_a_pin_holds_two_sheets_apart_together() -> None:
    """Sheets with 10 mm between them belong together by the pin through both."""
    pin = Placed("pin", Turned("pin", ((8, 30),)), Frame((0, 0, -5)))
    items = two((0.0, 0.2), gap=10, diameter=9).items
    rows = {(row.first, row.second): row for row in matings(Assembly("three", (*items, pin)))}
    assert rows["a: hole[1]", "b: hole[1]"].offset == pytest.approx(0.2)
    assert rows["b: hole[1]", "pin: side[1]"].clear == pytest.approx(9 - 8 - 0.4)
    assert ("a: hole[2]", "b: hole[2]") not in rows


def test_refusals() -> None:
    """A tolerance below nothing; the title of a part that is not there."""
    for bad in (-1, math.nan, "x"):
        with pytest.raises(InputError, match="align"):
            matings(stack(), bad)
    with pytest.raises(InputError, match=r"there are: stack, bracket, spacer, bolt"):
        Assembly("stack", stack().items, {"nut": {"number": "1"}})


def test_the_command_and_its_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All well at no offset; 0.6 mm off the pair is named with the tolerance, and the exit code is 1. The JSON keeps to
    its schema."""
    (tmp_path / "pair.py").write_text(RECIPE)
    schema = json.loads(files("formparts").joinpath("data/assembly.schema.json").read_text(encoding="utf-8"))
    base = [
        "assemble",
        f"{tmp_path / 'pair.py'}:pair",
        "--out",
        str(tmp_path / "out"),
        "--field",
        "number=A-1",
    ]
    assert main(base) == 0
    assert (
        "3 pairs of holes or bolt in hole: axes within 0.1 mm; the tightest bolt has 1 mm"
        in capsys.readouterr().out
    )
    assert main([*base, "--set", "apart=0.6"]) == 1
    said = capsys.readouterr().out
    assert (
        "low: hole and high: hole: the axes lie 0.6 mm apart, 0.1 mm is the tolerance; a pin of 8.4 mm goes"
        in said
    )
    assert main([*base, "--set", "apart=0.4", "--align", "0.5 mm"]) == 0
    data = json.loads((tmp_path / "out" / "pair.json").read_text())
    jsonschema.validate(data, schema)
    assert data["title"] == {"number": "A-1"}
    assert [row["title"] for row in data["bill"]] == [{"number": "FP-1", "revision": "B"}, {}, {}]
    assert data["mass_kg"] == pytest.approx(sum(row["total_kg"] for row in data["bill"]))
    assert max(row["offset_mm"] for row in data["holes"]) == pytest.approx(0.4)
    assert main([*base, "--field", "low_tab.numbr=1"]) == 2
    assert "did you mean number?" in capsys.readouterr().err
