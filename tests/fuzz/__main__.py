"""`python -m tests.fuzz`: many thousand cases of hostile input; exits 1 when one of them breaks a promise."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from tests.fuzz.run import all_loaded, run, said, sound_steps


def command() -> int:
    """Run, print, and give the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--count", type=int, default=20_000, help="how many cases (20000)")
    parser.add_argument("--seed", type=int, default=1, help="what they are made from (1)")
    parser.add_argument("--first", type=int, default=0, help="number of the first case (0)")
    parser.add_argument("--steps", type=float, default=0.1, help="share of STEP files (0.1)")
    parser.add_argument("--keep", type=Path, help="folder for the files of failed cases")
    options = parser.parse_args()
    sound = sound_steps() if options.steps else []
    all_loaded()
    began = time.monotonic()
    tally = run(
        options.seed, range(options.first, options.first + options.count), sound, options.steps, options.keep
    )
    print("\n".join(said(tally, options.seed, options.count, time.monotonic() - began)))
    return 1 if tally.failures else 0


if __name__ == "__main__":
    sys.exit(command())
