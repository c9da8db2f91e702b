"""The ledger of a family: one SQLite file, one transaction for each variant that is finished."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from formparts.errors import InputError
from formparts.families.figures import ALL_FIGURES
from formparts.families.names import folder_of
from formparts.quantities import shown_value
from formparts.short_repr import short_repr

LEDGER = "family.sqlite"
LOCK = ".family.lock"

_BROKEN = (sqlite3.Error, UnicodeDecodeError)
"""Errors from a file that is not a sound ledger; the second where SQLite quotes bytes that are not text."""

_COLUMNS = (
    "name",
    "folder",
    "hash",
    "state",
    "error",
    "parameters",
    "findings",
    "files",
    "sources",
    "seconds",
)
_FIGURES = "".join(f', "{figure}" {"REAL" if unit else "INTEGER"}' for figure, unit in ALL_FIGURES.items())
_SCHEMA = f"""
CREATE TABLE IF NOT EXISTS about (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS variant (
    name TEXT PRIMARY KEY, folder TEXT NOT NULL, hash TEXT NOT NULL, state TEXT NOT NULL, error TEXT NOT NULL,
    parameters TEXT NOT NULL, findings TEXT NOT NULL, files TEXT NOT NULL, sources TEXT NOT NULL,
    seconds REAL NOT NULL{_FIGURES}
);
CREATE TABLE IF NOT EXISTS written (path TEXT NOT NULL, hash TEXT NOT NULL, PRIMARY KEY (path, hash));
"""
_TABLES = frozenset({"about", "variant", "written"})
_ALL = (*_COLUMNS, *ALL_FIGURES)
_INSERT = (
    f"INSERT OR REPLACE INTO variant ({', '.join(f'{chr(34)}{name}{chr(34)}' for name in _ALL)}) "
    f"VALUES ({', '.join('?' for _ in _ALL)})"
)

_OTHERS = "DELETE FROM written WHERE path = ? AND hash != ?"


@short_repr
@dataclass(frozen=True)
class Outcome:
    """The outcome of one variant.

    Parameters
    ----------
    name, folder : str
        As of the variant.
    hash : str
        Of everything that its files are made of.
    state : "made" or "failed"
        A failed one has an error, and no files.
    error : str
        Why it failed, in one line.
    parameters : mapping of str to float, int, str or bool [house unit]
        All of them.
    figures : mapping of str to float [house unit]
        FIGURES, and those under load when they were asked for; none of a failed one.
    findings : tuple of dict
        What the checks say.
    files : mapping of str to str
        SHA-256 of each file by its name.
    seconds : float [s]
        Time that it took.
    kept : bool
        True when it was there from an earlier run.
    sources : mapping of str to str
        SHA-256 of each file that the recipe's code read while it was built, as far as that was seen: modules and
        data beside the recipe's own file. A path is from the recipe's folder if it is in it.
    """

    name: str
    folder: str
    hash: str
    state: str
    error: str
    parameters: Mapping[str, Any]
    figures: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[Mapping[str, Any], ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    seconds: float = 0.0
    kept: bool = False
    sources: Mapping[str, str] = field(default_factory=dict)

    @property
    def well(self) -> bool:
        """True when it was made and no check calls it an error."""
        return self.state == "made" and all(found["severity"] != "error" for found in self.findings)


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Lock a folder for this run alone; a second run is refused, and a killed one leaves no lock behind.

    The lock is an open transaction on a file of its own, which the system gives back when the process ends.
    """
    lock = _opened(folder / LOCK, patience=0.0)
    try:
        _take(lock, folder)
        yield
    finally:
        lock.close()


def _take(lock: sqlite3.Connection, folder: Path) -> None:
    try:
        lock.execute("BEGIN EXCLUSIVE")
    except _BROKEN as error:
        if "locked" not in str(error):
            raise _trouble(folder, error) from error
        problem, fix = "another run is at work there", "wait for it, or choose another folder"
        raise InputError("family", "out", str(folder), problem, fix) from error


def opened(folder: Path) -> sqlite3.Connection:
    """Open the ledger of a folder, or create it."""
    ledger = _opened(folder / LEDGER)
    try:
        _require_own(folder, ledger)
        with ledger:
            ledger.executescript(_SCHEMA)
            ledger.execute(f"SELECT {', '.join(_ALL)} FROM variant LIMIT 1")
    except _BROKEN as error:
        ledger.close()
        raise _trouble(folder, error) from error
    return ledger


def _require_own(folder: Path, ledger: sqlite3.Connection) -> None:
    """Refuse a database of somebody else's before anything is written into it."""
    tables = {name for (name,) in ledger.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if tables and not tables >= _TABLES:
        problem = f"its {LEDGER} is not a ledger that this version of formparts wrote"
        raise InputError("family", "out", str(folder), problem, "move it away, or choose another folder")


def _opened(path: Path, patience: float = 30.0) -> sqlite3.Connection:
    """Return a connection without implicit transactions; `patience` [s] is the wait for other readers."""
    try:
        return sqlite3.connect(path, timeout=patience, isolation_level=None)
    except _BROKEN as error:
        raise _trouble(path.parent, error) from error


def _trouble(folder: Path, error: sqlite3.Error | UnicodeDecodeError) -> InputError:
    """Return SQLite's problem with a folder, in one line."""
    said = shown_value(str(error)) if isinstance(error, sqlite3.Error) else "it is damaged"
    if "full" in said or "disk I/O" in said:
        return InputError("family", "out", str(folder), "the disk is full", "make room and run it again")
    fix = f"choose another folder, or move {LEDGER} and the folders of its variants away"
    return InputError("family", "out", str(folder), f"its ledger cannot be used ({said})", fix)


def found(folder: Path, ledger: sqlite3.Connection, name: str) -> Outcome | None:
    """Return what the ledger holds of a variant, if anything.

    A row not written by formparts is ignored, and built anew.
    """
    try:
        row = ledger.execute(f"SELECT {', '.join(_ALL)} FROM variant WHERE name = ?", (name,)).fetchone()
    except _BROKEN as error:
        raise _trouble(folder, error) from error
    return None if row is None else _outcome(row)


def written(folder: Path, ledger: sqlite3.Connection, begins: str = "") -> dict[str, set[str]]:
    """Return what was written into the folder and may be there: hashes by path from the folder, with that prefix."""
    found: dict[str, set[str]] = {}
    text = "SELECT path, hash FROM written WHERE path >= ? AND path < ?"
    try:
        for path, mark in ledger.execute(text, (begins, f"{begins}\U0010ffff")):
            found.setdefault(path, set()).add(mark)
    except _BROKEN as error:
        raise _trouble(folder, error) from error
    return found


def announced(folder: Path, ledger: sqlite3.Connection, files: Mapping[str, str]) -> None:
    """Record what is about to be moved in, so that after a kill it is known to be formparts' own."""
    _changed(folder, ledger, [("INSERT OR IGNORE INTO written VALUES (?, ?)", files.items())])


def settled(folder: Path, ledger: sqlite3.Connection, files: Mapping[str, str]) -> None:
    """Record that files are there: none of their other hashes counts as formparts' own any more."""
    _changed(folder, ledger, [(_OTHERS, files.items())])


def workshops(folder: Path, ledger: sqlite3.Connection, fresh: str = "") -> list[str]:
    """Return the names of the folders in which this and earlier runs work.

    A fresh one is recorded before it is made.
    """
    if fresh:
        _changed(folder, ledger, [("INSERT INTO about VALUES (?, '')", [(f"work {fresh}",)])])
    try:
        names = [name for (name,) in ledger.execute("SELECT name FROM about WHERE name LIKE 'work %'")]
    except _BROKEN as error:
        raise _trouble(folder, error) from error
    return [name.removeprefix("work ") for name in names]


def closed_workshop(folder: Path, ledger: sqlite3.Connection, name: str) -> None:
    """Record that a folder in which a run worked is gone."""
    _changed(folder, ledger, [("DELETE FROM about WHERE name = ?", [(f"work {name}",)])])


def _outcome(row: tuple[Any, ...]) -> Outcome | None:
    name, folder, mark, state, error, parameters, findings, files, sources, seconds, *figures = row
    known = {key: value for key, value in zip(ALL_FIGURES, figures, strict=True) if value is not None}
    try:
        plain = [json.loads(text) for text in (parameters, findings, files, sources)]
        listed = tuple(plain[1])
        # What is neither a number nor text that can be written would break table and page.
        json.dumps([plain, known, seconds, error, name], ensure_ascii=False, allow_nan=False).encode()
    except (ValueError, TypeError, RecursionError):
        return None
    said = Outcome(
        name, folder, mark, state, error, plain[0], known, listed, plain[2], seconds, False, plain[3]
    )
    return said if _is_sound(said) else None


def _is_sound(said: Outcome) -> bool:
    """True when all is of the kind that is entered: the file is data, and may come from anybody."""
    texts = (said.name, said.hash, said.error)
    return (
        all(isinstance(text, str) for text in texts)
        and said.folder == folder_of(said.name)
        and said.state in ("made", "failed")
        and isinstance(said.parameters, dict)
        and all(isinstance(value, (str, int, float)) for value in said.parameters.values())
        and all(isinstance(found, dict) and {"severity", "message"} <= {*found} for found in said.findings)
        and isinstance(said.files, dict)
        and all(Path(name).name == name and isinstance(mark, str) for name, mark in said.files.items())
        and isinstance(said.sources, dict)
        and all(isinstance(mark, str) for mark in said.sources.values())
        and all(isinstance(figure, (int, float)) for figure in (said.seconds, *said.figures.values()))
    )


def entered(folder: Path, ledger: sqlite3.Connection, outcomes: Iterable[Outcome]) -> None:
    """Write outcomes in one transaction: all of them, or none; no other hash of their files is formparts' own."""
    outcomes = list(outcomes)
    files = [
        (f"{outcome.folder}/{name}", mark) for outcome in outcomes for name, mark in outcome.files.items()
    ]
    _changed(folder, ledger, [(_INSERT, [_row(outcome) for outcome in outcomes]), (_OTHERS, files)])


def _changed(
    folder: Path, ledger: sqlite3.Connection, changes: Iterable[tuple[str, Iterable[tuple[Any, ...]]]]
) -> None:
    try:
        ledger.execute("BEGIN IMMEDIATE")
        for text, rows in changes:
            ledger.executemany(text, rows)
        ledger.execute("COMMIT")
    except _BROKEN as error:
        raise _trouble(folder, error) from error


def _row(outcome: Outcome) -> tuple[Any, ...]:
    plain = (dict(outcome.parameters), list(outcome.findings), dict(outcome.files), dict(outcome.sources))
    texts = (json.dumps(part, ensure_ascii=False) for part in plain)
    head = (outcome.name, outcome.folder, outcome.hash, outcome.state, outcome.error)
    return (*head, *texts, outcome.seconds, *(outcome.figures.get(figure) for figure in ALL_FIGURES))


def belongs_to(folder: Path, ledger: sqlite3.Connection, recipe: str, reference: str) -> None:
    """Refuse a folder that holds the family of another recipe; record the recipe if there is none."""
    try:
        ledger.execute("INSERT OR IGNORE INTO about VALUES ('recipe', ?)", (recipe,))
        ledger.execute("INSERT OR REPLACE INTO about VALUES ('reference', ?)", (reference,))
        (other,) = ledger.execute("SELECT value FROM about WHERE name = 'recipe'").fetchone()
    except _BROKEN as error:
        raise _trouble(folder, error) from error
    if other != recipe:
        fix = "choose another folder, or begin anew with --fresh"
        raise InputError("family", "out", str(folder), f"it holds the family of {other}", fix)
