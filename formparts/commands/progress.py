"""The progress of a long job, on one line of a terminal; silent otherwise."""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, field
from typing import TextIO

QUIET = 1.0
"""A job finished within this time shows no progress [s]."""
REDRAWN = 0.2
"""Least time between two updates [s]."""


@dataclass
class Progress:
    """
    A line that is drawn over itself: done, rate, time left, failures.

    Parameters
    ----------
    total : int [-]
        How many there are to do.
    stream : TextIO
        Where it is drawn, if that is a terminal.
    """

    total: int
    stream: TextIO = field(default_factory=lambda: sys.stderr)
    done: int = 0
    kept: int = 0
    failed: int = 0
    began: float = field(default_factory=time.monotonic)
    drawn: float = float("-inf")

    def step(self, failed: bool, kept: bool) -> None:
        """Count one more, and draw the line when it is time."""
        self.done += 1
        self.kept += kept
        self.failed += failed
        now = time.monotonic()
        if self.stream.isatty() and (now - self.drawn >= REDRAWN or self.done == self.total):
            self.drawn = now
            self.stream.write(f"\r{self.line(now - self.began)}\x1b[K")
            self.stream.flush()

    def line(self, elapsed: float) -> str:
        """The line as it is after so many seconds."""
        built = self.done - self.kept
        rate = built / elapsed if elapsed > 0.0 else 0.0
        left = f", {_clock((self.total - self.done) / rate)} left" if rate and self.done < self.total else ""
        bar = "#" * (20 * self.done // max(self.total, 1))
        failed = f", {self.failed} failed" if self.failed else ""
        return f"[{bar:<20}] {self.done} of {self.total}, {rate:.3g}/s{left}{failed}"

    def end(self) -> None:
        """Leave the line to what is printed next."""
        if self.stream.isatty() and self.done:
            self.stream.write("\n")


@dataclass
class Stages:
    """
    A line that says what one job is doing and how far it is; silent before a second is over.

    Parameters
    ----------
    stream : TextIO
        Where it is drawn, if that is a terminal.
    """

    stream: TextIO = field(default_factory=lambda: sys.stderr)
    began: float = field(default_factory=time.monotonic)
    shown: bool = False

    def told(self, what: str, done: int, total: int) -> None:
        """Show the next stage."""
        if self.stream.isatty() and time.monotonic() - self.began >= QUIET:
            self.shown = True
            self.stream.write(f"\r[{'#' * (20 * done // max(total, 1)):<20}] {done} of {total}: {what}\x1b[K")
            self.stream.flush()

    def end(self) -> None:
        """Take the line away."""
        if self.shown:
            self.stream.write("\r\x1b[K")
            self.stream.flush()


def _clock(seconds: float) -> str:
    """A time as hours, minutes and seconds."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
