"""Writing a file whole or not at all: beside its place first, proved there, then moved in."""

from __future__ import annotations

import errno
import json
import os
import re
import secrets
from collections.abc import Callable
from datetime import datetime, timezone
from pathlib import Path
from typing import Any, TypeVar

from formparts.errors import FileProofError, InputError

Proved = TypeVar("Proved")

EPOCH_VARIABLE = "SOURCE_DATE_EPOCH"


def written(path: str | os.PathLike[str], content: str | bytes) -> Path:
    """
    Write a file whole or not at all.

    Parameters
    ----------
    path : path
        Where it is to stand; an older file there is replaced.
    content : str or bytes
        Text is written as UTF-8 with plain line feeds.

    Returns
    -------
    Path
        Where it stands.

    Raises
    ------
    InputError
        It cannot be written there: no such folder, no permission, disk full, a folder of that name.
    """
    return delivered(path, content, lambda _: None)[0]


def delivered(
    path: str | os.PathLike[str], content: str | bytes, proof: Callable[[Path], Proved]
) -> tuple[Path, Proved]:
    """
    Write a file beside its place, prove it there, and only then move it in.

    Parameters
    ----------
    path : path
        Where it is to stand; an older file there is replaced.
    content : str or bytes
        Text is written as UTF-8 with plain line feeds.
    proof : function of a path
        Reads the file back; raises FileProofError when it is not what was meant.

    Returns
    -------
    (Path, object)
        Where it stands, and what the proof returned.

    Raises
    ------
    InputError
        It cannot be written there: no such folder, no permission, disk full, a folder of that name.
    FileProofError
        The proof failed; nothing was delivered, and an older file stands as it was.
    """
    place = Path(path)
    try:
        draft = _draft_beside(place)
    except OSError as error:
        raise _refused(place, error) from error
    try:
        _write_new(draft, content.encode() if isinstance(content, str) else content)
        figures = _proved(draft, place, proof)
        os.replace(draft, place)
    except OSError as error:
        raise _refused(place, error) from error
    finally:
        _dropped(draft)
    return place, figures


