"""A STEP file that anybody made, through the command: figures by hand, files by their readers, faults in one line."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

import formparts
from formparts.cli import main
from formparts.recognition import body_from
from formparts.unfolded_files import unfold_file
from formparts.unfolder import read_solid, unfold

DATA = Path(formparts.__file__).parent / "data"
THICK, INSIDE = 2.0, 3.0
LEGS, WIDE = (60.0, 40.0), 30.0
HOLE = 8.0


def angle_step(folder: Path) -> Path:
    """An angle of 60 x 40 x 30 mm by extruding its section, with a hole; no recipe of formparts has part in it."""
    import cadquery as cq

    outer = INSIDE + THICK
    section = (
        cq.Workplane("XZ")
        .moveTo(0, 0)
        .lineTo(LEGS[0] - outer, 0)
        .radiusArc((LEGS[0], outer), -outer)
        .lineTo(LEGS[0], LEGS[1])
        .lineTo(LEGS[0] - THICK, LEGS[1])
        .lineTo(LEGS[0] - THICK, outer)
        .radiusArc((LEGS[0] - outer, THICK), INSIDE)
        .lineTo(0, THICK)
        .close()
        .extrude(-WIDE)
    )
    part = section.faces("<Z").workplane(centerOption="CenterOfBoundBox").center(-15, 0).hole(HOLE)
    path = folder / "angle.step"
    cq.exporters.export(part, str(path))
    return path


@pytest.fixture(scope="module")
def step(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return angle_step(tmp_path_factory.mktemp("foreign"))


def hand_length(allowance: float) -> float:
    """Both legs to the tangent lines, and the bend between them."""
    return sum(LEGS) - 2.0 * (INSIDE + THICK) + allowance


def k_allowance(k: float) -> float:
    return math.pi / 2.0 * (INSIDE + k * THICK)


def din_allowance() -> float:
    """DIN 6935: k = 0.65 + log10(r/s) / 2, counted on half the thickness (seen in a table book)."""
    k = 0.65 + 0.5 * math.log10(INSIDE / THICK)
    return math.pi / 2.0 * (INSIDE + k * THICK / 2.0)


@pytest.mark.parametrize(
    ("rule", "allowance"),
    [("0.44", lambda: k_allowance(0.44)), ("K 0.33", lambda: k_allowance(0.33)), ("din6935", din_allowance)],
)
def test_blank_of_a_foreign_angle_is_that_of_the_hand_calculation(
    step: Path, rule: str, allowance: Callable[[], float]
) -> None:
    """Length, width, area, cut, thickness, volume and mass by hand, for K-factors and DIN 6935."""
    made = unfold_file(step, material="1.4301", bend_rule=rule)
    flat, length = made.found.blank, hand_length(allowance())
    hole = math.pi * HOLE**2 / 4.0
    assert made.found.thickness == pytest.approx(THICK, abs=1e-9)
    assert sorted((flat.length, flat.width)) == pytest.approx(sorted((length, WIDE)), abs=1e-6)
    assert flat.area == pytest.approx(length * WIDE - hole, abs=1e-6)
    assert flat.cut_length == pytest.approx(2.0 * (length + WIDE) + math.pi * HOLE, abs=1e-6)
    volume = THICK * (
        WIDE * (sum(LEGS) - 2.0 * (INSIDE + THICK) + math.pi / 2.0 * (INSIDE + THICK / 2.0)) - hole
    )
    assert made.found.volume == pytest.approx(volume, rel=1e-9)
    assert made.mass == pytest.approx(volume * 7900e-9, rel=1e-9)  # EN 10088-1: 7.9 kg/dm3
    assert made.envelope == pytest.approx((LEGS[0], WIDE, LEGS[1]), abs=1e-6)
    assert [(bend.angle, bend.inside_radius) for bend in made.found.bends] == [
        pytest.approx((90.0, INSIDE), abs=1e-9)
    ]
    assert made.ok


def test_table_of_ones_own_gives_the_developed_length(step: Path, tmp_path: Path) -> None:
    """A measured allowance of 7.125 mm from a CSV goes into the blank unchanged."""
    table = tmp_path / "own.csv"
    table.write_text(
        "thickness [mm],inside_radius [mm],angle [deg],allowance [mm]\n2,3,90,7.125\n", encoding="utf-8"
    )
    made = unfold_file(step, bend_rule=str(table))
    assert max(made.found.blank.length, made.found.blank.width) == pytest.approx(hand_length(7.125), abs=1e-6)


def schema() -> Draft202012Validator:
    names = ("part.schema.json", "unfolded.schema.json")
    read = {name: json.loads((DATA / name).read_text(encoding="utf-8")) for name in names}
    parts: Registry[Any] = Registry().with_resources(
        [(name, Resource.from_contents(text)) for name, text in read.items()]
    )
    return Draft202012Validator(read["unfolded.schema.json"], registry=parts)


def test_command_writes_blank_and_figures(
    step: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 0; the JSON keeps its schema, the DXF has the blank's size, and make's files are not written over."""
    assert main(["unfold", str(step), "--material", "S235JR", "--out", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "2 mm thick" in told
    assert "1 x 90 deg" in told
    written = {path.name for path in tmp_path.glob("[!.]*")}
    assert written == {"angle-unfolded.dxf", "angle-unfolded.svg", "angle-unfolded.json"}
    record = json.loads((tmp_path / "angle-unfolded.json").read_text(encoding="utf-8"))
    assert list(schema().iter_errors(record)) == []
    assert not list(schema().iter_errors(record | {"mass_kg": None}))
    assert list(schema().iter_errors(record | {"mass_kg": "heavy"}))
    cut = list(ezdxf.readfile(tmp_path / "angle-unfolded.dxf").modelspace().query("LWPOLYLINE"))
    xs = [point[0] for point in cut[0].get_points()]
    assert max(xs) - min(xs) == pytest.approx(record["blank"]["length_mm"], abs=1e-6)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere.step"], "there is no such file"),
        (["{step}", "--material", "mithril"], "there is no such material"),
        (["{step}", "--bend-rule", "by eye"], "is not a bend rule"),
        (["{step}", "--up", "0,0,0"], "is not a direction"),
        (["{step}", "--up", "up"], "is not a direction"),
        (["{step}", "--fixed", "lid"], "there is no such flat"),
        (["{step}", "--dxf", "R1"], "R2000"),
        (["{step}", "--out", ""], "is not a folder"),
    ],
)
def test_bad_input_is_one_line(
    step: Path, arguments: list[str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2, and one line that says what is wrong."""
    given = [argument.replace("{step}", str(step)) for argument in arguments]
    out = [] if "--out" in given else ["--out", str(tmp_path)]
    assert main(["unfold", *given, *out]) == 2
    captured = capsys.readouterr()
    assert captured.err.count("\n") == 1
    assert said in captured.err
    assert captured.out == ""


def test_a_rule_that_is_none_is_refused(step: Path) -> None:
    """The unfolder takes a K-factor or a rule, and nothing else."""
    with pytest.raises(formparts.InputError, match="is not a bend rule"):
        unfold(read_solid(step), "by eye")
    plain = unfold(read_solid(step))
    assert max(plain.blank.length, plain.blank.width) == pytest.approx(
        hand_length(k_allowance(0.44)), abs=1e-6
    )


def test_what_is_drawn_finer_than_a_cut_is_no_error_of_its_maker(tmp_path: Path) -> None:
    """A slot of 0.2 mm, and two holes with 0.2 mm between them: a laser of 0.3 mm cuts neither; exit 0."""
    import cadquery as cq

    plate = cq.Workplane().box(60, 40, 1).faces(">Z").workplane()
    part = plate.pushPoints([(-4.1, 8), (4.1, 8)]).hole(8).faces(">Z").workplane().rect(30, 0.2).cutThruAll()
    path = tmp_path / "fine.step"
    cq.exporters.export(part, str(path))
    made = unfold_file(path)
    fine = {each.code: each for each in made.findings if each.measured == pytest.approx(0.2)}
    assert fine.keys() >= {"narrow-cut", "opening-near-opening"}
    assert {each.severity for each in fine.values()} == {"warning"}
    assert fine["narrow-cut"].fix == "cut it with a finer tool, or make the opening wider"
    assert made.ok


def test_a_closed_hem_has_one_blank_made_or_unfolded(tmp_path: Path) -> None:
    """A hem takes 0.43 t off its outside lengths (common practice, no source), whichever way the part comes in."""
    base = formparts.plate(formparts.Sheet(1.5, 1.5), formparts.rectangle(60, 40), name="base")
    part = formparts.Part(formparts.add_hem(base, "back", 8, name="hem"))
    path = tmp_path / "hemmed.step"
    part.write(path)
    found = unfold_file(path, tmp_path, bend_rule=0.40)
    assert found.found.blank.width == pytest.approx(40 + 8 - (2 - math.pi / 2) * 1.5, abs=0.002)
    assert found.found.blank.width == pytest.approx(part.blank.width, abs=1e-6)
    said = json.loads((tmp_path / "hemmed-unfolded.json").read_text())
    assert said["sheet"]["bend_rule"] == "K-factor 0.4; closed hems and curls K-factor 0.5"
    assert body_from(path, 0.40).bends[0].bend_rule == formparts.bending.KFactor(0.5)


@pytest.mark.parametrize(
    ("kind", "straight"),
    [({"kind": "rolled"}, 0.75), ({"kind": "open", "gap": 3}, 12 - 3), ({"kind": "teardrop"}, None)],
)
def test_what_is_turned_beyond_half_a_turn_has_one_blank_too(
    kind: dict[str, Any], straight: float | None, tmp_path: Path
) -> None:
    """
    A rolled hem of 12 outside: 270 deg about 4.5 + 0.75, its middle; an open one goes by the rule that is given.

    Groover: K 0.50 from an inside radius of two thicknesses on, and so R = 4.5 of 1.5 mm.
    """
    base = formparts.plate(
        formparts.Sheet(1.5, 1.5, bend_rule=0.40), formparts.rectangle(60, 40), name="base"
    )
    part = formparts.Part(formparts.add_hem(base, "back", 12, **kind))
    part.write(tmp_path / "hemmed.step")
    found = unfold_file(tmp_path / "hemmed.step", bend_rule=0.40).found
    assert found.blank.width == pytest.approx(part.blank.width, abs=1e-6)
    again = formparts.Part(body_from(tmp_path / "hemmed.step", 0.40))
    assert again.blank.width == pytest.approx(part.blank.width, abs=1e-6)
    radius = part.body.bends[0].inside_radius
    angle, share = part.body.bends[0].angle, 0.4 if kind["kind"] == "open" else 0.5
    long = straight or part.body.flats[-1].outline.bounds[3] - part.body.flats[-1].outline.bounds[1]
    by_hand = 40 - 1.5 - radius + math.radians(angle) * (radius + share * 1.5) + long
    assert part.blank.width == pytest.approx(by_hand, abs=1e-9)
