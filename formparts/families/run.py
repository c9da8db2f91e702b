"""A family from its rows to its folder: what is finished is kept, the rest is built, every outcome is noted."""

from __future__ import annotations

import os
import re
import secrets
import shutil
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from formparts.errors import InputError
from formparts.export import folder_for
from formparts.families import cluster, ledger, pool
from formparts.families.building import FULL, Answer
from formparts.families.ledger import Outcome
from formparts.families.page import write_page
from formparts.families.tables import write_table
from formparts.families.variants import Fault, Variant
from formparts.families.version import digest_of, recipe_digest, variant_hash
from formparts.making import FILES
from formparts.recipe_functions import Recipe

WORK = ".family.work"
_DRAFT = re.compile(r"\.[0-9a-f]{16}\.(?:csv|html)")
"""Table and page as a run leaves them that is killed while it writes them, see `export.files`."""

FIGURES_AT_ONCE = 100
"""Figures alone are quick: so many variants go to a worker, and into the ledger, together."""


@dataclass(frozen=True)
class Plan:
    """
    How a family is built.

    Parameters
    ----------
    wanted : tuple of str
        Kinds of files of each variant; none for figures alone.
    all_checks : bool
        With figures alone: also look for pieces that run into each other, which takes the longest.
    workers : int [-]
        How many processes; as many as there are processor cores when 0.
    time_limit : float [s]
        Longest time for one variant, starting a worker included.
    fresh : bool
        Forget and remove what the folder's ledger holds.
    address : str
        Of a cluster's scheduler; nothing for this machine alone.
    """

    wanted: tuple[str, ...] = tuple(FILES)
    all_checks: bool = False
    workers: int = 0
    time_limit: float = 300.0
    fresh: bool = False
    address: str = ""


def run(
    recipe: Recipe, variants: Sequence[Variant], faults: Sequence[Fault], out: str | Path, plan: Plan
) -> Iterator[Outcome]:
    """
    Build what is not finished yet, and yield every outcome: bad rows, then what was kept, then what is built.

    Parameters
    ----------
    recipe : Recipe
        What is built.
    variants : sequence of Variant
        As they were checked.
    faults : sequence of Fault
        Rows that cannot be built; each becomes a row of the table.
    out : str or Path
        The family's folder.
    plan : Plan
        How.

    Yields
    ------
    Outcome
        In the order in which they are ready.

    Raises
    ------
    InputError
        The folder cannot be used, another run is at work there, or the disk is full.
    """
    folder = folder_for(out, "family").resolve()
    with ledger.locked(folder):
        if plan.fresh:
            _forget(folder)
        work = folder / WORK / secrets.token_hex(6)
        with closing(ledger.opened(folder)) as book:
            ledger.belongs_to(folder, book, recipe.name, recipe.reference)
            _clear(folder / WORK)
            _sweep(folder)
            bad = [_bad(fault) for fault in faults]
            yield from bad
            try:
                yield from _all(recipe, variants, folder, work, book, plan)
            finally:
                shutil.rmtree(folder / WORK, ignore_errors=True)
            write_table(recipe, [*_in_order(folder, book, variants), *bad], folder)
            write_page(recipe, [*_in_order(folder, book, variants), *bad], folder)


def _forget(folder: Path) -> None:
    """Remove the ledger, and the folders of the variants that it holds; nothing else."""
    try:
        with closing(ledger.opened(folder)) as book:
            names = ledger.folders(folder, book)
    except InputError:
        names = []  # a ledger that cannot be read holds nothing that is known to be ours
    for name in names:
        if Path(name).name == name and name not in ("", ".", ".."):
            shutil.rmtree(folder / name, ignore_errors=True)
    for end in ("", "-journal", "-wal", "-shm"):
        (folder / f"{ledger.LEDGER}{end}").unlink(missing_ok=True)


def _clear(work: Path) -> None:
    """Remove what a killed run left behind; a link in its place leads elsewhere, and is not followed."""
    if work.is_symlink():
        work.unlink()
    shutil.rmtree(work, ignore_errors=True)


def _sweep(folder: Path) -> None:
    """Remove the drafts of table and page that a killed run left."""
    for path in folder.iterdir():
        if _DRAFT.fullmatch(path.name) and path.is_file() and not path.is_symlink():
            path.unlink(missing_ok=True)


def _bad(fault: Fault) -> Outcome:
    return Outcome(fault.name, "", "", "failed", f"row {fault.number}: {fault.reason}", {})


