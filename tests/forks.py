"""Processes of formparts as forks of the tests' process, which has its libraries already: loading them takes long."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import threading
import time
import traceback
import warnings
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import IO, NoReturn

from formparts import apart, child_process
from formparts.families import pool

BY_HELPERS = apart._answers
IN_A_NEW_PROCESS = child_process.run_module
"""Both as they are for everybody else: see the fixture `in_a_new_process`."""


def in_a_fork(module: str, path: Path, words: Sequence[str], time_limit: float) -> None:
    """The same module with the same words and limits, as separate: it may break down or hang."""
    main = import_module(module).main
    with warnings.catch_warnings():  # other threads of the tests' process only wait for their orders
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if not child:
        try:
            sink = os.open(os.devnull, os.O_WRONLY)
            os.dup2(sink, 1)
            os.dup2(sink, 2)
            main(list(words))
        finally:
            os._exit(0)
    end = time.monotonic() + time_limit
    while os.waitpid(child, os.WNOHANG) == (0, 0):
        if time.monotonic() > end:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            raise child_process.unreadable(path, f"the kernel was not done with it after {time_limit:g} s")
        time.sleep(0.002)


class Forked:
    """A fork of the tests' process that does the work of a module's `main`, held like a subprocess with two pipes."""

    def __init__(self, module: str, words: IO[bytes]) -> None:
        main = import_module(module).main
        tasks, orders = os.pipe()
        answers, said = os.pipe()
        with warnings.catch_warnings():  # other threads of the tests' process only wait for its answers
            warnings.simplefilter("ignore", DeprecationWarning)
            self.pid = os.fork()
        if not self.pid:
            _worked(main, tasks, said, words.fileno())
        os.close(tasks)
        os.close(said)
        self.stdin, self.stdout = (
            os.fdopen(orders, "w", encoding="utf-8"),
            os.fdopen(answers, encoding="utf-8"),
        )
        self._lock = threading.Lock()
        self.returncode: int | None = None

    def poll(self) -> int | None:
        """Its exit status once it has ended; a signal's number with a minus, as subprocess has it."""
        with self._lock:
            if self.returncode is None and (found := os.waitpid(self.pid, os.WNOHANG)) != (0, 0):
                self.returncode = os.waitstatus_to_exitcode(found[1])
            return self.returncode

    def wait(self) -> int:
        while (code := self.poll()) is None:
            time.sleep(0.002)
        return code

    def kill(self) -> None:
        with self._lock:
            if self.returncode is None:
                os.kill(self.pid, signal.SIGKILL)


def _worked(main: Callable[[], int], *streams: int) -> NoReturn:
    """In the fork: its streams are the three given, nothing else stays open, and it ends with its work."""
    try:
        for place, stream in enumerate([os.dup(stream) for stream in streams]):
            os.dup2(stream, place)
        os.closerange(3, 1000)
        sys.stdin, sys.stdout, sys.stderr = (open(place, mode) for place, mode in enumerate("rww"))  # noqa: SIM115
        main()
    except BaseException:  # noqa: BLE001  a fork of the tests must never go on with the tests
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(1)


def worker_in_a_fork(module: str = "formparts.families.worker") -> pool.Worker:
    """As `pool.started`, but with everything imported already: to start Python takes half a second of each worker."""
    words = tempfile.TemporaryFile()  # noqa: SIM115  `pool.ended` closes it
    return pool.Worker(Forked(module, words), words)  # type: ignore[arg-type]  it has what is asked of a process
