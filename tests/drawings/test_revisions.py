"""What the title block says: from the recipe, a file and single fields; and what changed since a version."""

from __future__ import annotations

import json
from argparse import Namespace
from pathlib import Path

import pytest

from formparts import InputError, find_recipe
from formparts.cli import main
from formparts.commands.title import given_title, next_revision, with_changes
from formparts.drawings import Revision, TitleData
from formparts.drawings.curves import Words
from formparts.drawings.title import revision_table

RECIPE = """from typing import Annotated
from formparts import Body, Length, Sheet, plate, rectangle, recipe


@recipe(title={"number": "FP-7", "owner": "Works"})
def tag(long: Annotated[float, Length("length", 1, 500)] = 80) -> Body:
    \"\"\"A tag.\"\"\"
    return plate(Sheet(2, 2), rectangle(long, 50))
"""


def test_fields_go_before_the_file_and_the_file_before_the_recipe(tmp_path: Path) -> None:
    """Each field from the nearest who says it."""
    (tmp_path / "tag.py").write_text(RECIPE, encoding="utf-8")
    (tmp_path / "title.toml").write_text('number = "FP-8"\nrevision = "B"\n', encoding="utf-8")
    own = find_recipe(f"{tmp_path / 'tag.py'}:tag").title
    options = Namespace(title=str(tmp_path / "title.toml"), fields=["revision=C"])
    assert given_title(options, own, "tag") == TitleData(number="FP-8", owner="Works", revision="C")
    assert given_title(Namespace(title=None, fields=[]), own, "tag").number == "FP-7"


@pytest.mark.parametrize("part", ["nummer=1", "number", "=x"])
def test_bad_fields_in_one_line(part: str) -> None:
    with pytest.raises(InputError, match=r"number"):
        given_title(Namespace(title=None, fields=[part]), {}, "tag")


def test_what_changed_is_a_row_in_the_words_of_the_part(tmp_path: Path) -> None:
    """A clip whose rise was 18 and is 20 now: revision B follows A, and the block says it too."""
    recipe = find_recipe("z_clip")
    now = recipe.resolved()
    file = tmp_path / "z_clip.json"
    file.write_text(json.dumps({"recipe": "z_clip", "parameters": {**now, "rise": 18.0}}), encoding="utf-8")
    before = TitleData(author="LW", revisions=(Revision("A", "first issue"),))
    after = with_changes(before, recipe, now, str(file), "z_clip")
    assert after.revision == "B"
    assert after.revisions[-1] == Revision("B", "rise 18 → 20", "", "LW")
    file.write_text(json.dumps({"recipe": "z_clip", "parameters": now}), encoding="utf-8")
    assert with_changes(before, recipe, now, str(file), "z_clip") == before


@pytest.mark.parametrize(
    ("known", "wanted"), [([], "A"), (["A"], "B"), (["H"], "J"), (["1", "2"], "3"), (["Y"], "YA")]
)
def test_the_next_revision(known: list[str], wanted: str) -> None:
    """I, O, Q, S, X and Z are left out, as they are taken for figures or for each other (common practice)."""
    assert next_revision(known) == wanted


def test_a_long_change_goes_on_in_the_next_line() -> None:
    """No line of the table is longer than 70 letters."""
    text = "; ".join(f"part {n} moved" for n in range(20))
    marks = revision_table(TitleData(revisions=(Revision("A", text),)), 2.5)
    words = [mark.text for mark in marks if isinstance(mark, Words)]
    assert max(map(len, words)) <= 70
    assert " ".join(word for word in words if word.startswith(("part", "moved"))).count("moved") == 20


def test_a_version_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, and nothing is written."""
    out = tmp_path / "out"
    assert main(["draw", "z_clip", "--since", str(tmp_path / "no.json"), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert said.startswith("formparts draw --since: part = ")
    assert said.count("\n") == 1
