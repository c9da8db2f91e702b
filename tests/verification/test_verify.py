"""A STEP file that knows what it is: what it says is held against its shape and its recipe, by us and by others."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import cadquery as cq
import pytest

from formparts.cli import main
from formparts.closed_forms import properties
from formparts.errors import FileProofError, InputError
from formparts.export import StepFacts, read_facts, write_step
from formparts.export.step_facts import prove_facts, with_facts
from formparts.recipe_functions import find_recipe
from formparts.solids import solid
from formparts.verification import verify
from tests.parts import CAST
from tests.referees import gmsh_session


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clip of other measures than the recipe's own."""
    folder = tmp_path_factory.mktemp("clip")
    find_recipe("z_clip").part(rise="25 mm", material="1.4301").write_all(folder, ("solid",), schema="AP242")
    return folder / "z_clip.step"


def spoilt(path: Path, old: str, new: str) -> Path:
    text = path.read_text()
    assert old in text
    other = path.with_name("spoilt.step")
    other.write_text(text.replace(old, new, 1))
    return other


def test_a_file_is_what_it_says(clip: Path) -> None:
    """Volume, area, centroid, material, mass, names and the hash of its content."""
    found = verify(clip)
    assert found.ok
    assert found.recipe == "z_clip"
    assert {row.what.split(",")[0] for row in found.rows} >= {
        "volume stated", "surface area stated", "centroid stated", "content", "volume", "material", "mass", "name",
        "names of faces",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('"rise": 25.0', '"rise": 25.5', "volume, made again"),
        ("'z_clip.foot.upper'", "'z_clip.foot.under'", "names of faces"),
        ("'1.4301')", "'DC01')", "material"),
        ("POSITIVE_RATIO_MEASURE(7900.)", "POSITIVE_RATIO_MEASURE(7850.)", "mass"),
        ("VOLUME_MEASURE(", "VOLUME_MEASURE(1", "volume stated"),
        ("CARTESIAN_POINT('centre point',(", "CARTESIAN_POINT('centre point',(1", "centroid stated"),
    ],
)
def test_what_was_changed_is_seen(clip: Path, old: str, new: str, what: str) -> None:
    """A parameter, a name, the material, its density, a validation property: each by its own row, and by the hash."""
    found = verify(spoilt(clip, old, new))
    assert not found.ok
    wrong = [row.what for row in found.rows if not row.agrees]
    assert "content" in wrong
    assert any(row.startswith(what) for row in wrong)


def test_a_file_of_others(clip: Path) -> None:
    """Without a recipe: its validation properties, and the flats and bends that are found in it."""
    foreign = clip.with_name("foreign.step")
    text = clip.read_text()
    foreign.write_text(text.replace("REPRESENTATION('formparts'", "REPRESENTATION('something'"))
    found = verify(foreign)
    assert found.ok
    assert found.recipe == ""
    assert len(found.rows) == 6
    assert not verify(spoilt(foreign, "AREA_MEASURE(", "AREA_MEASURE(1")).ok
    silent = foreign.with_name("silent.step")
    silent.write_text(foreign.read_text().replace("REPRESENTATION('", "REPRESENTATION('no "))
    found = verify(silent)
    assert found.ok
    assert [row.what.partition(" of")[0] for row in found.rows] == [
        "volume",
        "surface area",
        "distance from their solid, mm",
    ]


def test_a_file_of_others_that_is_not_bent_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A ball says nothing of itself and has no flats: nothing is verified, and the reason is given."""
    cq.exporters.export(cq.Workplane().sphere(10.0), str(tmp_path / "ball.step"))
    assert main(["verify", str(tmp_path / "ball.step")]) == 1
    said = capsys.readouterr().out
    assert "no model to hold it against" in said
    assert "doubly curved (sphere)" in said


def test_a_recipe_that_the_user_names_is_always_compared(clip: Path, tmp_path: Path) -> None:
    """A file that states nothing, held against a recipe: the default clip is the same, one of another rise is not."""
    recipe = find_recipe("z_clip")
    silent = tmp_path / "silent.step"
    for source, same in ((clip, False), (write_step(solid(recipe()), tmp_path / "own.step"), True)):
        silent.write_text(source.read_text().replace("REPRESENTATION('", "REPRESENTATION('no "))
        found = verify(silent, recipe)
        assert [row.agrees for row in found.rows] == [same] * 3
        assert {"volume", "surface area", "centroid"} == {row.what.partition(",")[0] for row in found.rows}


def test_command(clip: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exits 0, 1 and 2; says what differs."""
    assert main(["verify", str(clip)]) == 0
    assert "verified" in capsys.readouterr().out
    assert main(["verify", str(spoilt(clip, '"rise": 25.0', '"rise": 26.0'))]) == 1
    assert "IS NOT" in capsys.readouterr().out
    assert main(["verify", str(clip.with_name("nowhere.step"))]) == 2
    assert main(["verify", str(spoilt(clip, "'recipe','z_clip'", "'recipe','no_such'"))]) == 2
    assert "no_such" in capsys.readouterr().err


