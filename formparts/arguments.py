"""At the front door a public function refuses, in one line, what is not of the kind that it is written for."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import wraps
from itertools import chain, repeat
from typing import Any, Protocol, runtime_checkable

from formparts.errors import InputError
from formparts.quantities import shown_value


@runtime_checkable
class _GivesAllowances(Protocol):
    """A bend rule is whatever has this method, of our own or not."""

    def allowance(self, angle: float, inside_radius: float, thickness: float) -> float: ...


_PLAIN: dict[str, tuple[type, str]] = {
    "None": (type(None), "None"),
    "str": (str, "a text"),
    "Path": (os.PathLike, "a path"),
    "os.PathLike": (os.PathLike, "a path"),
    "Mapping": (Mapping, "a dict"),
    "Sequence": (Iterable, "a list"),
    "Iterable": (Iterable, "a list"),
    "BendRule": (_GivesAllowances, "a bend rule"),
    "Callable": (Callable, "a function"),  # type: ignore[dict-item]  # an abstract class to Python, not to the checker
}
"""What is looked at besides the kinds of our own, and what it is called. Numbers are left to their readers."""


def of_the_kind(function: Callable[..., Any], own: Collection[str]) -> Callable[..., Any]:
    """
    The function as the public gets it; itself, where it takes nothing of our own kinds or of the plain ones.

    What a parameter is written for stands in the signature and nowhere else: `body: Body`, `*bodies: Body`,
    `blank: Blank | None`. Rooms call each other directly and pay nothing for this.
    """
    code = function.__code__
    names = code.co_varnames[: code.co_argcount]
    hidden = names[: code.co_posonlyargcount]  # their names are free for what `**fixed` gathers
    # A parameter that gathers what is left comes after those that are given by name alone.
    rest = code.co_varnames[code.co_argcount + code.co_kwonlyargcount] if code.co_flags & 0x04 else ""
    kinds = {name: _kinds(said) for name, said in function.__annotations__.items() if name != "return"}
    wanted = {name: kind for name, kind in kinds.items() if set(kind) <= {*own, *_PLAIN}}
    if not wanted:
        return function
    listed = {name: _kinds(_inner(function.__annotations__[name])) for name in wanted}
    listed = {name: kind for name, kind in listed.items() if set(kind) <= {*own, *_PLAIN}}
    fits: dict[str, set[type]] = {name: set() for name in wanted}
    fit_inside: dict[str, set[type]] = {name: set() for name in listed}

    @wraps(function)
    def public(*given: Any, **named: Any) -> Any:
        by_name = ((name, value) for name, value in named.items() if name not in hidden)
        for name, value in chain(zip(chain(names, repeat(rest)), given, strict=False), by_name):
            if name in fits and type(value) not in fits[name]:
                _refuse_other(function.__name__, name, value, wanted[name])
                fits[name].add(type(value))
            # What comes one by one is left as it is: to look at it would use it up.
            for one in value if name in listed and isinstance(value, (list, tuple)) else ():
                if type(one) not in fit_inside[name]:
                    _refuse_other(function.__name__, name, one, listed[name])
                    fit_inside[name].add(type(one))
        return function(*given, **named)

    public.__module__ = "formparts"  # where pickle finds it again
    return public


def _kinds(annotation: str) -> tuple[str, ...]:
    """`Sequence[Row | str] | None` is a sequence or nothing."""
    while "[" in annotation:
        annotation = re.sub(r"\[[^\[\]]*\]", "", annotation)
    return tuple(annotation.split(" | "))


def _inner(annotation: str) -> str:
    """Of what kind the things of a list are: `Row | str` of `Sequence[Row | str] | None`; nothing where it is none."""
    found = re.search(r"(?:Sequence|Iterable)\[(.+)\]", annotation)
    return found.group(1) if found else ""


def _refuse_other(where: str, name: str, value: object, wanted: tuple[str, ...]) -> None:
    """Kinds of our own go by their names, so that no room is loaded to look at what is given."""
    own = {kind.__name__ for kind in type(value).__mro__ if kind.__module__.startswith("formparts.")}
    plain = [_PLAIN[kind][0] for kind in wanted if kind in _PLAIN]
    # A text is a list of letters, which is never meant.
    if isinstance(value, (str, bytes)):
        plain = [kind for kind in plain if kind is not Iterable]
    if not own & set(wanted) and not isinstance(value, tuple(plain)):
        said = " or ".join(dict.fromkeys(_PLAIN[kind][1] if kind in _PLAIN else kind for kind in wanted))
        problem = f"is of type {type(value).__name__}"
        raise InputError(where, name, shown_value(value), problem, f"{said} is wanted")
