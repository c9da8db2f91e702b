"""The solid as STEP, read by the kernel's plain reader, and every fault that the proof of the file must catch."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeSphere
from OCP.GProp import GProp_GProps
from OCP.Interface import Interface_Static
from OCP.Message import Message
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Reader, STEPControl_Writer
from OCP.TopoDS import TopoDS

from formparts.body import Sheet
from formparts.closed_forms import properties
from formparts.errors import FileProofError, InputError
from formparts.export import proved_step, read_facts, read_step, read_step_solid, step, write_glb, write_step
from formparts.export.step_proof import kind_of
from formparts.outline import disc, obround, rectangle
from formparts.shapes import add_flange, cut_opening, plate
from formparts.solids import Solid, solid
from tests.export.samples import ANGLE_SURFACE, ANGLE_VOLUME, ODD_NAME, angle_part, pierced_plate, riser

PLAIN_NAME = "angle"


@pytest.fixture(scope="module")
def angle() -> Solid:
    return solid(angle_part(PLAIN_NAME))


@pytest.fixture
def written_angle(angle: Solid, tmp_path: Path) -> Path:
    return write_step(angle, tmp_path / "angle.step")


def plainly_read(path: Path) -> Any:
    """The shape by the kernel's plain reader, which knows neither names nor colours."""
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    return reader.OneShape()


def volume(shape: Any) -> float:
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    return float(found.Mass())


@pytest.mark.parametrize("schema", ["AP214", "AP242"])
def test_volume_read_back_is_the_hand_calculation(angle: Solid, schema: str, tmp_path: Path) -> None:
    path = write_step(angle, tmp_path / "a.step", schema=schema, volume=ANGLE_VOLUME)
    assert volume(plainly_read(path)) == pytest.approx(ANGLE_VOLUME, rel=1e-12)


def test_figures_read_back_are_the_hand_calculation(angle: Solid, written_angle: Path) -> None:
    figures = proved_step(written_angle, angle, ANGLE_VOLUME)
    assert figures.volume == pytest.approx(ANGLE_VOLUME, rel=1e-12)
    assert figures.area == pytest.approx(ANGLE_SURFACE, rel=1e-12)
    # Two flats of six faces each less the one that the bend takes, and the four of the bend.
    assert figures.faces == 2 * 5 + 4


@pytest.mark.parametrize("body", [riser, pierced_plate])
def test_file_agrees_with_the_closed_form_of_the_body(body: Callable[[], Any], tmp_path: Path) -> None:
    part, closed = body(), properties(body())
    made = solid(part)
    path = write_step(made, tmp_path / "a.step", volume=closed.volume)
    figures = proved_step(path, made, closed.volume)
    assert figures.area == pytest.approx(closed.surface, rel=1e-12)
    assert figures.centroid == pytest.approx(closed.centroid, abs=1e-9)


def test_every_face_carries_its_name_and_the_product_its_own(angle: Solid, written_angle: Path) -> None:
    part = read_step(written_angle)
    assert part.name == PLAIN_NAME
    assert part.faces.keys() == angle.faces.keys()
    assert {kind_of(part.faces[name]) for name in ("angle.bend[1].inside", "angle.bend[1].outside")} == {
        "cylinder"
    }
    text = written_angle.read_text()
    names = re.findall(r"ADVANCED_FACE\(\s*'([^']*)'", text)
    assert sorted(names) == sorted(angle.faces)
    assert f"MANIFOLD_SOLID_BREP('{PLAIN_NAME}'" in text


def test_letters_beyond_ascii_are_coded_as_the_standard_wants_and_come_back_whole(tmp_path: Path) -> None:
    named = replace(solid(angle_part()), name="Träger 3 µm, O'Neill \\ 𝛼")
    path = write_step(named, tmp_path / "a.step")
    # ISO 10303-21, 6.4.3 (from memory): \X2\ and four hexadecimal digits a letter; ä is U+00E4, µ is U+00B5.
    assert b"Tr\\X2\\00E4\\X0\\ger 3 \\X2\\00B5\\X0\\m, O''Neill \\\\ " in path.read_bytes()
    assert b"\\X4\\0001D6FC\\X0\\" in path.read_bytes()
    path.read_bytes().decode("ascii")
    assert write_step(solid(angle_part()), tmp_path / "b.step").exists()
    assert read_step(tmp_path / "b.step").name == ODD_NAME