def test_the_kernel_reads_the_same_facts(clip: Path) -> None:
    """The reader of the solid kernel finds volume, area, centroid, and the density in kg/mm3."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDF import TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_Area, XCAFDoc_Centroid, XCAFDoc_DocumentTool, XCAFDoc_Volume

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetPropsMode(True)
    reader.SetMatMode(True)
    reader.ReadFile(str(clip))
    assert reader.Transfer(document)
    labels = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(labels)
    label = labels.Value(1)
    wanted = properties(find_recipe("z_clip")(rise=25, material="1.4301"))
    for kind, value in ((XCAFDoc_Volume, wanted.volume), (XCAFDoc_Area, wanted.surface)):
        stated = kind()
        assert label.FindAttribute(kind.GetID_s(), stated)
        assert stated.Get() == pytest.approx(value, rel=1e-12)
    centre = XCAFDoc_Centroid()
    assert label.FindAttribute(XCAFDoc_Centroid.GetID_s(), centre)
    assert (centre.Get().X(), centre.Get().Y(), centre.Get().Z()) == pytest.approx(wanted.centroid)
    density = XCAFDoc_DocumentTool.MaterialTool_s(document.Main()).GetDensityForShape_s(label)
    assert density == pytest.approx(
        wanted.mass / wanted.volume, rel=1e-9
    )  # KERNEL 29: its own writer gets it wrong


def materials_by_the_kernel(path: Path) -> list[tuple[str, str, float]]:
    """Name, description and density [g/mm3] of every material that the kernel's own reader finds in a file."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDF import TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_Material

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetMatMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    labels, found = TDF_LabelSequence(), []
    XCAFDoc_DocumentTool.MaterialTool_s(document.Main()).GetMaterialLabels(labels)
    for number in range(1, labels.Length() + 1):
        each = XCAFDoc_Material()
        assert labels.Value(number).FindAttribute(XCAFDoc_Material.GetID_s(), each)
        found.append((each.GetName().ToCString(), each.GetDescription().ToCString(), each.GetDensity()))
    return found


def written_anew(path: Path, again: Path) -> Path:
    """The file as the kernel reads it and writes it once more, material and all."""
    from OCP.STEPCAFControl import STEPCAFControl_Reader, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader, writer = STEPCAFControl_Reader(), STEPCAFControl_Writer()
    reader.SetMatMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    writer.SetMaterialMode(True)
    assert writer.Transfer(document, STEPControl_AsIs)
    writer.Write(str(again))
    return again


def test_the_kernel_reads_the_material(clip: Path, tmp_path: Path) -> None:
    """Its reader of materials finds the material's name and density, and not another of our own items; the same when
    the kernel has written the file once more."""
    for path in (clip, written_anew(clip, tmp_path / "again.step")):
        ((name, description, density),) = materials_by_the_kernel(path)
        assert (name, description) == ("1.4301", "1.4301")
        assert density == pytest.approx(7900 * 1e-6, rel=1e-9)  # EN 10088-1: 7.9 kg/dm3, in g/mm3


def test_gmsh_proves_the_transfer(clip: Path) -> None:
    """Gmsh measures on the shape it imported what the file states: that is what validation properties are for."""
    facts = read_facts(clip)
    with gmsh_session() as gmsh:
        solids = [tag for dimension, tag in gmsh.model.occ.importShapes(str(clip)) if dimension == 3]
        gmsh.model.occ.synchronize()
        assert len(solids) == 1
        assert gmsh.model.occ.getMass(3, solids[0]) == pytest.approx(facts.volume, rel=1e-9)
        assert gmsh.model.occ.getCenterOfMass(3, solids[0]) == pytest.approx(facts.centroid, abs=1e-6)
        area = sum(gmsh.model.occ.getMass(2, tag) for _, tag in gmsh.model.getEntities(2))
        assert area == pytest.approx(facts.area, rel=1e-9)


def test_a_reader_that_is_no_kernel(clip: Path) -> None:
    """steputils, a plain reader of the exchange structure, finds names, facts and no dangling reference."""
    p21 = pytest.importorskip("steputils.p21", reason="steputils comes with the extra `test`")
    read = p21.loads(clip.read_text())
    (section,) = read.data
    simple = [item for item in section.instances.values() if hasattr(item, "entity")]
    names = {item.entity.params[0] for item in simple if item.entity.name == "ADVANCED_FACE"}
    assert names == set(solid(find_recipe("z_clip")(rise=25)).faces)
    items = {
        i.entity.params[0]: i.entity.params[1]
        for i in simple
        if i.entity.name == "DESCRIPTIVE_REPRESENTATION_ITEM"
    }
    assert items["recipe"] == "z_clip"
    assert '"rise": 25.0' in items["parameters"]
    references = set(re.findall(r"#\d+", re.sub(r"'(?:[^']|'')*'", "", clip.read_text())))
    assert references <= set(section.instances)


