"""A family from its rows to its folder: finished variants are kept, the rest is built, every outcome is recorded."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formparts.errors import InputError
from formparts.export import folder_for
from formparts.export.files import refused, require_text
from formparts.families import cluster, ledger, pool
from formparts.families.building import FULL, Answer
from formparts.families.ledger import Outcome
from formparts.families.page import PAGE, write_page
from formparts.families.standing import WORK, Known, cleared, moved, removed, require_free
from formparts.families.tables import TABLE, write_table
from formparts.families.variants import Fault, Variant
from formparts.families.version import changed_sources, digest_of, near, recipe_digest, variant_hash
from formparts.recipe_functions import Recipe
from formparts.recipe_functions.discovery import loaded_text
from formparts.writers import kinds_of

if TYPE_CHECKING:
    from formparts.fea import FeaOrder

FIGURES_AT_ONCE = 100
"""Number of variants that go to a worker, and into the ledger, together when only figures are computed."""


@dataclass(frozen=True)
class FamilyPlan:
    """
    How a family is built.

    Parameters
    ----------
    wanted : tuple of str
        Kinds of files of each variant; none for figures alone.
    all_checks : bool
        With figures alone: also look for self-intersections, which takes the longest.
    workers : int [-]
        How many processes; as many as there are processor cores when 0.
    time_limit : float [s]
        Longest time for one variant, starting a worker included.
    fresh : bool
        Forget and remove what the folder's ledger holds.
    address : str
        Of a cluster's scheduler; nothing for this machine alone.
    overwrite : bool
        Replace files of formparts that were changed since, and a table or a page that somebody else wrote.
    fea : FeaOrder, optional
        Mesh and load case for the figures under load.
    """

    wanted: tuple[str, ...] = kinds_of(by_default=True)
    all_checks: bool = False
    workers: int = 0
    time_limit: float = 300.0
    fresh: bool = False
    address: str = ""
    overwrite: bool = False
    fea: FeaOrder | None = None


def run(
    recipe: Recipe, variants: Sequence[Variant], faults: Sequence[Fault], out: str | Path, plan: FamilyPlan
) -> Iterator[Outcome]:
    """Build what is not finished yet, and yield every outcome: bad rows, then kept variants, then built ones.

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
    plan : FamilyPlan
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
    if plan.wanted:
        require_text(out, "family")
    folder = folder_for(out, "family").resolve()
    with ledger.locked(folder):
        if plan.fresh:
            _forget(folder, plan, variants)
        mark = secrets.token_hex(6)
        work = folder / WORK / mark
        with closing(ledger.opened(folder)) as book:
            ledger.belongs_to(folder, book, recipe.name, recipe.reference)
            _require_free(folder, ledger.written(folder, book), plan, ())
            cleared(folder, book)
            bad = [_bad(fault) for fault in faults]
            yield from bad
            try:
                ledger.workshops(folder, book, mark)
                yield from _all(recipe, variants, folder, work, book, plan)
                work.mkdir(parents=True, exist_ok=True)
                write_table(recipe, [*_in_order(folder, book, variants), *bad], work)
                write_page(recipe, [*_in_order(folder, book, variants), *bad], work, folder)
                _papers_moved(folder, work, book, plan)
            finally:
                cleared(folder, book)


def _forget(folder: Path, plan: FamilyPlan, variants: Sequence[Variant]) -> None:
    """Remove what the ledger knows as formparts' own, by name and hash, and the ledger."""
    with closing(ledger.opened(folder)) as book:
        known = ledger.written(folder, book)
        _require_free(folder, known, plan, variants)
        cleared(folder, book)
    removed(folder, known)
    for end in ("", "-journal", "-wal", "-shm"):
        (folder / f"{ledger.LEDGER}{end}").unlink(missing_ok=True)


def _require_free(folder: Path, known: Known, plan: FamilyPlan, variants: Iterable[Variant]) -> None:
    """Refuse what is in the way of these variants, and of table and page."""
    folders = [variant.folder for variant in variants] if plan.wanted else []
    require_free(folder, known, folders, (TABLE, PAGE), plan.overwrite)


def _bad(fault: Fault) -> Outcome:
    return Outcome(fault.name, "", "", "failed", f"row {fault.number}: {fault.reason}", {})


def _all(
    recipe: Recipe,
    variants: Sequence[Variant],
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: FamilyPlan,
) -> Iterator[Outcome]:
    """What is kept, then what is built."""
    source = recipe_digest(recipe)
    same: dict[tuple[str, str], bool] = {}
    wanted = plan.wanted or ("figures", "all checks" if plan.all_checks else "blank checks")
    wanted += () if plan.fea is None else (f"under load: {plan.fea!r}",)
    todo: list[tuple[Variant, str]] = []
    for variant in variants:
        mark = variant_hash(source, variant.parameters, wanted)
        old = ledger.found(folder, book, variant.name)
        made = old is not None and old.hash == mark and old.state == "made"
        if old is not None and made and _whole(folder, old) and _same_sources(recipe, old, same):
            yield replace(old, kept=True)
        else:
            todo.append((variant, mark))
    _require_free(folder, ledger.written(folder, book), plan, [variant for variant, _ in todo])
    yield from _built(recipe, todo, folder, work, book, plan)


