"""What runs inside pytest: it notes what each test reaches, or waits and forks a process for each fault.

It is loaded by its own folder, in a copy of the tree, and therefore imports nothing of the rest of the tool.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import importlib
import json
import os
import resource
import select
import signal
import sys
import time
from collections.abc import Callable, Generator
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

MODE = os.environ.get("MUTATION_MODE", "")
HEADROOM = 3 << 30
"""Bytes that a fault may take beyond what the tests have already; more is a failure."""


def pytest_configure(config: pytest.Config) -> None:
    """Hypothesis is not to search for smaller examples: that a test fails is all that is asked."""
    role: Any = {"record": Recorder, "serve": Server, "fresh": Fresh}.get(MODE)
    if role is not None:
        config.pluginmanager.register(role(), "mutation_role")


@pytest.hookimpl(trylast=True)
def pytest_sessionstart() -> None:
    """Load the quick profile of hypothesis, once the tests' own is there."""
    if "hypothesis" in sys.modules:
        from hypothesis import Phase, settings

        kept = [Phase.explicit, Phase.generate]
        settings.register_profile(
            "mutation", settings(), database=None, phases=kept, report_multiple_bugs=False
        )
        settings.load_profile("mutation")


class Recorder:
    """Note which statements each test reaches, and how long it takes."""

    def __init__(self) -> None:
        from reached import HITS

        self.hits = HITS
        self.found: dict[str, tuple[float, list[int]]] = {}
        self.fixtures: dict[int, bytes] = {}
        self.failed: list[str] = []
        functools.cache = self.cache  # type: ignore[assignment]

    def clear(self) -> bytes:
        """Give what was reached since the last call."""
        seen = self.hits[:]
        self.hits[:] = bytes(len(seen))
        return seen

    def add(self, seen: bytes) -> None:
        """Put what was reached elsewhere to what is reached now."""
        for at in _places(seen):
            self.hits[at] = 1

    def cache(self, function: Callable[..., Any]) -> Callable[..., Any]:
        """In place of functools.cache: who is given a kept value has reached all that made it."""
        kept: dict[Any, tuple[Any, bytes]] = {}

        @functools.wraps(function)
        def cached(*given: Any, **named: Any) -> Any:
            key = (given, tuple(sorted(named.items())))
            if key not in kept:
                before = self.clear()
                value = function(*given, **named)
                kept[key] = (value, self.clear())
                self.add(before)
            value, seen = kept[key]
            self.add(seen)
            return value

        cached.cache_clear = kept.clear  # type: ignore[attr-defined]
        return cached

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Generator[None, Any, Any]:
        """A fixture that stays for several tests is reached by all that ask for it."""
        before = self.clear()
        try:
            return (yield)
        finally:
            if fixturedef.scope != "function":
                self.fixtures[id(fixturedef)] = self.hits[:]
            self.add(before)

    def pytest_collection_finish(self) -> None:
        """What importing the tests reaches belongs to no test."""
        self.found["import"] = (0.0, _places(self.clear()))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: Any) -> Generator[None, Any, Any]:
        """Note one test."""
        self.clear()
        began = _computed()
        result = yield
        took = _computed() - began
        for name in item.fixturenames:
            for definition in item._fixtureinfo.name2fixturedefs.get(name, ()):
                self.add(self.fixtures.get(id(definition), b""))
        if reached := _places(self.clear()):
            self.found[item.nodeid] = (round(took, 5), reached)
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A test that fails without any fault is not a judge."""
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        """Write all down."""
        kept = {name: noted for name, noted in self.found.items() if name not in self.failed}
        text = json.dumps({"tests": kept, "failed": sorted(set(self.failed))})
        Path(os.environ["MUTATION_OUT"]).write_text(text, encoding="utf-8")


def _places(seen: bytes) -> list[int]:
    found, at = [], seen.find(b"\1")
    while at >= 0:
        found.append(at)
        at = seen.find(b"\1", at + 1)
    return found


class Fresh:
    """Run the tests that are named in a file, in its order, in a process that has just been started."""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep what is named."""
        by_name = {item.nodeid: item for item in items}
        names = json.loads(Path(os.environ["MUTATION_TESTS"]).read_text(encoding="utf-8"))
        items[:] = [by_name[name] for name in names if name in by_name]


