"""A short run of the fuzz tool, from a fixed seed; and that the tool itself can fail."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from formparts.errors import InputError
from formparts.export.step_reading import check_readable
from formparts.unfold.part21 import checked_text
from tests.fuzz import run as tool
from tests.fuzz.cases import CHEAP, Case, cheap_case
from tests.fuzz.steps import step_case

SEED, COUNT = 20, 160


def test_hostile_words_and_files_are_refused_in_one_line() -> None:
    """No traceback, no hang, no great memory; and every kind of case has come."""
    tally = tool.run(SEED, range(COUNT), [], 0.0)
    assert tally.failures == []
    assert {name.partition(":")[0] for name in tally.exits} == set(CHEAP)
    assert sum(tally.exits.values()) == COUNT


def test_damaged_step_text_is_refused_or_read(tmp_path: Path) -> None:
    """What looks at the text before the kernel lets it pass or says in one line what is wrong."""
    (sound,) = tool.sound_steps()[:1]
    refused = lines = 0
    for number in range(60):
        step_case(random.Random(f"{SEED}/{number}"), tmp_path, [sound])
        for look in (checked_text, check_readable):
            try:
                with tool.time_limit():
                    look(tmp_path / "part.step")
            except InputError as error:
                refused += 1
                lines += str(error).count("\n") + 1
    assert lines == refused
    assert 10 < refused < 110


def test_a_case_is_made_again_from_its_number(tmp_path: Path) -> None:
    """The seed and the number are all that a report needs."""
    one, two = (cheap_case(random.Random("7/3"), tmp_path) for _ in range(2))
    assert one == two


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (ZeroDivisionError("x"), "raises"),
        (SystemExit(3), "exits 3"),
        (tool.Hangs(), "hangs"),
        (None, "exits None"),
    ],
)
def test_a_broken_promise_is_seen(
    fault: BaseException | None, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error, another exit code, a hang."""

    def broken(_: list[str]) -> None:
        if fault is not None:
            raise fault

    monkeypatch.setattr(tool, "main", broken)
    tally = tool.Tally()
    tool.run_case(Case("words", ("list",)), tally, "case 1")
    assert said in tally.failures[0]
