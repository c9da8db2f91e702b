"""How far a job is: rate, time left and failures on a terminal, not a word elsewhere."""

from __future__ import annotations

import io

import pytest

from formparts.commands.progress import Progress


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_the_line_by_hand() -> None:
    """10 of 100 done in 5 s, 4 of them kept: 6 built make 1.2/s, so 90 more take 75 s."""
    progress = Progress(100, io.StringIO())
    for number in range(10):
        progress.step(failed=number == 0, kept=number in (1, 2, 3, 4))
    assert progress.line(5.0) == "[##                  ] 10 of 100, 1.2/s, 1:15 left, 1 failed"


@pytest.mark.parametrize(("stream", "drawn"), [(io.StringIO, False), (Terminal, True)])
def test_quiet_when_not_a_terminal(stream: type[io.StringIO], drawn: bool) -> None:
    """Into a file or a pipe nothing is drawn."""
    progress = Progress(2, stream())
    progress.step(failed=False, kept=False)
    progress.step(failed=False, kept=False)
    progress.end()
    assert bool(progress.stream.getvalue()) is drawn  # type: ignore[attr-defined]
    if drawn:
        assert "2 of 2" in progress.stream.getvalue()  # type: ignore[attr-defined]


def test_nothing_to_do() -> None:
    """No division by nothing."""
    assert "0 of 0" in Progress(0, io.StringIO()).line(0.0)
