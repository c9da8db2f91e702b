"""A short run of the fuzz tool, from a fixed seed; and that the tool itself can fail."""

from __future__ import annotations

import itertools
import os
import random
import re
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

import pytest

from formparts.errors import InputError
from formparts.export.step_reading import check_readable
from formparts.unfolder.part21 import checked_text
from tests.fuzz import run as tool
from tests.fuzz.cases import PLAIN, Case
from tests.fuzz.options import commands, options
from tests.fuzz.steps import FAULTS, step_case

SEED = 20


@pytest.fixture(scope="module")
def sound() -> list[bytes]:
    """Sound STEP files; and all is loaded, so that no fork loads it anew."""
    tool.all_loaded()
    return tool.sound_steps()


@pytest.mark.slow
@pytest.mark.usefixtures("sound")
@pytest.mark.parametrize("count", [60, pytest.param(300, marks=pytest.mark.soak)])
def test_hostile_words_and_files_are_refused_in_one_line(count: int) -> None:
    """No traceback, no hang, no great memory; and every kind of case has come."""
    tally = tool.run(SEED, range(count), [], 0.0)
    assert tally.failures == []
    kinds = {name.partition(":")[0] for name in tally.exits}
    assert set(PLAIN) <= kinds
    assert len(kinds) > len(PLAIN) + 5
    assert sum(tally.exits.values()) == count


def test_damaged_step_text_is_refused_or_read(sound: list[bytes], tmp_path: Path) -> None:
    """What looks at the text before the kernel lets it pass or says in one line what is wrong."""
    assert sum(b"NEXT_ASSEMBLY_USAGE" in text for text in sound) == 1
    assert sum(b"B_SPLINE" in text for text in sound) == 1
    refused = lines = 0
    for number in range(60):
        step_case(random.Random(f"{SEED}/{number}"), tmp_path, sound)
        for look in (checked_text, check_readable):
            try:
                with tool.time_limit():
                    look(tmp_path / "part.step")
            except InputError as error:
                refused += 1
                lines += str(error).count("\n") + 1
    assert lines == refused
    assert 10 < refused < 110


def test_every_fault_of_a_step_file_changes_it(sound: list[bytes]) -> None:
    """Each kind of damage does something to the files that it is for."""
    for number, fault in enumerate(FAULTS):
        chances = [random.Random(f"{number}/{again}") for again in range(8)]
        assert any(fault(text, chance) != text for text in sound for chance in chances), fault


def test_every_option_of_every_command_comes(tmp_path: Path) -> None:
    """The list is the command's own, so that an option that is added tomorrow is tried too."""
    said: dict[str, set[str]] = {}
    for number in range(3000):
        case = options(random.Random(f"3/{number}"), tmp_path, [])
        said.setdefault(case.words[0], set()).update(case.words)
    for command, listed in commands().items():
        wanted = {each.option_strings[0] for each in listed if each.option_strings and each.dest != "help"}
        assert wanted <= said[command]


def test_a_case_is_made_again_from_its_number(tmp_path: Path) -> None:
    """The seed and the number are all that a report needs."""
    for number in range(20):
        made = []
        for _ in range(2):
            shutil.rmtree(tmp_path)
            tmp_path.mkdir()
            made.append(tool.any_case(random.Random(f"7/{number}"), tmp_path, [], 0.0))
        assert made[0] == made[1]


def _sleeps() -> None:
    time.sleep(1.5)


def _computes() -> None:
    while True:
        pass


def _computes_unheard() -> None:
    sum(itertools.repeat(0))


def _takes_memory() -> None:
    assert len(b"x" * (256 << 20)) > 0


def _held() -> int:
    """Memory of this process that is of no file, which a fork of it begins with [bytes]."""
    found = re.search(r"RssAnon:\s+(\d+) kB", Path("/proc/self/status").read_text(encoding="utf-8"))
    assert found
    return int(found[1]) << 10


def _breaks() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _fails() -> None:
    raise ZeroDivisionError("planted")


def _leaves() -> None:
    raise SystemExit(3)


def _says_traceback() -> None:
    traceback.print_stack()
    print("Traceback (most recent call last):", file=sys.stderr)


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (_fails, "raises"),
        (_leaves, "exits 3"),
        (_says_traceback, "shows a traceback"),
        (lambda: None, "exits None"),
        (_breaks, "dies of signal 9"),
        (_computes, "hangs"),
        (_computes_unheard, "dies of signal 24"),
        (_sleeps, "hangs, and then 0"),
        (_takes_memory, "takes"),
    ],
)
def test_a_broken_promise_is_seen(
    fault: Callable[[], None], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A traceback, another exit code, a breakdown, a hang, great memory; and the next case is judged for itself."""

    def planted(words: list[str]) -> int | None:
        if words == ["--debug", "well"]:
            return 0
        fault()
        return None if "None" in said else 0

    monkeypatch.setattr(tool, "main", planted)
    monkeypatch.setattr(tool, "LONGEST", 1.0)
    monkeypatch.setattr(tool, "MOST_MEMORY", _held() + (128 << 20))
    tally = tool.Tally()
    tool.run_case(Case("words", ("list",)), tally, "case 1")
    tool.run_case(Case("words", ("well",)), tally, "case 2")
    assert len(tally.failures) == 1
    assert said in tally.failures[0]