def test_letters_and_quotes_come_back(tmp_path: Path) -> None:
    """Names beyond ASCII, quotes and backslashes in material and parameters."""
    body = CAST["zed"]()
    figures = properties(body)
    odd = {"label": "Träger 3 µm 'x' \\ 𝛼", "count": 3, "flag": True}
    facts = StepFacts(
        figures.volume, figures.surface, figures.centroid, "Blech 'A' \\ µ", 7850.0, "zed", odd, "0.0"
    )
    path = write_step(solid(body), tmp_path / "zed.step", facts=facts)
    path.read_bytes().decode("ascii")
    prove_facts(path, facts)
    assert read_facts(path).material == "Blech 'A' \\ µ"
    with pytest.raises(FileProofError, match="volume"):
        prove_facts(path, StepFacts(1.0, 1.0, (0, 0, 0)))
    (tmp_path / "bare").mkdir()
    bare = write_step(solid(body), tmp_path / "bare" / "zed.step").read_bytes()
    assert bare != path.read_bytes()
    assert with_facts(bare, facts) == path.read_bytes()


def test_refusals(tmp_path: Path) -> None:
    """No file."""
    with pytest.raises(InputError, match="cannot be read"):
        read_facts(tmp_path / "nowhere.step")


def test_a_file_cannot_name_code_to_run(
    clip: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a file of others states as its recipe is a name: a path in it is not followed (CWE-829)."""
    monkeypatch.chdir(tmp_path)
    Path("hostile.py").write_text("open('run', 'w').close()\n")
    other = spoilt(clip, "'recipe','z_clip'", "'recipe','hostile.py:f'")
    assert main(["verify", str(other)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "--recipe path/to/file.py:function" in said
    assert not Path("run").exists()
    with pytest.raises(InputError, match="none"):
        verify(other, find_recipe("hostile.py:f"))
    assert Path("run").exists()  # it is run when the user names it


@pytest.mark.parametrize("rule", ["{folder}/rule.csv", "rule.csv", "{folder}/shop.toml:panel", "~/rule.csv"])
def test_no_file_that_is_named_in_a_file_is_opened(
    rule: str, clip: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """
    A STEP file, and a part's JSON, state a bend rule that is a pipe nobody writes to: opened, it would wait for ever.

    One line says how the user can name the file; a rule that is given goes before it.
    """
    pipe = tmp_path / "rule.csv"
    os.mkfifo(pipe)
    (tmp_path / "shop.toml").symlink_to(pipe)
    monkeypatch.chdir(tmp_path)
    evil = rule.format(folder=tmp_path)
    text = clip.read_text()
    stated = re.search(r'\\"bend_rule\\": \\"[^"]*\\"|"bend_rule": "[^"]*"', text)
    assert stated is not None
    (tmp_path / "evil.step").write_text(text.replace(stated[0], f'"bend_rule": "{evil}"'))
    part = json.dumps({"recipe": "z_clip", "parameters": {"bend_rule": evil}})
    (tmp_path / "evil.json").write_text(part)
    for words in (["verify", "evil.step"], ["compare", "evil.json", "evil.json"]):
        assert main(words) == 2
        said = capsys.readouterr().err
        assert "no file that is named in another is opened; name it yourself: --set bend_rule=FILE" in said
        assert said.count("\n") == 1
    given = ["--set", "bend_rule=K 0.44"]
    assert main(["compare", "evil.json", "evil.json", *given]) == 0
    assert main(["verify", "evil.step", *given]) == 1  # made again, and its hash is not that of the content
    assert "IS NOT" in capsys.readouterr().out


def test_a_step_file_in_several_is_refused_before_the_kernel_opens_another(
    clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """
    The kernel follows an external reference (ISO 10303-41, document_file) to whatever it names, a pipe too.

    Every command that reads foreign files refuses it in one line, and the pipe is never opened.
    """
    os.mkfifo(tmp_path / "other.stp")
    named = "#900001 = DOCUMENT_FILE('other.stp','',$,#900002,'',$);\n#900002 = DOCUMENT_TYPE('');\nENDSEC;\nEND-ISO"
    evil = tmp_path / "evil.step"
    evil.write_text(clip.read_text().replace("ENDSEC;\nEND-ISO", named))
    assert "DOCUMENT_FILE" in evil.read_text()
    for words in (
        ["verify"],
        ["unfold", "--out", str(tmp_path / "out")],
        ["check", "--out", str(tmp_path / "out")],
    ):
        assert main([words[0], str(evil), *words[1:]]) == 2
        said = capsys.readouterr().err
        assert "refers to other files, and no file that is named in another is opened" in said
        assert said.count("\n") == 1