def folder_for(out: str | os.PathLike[str], where: str) -> Path:
    """
    Give the folder that files are to stand in, made when it is not there.

    Parameters
    ----------
    out : path
        The folder.
    where : str
        Who asks, for the error's line.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        It is no folder, or none can be made there.
    """
    folder = Path(out)
    if not str(out).strip():
        raise InputError(
            where, "out", repr(str(out)), "is not a folder", "name one; . is the one that you are in"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise InputError(
            where, "out", str(out), "is a file, and a folder is wanted", "name another"
        ) from error
    except (OSError, ValueError) as error:  # a null character in its name is a ValueError
        problem = f"no folder can be made there ({getattr(error, 'strerror', None) or error})"
        raise InputError(where, "out", str(out), problem, "name another folder") from error
    return folder


def _draft_beside(place: Path) -> Path:
    """Name of a draft that nobody can foresee, in the folder where the file is to stand."""
    if "\0" in str(place):
        raise OSError(errno.EINVAL, "its name holds a null character")
    if place.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    return place.with_name(f".{secrets.token_hex(8)}{place.suffix}")


def _write_new(draft: Path, content: bytes) -> None:
    """Write a file that must not exist yet, down to the disk."""
    with open(draft, "xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _proved(draft: Path, place: Path, proof: Callable[[Path], Proved]) -> Proved:
    """Run a proof on the draft; what it finds is said of the place that the user knows."""
    try:
        return proof(draft)
    except FileProofError as error:
        raise FileProofError(str(place), error.problem) from error


def _dropped(draft: Path) -> None:
    """Leave no draft behind; a folder that went away has taken it along."""
    try:
        draft.unlink(missing_ok=True)
    except OSError:
        return


def _refused(place: Path, error: OSError) -> InputError:
    """Say in one line why a file cannot stand there."""
    problem, remedy = _REASONS.get(error.errno or 0, (_lower(error.strerror or str(error)), ""))
    return InputError(
        "files", "path", str(place), f"cannot be written: {problem.format(folder=place.parent)}", remedy
    )


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


_REASONS = {
    errno.ENOENT: ("there is no folder {folder}", "make it first, or choose another"),
    errno.ENOTDIR: ("{folder} is not a folder", "choose another"),
    errno.EISDIR: ("it is a folder", "give the name of a file"),
    errno.EACCES: ("no permission in {folder}", "choose a folder of your own"),
    errno.EPERM: ("no permission in {folder}", "choose a folder of your own"),
    errno.EROFS: ("{folder} is read-only", "choose a folder of your own"),
    errno.ENOSPC: ("the disk is full", "make room; nothing was written"),
    errno.EDQUOT: ("your share of the disk is full", "make room; nothing was written"),
    errno.ENAMETOOLONG: ("the name is too long", "choose a shorter one"),
}
"""What the usual refusals mean, and the way out."""


def cell_text(text: str) -> str:
    """
    Give a text as the cell of a table: on one line, and quoted when a spreadsheet would take it for a formula.

    Parameters
    ----------
    text : str
        Any text, as a name that somebody else gave.

    Returns
    -------
    str

    Source
    ------
    What spreadsheets take for the beginning of a formula: OWASP, "CSV Injection", from memory.
    """
    # A NUL is in no table: Python 3.10 neither writes nor reads one.
    plain = " ".join(text.replace("\0", " ").split())
    return f"'{plain}" if plain.startswith(tuple("=+-@")) else plain


def comment_text(text: str) -> str:
    """A text as a line of comment in a table: no part of it, between its commas, begins a formula in a spreadsheet."""
    return re.sub(r"[,;](?=[=+\-@])", r"\g<0> '", " ".join(text.split()))


def file_date(date: datetime | None = None) -> datetime:
    """
    The date that goes into a file: the one given, else SOURCE_DATE_EPOCH, else the start of 1970.

    Parameters
    ----------
    date : datetime, optional
        Without a zone it is taken as UTC.

    Returns
    -------
    datetime
        In UTC, whole seconds.

    Raises
    ------
    InputError
        SOURCE_DATE_EPOCH is not a whole number of seconds.

    Source
    ------
    SOURCE_DATE_EPOCH specification of the Reproducible Builds project: seconds since 1970-01-01 00:00 UTC.
    """
    if date is None:
        return _epoch(os.environ.get(EPOCH_VARIABLE, "0"))
    return (
        (date if date.tzinfo else date.replace(tzinfo=timezone.utc))
        .astimezone(timezone.utc)
        .replace(microsecond=0)
    )


def date_shown() -> str:
    """
    Give the date that a person may read on a page or a drawing.

    Returns
    -------
    str
        That of SOURCE_DATE_EPOCH, as 2026-11-25; nothing when none is set, for no made-up date is shown as a fact.

    Raises
    ------
    InputError
        SOURCE_DATE_EPOCH is not a whole number of seconds.
    """
    return file_date().strftime("%Y-%m-%d") if EPOCH_VARIABLE in os.environ else ""


def _epoch(text: str) -> datetime:
    try:
        return datetime.fromtimestamp(int(text), timezone.utc)
    except (ValueError, OverflowError, OSError) as error:
        remedy = "give whole seconds since 1970, or leave it unset"
        raise InputError("files", EPOCH_VARIABLE, text, "is not a date", remedy) from error


def write_json(data: Any, path: str | os.PathLike[str]) -> Path:
    """
    Write plain data as JSON, in its own order, and prove that it reads back equal.

    Parameters
    ----------
    data : dict or list of plain values
        Names should carry the units (`volume_mm3`).
    path : path
        Where the file is to stand.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        It cannot be written there.
    FileProofError
        A figure is not finite or a value is not plain; nothing was delivered.
    """
    try:
        text = json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    except (TypeError, ValueError) as error:
        raise FileProofError(str(path), str(error)) from error
    return delivered(path, text, lambda draft: _same_json(draft, data))[0]


def _same_json(draft: Path, data: Any) -> None:
    """Read back what was written, and compare."""
    if json.loads(draft.read_text(encoding="utf-8")) != _listed(data):
        raise FileProofError(str(draft), "the figures read back differ from those that were written")


def _listed(data: Any) -> Any:
    """The same data with tuples as lists, which is how JSON gives them back."""
    if isinstance(data, dict):
        return {name: _listed(value) for name, value in data.items()}
    return [_listed(value) for value in data] if isinstance(data, (list, tuple)) else data
