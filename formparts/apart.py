"""Run work on foreign files in separate processes that are reused for one file after another.

A broken file may bring the solid kernel down, or hang it: its process goes with it, and the next file has a new one.
"""

from __future__ import annotations

import os
import pickle
import re
import subprocess
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from queue import SimpleQueue
from threading import Timer
from typing import IO, Any, Final, TypeVar

from formparts.child_process import (
    ALONE,
    MEMORY,
    WORKING,
    child_environment,
    is_apart,
    limited,
    unreadable,
    work_here,
)
from formparts.errors import FormpartsError, InputError, OwnFaultError
from formparts.kernel import own_process

Found = TypeVar("Found")
Work = Callable[[Path], Found]
PATIENCE: Final = 900.0
"""Time after which a file is given up [s], however busy the machine is."""
_HEAD: Final = 8
"""Bytes before each message that hold its length."""


def each_apart(
    work: Work[Found], paths: Sequence[Path], jobs: int = 1
) -> tuple[Found | FormpartsError | OSError, ...]:
    """
    Run a function on each of several files, in separate processes, under limits of time and memory.

    Parameters
    ----------
    work : callable
        A function of a module, or a `functools.partial` of one; what it gives must go through pickle.
    paths : sequence of Path
        The files.
    jobs : int [-]
        So many at once.

    Returns
    -------
    tuple
        What was found, or the error that came of it, in the order of the files.
    """
    return tuple(_answers(work, paths, max(1, min(jobs, len(paths)))))


def one_apart(work: Work[Found], path: Path) -> Found:
    """Run a function on one file in a separate process; its error is raised here."""
    (answer,) = each_apart(work, [path])
    if isinstance(answer, (FormpartsError, OSError)):
        raise answer
    return answer


def _answers(work: Work[Any], paths: Sequence[Path], jobs: int) -> list[Any]:
    """Distribute the files to as many processes as may work at once; a process already apart does the work itself."""
    if is_apart():
        return [found_by(work, path) for path in paths]
    idle: SimpleQueue[_Helper] = SimpleQueue()
    helpers = [_Helper() for _ in range(jobs)]
    for helper in helpers:
        idle.put(helper)
    try:
        if jobs == 1:
            return [helpers[0].answer(work, path) for path in paths]
        with ThreadPoolExecutor(jobs) as pool:
            return list(pool.map(partial(_by_one_of, idle, work), paths))
    finally:
        for helper in helpers:
            helper.end()


def _by_one_of(idle: SimpleQueue[_Helper], work: Work[Any], path: Path) -> Any:
    helper = idle.get()
    try:
        return helper.answer(work, path)
    finally:
        idle.put(helper)


class _Helper:
    """A process that works on one file after another, and a new one when it has died."""

    def __init__(self) -> None:
        self.process: subprocess.Popen[bytes] | None = None
        self.done = 0

    def answer(self, work: Work[Any], path: Path) -> Any:
        """Return its result; a file over which a reused process has died is given to a new one."""
        again = self.done > 0
        answer = self._asked(work, path)
        if answer is None:
            self.end()
            bound = f"in time and in {MEMORY / 1024**3:g} GB of memory"
            problem = f"the kernel broke down over it, or was not done with it {bound}"
            return self.answer(work, path) if again else unreadable(path, problem)
        found, stays = answer
        self.done += 1
        if not stays:
            self.end()
        return found

    def _asked(self, work: Work[Any], path: Path) -> tuple[Any, bool] | None:
        """Return its answer, and whether the process can be reused; None when it died or took too long."""
        process = self.process = self.process or _started()
        assert process.stdin is not None
        assert process.stdout is not None
        watch = Timer(PATIENCE, process.kill)
        watch.daemon = True
        watch.start()
        try:
            with suppress(BrokenPipeError):
                _send(process.stdin, (work, path))
            answer: tuple[Any, bool] | None = _received(process.stdout)
            return answer
        finally:
            watch.cancel()

    def end(self) -> None:
        if self.process is not None:
            self.process.kill()
            with suppress(BrokenPipeError):
                self.process.communicate()
        self.process, self.done = None, 0


def _started() -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "formparts.apart"]
    pipe = subprocess.PIPE
    return subprocess.Popen(
        command, stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL, env=child_environment()
    )


def _send(stream: IO[bytes], message: Any) -> None:
    content = pickle.dumps(message)
    stream.write(len(content).to_bytes(_HEAD, "big") + content)
    stream.flush()


def _received(stream: IO[bytes]) -> Any:
    """Return the next message; None when none is complete."""
    head = stream.read(_HEAD)
    size = int.from_bytes(head, "big")
    content = stream.read(size) if len(head) == _HEAD else b""
    return pickle.loads(content) if content and len(content) == size else None


def main() -> int:
    """Run in the separate process: one file after another, as long as any come."""
    work_here()
    orders, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    with open(os.devnull, "r+b") as nowhere:
        for stream in (0, 1):
            os.dup2(nowhere.fileno(), stream)
    while (order := _received(orders)) is not None:
        limited(order[1], WORKING)
        found = found_by(*order)
        _send(answers, (found, not _has_grown()))
    return 0


def found_by(work: Work[Any], path: Path) -> Any:
    """Return the function's result for a file; an error is a result too."""
    try:
        return work(path)
    except (FormpartsError, OSError) as error:
        return error
    except MemoryError:
        problem = f"it takes more than {MEMORY / 1024**3:g} GB of memory to work on it"
        return InputError(path.name, "file", "too large", problem, ALONE)
    except Exception as error:  # noqa: BLE001  an error in formparts must not be blamed on the file
        return OwnFaultError.of(path.name, error)


def _has_grown() -> bool:
    """True when this process has taken so much memory that the next file should have a new one."""
    try:
        # Not `ru_maxrss`: that begins with what the process had that started this one.
        told = Path("/proc/self/status").read_text(encoding="ascii", errors="replace")
    except OSError:  # not on this system
        return False
    peak = re.search(r"VmHWM:\s*(\d+) kB", told)
    return peak is not None and int(peak[1]) * 1024 > MEMORY // 2


if __name__ == "__main__":
    sys.exit(own_process(main))
