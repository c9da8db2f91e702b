"""The files in a family's folder, and who wrote them: only what the ledger knows by name and hash is ever removed."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from formparts.errors import InputError
from formparts.families import ledger
from formparts.families.version import digest_of

Known = Mapping[str, set[str]]
"""Hashes of the files that the ledger records, by path from the family's folder."""

WORK = ".family.work"
_MOST_NAMED = 3
NOT_OURS = "formparts did not write it there, and does not replace it"
CHANGED = "it was changed since formparts wrote it, and is not replaced"


def require_free(
    folder: Path, known: Known, folders: Iterable[str], files: Sequence[str], overwrite: bool
) -> None:
    """
    Refuse a folder, before anything is built, where somebody else's files are in the way.

    Parameters
    ----------
    folder : Path
        The family's folder.
    known : mapping of str to set of str
        What the ledger says was written.
    folders : iterable of str
        Names of variants' folders that are to be built.
    files : sequence of str
        Names of files in the family's folder that are to be written.
    overwrite : bool
        Let files of formparts that were changed, and files of these names whoever wrote them, be replaced.

    Raises
    ------
    InputError
        What is in the way is named, with the way out.
    """
    work = folder / WORK
    found = [(WORK, NOT_OURS)] if work.is_symlink() or (work.exists() and not work.is_dir()) else []
    found += [fault for name in files for fault in _of_file(folder, name, known, overwrite)]
    found += [fault for name in folders for fault in of_folder(folder / name, name, known, overwrite)]
    if not found:
        return
    path, reason = found[0]
    others = ", ".join(path for path, _ in found[1 : 1 + _MOST_NAMED])
    more = f" and {len(found) - 1 - _MOST_NAMED} more" if len(found) - 1 > _MOST_NAMED else ""
    also = f" (and {others}{more})" if others else ""
    fix = "move it away, or choose another folder"
    may = reason == CHANGED or (path in files and (folder / path).is_file())
    fix += ", or have it replaced (--overwrite)" if may else ""
    raise InputError("family", "out", f"{folder / path}{also}", reason, fix)


def _of_file(folder: Path, name: str, known: Known, overwrite: bool) -> Iterator[tuple[str, str]]:
    place = folder / name
    if place.is_dir() and not place.is_symlink():
        yield name, NOT_OURS
    elif overwrite or not os.path.lexists(place):
        return
    elif place.is_symlink() or not place.is_file():
        yield name, NOT_OURS
    elif digest_of(place) not in known.get(name, ()):
        yield name, CHANGED if name in known else NOT_OURS


def of_folder(place: Path, name: str, known: Known, overwrite: bool) -> Iterator[tuple[str, str]]:
    """Return what in a variant's place formparts did not write: path from the family's folder, and why."""
    if not os.path.lexists(place):
        return
    if place.is_symlink() or not place.is_dir():
        yield name, NOT_OURS
        return
    for entry in sorted(place.iterdir()):
        path = f"{name}/{entry.name}"
        if entry.is_symlink() or not entry.is_file() or path not in known:
            yield path, NOT_OURS
        elif not overwrite and digest_of(entry) not in known[path]:
            yield path, CHANGED


def removed(folder: Path, known: Known) -> None:
    """Remove all files that the ledger knows, by name and hash, and the folders that are empty then."""
    for path, marks in known.items():
        place = folder / path
        parts = Path(path).parts
        plain = len(parts) <= 2 and ".." not in parts and not Path(path).is_absolute()
        links = place.is_symlink() or place.parent.is_symlink()
        if plain and not links and place.is_file() and digest_of(place) in marks:
            place.unlink()
    for name in {Path(path).parts[0] for path in known if len(Path(path).parts) == 2}:
        _removed_if_empty(folder / name)


def moved(fresh: Path, place: Path, old: Path, known: Known, overwrite: bool) -> str:
    """Put a new folder in the place of an old one; at every moment one of the two, or none, is there complete.

    Parameters
    ----------
    fresh, place, old : Path
        The new folder, its place, and where the old one is put for a moment.
    known : mapping of str to set of str
        What the ledger says was written.
    overwrite : bool
        Let files of formparts that were changed be replaced.

    Returns
    -------
    str
        What kept it from being done; nothing when it was done.
    """
    if os.path.lexists(place):
        for path, reason in of_folder(place, place.name, known, overwrite):
            return f"{path}: {reason}"
        os.replace(place, old)
        for path, reason in of_folder(old, place.name, known, overwrite):  # put there just now
            os.replace(old, place)
            return f"{path}: {reason}"
    os.replace(fresh, place)
    if hasattr(os, "O_DIRECTORY"):  # where a folder can be opened, its new entry is brought down to the disk
        handle = os.open(place.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    if old.is_dir():
        for entry in old.iterdir():
            entry.unlink()
        old.rmdir()
    return ""


def cleared(folder: Path, book: sqlite3.Connection) -> None:
    """Remove the folders in which this and killed runs worked; only those that the ledger has noted."""
    import shutil

    work = folder / WORK
    for name in ledger.workshops(folder, book):
        if Path(name).name == name and name.isalnum() and not work.is_symlink():
            shutil.rmtree(work / name, ignore_errors=True)
            ledger.closed_workshop(folder, book, name)
    _removed_if_empty(work)


def _removed_if_empty(place: Path) -> None:
    try:
        if not place.is_symlink():
            place.rmdir()
    except OSError:
        return
