"""What a user waits for before anything happens: imports, commands that need no solid; and the memory of one riser."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator

REPEATS = 7
IMPORT_AT_MOST, COMMAND_AT_MOST = 0.15, 0.3
"""Seconds."""
NO_KERNEL = (
    ("--help",),
    ("list",),
    ("describe", "ring_riser"),
    ("check", "ring_riser", "--help"),
    ("make", "ring_riser", "--set", "rise=-1"),
)
KEPT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""Compiled modules are kept, as an install has them."""


def seconds(*command: str) -> float:
    """Median time of a whole process."""

    def once(words: tuple[str, ...]) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], capture_output=True, check=False, env=KEPT)
        return time.perf_counter() - start

    once(command)
    return statistics.median(once(command) for _ in range(REPEATS))


def run() -> Iterator[dict[str, object]]:
    """Whole processes, beside an interpreter that does nothing; memory of a child that makes one riser."""
    idle = seconds("-c", "pass")
    yield {"benchmark": "python -c pass", "median_s": idle}
    spent = seconds("-c", "import formparts") - idle
    yield {"benchmark": "import formparts", "median_s": spent, "at most": IMPORT_AT_MOST}
    for words in NO_KERNEL:
        taken = seconds("-m", "formparts", *words)
        yield {"benchmark": "formparts " + " ".join(words), "median_s": taken, "at most": COMMAND_AT_MOST}
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [sys.executable, "-m", "formparts", "make", "ring_riser", "--out", folder],
            capture_output=True, check=True,
        )  # fmt: skip
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    yield {"benchmark": "memory of making one riser, all files", "peak_mb": peak / 1e6}
