"""Worker processes: started anew (never forked), watched, replaced when they die, hang or have grown."""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from formparts.errors import InputError
from formparts.families.building import Answer

RECYCLED_AFTER = 400
"""A worker is replaced after this many variants; starting one takes about two seconds."""

MOST_MEMORY_MB = 1500.0
"""... or when it has grown to this. A fresh one that has built a part holds about 400 MB."""

_PACKAGES = Path(__file__).resolve().parents[2]
_LONGEST_WORDS = 300

Task = Mapping[str, Any]
Ready = tuple[int, list[Answer]] | OSError


@dataclass
class Worker:
    """One process that answers tasks, and what it has done so far."""

    process: subprocess.Popen[str]
    words: IO[bytes]
    done: int = 0
    memory_mb: float = 0.0
    lost: str = field(default="")

    @property
    def worn(self) -> bool:
        """True when the worker is due for replacement."""
        return bool(self.lost) or self.done >= RECYCLED_AFTER or self.memory_mb > MOST_MEMORY_MB


def started(module: str = "formparts.families.worker") -> Worker:
    """Start a worker: a fresh interpreter with one thread for each numerical library."""
    words = tempfile.TemporaryFile()  # noqa: SIM115  it lives as long as the worker, and `ended` closes it
    paths = [str(_PACKAGES), *(path for path in sys.path if path)]
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    process = subprocess.Popen(
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=words,
        encoding="utf-8",
        env={**os.environ, **threads, "PYTHONPATH": os.pathsep.join(paths)},
        start_new_session=True,  # an interrupt from the keyboard is for us, and we stop the workers
    )
    return Worker(process, words)


def asked(worker: Worker, task: Task, limit: float) -> list[Answer]:
    """
    Give a worker one task, and wait for the answers.

    Parameters
    ----------
    worker : Worker
        Its `lost` says why there will be no more answers from it.
    task : mapping
        As for `building.answered`.
    limit : float [s]
        It is ended when it takes longer than this for each variant.

    Returns
    -------
    list of dict
        One for each variant; a worker that was lost gives each the reason as its error.
    """
    count = len(task["variants"])
    line = told(worker, json.dumps(task), limit * count, limit)
    worker.done += count
    if line:
        found = json.loads(line)
        worker.memory_mb = found["memory_mb"]
        return list(found["answers"])
    seconds = limit if worker.lost.startswith(_LATE) else 0.0
    return [{"state": "failed", "error": worker.lost, "seconds": seconds}] * count


_LATE = "it took longer than"


def told(worker: Worker, text: str, limit: float, said: float | None = None) -> str:
    """Give a worker one line, and wait for its line.

    Parameters
    ----------
    worker : Worker
        Its `lost` says why there will be no more answers from it.
    text : str
        The line.
    limit : float [s]
        The worker is ended when it takes longer.
    said : float, optional [s]
        The limit reported to the user, if different.

    Returns
    -------
    str
        Nothing when the worker was lost.
    """
    late = threading.Event()
    timer = threading.Timer(limit, _end_late, (worker, late))
    timer.start()
    try:
        line = _exchanged(worker, text)
    finally:
        timer.cancel()
    if line.endswith("\n"):  # a worker that dies while it writes leaves an incomplete line
        if late.is_set():  # it answered at the last moment and was ended all the same: no more tasks for it
            worker.lost = "it was stopped"
        return line
    stopped = f"{_LATE} {limit if said is None else said:g} s and was stopped"
    worker.lost = stopped if late.is_set() else _death(worker)
    return ""


def _exchanged(worker: Worker, text: str) -> str:
    """Send a line and read one; nothing when the worker is no longer there."""
    assert worker.process.stdin is not None
    assert worker.process.stdout is not None
    try:
        worker.process.stdin.write(text + "\n")
        worker.process.stdin.flush()
        return worker.process.stdout.readline()
    except OSError:
        return ""


def _end_late(worker: Worker, late: threading.Event) -> None:
    late.set()
    worker.process.kill()


def _death(worker: Worker) -> str:
    """Return why a worker died: its signal or code, and its last lines of output."""
    code = worker.process.wait()
    how = f"signal {signal.Signals(-code).name}" if code < 0 else f"exit code {code}"
    worker.words.seek(0)
    lines = worker.words.read().decode("utf-8", "replace").strip().splitlines()
    last = f": {lines[-1].strip()[:_LONGEST_WORDS]}" if lines else ""
    return f"its worker process died ({how}){last}"


def ended(worker: Worker) -> None:
    """End a worker and everything that was opened for it."""
    worker.process.kill()
    worker.process.wait()
    for pipe in (worker.process.stdin, worker.process.stdout, worker.words):
        if pipe is not None:
            try:
                pipe.close()
            except OSError:
                continue  # what could not be sent to a dead worker is of no use to anybody


def answers(tasks: Sequence[Task], workers: int, limit: float) -> Iterator[tuple[int, list[Answer]]]:
    """
    Have tasks done by several workers at once.

    Parameters
    ----------
    tasks : sequence of mapping
        As for `building.answered`.
    workers : int [-]
        How many processes.
    limit : float [s]
        Longest time for one variant.

    Yields
    ------
    (int, list of dict)
        Number of the task, and its answers, in the order in which they are ready. When the iterator is closed, the
        workers are ended.

    Raises
    ------
    InputError
        No process can be started.
    """
    waiting: queue.SimpleQueue[int] = queue.SimpleQueue()
    for number in range(len(tasks)):
        waiting.put(number)
    ready: queue.SimpleQueue[Ready] = queue.SimpleQueue()
    at_work: dict[int, Worker] = {}
    stop = threading.Event()
    threads = [
        threading.Thread(
            target=_serve, args=(place, tasks, waiting, ready, at_work, stop, limit), daemon=True
        )
        for place in range(min(workers, len(tasks)))
    ]
    for thread in threads:
        thread.start()
    try:
        for _ in tasks:
            found = ready.get()
            if isinstance(found, OSError):
                problem = f"no worker process can be started ({found.strerror})"
                raise InputError("family", "workers", workers, problem, "take fewer") from found
            yield found
    finally:
        stop.set()
        for worker in list(at_work.values()):
            worker.process.kill()
        for thread in threads:
            thread.join()


def _serve(
    place: int,
    tasks: Sequence[Task],
    waiting: queue.SimpleQueue[int],
    ready: queue.SimpleQueue[Ready],
    at_work: dict[int, Worker],
    stop: threading.Event,
    limit: float,
) -> None:
    """Keep one worker busy, and replace it when it is worn, until nothing waits."""
    try:
        while not stop.is_set():
            try:
                number = waiting.get_nowait()
            except queue.Empty:
                return
            worker = at_work.get(place)
            if worker is None or worker.worn:
                if worker is not None:
                    ended(worker)
                worker = at_work[place] = started()
                if stop.is_set():
                    return
            ready.put((number, asked(worker, tasks[number], limit)))
    except OSError as error:
        ready.put(error)
    finally:
        if place in at_work:
            ended(at_work[place])
