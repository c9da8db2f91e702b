"""What a variant's files depend on, as one hash: its parameters, the recipe's source, and the library's."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from formparts.materials import split_own
from formparts.recipe_functions import Recipe

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
    """Hash of the recipe's file and name; what the file imports from elsewhere is not seen."""
    return hashlib.sha256(f"{recipe.name} {digest_of(recipe.source)}".encode()).hexdigest()


def variant_hash(recipe_hash: str, parameters: Mapping[str, Any], wanted: Sequence[str]) -> str:
    """
    Hash of everything that a variant's files are made of.

    Parameters
    ----------
    recipe_hash : str
        Of the recipe's source.
    parameters : mapping of str to float, int, str or bool [house unit]
        All of them; one that names a file counts with the file's content (a bend rule or a material of one's own).
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
    """Hash of the file that a value names, if it names one: `rule.csv`, or `shop.toml:NAME`."""
    if not isinstance(value, str):
        return []
    named = split_own(value)[0] or (value if value.lower().endswith(".csv") else "")
    path = Path(named).expanduser()
    return [digest_of(path)] if named and path.is_file() else []
