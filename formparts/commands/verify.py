"""`verify`: a STEP file held against what it says of itself."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from formparts.errors import InputError, KernelError

if TYPE_CHECKING:
    from formparts.assemble import AssemblyRecipe
    from formparts.recipe import Recipe
    from formparts.verify import Verified

WELL, DIFFERS = 0, 1
CHILD: Final = "formparts.commands.verify_child"
"""The module that reads and compares."""
TIME_LIMIT: Final = 600.0
"""A file that is not verified by then is given up [s]."""
REMEDY: Final = "save the part anew as STEP (AP203, AP214 or AP242)"


def add_parser(commands: Any) -> None:
    """Put the command among the others."""
    verified = commands.add_parser("verify", help="hold a STEP file against what it says of itself")
    verified.description = (
        "Read what a STEP file says of itself, make the part or the assembly again from the recipe that it names, "
        "and compare: shape, mass, names, and where each part stands. Of a "
        "file of others, hold its validation properties against its shape. Exits 1 when anything differs."
    )
    verified.add_argument("file", metavar="FILE.step", help="a STEP file of one part or of an assembly")
    verified.add_argument(
        "--recipe", metavar="RECIPE", help="the recipe, when it is in a file: path/to/file.py:function"
    )
    verified.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Compare, say so, and give the exit code."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory(prefix="formparts_") as folder:
        report = Path(folder, "report")
        _apart(options.file, options.recipe, report)
        if not report.exists():
            raise InputError(
                "verify",
                "file",
                options.file,
                "the kernel broke down over it, or was not done with it in time",
                REMEDY,
            )
        answer = json.loads(report.read_text(encoding="utf-8"))
    if "refused" in answer:
        raise InputError(*answer["refused"])
    if "broken" in answer:
        raise KernelError(*answer["broken"])
    print("\n".join(answer["lines"]))
    return WELL if answer["ok"] else DIFFERS


def _apart(file: str, recipe: str | None, report: Path) -> None:
    """Let a process of its own read the file; its end, whatever it is, is not ours."""
    import subprocess

    command = [sys.executable, "-m", CHILD, file, recipe or "", str(report)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(entry or os.getcwd() for entry in sys.path)}
    try:
        subprocess.run(command, env=environment, timeout=TIME_LIMIT, capture_output=True, check=False)
    except subprocess.TimeoutExpired as error:
        problem = f"it was not done after {TIME_LIMIT:g} s"
        raise InputError("verify", "file", file, problem, REMEDY) from error
    except ValueError as error:
        raise InputError("verify", "file", repr(file), "is not the name of a file", "check it") from error


def named(file: str, reference: str) -> Recipe | AssemblyRecipe:
    """The recipe that the user names, of the kind that the file is of."""
    from formparts.assemble import find_assembly
    from formparts.assembly.reading import holds_assembly
    from formparts.recipe import find_recipe

    return find_assembly(reference) if holds_assembly(file) else find_recipe(reference)


def _maker(found: Verified) -> str:
    return f"recipe {found.recipe}, formparts {found.version}" if found.recipe else "not made by formparts"


def lines(path: str, found: Verified) -> Iterator[str]:
    """What is printed."""
    yield f"{path}: " + _maker(found)
    if not found.rows:
        yield "  it states nothing that could be compared"
    width = max([30, *(len(row.what) + 1 for row in found.rows)])
    for row in found.rows:
        verb = "is" if row.agrees else "IS NOT"
        yield f"  {row.what:<{width}} {row.said}  {verb}  {row.found}"
    if found.rows:
        yield "  verified" if found.ok else "  NOT VERIFIED"
