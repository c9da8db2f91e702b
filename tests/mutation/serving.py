"""The tests against the faults: a warm process in a copied tree for each job, asked one fault after the other."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.mutation.mutants import Mutant
from tests.mutation.reach import Reach, pytest_command, surroundings

LEFT_BEHIND = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", "out", "dist", "*.egg-info")
SLACK = 10.0
"""What each test may take beyond a multiple of its usual time, by the processor's clock [s]."""
TIMES = 5.0
OVERHEAD = 0.002
"""What a test costs beside itself [s]."""
PATIENCE = 1800.0
"""
What all tests together may take beyond that multiple, by the clock on the wall [s].

Only against tests that wait for ever: on a busy machine a fault that is out of time counts as noticed, and is not.
"""


@dataclass(frozen=True)
class Outcome:
    """What became of a fault: `killed`, `timed out` (which counts as killed), `survived` or `unreached`."""

    mutant: Mutant
    state: str
    by: str = ""

    @property
    def noticed(self) -> bool:
        """True when a test failed, or came to no end."""
        return self.state in ("killed", "timed out")


@dataclass(frozen=True)
class Server:
    """One warm process and its tree."""

    tree: Path
    process: subprocess.Popen[bytes]
    ask: int
    answers: Any

    def asked(self, what: dict[str, Any]) -> dict[str, Any]:
        """Ask for one fault."""
        os.write(self.ask, (json.dumps(what) + "\n").encode())
        return self.answer()

    def answer(self) -> dict[str, Any]:
        """The next line that the process sends."""
        line = self.answers.readline()
        if not line:
            raise SystemExit(f"the warm process has ended: see {self.tree.parent}/{self.tree.name}.log")
        found: dict[str, Any] = json.loads(line)
        return found


def copied(root: Path, to: Path) -> Path:
    """A copy of a tree, without what is made from it."""
    shutil.copytree(root, to, ignore=LEFT_BEHIND)
    return to


def serving(tree: Path, files: Sequence[str], tests: Sequence[str]) -> Server:
    """Start a warm process that has imported these files and tests."""
    ask_out, ask_in = os.pipe()
    answer_out, answer_in = os.pipe()
    modules = json.dumps(
        [file.removesuffix(".py").removesuffix("/__init__").replace("/", ".") for file in files]
    )
    environment = surroundings(
        tree, "serve", MUTATION_ASK=str(ask_out), MUTATION_ANSWER=str(answer_in), MUTATION_PRELOAD=modules
    )
    command = [*pytest_command(tree, f"{tree.name}_serve"), *tests]
    with open(tree.parent / f"{tree.name}.log", "wb") as log:
        process = subprocess.Popen(
            command, cwd=tree, env=environment, stdout=log, stderr=log, pass_fds=(ask_out, answer_in)
        )
    os.close(ask_out)
    os.close(answer_in)
    server = Server(tree, process, ask_in, os.fdopen(answer_out, encoding="utf-8"))
    server.answer()
    return server


def stopped(server: Server) -> None:
    """Let a warm process end."""
    os.close(server.ask)
    server.answers.close()
    server.process.wait()


def chosen(reach: Reach, mutant: Mutant, budget: float) -> list[str]:
    """
    The tests to ask about a fault, the likeliest first, until their time is used up.

    Those of the room's own folder come first, and quick ones before slow ones.
    """
    room = mutant.file.split("/")[1].removesuffix(".py")
    reaching = reach.tests(mutant.file, mutant.statement)
    in_order = sorted(reaching, key=lambda test: (f"/{room}/" not in test, reach.seconds[test], test))
    picked, spent = [], 0.0
    for test in in_order:
        spent += reach.seconds[test] + OVERHEAD
        if spent <= budget or not picked:
            picked.append(test)
    return picked


def tried(server: Server, reach: Reach, mutant: Mutant, budget: float) -> Outcome:
    """Put one fault into a server's tree, run the tests, and take it out again."""
    tests = chosen(reach, mutant, budget)
    if not tests:
        return Outcome(mutant, "unreached")
    path = server.tree / mutant.file
    source = path.read_bytes()
    path.write_bytes(mutant.applied(source))
    try:
        outcome = _warm(server, reach, mutant, tests)
        held = mutant.statement is not None and (mutant.file, *mutant.statement) in reach.at_import
        if outcome is None or (outcome.state == "survived" and held):
            outcome = _fresh(server.tree, reach, mutant, tests)
        return outcome
    finally:
        path.write_bytes(source)


def _warm(server: Server, reach: Reach, mutant: Mutant, tests: list[str]) -> Outcome | None:
    """The tests in a fork of the warm process; None where the fault cannot be put into it."""
    if mutant.function is None:
        return None
    limits = {test: SLACK + TIMES * reach.seconds[test] for test in tests}
    answer = server.asked(
        {
            "file": mutant.file,
            "function": mutant.function,
            "tests": tests,
            "limits": limits,
            "limit": PATIENCE + TIMES * sum(reach.seconds[test] for test in tests),
        }
    )
    return None if answer["state"] == "fresh" else Outcome(mutant, answer["state"], answer.get("by", ""))


def _fresh(tree: Path, reach: Reach, mutant: Mutant, tests: list[str]) -> Outcome:
    """The tests in a process that imports the fault."""
    names = tree.parent / f"{tree.name}_tests.json"
    names.write_text(json.dumps(tests), encoding="utf-8")
    files = list(dict.fromkeys(test.split("::")[0] for test in tests))
    command = [*pytest_command(tree, f"{tree.name}_fresh"), "-x", *files]
    environment = surroundings(tree, "fresh", MUTATION_TESTS=str(names))
    limit = PATIENCE + TIMES * sum(reach.seconds[test] for test in tests)
    try:
        done = subprocess.run(
            command, cwd=tree, env=environment, capture_output=True, timeout=limit, check=False
        )
    except subprocess.TimeoutExpired:
        return Outcome(mutant, "timed out")
    return Outcome(
        mutant, "killed" if done.returncode else "survived", f"pytest ended with {done.returncode}"
    )


def all_tried(
    servers: Sequence[Server],
    reach: Reach,
    faults: Sequence[Mutant],
    budget: float,
    minutes: float,
    told: Callable[[Outcome], None],
) -> list[Outcome]:
    """Try faults until all are done or the time is up, one at a time in each server."""
    todo, outcomes, lock = list(reversed(faults)), [], threading.Lock()
    until = time.monotonic() + 60.0 * minutes

    def work(server: Server) -> None:
        while time.monotonic() < until:
            with lock:
                if not todo:
                    return
                mutant = todo.pop()
            outcome = tried(server, reach, mutant, budget)
            with lock:
                outcomes.append(outcome)
                told(outcome)

    threads = [threading.Thread(target=work, args=(server,)) for server in servers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes
