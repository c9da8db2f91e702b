"""Docstrings of exported names are contracts; the reader of them finds each fault that is planted."""

from __future__ import annotations

import importlib.util
import inspect
import sys
import textwrap
from pathlib import Path
from typing import Any

import pytest

from formparts import bending
from tests.house.docstrings import docstring_faults, parameters_of, sections_of
from tests.house.public import HOME_OF, public

SOUND = '''
from dataclasses import dataclass

def span(width: float, count: int, *names: str) -> float:
    """
    Sum of some widths.

    Parameters
    ----------
    width : float [mm]
        One width.
    count : int [-]
        How many there are.
    *names : str
        What they are called.

    Returns
    -------
    float [mm]

    Raises
    ------
    InputError
        The count is negative.

    Source
    ------
    Exact mathematics.
    """
    if count < 0:
        raise InputError("span", "count", count, "is negative")
    return width * count

@dataclass(frozen=True)
class Strip:
    """
    A strip of sheet.

    Parameters
    ----------
    width : float [mm]
        Across.
    name : str
        What it is called.
    """
    width: float
    name: str
'''

PLANTED = [
    ("span", "width : float [mm]", "wide : float [mm]", "the signature has"),
    ("span", "    count : int [-]\n        How many there are.\n", "", "the signature has"),
    ("span", "width : float [mm]", "width : float", "width: a number without a unit"),
    ("span", "width : float [mm]", "width : length", "width: a number without a unit"),
    ("span", "width : float [mm]", "width : float [mmm]", "width: unknown unit [mmm]"),
    ("span", "width : float [mm]", "width", "width: no type is written"),
    ("span", "    -------\n    float [mm]", "    -------\n    float", "Returns: a number without a unit"),
    ("span", "    Returns\n    -------\n    float [mm]\n", "", "does not say what it returns"),
    ("span", "    InputError\n", "    ValueError\n", "raises InputError, and does not say so"),
    ("span", "    Source\n    ------\n    Exact mathematics.\n", "", "a formula without a source"),
    ("span", "    Exact mathematics.\n", "", "a formula without a source"),
    ("span", "Sum of some widths.", "Sum of some widths", "first line is not a sentence"),
    ("Strip", "    name : str\n        What it is called.\n", "", "the signature has"),
    (
        "Strip",
        "width : float [mm]\n        Across",
        "width : float\n        Across",
        "a number without a unit",
    ),
]


def made(text: str, folder: Path) -> dict[str, Any]:
    """Run a small module as if it were the room of bend mathematics, with its source where it can be read."""
    path = folder / "bending.py"
    path.write_text(text, encoding="utf-8")
    found = importlib.util.spec_from_file_location("planted", path)
    module = importlib.util.module_from_spec(found)
    sys.modules["planted"] = module
    try:
        found.loader.exec_module(module)
    finally:
        del sys.modules["planted"]
    return vars(module)


@pytest.mark.parametrize("name", sorted(HOME_OF))
def test_exported_name_keeps_its_contract(name: str) -> None:
    """Parameters are the signature's, numbers have units, what is raised is listed, formulas are sourced."""
    assert docstring_faults(name, public(name)) == []


@pytest.mark.parametrize("name", bending.__all__)
def test_bend_mathematics_keeps_its_contract(name: str) -> None:
    """All of the room of bend mathematics, exported further or not."""
    assert docstring_faults(name, getattr(bending, name)) == []


def test_something_is_exported() -> None:
    """The rules look at something."""
    callables = [name for name in bending.__all__ if callable(getattr(bending, name))]
    assert len(callables) > 20
    assert len(HOME_OF) > len(callables)


def test_sound_docstrings_have_no_faults(tmp_path: Path) -> None:
    """What keeps the contract is let pass."""
    space = made(SOUND, tmp_path)
    assert docstring_faults("span", space["span"]) == []
    assert docstring_faults("Strip", space["Strip"]) == []
    assert list(parameters_of(space["span"])) == ["width", "count", "names"]
    assert list(sections_of(inspect.getdoc(space["span"]))) == [
        "",
        "Parameters",
        "Returns",
        "Raises",
        "Source",
    ]


@pytest.mark.parametrize(("name", "old", "new", "said"), PLANTED)
def test_a_planted_fault_is_found(name: str, old: str, new: str, said: str, tmp_path: Path) -> None:
    """Each rule can fail: one fault is planted, and is found and named."""
    assert old in SOUND
    # Of two places alike the first is in the function and the last in the class.
    head, _, tail = SOUND.rpartition(old) if name == "Strip" else SOUND.partition(old)
    faults = docstring_faults(name, made(head + new + tail, tmp_path)[name])
    assert any(said in fault for fault in faults), faults


def test_missing_and_automatic_docstrings_are_found(tmp_path: Path) -> None:
    """A dataclass without a docstring gets one from Python that says nothing."""
    bare = """
    from dataclasses import dataclass

    @dataclass
    class Strip:
        width: float

    def span(width: float) -> float:
        return width
    """
    space = made(textwrap.dedent(bare), tmp_path)
    assert docstring_faults("Strip", space["Strip"]) == ["Strip: has no docstring"]
    assert docstring_faults("span", space["span"]) == ["span: has no docstring"]
