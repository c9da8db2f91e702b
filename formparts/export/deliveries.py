"""Deliver the files of one run as a whole: all of the new or all of the old, without touching anybody else's."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NoReturn

from formparts.errors import FileProofError, FormpartsError, InputError
from formparts.export.files import folder_for, refused, require_text

KEPT = ".formparts"
"""
The hidden folder that keeps what formparts knows of a folder: `written/NAME` holds the SHA-256 of the file NAME as it
was written, `drafts/` what is not delivered yet.
"""
_WHOLE, _OLD, _HELD = ".whole", ".old", ".held"
_PATIENCE = 30.0
"""How long to wait for another run that is moving its files in [s]."""
_MOST_NAMED = 3


def require_free(
    out: str | os.PathLike[str], where: str, names: Sequence[str], overwrite: bool = False
) -> None:
    """
    Refuse, before anything is made, a folder where somebody else's files are in the way.

    A file is formparts' own when formparts wrote it there and nobody has changed it since.

    Parameters
    ----------
    out : path
        The folder; it need not be there.
    where : str
        Who asks, for the error's line.
    names : sequence of str
        The files that are to be written into it.
    overwrite : bool
        Let files be replaced whoever wrote them; a folder never is.

    Raises
    ------
    InputError
        A file that formparts did not write, or a folder, has one of the names.
    """
    require_text(out, where)
    folder = Path(out)
    kept = folder / KEPT
    if kept.is_symlink() or (kept.exists() and not kept.is_dir()):
        problem = f"formparts keeps a folder of that name in {folder}"
        raise InputError(where, "out", str(kept), problem, "move it away, or choose another folder")
    found = [(name, reason) for name in names if (reason := _in_the_way(folder, name, overwrite))]
    if not found:
        return
    name, reason = found[0]
    others = [name for name, _ in found[1 : 1 + _MOST_NAMED]]
    more = f" and {len(found) - 1 - len(others)} more" if len(found) - 1 > len(others) else ""
    also = f" (and {', '.join(others)}{more})" if others else ""
    way = "move it away, or choose another folder"
    way = way if "a folder" in reason else f"{way} (--out), or have it replaced (--overwrite)"
    raise InputError(where, "out", f"{folder / name}{also}", reason, way)


def _in_the_way(folder: Path, name: str, overwrite: bool) -> str:
    """Return why a file of this name cannot be put there; nothing when it can."""
    place = folder / name
    if place.is_dir() and not place.is_symlink():
        return "it is a folder, and is not replaced"
    if overwrite or not os.path.lexists(place):
        return ""
    known = _known(folder, name)
    if not known or place.is_symlink() or not place.is_file():
        return "formparts did not write it there, and does not replace it"
    return "" if sha256(place) in known else "it was changed since formparts wrote it, and is not replaced"


def sha256(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal digits."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _known(folder: Path, name: str) -> list[str]:
    """Return the hashes under which a file of this name is formparts' own."""
    try:
        return (folder / KEPT / "written" / name).read_text(encoding="ascii").split()
    except (OSError, UnicodeDecodeError, ValueError):
        return []


@contextmanager
def delivery(
    out: str | os.PathLike[str], where: str, names: Sequence[str], overwrite: bool = False
) -> Iterator[Path]:
    """
    Give a folder for the drafts of some files; all are moved into `out` when the block ends well, else none.

    Parameters
    ----------
    out : path
        The folder to write to; made when it does not exist.
    where : str
        Who asks, for the error's line.
    names : sequence of str
        The files that may be written.
    overwrite : bool
        Let files be replaced whoever wrote them.

    Yields
    ------
    Path
        The folder for the drafts.

    Raises
    ------
    InputError
        As of `require_free`, or the files cannot be written there.
    """
    names = list(dict.fromkeys(names))
    require_free(out, where, names, overwrite)
    folder = folder_for(out, where)
    draft, held = _new_draft(folder)
    try:
        yield draft
        with _held(folder / KEPT / _HELD, _PATIENCE):
            require_free(out, where, names, overwrite)
            _moved_in(draft, folder, [name for name in names if (draft / name).exists()])
    except FormpartsError as error:
        raise _of_place(error, draft, folder) from error
    except OSError as error:
        raise _of_place(refused(Path(error.filename or folder), error), draft, folder) from error
    except KeyboardInterrupt:
        _stopped(draft, folder)
    finally:
        held.close()
        shutil.rmtree(draft, ignore_errors=True)


def _stopped(draft: Path, folder: Path) -> NoReturn:
    """Report which files are there after an interrupt from the keyboard."""
    new = (draft / _WHOLE).exists() and not any(path.is_file() for path in draft.glob("[!.]*"))
    which = "all of the new files stand" if new else "nothing was written, and what stood there stands"
    raise KeyboardInterrupt(f"{which} in {folder}/")


