"""Processor time and memory of a whole `make`: the riser cold and warm, a tray of 500 slots, a panel of 5,000 holes."""

from __future__ import annotations

import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from formparts import find_recipe
from tests.benchmarks.startup import KEPT

COLD, WARM = 1.6, 0.25
"""Of the riser with all its files [s]."""
PEAK = 350.0
"""Of the riser [MB]."""
ROUNDS = 5
PANEL = """
from typing import Annotated
from formparts import Body, Count, Sheet, {builders}, recipe

@recipe
def panel(count: Annotated[int, Count("openings", 1, 20000)] = 5000) -> Body:
    \"\"\"Openings in rows.\"\"\"
    {body}
"""
ROUND = PANEL.format(
    builders="cut_opening, disc, grid, plate, rectangle",
    body="""side = int(count ** 0.5) + 1
    sheet = plate(Sheet(2, 2), rectangle(10 * side + 4, 10 * side + 4), "panel")
    return cut_opening(sheet, disc(6.6), places=grid(side, side, 10, 10)[:count], name="hole")""",
)
SLOTS = PANEL.format(
    builders="cut_opening, find_recipe, grid, obround",
    body="""tray = find_recipe("corner_tray")(length=460, width=8 * (count // 25) + 60, drain=1, drain_from_side=12)
    return cut_opening(tray, obround(12, 4), "corner_tray", grid(25, count // 25, 16, 8), "slot")""",
)


def whole(*command: str, most: float = math.inf) -> tuple[float, float]:
    """Processor time [s] and peak memory [MB] of a process; it is stopped at a limit of processor time."""
    limit = f"ulimit -t {math.ceil(most)}; " if math.isfinite(most) else ""
    words = ["sh", "-c", f'{limit}exec "$@"', "sh", sys.executable, *command]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=KEPT) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def medians(*command: str) -> tuple[float, float]:
    """Medians of both over a few runs, after one that is not counted."""
    whole(*command)
    spent, peaks = zip(*(whole(*command) for _ in range(ROUNDS)), strict=True)
    return statistics.median(spent), statistics.median(peaks)


def warm(folder: str) -> float:
    """Median processor time of a make in a process that has made one before [s]."""
    recipe, spent = find_recipe("ring_riser"), []
    for number in range(ROUNDS + 1):
        began = time.process_time()
        recipe.part(rise=12.0 + number).write_all(folder, overwrite=True)
        spent.append(time.process_time() - began)
    return statistics.median(spent[1:])


def run() -> Iterator[dict[str, object]]:
    """Whole processes first, then one process warm; how each stage grows is `growth`."""
    with tempfile.TemporaryDirectory() as folder:
        make = ("-m", "formparts", "make")
        spent, peak = medians(*make, "ring_riser", "--out", folder)
        plain, _ = medians("-m", "tests.benchmarks.plain_deliverables", folder)
        name = "make ring_riser, all files, cold: processor time"
        yield {
            "benchmark": name,
            "value": spent,
            "at most": COLD,
            "plain script": plain,
            "ratio of both": plain / spent,
        }
        yield {
            "benchmark": "make ring_riser, all files, cold: peak memory [MB]",
            "value": peak,
            "at most": PEAK,
        }
        yield {"benchmark": "make ring_riser, all files, warm", "value": warm(folder), "at most": WARM}
        for text, count, most in ((SLOTS, 500, 3.0), (ROUND, 900, 10.0), (ROUND, 5000, 25.0)):
            path = Path(folder, "panel.py")
            path.write_text(text, encoding="utf-8")
            spent, peak = whole(*make, str(path), "--set", f"count={count}", "--out", folder, most=4.0 * most)
            yield {
                "benchmark": f"make, {count} {'slots in a tray' if text is SLOTS else 'round holes'}, all files",
                "value": spent, "at most": most, "peak_mb": peak, "stopped": spent > 3.9 * most,
            }  # fmt: skip