class Server:
    """Collect once; then, for each fault asked for, put it into a fork of this process and run the tests there."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Answer one line of JSON for each line of JSON that comes in."""
        self.items = {item.nodeid: item for item in session.items}
        for name in json.loads(os.environ["MUTATION_PRELOAD"]):
            importlib.import_module(name)
        self.functions = _functions()
        gc.collect()
        gc.freeze()
        with open(int(os.environ["MUTATION_ASK"]), encoding="utf-8") as asked:
            self.answer({"ready": len(self.items)})
            for line in asked:
                self.answer(self.tried(json.loads(line)))
        return True

    def answer(self, what: dict[str, Any]) -> None:
        """Send one line to who asked."""
        os.write(int(os.environ["MUTATION_ANSWER"]), (json.dumps(what) + "\n").encode())

    def tried(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Run the tests against one fault, in a process of its own; its end does not end this one."""
        read, write = os.pipe()
        began = time.monotonic()
        child = os.fork()
        if child == 0:
            os.close(read)
            self.child(asked, write)
        os.close(write)
        ready, _, _ = select.select([read], [], [], asked["limit"])
        told = os.read(read, 1 << 16).decode() if ready else ""
        os.close(read)
        late = _ended(child, 5.0 if ready and not told else 0.0) == signal.SIGPROF or not ready
        broken = {"state": "timed out"} if late else {"state": "killed", "by": "broken down"}
        answer: dict[str, Any] = json.loads(told) if told else broken
        return {**answer, "seconds": round(time.monotonic() - began, 2)}

    def child(self, asked: dict[str, Any], write: int) -> None:
        """The fork: never returns."""
        told = {"state": "survived"}
        try:
            os.setpgid(0, 0)
            _hush()
            if not _planted(self.functions, asked):
                told = {"state": "fresh"}
            else:
                self.run_tests(
                    [name for name in asked["tests"] if name in self.items], asked["limits"], write
                )
        except BaseException as error:  # noqa: BLE001 - whatever it is, the fault has been noticed
            told = {"state": "killed", "by": f"{type(error).__name__} outside of tests"}
        os.write(write, json.dumps(told).encode())
        os._exit(0)

    def run_tests(self, names: list[str], limits: dict[str, float], write: int) -> None:
        """Run tests up to the first that fails; one that takes too long, by the processor's clock, ends the process."""
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        items = [self.items[name] for name in names]
        if items:
            items[0].config.pluginmanager.register(_Watch(write))
        for item, after in zip(items, [*items[1:], None], strict=True):
            signal.setitimer(signal.ITIMER_PROF, limits[item.nodeid])
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        signal.setitimer(signal.ITIMER_PROF, 0.0)


class _Watch:
    """Tell of the first failure, and end the process there and then: how it looks does not matter."""

    def __init__(self, write: int) -> None:
        self.write = write

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo[None]) -> None:
        """A test that skips itself, or is meant to fail, has not failed."""
        harmless = (pytest.skip.Exception, pytest.xfail.Exception)
        if call.excinfo is None or call.excinfo.errisinstance(harmless) or item.get_closest_marker("xfail"):
            return
        os.write(self.write, json.dumps({"state": "killed", "by": item.nodeid}).encode())
        os._exit(0)


def _computed() -> float:
    """Computing time of this process and of those that it waited for [s]: a busy machine adds nothing to it."""
    times = os.times()
    return time.process_time() + times.children_user + times.children_system


def _ended(child: int, patience: float) -> int:
    """End a fork and all that it started; give the signal that it ended by, where that was its own."""
    done, status = os.waitpid(child, os.WNOHANG)
    until = time.monotonic() + patience
    while (
        not done and time.monotonic() < until
    ):  # it has sent nothing and let go of its pipe: it is on its way out
        time.sleep(0.002)
        done, status = os.waitpid(child, os.WNOHANG)
    for end in (os.killpg, os.kill) if not done else (os.killpg,):
        with contextlib.suppress(ProcessLookupError):
            end(child, signal.SIGKILL)
    if not done:
        os.waitpid(child, 0)
    return os.WTERMSIG(status) if done else 0


def _hush() -> None:
    """No output, no input, and no more memory than is reasonable."""
    null = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(null, stream)
    held = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    # Only what it starts with: a process that a test starts may set itself another limit, as the reader of STEP does.
    resource.setrlimit(resource.RLIMIT_AS, (held + HEADROOM, resource.getrlimit(resource.RLIMIT_AS)[1]))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _functions() -> dict[tuple[str, str, int], list[FunctionType]]:
    """All functions of the tree that are alive, by file, name and first line."""
    found: dict[tuple[str, str, int], list[FunctionType]] = {}
    root = os.getcwd() + os.sep
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(root):
            code = thing.__code__
            key = (code.co_filename.removeprefix(root), code.co_name, code.co_firstlineno)
            found.setdefault(key, []).append(thing)
    return found


def _planted(functions: dict[tuple[str, str, int], list[FunctionType]], asked: dict[str, Any]) -> bool:
    """Put the code of the file, which holds the fault already, into the function that is alive."""
    file, (name, line) = asked["file"], asked["function"]
    path = os.path.join(os.getcwd(), file)
    module = compile(Path(path).read_bytes(), path, "exec", dont_inherit=True)
    new = next((code for code in _codes(module) if (code.co_name, code.co_firstlineno) == (name, line)), None)
    if new is None or (file, name, line) not in functions:
        return False
    for code in _codes(new):  # with those that a decorator has made already
        for function in functions.get((file, code.co_name, code.co_firstlineno), []):
            function.__code__ = code
    return True


def _codes(code: CodeType) -> Generator[CodeType, None, None]:
    yield code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _codes(constant)