def _all(
    recipe: Recipe,
    variants: Sequence[Variant],
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: Plan,
) -> Iterator[Outcome]:
    """What is kept, then what is built."""
    source = recipe_digest(recipe)
    wanted = plan.wanted or ("figures", "all checks" if plan.all_checks else "blank checks")
    todo: list[tuple[Variant, str]] = []
    for variant in variants:
        mark = variant_hash(source, variant.parameters, wanted)
        old = ledger.found(folder, book, variant.name)
        if old is not None and old.hash == mark and old.state == "made" and _whole(folder, old):
            yield replace(old, kept=True)
        else:
            todo.append((variant, mark))
    yield from _built(recipe, todo, folder, work, book, plan)


def _whole(folder: Path, old: Outcome) -> bool:
    """True when all files of a finished variant are there, byte for byte."""
    paths = {folder / old.folder / name: digest for name, digest in old.files.items()}
    return all(path.is_file() and digest_of(path) == digest for path, digest in paths.items())


def _built(
    recipe: Recipe,
    todo: Sequence[tuple[Variant, str]],
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: Plan,
) -> Iterator[Outcome]:
    """Build in workers; each variant's files are moved in, then noted in one transaction."""
    step = 1 if plan.wanted else FIGURES_AT_ONCE
    parts = [todo[start : start + step] for start in range(0, len(todo), step)]
    tasks = [_task(recipe, part, work, plan) for part in parts]
    for number, answers in _answers(tasks, recipe, plan):
        outcomes = []
        for (variant, mark), answer in zip(parts[number], answers, strict=True):
            _refuse_full(answer, folder)
            outcomes.append(_delivered(variant, mark, answer, folder, work))
        ledger.entered(folder, book, outcomes)
        yield from outcomes


def _answers(
    tasks: Sequence[Mapping[str, Any]], recipe: Recipe, plan: Plan
) -> Iterator[tuple[int, list[Answer]]]:
    if plan.address:
        return cluster.answers(tasks, recipe, plan.address, plan.time_limit)
    return pool.answers(tasks, plan.workers or os.cpu_count() or 1, plan.time_limit)


def _task(recipe: Recipe, part: Iterable[tuple[Variant, str]], work: Path, plan: Plan) -> dict[str, Any]:
    return {
        "recipe": recipe.reference,
        "wanted": list(plan.wanted),
        "all_checks": plan.all_checks,
        "variants": [
            {
                "folder": variant.folder,
                "parameters": dict(variant.parameters),
                "into": str(work / variant.folder),
            }
            for variant, _ in part
        ],
    }


def _refuse_full(answer: Answer, folder: Path) -> None:
    if answer["state"] == "full":
        raise InputError(
            "family",
            "out",
            str(folder),
            "the disk is full",
            "make room and run it again: what is finished is kept",
        )


def _delivered(variant: Variant, mark: str, answer: Answer, folder: Path, work: Path) -> Outcome:
    """Move a variant's files into their place; what failed leaves none."""
    made, fresh = answer["state"] == "made", work / variant.folder
    try:
        if made and answer["files"]:
            _moved(fresh, folder / variant.folder, work)
        else:
            shutil.rmtree(fresh, ignore_errors=True)
    except OSError as error:
        state = "full" if error.errno in FULL else "failed"
        answer = {"state": state, "error": f"its folder cannot be written ({error.strerror})", "seconds": 0.0}
        _refuse_full(answer, folder)
        made = False
    return Outcome(
        variant.name,
        variant.folder,
        mark,
        "made" if made else "failed",
        answer["error"],
        variant.parameters,
        answer.get("figures", {}) if made else {},
        tuple(answer.get("findings", ())) if made else (),
        answer.get("files", {}) if made else {},
        answer["seconds"],
    )


def _moved(fresh: Path, place: Path, work: Path) -> None:
    """Put a new folder in the place of an old one; at every moment one of the two, or none, is there whole."""
    old = work / f".{place.name}"  # no variant's folder begins with a dot
    if place.exists() or place.is_symlink():
        os.replace(place, old)
    os.replace(fresh, place)
    if hasattr(os, "O_DIRECTORY"):  # where a folder can be opened, its new entry is brought down to the disk
        handle = os.open(place.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    shutil.rmtree(old, ignore_errors=True)


def _in_order(folder: Path, book: sqlite3.Connection, variants: Iterable[Variant]) -> Iterator[Outcome]:
    """The outcomes of these variants as the ledger has them, in the order of the table."""
    found = (ledger.found(folder, book, variant.name) for variant in variants)
    return (outcome for outcome in found if outcome is not None)
