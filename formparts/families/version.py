"""One hash of everything that a variant's files depend on: its parameters, the recipe's source, and the library's."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from formparts.materials import split_own
from formparts.recipe_functions import Recipe
from formparts.recipe_functions.discovery import loaded_text

_PACKAGE = Path(__file__).resolve().parents[1]
_SOURCES = frozenset({".py", ".toml", ".csv", ".json"})


def digest_of(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


@cache
def library_digest() -> str:
    """One hash of all sources of the library; the shipped recipes, each with a hash of its own, are left out."""
    files = sorted(path for path in _PACKAGE.rglob("*") if path.suffix in _SOURCES)
    own = [path for path in files if path.relative_to(_PACKAGE).parts[0] != "recipes"]
    lines = [f"{path.relative_to(_PACKAGE).as_posix()} {digest_of(path)}" for path in own]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def recipe_digest(recipe: Recipe) -> str:
    """Hash of the text that the recipe was loaded from, and of its name; workers load that very text."""
    mark = hashlib.sha256(loaded_text(recipe)).hexdigest()
    return hashlib.sha256(f"{recipe.name} {mark}".encode()).hexdigest()


def near(recipe: Recipe, path: str) -> str:
    """Return a path as recorded: relative to the recipe's folder if inside it, so that both can be moved together."""
    place, folder = Path(path), recipe.source.parent
    return place.relative_to(folder).as_posix() if place.is_relative_to(folder) else path


def changed_sources(recipe: Recipe, sources: Mapping[str, str]) -> list[str]:
    """Return the files that have changed or gone since the build.

    Parameters
    ----------
    recipe : Recipe
        What was built.
    sources : mapping of str to str
        SHA-256 of each file that its code read while a variant was built, as the ledger notes it.

    Returns
    -------
    list of str
    """
    return [path for path, mark in sources.items() if _mark(recipe.source.parent / path) != mark]


def _mark(path: Path) -> str:
    try:
        return digest_of(path)
    except OSError:
        return ""


def variant_hash(recipe_hash: str, parameters: Mapping[str, Any], wanted: Sequence[str]) -> str:
    """Return the hash of everything that a variant's files are made from.

    Parameters
    ----------
    recipe_hash : str
        Of the recipe's source.
    parameters : mapping of str to float, int, str or bool [house unit]
        All of them; one that names a file counts with the file's content (a bend rule or a material of your own).
    wanted : sequence of str
        What is to be written.

    Returns
    -------
    str
    """
    plain = {name: [value, *_content(value)] for name, value in sorted(parameters.items())}
    text = json.dumps([library_digest(), recipe_hash, plain, sorted(wanted)], ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _content(value: object) -> list[str]:
    """Hash of the file that a value names, if it names one."""
    path = named_file(value)
    return [] if path is None else [digest_of(path)]


def named_file(value: object) -> Path | None:
    """The file that a value names, if it names one: `rule.csv`, or `shop.toml:NAME`."""
    if not isinstance(value, str):
        return None
    named = split_own(value)[0] or (value if value.lower().endswith(".csv") else "")
    path = Path(named).expanduser()
    return path if named and path.is_file() else None
