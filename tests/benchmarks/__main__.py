"""`python -m tests.benchmarks [NAME ...]`: every benchmark, one JSON object a line."""

from __future__ import annotations

import json
import pkgutil
import sys
from importlib import import_module
from pathlib import Path


def main(wanted: list[str]) -> None:
    """Run all modules of this folder that have a `run`, or those that are named."""
    for found in pkgutil.iter_modules([str(Path(__file__).parent)]):
        if found.name.startswith(("test_", "__")) or (wanted and found.name not in wanted):
            continue
        run = getattr(import_module(f"tests.benchmarks.{found.name}"), "run", None)
        for row in run() if run else ():
            print(json.dumps(row), flush=True)


main(sys.argv[1:])
