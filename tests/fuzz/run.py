"""Runs cases and holds each to the same promises: an exit code, one line, no hang, no great memory."""

from __future__ import annotations

import contextlib
import io
import os
import random
import resource
import shutil
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

from formparts.cli import main
from formparts.errors import InputError
from tests.fuzz.cases import Case, cheap_case
from tests.fuzz.steps import step_case

LONGEST = 10.0
"""A case that computes for longer hangs [s]."""
LONGEST_WAIT = 150.0
"""And so does one that is not done by then [s]: a busy machine may give it a tenth of a core."""
MOST_MEMORY = 1 << 30
"""More than this is too much [bytes]."""
LONGEST_LINE = 20_000
"""A message that is longer is not read by anybody [characters]."""


class Hangs(BaseException):
    """Not an error that any code may catch by its kind."""


@dataclass
class Tally:
    """What came of all cases."""

    exits: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")
    peak: int = 0


def _rang(*_: object) -> None:
    raise Hangs


@contextlib.contextmanager
def time_limit() -> Iterator[None]:
    """Break off what takes too long; the engine of regular expressions looks for signals too."""
    clocks = (
        (signal.SIGPROF, signal.ITIMER_PROF, LONGEST),
        (signal.SIGALRM, signal.ITIMER_REAL, LONGEST_WAIT),
    )
    before = [signal.signal(number, _rang) for number, _, _ in clocks]
    for _, clock, seconds in clocks:
        signal.setitimer(clock, seconds)
    try:
        yield
    finally:
        for (number, clock, _), handler in zip(clocks, before, strict=True):
            signal.setitimer(clock, 0.0)
            signal.signal(number, handler)


def _only_read(recipe: Any, *_: object, **values: object) -> None:
    """In place of making the part: all values are read and the body is built, no solid."""
    recipe(**values)
    raise InputError("fuzz", "make", "read", "all was read", "nothing is made here")


def outcome(words: Sequence[str], strict: bool = True) -> str:
    """Exit code of the command, or what it did that it must not."""
    out, err = (
        io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors=how) for how in ("strict", "backslashreplace")
    )
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), time_limit():
            code: Any = main(list(words))
    except SystemExit as left:
        code = left.code
    except Hangs:
        return "hangs"
    except BaseException:  # whatever it is, it must not come here
        return "raises " + "".join(traceback.format_exc().splitlines(keepends=True)[-7:])
    err.flush()
    said = err.buffer.getvalue().decode()  # type: ignore[attr-defined]
    if code not in (0, 1, 2):
        return f"exits {code!r}"
    lines = said.splitlines()
    if code == 2 and strict and len(said.split("\n")) != 2:
        return f"says {len(lines)} lines: {lines[:3]}"
    return "says too much" if max(map(len, lines), default=0) > LONGEST_LINE else str(code)


