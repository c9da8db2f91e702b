"""Validation of the arguments of public functions: another type is refused in one line."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import wraps
from itertools import chain, repeat
from typing import Any, Protocol, TypeAlias, TypeVar, cast, runtime_checkable

from formparts.errors import InputError
from formparts.quantities import shown_value

Function = TypeVar("Function", bound=Callable[..., Any])
Names: TypeAlias = "str | tuple[str, ...]"


@runtime_checkable
class _GivesAllowances(Protocol):
    """Any object with this method is a bend rule."""

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
"""Types other than the library's own classes, and their names in messages. Numbers are left to their readers."""


@dataclass(frozen=True)
class Listed:
    """A list of things of some kinds; `whole` is what may be given for the list itself."""

    inside: tuple[str, ...]
    whole: tuple[str, ...]


def listed(inside: Names, whole: Names) -> Listed:
    """A list of things of some kinds; `whole` is what may be given for the list itself."""
    return Listed(_tuple(inside), _tuple(whole))


def takes(**kinds: Names | Listed) -> Callable[[Function], Function]:
    """
    Refuse arguments of another kind: a decorator of public functions.

    Parameters
    ----------
    kinds : str or tuple of str
        By parameter: names of classes of our own, so that no module is loaded to look at what is given; or of _PLAIN.

    Returns
    -------
    callable
        The decorator.
    """
    whole = {name: kind.whole if isinstance(kind, Listed) else _tuple(kind) for name, kind in kinds.items()}
    inside = {name: kind.inside for name, kind in kinds.items() if isinstance(kind, Listed)}
    return lambda function: cast(Any, _guarded(function, whole, inside))


def _tuple(names: Names) -> tuple[str, ...]:
    return (names,) if isinstance(names, str) else names


def _guarded(
    function: Callable[..., Any], whole: Mapping[str, tuple[str, ...]], inside: Mapping[str, tuple[str, ...]]
) -> Callable[..., Any]:
    code = function.__code__
    names = code.co_varnames[: code.co_argcount]
    hidden = names[: code.co_posonlyargcount]  # their names are free for what `**fixed` gathers
    # A parameter that gathers what is left comes after those that are given by name alone.
    rest = code.co_varnames[code.co_argcount + code.co_kwonlyargcount] if code.co_flags & 0x04 else ""
    fits: dict[str, set[type]] = {name: set() for name in whole}
    fit_inside: dict[str, set[type]] = {name: set() for name in inside}

    @wraps(function)
    def guarded(*given: Any, **named: Any) -> Any:
        by_name = ((name, value) for name, value in named.items() if name not in hidden)
        for name, value in chain(zip(chain(names, repeat(rest)), given, strict=False), by_name):
            if name in fits and type(value) not in fits[name]:
                _refuse_other(function.__name__, name, value, whole[name])
                fits[name].add(type(value))
            # Iterators are left alone: testing them would consume them.
            for one in value if name in inside and isinstance(value, (list, tuple)) else ():
                if type(one) not in fit_inside[name]:
                    _refuse_other(function.__name__, name, one, inside[name])
                    fit_inside[name].add(type(one))
        return function(*given, **named)

    return guarded


def _refuse_other(where: str, name: str, value: object, wanted: tuple[str, ...]) -> None:
    own = {kind.__name__ for kind in type(value).__mro__ if kind.__module__.startswith("formparts.")}
    plain = [_PLAIN[kind][0] for kind in wanted if kind in _PLAIN]
    # A string is a sequence of characters, which is never intended.
    if isinstance(value, (str, bytes)):
        plain = [kind for kind in plain if kind is not Iterable]
    if not own & set(wanted) and not isinstance(value, tuple(plain)):
        said = " or ".join(dict.fromkeys(_PLAIN[kind][1] if kind in _PLAIN else kind for kind in wanted))
        problem = f"is of type {type(value).__name__}"
        raise InputError(where, name, shown_value(value), problem, f"{said} is wanted")
