"""Killed at any moment, or out of room: nothing finished is lost or built again, nothing is half-written."""

from __future__ import annotations

import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.families.helpers import (
    STRIP,
    command,
    contents,
    environment,
    ledger_rows,
    package,
    ran,
    started,
    whole,
)

COUNT = 25
SEED = 20240817


def grid(count: int) -> tuple[str, ...]:
    """So many strips, 1 mm apart."""
    return ("--grid", f"length=60..{59 + count}mm:1", "--only", "blank,json", "--workers", "2")


def built(out: Path, count: int) -> Path:
    """Build a family in one go."""
    done = ran(STRIP, *grid(count), "--out", out)
    assert done.returncode == 0, done.stderr
    return out


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same family, built in one go."""
    return built(tmp_path_factory.mktemp("undisturbed") / "out", COUNT)


@pytest.mark.slow
def test_killed_at_random_moments(undisturbed: Path, tmp_path: Path) -> None:
    assert_bears_kills(undisturbed, tmp_path, COUNT, 3)


@pytest.mark.soak
def test_killed_at_many_moments(tmp_path: Path) -> None:
    assert_bears_kills(built(tmp_path / "undisturbed", 129), tmp_path / "out", 129, 20)


def assert_bears_kills(undisturbed: Path, out: Path, count: int, moments: int) -> None:
    """
    Each run is killed (SIGKILL) after it has finished some more variants, at a moment drawn by lot; the last one ends.

    What the ledger had as finished keeps the very time that was noted with it, so it was not built again; the files
    are those of the undisturbed family, byte for byte.
    """
    lot = random.Random(SEED)
    noted: dict[str, float] = {}
    killed = 0
    for _ in range(moments):
        run = started(STRIP, *grid(count), "--out", out)
        _wait_until(lambda: len(ledger_rows(out)), len(noted) + lot.randint(0, 3), run)
        time.sleep(lot.uniform(0.0, 0.01))
        killed += run.poll() is None
        run.send_signal(signal.SIGKILL)
        run.communicate()
        rows = ledger_rows(out)
        whole(out)
        assert {name: rows[name]["seconds"] for name in noted} == noted
        noted = {name: row["seconds"] for name, row in rows.items()}
    assert killed == moments, f"{moments - killed} runs had ended before they were killed; seed {SEED}"
    last = ran(STRIP, *grid(count), "--out", out)
    assert last.returncode == 0, last.stderr
    assert f"{count} made ({len(noted)} of them were there)" in last.stdout
    assert {name: row["seconds"] for name, row in ledger_rows(out).items() if name in noted} == noted
    assert contents(out) == contents(undisturbed)
    assert not (out / ".family.work").exists()


def _wait_until(count, wanted: int, run: subprocess.Popen[str]) -> None:
    deadline = time.monotonic() + 60
    while count() < wanted and run.poll() is None and time.monotonic() < deadline:
        time.sleep(0.01)


@contextmanager
def small_disk(folder: Path, size: str) -> Iterator[bool]:
    """A memory disk of a size in a folder; False where none can be mounted."""
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", folder], check=False)
    try:
        yield mounted.returncode == 0
    finally:
        if mounted.returncode == 0:
            subprocess.run(["umount", "-l", folder], check=True)


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="memory disks are mounted as Linux does it")
def test_a_full_disk(undisturbed: Path, tmp_path: Path) -> None:
    """
    The run ends with one line; what is finished stays, nothing is half-written; with more room it goes on.

    Where no memory disk can be mounted, the largest size of a file is limited instead: then the ledger finds no room.
    """
    out = tmp_path / "disk"
    out.mkdir()
    with small_disk(out, "200k") as mounted:
        limit = None if mounted else (lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000)))
        full = subprocess.run(
            command(STRIP, *grid(COUNT), "--out", out), capture_output=True, text=True, env=environment(), check=False,
            cwd=package(), preexec_fn=limit,
        )  # fmt: skip
        assert full.returncode == 2, full.stderr
        assert "the disk is full" in full.stderr
        assert full.stderr.count("\n") == 1
        kept = ledger_rows(out)
        assert 0 < len(kept) < COUNT
        assert all(row["state"] == "made" for row in kept.values())
        whole(out)
        assert not (out / ".family.work").exists()
        if mounted:
            subprocess.run(["mount", "-o", "remount,size=50m", out], check=True)
        last = ran(STRIP, *grid(COUNT), "--out", out)
        assert last.returncode == 0, last.stderr
        assert f"({len(kept)} of them were there)" in last.stdout
        assert contents(out) == contents(undisturbed)


def test_the_comparison_can_fail(undisturbed: Path, tmp_path: Path) -> None:
    """The measure of the tests above sees one altered byte, a lost file, and a draft that was left."""
    copy = tmp_path / "copy"
    shutil.copytree(undisturbed, copy)
    whole(copy)
    assert contents(copy) == contents(undisturbed)
    victim = next(copy.glob("*/*.dxf"))
    kept = victim.read_bytes()
    victim.write_bytes(kept + b" ")
    assert contents(copy) != contents(undisturbed)
    with pytest.raises(AssertionError):
        whole(copy)
    victim.write_bytes(kept)
    (victim.parent / ".draft.dxf").write_bytes(b"")
    with pytest.raises(AssertionError):
        whole(copy)
