"""Runs cases and holds each to the same promises: an exit code, one line, no hang, no great memory."""

from __future__ import annotations

import contextlib
import gc
import io
import math
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
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from types import SimpleNamespace
from typing import Any, NoReturn
from unittest.mock import patch

from formparts.cli import main
from formparts.errors import InputError
from tests.fuzz.cases import Case, plain_case
from tests.fuzz.options import options
from tests.fuzz.steps import step_case

LONGEST = 10.0
"""A case that computes or sleeps for longer hangs [s]."""
LONGEST_WAIT = 150.0
"""And so does one that is not done by then [s]: a busy machine may give it a tenth of a core."""
MOST_MEMORY = 1 << 30
"""More than this is too much [bytes]."""
MOST_ROOM = 8 << 30
"""What a case may ask for, so that a fault does not take the whole machine [bytes]."""
LONGEST_LINE = 20_000
"""A message that is longer is not read by anybody [characters]."""


class Hangs(BaseException):
    """Not an error that any code may catch by its kind."""


@dataclass(frozen=True)
class Told:
    """How a case ended, its greatest memory [bytes], and how long it computed or slept [s]."""

    said: str
    memory: int
    took: float


@dataclass
class Tally:
    """What came of all cases."""

    exits: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")
    largest: tuple[int, str] = (0, "")


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


def _only_read(part: Any, *_: object, **values: object) -> None:
    """In place of writing the files: all values were read and the body was built; no solid."""
    del part, values
    raise InputError("fuzz", "make", "read", "all was read", "nothing is made here")


def outcome(words: Sequence[str]) -> str:
    """Exit code of the command, or what it did that it must not."""
    out, err = (
        io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors=how) for how in ("strict", "backslashreplace")
    )
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), time_limit():
            code: Any = main(["--debug", *words])  # a slip of our own shows its trace
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
    # A family names every bad row on a line of its own.
    if code == 2 and words[:1] != ("family",) and len(said.split("\n")) != 2:
        return f"says {len(lines)} lines: {lines[:3]}"
    if "Traceback" in said:
        return f"shows a traceback: {lines[-7:]}"
    return "says too much" if max(map(len, lines), default=0) > LONGEST_LINE else str(code)


def in_own_process(case: Case) -> Told:
    """The case in a fork: the kernel may break down, and memory and time are those of this case alone."""
    reading, writing = os.pipe()
    began = running = time.monotonic()
    child = os.fork()
    if not child:
        os.close(reading)
        _forked(case, writing)
    os.close(writing)
    while not os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT):
        running = (
            time.monotonic()
        )  # of a busy machine we may hear late that it has ended: this it has seen at least
        if running > began + LONGEST_WAIT + 2.0:
            os.kill(child, signal.SIGKILL)
        time.sleep(0.002)
    # One that has waited for processes of its own may have waited for a processor: then computing time is all we know.
    awake = 0.0 if _had_children(child) else running - began - _kept_waiting(child)
    _, status, used = os.wait4(child, 0)  # the greatest memory is that of the fork, or of a child of its own
    said = os.read(reading, 8192).decode("utf-8", "replace")
    os.close(reading)
    took = max(awake, used.ru_utime + used.ru_stime)
    if os.WIFSIGNALED(status):
        number = os.WTERMSIG(status)
        # The commands read in a process of their own, and say in one line that it broke down or took too long.
        apart = said.endswith("<") and number != signal.SIGKILL
        said = "2 (apart)" if apart else f"dies of signal {number}"
    return Told(said.lstrip("<>"), used.ru_maxrss * 1024, took)


def _kept_waiting(child: int) -> float:
    """How long a process was ready and had no processor [s]: a busy machine is not a fault of its."""
    return int(Path(f"/proc/{child}/schedstat").read_text(encoding="ascii").split()[1]) / 1e9


def _had_children(child: int) -> bool:
    """Whether a process that has ended had others that computed."""
    fields = Path(f"/proc/{child}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return any(int(ticks) > 0 for ticks in fields[13:15])


def _forked(case: Case, writing: int) -> NoReturn:
    from formparts import child_process
    from formparts.commands import watch
    from formparts.families import cluster

    # What runs between the two marks is in real life a process of its own.
    def here(module: str, _: Path, words: Sequence[str], __: float) -> None:
        os.write(writing, b"<")
        import_module(module).main(list(words))
        os.write(writing, b">")

    def stopped(_: float) -> None:
        raise KeyboardInterrupt

    try:
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, 1)
        os.dup2(sink, 2)
        # What no handler here can break off, the system ends.
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(1.2 * LONGEST), resource.RLIM_INFINITY))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_ROOM, resource.RLIM_INFINITY))
        with (
            patch.object(import_module("formparts.part").Part, "write_all", _only_read),
            patch.object(cluster, "PATIENCE", 0.5),
            patch.object(watch, "time", SimpleNamespace(sleep=stopped)),
            contextlib.nullcontext() if case.apart else patch.object(child_process, "run_module", here),
        ):
            os.write(writing, outcome(case.words).encode("utf-8", "replace")[:8000])
    finally:
        os._exit(0)


