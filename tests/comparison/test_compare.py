"""What changed, in the words of the part, held against hand calculation on parts whose change is known."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from formparts import (
    Body,
    Motion,
    Sheet,
    add_flange,
    compare,
    cut_opening,
    disc,
    find_recipe,
    pierced,
    plate,
    rectangle,
    translate,
)
from formparts.comparison import compare_parameters

SHEET = Sheet(2, inside_radius=2, material="DC01", bend_rule="K 0.44")


def part(length: float = 100, height: float = 30, hole: float = 8, angle: float = 90) -> Body:
    """A plate of 60 mm with a flange along its back and a hole in its middle."""
    body = add_flange(
        plate(SHEET, rectangle(length, 60), name="base"), "back", height, angle=angle, name="rear"
    )
    return cut_opening(body, disc(hole), "base", name="pilot")


def said(before: Body, after: Body) -> dict[tuple[str, str], object]:
    return {(change.what, change.how): change for change in compare(before, after)}


def test_one_part_does_not_differ_from_itself() -> None:
    """No word when nothing changed."""
    assert compare(part(), part()) == ()
    riser = find_recipe("ring_riser")
    assert compare(riser(), riser()) == ()


def test_a_higher_flange() -> None:
    """By hand: 2 mm of 100 x 2 mm sheet are 400 mm3, 3.14 g of DC01 at 7850 kg/m3; its middle moves by 1 mm."""
    found = said(part(), part(height=32))
    assert found["rear", "height"].text == "rear height +2 mm (30 -> 32)"  # to the outside, as it was given
    assert "rear moved 1 mm (z +1)" in str(found["rear", "moved"])
    assert found["mass", "mass"].after - found["mass", "mass"].before == pytest.approx(
        400 * 7.85e-6, rel=1e-9
    )
    assert str(found["mass", "mass"]).startswith("mass +3.14 g")
    area = 100 * (56 + 26 + 2.88 * math.pi / 2) - 16 * math.pi
    assert str(found["blank area", "blank area"]) == f"blank area {20000 / area:+.3g} %"
    assert found["blank", "width"].after - found["blank", "width"].before == pytest.approx(2, abs=1e-9)
    assert found["envelope", "z"].after == pytest.approx(32, abs=1e-9)
    assert ("base", "length") not in found


def test_a_larger_hole_and_a_hole_that_moved() -> None:
    """A diameter is a diameter, and a way is a way: 3-4-5."""
    found = said(part(), part(hole=9))
    assert "pilot diameter +1 mm (8 -> 9)" in str(found["pilot", "diameter"])
    assert ("pilot", "moved") not in found
    base = plate(SHEET, rectangle(100, 60), name="base")
    one, two = (
        cut_opening(base, disc(8), "base", [Motion.shift(*place)], name="pilot") for place in ((0, 0), (3, 4))
    )
    (only,) = [change for change in compare(one, two) if change.how == "moved"]
    assert "moved 5 mm" in str(only)


def test_another_angle_turns_the_flange() -> None:
    """From 90 to 80 degrees: the flange has turned by 10."""
    found = said(part(), part(angle=80))
    assert found["rear.bend", "angle"].before == 90
    assert "turned 10 deg" in str(found["rear", "turned"])


def test_pieces_that_came_and_went() -> None:
    """Names that are on one side only are reported."""
    plain = plate(SHEET, rectangle(100, 60), name="base")
    with_flange = add_flange(plain, "back", 30, name="rear")
    assert {(c.what, c.how) for c in compare(plain, with_flange)} >= {
        ("rear", "added"),
        ("rear.bend", "added"),
    }
    assert {(c.what, c.how) for c in compare(with_flange, plain)} >= {("rear", "gone"), ("rear.bend", "gone")}


def test_another_sheet() -> None:
    """Thickness, material and bend rule are reported by name."""
    other = Sheet(3, inside_radius=2, material="1.4301", bend_rule="K 0.4")
    words = {c.how for c in compare(plate(SHEET, rectangle(90, 60)), plate(other, rectangle(90, 60)))}
    assert {"thickness", "material", "bend rule", "mass"} <= words


@settings(max_examples=15)
@given(by=st.tuples(*[st.floats(-50, 50)] * 3))
def test_a_part_that_was_carried_away_differs_by_its_place_alone(by: tuple[float, float, float]) -> None:
    """Invariance: moving the whole changes no size, no mass and no blank; every flat has gone the same way."""
    way = math.hypot(*by)
    changes = compare(part(), translate(part(), by))
    assert {change.how for change in changes} <= {"moved"}
    if way > 1e-5:
        assert {change.what for change in changes} >= {flat.name for flat in part().flats}
    for change in changes:
        assert float(str(change).split("moved ")[1].split()[0]) == pytest.approx(way, rel=1e-4, abs=1e-5)


def test_there_and_back_is_the_same_with_the_sign_turned() -> None:
    """Antisymmetry: what is before one way is after the other way."""
    riser = find_recipe("ring_riser")
    one, two = riser(), riser(rise=16, lug_width=24)
    there = {(c.what, c.how): (c.before, c.after) for c in compare(one, two)}
    back = {(c.what, c.how): (c.after, c.before) for c in compare(two, one)}
    assert there == back


def test_parameters_that_differ() -> None:
    """One line each, with both values."""
    first, second = (
        {"rise": 14.0, "lug_count": 4, "material": "DC01"},
        {"rise": 16.5, "lug_count": 4, "finish": "x"},
    )
    assert [str(change) for change in compare_parameters(first, second)] == [
        "rise 14 -> 16.5", "material DC01 -> none", "finish none -> x",
    ]  # fmt: skip


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """JSON files or folders of a family: 0 when they are one part, 1 when not, 2 when there is no such file."""
    from formparts import family
    from formparts.cli import main
    from tests.families.helpers import STRIP

    rows = [{"name": "a"}, {"name": "b", "height": 14}]
    list(family(find_recipe(STRIP), rows, tmp_path, only=("json",), workers=1))
    given = ["compare", "--recipe", STRIP]
    assert main([*given, str(tmp_path / "a"), str(tmp_path / "a" / "a.json")]) == 0
    assert capsys.readouterr().out == "no difference\n"
    assert main([*given, str(tmp_path / "a"), str(tmp_path / "b")]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "height 12 -> 14"
    assert any(line.startswith("mass +") for line in lines)
    (tmp_path / "bad.json").write_text(json.dumps([1]))
    for path in ("none.json", "bad.json", ""):
        assert main([*given, str(tmp_path / "a"), str(tmp_path / path)]) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_a_file_cannot_name_code_to_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a JSON file of others states as its recipe is a name: a path in it is not followed (CWE-829)."""
    from formparts.cli import main

    monkeypatch.chdir(tmp_path)
    Path("hostile.py").write_text("open('run', 'w').close()\n")
    Path("a.json").write_text(json.dumps({"recipe": "hostile.py:f", "parameters": {}}))
    assert main(["compare", "a.json", "a.json"]) == 2
    assert "--recipe path/to/file.py:function" in capsys.readouterr().err
    assert not Path("run").exists()


def test_a_folder_cannot_name_code_to_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The ledger of a family's folder says where its recipe was; that path is data too, and is not followed."""
    from formparts import family
    from formparts.cli import main
    from tests.families.helpers import STRIP

    list(family(find_recipe(STRIP), [{"name": "a"}], tmp_path, only=("json",), workers=1))
    assert main(["compare", str(tmp_path / "a"), str(tmp_path / "a")]) == 2
    assert "--recipe path/to/file.py:function" in capsys.readouterr().err


def test_the_same_size_and_area_may_be_another_shape() -> None:
    """A notch that was at 20 mm and is at 70; as a whole it is neither longer nor lighter, but it is another part."""

    def notched(at: float) -> Body:
        window = rectangle(10, 10).moved(Motion.shift(at - 50, 0))
        return plate(SHEET, pierced(rectangle(100, 60), window), name="base")

    (change,) = compare(notched(20), notched(70))
    assert (change.what, change.how) == ("base", "shape")
    assert "base has another shape" in str(change)
    assert compare(notched(20), notched(20)) == ()
    assert compare(translate(notched(20), (5, 0, 0)), translate(notched(20), (5, 0, 0))) == ()
