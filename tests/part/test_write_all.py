"""From a recipe to its files: all of them, whole, in the form that the schema says, and nothing on bad input."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from formparts.cli import main
from formparts.errors import FileProofError, InputError
from formparts.expect import expectation
from formparts.export import StepFigures, step_proof
from formparts.part import Part
from formparts.recipe_functions import find_recipe
from formparts.writers import kinds_of, writers_of

NAMES = ("corner_tray", "hat_section", "ring_riser", "stepped_seat", "u_channel", "z_clip")
DEFAULT = kinds_of(by_default=True)
ALL_BUT_PICTURE = tuple(kind for kind in DEFAULT if kind != "picture")


@dataclass(frozen=True)
class Made:
    """A part, and its files."""

    part: Part
    files: tuple[Path, ...]


def make(name: str, out: Path, files: tuple[str, ...] = DEFAULT, **values: object) -> Made:
    part = find_recipe(name).part(**values)
    return Made(part, part.write_all(out, files))


@cache
def schema() -> dict[str, Any]:
    text = files("formparts").joinpath("data/part.schema.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Made]:
    """All recipes at their defaults; the picture, which takes longest, of one only."""
    folder = tmp_path_factory.mktemp("made")
    kinds = {name: DEFAULT if name == "z_clip" else ALL_BUT_PICTURE for name in NAMES}
    return {name: make(name, folder / name, kinds[name]) for name in NAMES}


def data_of(part: Made) -> dict[str, Any]:
    (path,) = [path for path in part.files if path.suffix == ".json"]
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def test_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("name", NAMES)
def test_record_is_as_the_schema_says(made: dict[str, Made], name: str) -> None:
    jsonschema.validate(data_of(made[name]), schema(), jsonschema.Draft202012Validator)


SPOILT = {
    "no mass": lambda data: data.pop("mass_kg"),
    "a word more": lambda data: data.update(colour="red"),
    "mass as text": lambda data: data.update(mass_kg="0.6 kg"),
    "envelope of two": lambda data: data["envelope_mm"].pop(),
    "no pierce": lambda data: data["blank"].update(pierces=0),
    "side of a bend": lambda data: data["bends"][0].update(side="left"),
    "flat bend": lambda data: data["bends"][0].update(angle_deg=0),
    "audit of one method": lambda data: data["audit"][0].update(methods={"solid": 1.0}),
}


@pytest.mark.parametrize("fault", SPOILT)
def test_schema_can_refuse(made: dict[str, Made], fault: str) -> None:
    data = data_of(made["z_clip"])
    SPOILT[fault](data)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, schema(), jsonschema.Draft202012Validator)


@pytest.mark.parametrize("name", NAMES)
def test_every_file_is_there_and_whole(made: dict[str, Made], name: str) -> None:
    part = made[name]
    folder = part.files[0].parent
    ends = {".step", "-blank.dxf", "-blank.svg", "-bends.csv", ".json"} | (
        {".png"} if name == "z_clip" else set()
    )
    assert {path.name for path in part.files} == {f"{name}{end}" for end in ends}
    # Nothing else: no draft is left behind.
    assert set(folder.iterdir()) == {*part.files, folder / ".formparts"}
    assert not any((folder / ".formparts" / "drafts").iterdir())
    assert all(path.stat().st_size > 500 for path in part.files)


@pytest.mark.parametrize("name", NAMES)
def test_record_holds_the_figures_of_the_part(made: dict[str, Made], name: str) -> None:
    part, data = made[name], data_of(made[name])
    assert data["volume_mm3"] == part.part.volume
    assert data["mass_kg"] == pytest.approx(
        data["volume_mm3"] * 1e-9 * data["sheet"]["density_kg_m3"], rel=1e-12
    )
    assert data["blank"]["area_mm2"] == part.part.blank.area
    assert [bend["name"] for bend in data["bends"]] == [bend.name for bend in part.part.bends]
    for bend in data["bends"]:
        start, end = bend["line_on_blank_mm"]
        assert math.dist(start, end) == pytest.approx(bend["bend_line_length_mm"], rel=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_all_roads_agree_and_are_really_several(made: dict[str, Made], name: str) -> None:
    rows = {row.figure: row for row in made[name].part.audit()}
    assert set(rows["volume_mm3"].methods) == {"closed form", "solid", "STEP file read back", "blank area"}
    assert all(row.agrees for row in rows.values())
    mesh = rows["volume_by_mesh_mm3"]
    # The mesh misses a little, and less than its bound: a method of its own.
    assert 0 < mesh.spread <= mesh.allowed


def test_a_road_that_is_off_does_not_agree() -> None:
    from formparts.audits import AuditRow

    assert AuditRow("v", {"a": 1.0, "b": 1.0 + 1e-9}, 1e-8).agrees
    assert not AuditRow("v", {"a": 1.0, "b": 1.0 + 1e-7}, 1e-8).agrees
    assert not AuditRow("v", {"a": 1.0, "b": math.nan}, 1e-8).agrees
    assert not AuditRow("v", {"a": math.nan, "b": 1.0}, 1e-8).agrees


def test_defaults_are_well(made: dict[str, Made]) -> None:
    assert all(made[name].part.ok for name in NAMES)


@pytest.mark.parametrize(
    ("text", "within", "met"),
    [("mass=43.41 g", 1e-3, True), ("mass=0.05kg", 5e-3, False), ("mass=0.05kg", 0.2, True)],
)
def test_figures_of_the_drawing(text: str, within: float, met: bool) -> None:
    """Off by so much, as a share of the drawing's figure; 43.4 g against 50 g is 13 % off."""
    part = find_recipe("z_clip").part().with_expectations(expectation(text, within))
    (figure,) = part.expected
    assert figure.within_tolerance == met == part.ok
    assert figure.deviation == pytest.approx(part.mass / figure.drawing_value - 1)


