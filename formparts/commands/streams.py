"""The command's streams: if a reader stops reading, the work goes on and keeps its exit status."""

from __future__ import annotations

import errno
import io
import os
import re
import sys
import time
from typing import Any

_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
"""Control characters and direction marks: names come from anybody, and are shown, not obeyed."""


def harmless(text: str) -> str:
    """Return the text with control characters written out; line feeds and tabs stay."""
    return _HIDDEN.sub(lambda found: found[0].encode("unicode_escape").decode(), text)


class _Lasting(io.FileIO):
    """A stream that accepts everything: output that cannot be written is dropped."""

    lost = 0

    def write(self, content: Any, /) -> int:
        size = memoryview(content).nbytes
        while not self.lost:
            try:
                written = super().write(content)
            except OSError as error:
                self.lost = error.errno or errno.EIO
                break
            if written is not None:
                return written
            time.sleep(0.01)  # a full pipe that does not wait by itself
        return size


class _Words(io.TextIOWrapper):
    """Text for a terminal, in which names cannot act as commands."""

    def write(self, text: str, /) -> int:
        return super().write(harmless(text))


def own_streams() -> _Lasting:
    """
    Set this process's streams up; for the command's own process alone.

    A closed one goes to the null device, so that no file of formparts is opened in its place. What the kernel
    prints by itself on the standard output goes to the standard error instead.

    Returns
    -------
    _Lasting
        The standard output; its `lost` is the number of the error after which it took nothing more.
    """
    for place in (0, 1, 2):
        try:
            os.fstat(place)
        except OSError:
            os.dup2(os.open(os.devnull, os.O_RDWR), place)
    output, errors = _Lasting(os.dup(1), "wb"), _Lasting(os.dup(2), "wb")
    os.dup2(2, 1)
    sys.stdout = _Words(
        io.BufferedWriter(output), "utf-8", "backslashreplace", line_buffering=output.isatty()
    )
    # Lines that are redrawn there are the program's own; errors are made harmless where they are printed.
    sys.stderr = io.TextIOWrapper(
        io.BufferedWriter(errors), "utf-8", "backslashreplace", line_buffering=True, write_through=True
    )
    return output


def said_lost(output: _Lasting) -> None:
    """Report that the standard output could not take all; a reader that stopped, such as `head`, knows it."""
    sys.stdout.flush()
    if output.lost not in (0, errno.EPIPE, errno.EBADF):
        reason = os.strerror(output.lost).lower()
        print(f"formparts: what it says could not be written out: {reason}", file=sys.stderr)
