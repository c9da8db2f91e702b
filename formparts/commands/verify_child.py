"""Verifies a STEP file in a process of its own: a broken file may bring the kernel down."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from formparts.errors import InputError, KernelError


def main(arguments: list[str]) -> int:
    """Hold the file against what it says, and write into a report what is to be said of it, or why it is refused."""
    from formparts.commands.verify import lines, named
    from formparts.unfold.step_child import limited
    from formparts.verify import verify

    file, recipe, report = arguments
    limited(Path(file))
    answer: dict[str, Any]
    try:
        found = verify(file, named(file, recipe) if recipe else None)
        answer = {"lines": list(lines(file, found)), "ok": found.ok}
    except InputError as error:
        answer = {"refused": [*map(str, error.args)]}
    except KernelError as error:
        answer = {"broken": list(error.args)}
    Path(report).write_text(json.dumps(answer), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
