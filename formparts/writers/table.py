"""A writer: one ending of a file's name, what the file is for, and the function that writes it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from formparts.errors import InputError
from formparts.quantities import shown_value

if TYPE_CHECKING:
    from formparts.part import Part

Write: TypeAlias = "Callable[[Part, Path, Mapping[str, Any]], object]"


@dataclass(frozen=True)
class Writer:
    """The writer of one kind of file.

    Parameters
    ----------
    ending : str
        How the file's name ends: `.step`, `-blank.dxf`.
    kind : str
        The word by which files are chosen: `solid`, `blank`.
    text : str
        What the file is for, in one line.
    write : callable
        From a part, a path and the options to the file.
    options : tuple of str
        Names of the options that it takes.
    by_default : bool
        Whether it is written when nothing is chosen.
    rank : int
        Place in the order of writing; what tells of the others comes last.
    """

    ending: str
    kind: str
    text: str
    write: Write
    options: tuple[str, ...] = ()
    by_default: bool = True
    rank: int = 0


WRITERS: dict[str, Writer] = {}
"""By ending; each module of this folder enters its own when it is loaded."""


def writer(
    ending: str, kind: str, text: str, options: tuple[str, ...] = (), by_default: bool = True, rank: int = 0
) -> Callable[[Write], Write]:
    """
    Enter a function in the table of writers: a decorator.

    Parameters
    ----------
    ending, kind, text : str
        As in Writer.
    options : tuple of str
        Names of the options that it takes.
    by_default : bool
        Whether it is written when nothing is chosen.
    rank : int
        Place in the order of writing.

    Returns
    -------
    callable
        The decorator.
    """

    def entered(write: Write) -> Write:
        WRITERS[ending] = Writer(ending, kind, text, write, options, by_default, rank)
        return write

    return entered


def writer_for(path: str | os.PathLike[str]) -> Writer:
    """
    Find the writer of a file by how its name ends; the longest ending that fits is meant.

    Parameters
    ----------
    path : path
        The file to write.

    Returns
    -------
    Writer

    Raises
    ------
    InputError
        No writer has such an ending.
    """
    name = Path(path).name
    fitting = [ending for ending in WRITERS if name.endswith(ending) and name != ending]
    if not fitting:
        fix = f"end the name in one of {', '.join(sorted(WRITERS))}"
        raise InputError("write", "path", shown_value(str(path)), "no format has this ending", fix)
    return WRITERS[max(fitting, key=len)]


def kinds_of(by_default: bool = False) -> tuple[str, ...]:
    """Return the words by which files are chosen, in the order of writing; on request only the default ones."""
    ordered = sorted(WRITERS.values(), key=lambda one: (one.rank, one.ending))
    return tuple(dict.fromkeys(one.kind for one in ordered if one.by_default or not by_default))


def writers_of(kinds: Iterable[str], where: str = "make") -> tuple[Writer, ...]:
    """
    Give the writers of some kinds of files, in the order of writing.

    Parameters
    ----------
    kinds : iterable of str
        Words of `kinds_of()`.
    where : str
        Who asks, for the error's line.

    Returns
    -------
    tuple of Writer

    Raises
    ------
    InputError
        A word is not one of them.
    """
    wanted, known = list(kinds), kinds_of()
    for word in wanted:
        if word not in known:
            fix = f"choose from {', '.join(known)}"
            raise InputError(where, "files", shown_value(word), "there is no such kind of file", fix)
    chosen = (one for one in WRITERS.values() if one.kind in wanted)
    return tuple(sorted(chosen, key=lambda one: (one.rank, one.ending)))
