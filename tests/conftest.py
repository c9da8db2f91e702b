"""What all tests share: seeds, and that nothing is skipped where everything is installed."""

from __future__ import annotations

import gc
import os
import sys
from collections import Counter
from collections.abc import Generator, Iterator

import pytest
from hypothesis import settings

from formparts import apart, child_process
from formparts.kernel import OBJECTS_BETWEEN
from tests.forks import BY_HELPERS, IN_A_NEW_PROCESS, in_a_fork

# Hundreds of processes are started: each would compile formparts anew, for a third of a second.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# As in the command itself: to go through all that libraries and thousands of tests hold takes longer than it frees.
gc.set_threshold(OBJECTS_BETWEEN, 50, 100)

settings.register_profile("formparts", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("formparts")


@pytest.fixture(scope="session", autouse=True)
def _foreign_files_in_a_fork() -> Iterator[None]:
    """Most tests are about what is found in a file; `in_a_new_process` is for those about the process itself."""
    with pytest.MonkeyPatch.context() as patch:
        if hasattr(os, "fork"):
            patch.setattr(child_process, "run_module", in_a_fork)
            patch.setattr(apart, "_answers", lambda work, paths, _: [apart.found_by(work, p) for p in paths])
        yield


@pytest.fixture
def in_a_new_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Foreign files are read as they are for everybody else."""
    monkeypatch.setattr(child_process, "run_module", IN_A_NEW_PROCESS)
    monkeypatch.setattr(apart, "_answers", BY_HELPERS)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With FORMPARTS_NO_SKIPS set, a skipped test has failed."""
    report = yield
    if report.skipped and os.environ.get("FORMPARTS_NO_SKIPS"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped where nothing may be: {report.longrepr} {call.when}"
    return report


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """One process more than processors: a fifth of the tests' time is waiting for browsers, solvers and children."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_finish() -> None:
    """What is there by now stays."""
    gc.freeze()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The long run over random bodies is for those who ask for it by its name."""
    if "soak" not in config.option.markexpr:
        items[:] = [item for item in items if item.get_closest_marker("soak") is None]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """One line on the long run, put together from all processes, and one on the figures of the data files."""
    if any("tests/handbook/" in one.nodeid for one in terminalreporter.stats.get("passed", [])):
        from tests.handbook.data_figures import summary

        terminalreporter.write_line(summary())
    reports = [one for kind in ("passed", "failed") for one in terminalreporter.stats.get(kind, [])]
    tallies = [value for one in reports for name, value in one.user_properties if name == "soak"]
    if tallies:
        total: Counter[str] = Counter()
        for tally in tallies:
            for name, figure in tally.items():
                total[name] = (
                    max(total[name], figure) if name.startswith(("most", "seed")) else total[name] + figure
                )
        said = ", ".join(f"{name} {figure}" for name, figure in total.items())
        terminalreporter.write_line(f"soak: {len(tallies)} batches: {said}")
