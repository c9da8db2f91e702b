"""Write a file completely or not at all: first as a draft beside its place, proved there, then moved in."""

from __future__ import annotations

import errno
import os
import re
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from formparts.errors import FileProofError, InputError
from formparts.quantities import shown_value

Proved = TypeVar("Proved")


def written(path: str | os.PathLike[str], content: str | bytes) -> Path:
    """Write a file completely or not at all.

    Parameters
    ----------
    path : path
        The file to write; an older file there is replaced.
    content : str or bytes
        Text is written as UTF-8 with plain line feeds.

    Returns
    -------
    Path
        Its path.

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
        The file to write; an older file there is replaced.
    content : str or bytes
        Text is written as UTF-8 with plain line feeds.
    proof : function of a path
        Reads the file back; raises FileProofError when it is not what was meant.

    Returns
    -------
    (Path, object)
        Its path, and what the proof returned.

    Raises
    ------
    InputError
        It cannot be written there: no such folder, no permission, disk full, a folder of that name.
    FileProofError
        The proof failed; nothing was delivered, and an older file is unchanged.
    """
    place = Path(path)
    try:
        draft = _draft_beside(place)
    except OSError as error:
        raise refused(place, error) from error
    try:
        _write_new(draft, content.encode() if isinstance(content, str) else content)
        figures = _proved(draft, place, proof)
        os.replace(draft, place)
    except OSError as error:
        raise refused(place, error) from error
    finally:
        _dropped(draft)
    return place, figures


def folder_for(out: str | os.PathLike[str], where: str) -> Path:
    """
    Return the folder to write to, made when it does not exist.

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
        It is not a folder, or none can be made there.
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


def require_text(out: str | os.PathLike[str], where: str) -> None:
    """Refuse a path with a byte that is not text: the kernel reads no such file, so that none could be proved."""
    try:
        os.fspath(out).encode()
    except UnicodeEncodeError as error:
        problem = "holds a byte that is not text (UTF-8)"
        raise InputError(where, "out", shown_value(os.fspath(out)), problem, "name another folder") from error


def is_device(name: str) -> bool:
    """
    Tell whether a file of this name would be a device on some system, and no file.

    Source
    ------
    Reserved names: Microsoft, "Naming Files, Paths, and Namespaces", from memory.
    """
    devices = r"(?:con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])\s*(?:\..*)?"
    return re.fullmatch(devices, name, re.IGNORECASE | re.DOTALL) is not None


def _draft_beside(place: Path) -> Path:
    """Return an unpredictable name for a draft, in the folder of the file."""
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
    """Run a proof on the draft; its errors name the path that the user knows."""
    try:
        return proof(draft)
    except FileProofError as error:
        raise FileProofError(str(place), error.problem) from error


def _dropped(draft: Path) -> None:
    """Remove the draft; a folder that has gone took it along."""
    try:
        draft.unlink(missing_ok=True)
    except OSError:
        return


def refused(place: Path, error: OSError) -> InputError:
    """State in one line why a file cannot be written there."""
    problem, fix = _REASONS.get(error.errno or 0, (_lower(error.strerror or str(error)), ""))
    return InputError(
        "files", "path", str(place), f"cannot be written: {problem.format(folder=place.parent)}", fix
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
"""The meaning of the usual refusals, and the way out."""
