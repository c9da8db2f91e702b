"""`formparts check`: what is printed, drawn and returned."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest

from formparts import limit_profile, unfold_file
from formparts.blanks import blank
from formparts.checks import findings
from formparts.cli import main
from formparts.export import proved_blank_dxf, write_blank_dxf, write_findings, write_step
from formparts.solids import solid
from recipes.ring_riser import ring_riser
from recipes.u_channel import u_channel
from recipes.z_clip import z_clip


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(["check", *arguments])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_sound_part_exits_0(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Nothing is found, and that is printed."""
    code, out, _ = run(capsys, "u_channel", "--out", str(tmp_path))
    assert code == 0
    assert out.startswith("u_channel: 0 errors, 0 warnings, 0 notes")


def test_a_bad_part_exits_1_worst_first(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A short flange is an error, a tight radius a warning, an odd thickness a note."""
    given = ("--set", "height=7", "inside_radius=1mm", "thickness=2.2")
    code, out, _ = run(capsys, "u_channel", *given, "--out", str(tmp_path))
    assert code == 1
    words = [line.split()[1] for line in out.splitlines() if line.split()[0].replace("..", "").isdigit()]
    assert words == ["error:", "warning:", "note:"]
    assert "height at least " in out
    assert "source: DIN 6935" in out


def test_warnings_alone_exit_0(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """They are for the designer to weigh."""
    code, out, _ = run(capsys, "u_channel", "--set", "inside_radius=1", "--out", str(tmp_path))
    assert code == 0
    assert "0 errors, 2 warnings" in out


@pytest.mark.parametrize(
    "arguments",
    [
        ("u_chanel",),
        ("u_channel", "--limits", "boats"),
        ("u_channel", "--set", "height"),
        ("u_channel", "--expect", "nowhere.toml"),
        ("nowhere.step",),
        ("nowhere.step", "--set", "height=7"),
    ],
)
def test_bad_input_exits_2_in_one_line(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    """Nothing but the line, on the error stream."""
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1


def test_figures_of_a_drawing_come_from_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The rail is 300 mm long: the blank says so; a mass of 1 kg is not met, and the finding says by how much."""
    drawing = tmp_path / "drawing.toml"
    drawing.write_text('blank_width = "30 cm"\nmass = "1 kg"\ntolerance = "0.1 %"\n', encoding="utf-8")
    code, out, _ = run(capsys, "u_channel", "--expect", str(drawing), "--out", str(tmp_path))
    assert code == 1
    assert "1 error," in out
    assert "the drawing says 1 kg" in out
    assert "0.1 % is allowed" in out


def test_findings_are_drawn_numbered_on_a_layer_of_their_own(tmp_path: Path) -> None:
    """As many marks as findings that lie on the blank, at their places; the cut layer is as ever."""
    part = u_channel.part(height=7, hole_diameter=31)
    svg, dxf = write_findings(part.blank, part.findings(), tmp_path, part.name)
    placed = [item.on_blank for item in part.findings() if item.on_blank is not None]
    assert len(placed) == len(part.findings()) == 10
    document = ezdxf.readfile(dxf)
    marks = [entity for entity in document.modelspace() if entity.dxf.layer == "findings"]
    circles = [entity.dxf.center for entity in marks if entity.dxftype() == "CIRCLE"]
    assert sorted((round(x, 6), round(y, 6)) for x, y, _ in circles) == sorted(
        (round(x, 6), round(y, 6)) for x, y in placed
    )
    assert [entity.dxf.text for entity in marks if entity.dxftype() == "TEXT"] == [
        str(n) for n in range(1, 11)
    ]
    assert proved_blank_dxf(dxf, part.blank).area == pytest.approx(part.blank.area)
    groups = ElementTree.parse(svg).getroot().findall("{http://www.w3.org/2000/svg}g")
    (group,) = [found for found in groups if found.get("id") == "findings"]
    words = [element.text for element in group.iter("{http://www.w3.org/2000/svg}text")]
    assert words == [f"!{n}" for n in range(1, 11)]


def test_a_blank_for_the_cutter_has_no_such_layer(tmp_path: Path) -> None:
    """What is cut carries no marks."""
    path = write_blank_dxf(u_channel.part().blank, tmp_path / "blank.dxf")
    assert "findings" not in ezdxf.readfile(path).layers


def test_places_on_the_part_are_where_the_fold_puts_them() -> None:
    """The tangent point beside a lug's first bend: 1 mm over the floor, on the middle of the sheet."""
    found = ring_riser.part(lug_start=5).findings()
    item = next(item for item in found if item.where == "lug[1].bend[1]")
    assert item.on_blank is not None
    assert item.on_blank[0] == pytest.approx(70.0)
    assert abs(item.on_blank[1]) == pytest.approx(13.0)
    assert item.on_part == pytest.approx((*item.on_blank, 1.0))


def test_a_hole_in_a_flange_is_placed_on_the_flange() -> None:
    """By hand: the slot of the clip's head, 6 mm from the tangent line at 2.5 + 2 mm, lies at the head's height."""
    found = z_clip.part(head=20).findings()
    (item,) = [item for item in found if item.code == "opening-near-bend"]
    assert item.on_part is not None
    assert item.on_part[2] == pytest.approx(20.0 + 1.0)  # rise, and half the sheet


@pytest.mark.parametrize(
    ("recipe", "values"),
    [
        (u_channel, {"hole_diameter": 36, "inside_radius": 1.5, "height": 7}),
        (ring_riser, {"lug_start": 2, "relief_width": 1.5}),
    ],
)
def test_a_step_file_has_the_findings_of_its_recipe(
    recipe: object, values: dict[str, float], tmp_path: Path
) -> None:
    """Two methods to the blank, one from the model and one from the solid, and the same is found on both."""
    body = recipe(**values)  # type: ignore[operator]
    path = write_step(solid(body), tmp_path / "part.step")
    there = unfold_file(path, material=body.sheet.material, bend_rule=body.sheet.bend_rule)
    here = findings(body, blank(body), limit_profile("thin sheet general"))

    def figures(items: object) -> list[tuple[str, float, float]]:
        return sorted((item.code, round(item.measured, 5), round(item.limit, 5)) for item in items)  # type: ignore[attr-defined]

    assert len(here) >= 10
    assert figures(there.findings) == figures(here)


def test_one_s_own_materials_have_their_own_least_radius(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A sheet that stretches by 10 %: R = t (1/0.1 - 1)/2 = 9 mm for 2 mm, outer-fibre strain, textbook formula."""
    table = tmp_path / "own.toml"
    table.write_text(
        '[[material]]\nname = "brittle"\ndensity = 7850\ntensile_strength = [600, 700]\nelongation = 10\n'
        '[material.sources]\ndensity = "ours"\ntensile_strength = "ours"\nelongation = "ours"\n',
        encoding="utf-8",
    )
    given = (
        "--set",
        "material=brittle",
        "inside_radius=8",
        "--materials",
        str(table),
        "--out",
        str(tmp_path),
    )
    _, out, _ = run(capsys, "u_channel", *given)
    assert "9 mm is the least for 2 mm of brittle" in out
