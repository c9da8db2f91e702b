"""
`formparts watch`: a page on this machine that follows a recipe while it is edited.

    $ formparts watch angle_bracket
"""

from __future__ import annotations

import argparse
import time
from typing import Any

WELL = 0


def add_parser(commands: Any) -> None:
    """Put this command among the others."""
    parser = commands.add_parser("watch", help="follow a recipe in the browser while it is edited")
    parser.description = (
        "Serve a page on this machine alone: sliders for the parameters, 3D view, blank, mass and findings. It follows "
        "the recipe's file. The address holds a random word: who does not know it sees nothing."
    )
    parser.add_argument(
        "recipe", metavar="RECIPE", help="a recipe's name, path/to/file.py:function, or a STEP file"
    )
    parser.add_argument("--port", metavar="N", type=int, default=0, help="port of 127.0.0.1 (a free one)")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Serve until the keys Control and C are pressed."""
    from formparts.watch import watching

    with watching(options.recipe, options.port) as watch:
        print(f"{options.recipe}: open {watch.address}", flush=True)
        print("  Control-C ends it", flush=True)
        try:
            while True:
                time.sleep(3600.0)
        except KeyboardInterrupt:
            return WELL
