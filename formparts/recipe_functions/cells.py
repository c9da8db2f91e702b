"""The text of a recipe in a cell of a notebook instead of a file: the source that a worker process loads."""

from __future__ import annotations
import __future__

import ast
import builtins
import inspect
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

from formparts.errors import InputError

_FIX = "work it out in the recipe itself, make it a number or a text, or save the recipe in a file"


def is_in_a_cell(function: Callable[..., Any]) -> bool:
    """True when no file holds the function: it was typed into a notebook or a console."""
    return not Path(function.__code__.co_filename).is_file()


def text_of(function: Callable[..., Any]) -> str:
    """
    A file that defines a function of a notebook, and all that it names there, as that is now.

    Parameters
    ----------
    function : callable
        The function itself, not the recipe.

    Returns
    -------
    str
        Imports and values first, then functions in the order in which they are needed.

    Raises
    ------
    InputError
        It uses a value that has no text, or its own text is not to be had.
    """
    future = "from __future__ import annotations\n"
    found: dict[str, str] = {}
    _define(function, function.__name__, found)
    return (future if function.__code__.co_flags & __future__.annotations.compiler_flag else "") + "\n".join(
        sorted(found.values(), key=lambda text: text[:1] == "\n")
    )


def _define(function: Any, where: str, found: dict[str, str]) -> None:
    """Add the text of a function, behind what it names."""
    if getattr(function, "__closure__", None):
        fix = "define it at the top of a cell, and give it what it needs as parameters"
        raise InputError(where, "recipe", function.__name__, "stands inside of another function", fix)
    try:
        text = textwrap.dedent(inspect.getsource(function))
    except (OSError, TypeError) as error:
        fix = "save the recipe in a file"
        raise InputError(where, "recipe", function.__name__, "has no text that could be read", fix) from error
    found[function.__name__] = ""  # one that names itself is not looked for again
    known = function.__globals__
    for name in _names(text):
        if name in known and name not in found and not hasattr(builtins, name):
            found[name] = ""
            _add(name, known[name], where, found)
    del found[function.__name__]
    found[function.__name__] = f"\n\n{text}"


def _names(text: str) -> Iterator[str]:
    return (node.id for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Name))


def _add(name: str, value: Any, where: str, found: dict[str, str]) -> None:
    """Add the line or the text that makes a name mean what it means in the notebook."""
    function = getattr(value, "function", value)  # of a recipe
    if isinstance(value, ModuleType):
        found[name] = f"import {value.__name__} as {name}"
    elif isinstance(function, FunctionType) and is_in_a_cell(function):
        del found[name]
        _define(function, where, found)
    elif (home := inspect.getmodule(value)) is not None and _is_there(value, home):
        found[name] = f"from {home.__name__} import {value.__name__} as {name}"
    elif _is_plain(value):
        found[name] = f"{name} = {value!r}"
    else:
        problem = (
            f"is of type {type(value).__name__} and stands in another cell, where no other process sees it"
        )
        raise InputError(where, "value", name, problem, _FIX)


def _is_there(value: Any, home: ModuleType) -> bool:
    return home.__name__ != "__main__" and getattr(home, getattr(value, "__name__", ""), None) is value


def _is_plain(value: Any) -> bool:
    try:
        return bool(ast.literal_eval(repr(value)) == value)
    except (ValueError, SyntaxError):
        return False
