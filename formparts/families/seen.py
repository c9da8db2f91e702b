"""The files that a recipe's code reads besides its own: the user's modules and data, with their hashes."""

from __future__ import annotations

import os
import sys
import sysconfig
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import wraps
from importlib.util import source_from_cache
from pathlib import Path
from typing import Any

from formparts.families.version import digest_of, named_file
from formparts.recipe_functions import Recipe

CHANGED = "changed while it was read"
"""Recorded for a file that changed between two reads: it equals no hash, so the variant is built anew."""

_PACKAGE = Path(__file__).resolve().parents[1]


class FilesSeen:
    """
    The files that Python opened to be read while a recipe was loaded and while its function ran in this process.

    What was installed (Python, the library, packages) is left out. What is read by other means than Python's own, or
    is not a file (the clock, the environment, a network), is not seen.
    """

    def __init__(self) -> None:
        self._common: dict[str, str] = {}
        self._named: dict[str, str] = {}
        self._names: frozenset[str] = frozenset()
        self._looks = False
        self._installed = tuple(
            f"{os.path.realpath(place)}{os.sep}"
            for place in {*sysconfig.get_paths().values(), sys.prefix, sys.base_prefix, str(_PACKAGE)}
        )

    def hook(self, event: str, arguments: tuple[Any, ...]) -> None:
        """Record a file as it is opened, through Python's audit events."""
        if event != "open" or not self._looks:
            return
        self._looks = False  # what is opened to make the hash is not the recipe's
        with suppress(OSError, ValueError, TypeError):
            path, mode, flags = arguments[:3]
            if not isinstance(path, int) and _reads(mode, flags):
                self._note(os.path.realpath(os.fsdecode(path)))
        self._looks = True

    def _note(self, path: str) -> None:
        if path.endswith(".pyc"):
            path = source_from_cache(path)
        if path.startswith(self._installed) or not os.path.isfile(path):
            return
        mark = digest_of(Path(path))
        marks = self._named if path in self._names else self._common
        marks[path] = mark if marks.get(path, mark) == mark or path in self._names else CHANGED

    @contextmanager
    def looking(self, names: frozenset[str] = frozenset()) -> Iterator[None]:
        """Record what is opened in a block; files named by parameters belong to one variant alone."""
        self._names, self._looks = names, True
        try:
            yield
        finally:
            self._looks = False

    def watched(self, function: Callable[..., Any]) -> Callable[..., Any]:
        """Return the same function, observed while it runs."""

        @wraps(function)
        def run(**parameters: Any) -> Any:
            with self.looking(_named(parameters)):
                return function(**parameters)

        return run

    def sources(self, recipe: Recipe, parameters: Mapping[str, Any]) -> dict[str, str]:
        """What a variant depends on, as far as it was seen; the recipe's own file counts by its text."""
        names = _named(parameters)
        found = {
            **self._common,
            **{path: mark for path, mark in self._named.items() if path in names},
        }
        return {path: mark for path, mark in sorted(found.items()) if path != str(recipe.source)}


def _named(parameters: Mapping[str, Any]) -> frozenset[str]:
    files = map(named_file, parameters.values())
    return frozenset(os.path.realpath(path) for path in files if path is not None)


def _reads(mode: object, flags: object) -> bool:
    """True when a file is opened to be read and not written."""
    if isinstance(mode, str):
        return not set(mode) & set("wax+")
    return isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR) == 0
