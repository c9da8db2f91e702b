"""`formparts manual`: the manual, made on this machine by running its examples."""

from __future__ import annotations

import argparse
from typing import Any

WELL, DIFFERENT = 0, 1


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("manual", help="write the manual: pages to read, search and print")
    parser.description = (
        "Write the manual as plain pages that need no network: every builder, option, recipe, check, bend rule, "
        "command and file, with pictures made by running the examples. Open index.html in a browser. Exits 1 when an "
        "example printed something else than its text has."
    )
    parser.add_argument(
        "--out", metavar="DIR", default="out/manual", help="folder for the pages (out/manual)"
    )
    parser.add_argument(
        "--processes",
        metavar="N",
        type=int,
        default=0,
        help="pages made at a time (as many as there are cores)",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write it, and print its first page, and the examples that failed."""
    from formparts.manual.site import write_manual

    made = write_manual(options.out, options.processes)
    print(f"{made.pages} pages, {made.size / 1e6:.1f} MB: open {made.folder / 'index.html'}")
    for fault in made.faults:
        print(f"  differs    {fault}")
    return DIFFERENT if made.faults else WELL
