"""Which tests reach which statement: the rooms' statements are marked in a copy of the tree, and all tests run once."""

from __future__ import annotations

import ast
import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

INSIDE = Path(__file__).parent / "inside"
Statement = tuple[str, int, int]
"""File, line, column."""


@dataclass(frozen=True)
class Reach:
    """What the tests reach without any fault."""

    seconds: dict[str, float]
    by_statement: dict[Statement, list[str]]
    at_import: frozenset[Statement]
    """Reached while the tests are imported: by what a fork of the warm process may hold already."""
    failed: tuple[str, ...]

    def tests(self, file: str, statement: tuple[int, int] | None) -> list[str]:
        """
        The tests that reach a statement.

        Of what is done while the file is imported, and by no test, those that reach anything in the file; of a file
        that holds nothing else, those that reach anything at all.
        """
        found = self.by_statement.get((file, *statement), []) if statement else []
        if found or (statement and (file, *statement) not in self.at_import):
            return found
        reaching = {test for place, tests in self.by_statement.items() if place[0] == file for test in tests}
        return sorted(reaching or self.seconds)


def statements(tree: ast.AST) -> Iterator[tuple[list[ast.stmt], int]]:
    """Every statement within a function that can be marked: the list that contains it, and its index."""
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            yield from _below(function)


def _below(node: ast.AST) -> Iterator[tuple[list[ast.stmt], int]]:
    for name in ("body", "orelse", "finalbody", "handlers", "cases"):
        rows = getattr(node, name, [])
        for at, inner in enumerate(rows if isinstance(rows, list) else []):
            if isinstance(inner, ast.stmt) and not _is_docstring(inner):
                yield rows, at
            if not isinstance(inner, (ast.FunctionDef, ast.ClassDef)):
                yield from _below(inner)


def _is_docstring(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def marked(source: str, first: int) -> tuple[str, list[tuple[int, int]]]:
    """The source with a mark before each statement, numbered from the first; and the places of the statements."""
    tree = ast.parse(source)
    found = list(statements(tree))
    places = [(rows[at].lineno, rows[at].col_offset) for rows, at in found]
    for number, (rows, at) in reversed(list(enumerate(found))):
        rows.insert(at, ast.parse(f"_HITS[{first + number}] = 1").body[0])
    heads = [at for at, row in enumerate(tree.body) if _is_docstring(row) or "__future__" in ast.unparse(row)]
    tree.body.insert(max(heads[:2], default=-1) + 1, ast.parse("from reached import HITS as _HITS").body[0])
    return ast.unparse(ast.fix_missing_locations(tree)), places


def recorded(
    tree: Path, files: Sequence[str], tests: Sequence[str], jobs: int, kept: Path | None = None
) -> Reach:
    """
    Mark the files of a copied tree and run its tests, in so many processes.

    With a folder to keep the notes in, those of the very same tree are taken from there.
    """
    out = kept or tree.parent / "reach"
    out.mkdir(parents=True, exist_ok=True)
    digest = _digest(tree, [*files, *tests])
    places: list[Statement] = []
    for file in files:
        text, found = marked((tree / file).read_text(encoding="utf-8"), len(places))
        (tree / file).write_text(text, encoding="utf-8")
        places += [(file, *place) for place in found]
    notes = [out / f"{digest}-{number}of{jobs}.json" for number in range(jobs) if tests[number::jobs]]
    if not all(note.exists() for note in notes):
        running = [_started(tree, note, len(places), tests[n::jobs]) for n, note in enumerate(notes)]
        for process, note in zip(running, notes, strict=True):
            if process.wait() not in (0, 1):  # 1: some test failed, and will not be asked
                raise SystemExit(f"the tests cannot be run: see {note.with_suffix('.log')}")
    return _gathered(places, [json.loads(note.read_text(encoding="utf-8")) for note in notes])


def _digest(tree: Path, named: Sequence[str]) -> str:
    """What tells one tree from another: all of its code, what of it is marked, and which tests are run."""
    digest = hashlib.sha256(repr(named).encode())
    for path in sorted(path for part in ("formparts", "tests") for path in (tree / part).rglob("*.py")):
        digest.update(path.relative_to(tree).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()[:16]


def _started(tree: Path, note: Path, count: int, tests: Sequence[str]) -> subprocess.Popen[bytes]:
    """One process that runs some of the tests."""
    hits = tree.parent / f"{note.stem}.hits"
    hits.write_bytes(bytes(max(count, 1)))
    environment = surroundings(tree, "record", MUTATION_REACHED=str(hits), MUTATION_OUT=str(note))
    command = [*pytest_command(tree, note.stem), *tests]
    with open(note.with_suffix(".log"), "wb") as log:
        return subprocess.Popen(command, cwd=tree, env=environment, stdout=log, stderr=log)


def pytest_command(tree: Path, name: str) -> list[str]:
    """The pytest that knows the plugin; what tests write goes to a folder of the process's own."""
    base = f"--basetemp={tree.parent / name}"
    settings = "addopts=--strict-markers --import-mode=importlib"  # the project names a plugin left out
    return [
        sys.executable, "-m", "pytest", "-q", "-p", "mutation_plugin", "-p", "no:cacheprovider", "-o", settings, base,
    ]  # fmt: skip


def surroundings(tree: Path, mode: str, **more: str) -> dict[str, str]:
    """The environment of a process of the tool; numerics in one thread, as threads do not live through a fork."""
    single = {f"{name}_NUM_THREADS": "1" for name in ("OMP", "OPENBLAS", "MKL")}
    return {
        **os.environ,
        **single,
        "PYTHONPATH": os.pathsep.join([str(tree), str(INSIDE)]),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",  # none is needed, and each takes its time to import
        "MUTATION_MODE": mode,
        **more,
    }


def _gathered(places: list[Statement], noted: list[dict[str, object]]) -> Reach:
    """Turn round what each test reaches into who reaches each statement."""
    seconds: dict[str, float] = {}
    by_statement: dict[Statement, list[str]] = {}
    at_import: set[Statement] = set()
    failed: list[str] = []
    for part in noted:
        tests: dict[str, tuple[float, list[int]]] = part["tests"]  # type: ignore[assignment]
        at_import |= {places[number] for number in tests.pop("import")[1]}
        failed += part["failed"]  # type: ignore[call-overload]
        for test, (took, reached) in tests.items():
            seconds[test] = took
            for number in reached:
                by_statement.setdefault(places[number], []).append(test)
    return Reach(seconds, by_statement, frozenset(at_import), tuple(failed))
