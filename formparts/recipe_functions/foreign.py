"""The boundary to other people's Python: an error there becomes one line with file and line number."""

from __future__ import annotations

import traceback
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import TracebackType

from formparts.errors import FormpartsError, InputError
from formparts.recipe_functions.missing_names import where_it_is


@contextmanager
def foreign_errors_at(path: Path, where: str, problem: str) -> Iterator[None]:
    """Turn any error of foreign code in a block into one line that names its line and file.

    Errors of formparts pass unchanged, and so does what is not an error (an interrupt from the keyboard).
    """

    def turned(
        _: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        ours = (FormpartsError, KeyboardInterrupt, GeneratorExit)
        if error is not None and not isinstance(error, ours):
            raise _in_one_line(path, where, problem, error, trace) from error

    # A callback on leaving sees every kind of error, also those whose classes nobody can list.
    with ExitStack() as stack:
        stack.push(turned)
        yield


def _in_one_line(
    path: Path, where: str, problem: str, error: BaseException, trace: TracebackType | None
) -> InputError:
    said = error.msg if isinstance(error, SyntaxError) else _text(error)
    words = " ".join(f"{type(error).__name__}: {said}".split()).rstrip(": ")
    known = where_it_is(said) if isinstance(error, ImportError) else ""
    fix = (
        known or "fix that line" if isinstance(error, Exception) else "a recipe file must not end the program"
    )
    return InputError(where, "file", _place(path, error, trace), f"{problem}: {words}", fix)


def _text(error: BaseException) -> str:
    """What an error says; its own code may fail over that."""
    try:
        return str(error)
    except Exception:  # noqa: BLE001  whatever goes wrong in it
        return "it cannot be printed"


def _place(path: Path, error: BaseException, trace: TracebackType | None) -> str:
    """File and line: of the syntax error, or of the last call that was made from this file."""
    if isinstance(error, SyntaxError) and error.filename:
        return f"{error.filename}, line {error.lineno}"
    frames = [frame for frame in traceback.extract_tb(trace) if frame.filename == str(path)]
    return f"{path}, line {frames[-1].lineno}" if frames else str(path)