@pytest.mark.parametrize(
    ("figure", "value"),
    # By hand, foot 30, rise 20, head 25, t 2: the web's outer faces are 30 and 28 from the foot's end, so the head
    # ends at 28 + 25 = 53; 20 + 2 high.
    [("envelope_y", "40 mm"), ("envelope_z", "22 mm"), ("envelope_x", "2.0866 in"), ("blank_width", "4 cm")],
)
def test_every_figure_can_be_compared_in_its_own_unit(figure: str, value: str) -> None:
    asked = expectation(f"{figure}={value}", 1e-4)
    given = {"foot": 30, "rise": 20, "head": 25, "thickness": 2, "width": 40}
    (found,) = find_recipe("z_clip").part(**given).with_expectations(asked).expected
    assert found.unit == "mm"
    assert found.within_tolerance


@pytest.mark.parametrize("within", [-0.1, 1.1, math.nan, "much"])
def test_how_far_off_is_a_share(within: Any) -> None:
    with pytest.raises(InputError, match="--expect: tolerance = "):
        expectation("mass=1kg", within)


def test_chord_is_looked_at_before_anything_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written, and what is wrong is in one line."""
    for chord in ("0", "0.00001", "nan", "3 deg"):
        words = ["make", "z_clip", "--mesh", "stl", "--chord", chord, "--out", str(tmp_path / "new")]
        assert main(words) == 2
        assert capsys.readouterr().err.startswith("formparts make: --chord = ")
    assert not (tmp_path / "new").exists()


def test_bad_input_writes_nothing(tmp_path: Path) -> None:
    for values in ({"rise": 0}, {"rise": 2.5}, {"nose": 3}):
        with pytest.raises(InputError):
            make("z_clip", tmp_path / "new", **values)
    part = find_recipe("z_clip").part()
    for options in ({"version": "R9"}, {"schema": "AP203"}):
        with pytest.raises(InputError, match="is not written"):
            part.write_all(tmp_path / "new", **options)
    with pytest.raises(InputError, match="there is no such kind of file"):
        part.write_all(tmp_path / "new", ("solids",))
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    "stem", ["../x", "a/b", "..", ".", "a\\b", "/x", "a\0b", "c:x", "con", "NUL.txt", "lpt1", 3]
)
def test_no_name_leads_out_of_the_folder(stem: Any, tmp_path: Path) -> None:
    """CWE-22: what files' names begin with is a name, and no path."""
    with pytest.raises(InputError, match=r"make: stem = .*is not a plain name") as refused:
        find_recipe("z_clip").part().write_all(tmp_path / "out", stem=stem)
    assert str(refused.value).count("\n") == 0
    assert not list(tmp_path.iterdir())


def test_links_are_refused_or_replaced_and_never_followed(tmp_path: Path) -> None:
    """CWE-59: where a file is to be written and a link is, what the link leads to stays as it was."""
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    out.mkdir()
    elsewhere.write_text("keep")
    kinds = ("report", *DEFAULT)
    ends = [one.ending for one in writers_of(kinds)]
    for end in ends:
        (out / f"z_clip{end}").symlink_to(elsewhere)
    part = find_recipe("z_clip").part()
    with pytest.raises(InputError, match="formparts did not write it there"):
        part.write_all(out, kinds)
    assert all(path.is_symlink() for path in out.iterdir())
    done = part.write_all(out, kinds, overwrite=True)
    assert len(done) == len(ends)
    assert not any(path.is_symlink() for path in done)
    assert elsewhere.read_text() == "keep"


def test_a_failed_proof_leaves_the_older_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that dies loses no finished part: the STEP of the last run is still there, whole."""
    first = make("z_clip", tmp_path)
    (step,) = [path for path in first.files if path.suffix == ".step"]
    before = step.read_bytes()

    def fails(*_: object, **__: object) -> None:
        raise FileProofError("z_clip.step", "the volume differs")

    monkeypatch.setattr("formparts.export.step.proved_step", fails)
    with pytest.raises(FileProofError):
        make("z_clip", tmp_path, thickness=1)
    assert step.read_bytes() == before
    assert set(tmp_path.iterdir()) == {*first.files, tmp_path / ".formparts"}
    assert not any((tmp_path / ".formparts" / "drafts").iterdir())


def test_step_file_is_read_back_once_and_its_figures_stand_in_the_audit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings are counted, and what they give is off by 1 mm2, so that it differs from the solid's."""
    read: list[float] = []

    def shifted(shape: object) -> StepFigures:
        figures = measured_as_ever(shape)
        read.append(figures.area)
        return replace(figures, area=figures.area + 1.0)

    measured_as_ever = step_proof._measured
    monkeypatch.setattr(step_proof, "_measured", shifted)
    part = make("z_clip", tmp_path, ("solid",)).part
    (surface,) = [row for row in part.audit() if row.figure == "surface_mm2"]
    assert [area + 1.0 for area in read] == [surface.methods["STEP file read back"]]
    assert not surface.agrees
