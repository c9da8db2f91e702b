"""A file is there whole, or it is not there."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from formparts.errors import FileProofError, InputError
from formparts.export import delivered, folder_for, written


def names_in(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def test_text_is_written_as_utf_8_with_plain_line_feeds(tmp_path: Path) -> None:
    path = written(tmp_path / "Träger.txt", "3 µm\n")
    assert path.read_bytes() == b"3 \xc2\xb5m\n"
    assert names_in(tmp_path) == ["Träger.txt"]


def test_an_older_file_is_replaced(tmp_path: Path) -> None:
    written(tmp_path / "a", "old")
    written(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"new"


def test_permissions_are_those_of_any_new_file(tmp_path: Path) -> None:
    with open(tmp_path / "plain", "w") as file:
        file.write("")
    path = written(tmp_path / "ours", "")
    assert path.stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_failed_proof_leaves_the_older_file_and_no_draft(tmp_path: Path) -> None:
    written(tmp_path / "a.txt", "old")

    def refuse(draft: Path) -> None:
        assert draft.read_text() == "new"
        assert draft.parent == tmp_path
        assert draft.suffix == ".txt"
        raise FileProofError(str(draft), "area 1 mm2, and not 2 mm2")

    with pytest.raises(FileProofError) as caught:
        delivered(tmp_path / "a.txt", "new", refuse)
    assert str(caught.value) == f"{tmp_path / 'a.txt'}: not delivered: area 1 mm2, and not 2 mm2"
    assert names_in(tmp_path) == ["a.txt"]
    assert (tmp_path / "a.txt").read_text() == "old"


def test_a_run_that_is_stopped_leaves_no_draft(tmp_path: Path) -> None:
    def stop(_: Path) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        delivered(tmp_path / "a", "new", stop)
    assert names_in(tmp_path) == []


def test_two_drafts_have_two_names(tmp_path: Path) -> None:
    drafts = [delivered(tmp_path / "a", "", lambda draft: draft.name)[1] for _ in range(2)]
    assert drafts[0] != drafts[1]


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("missing/a.step", "there is no folder"),
        ("folder", "it is a folder"),
        ("file/a.step", "is not a folder"),
        ("x" * 300, "name is too long"),
        ("a\0b", "null character"),
        ("", "it is a folder"),
    ],
)
def test_a_place_that_will_not_do_is_refused_in_one_line(tmp_path: Path, name: str, problem: str) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError) as caught:
        written(f"{tmp_path}/{name}", "text")
    assert problem in str(caught.value)
    assert "\n" not in str(caught.value)
    assert names_in(tmp_path) == ["file", "folder"]


@pytest.mark.parametrize(
    ("number", "problem"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EACCES, "no permission in"),
        (errno.EROFS, "is read-only"),
        (errno.EIO, os.strerror(errno.EIO).lower()),
    ],
)
def test_what_the_disk_refuses_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, problem: str
) -> None:
    def refuse(_: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(InputError) as caught:
        written(tmp_path / "a.step", "text")
    assert problem in str(caught.value)
    assert names_in(tmp_path) == []


@pytest.mark.parametrize(
    ("out", "said"), [("", "is not a folder"), ("a\0b", "no folder can be made there"), ("file", "is a file")]
)
def test_what_can_be_no_folder_is_refused_in_one_line(out: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match=said) as refused:
        folder_for(str(tmp_path / out) if out else out, "draw")
    assert str(refused.value).startswith("draw: out = ")
    assert "\n" not in str(refused.value)
