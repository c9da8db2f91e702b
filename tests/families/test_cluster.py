"""A family on a cluster: a real scheduler and two worker processes, one of which is killed in the middle."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from formparts import InputError, family, find_recipe
from tests.families.helpers import ROOT, STRIP, contents, whole

QUICK = ("blank", "json")
COUNT = 24


def program(folder: Path, name: str, *words: str) -> subprocess.Popen[bytes]:
    """Start a program of the cluster, as one would by hand; what it says goes to a file."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "TMPDIR": str(folder),
    }
    with (folder / f"{name}.log").open("wb") as log:
        return subprocess.Popen(
            [sys.executable, "-m", "dask", *words], stdout=log, stderr=log, cwd=folder, env=environment
        )


def said(folder: Path, name: str, pattern: str) -> str:
    """Wait for output of a program, and return it."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        found = re.search(pattern, (folder / f"{name}.log").read_text(errors="replace"))
        if found:
            return found[1]
        time.sleep(0.05)
    pytest.fail(
        f"{name} never said {pattern}: {(folder / f'{name}.log').read_text(errors='replace')[-2000:]}"
    )


@pytest.fixture
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers, each a process without a nanny, so that a killed one stays away."""
    folder = tmp_path_factory.mktemp("cluster")
    running = [
        program(folder, "scheduler", "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
    ]
    try:
        address = said(folder, "scheduler", r"Scheduler at:\s+(tcp://\S+)")
        options = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--memory-limit", "0")
        for name in ("one", "two"):
            running.append(program(folder, name, "worker", address, *options, "--name", name))
        for name in ("one", "two"):
            said(folder, name, r"(Registered to)")
        yield address, running[1:]
    finally:
        for each in reversed(running):
            each.kill()
            each.wait()


@pytest.mark.slow
@pytest.mark.filterwarnings("default")  # the cluster's own libraries warn of each other
def test_a_machine_is_lost_in_the_middle(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    """Its variants are made by the other one; the folder is the same as that of a run on this machine, file by file."""
    address, workers = cluster
    rows = [{"name": f"v{n}", "length": 60 + n} for n in range(COUNT)]
    outcomes = []
    for outcome in family(find_recipe(STRIP), rows, tmp_path / "far", only=QUICK, cluster=address):
        outcomes.append(outcome)
        if len(outcomes) == 4:
            workers[0].send_signal(signal.SIGKILL)
    assert [outcome.error for outcome in outcomes if outcome.state != "made"] == []
    assert len(outcomes) == COUNT
    assert workers[0].wait() == -signal.SIGKILL
    whole(tmp_path / "far")
    list(family(find_recipe(STRIP), rows, tmp_path / "near", only=QUICK, workers=1))
    assert contents(tmp_path / "far") == contents(tmp_path / "near")
    again = list(family(find_recipe(STRIP), rows, tmp_path / "far", only=QUICK, workers=1))
    assert [outcome.kept for outcome in again] == [True] * COUNT


def test_no_scheduler(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line, and soon."""
    from formparts.families import cluster

    monkeypatch.setattr(cluster, "PATIENCE", 0.5)
    with pytest.raises(InputError, match="no scheduler answers"):
        list(family(find_recipe(STRIP), [{"name": "a"}], tmp_path, only=QUICK, cluster="tcp://127.0.0.1:9"))
    assert threading.active_count() < 20


def test_files_are_held_against_their_hashes(tmp_path: Path) -> None:
    """A file that was damaged on its way, or that would go elsewhere, is not taken."""
    import hashlib

    from formparts.families.cluster import _unpacked

    good = {"a.json": hashlib.sha256(b"{}").hexdigest()}
    answer = {"state": "made", "files": good, "error": ""}
    assert _unpacked({**answer, "content": {"a.json": b"{}"}}, tmp_path / "a")["state"] == "made"
    assert "damaged" in _unpacked({**answer, "content": {"a.json": b"{ }"}}, tmp_path / "b")["error"]
    out = {"../a.json": hashlib.sha256(b"{}").hexdigest()}
    found = _unpacked({**answer, "files": out, "content": {"../a.json": b"{}"}}, tmp_path / "c")
    assert found["state"] == "failed"
    assert not (tmp_path / "a.json").exists()


@dataclass
class Fetched:
    """What a scheduler's client tells of a task, in the words of dask.distributed's Future."""

    status: str
    error: BaseException | None = None

    def exception(self) -> BaseException | None:
        """Waits until the task is done, as its documentation says: what was lost is then finished again."""
        self.status = "finished" if self.status == "lost" else self.status
        return self.error

    def cancelled(self) -> bool:
        return self.status == "cancelled"

    def result(self) -> list[dict[str, object]]:
        assert self.status == "finished"
        return [{"state": "made", "files": {}, "content": {}, "error": ""}]


@pytest.mark.parametrize(
    ("future", "state", "said"),
    [
        (Fetched("finished"), "made", ""),
        (Fetched("lost"), "made", ""),
        (Fetched("cancelled"), "failed", "the cluster lost it: cancelled"),
        (Fetched("error", OSError("no\nroom")), "failed", "the cluster lost it: no room"),
    ],
)
def test_a_result_that_went_with_its_machine_is_waited_for(
    future: Fetched, state: str, said: str, tmp_path: Path
) -> None:
    """A machine may die when its answer is ready and not yet fetched: the scheduler has it made again."""
    from formparts.families.cluster import _received

    (answer,) = _received(future, {"variants": [{"into": str(tmp_path / "a")}]})
    assert (answer["state"], answer["error"]) == (state, said)
