"""The files of a run are delivered as a whole, and nothing of anybody else's is replaced."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from formparts.errors import FileProofError, InputError
from formparts.export import delivered, delivery, require_free, written

NAMES = ("a.step", "a.dxf", "a.json")


def deliver(
    out: Path,
    text: str,
    names: tuple[str, ...] = NAMES,
    overwrite: bool = False,
    then: Callable[[Path], object] = lambda _: None,
) -> None:
    """Deliver files of one text each; `then` happens when all drafts are written."""
    with delivery(out, "make", names, overwrite) as drafts:
        for name in names:
            written(drafts / name, text)
        then(drafts)


def texts(out: Path) -> dict[str, str]:
    """What a user sees in the folder."""
    return {path.name: path.read_text() for path in out.glob("[!.]*")}


def drafts_in(out: Path) -> list[str]:
    return [path.name for path in (out / ".formparts" / "drafts").iterdir()]


def test_a_run_goes_over_its_own_older_output_again_and_again(tmp_path: Path) -> None:
    """What one expects of a build: no question asked."""
    for text in ("old", "new", "newest"):
        deliver(tmp_path / "out", text)
        assert texts(tmp_path / "out") == dict.fromkeys(NAMES, text)
        assert drafts_in(tmp_path / "out") == []


@pytest.mark.parametrize("kind", ["file", "link", "folder", "changed", "copied"])
def test_what_formparts_did_not_write_is_refused_in_one_line(kind: str, tmp_path: Path) -> None:
    """Before anything is made; of the whole set nothing is written; --overwrite is the way out, but for a folder."""
    place, other = tmp_path / "a.dxf", tmp_path.parent / f"{tmp_path.name}-other"
    other.write_text("mine")
    if kind == "file":
        place.write_text("mine")
    elif kind == "link":
        place.symlink_to(other)
    elif kind == "folder":
        place.mkdir()
    elif kind == "changed":
        deliver(tmp_path, "ours")
        place.write_text("mine")
    else:
        deliver(tmp_path / "elsewhere", "mine")
        (tmp_path / "elsewhere" / "a.dxf").rename(place)
    before = {path: path.is_file() and path.read_text() for path in tmp_path.rglob("*")}
    for attempt in (lambda: require_free(tmp_path, "make", NAMES), lambda: deliver(tmp_path, "new")):
        with pytest.raises(InputError) as refused:
            attempt()
        assert str(refused.value).startswith(f"make: out = {place}: ")
        assert "\n" not in str(refused.value)
        assert ("--overwrite" in str(refused.value)) == (kind != "folder")
    assert {path: path.is_file() and path.read_text() for path in tmp_path.rglob("*")} == before
    if kind == "folder":
        with pytest.raises(InputError, match="it is a folder"):
            deliver(tmp_path, "new", overwrite=True)
        return
    deliver(tmp_path, "new", overwrite=True)
    assert place.read_text() == "new"
    assert other.read_text() == "mine"
    deliver(tmp_path, "newer")  # formparts' own from now on


def test_what_comes_in_the_way_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    """The place was free at the start; at the end it is not, and nothing of the set is moved in."""
    with pytest.raises(InputError, match="formparts did not write it"):
        deliver(tmp_path, "new", then=lambda _: (tmp_path / "a.dxf").write_text("mine"))
    assert texts(tmp_path) == {"a.dxf": "mine"}
    assert drafts_in(tmp_path) == []


def test_a_file_in_the_place_of_our_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / ".formparts").write_text("mine")
    with pytest.raises(InputError, match="formparts keeps a folder of that name"):
        deliver(tmp_path, "new")
    assert (tmp_path / ".formparts").read_text() == "mine"


def test_a_failed_proof_leaves_the_whole_old_set(tmp_path: Path) -> None:
    """The last of three files fails: the two that were written well are not delivered either."""
    deliver(tmp_path, "old")

    def refuse(draft: Path) -> None:
        raise FileProofError(str(draft), "it differs")

    with pytest.raises(FileProofError) as failed:
        deliver(tmp_path, "new", then=lambda drafts: delivered(drafts / "a.json", "new", refuse))
    assert failed.value.path == str(tmp_path / "a.json")  # with the path that the user knows
    assert texts(tmp_path) == dict.fromkeys(NAMES, "old")
    assert drafts_in(tmp_path) == []


@pytest.mark.parametrize("at", range(1, 7))
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_trouble_as_files_are_moved_leaves_all_of_the_old_or_all_of_the_new(
    error: BaseException, at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever of the six renames of three files fails, or is interrupted just after it was done."""
    deliver(tmp_path, "old")
    replace, count = os.replace, 0

    def sometimes(source: Path, target: Path) -> None:
        nonlocal count
        moving = ".formparts" not in Path(source).parts or "written" not in Path(source).parts
        inside = Path(target).parent == tmp_path or Path(source).parent == tmp_path
        count += moving and inside
        if isinstance(error, OSError) and moving and inside and count == at:
            raise error
        replace(source, target)
        if moving and inside and count == at:
            raise error

    with monkeypatch.context() as patch, pytest.raises((InputError, KeyboardInterrupt)) as stopped:
        deliver(tmp_path, "new", then=lambda _: patch.setattr(os, "replace", sometimes))
    assert texts(tmp_path) == dict.fromkeys(NAMES, "old")
    assert drafts_in(tmp_path) == []
    assert ("disk is full" if isinstance(error, OSError) else "nothing was written") in str(stopped.value)
    deliver(tmp_path, "newer")
    assert texts(tmp_path) == dict.fromkeys(NAMES, "newer")


KILLED = """
import os, sys
from formparts.export import delivery, written
count, replace = 0, os.replace
def sometimes(source, target):
    global count
    if os.path.dirname(target) == sys.argv[1] or os.path.dirname(source) == sys.argv[1]:
        count += 1
        if count == int(sys.argv[2]):
            os.kill(os.getpid(), 9)
    replace(source, target)
with delivery(sys.argv[1], "make", ("a.step", "a.dxf", "a.json")) as drafts:
    for name in ("a.step", "a.dxf", "a.json"):
        written(drafts / name, "new")
    if sys.argv[2] == "0":
        os.kill(os.getpid(), 9)
    os.replace = sometimes
"""


@pytest.mark.parametrize(("at", "left"), [(0, "old"), (2, "new"), (5, "new")])
def test_what_a_killed_run_left_is_finished_or_swept_by_the_next(at: int, left: str, tmp_path: Path) -> None:
    """Killed before the first file is moved: all old. Killed among them: the next run moves the rest in."""
    deliver(tmp_path, "old")
    died = subprocess.run([sys.executable, "-c", KILLED, str(tmp_path), str(at)], check=False, timeout=60)
    assert died.returncode == -signal.SIGKILL
    assert len(drafts_in(tmp_path)) == 1
    deliver(tmp_path, "other", ("b.json",))
    assert texts(tmp_path) == {**dict.fromkeys(NAMES, left), "b.json": "other"}
    assert drafts_in(tmp_path) == []
    deliver(tmp_path, "newest")


def test_drafts_of_a_run_that_is_at_work_are_not_swept(tmp_path: Path) -> None:
    """Two parts made at once into one folder: neither takes the other's drafts for a dead run's."""
    with delivery(tmp_path, "make", NAMES) as drafts:
        written(drafts / "a.step", "new")
        deliver(tmp_path, "other", ("b.json",))
        written(drafts / "a.dxf", "new")
    assert texts(tmp_path) == {"a.step": "new", "a.dxf": "new", "b.json": "other"}