def test_header_says_what_it_must_and_no_folder(angle: Solid, tmp_path: Path) -> None:
    path = write_step(angle, tmp_path / "angle.step", date=datetime(2024, 2, 29, 13, 14, 15, tzinfo=UTC))
    text = path.read_text()
    header = re.sub(r"\s", "", text[: text.index("DATA;")])
    assert "FILE_NAME('angle.step','2024-02-29T13:14:15',(''),(''),'formparts','formparts','');" in header
    assert "AUTOMOTIVE_DESIGN" in header
    assert str(tmp_path) not in text


def test_schema_is_the_one_asked_for(angle: Solid, tmp_path: Path) -> None:
    path = write_step(angle, tmp_path / "a.step", schema="AP242")
    assert "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF" in path.read_text()


def test_unit_is_the_millimetre_and_no_density_is_written(written_angle: Path) -> None:
    text = written_angle.read_text()
    assert re.findall(r"SI_UNIT\(([^)]*)\.METRE\.\)", text) == [".MILLI.,"]
    assert "DENSITY" not in text.upper()
    assert "MASS" not in text.upper()


def test_colour_is_written_as_given(angle: Solid, tmp_path: Path) -> None:
    text = write_step(angle, tmp_path / "a.step", colour=(0.2, 0.5, 0.8)).read_text()
    (found,) = re.findall(r"COLOUR_RGB\('',([^)]*)\)", text)
    # The kernel keeps colours as 32-bit floats on another scale, hence not every digit comes back.
    assert [float(part) for part in found.split(",")] == pytest.approx([0.2, 0.5, 0.8], abs=1e-6)


@pytest.mark.parametrize("colour", [(1.2, 0, 0), (-0.1, 0, 0), (0, 0), (math.nan, 0, 0), "red", 5])
def test_colour_that_is_none_is_refused(angle: Solid, colour: Any, tmp_path: Path) -> None:
    for write, part in ((write_step, angle), (write_glb, angle_part())):
        with pytest.raises(InputError, match="is not a colour"):
            write(part, tmp_path / "a", colour=colour)
    assert list(tmp_path.iterdir()) == []


def test_facts_of_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.step", tmp_path / "a\0b.step"):
        with pytest.raises(InputError, match="cannot be read"):
            read_facts(path)


def test_unknown_schema_is_refused(angle: Solid, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="choose AP214 or AP242"):
        write_step(angle, tmp_path / "a.step", schema="AP203")


