"""A worker process: tasks arrive on one pipe, a line of JSON each, and answers leave on another."""

from __future__ import annotations

import json
import os
import queue
import sys
import threading
from pathlib import Path
from typing import TextIO

from formparts.families.building import answered
from formparts.families.seen import FilesSeen
from formparts.kernel import own_process


def memory_mb() -> float:
    """Return the memory of this process [MB]; 0 where the system does not report it."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6
    except (OSError, ValueError, IndexError, AttributeError):
        return 0.0


def main() -> int:
    """Answer tasks as long as they come; end at once when the sender has gone."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    # What a recipe prints must not get between the answers.
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    seen = FilesSeen()
    sys.addaudithook(seen.hook)
    tasks = listening(sys.stdin)
    while True:
        found = answered(json.loads(tasks.get()), seen)
        answers.write(json.dumps({"answers": found, "memory_mb": memory_mb()}) + "\n")
        answers.flush()


def listening(source: TextIO) -> queue.SimpleQueue[str]:
    """Return the lines of a stream as they come, in a queue; its end ends the process."""
    tasks: queue.SimpleQueue[str] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(source, tasks), daemon=True).start()
    return tasks


def _listen(source: TextIO, tasks: queue.SimpleQueue[str]) -> None:
    """Pass tasks on; the end of them ends the process, even in the middle of a variant."""
    for line in source:
        tasks.put(line)
    os._exit(0)


if __name__ == "__main__":
    raise SystemExit(own_process(main))
