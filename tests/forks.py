"""Reading foreign files in a fork of the tests' own process, which has the kernel already: to load it takes seconds."""

from __future__ import annotations

import os
import signal
import time
import warnings
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

from formparts import child_process

IN_A_NEW_PROCESS = child_process._run
"""As it is for everybody else: see the fixture `in_a_new_process`."""


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
            raise child_process._unreadable(path, f"the kernel was not done with it after {time_limit:g} s")
        time.sleep(0.002)