def test_settings_and_voice_of_the_kernel_are_put_back(
    angle: Solid, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    STEPCAFControl_Writer()  # its settings are there only once one was made
    names = (
        "write.step.schema",
        "write.stepcaf.subshapes.name",
        "write.surfacecurve.mode",
        "write.step.unit",
    )
    Interface_Static.SetCVal_s("write.step.schema", "AP203")
    try:
        before = [Interface_Static.CVal_s(name) for name in names]
        voices = len(list(Message.DefaultMessenger_s().Printers()))
        write_step(angle, tmp_path / "a.step", schema="AP242")
        assert [Interface_Static.CVal_s(name) for name in names] == before
        assert len(list(Message.DefaultMessenger_s().Printers())) == voices >= 1
    finally:
        Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    assert capfd.readouterr() == ("", "")


# --- the proof catches what is planted -------------------------------------------------------------------------


def swapped(text: str, one: str, two: str) -> str:
    return text.replace(f"'{one}'", "'?'").replace(f"'{two}'", f"'{one}'").replace("'?'", f"'{two}'")


def without_a_face(text: str) -> str:
    return re.sub(r"(CLOSED_SHELL\('',\(#\d+),#\d+", r"\1", text)


TAIL = ";\nENDSEC;\nEND-ISO-10303-21;\n"


def shell_only(text: str) -> str:
    return re.sub(r"MANIFOLD_SOLID_BREP\('angle',(#\d+)\)", r"SHELL_BASED_SURFACE_MODEL('angle',(\1))", text)


def moved_vertex(text: str) -> str:
    """One corner of the part moved by a tenth of a millimetre."""
    corner = re.search(r"VERTEX_POINT\('',#(\d+)\)", text)
    assert corner is not None
    return re.sub(
        rf"(\n#{corner.group(1)} = CARTESIAN_POINT\('',\()([-\d.E+]*)",
        lambda found: f"{found.group(1)}{float(found.group(2)) + 0.1!r}",
        text,
    )


def moved_plane(text: str) -> str:
    """The bottom's plane moved out of the points that bound it."""
    face = re.search(r"ADVANCED_FACE\('angle\.run\[1\]\.lower',\(#\d+\),#(\d+)", text)
    assert face is not None
    axes = re.search(rf"\n#{face.group(1)} = PLANE\('',#(\d+)\)", text)
    assert axes is not None
    origin = re.search(rf"\n#{axes.group(1)} = AXIS2_PLACEMENT_3D\('',#(\d+)", text)
    assert origin is not None
    return re.sub(
        rf"(\n#{origin.group(1)} = CARTESIAN_POINT\('',\([^)]*,)([-\d.E+]*)\)",
        lambda found: f"{found.group(1)}{float(found.group(2)) - 0.5!r})",
        text,
    )


FAULTS: dict[str, tuple[Callable[[str], str], str]] = {
    "metre": (lambda text: text.replace(".MILLI.,.METRE.", "$,.METRE."), "unit of length"),
    "product renamed": (
        lambda text: text.replace("PRODUCT('angle','angle'", "PRODUCT('a','a'"),
        "called 'a'",
    ),
    "face renamed": (lambda text: text.replace("'angle.run[1].upper'", "'top'"), "no face is called"),
    "face nameless": (lambda text: text.replace("'angle.run[1].upper'", "''"), "no face is called"),
    "two names swapped": (
        lambda text: swapped(text, "angle.run[1].upper", "angle.run[2].upper"),
        r"the middle of the face",
    ),
    "skins swapped": (
        lambda text: swapped(text, "angle.bend[1].inside", "angle.bend[1].outside"),
        "the middle of the face",
    ),
    "face missing": (without_a_face, "13 faces, and not 14|holds 0 solids"),
    "vertex moved": (moved_vertex, "lies 0.1 mm off"),
    "plane moved": (moved_plane, "not valid|from its place|mm2, and not|volume"),
    "other radius": (
        lambda text: re.sub(r"(CYLINDRICAL_SURFACE\('',#\d+),3\.\)", r"\1,3.01)", text),
        "not valid|from its place|mm2, and not|volume",
    ),
    "cut short": (lambda text: text[: len(text) // 2], "cut short"),
    "no solid": (shell_only, "holds 0 solids"),
    "half of the entities": (lambda text: text[: len(text) // 2] + TAIL, "is not whole: entity #[0-9]+"),
    "not STEP": (lambda _: "solid of a sort", "not a STEP file"),
    "empty": (lambda _: "", "not a STEP file"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_proof_catches_a_planted_fault(
    fault: str, angle: Solid, written_angle: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    plant, message = FAULTS[fault]
    text = written_angle.read_text()
    planted = plant(text)
    assert planted != text
    written_angle.write_text(planted)
    with pytest.raises(FileProofError, match=message):
        proved_step(written_angle, angle, ANGLE_VOLUME)
    assert capfd.readouterr() == ("", "")


def test_proof_catches_a_volume_off_by_two_in_a_thousand_million(angle: Solid, written_angle: Path) -> None:
    proved_step(written_angle, angle, ANGLE_VOLUME)
    for wrong in (ANGLE_VOLUME * (1 + 2e-9), ANGLE_VOLUME * (1 - 2e-9), -ANGLE_VOLUME, math.nan):
        with pytest.raises(FileProofError, match="volume"):
            proved_step(written_angle, angle, wrong)


def test_wrong_closed_form_is_not_delivered_and_the_older_file_stands(angle: Solid, tmp_path: Path) -> None:
    (tmp_path / "a.step").write_text("older")
    with pytest.raises(FileProofError, match=r"a\.step: not delivered: volume"):
        write_step(angle, tmp_path / "a.step", volume=1.001 * ANGLE_VOLUME)
    assert [(entry.name, entry.read_text()) for entry in tmp_path.iterdir()] == [("a.step", "older")]


def test_file_that_fails_its_proof_is_not_delivered(
    angle: Solid, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = step.step_bytes
    monkeypatch.setattr(step, "step_bytes", lambda *given: real(*given).replace(b".MILLI.", b".CENTI."))
    with pytest.raises(FileProofError, match="unit of length"):
        write_step(angle, tmp_path / "a.step")
    assert list(tmp_path.iterdir()) == []


def test_face_that_is_neither_plane_nor_cylinder_is_not_delivered(tmp_path: Path) -> None:
    ball = BRepPrimAPI_MakeSphere(5.0)
    made = Solid("ball", ball.Solid(), {"skin": ball.Face()})
    with pytest.raises(FileProofError, match="neither plane nor cylinder"):
        write_step(made, tmp_path / "a.step")


def test_solid_inside_out_is_not_delivered(angle: Solid, tmp_path: Path) -> None:
    inside_out = replace(angle, shape=TopoDS.Solid_s(angle.shape.Reversed()))
    with pytest.raises(FileProofError, match="volume"):
        write_step(inside_out, tmp_path / "a.step")


def test_two_solids_are_not_one_part(tmp_path: Path) -> None:
    writer = STEPControl_Writer()
    for size in (1.0, 2.0):
        writer.Transfer(BRepPrimAPI_MakeBox(size, size, size).Solid(), STEPControl_AsIs)
    writer.Write(str(tmp_path / "two.step"))
    with pytest.raises(InputError, match="holds 2 solids; give a file of exactly one solid"):
        read_step_solid(tmp_path / "two.step")


def test_any_one_solid_of_another_writer_is_read(tmp_path: Path) -> None:
    writer = STEPControl_Writer()
    writer.Transfer(BRepPrimAPI_MakeBox(1.0, 2.0, 3.0).Solid(), STEPControl_AsIs)
    writer.Write(str(tmp_path / "box.step"))
    assert volume(read_step_solid(tmp_path / "box.step")) == pytest.approx(6.0, rel=1e-12)


@pytest.mark.parametrize("name", ["missing.step", "", "a\0.step"])
def test_file_that_cannot_be_opened_is_said_in_one_line(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read") as caught:
        read_step_solid(f"{tmp_path}/{name}")
    assert "\n" not in str(caught.value)


def test_writing_does_not_change_the_solid(angle: Solid, tmp_path: Path) -> None:
    before = (volume(angle.shape), dict(angle.faces))
    write_step(angle, tmp_path / "a.step")
    assert (volume(angle.shape), angle.faces) == before


@pytest.mark.parametrize(("radius", "length", "width"), [(10, 9, 9), (20, 14, 14), (100, 160, 80)])
def test_a_hole_across_a_wide_bend_is_delivered(
    radius: float, length: float, width: float, tmp_path: Path
) -> None:
    """The reader draws the hole's edge on the cylinder anew, in many segments: its area must be measured closely."""
    base = plate(Sheet(2, radius, "DC01", 0.44), rectangle(300, 160))
    bent = add_flange(base, "back", radius + 200, edge_to="tangent line")
    allowance = math.pi / 2 * (radius + 0.44 * 2)
    shape = disc(width) if length == width else obround(length, width)
    pierced = cut_opening(bent, shape, on="blank", places=[(10, 80 + 0.4 * allowance)])
    path = write_step(solid(pierced), tmp_path / "a.step")
    # By hand: what is left of the bend on the blank, shorter round the inner face by R/(R + K t).
    hole = math.pi * width**2 / 4 + (length - width) * width
    inside = GProp_GProps()
    BRepGProp.SurfaceProperties_s(read_step(path).faces["flange.bend.inside"], inside, 1e-9, False)
    by_hand = (300 * allowance - hole) * radius / (radius + 0.44 * 2)
    assert inside.Mass() == pytest.approx(by_hand, rel=1e-8)
