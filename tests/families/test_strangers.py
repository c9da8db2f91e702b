"""What is the user's own in a family's folder is never removed or replaced: it is refused before anything is built."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from formparts import InputError, family, find_recipe
from formparts.cli import main
from formparts.families import run
from tests.families.helpers import STRIP, csv_rows, whole

QUICK = ("blank", "json")
ROWS = [{"name": "other", "length": 70}, {"name": "small"}]


def build(out: Path, recipe: str = STRIP, rows: list[dict[str, object]] = ROWS, **how: object) -> list[str]:  # type: ignore[assignment]
    """Build a quick family; the error of each variant, in their order."""
    outcomes = list(family(find_recipe(recipe), rows, out, only=QUICK, workers=1, **how))  # type: ignore[arg-type]
    return [outcome.error for outcome in sorted(outcomes, key=lambda outcome: outcome.name)]


def everything(folder: Path) -> dict[str, bytes | str]:
    """All that is in a folder: files by their bytes, links by where they lead; without what is hidden."""
    return {
        path.relative_to(folder).as_posix(): path.readlink().as_posix()
        if path.is_symlink()
        else path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if not path.name.startswith(".")
        and path.name != "family.sqlite"
        and (path.is_symlink() or path.is_file())
    }


def a_folder(out: Path) -> str:
    (out / "small").mkdir()
    (out / "small" / "thesis.txt").write_text("years of work")
    return "small/thesis.txt"


def a_file(out: Path) -> str:
    (out / "small").write_text("mine")
    return "small"


def a_link(out: Path) -> str:
    (out.parent / "elsewhere").mkdir()
    (out.parent / "elsewhere" / "thesis.txt").write_text("years of work")
    (out / "small").symlink_to(out.parent / "elsewhere")
    return "small"


def a_link_to_nowhere(out: Path) -> str:
    (out / "small").symlink_to("nowhere")
    return "small"


def a_table(out: Path) -> str:
    (out / "family.csv").write_text("name,length\nsmall,60\n")
    return "family.csv"


def a_page(out: Path) -> str:
    (out / "family.html").write_text("<p>mine")
    return "family.html"


def a_working_folder(out: Path) -> str:
    (out / ".family.work").symlink_to(out.parent)
    return ".family.work"


STRANGERS = [a_folder, a_file, a_link, a_link_to_nowhere, a_table, a_page, a_working_folder]


@pytest.mark.parametrize("overwrite", [False, True])
@pytest.mark.parametrize("fresh", [False, True])
@pytest.mark.parametrize("stranger", STRANGERS)
def test_what_is_in_the_way_of_a_new_family_is_refused(
    stranger: Callable[[Path], str],
    fresh: bool,
    overwrite: bool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One line that names it, before a single worker is started, and every byte is as before."""
    out = tmp_path / "out"
    out.mkdir()
    name = stranger(out)
    if overwrite and name in ("family.csv", "family.html"):
        return  # to be replaced: the test below
    before = everything(tmp_path)

    def never(*_: object) -> None:
        raise AssertionError("something was built")

    monkeypatch.setattr(run, "_answers", never)
    with pytest.raises(InputError) as refused:
        build(out, fresh=fresh, overwrite=overwrite)
    assert f"{out / name}" in str(refused.value)
    assert "formparts did not write it" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert everything(tmp_path) == before


def test_a_table_of_the_user_s_is_replaced_only_when_that_is_said(tmp_path: Path) -> None:
    """The parameters' own table called family.csv is a likely slip: --out . beside it."""
    a_table(tmp_path)
    assert build(tmp_path, overwrite=True) == ["", ""]
    assert len(csv_rows(tmp_path)) == 2
    assert build(tmp_path) == ["", ""]  # now it is formparts' own


def test_notes_put_into_a_variant_s_folder_stay(tmp_path: Path) -> None:
    """Kept variants do not mind them; a variant that is to be built again is refused, with --fresh too."""
    build(tmp_path)
    note = tmp_path / "small" / "notes.txt"
    note.write_text("ask Anna")
    assert build(tmp_path) == ["", ""]
    other = [{"name": "small", "length": 61}]
    before = everything(tmp_path)
    for how in ({}, {"fresh": True}, {"overwrite": True}, {"fresh": True, "overwrite": True}):
        with pytest.raises(InputError, match=r"small/notes.txt: formparts did not write it"):
            build(tmp_path, rows=other, **how)  # type: ignore[arg-type]
        assert everything(tmp_path) == before
    note.rename(tmp_path / "notes.txt")
    assert build(tmp_path, rows=other) == [""]
    assert build(tmp_path, rows=other, fresh=True) == [""]
    assert not (tmp_path / "other").exists()  # formparts' own, and forgotten
    assert (tmp_path / "notes.txt").read_text() == "ask Anna"


def test_fresh_leaves_what_was_changed_and_what_is_not_in_the_way(tmp_path: Path) -> None:
    """A file of a variant that is not in the new table goes only if it is as it was written."""
    build(tmp_path)
    (tmp_path / "other" / "other.json").write_text("edited by hand")
    (tmp_path / "other" / "notes.txt").write_text("ask Anna")
    build(tmp_path, rows=[{"name": "small"}], fresh=True)
    assert sorted(path.name for path in (tmp_path / "other").iterdir()) == ["notes.txt", "other.json"]


def test_what_comes_in_the_way_while_it_is_built_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder was free at the start: that one variant fails, says why, and the stranger's file is there."""
    answers = run._answers

    def late(*given: object) -> object:
        for number, found in answers(*given):  # type: ignore[arg-type]
            if number == 1:
                a_folder(tmp_path)
            yield number, found

    monkeypatch.setattr(run, "_answers", late)
    assert build(tmp_path) == [
        "",
        "small/thesis.txt: formparts did not write it there, and does not replace it",
    ]
    assert (tmp_path / "small" / "thesis.txt").read_text() == "years of work"
    assert [path.name for path in (tmp_path / "small").iterdir()] == ["thesis.txt"]
    assert not (tmp_path / ".family.work").exists()


def test_a_database_of_the_user_s_is_not_written_into(tmp_path: Path) -> None:
    """A family.sqlite that formparts did not write is refused as it is, with --fresh too."""
    with closing(sqlite3.connect(tmp_path / "family.sqlite")) as book, book:
        book.execute("CREATE TABLE births (name TEXT)")
    before = (tmp_path / "family.sqlite").read_bytes()
    for fresh in (False, True):
        with pytest.raises(InputError, match="is not a ledger that this version of formparts wrote"):
            build(tmp_path, fresh=fresh)
    assert (tmp_path / "family.sqlite").read_bytes() == before


def test_a_run_that_is_killed_as_it_moves_knows_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder has come to its place and its row is not written: the next run takes it for what it is."""

    class Killed(BaseException):
        pass

    def killed(*_: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(run.ledger, "entered", killed)
        with pytest.raises(Killed):
            build(tmp_path)
    assert (tmp_path / "other").is_dir() or (tmp_path / "small").is_dir()
    assert build(tmp_path) == ["", ""]
    whole(tmp_path)


def test_the_command_refuses_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, and nothing on stdout."""
    a_folder(tmp_path)
    table = tmp_path / "small.csv"
    table.write_text("name\nsmall\n")
    assert main(["family", STRIP, str(table), "--out", str(tmp_path), "--only", "json"]) == 2
    said = capsys.readouterr()
    assert "small/thesis.txt: formparts did not write it" in said.err
    assert said.err.count("\n") == 1
    assert (tmp_path / "small" / "thesis.txt").read_text() == "years of work"
