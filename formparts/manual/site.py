"""The whole site: the plan of its pages, and building them on all cores."""

from __future__ import annotations

import html
import json
import os
import re
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path
from typing import Final

from formparts.errors import InputError
from formparts.export.files import written
from formparts.manual import (
    check_pages,
    command_pages,
    file_pages,
    guide_pages,
    recipe_pages,
    reference,
    rule_pages,
)
from formparts.manual.shell import Entry, Page, PageText, shared_files, whole_page

KINDS: Final[dict[str, Callable[[Page], PageText]]] = {
    "guide": guide_pages.guide,
    "start": guide_pages.start,
    "words": guide_pages.glossary,
    "room": reference.room,
    "name": reference.name,
    "recipe": recipe_pages.recipe_page,
    "assemblies": recipe_pages.assemblies_page,
    "check": check_pages.check_page,
    "rules": rule_pages.rules_page,
    "command": command_pages.command_page,
    "files": file_pages.files_page,
}
"""The function that makes each kind of page."""


@dataclass(frozen=True)
class Manual:
    """
    A manual that was written.

    Parameters
    ----------
    folder : Path
        Where it is; begin at `index.html`.
    pages : int [-]
        How many pages it has.
    size : int [-]
        Bytes of all files.
    faults : tuple of str
        Examples that printed something else than their text has; empty when all is well.
    """

    folder: Path
    pages: int
    size: int
    faults: tuple[str, ...]


@cache
def planned_pages() -> tuple[Page, ...]:
    """All pages, in the order in which they are listed; nothing is run for it."""
    return (
        *guide_pages.guide_planned(),
        *recipe_pages.recipes_planned(),
        *reference.reference_pages(),
        *check_pages.checks_planned(),
        *rule_pages.rules_planned(),
        *command_pages.commands_planned(),
        *file_pages.files_planned(),
    )


def built(name: str) -> tuple[str, tuple[str, ...]]:
    """The text of one page, and what went wrong in it."""
    pages = planned_pages()
    page = next(each for each in pages if each.name == name)
    made = KINDS[page.kind](page)
    return whole_page(page, made.inside, pages), tuple(f"{name}: {fault}" for fault in made.faults)


def write_manual(out: str | os.PathLike[str], processes: int = 0) -> Manual:
    """
    Write the manual: pages of HTML made by running the examples of the docstrings.

    Parameters
    ----------
    out : path
        Folder for the pages; made when it is not there.
    processes : int [-]
        How many pages are made at a time; as many as there are cores when 0.

    Returns
    -------
    Manual

    Raises
    ------
    InputError
        The folder cannot be written, or holds files that are not of a manual; `processes` is not a count.
    """
    if not 0 <= processes <= 1024:
        raise InputError(
            "formparts manual", "--processes", processes, "not a number of processes", "0 to 1024"
        )
    folder = Path(out)
    _refuse_foreign(folder)
    names = [page.name for page in planned_pages()]
    faults: list[str] = []
    size = 0
    for name, (text, wrong) in zip(names, _all_built(names, processes or os.cpu_count() or 1), strict=True):
        size += written(folder / f"{name}.html", text).stat().st_size
        faults += wrong
    for name, text in {**shared_files(), "words.js": words_file()}.items():
        size += written(folder / name, text).stat().st_size
    return Manual(folder, len(names), size, tuple(faults))


def _all_built(names: Sequence[str], processes: int) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The pages in their order; the longest are begun first."""
    if processes == 1:
        yield from map(built, names)
        return
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        slow = sorted(names, key=lambda name: not name.startswith(("command-", "guide-")))
        waiting = {name: pool.submit(built, name) for name in slow}
        for name in names:
            yield waiting[name].result()


def _refuse_foreign(folder: Path) -> None:
    """Refuse a folder with files of somebody else."""
    if not folder.exists():
        folder.mkdir(parents=True)
        return
    ours = {"manual.css", "manual.js", "words.js"}
    foreign = [each.name for each in folder.iterdir() if each.name not in ours and each.suffix != ".html"]
    if foreign and not (folder / "words.js").exists():
        fix = "give a folder of its own: --out out/manual"
        raise InputError(
            "manual", "out", str(folder), f"holds files that are not of a manual ({foreign[0]})", fix
        )


def words_file() -> str:
    """The words that the search finds, as a script."""
    rows = [
        [
            entry.word,
            entry.anchor if ".html" in entry.anchor else f"{page.name}.html#{entry.anchor}",
            entry.line,
        ]
        for page in planned_pages()
        for entry in (Entry(page.title, "text", page.group), *page.entries)
    ]
    return f"const WORDS = {json.dumps(rows, ensure_ascii=True)};\n"


def links_of(text: str) -> set[str]:
    """Return the targets of a page's links within the manual."""
    return {
        html.unescape(found)
        for found in re.findall(r'(?:href|src)="([^"]*)"', text)
        if not found.startswith("data:")
    }


def anchors_of(text: str) -> set[str]:
    """The places of a page that a link can lead to."""
    return {html.unescape(found) for found in re.findall(r'\bid="([^"]*)"', text)}
