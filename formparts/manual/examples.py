"""Examples of docstrings and guides: run unchanged, with their output and results."""

from __future__ import annotations

import contextlib
import doctest
import io
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

LIKE = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
"""How output is compared with the text."""


@dataclass(frozen=True)
class ExampleStep:
    """
    One line of an example.

    Parameters
    ----------
    source : str
        What is typed.
    wanted : str
        What the text has below it.
    got : str
        What it printed.
    """

    source: str
    wanted: str
    got: str

    @property
    def ok(self) -> bool:
        """True when it printed what the text has."""
        return doctest.OutputChecker().check_output(self.wanted, self.got, LIKE)


@dataclass(frozen=True)
class Ran:
    """
    An example that was run.

    Parameters
    ----------
    steps : tuple of ExampleStep
        Its lines.
    made : mapping of str to object
        What it bound, by name, in the order in which it was last bound.
    """

    steps: tuple[ExampleStep, ...]
    made: Mapping[str, Any] = field(default_factory=dict)

    @property
    def source(self) -> str:
        """All that is typed."""
        return "".join(step.source for step in self.steps)

    @property
    def faults(self) -> list[str]:
        """Lines that printed something else than the text has."""
        return [f"{step.source.strip()} printed {step.got.strip()!r}" for step in self.steps if not step.ok]


def run_example(text: str, space: dict[str, Any]) -> Ran:
    """Run the `>>>` lines of a text in a namespace, which then holds what they bound."""
    steps: list[ExampleStep] = []
    made: dict[str, Any] = {}
    for example in doctest.DocTestParser().get_examples(text):
        before = dict(space)
        steps.append(ExampleStep(example.source, example.want, _printed(example.source, space)))
        for name, thing in space.items():
            if not name.startswith("_") and (name not in before or before[name] is not thing):
                made.pop(name, None)
                made[name] = thing
    return Ran(tuple(steps), made)


def _printed(source: str, space: dict[str, Any]) -> str:
    """What a line prints; an error as one line."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        try:
            exec(compile(source, "<example>", "single"), space)
        except Exception as error:  # noqa: BLE001 - whatever an example runs into is what is wrong with it
            out.write(f"{type(error).__name__}: {error}\n")
    return out.getvalue()


def is_example(text: str) -> bool:
    """True for a text that has something to run."""
    return any(line.lstrip().startswith(">>> ") for line in text.splitlines())


@contextlib.contextmanager
def inside(folder: str | os.PathLike[str]) -> Iterator[None]:
    """Work in a folder for as long as the block lasts, so that examples name their files as a user does."""
    here = os.getcwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(here)
