"""`python -m tests.benchmarks [NAME ...]`: every benchmark, one JSON object a line; 1 when a target is missed."""

from __future__ import annotations

import json
import pkgutil
import sys
from importlib import import_module
from pathlib import Path

MEASURED = ("value", "ratio", "over_all", "times", "median_s", "peak_mb")
"""Where a line has its figure; the first that it has is held against its target."""
LEEWAY = 0.1
"""By how much a target may be missed: a busy machine is slower."""


def missed(row: dict[str, object]) -> bool:
    """True when the figure of a line misses its target by more than the leeway."""
    figure = next((row[name] for name in MEASURED if name in row), None)
    if not isinstance(figure, float):
        return False
    least, most = row.get("at least"), row.get("at most", row.get("below"))
    short = isinstance(least, (int, float)) and figure < least * (1.0 - LEEWAY)
    long = isinstance(most, (int, float)) and figure > most * (1.0 + LEEWAY)
    return short or long


def main(wanted: list[str]) -> int:
    """Run all modules of this folder that have a `run`, or those that are named."""
    bad = 0
    for found in pkgutil.iter_modules([str(Path(__file__).parent)]):
        if found.name.startswith(("test_", "__")) or (wanted and found.name not in wanted):
            continue
        run = getattr(import_module(f"tests.benchmarks.{found.name}"), "run", None)
        for row in run() if run else ():
            off = missed(row)
            bad += off
            print(json.dumps({**row, "missed": True} if off else row), flush=True)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
