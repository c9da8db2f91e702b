"""What `make` shows on a terminal while it works: nothing for a second, then what it is doing and how far it is."""

from __future__ import annotations

import io

import pytest

from formparts.commands import progress
from formparts.commands.progress import Stages


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("elapsed", "shown"), [(0.0, ""), (1.5, "\r[##########          ] 3 of 6: a.step\x1b[K")]
)
def test_quiet_for_a_second(elapsed: float, shown: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of six files is half of the bar; the line is taken away at the end."""
    stages = Stages(Terminal(), began=100.0)
    monkeypatch.setattr(progress.time, "monotonic", lambda: 100.0 + elapsed)
    stages.told("a.step", 3, 6)
    assert stages.stream.getvalue() == shown  # type: ignore[attr-defined]
    stages.end()
    assert stages.stream.getvalue() == (f"{shown}\r\x1b[K" if shown else "")  # type: ignore[attr-defined]


def test_silent_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe or a file gets none of it, however long it takes."""
    stages = Stages(io.StringIO(), began=0.0)
    monkeypatch.setattr(progress.time, "monotonic", lambda: 1000.0)
    stages.told("a.step", 3, 6)
    stages.end()
    assert stages.stream.getvalue() == ""  # type: ignore[attr-defined]