def run_case(case: Case, tally: Tally, mark: str) -> None:
    """Run it, and note what came of it."""
    told = in_own_process(case)
    tally.slowest = max(tally.slowest, (told.took, f"{mark} {case.kind}"))
    tally.largest = max(tally.largest, (told.memory, f"{mark} {case.kind}"))
    said = told.said
    if said[:1] in ("0", "1", "2") and told.memory > MOST_MEMORY:
        said = f"takes {told.memory >> 20} MB"
    if said[:1] in ("0", "1", "2") and told.took > LONGEST:
        said = f"hangs, and then {said}"
    well = said[:1] in ("0", "1", "2")
    tally.exits[f"{case.kind}: {(said if len(said) < 40 else said[0]) if well else 'FAILED'}"] += 1
    if not well:
        shown = [each if len(each) < 120 else f"{each[:100]}... ({len(each)})" for each in case.words]
        tally.failures.append(f"{mark} {shown!a}\n    {told.took:.1f} s, {told.memory >> 20} MB: {said}")


@contextlib.contextmanager
def _inside(folder: Path) -> Iterator[None]:
    """In a folder of its own, so deep that `../x.py` is not a file of somebody else."""
    folder.mkdir(parents=True)
    before = Path.cwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


def any_case(chance: random.Random, folder: Path, sound: Sequence[bytes], share: float) -> Case:
    """A STEP file, options of a command, or a case of the other kinds."""
    if sound and chance.random() < share:
        return step_case(chance, folder, sound)
    return options(chance, folder, sound) if chance.random() < 0.15 else plain_case(chance, folder)


def run(
    seed: int, numbers: Sequence[int], sound: Sequence[bytes], share: float, keep: Path | None = None
) -> Tally:
    """All cases of these numbers; `share` of them are STEP files."""
    tally = Tally()
    with TemporaryDirectory(prefix="fuzz_") as name, _inside(Path(name, *"deep")):
        for number in numbers:
            folder = Path(name, "case")
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir(exist_ok=True)
            case = any_case(random.Random(f"{seed}/{number}"), folder, sound, share)
            failed = len(tally.failures)
            run_case(case, tally, f"seed {seed}, case {number}")
            if len(tally.failures) > failed:
                print(tally.failures[-1], flush=True)
                if keep is not None:
                    shutil.copytree(folder, keep / str(number), dirs_exist_ok=True)
    return tally


def sound_steps() -> list[bytes]:
    """STEP files: two parts and an assembly of our own, and free-form faces in inches as others write them."""
    from formparts.assembly_recipes import assemble, find_assembly
    from formparts.recipe_functions import find_recipe

    with TemporaryDirectory(prefix="fuzz_") as name, contextlib.redirect_stdout(io.StringIO()):
        for recipe in ("z_clip", "u_channel"):
            find_recipe(recipe).part().write_all(name, ("solid",))
        assemble(find_assembly("riser_stack"), name)
        _foreign(Path(name, "foreign.step"))
        return [path.read_bytes() for path in sorted(Path(name).glob("*.step"))]


def _foreign(path: Path) -> None:
    """A bent strip that the kernel's own writer writes, its faces free-form, in inches."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    from formparts.kernel import settings, silence
    from formparts.recipe_functions import find_recipe
    from formparts.solids import solid

    shape = BRepBuilderAPI_NurbsConvert(solid(find_recipe("angle_bracket")()).shape, True).Shape()
    with silence(), settings(write_step_unit="INCH"):
        writer = STEPControl_Writer()
        writer.Transfer(shape, STEPControl_AsIs)
        writer.Write(str(path))


def said(tally: Tally, seed: int, count: int, seconds: float) -> Iterator[str]:
    """What is printed."""
    for name in sorted(tally.exits):
        yield f"{name:<32} {tally.exits[name]}"
    (took, slowest), (memory, largest) = tally.slowest, tally.largest
    yield f"{count} cases in {seconds:.0f} s, seed {seed}"
    yield f"slowest {took:.1f} s ({slowest}), largest {memory >> 20} MB ({largest})"
    yield from tally.failures
    yield f"{len(tally.failures)} failed"


def all_loaded() -> None:
    """Load once what every fork would load anew."""
    with TemporaryDirectory(prefix="fuzz_") as name, contextlib.redirect_stdout(io.StringIO()):
        path = Path(name, "part.step")
        path.write_bytes(next(text for text in sound_steps() if b"z_clip" in text))
        for module in ("unfolder.step_child", "verification.child", "families.cluster", "watch", "drawings"):
            import_module(f"formparts.{module}")
        for command in ("check", "unfold"):
            main([command, str(path), "--out", name])
        main(["draw", "z_clip", "--out", name])
        main(["family", "z_clip", "--grid", "rise=20", "--figures-only", "--out", f"{name}/family"])
        main(["region", "z_clip", "--grid", "rise=20,30", "foot=30,40", "--out", name])
    sys.stdout.flush()
    gc.freeze()  # so that a fork does not copy what it only counts