def _of_place(error: FormpartsError, draft: Path, folder: Path) -> FormpartsError:
    """Return the same error with the path that the user knows."""
    if not isinstance(error, (InputError, FileProofError)):
        return error
    fields = [
        field.replace(f"{draft}", f"{folder}") if isinstance(field, str) else field for field in error.args
    ]
    return type(error)(*fields)


def _new_draft(folder: Path) -> tuple[Path, sqlite3.Connection]:
    """Return a folder for drafts, and the lock that protects it; drafts of dead runs are removed first."""
    drafts = folder / KEPT / "drafts"
    try:
        drafts.mkdir(parents=True, exist_ok=True)
        with _held(folder / KEPT / _HELD, _PATIENCE):
            _swept(drafts, folder)
            draft = drafts / secrets.token_hex(8)
            draft.mkdir()
            return draft, _taken(draft / _HELD, 0.0)
    except OSError as error:
        raise refused(folder / "NAME", error) from error
    except sqlite3.Error as error:
        problem = f"{KEPT} in it cannot be used ({error})"
        raise InputError("files", "out", str(folder), problem, "choose another folder") from error


@contextmanager
def _held(path: Path, patience: float) -> Iterator[None]:
    """Keep a file's lock in a block."""
    lock = _taken(path, patience)
    try:
        yield
    finally:
        lock.close()


def _taken(path: Path, patience: float) -> sqlite3.Connection:
    """Take a lock that the system releases when the process ends in any way: an open transaction."""
    lock = sqlite3.connect(path, timeout=patience, isolation_level=None, check_same_thread=False)
    try:
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error:
        lock.close()
        raise
    return lock


def _swept(drafts: Path, folder: Path) -> None:
    """Finish the deliveries that dead runs had begun, and remove the drafts of the others."""
    for draft in sorted(path for path in drafts.iterdir() if path.is_dir() and not path.is_symlink()):
        try:
            with _held(draft / _HELD, 0.0):
                if (draft / _WHOLE).is_file():
                    _finished(draft, folder)
        except (OSError, sqlite3.Error):
            continue  # another run is at work in it
        shutil.rmtree(draft, ignore_errors=True)


def _finished(draft: Path, folder: Path) -> None:
    """Move the rest of a delivery in; files that somebody else has put there since stay."""
    try:
        names = [str(name) for name in json.loads((draft / _WHOLE).read_text(encoding="utf-8"))]
    except ValueError:
        return
    for name in names:
        ours = Path(name).name == name and (draft / name).is_file()
        if ours and not _in_the_way(folder, name, overwrite=False):
            os.replace(draft / name, folder / name)


def _moved_in(draft: Path, folder: Path, names: Sequence[str]) -> None:
    """Put all drafts in their places; where one of them cannot be, all old files are put back."""
    marks = {name: sha256(draft / name) for name in names}
    for name, mark in marks.items():
        _noted(folder, name, [mark, *_known(folder, name)])
    (draft / _OLD).mkdir()
    _brought_down(draft / _WHOLE, json.dumps(list(names)))
    try:
        for name in names:
            if os.path.lexists(folder / name):
                os.replace(folder / name, draft / _OLD / name)
            os.replace(draft / name, folder / name)
    except BaseException:
        _put_back(draft, folder, names)
        raise
    with suppress(OSError):  # all is delivered: what is noted besides does no harm
        _folder_brought_down(folder)
        for name, mark in marks.items():
            _noted(folder, name, [mark])


def _put_back(draft: Path, folder: Path, names: Sequence[str]) -> None:
    """Undo as much of a delivery as was done, whatever that is."""
    for name in names:
        if not (draft / name).exists():
            os.replace(folder / name, draft / name)
        if os.path.lexists(draft / _OLD / name):
            os.replace(draft / _OLD / name, folder / name)


def _noted(folder: Path, name: str, marks: Sequence[str]) -> None:
    """Record the hashes under which a file is formparts' own, before it is moved in."""
    place = folder / KEPT / "written" / name
    place.parent.mkdir(exist_ok=True)
    fresh = place.with_name(f".{secrets.token_hex(8)}")
    fresh.write_text("".join(f"{mark}\n" for mark in dict.fromkeys(marks)), encoding="ascii")
    os.replace(fresh, place)


def _brought_down(path: Path, text: str) -> None:
    """Write a small file and flush it to the disk."""
    with path.open("w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _folder_brought_down(folder: Path) -> None:
    """Flush new entries of a folder to the disk, where a folder can be opened."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