def _whole(folder: Path, old: Outcome) -> bool:
    """True when all files of a finished variant are there, byte for byte."""
    paths = {folder / old.folder / name: digest for name, digest in old.files.items()}
    return all(path.is_file() and digest_of(path) == digest for path, digest in paths.items())


def _same_sources(recipe: Recipe, old: Outcome, same: dict[tuple[str, str], bool]) -> bool:
    """True when every file that the recipe's code read is unchanged; each is read once."""
    for path, mark in old.sources.items():
        if (path, mark) not in same:
            same[path, mark] = not changed_sources(recipe, {path: mark})
    return all(same[item] for item in old.sources.items())


def _built(
    recipe: Recipe,
    todo: Sequence[tuple[Variant, str]],
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: FamilyPlan,
) -> Iterator[Outcome]:
    """Build in workers; each variant's files are moved in, then noted in one transaction."""
    step = 1 if plan.wanted or plan.fea else FIGURES_AT_ONCE
    parts = [todo[start : start + step] for start in range(0, len(todo), step)]
    text = loaded_text(recipe).decode("latin-1")
    tasks = [_task(recipe, text, part, work, plan) for part in parts]
    for number, answers in _answers(tasks, recipe, plan):
        outcomes = []
        for (variant, mark), answer in zip(parts[number], answers, strict=True):
            _refuse_full(answer, folder)
            outcome = _delivered(variant, mark, answer, folder, work, book, plan)
            sources = {near(recipe, path): seen for path, seen in answer.get("sources", {}).items()}
            outcomes.append(replace(outcome, sources=sources))
        ledger.entered(folder, book, outcomes)
        yield from outcomes


def _answers(
    tasks: Sequence[Mapping[str, Any]], recipe: Recipe, plan: FamilyPlan
) -> Iterator[tuple[int, list[Answer]]]:
    if plan.address:
        return cluster.answers(tasks, recipe, plan.address, plan.time_limit)
    return pool.answers(tasks, plan.workers or os.cpu_count() or 1, plan.time_limit)


def _task(
    recipe: Recipe, text: str, part: Iterable[tuple[Variant, str]], work: Path, plan: FamilyPlan
) -> dict[str, Any]:
    return {
        "recipe": recipe.reference,
        "text": text,
        "wanted": list(plan.wanted),
        "all_checks": plan.all_checks,
        "fea": None if plan.fea is None else asdict(plan.fea),
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


def _delivered(
    variant: Variant,
    mark: str,
    answer: Answer,
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: FamilyPlan,
) -> Outcome:
    """Move a variant's files into their place; a failed variant leaves none."""
    made, fresh = answer["state"] == "made", work / variant.folder
    try:
        if made and answer["files"]:
            fault = _moved(fresh, answer["files"], folder, work, book, plan)
            answer = {**answer, "error": fault} if fault else answer
            made = not fault
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


def _moved(
    fresh: Path,
    files: Mapping[str, str],
    folder: Path,
    work: Path,
    book: sqlite3.Connection,
    plan: FamilyPlan,
) -> str:
    """Move a variant's folder in, recorded first; return the reason if that fails."""
    name = fresh.name
    known = ledger.written(folder, book, f"{name}/")
    ledger.announced(folder, book, {f"{name}/{file}": mark for file, mark in files.items()})
    old = work / f".{name}"  # no variant's folder begins with a dot
    return moved(fresh, folder / name, old, known, plan.overwrite)


def _papers_moved(folder: Path, work: Path, book: sqlite3.Connection, plan: FamilyPlan) -> None:
    """Move table and page in, recorded first."""
    marks = {name: digest_of(work / name) for name in (TABLE, PAGE)}
    _require_free(folder, ledger.written(folder, book), plan, ())
    ledger.announced(folder, book, marks)
    for name in marks:
        try:
            os.replace(work / name, folder / name)
        except OSError as error:
            raise refused(folder / name, error) from error
    ledger.settled(folder, book, marks)


def _in_order(folder: Path, book: sqlite3.Connection, variants: Iterable[Variant]) -> Iterator[Outcome]:
    """The outcomes of these variants as the ledger has them, in the order of the table."""
    found = (ledger.found(folder, book, variant.name) for variant in variants)
    return (outcome for outcome in found if outcome is not None)
