"""Number, revision, person, organization and date in STEP files, read back by the kernel's own reader and model."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from formparts.assembly import Assembly, write_assembly_step
from formparts.cli import main
from formparts.errors import FileProofError
from formparts.export import StepFacts, read_facts, read_step
from formparts.export.step_facts import prove_facts
from formparts.export.step_products import read_product_facts
from tests.assembly.samples import stack

TITLE = {
    "number": "FP-1001", "revision": "B", "author": "Ada O'Neill, Träger", "owner": "Works (Ltd)", "date": "2026-11-30",
}  # fmt: skip
FIELDS = [f"{name}={text}" for name, text in TITLE.items()]


def by_the_kernel(path: Path) -> dict[str, list[tuple[str, ...]]]:
    """Products, formations, people, organizations and dates, as the kernel's model of the file has them."""
    from OCP.StepBasic import (
        StepBasic_CalendarDate,
        StepBasic_Organization,
        StepBasic_Person,
        StepBasic_Product,
        StepBasic_ProductDefinitionFormation,
    )
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    model = reader.StepModel()
    found: dict[str, list[tuple[str, ...]]] = {}
    for number in range(1, model.NbEntities() + 1):
        item = model.Value(number)
        if isinstance(item, StepBasic_Product):
            found.setdefault("product", []).append((item.Id().ToCString(), item.Name().ToCString()))
        elif isinstance(item, StepBasic_ProductDefinitionFormation):
            found.setdefault("formation", []).append((item.Id().ToCString(),))
        elif isinstance(item, StepBasic_Person):
            found.setdefault("person", []).append((item.LastName().ToCString(),))
        elif isinstance(item, StepBasic_Organization):
            found.setdefault("organization", []).append((item.Name().ToCString(),))
        elif isinstance(item, StepBasic_CalendarDate):
            date = (item.YearComponent(), item.MonthComponent(), item.DayComponent())
            found.setdefault("date", []).append(tuple(map(str, date)))
    return found


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("titled")
    assert main(["make", "z_clip", "--out", str(folder), "--field", *FIELDS]) == 0
    return folder / "z_clip.step"


@pytest.mark.parametrize("schema", ["AP214", "AP242"])
def test_a_part(clip: Path, schema: str, tmp_path: Path) -> None:
    """As given, by the kernel's model; the name of the part stays its name, and the JSON says the same."""
    path = clip
    if schema == "AP242":
        assert main(["make", "z_clip", "--out", str(tmp_path), "--field", *FIELDS, "--step", schema]) == 0
        path = tmp_path / "z_clip.step"
    found = by_the_kernel(path)
    assert found["product"] == [("FP-1001", "z_clip")]
    assert found["formation"] == [("B",)]
    assert found["person"] == [("Ada O'Neill, Träger",)]
    assert found["organization"] == [("Works (Ltd)",)]
    assert found["date"] == [("2026", "11", "30")]
    assert read_step(path).name == "z_clip"
    assert read_facts(path).title == TITLE
    assert json.loads(path.with_suffix(".json").read_text())["title"] == TITLE
    assert main(["verify", str(path)]) == 0


def test_without_a_title(tmp_path: Path) -> None:
    """Nobody and no date is made up."""
    assert main(["make", "z_clip", "--out", str(tmp_path)]) == 0
    found = by_the_kernel(tmp_path / "z_clip.step")
    assert found == {"product": [("z_clip", "z_clip")], "formation": [("",)]}
    assert read_facts(tmp_path / "z_clip.step").title == {}


def test_from_the_recipe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The title of a recipe's drawing goes into the file; an option goes before it. A date in words, which a drawing
    may have, is left out; as an option it is refused in one line."""
    recipe = tmp_path / "tab.py"
    recipe.write_text(
        'from formparts import recipe, plate, rectangle, Sheet\n@recipe(title={"number": "FP-7", "date": "spring"})\n'
        'def tab():\n    """A tab."""\n    return plate(Sheet(2, 2), rectangle(40, 20), "tab")\n'
    )
    assert main(["make", f"{recipe}:tab", "--out", str(tmp_path), "--field", "revision=A"]) == 0
    assert read_facts(tmp_path / "tab.step").title == {"number": "FP-7", "revision": "A"}
    capsys.readouterr()
    for bad, said in (("date=spring", "write it as 2026-11-30"), ("author", "NAME=TEXT"), ("nr=1", "number")):
        assert main(["make", f"{recipe}:tab", "--out", str(tmp_path), "--field", bad]) == 2
        (line,) = capsys.readouterr().err.strip().splitlines()
        assert said in line


def test_an_assembly(tmp_path: Path) -> None:
    """The whole and one part have titles of their own; the other parts have none."""
    titles = {"stack": TITLE, "bracket": {"number": "FP-2", "revision": "C", "author": "B. Smith"}}
    path = write_assembly_step(Assembly("stack", stack().items, titles), tmp_path / "stack.step")
    found = by_the_kernel(path)
    assert found["product"] == [
        ("FP-1001", "stack"),
        ("FP-2", "bracket"),
        ("spacer", "spacer"),
        ("bolt", "bolt"),
    ]
    assert [each for (each,) in found["formation"]] == ["B", "C", "", ""]
    assert sorted(found["person"]) == [("Ada O'Neill, Träger",), ("B. Smith",)]
    said = dict(read_product_facts(path))
    assert (said["stack"].title, said["bracket"].title, said["bolt"].title) == (TITLE, titles["bracket"], {})


def test_the_proof_can_fail(clip: Path, tmp_path: Path) -> None:
    """Another revision, person or day in the file is seen."""
    own = read_facts(clip)
    assert own.volume is not None
    assert own.area is not None
    assert own.centroid is not None
    meant = StepFacts(own.volume, own.area, own.centroid, own.material, own.density or 0.0, title=TITLE)
    text = clip.read_text(encoding="ascii")
    bare = re.sub(
        r"DESCRIPTIVE_REPRESENTATION_ITEM\('(recipe|content_sha256)'.*", "CARTESIAN_POINT('',(0.));", text
    )
    for was, now in (
        ("FORMATION('B'", "FORMATION('A'"),
        ("PERSON('Ada", "PERSON('Ida"),
        ("(2026,30,11)", "(2026,1,11)"),
    ):
        assert was in bare
        (tmp_path / "spoilt.step").write_text(
            bare.replace(was, now).replace("'Ada O", "'Ida O"), encoding="ascii"
        )
        with pytest.raises(FileProofError, match=r"revision|author|date"):
            prove_facts(tmp_path / "spoilt.step", meant)