def in_own_process(case: Case) -> tuple[str, int, float]:
    """The same in a fork, since the kernel may break down: how it ended, its greatest memory, its computing time."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        _forked(case, writing)
    os.close(writing)
    until = time.monotonic() + LONGEST_WAIT + 2.0
    found, status, used = os.wait4(child, os.WNOHANG)
    while not found and time.monotonic() < until:
        time.sleep(0.002)
        found, status, used = os.wait4(child, os.WNOHANG)
    if not found:
        os.kill(child, signal.SIGKILL)
        os.wait4(child, 0)
    said = os.read(reading, 8192).decode("utf-8", "replace")
    os.close(reading)
    if not found:
        return "hangs in the kernel", 0, LONGEST_WAIT
    memory, took = used.ru_maxrss * 1024, used.ru_utime + used.ru_stime
    if os.WIFSIGNALED(status):
        # The commands read in a process of their own, and say in one line that it broke down or took too long.
        apart = said.endswith("<")
        return ("2 (apart)" if apart else f"dies of signal {os.WTERMSIG(status)}"), memory, min(took, LONGEST)
    return said.lstrip("<>"), memory, took


def _forked(case: Case, writing: int) -> None:
    from formparts.commands import verify, verify_child
    from formparts.unfold import step, step_child

    # What runs between the two marks is in real life a process of its own.
    def compared(file: str, recipe: str, report: Path) -> None:
        os.write(writing, b"<")
        verify_child.main([file, recipe or "", str(report)])
        os.write(writing, b">")

    def here(path: Path, shape: Path, report: Path, _: float) -> None:
        os.write(writing, b"<")
        step_child.main([str(path), str(shape), str(report)])
        os.write(writing, b">")

    try:
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, 1)
        os.dup2(sink, 2)
        with (
            patch.object(step, "_run", here),
            patch.object(verify, "_apart", compared),
        ):
            os.write(writing, outcome(case.words).encode("utf-8", "replace")[:8000])
    finally:
        os._exit(0)


def run_case(case: Case, tally: Tally, mark: str) -> None:
    """Run it, and note what came of it."""
    began = time.process_time()
    if case.step:
        said, memory, took = in_own_process(case)
    else:
        with patch("formparts.make.make", _only_read):
            said = outcome(case.words, strict=case.kind not in ("tables", "grids"))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
        took = time.process_time() - began
    tally.slowest = max(tally.slowest, (took, f"{mark} {case.kind}"))
    if memory > MOST_MEMORY and tally.peak <= MOST_MEMORY:
        said = f"takes {memory >> 20} MB"
    tally.peak = max(tally.peak, memory)
    well = said[:1] in ("0", "1", "2") and took <= LONGEST
    tally.exits[
        f"{case.kind}: {(said if len(said) < 40 else said[0]) if said[:1] in '012' else 'FAILED'}"
    ] += 1
    if not well:
        shown = [each if len(each) < 120 else f"{each[:100]}... ({len(each)})" for each in case.words]
        tally.failures.append(f"{mark} {shown!a}\n    {took:.1f} s: {said}")


@contextlib.contextmanager
def _inside(folder: Path) -> Iterator[None]:
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def run(
    seed: int, numbers: Sequence[int], sound: Sequence[bytes], share: float, keep: Path | None = None
) -> Tally:
    """All cases of these numbers; `share` of them are STEP files."""
    tally = Tally()
    with TemporaryDirectory(prefix="fuzz_") as name, _inside(Path(name)):
        for number in numbers:
            folder = Path(name, "case")
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir(exist_ok=True)
            chance = random.Random(f"{seed}/{number}")
            steps = bool(sound) and chance.random() < share
            case = step_case(chance, folder, sound) if steps else cheap_case(chance, folder)
            failed = len(tally.failures)
            run_case(case, tally, f"seed {seed}, case {number}")
            if keep is not None and len(tally.failures) > failed:
                shutil.copytree(folder, keep / str(number), dirs_exist_ok=True)
    return tally


def sound_steps() -> list[bytes]:
    """STEP files of our own: two parts, and one assembly of two of them."""
    from formparts.export import write_step
    from formparts.recipe import find_recipe
    from formparts.solid import solid

    found = []
    with TemporaryDirectory(prefix="fuzz_") as name:
        for recipe in ("z_clip", "u_channel"):
            path = Path(name, f"{recipe}.step")
            write_step(solid(find_recipe(recipe)()), path)
            found.append(path.read_bytes())
    return found


def said(tally: Tally, seed: int, count: int, seconds: float) -> Iterator[str]:
    """What is printed."""
    for name in sorted(tally.exits):
        yield f"{name:<32} {tally.exits[name]}"
    took, which = tally.slowest
    yield f"{count} cases in {seconds:.0f} s, seed {seed}; slowest {took:.1f} s ({which}); peak {tally.peak >> 20} MB"
    yield from tally.failures
    yield f"{len(tally.failures)} failed"


def kernel_loaded() -> None:
    """Load once what every fork needs."""
    with TemporaryDirectory(prefix="fuzz_") as name, contextlib.redirect_stdout(io.StringIO()):
        path = Path(name, "part.step")
        path.write_bytes(sound_steps()[0])
        main(["check", str(path), "--out", name])
        main(["unfold", str(path), "--out", name])
    sys.stdout.flush()
