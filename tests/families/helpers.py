"""What the tests of families share."""

from __future__ import annotations

import atexit
import csv
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SAMPLES = Path(__file__).with_name("samples.py")
STRIP, TROUBLE = f"{SAMPLES}:strip", f"{SAMPLES}:trouble"


def command(*words: str | Path) -> list[str]:
    """The command `formparts family`, run by this interpreter."""
    return [sys.executable, "-m", "formparts", "family", *map(str, words)]


@cache
def package() -> Path:
    """A copy of the library: a family is built anew when its sources change, also while tests are running."""
    folder = Path(tempfile.mkdtemp(prefix="formparts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    shutil.copytree(ROOT / "formparts", folder / "formparts", ignore=shutil.ignore_patterns("__pycache__"))
    return folder


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(package())}


def ran(*words: str | Path, path: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run it to its end; modules are found in `path` too."""
    env = environment()
    if path is not None:
        env["PYTHONPATH"] += f"{os.pathsep}{path}"
    return subprocess.run(
        command(*words),
        capture_output=True,
        text=True,
        env=env,
        cwd=package(),
        check=False,
        timeout=300,
    )


def started(*words: str | Path) -> subprocess.Popen[str]:
    """Start it, and go on."""
    return subprocess.Popen(
        command(*words),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(),
        cwd=package(),
    )


def csv_rows(folder: Path) -> list[dict[str, str]]:
    """`family.csv`, read by the standard library."""
    with (folder / "family.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def ledger_rows(folder: Path) -> dict[str, dict[str, Any]]:
    """The ledger, read by SQLite alone; nothing while it is not there yet."""
    path = folder / "family.sqlite"
    if not path.exists():
        return {}
    with closing(sqlite3.connect(path, timeout=10)) as book:
        book.row_factory = sqlite3.Row
        try:
            return {row["name"]: dict(row) for row in book.execute("SELECT * FROM variant")}
        except sqlite3.OperationalError:
            return {}


def contents(folder: Path) -> dict[str, str]:
    """A hash of every file of a family, but of the ledger and the lock; the table without its times."""
    found = {}
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.name not in (
            "family.sqlite",
            ".family.lock",
            ".family.lock-journal",
            "family.csv",
        ):
            found[path.relative_to(folder).as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    found["family.csv"] = repr([timeless(row) for row in csv_rows(folder)])
    return found


def timeless(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != "seconds"}


def whole(folder: Path) -> None:
    """Nothing half-written: no draft, no working folder, and of every finished variant just its files, as noted."""
    rows = ledger_rows(folder)
    names = {path.name for path in folder.iterdir()}
    ours = {
        "family.csv",
        "family.html",
        "family.sqlite",
        "family.sqlite-journal",
        ".family.lock",
        ".family.work",
    }
    ours.add(".family.lock-journal")
    folders = {row["folder"] for row in rows.values() if row["state"] == "made"}
    for row in rows.values():
        if row["state"] == "made":
            noted = json.loads(row["files"])
            place = folder / row["folder"]
            assert {path.name for path in place.iterdir()} == set(noted)
            for name, digest in noted.items():
                assert hashlib.sha256((place / name).read_bytes()).hexdigest() == digest
    # A folder may have come to its place just before its row was to be written: then it is whole.
    for name in names - ours - folders:
        assert all(not path.name.startswith(".") for path in (folder / name).iterdir())
